"""The two commands: proofs and tallies, each in the form that was asked for."""

from __future__ import annotations

import os
import sys
from collections.abc import Callable, Iterable, Iterator
from typing import TYPE_CHECKING, Any

from proofhook.desk import Desk
from proofhook.showing.ink import counted, paper_of

if TYPE_CHECKING:
    from proofhook.counting.result import Tally
    from proofhook.desk import Mender
    from proofhook.proofing.pack import Writer
    from proofhook.proofing.proof import Proof

#: The forms of output that are always there; plug-ins may bring more for proofs.
FORMS = ("page", "lines", "json")

#: How many things could not be done, and how many findings fail the run.
Outcome = tuple[int, int]


def proof_files(
    names: list[str], form: str, pass_over: bool, mend: Mender | None = None
) -> Outcome:
    """Proof the files and write the findings, those that are left after ``mend``."""
    desk = Desk()
    writer = None if form in FORMS else _own_form(form, names, desk)
    if form not in FORMS and writer is None:
        return desk.trouble, 0
    proofs = desk.proofs(names, pass_over, mend)
    if writer is not None:
        _write_own(writer, form, proofs, desk)
    elif form == "page":
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
    if form not in FORMS:
        desk.tell(f"A tally has no form {form!r}; there are {', '.join(FORMS)}.")
        return desk.trouble, 0
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


def _own_form(form: str, names: list[str], desk: Desk) -> Writer | None:
    """The writer that a plug-in of the house brings for a form; None after saying why not."""
    inside = os.path.join(names[0], "pattern.txt") if os.path.isdir(names[0]) else names[0]
    pack = desk.pack_of(inside)
    forms = pack.forms if pack else {}
    if form not in forms:
        from proofhook.proofing.house import nearest

        known = (*FORMS, *sorted(set(forms) - set(FORMS)))
        near = nearest(form, known).rstrip(".")
        desk.tell(f"There is no form {form!r}{near} (there are {', '.join(known)}).")
    return forms.get(form)


def _write_own(writer: Writer, form: str, proofs: Iterable[Proof], desk: Desk) -> None:
    """Write with a plug-in's writer; where it fails, the files are gone through all the same."""
    from proofhook.faults import one_line, wants_traceback

    try:
        for part in writer(proofs):
            sys.stdout.write(part)
    except OSError:
        raise
    except Exception as error:
        if wants_traceback():
            raise
        desk.tell(f"The form {form} of a plug-in failed: {one_line(error)}.")
    for _ in proofs:
        pass


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
