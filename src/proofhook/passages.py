"""Searching a text passage by passage, so that what was found in one need not be sought again.

A passage is a paragraph, or one row of it: it ends at an empty line, and before a line that
begins as rows do.  What is looked for never reaches from one passage into the next.  Rows say
the same again and again, within a pattern and between, and while a pattern is written all
passages but one stay as they were.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from functools import lru_cache, wraps
from typing import Any, TypeVar

from proofhook.expressions import Sought, expression, lowered_alike, words_of
from proofhook.records import NamedTuple

#: Where a passage ends: at an empty line, and before what may be the label of a row.
_END = expression(
    r"\n(?=[ \t]*\r?\n|[ \t]{0,20}(?:[*_>#-]{1,3}[ \t]{0,4})?"
    r"(?:(?:ro(?:w|und)|rn?d?)s?\b\.?[ \t]{0,3}\d"
    r"|\d{1,3}(?:st|nd|rd|th)?[ \t]{0,3}[.:]))",
    re.IGNORECASE,
)
#: Of each thing sought, so many passages are kept, none longer than so many letters.
MOST_KEPT = 2_048
LONGEST_KEPT = 4_096
#: A text longer than this is cut into its passages each time.
LONGEST_TEXT = 200_000

T = TypeVar("T")


class Passage(NamedTuple):
    """A passage: the offset at which it begins, and its words."""

    start: int
    words: str


class Found:
    """A match in a passage, with the offsets that it has in the whole text."""

    __slots__ = ("at", "match")

    def __init__(self, at: int, match: re.Match[str]) -> None:
        self.at = at
        self.match = match

    def __getitem__(self, group: int | str) -> str | Any:
        return self.match[group]

    @property
    def lastgroup(self) -> str | None:
        """The name of the last group that matched."""
        return self.match.lastgroup

    def start(self, group: int | str = 0) -> int:
        """Where a group of the match begins."""
        return self.at + self.match.start(group)

    def end(self, group: int | str = 0) -> int:
        """Where a group of the match ends."""
        return self.at + self.match.end(group)

    def span(self, group: int | str = 0) -> tuple[int, int]:
        """Where a group of the match lies."""
        return self.start(group), self.end(group)


def passages(text: str) -> tuple[Passage, ...]:
    """The passages of a text, in order; together they are the text."""
    return _passages(text) if len(text) <= LONGEST_TEXT else _cut(text)


def _cut(text: str) -> tuple[Passage, ...]:
    starts = [0, *(match.end() for match in _END.finditer(text))]
    ends = [*starts[1:], len(text)]
    return tuple(Passage(start, text[start:end]) for start, end in zip(starts, ends, strict=True))


#: The rules look at some forty texts: that of the pattern, and parts of it.
_passages = lru_cache(maxsize=64)(_cut)


def kept(work: Callable[[str], T]) -> Callable[[str], T]:
    """A pure function of some words whose answers are kept, until forget()."""
    remembered = lru_cache(maxsize=MOST_KEPT)(work)
    _forget.append(remembered.cache_clear)

    @wraps(work)
    def answer(words: str) -> T:
        return remembered(words) if len(words) <= LONGEST_KEPT else work(words)

    return answer


def found_in(sought: re.Pattern[str] | Sought, text: str) -> Iterator[Found]:
    """The places of an expression in a text, in order."""
    if isinstance(sought, Sought) and not sought.may_be_in(text):
        return
    known = _known.setdefault(sought, {})
    for start, words in passages(text):
        matches = known.get(words)  # most are known, and a call for each would cost more
        for match in matches_in(sought, words) if matches is None else matches:
            yield Found(start, match)


def matches_in(sought: re.Pattern[str] | Sought, words: str) -> tuple[re.Match[str], ...]:
    """The matches of an expression in one passage."""
    known = _known.setdefault(sought, {})
    matches = known.get(words)
    if matches is None:
        matches = tuple(
            sought.each(words) if isinstance(sought, Sought) else sought.finditer(words)
        )
        if len(known) >= MOST_KEPT:
            known.clear()
        if len(words) <= LONGEST_KEPT:
            known[words] = matches
    return matches


def is_in(sought: re.Pattern[str] | Sought, text: str) -> bool:
    """Whether something stands in a text."""
    return next(found_in(sought, text), None) is not None


def forget() -> None:
    """Let go of everything that is kept."""
    _known.clear()
    _passages.cache_clear()
    lowered_alike.cache_clear()
    words_of.cache_clear()
    for clear in _forget:
        clear()


_known: dict[re.Pattern[str] | Sought, dict[str, tuple[re.Match[str], ...]]] = {}
_forget: list[Callable[[], None]] = []
