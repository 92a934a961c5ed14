"""Notions and tools: which a text names, and which its instructions take for granted.

Sources: ``notions.toml``, row by row.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import cache

from proofhook.text import Span
from proofhook.trade import table
from proofhook.trade.wordlists import spans_outside, words_expression


@dataclass(frozen=True, slots=True)
class Notion:
    """A thing named or used in a text, with its places.

    ``key`` is the same whatever it is called; ``name`` is what to call it.  ``sure`` is
    False where the words can be followed without it (only then is a missing entry a
    question).
    """

    key: str
    name: str
    sure: bool
    spans: tuple[Span, ...]


@dataclass(frozen=True, slots=True)
class _Row:
    key: str
    name: str
    sure: bool
    words: re.Pattern[str]
    used: re.Pattern[str] | None
    unless: re.Pattern[str] | None


def named(text: str) -> tuple[Notion, ...]:
    """The notions that a text names, as a list of materials does."""
    return tuple(found for row in _rows() if (found := _found(row, row.words, text)))


def used(text: str) -> tuple[Notion, ...]:
    """The notions that instructions need: "place marker", "stuff firmly", "sew"."""
    return tuple(found for row in _rows() if row.used and (found := _found(row, row.used, text)))


def _found(row: _Row, expression: re.Pattern[str], text: str) -> Notion | None:
    spans = tuple(spans_outside(expression.finditer(text), row.unless, text))
    return Notion(row.key, row.name, row.sure, spans) if spans else None


@cache
def _rows() -> tuple[_Row, ...]:
    return tuple(
        _Row(
            key=row["key"],
            name=row["name"],
            sure=row["sure"],
            words=words_expression(row["words"], plurals=True),
            used=re.compile("|".join(row["used"]), re.IGNORECASE) if row["used"] else None,
            unless=re.compile(row["unless"], re.IGNORECASE) if "unless" in row else None,
        )
        for row in table("notions")["notion"]
    )
