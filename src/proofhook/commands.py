"""The two commands: proofs and tallies, each in the form that was asked for."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterable, Iterator
from typing import TYPE_CHECKING, Any

from proofhook.desk import Desk
from proofhook.showing.ink import counted, paper_of

if TYPE_CHECKING:
    from proofhook.counting.result import Tally
    from proofhook.desk import Mender
    from proofhook.proofing.proof import Proof

#: How many things could not be done, and how many findings fail the run.
Outcome = tuple[int, int]


def proof_files(
    names: list[str], form: str, pass_over: bool, mend: Mender | None = None
) -> Outcome:
    """Proof the files and write the findings, those that are left after ``mend``."""
    desk = Desk()
    proofs = desk.proofs(names, pass_over, mend)
    if form == "page":
        _proof_pages(proofs, desk)
    elif form == "lines":
        from proofhook.showing.lines import proof_lines

        _write(line for proof in proofs for line in proof_lines(proof))
    else:
        from proofhook.showing.as_json import proof_value

        _write_json(proof_value(proof) for proof in proofs)
    if form != "page" and desk.passed_over and pass_over:
        print(f"{counted(desk.passed_over, 'file')} without rows passed over.", file=sys.stderr)
    if desk.left_out:
        said = f"{counted(desk.left_out, 'file')} left out by the house style sheet."
        print(said, file=sys.stderr)
    return desk.trouble, desk.failing


def tally_files(names: list[str], form: str, pass_over: bool) -> Outcome:
    """Tally the files and write the rows; a tally lists and judges nothing."""
    desk = Desk()
    tallies = desk.tallies(names, pass_over)
    if form == "page":
        _tally_pages(tallies)
    elif form == "lines":
        from proofhook.showing.lines import tally_lines

        _write(line for tally in tallies for line in tally_lines(tally))
    else:
        from proofhook.showing.as_json import tally_value

        _write_json(tally_value(tally) for tally in tallies)
    return desk.trouble, 0


RUN: dict[str, Callable[[list[str], str, bool], Outcome]] = {
    "proof": proof_files,
    "tally": tally_files,
}


def _proof_pages(proofs: Iterable[Proof], desk: Desk) -> None:
    from proofhook.proofing.house import House
    from proofhook.showing.page import Sums, closing, page

    paper, sums = paper_of(sys.stdout), Sums()
    for proof in proofs:
        sums = sums.plus(proof)
        _write(page(proof, paper))
    sums = sums._replace(passed_over=desk.passed_over, not_done=desk.not_done, trouble=desk.trouble)
    _write(closing(sums, desk.least or House().failing, paper))


def _tally_pages(tallies: Iterable[Tally]) -> None:
    from proofhook.showing.tally_page import tally_closing, tally_page

    paper, counts, files = paper_of(sys.stdout), dict[str, int](), 0
    for tally in tallies:
        files += 1
        for row in tally.rows:
            counts[row.verdict.value] = counts.get(row.verdict.value, 0) + 1
        _write(tally_page(tally, paper))
    _write(tally_closing(counts, files, paper))


def _write(lines: Iterable[str]) -> None:
    """Write lines; what the terminal's encoding lacks becomes a question mark."""
    if hasattr(sys.stdout, "reconfigure"):
        sys.stdout.reconfigure(errors="replace")
    for line in lines:
        sys.stdout.write(line + "\n")


def _write_json(values: Iterator[dict[str, Any]]) -> None:
    from proofhook.showing.as_json import in_files

    for part in in_files(values):
        sys.stdout.write(part)
