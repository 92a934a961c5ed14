"""Finding the words of a table in a text: whole words, any capitals, longest first."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping
from typing import Any

from proofhook import expressions as rx
from proofhook.expressions import Sought, beginnings, expression, words_of
from proofhook.text import Span


class Words:
    """Words to be found as whole words; a blank in one stands for any blanks.

    ``plurals`` lets a word take an s.
    """

    def __init__(self, words: Iterable[str], *, plurals: bool = False) -> None:
        longest_first = sorted(set(words), key=lambda word: (-len(word), word))
        inner = "|".join(re.escape(word).replace(r"\ ", r"[\s-]+") for word in longest_first)
        plural = "s?" if plurals else ""
        self._expression = Sought(
            rf"(?<![\w'\u2019-])(?:{inner}){plural}(?![\w-])",
            re.IGNORECASE,
            begins="|".join(beginnings(word.split(" ")[0].lower() for word in longest_first)),
        )
        #: A text without any of these runs of letters has none of the words.
        self._heads = {rx.findall("[a-z]*", word.lower())[0] for word in longest_first}
        if plurals:
            self._heads |= {f"{head}s" for head in self._heads}

    def finditer(self, text: str) -> Iterator[re.Match[str]]:
        """The places of the words, in order."""
        if self._heads.isdisjoint(words_of(text)) and "" not in self._heads:
            return iter(())
        return self._expression.each(text)


def unless_of(row: Mapping[str, Any]) -> re.Pattern[str] | Sought | None:
    """What makes the words of a row of a table mean something else; None where nothing does."""
    if "unless-begins" in row:
        return Sought(row["unless"], re.IGNORECASE, begins=row["unless-begins"])
    return expression(row["unless"], re.IGNORECASE) if "unless" in row else None


def spans_outside(
    found: Iterable[re.Match[str]], unless: re.Pattern[str] | Sought | None, text: str
) -> Iterator[Span]:
    """The spans of matches that no match of ``unless`` touches."""
    other: list[tuple[int, int]] | None = None if unless else []
    for match in found:
        if other is None:  # most words are not there at all, and need no second look
            assert unless is not None
            found_by = unless.each if isinstance(unless, Sought) else unless.finditer
            other = [match.span() for match in found_by(text)]
        start, end = match.span()
        if not any(start < their_end and their_start < end for their_start, their_end in other):
            yield Span(start, end)
