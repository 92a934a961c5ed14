"""Lines: one finding or one row a line, in the form that editors take apart.

``path:line:column: grade: message (rule)``, after the GNU Coding Standards,
"Formatting Error Messages".  Line and column count from 1.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from proofhook.showing.ink import tame

if TYPE_CHECKING:
    from proofhook.counting.result import RowTally, Tally
    from proofhook.proofing.proof import Proof
    from proofhook.showing.forms import Run
    from proofhook.showing.ink import Paper
    from proofhook.showing.sums import Shown


def proof_text(proof: Proof, _: Paper) -> str:
    """The lines about one proof."""
    return "".join([f"{line}\n" for line in proof_lines(proof)])


def tally_text(tally: Tally, _: Paper) -> str:
    """The lines about one tally."""
    return "".join([f"{line}\n" for line in tally_lines(tally)])


def write_proofs(run: Run[Shown]) -> Iterator[str]:
    """The text of a run: a line for each finding."""
    return (shown.text for shown in run)


def write_tallies(run: Run[Shown]) -> Iterator[str]:
    """The text of a run: a line for each row."""
    return (shown.text for shown in run)


def proof_lines(proof: Proof) -> Iterator[str]:
    """A line for each finding."""
    source = proof.pattern.source
    for finding in proof.findings:
        line, column = source.position(finding.span.start)
        words = f"{finding.grade.word}: {finding.message} ({finding.rule})"
        yield tame(f"{source.path}:{line}:{column}: {words}")


def tally_lines(tally: Tally) -> Iterator[str]:
    """A line for each row: verdict, figures and working."""
    source = tally.pattern.source
    for tallied in tally.rows:
        line, column = source.position(tallied.row.span.start)
        yield tame(f"{source.path}:{line}:{column}: {tallied.verdict.value}: {_row(tallied)}")


def _row(tallied: RowTally) -> str:
    name = ", ".join(filter(None, (tallied.piece.name, tallied.row.name)))
    from proofhook.showing.tally_page import amount

    figures = f"states {amount(tallied.stated)}, makes {amount(tallied.worked)}"
    working = " ".join((tallied.working or tallied.reason).split())
    return f"{name}: {figures}" + (f" ({working})" if working else "")
