"""Words: what the reader could not make sense of."""

from __future__ import annotations

from collections.abc import Iterator

from proofhook.counting.overview import walk
from proofhook.counting.result import (
    BELOW_UNKNOWN,
    BELOW_UNREAD,
    EDGE_UNSAID,
    RowTally,
    Verdict,
)
from proofhook.pattern import Unread
from proofhook.proofing import Finding, Grade, Mend, ProofContext, rule
from proofhook.text import Span
from proofhook_rules.wording import joined, row_word, sentence, shown

MOST_QUOTED = 3


@rule("unread", Grade.QUERY)
def unread(context: ProofContext) -> Iterator[Finding]:
    """Every row can be read and worked out.

    What is not understood is not checked.  The words are named, so that the designer
    can see whether they are a slip, an abbreviation that the pattern does not explain,
    or fine as they are and to be checked by hand.

    Flagged:

        Rnd 1: 6 sc in a magic ring. (6)
        Rnd 2: Frumble 2 in each st around. (12)

    Passes:

        Rnd 1: 6 sc in a magic ring. (6)
        Rnd 2: 2 sc in each st around. (12)
    """
    for row, following in _to_blame(context.tally.rows):
        if _cannot_be_worked(row):
            continue
        words = "these words" if row.unread else "this"
        yield context.finding(
            _span(row),
            _message(context, row),
            row=row,
            working=_want_of_it(row, following),
            mends=[Mend(f"Put {words} another way, or check the {row_word(row)} by hand.")],
        )


def _to_blame(rows: tuple[RowTally, ...]) -> list[tuple[RowTally, int]]:
    """The unread rows, each with the number of rows that are unread only for want of it."""
    blamed: list[tuple[RowTally, int]] = []
    before: RowTally | None = None
    for row in rows:
        if row.verdict is Verdict.UNREAD:
            wants = not row.unread or (_is_understood(row) and row.reason in _WANTS_BELOW)
            follows = before is not None and before.piece is row.piece and wants
            if follows and before is not None and before.verdict is Verdict.UNREAD:
                first, following = blamed[-1]
                blamed[-1] = (first, following + 1)
            else:
                blamed.append((row, 0))
        before = row
    return blamed


#: Why a row is unread that only wants the count of the one below.
_WANTS_BELOW = frozenset({BELOW_UNKNOWN, BELOW_UNREAD})


def _is_understood(row: RowTally) -> bool:
    """Whether every word of the row was read, so that only its count is not known."""
    return not any(isinstance(step, Unread) for step in walk(row.row.steps))


def _cannot_be_worked(row: RowTally) -> bool:
    """Whether nothing is to be done: the count of stitches along an edge, or where a row is
    taken up that was left before, is the maker's to see.
    """
    if not _is_understood(row):
        return False
    return row.row.detached or (row.reason == EDGE_UNSAID and row.stated is None)


def _want_of_it(row: RowTally, following: int) -> str:
    if not following:
        return ""
    rows = f"{following} {row_word(row)}s" if following > 1 else f"The {row_word(row)}"
    return f"{rows} after it could not be worked out either, for want of its count."


def _span(row: RowTally) -> Span:
    return row.unread[0] if row.unread else row.row.span


def _message(context: ProofContext, row: RowTally) -> str:
    name = row_word(row)
    if not row.unread:
        return sentence(f"the {name} could not be worked out: {row.reason or 'no reason is known'}")
    quoted = list(dict.fromkeys(shown(context.quote(span)) for span in row.unread))
    if len(quoted) == 1 and row.reason and _is_understood(row):
        return sentence(f"{quoted[0]} could not be worked out: {row.reason}")
    if len(quoted) > MOST_QUOTED:
        quoted = [*quoted[:MOST_QUOTED], f"{len(quoted) - MOST_QUOTED} more"]
    verb = "is" if len(quoted) == 1 else "are"
    return sentence(f"{joined(quoted)} {verb} not understood, so the {name} was not worked out")


RULES = (unread,)
