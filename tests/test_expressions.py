"""Every regular expression of the program: none goes back and forth on bad words.

The expressions are found where they stand, so that those of a new module are tried as
well: in the attributes of all modules, in the tables of the grammar, and in every call of
``re``, or of what stands for it (``rx``), in the source.  Those that are put together while
the program works are taken while it works.
"""

from __future__ import annotations

import ast
import re
import signal
import sys
from collections.abc import Callable, Iterator
from functools import cache
from importlib import import_module
from pathlib import Path
from pkgutil import walk_packages
from typing import Any, NamedTuple

import pytest

import proofhook
import proofhook_rules
from fuzz.laws import LAWS, proofed
from fuzz.seeds import FIXTURES
from proofhook import programs
from proofhook.editor.document import worked_document
from proofhook.editor.renaming import rename
from proofhook.expressions import METHODS, Expression, Sought
from proofhook.proofing.sheets import house_of
from proofhook.reading import grammar, read
from proofhook.text import Source
from proofhook.trade.wordlists import Words
from proofhook.translating.proved import second_edition
from pumping import pumped
from test_defects import CLEAN, FOLDER, PLANTED
from test_hostile import BAIT, TooLongError, at_most

PATTERNS = Path(__file__).parent.parent / "fixtures" / "patterns"
#: So long is a bait, and so many seconds may one expression take for all of them.
LENGTH, SECONDS = 400, 3.0


#: What is put together for no shipped pattern.
FURTHER = """\
US terms. You need single, half double and double crochet.

Sizes: S (M)

Materials
Yarn: 100 g of cotton

JUG
Ch 7 (9).
Row 1: Sc in 2nd ch from hook and in each ch across. Turn. – 6 (8) sts
Row 2: Ch 1, wobble stitch in next st, sc in each st across.
"""
#: A house that wants something of everything.
DEMANDING = """\
sections = ["materials"]

[rules.yarn-incomplete]
weight = true

[[wording]]
write = "colour"
not = "color"
because = "UK spelling"
"""
#: Functions of ``re`` that take an expression first.
FUNCTIONS = ("compile", *METHODS)
#: Modules that stand between ``re`` and the rest.
WITH_RE = ("proofhook.expressions", "proofhook.programs")
ROOTS = tuple(Path(package.__path__[0]) for package in (proofhook, proofhook_rules))


def module_names() -> Iterator[str]:
    """All modules of the program and of the built-in rules."""
    for package in (proofhook, proofhook_rules):
        for found in walk_packages(package.__path__, f"{package.__name__}."):
            if not found.name.endswith("__main__"):
                yield found.name


def held() -> Iterator[tuple[str, re.Pattern[str]]]:
    """Every expression that a module holds, by where it stands."""
    for module in module_names():
        for name, value in vars(import_module(module)).items():
            several = value.values() if isinstance(value, dict) else (value,)
            for number, each in enumerate(several):
                if isinstance(each, Expression):
                    yield f"{module}.{name}", re.compile(each.pattern, each.flags)
                elif isinstance(each, re.Pattern):
                    yield f"{module}.{name}" + f"[{number}]" * (number > 0), each
    for table in ("HEADS", "PLACES", "UNTILS", "TIMES"):
        for name, words in getattr(grammar, table).items():
            yield f"{table}[{name}]", re.compile(rf"(?:{words})(?= |$)")


class Call(NamedTuple):
    """A call of ``re`` in the source: its module and lines, and the expression as written."""

    module: str
    first: int
    last: int
    written: ast.expr
    flags: ast.expr | None
    inside: bool  # a function, else it is among what the module holds

    def known(self) -> re.Pattern[str] | None:
        """The expression, where it is put together of what the module knows."""
        names = vars(import_module(self.module))
        try:
            words = eval(ast.unparse(self.written), names)
            flags = eval(ast.unparse(self.flags), names) if self.flags else 0
        except NameError:
            return None
        return words if isinstance(words, re.Pattern) else re.compile(words, flags)


def calls() -> Iterator[Call]:
    """Every call of ``re`` in the source that takes an expression."""
    for module in module_names():
        path = import_module(module).__file__
        assert path is not None
        tree = ast.parse(Path(path).read_text("utf-8"))
        functions = [n for n in ast.walk(tree) if isinstance(n, ast.FunctionDef | ast.Lambda)]
        inside = {id(each) for function in functions for each in ast.walk(function)}
        for node in ast.walk(tree):
            if (
                module not in WITH_RE
                and isinstance(node, ast.Call)
                and isinstance(node.func, ast.Attribute)
                and isinstance(node.func.value, ast.Name)
                and node.func.value.id in ("re", "rx")
                and node.func.attr in FUNCTIONS
            ):
                flags = [word.value for word in node.keywords if word.arg == "flags"]
                if not flags and ast.unparse(node.args[-1]).startswith("re."):
                    flags = node.args[-1:]
                last = node.end_lineno or node.lineno
                yield Call(
                    module,
                    node.lineno,
                    last,
                    node.args[0],
                    next(iter(flags), None),
                    id(node) in inside,
                )


