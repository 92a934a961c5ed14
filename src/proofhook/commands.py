"""The two commands: proofs and tallies, each in the form that was asked for."""

from __future__ import annotations

import os
import sys
from collections.abc import Iterable, Iterator, Mapping
from contextlib import contextmanager
from io import TextIOWrapper
from typing import TYPE_CHECKING

from proofhook.catalogue.pace import ALONE, Pace
from proofhook.desk import Desk
from proofhook.files import STANDARD_INPUT, FileError, named_files, written_whole
from proofhook.showing.forms import PROOF_FORMS, FormError, Run, proof_form, tally_form
from proofhook.showing.ink import Paper, counted, paper_of

if TYPE_CHECKING:
    from typing import TextIO

    from proofhook.desk import Mender
    from proofhook.proofing.pack import Writer
    from proofhook.proofing.proof import Proof
    from proofhook.showing.sums import Shown

#: How many things could not be done, and how many findings fail the run.
Outcome = tuple[int, int]


def proof_files(
    names: list[str],
    form: str,
    pass_over: bool,
    out: str = "",
    mend: Mender | None = None,
    pace: Pace = ALONE,
) -> Outcome:
    """Proof the files and write the findings, those that are left after ``mend``."""
    desk = Desk(pace)
    try:
        brought, owners = _brought(form, names, desk)
        if form in brought:
            writer = _guarded(brought[form], form, owners[form], desk)
            with _output(out, names) as (stream, paper):
                _write(writer(Run(desk.proofs(names, pass_over, mend), desk, paper)), stream)
        else:
            ours = proof_form(form, brought)
            with _output(out, names) as (stream, paper):
                ours = ours.on(paper)
                if mend:
                    shown: Iterator[Shown] = map(ours.of_proof, desk.proofs(names, pass_over, mend))
                else:
                    shown = desk.shown(names, ours, pass_over)
                _write(ours.write(shown, desk, paper), stream)
    except (FileError, FormError) as error:
        desk.tell(str(error))
    if form != "page" and desk.passed_over and pass_over:
        print(f"{counted(desk.passed_over, 'file')} without rows passed over.", file=sys.stderr)
    if desk.left_out:
        said = f"{counted(desk.left_out, 'file')} left out by the house style sheet."
        print(said, file=sys.stderr)
    return desk.trouble, desk.failing


def tally_files(
    names: list[str], form: str, pass_over: bool, out: str = "", pace: Pace = ALONE
) -> Outcome:
    """Tally the files and write the rows; a tally lists and judges nothing."""
    desk = Desk(pace)
    try:
        ours = tally_form(form)
        with _output(out, names) as (stream, paper):
            _write(ours.write(desk.shown(names, ours.on(paper), pass_over), desk, paper), stream)
    except (FileError, FormError) as error:
        desk.tell(str(error))
    return desk.trouble, 0


def _brought(
    form: str, names: list[str], desk: Desk
) -> tuple[Mapping[str, Writer], Mapping[str, str]]:
    """The forms of the house's plug-ins and whose they are, where ours is not asked for."""
    if form in PROOF_FORMS:
        return {}, {}
    inside = os.path.join(names[0], "pattern.txt") if os.path.isdir(names[0]) else names[0]
    pack = desk.pack_of(inside)
    return (pack.forms, pack.form_owners) if pack else ({}, {})


def _guarded(writer: Writer, form: str, owner: str, desk: Desk) -> Writer:
    """A plug-in's writer; where it fails, the files are gone through all the same."""

    def guarded(proofs: Iterable[Proof]) -> Iterator[str]:
        from proofhook.faults import one_line, wants_traceback

        try:
            yield from writer(proofs)
        except OSError:
            raise
        except Exception as error:
            if wants_traceback():
                raise
            desk.tell(f"The form {form} of the plug-in {owner} failed: {one_line(error)}.")
        for _ in proofs:
            pass

    return guarded


def run(
    command: str, names: list[str], form: str, pass_over: bool, out: str, pace: Pace
) -> Outcome:
    """Proof or tally the files, at this pace."""
    if command == "tally":
        return tally_files(names, form, pass_over, out, pace)
    return proof_files(names, form, pass_over, out, pace=pace)


@contextmanager
def _output(out: str, names: list[str]) -> Iterator[tuple[TextIO, Paper]]:
    """Where to write, and what it can show: a file that is there once all is written.

    Raises FileError where it cannot be written, or is a pattern that is to be read.
    """
    if out in ("", STANDARD_INPUT):
        yield sys.stdout, paper_of(sys.stdout)
        return
    from os.path import exists, samefile

    for named in named_files(names, lambda _: None) if exists(out) else ():
        if exists(named.path) and samefile(named.path, out):
            raise FileError(f"{out}: this is a pattern that is to be read; name another file.")
    try:
        with written_whole(out) as file:
            stream = TextIOWrapper(file, "utf-8", newline="\n", errors="replace")
            try:
                yield stream, paper_of(stream)
            finally:
                stream.detach()
    except OSError as error:
        raise FileError(f"{out}: it cannot be written ({error.strerror or error}).") from None


def _write(parts: Iterable[str], stream: TextIO) -> None:
    """Write a text; what the terminal's encoding lacks becomes a question mark."""
    if isinstance(stream, TextIOWrapper):
        stream.reconfigure(errors="replace")
    for part in parts:
        stream.write(part)
