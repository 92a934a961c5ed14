"""Where the number of a row and its turning chain stand: two wishes of ``house-marks``."""

from __future__ import annotations

import re
from collections.abc import Iterator

from proofhook.counting.result import RowTally
from proofhook.expressions import expression
from proofhook.pattern import Chain, Turn
from proofhook.proofing import Finding, Mend, ProofContext
from proofhook.text import Span
from proofhook_rules.wording import row_word, sentence, shown

_NUMBER_FIRST = expression(
    r"\d+(?:st|nd|rd|th)\b|(?:first|second|third|fourth|fifth)\b", re.IGNORECASE
)


def label_forms(context: ProofContext) -> Iterator[Finding]:
    """One finding for all labels that begin the other way: "4th row", or "Row 4"."""
    wanted = context.options["label-form"]
    other = [
        row
        for row in context.tally.rows
        if row.row.label
        and row.row.label.first
        and row.row.label.kind in ("row", "round")
        and bool(_NUMBER_FIRST.match(row.row.label.text)) is (wanted == "word")
    ]
    if wanted and other:
        row = other[0]
        label = row.row.label
        better = "Row 4" if wanted == "word" else "4th row"
        yield context.finding(
            label.span if label else row.row.span,
            sentence(f"the house puts the {wanted} first in labels{_in_all(other)}"),
            row=row,
            mends=[Mend(f"Write labels as in {shown(better)}.")],
        )


def turning_chains(context: ProofContext) -> Iterator[Finding]:
    """One finding for all turning chains that stand on the other side of the turn."""
    wanted = context.options["turning-chain"]
    span_of = _after_the_row if wanted == "start" else _before_the_row
    found = [(row, span) for row in context.tally.rows if (span := span_of(row))] if wanted else []
    if found:
        row, span = found[0]
        where = "at the start of their row" if wanted == "start" else "before the turn"
        yield context.finding(
            span,
            sentence(f"the house tells turning chains {where}{_in_all([r for r, _ in found])}"),
            row=row,
            mends=[Mend(f"Move the chain {'behind' if wanted == 'start' else 'before'} the turn.")],
        )


def _in_all(rows: list[RowTally]) -> str:
    return f", in {len(rows)} {row_word(rows[0])}s" if len(rows) > 1 else ""


def _after_the_row(row: RowTally) -> Span | None:
    """The chain at the end of a row, beside its turn."""
    steps = row.row.steps
    turns = [at for at, step in enumerate(steps) if isinstance(step, Turn)]
    for at in turns[-1:]:
        for step in (*steps[max(0, at - 1) : at], *steps[at + 1 : at + 2]):
            if isinstance(step, Chain) and steps.index(step) > 1:
                return step.span.moved(row.row.body.start)
    return None


def _before_the_row(row: RowTally) -> Span | None:
    """The chain that begins a row of a piece that is turned."""
    if not any(isinstance(step, Turn) for each in row.piece.rows for step in each.steps):
        return None
    first = next((step for step in row.row.steps if not isinstance(step, Turn)), None)
    numbered = row.row.label and row.row.label.first and row.row.label.first[0] > 1
    short = isinstance(first, Chain) and max(first.count) <= 5
    return first.span.moved(row.row.body.start) if numbered and short and first else None
