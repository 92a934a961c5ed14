"""Finding the words of a table in a text: whole words, any capitals, longest first."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from functools import lru_cache

from proofhook.expressions import expression
from proofhook.passages import Found, found_in, matches_in
from proofhook.text import Span


class Words:
    """Words to be found as whole words; a blank in one stands for any blanks.

    ``plurals`` lets a word take an s.  ``found_in`` looks for letters of the words first:
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

    def found_in(self, text: str) -> Iterator[Found]:
        """The places of the words, in order."""
        lowered = _lowered(text)
        if any(begin in lowered for begin in self._begin):
            return found_in(self._expression, text)
        return iter(())


@lru_cache(maxsize=2)
def _lowered(text: str) -> str:
    return text.lower()


def spans_outside(found: Iterable[Found], unless: re.Pattern[str] | None) -> Iterator[Span]:
    """The spans of matches that no match of ``unless`` in their passage touches."""
    passage = -1
    other: list[tuple[int, int]] = []
    for each in found:
        if unless is not None and each.at != passage:
            passage = each.at
            other = [match.span() for match in matches_in(unless, each.match.string)]
        start, end = each.match.span()
        if not any(start < their_end and their_start < end for their_start, their_end in other):
            yield Span(*each.span())
