"""Finding the words of a table in a text: whole words, any capitals, longest first."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping
from typing import Any

from proofhook import expressions as rx
from proofhook.expressions import Sought, beginnings, expression, words_of
from proofhook.passages import Found, found_in, matches_in
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

    def found_in(self, text: str) -> Iterator[Found]:
        """The places of the words, in order."""
        if self._heads.isdisjoint(words_of(text)) and "" not in self._heads:
            return iter(())
        return found_in(self._expression, text)


def unless_of(row: Mapping[str, Any]) -> re.Pattern[str] | Sought | None:
    """What makes the words of a row of a table mean something else; None where nothing does."""
    if "unless-begins" in row:
        return Sought(row["unless"], re.IGNORECASE, begins=row["unless-begins"])
    return expression(row["unless"], re.IGNORECASE) if "unless" in row else None


def spans_outside(
    found: Iterable[Found], unless: re.Pattern[str] | Sought | None
) -> Iterator[Span]:
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
