"""Every regular expression of the program: none goes back and forth on bad words.

The expressions are found where they stand, so that those of a new module are tried as
well: in the attributes of all modules, and in the tables of the grammar.
"""

from __future__ import annotations

import re
import signal
from collections.abc import Iterator
from importlib import import_module
from pathlib import Path
from pkgutil import walk_packages

import pytest

import proofhook
import proofhook_rules
from proofhook import programs
from proofhook.expressions import METHODS, Expression
from proofhook.reading import grammar
from test_hostile import BAIT, at_most

#: So long is a bait, and so many seconds may one expression take for all of them.
LENGTH, SECONDS = 400, 3


def module_names() -> Iterator[str]:
    """All modules of the program and of the built-in rules."""
    for package in (proofhook, proofhook_rules):
        for found in walk_packages(package.__path__, f"{package.__name__}."):
            if not found.name.endswith("__main__"):
                yield found.name


def expressions() -> Iterator[tuple[str, re.Pattern[str]]]:
    """Every expression that a module holds, by where it stands."""
    for module in module_names():
        for name, value in vars(import_module(module)).items():
            if isinstance(value, Expression):
                yield f"{module}.{name}", re.compile(value.pattern, value.flags)
            elif isinstance(value, re.Pattern):
                yield f"{module}.{name}", value
    for table in ("HEADS", "PLACES", "UNTILS", "TIMES"):
        for name, words in getattr(grammar, table).items():
            yield f"{table}[{name}]", re.compile(rf"(?:{words})(?= |$)")


ALL = {re.sub(r"^proofhook[._]", "", name): found for name, found in expressions()}


def test_each_comes_to_the_same_with_a_program_of_its_own() -> None:
    for found in ALL.values():
        assert programs.compiled(found.pattern, found.flags) == found


def test_the_expressions_are_found() -> None:
    assert "reading.labels.NUMBERED" in ALL
    assert "HEADS[work]" in ALL
    assert len(ALL) > 200


def test_modules_hold_their_expressions_where_they_are_found() -> None:
    root = Path(proofhook.__file__).parent
    for path in root.rglob("*.py"):
        assert not re.search(r"(?m)^_?[A-Z]\w* = re\.compile", path.read_text("utf-8")), path


@pytest.mark.skipif(not hasattr(signal, "SIGVTALRM"), reason="this system has no such timer")
@pytest.mark.parametrize("name", ALL)
def test_no_expression_goes_back_and_forth(name: str) -> None:
    with at_most(SECONDS):
        for bait in (*BAIT, "in next ", "N S in ", "ch N sp ", "? ", "! ", "N "):
            words = (bait * LENGTH)[:LENGTH]
            ALL[name].match(words + "\0")
            ALL[name].search(f"a: {words}\0")


def test_an_expression_does_what_the_compiled_one_does() -> None:
    late, now = Expression("s(c)", re.IGNORECASE), re.compile("s(c)", re.IGNORECASE)
    for method in METHODS:
        words = ["x", "sc SC d"] if method.startswith("sub") else ["sc SC d"]
        ours, theirs = getattr(late, method)(*words), getattr(now, method)(*words)
        if method == "finditer":
            ours, theirs = [m.span() for m in ours], [m.span() for m in theirs]
        if isinstance(theirs, re.Match):
            ours, theirs = ours.groups(), theirs.groups()
        assert ours == theirs
    with pytest.raises(AttributeError):
        late.scanner  # noqa: B018
