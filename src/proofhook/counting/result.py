"""What the counting gives: a verdict for every row, with the figures and the working."""

from __future__ import annotations

from enum import Enum

from proofhook.pattern import Pattern, Piece, Row
from proofhook.records import dataclass
from proofhook.text import Span

#: Why a row cannot be worked out where every word of it is understood: by itself, and for
#: want of another row.
EDGE_UNSAID = "how many stitches are worked along an edge is not said"
BELOW_UNKNOWN = "the row below is not known"
BELOW_UNREAD = "the row below was not worked out, so this one cannot be"


class Verdict(str, Enum):
    """What is certain about a row."""

    AGREES = "agrees"
    DIFFERS = "differs"
    UNSTATED = "unstated"
    UNREAD = "unread"


@dataclass(frozen=True, slots=True)
class UnitCount:
    """One unit of a total: its words, the figures stated and worked, one a size.

    ``stated`` is None where the row states no total, ``worked`` where it is not known.
    ``span`` is where the stated figure stands, absolute; None without one.
    """

    unit: str
    stated: tuple[int, ...] | None
    worked: tuple[int, ...] | None
    span: Span | None = None


@dataclass(frozen=True, slots=True)
class Problem:
    """Something that does not come out, for a rule to report.

    ``kind``: "total" (a stated figure is not what is worked), "repeat" (a repeat
    does not come out even), "short" (the row needs more places than there are),
    "left" (places are left without the row saying so).
    ``span`` is absolute.  ``sizes`` are the 0-based sizes it holds for.
    """

    kind: str
    span: Span
    message: str
    sizes: tuple[int, ...] = ()


@dataclass(frozen=True, slots=True)
class RowTally:
    """The verdict on one row.

    ``stated`` and ``worked`` are in the unit of the first figure of the total, one
    figure a size; ``units`` holds every unit.  ``working`` is the arithmetic in one
    line of words.  ``unread`` are the absolute spans of the words that were not
    understood; ``reason`` says in words why a row is unread where no word is to blame.

    ``widths`` has for each size how wide each of the rows lies that the label stands for,
    in their order: the stitches and the chains of the spaces.  It is empty for an unread
    row, and for a size in which the row is not worked.  ``in_round`` tells that the row
    closes to a round.
    """

    piece: Piece
    row: Row
    stated: tuple[int, ...] | None
    worked: tuple[int, ...] | None
    verdict: Verdict
    units: tuple[UnitCount, ...]
    working: str
    unread: tuple[Span, ...] = ()
    reason: str = ""
    problems: tuple[Problem, ...] = ()
    below: tuple[int, ...] | None = None
    changes_count: bool = False
    widths: tuple[tuple[int, ...], ...] = ()
    in_round: bool = False


@dataclass(frozen=True, slots=True)
class CustomUsed:
    """How the turning chains of a piece were taken.

    ``said`` tells whether the pattern says so; otherwise the totals decided
    (``decided``) or nothing did and the usual custom was taken.
    ``consistent`` is False where no one custom suits all rows of the piece.
    """

    piece: Piece
    chains: int
    stitch: str
    counts: bool
    said: bool
    decided: bool
    span: Span
    consistent: bool = True


@dataclass(frozen=True, slots=True)
class Tally:
    """The verdicts on all rows of a pattern, in the order of the text."""

    pattern: Pattern
    rows: tuple[RowTally, ...]
    customs: tuple[CustomUsed, ...] = ()

    def count(self, verdict: Verdict) -> int:
        """How many rows have this verdict."""
        return sum(row.verdict is verdict for row in self.rows)
