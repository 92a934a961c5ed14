r"""Regular expressions that are compiled when they are first used.

There are hundreds in the program, and compiling them takes longer than reading a pattern;
one pattern needs few of them, and most were compiled in a run before (``programs.py``).

An expression with a name is an ``expression(...)`` at the top of a module.  One that says
all by itself may stand where it is used: ``rx.search(r"\d", words)`` is the same as
with ``re``.  Both are remembered, so that neither may hold anything that a designer wrote.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
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
