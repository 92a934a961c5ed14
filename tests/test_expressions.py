"""Every regular expression of the program: none goes back and forth on bad words.

The expressions are found where they stand, so that those of a new module are tried as
well: in the attributes of all modules, and in the tables of the grammar.
"""

from __future__ import annotations

import re
import signal
import sys
from collections.abc import Iterator
from importlib import import_module
from pathlib import Path
from pkgutil import walk_packages
from typing import Any

import pytest

import proofhook
import proofhook_rules
from proofhook import programs
from proofhook.expressions import METHODS, Expression, Sought
from proofhook.reading import grammar
from proofhook.trade.wordlists import Words
from test_hostile import BAIT, at_most

PATTERNS = Path(__file__).parent.parent / "fixtures" / "patterns"
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


def begins_of(parsed: Any, tail: set[str]) -> set[str]:
    """With what letters that begins which a parsed expression finds, as far as that is said.

    ``tail`` are the beginnings of what comes after it.
    """
    for code, value in reversed(list(parsed)):
        kind = str(code)
        if kind in ("AT", "ASSERT", "ASSERT_NOT"):
            continue
        if kind == "LITERAL":
            tail = {chr(value).lower() + each[:20] for each in tail}
        elif kind == "SUBPATTERN":
            tail = begins_of(value[-1], tail)
        elif kind == "BRANCH":
            tail = set().union(*(begins_of(each, tail) for each in value[1]))
        elif kind == "IN" and all(str(each) == "LITERAL" for each, _ in value):
            tail = {chr(letter).lower() + each[:20] for _, letter in value for each in tail}
        elif kind in ("MAX_REPEAT", "MIN_REPEAT"):
            least, most, inner = value
            again = {""} if most > 1 else tail
            tail = begins_of(inner, again) | (set() if least else tail)
            for _ in range(min(least, 3) - 1):
                tail = begins_of(inner, tail)
        else:
            tail = {""}
    return tail


SOUGHT = {
    f"{module}.{name}": value
    for module in module_names()
    for name, value in vars(import_module(module)).items()
    if isinstance(value, Sought)
}


@pytest.mark.parametrize("name", SOUGHT)
def test_what_an_expression_begins_with_is_said_in_full(name: str) -> None:
    sought = SOUGHT[name]
    parser = import_module("re._parser" if sys.version_info >= (3, 11) else "sre_parse")
    for begin in begins_of(parser.parse(sought.pattern, sought.flags), {""}):
        assert begin.startswith(sought.begins), begin


TEXTS = [
    *(path.read_text("utf-8") for path in sorted(PATTERNS.glob("*.txt"))),
    "Fasten off. WEAVE in ends; sew the tail. To do: TBC, xx?? (photo here) US terms, UK dc",
    "\u017fc in \u0130nch, \u212anot, Fa\u017ften off, d\u0131ne, \u017fcissors and a\u017f for",
]


@pytest.mark.parametrize("name", SOUGHT)
def test_what_is_sought_is_what_is_found(name: str) -> None:
    sought = SOUGHT[name]
    plain = re.compile(sought.pattern, sought.flags)
    for text in TEXTS:
        assert list(map(str, sought.each(text))) == list(map(str, plain.finditer(text)))
        assert str(sought.first(text)) == str(plain.search(text))
        assert list(map(str, sought.each(text, 9, 90))) == list(
            map(str, plain.finditer(text, 9, 90))
        )


def test_words_of_a_table_are_found_as_they_stand() -> None:
    words = ["needle", "yarn needle", "poly-fil", "4 ply", "cr\u00e8me", "child's", "eye"]
    inner = "|".join(sorted((re.escape(w).replace(r"\ ", r"[\s-]+") for w in words), key=len)[::-1])
    plain = re.compile(rf"(?<![\w'\u2019-])(?:{inner})s?(?![\w-])", re.IGNORECASE)
    text = "Yarn  needles, Poly-Fil, 4-ply, cr\u00c8me; a child's Eyes, eyelid, hook-eye, needle\n"
    found = [match.span() for match in Words(words, plurals=True).finditer(text)]
    assert found == [match.span() for match in plain.finditer(text)]
    assert len(found) == 7
    assert not list(Words(["needle"]).finditer("needles"))
