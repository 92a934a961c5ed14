"""Notions and tools: which a text names, and which its instructions take for granted.

Sources: ``notions.toml``, row by row.
"""

from __future__ import annotations

import re
from collections.abc import Container, Iterable
from functools import cache

from proofhook.expressions import Sought, expression, lowered_alike
from proofhook.passages import Found, found_in
from proofhook.records import dataclass
from proofhook.text import Span
from proofhook.trade import table
from proofhook.trade.wordlists import Words, spans_outside, unless_of


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
    words: Words
    used: re.Pattern[str] | None
    unless: re.Pattern[str] | Sought | None
    needs: tuple[str, ...]


def named(text: str, keys: Container[str] | None = None) -> tuple[Notion, ...]:
    """The notions that a text names, as a list of materials does; only these ``keys``, if given."""
    return tuple(found for row in _rows(keys) if (found := _found(row, row.words.found_in(text))))


def used(text: str, keys: Container[str] | None = None) -> tuple[Notion, ...]:
    """The notions that instructions need: "place marker", "stuff firmly", "sew"."""
    lowered = lowered_alike(text)
    return tuple(
        found
        for row in _rows(keys)
        if row.used
        and any(need in lowered for need in row.needs)
        and (found := _found(row, found_in(row.used, text)))
    )


def _found(row: _Row, found: Iterable[Found]) -> Notion | None:
    spans = tuple(spans_outside(found, row.unless))
    return Notion(row.key, row.name, row.sure, spans) if spans else None


def _rows(keys: Container[str] | None = None) -> tuple[_Row, ...]:
    """The rows of the table, those of some keys only where these are given."""
    return _all() if keys is None else tuple(row for row in _all() if row.key in keys)


@cache
def _all() -> tuple[_Row, ...]:
    return tuple(
        _Row(
            key=row["key"],
            name=row["name"],
            sure=row["sure"],
            words=Words(row["words"], plurals=True),
            used=expression("|".join(row["used"]), re.IGNORECASE) if row["used"] else None,
            unless=unless_of(row),
            needs=tuple(row.get("needs", ())),
        )
        for row in table("notions")["notion"]
    )
