r"""Regular expressions that are compiled when they are first used.

There are hundreds in the program, and compiling them takes longer than reading a pattern;
one pattern needs few of them, and most were compiled in a run before (``programs.py``).

An expression with a name is an ``expression(...)`` at the top of a module.  One that says
all by itself may stand where it is used: ``rx.search(r"\d", words)`` is the same as
with ``re``.  Both are remembered, so that neither may hold anything that a designer wrote.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator
from functools import lru_cache
from typing import TYPE_CHECKING, Any

from proofhook.programs import compiled

METHODS = ("match", "search", "fullmatch", "finditer", "findall", "sub", "subn", "split")


class Expression:
    """Stands for ``re.compile(pattern, flags)`` until it is first asked for something."""

    if TYPE_CHECKING:
        pattern: str
        flags: int

    def __init__(self, pattern: str, flags: int = 0) -> None:
        self.pattern = pattern
        self.flags = flags

    def __getattr__(self, name: str) -> object:
        if name not in METHODS:
            raise AttributeError(name)
        found = compiled(self.pattern, self.flags)
        for method in METHODS:
            setattr(self, method, getattr(found, method))
        return getattr(found, name)


if TYPE_CHECKING:
    expression = re.compile
else:
    expression = Expression


class Sought(Expression):
    r"""An expression of which it is known with what letters that which it finds begins.

    ``re`` tries an expression such as ``\b(?:weave|sew)\w*`` at every place of a text;
    letters alone it finds in a tenth of the time.  ``begins`` are words in small letters,
    one of which stands where a match begins, whatever its capitals in the text.
    """

    def __init__(self, pattern: str, flags: int = 0, *, begins: str) -> None:
        super().__init__(pattern, flags)
        self.begins = tuple(begins.split("|"))
        self.match: Callable[[str, int, int], re.Match[str] | None]

    def may_be_in(self, text: str) -> bool:
        """Whether a text has any letters with which a match begins."""
        lowered = lowered_alike(text)
        return any(begin in lowered for begin in self.begins)

    def first(self, text: str) -> re.Match[str] | None:
        """The first match in a text, as ``search`` gives it."""
        return next(self.each(text), None)

    def each(self, text: str, start: int = 0, end: int | None = None) -> Iterator[re.Match[str]]:
        """All matches in a text, or in a stretch of it, as ``finditer`` gives them."""
        lowered = lowered_alike(text)
        end = len(text) if end is None else end
        places: list[int] = []
        for begin in self.begins:
            at = lowered.find(begin, start, end)
            while at >= 0:
                places.append(at)
                at = lowered.find(begin, at + 1, end)
        places.sort()
        done = -1
        for place in places:
            found = self.match(text, place, end) if place >= done else None
            if found is not None:
                yield found
                done = max(found.end(), place + 1)


def beginnings(words: Iterable[str]) -> tuple[str, ...]:
    """Those of some words with which all of them begin: "sc" is enough for "sc2tog" as well."""
    kept: list[str] = []
    for word in sorted(words):
        if not (kept and word.startswith(kept[-1])):
            kept.append(word)
    return tuple(kept)


@lru_cache(maxsize=24)
def words_of(text: str) -> frozenset[str]:
    """All runs of the letters a to z in a text, in small letters."""
    return frozenset(re.findall("[a-z]+", lowered_alike(text)))


@lru_cache(maxsize=64)
def lowered_alike(text: str) -> str:
    """A text in small letters, each where it was: what an expression takes for the same."""
    lowered = text.lower()
    if len(lowered) != len(text):
        lowered = "".join(each.lower() if len(each.lower()) == 1 else each for each in text)
    if text.isascii() or not any(chr(each) in lowered for each in _ALIKE):
        return lowered
    return lowered.translate(_ALIKE)


#: Small letters that an expression without regard to capitals takes for others.
_ALIKE = {0x17F: "s", 0x131: "i", 0x130: "i"}


class _Used(dict[tuple[str, int], re.Pattern[str]]):
    """The expressions that stand where they are used, by their words and flags."""

    def __missing__(self, key: tuple[str, int]) -> re.Pattern[str]:
        self[key] = found = compiled(*key)
        return found


_used = _Used()


def match(pattern: str, text: str, flags: int = 0) -> re.Match[str] | None:
    """As ``re.match``."""
    return _used[pattern, flags].match(text)


def fullmatch(pattern: str, text: str, flags: int = 0) -> re.Match[str] | None:
    """As ``re.fullmatch``."""
    return _used[pattern, flags].fullmatch(text)


def search(pattern: str, text: str, flags: int = 0) -> re.Match[str] | None:
    """As ``re.search``."""
    return _used[pattern, flags].search(text)


def finditer(pattern: str, text: str, flags: int = 0) -> Iterator[re.Match[str]]:
    """As ``re.finditer``."""
    return _used[pattern, flags].finditer(text)


def findall(pattern: str, text: str, flags: int = 0) -> list[Any]:
    """As ``re.findall``."""
    return _used[pattern, flags].findall(text)


def split(pattern: str, text: str, maxsplit: int = 0, flags: int = 0) -> list[str | Any]:
    """As ``re.split``."""
    return _used[pattern, flags].split(text, maxsplit)


def sub(
    pattern: str,
    instead: str | Callable[[re.Match[str]], str],
    text: str,
    count: int = 0,
    flags: int = 0,
) -> str:
    """As ``re.sub``."""
    return _used[pattern, flags].sub(instead, text, count)