def go_through_everything() -> None:
    """Shipped patterns, with and without slips, through every part of the program."""
    house = house_of(DEMANDING)
    for path in CLEAN:
        proofed(read(Source(path.name, path.read_text("utf-8"))), house)
    for planted in PLANTED:
        text = (FOLDER / "clean" / planted["file"]).read_text("utf-8")
        proofed(read(Source(planted["file"], text.replace(planted["old"], planted["new"]))))
    for law in ("tidying", "translating", "stet"):
        for path in sorted((FIXTURES / "patterns").glob("*")):
            LAWS[law](path.read_bytes())
    further = Source("further.txt", FURTHER)
    proofed(read(further), house)
    second_edition(further, "uk", "us")
    rename(worked_document("", "further.txt", FURTHER), FURTHER.index("JUG"), "POT")
    LAWS["style-sheet"](DEMANDING.encode())


@cache
def met_at_work() -> dict[tuple[str, int], set[re.Pattern[str]]]:
    """The expressions that are used while shipped patterns are gone through, by their place."""
    met: dict[tuple[str, int], set[re.Pattern[str]]] = {}

    def noting(function: Callable[..., Any]) -> Callable[..., Any]:
        def noted(expression: Any, *rest: Any, **named: Any) -> Any:
            frame = sys._getframe(1)
            module = frame.f_globals.get("__name__", "")
            if module.startswith("proofhook") and module not in WITH_RE:
                flags = named.get("flags", rest[-1] if isinstance(rest[-1:], re.RegexFlag) else 0)
                place = (module, frame.f_lineno)
                met.setdefault(place, set()).add(compile_it(expression, flags))
            return function(expression, *rest, **named)

        return noted

    compile_it = re.compile
    for module in module_names():
        for value in vars(import_module(module)).values():
            if hasattr(value, "cache_clear"):
                value.cache_clear()
    with pytest.MonkeyPatch.context() as patch:
        for name in FUNCTIONS:
            patch.setattr(re, name, noting(getattr(re, name)))
        go_through_everything()
    return met


CALLS = list(calls())
ALL = {re.sub(r"^proofhook[._]", "", name): found for name, found in held()}
ALL |= {
    f"{call.module.partition('.')[2]}:{call.first}": found
    for call in CALLS
    if (found := call.known()) is not None
}
PUT_TOGETHER = [call for call in CALLS if call.known() is None and call.inside]


def test_each_comes_to_the_same_with_a_program_of_its_own() -> None:
    for found in ALL.values():
        assert programs.compiled(found.pattern, found.flags) == found


def test_the_expressions_are_found() -> None:
    assert "reading.labels.NUMBERED" in ALL
    assert "HEADS[work]" in ALL
    assert len(ALL) > 600
    assert len(CALLS) > 200


def test_modules_hold_their_expressions_where_they_are_found() -> None:
    root = Path(proofhook.__file__).parent
    for path in root.rglob("*.py"):
        assert not re.search(r"(?m)^_?[A-Z]\w* = re\.compile", path.read_text("utf-8")), path


has_timer = pytest.mark.skipif(
    not hasattr(signal, "SIGVTALRM"), reason="this system has no such timer"
)


def goes_through(found: re.Pattern[str]) -> None:
    """Try an expression on words that lead bad ones back and forth."""
    with at_most(SECONDS):
        for bait in (*BAIT, "in next ", "N S in ", "ch N sp ", "? ", "! ", "N "):
            words = (bait * LENGTH)[:LENGTH]
            found.match(words + "\0")
            found.search(f"a: {words}\0")
        for words in pumped(found, LENGTH):
            found.match(words)
            found.search(words)


@has_timer
@pytest.mark.parametrize("name", ALL)
def test_no_expression_goes_back_and_forth(name: str) -> None:
    goes_through(ALL[name])


@has_timer
@pytest.mark.parametrize("call", PUT_TOGETHER, ids=lambda call: f"{call.module}:{call.first}")
def test_none_that_is_put_together_goes_back_and_forth(call: Call) -> None:
    met = met_at_work()
    found = [met.get((call.module, line), set()) for line in range(call.first, call.last + 1)]
    assert any(found), "no text that is gone through needs this expression"
    for expression in set().union(*found):
        goes_through(expression)


@has_timer
@pytest.mark.parametrize("bad", ["(a+)+b", r"(\s*,?)*x", r"(?:st|sts?)*z", r"x(\d+ ?)*y"])
def test_one_that_goes_back_and_forth_is_noticed(bad: str) -> None:
    with pytest.raises(TooLongError):
        goes_through(re.compile(bad))


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
    found = [match.span() for match in Words(words, plurals=True).found_in(text)]
    assert found == [match.span() for match in plain.finditer(text)]
    assert len(found) == 7
    assert not list(Words(["needle"]).found_in("needles"))
