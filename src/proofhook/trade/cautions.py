"""The usual cautions: what a pattern uses that can hurt, and what is usually said of it.

They remind and never certify: each ends in the sentence that local rules and qualified
advice decide.  Sources: ``cautions.toml``, row by row.
"""

from __future__ import annotations

import re
from functools import cache

from proofhook.expressions import Sought, expression
from proofhook.passages import is_in
from proofhook.records import dataclass
from proofhook.text import Span
from proofhook.trade import table
from proofhook.trade.wordlists import Words, spans_outside, unless_of


@dataclass(frozen=True, slots=True)
class Caution:
    """A caution that a text calls for, with the words that call for it.

    ``given`` tells whether the text already says something of the kind.
    """

    id: str
    say: str
    why: str
    spans: tuple[Span, ...]
    given: bool


@dataclass(frozen=True, slots=True)
class _Row:
    id: str
    say: str
    why: str
    audience: frozenset[str]
    words: Words
    unless: re.Pattern[str] | Sought | None
    given: re.Pattern[str]


def cautions(text: str) -> tuple[Caution, ...]:
    """The cautions that a pattern of this text calls for, in the order of the table."""
    audience = audiences(text)
    found = []
    for row in _rows():
        if row.audience and not row.audience & audience:
            continue
        spans = tuple(spans_outside(row.words.found_in(text), row.unless))
        if spans:
            given = is_in(row.given, text)
            found.append(Caution(row.id, row.say, row.why, spans, given))
    return tuple(found)


def audiences(text: str) -> frozenset[str]:
    """Who or what the piece is for, by its words: "toy", "baby", "child", "pet"."""
    return frozenset(
        key
        for key, words, unless in _audiences()
        if next(spans_outside(words.found_in(text), unless), None)
    )


@cache
def _rows() -> tuple[_Row, ...]:
    deferring = table("cautions")["defer"]["say"]
    return tuple(
        _Row(
            id=row["id"],
            say=f"{row['say']} {deferring}",
            why=row["why"],
            audience=frozenset(row["for"]),
            words=Words(row["words"]),
            unless=unless_of(row),
            given=expression(row["given"], re.IGNORECASE),
        )
        for row in table("cautions")["caution"]
    )


@cache
def _audiences() -> tuple[tuple[str, Words, re.Pattern[str] | Sought | None], ...]:
    return tuple(
        (row["key"], Words(row["words"]), unless_of(row)) for row in table("cautions")["audience"]
    )
