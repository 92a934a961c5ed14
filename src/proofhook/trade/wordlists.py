"""Finding the words of a table in a text: whole words, any capitals, longest first."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from functools import lru_cache

from proofhook.expressions import expression
from proofhook.text import Span


class Words:
    """Words to be found as whole words; a blank in one stands for any blanks.

    ``plurals`` lets a word take an s.  ``finditer`` looks for letters of the words first:
    most words are not in most texts, and need no expression.
    """

    def __init__(self, words: Iterable[str], *, plurals: bool = False) -> None:
        longest_first = sorted(set(words), key=lambda word: (-len(word), word))
        inner = "|".join(re.escape(word).replace(r"\ ", r"[\s-]+") for word in longest_first)
        plural = "s?" if plurals else ""
        self._begin = tuple({word.split(" ")[0].lower() for word in longest_first})
        self._expression = expression(
            rf"(?<![\w'\u2019-])(?:{inner}){plural}(?![\w-])", re.IGNORECASE
        )

    def finditer(self, text: str) -> Iterator[re.Match[str]]:
        """The places of the words, in order."""
        lowered = _lowered(text)
        if any(begin in lowered for begin in self._begin):
            return self._expression.finditer(text)
        return iter(())


@lru_cache(maxsize=2)
def _lowered(text: str) -> str:
    return text.lower()


def spans_outside(
    found: Iterable[re.Match[str]], unless: re.Pattern[str] | None, text: str
) -> Iterator[Span]:
    """The spans of matches that no match of ``unless`` touches."""
    other: list[tuple[int, int]] | None = None if unless else []
    for match in found:
        if other is None:  # most words are not there at all, and need no second look
            assert unless is not None
            other = [match.span() for match in unless.finditer(text)]
        start, end = match.span()
        if not any(start < their_end and their_start < end for their_start, their_end in other):
            yield Span(start, end)
