"""Rows and what was found in them, for all displays that go row by row."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from proofhook.counting.result import RowTally
    from proofhook.proofing.finding import Finding
    from proofhook.proofing.proof import Proof

#: What stands outside of all rows goes under this name.
OUTSIDE = "Outside the rows"


def basis(finding: Finding, tallied: RowTally | None) -> str:
    """The word before what a finding rests on: arithmetic is worked, all else is a reason."""
    sums = tallied is not None and finding.working == tallied.working
    return "worked" if sums or " = " in finding.working else "because"


def findings_and_rows(proof: Proof) -> Iterator[tuple[Finding, RowTally | None]]:
    """Each finding, in its order, with the row it stands in."""
    rows = iter(sorted(proof.tally.rows, key=lambda tallied: tallied.row.span))
    held = next(rows, None)
    for finding in proof.findings:
        while held and held.row.span.end <= finding.span.start:
            held = next(rows, None)
        yield finding, held if held and held.row.span.start <= finding.span.start else None


def rows_and_findings(proof: Proof) -> Iterator[tuple[RowTally | None, list[Finding]]]:
    """Each row, in its order, with what was found in it; at the end what stands outside."""
    outside: list[Finding] = []
    inside: dict[int, list[Finding]] = {}
    for finding, tallied in findings_and_rows(proof):
        (inside.setdefault(id(tallied), []) if tallied else outside).append(finding)
    for tallied in proof.tally.rows:
        yield tallied, inside.get(id(tallied), [])
    yield None, outside
