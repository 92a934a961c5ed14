"""Finding the words of a table in a text: whole words, any capitals, longest first."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator

from proofhook.text import Span


def words_expression(words: Iterable[str], *, plurals: bool = False) -> re.Pattern[str]:
    """An expression for any of the words as a whole word; a blank stands for any blanks.

    ``plurals`` lets a word take an s.
    """
    longest_first = sorted(set(words), key=lambda word: (-len(word), word))
    inner = "|".join(re.escape(word).replace(r"\ ", r"[\s-]+") for word in longest_first)
    plural = "s?" if plurals else ""
    return re.compile(rf"(?<![\w'\u2019-])(?:{inner}){plural}(?![\w-])", re.IGNORECASE)


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
