"""The page: findings as a proofreader hands them back, by piece and row.

Each row that has findings is quoted once, with the corrections marked in it and in the
margin beside it; then every finding says in a sentence what is wrong, how that was
worked out and what would mend it.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import groupby
from typing import TYPE_CHECKING

from proofhook.proofing.finding import Finding, Grade
from proofhook.showing.ink import (
    Paper,
    cells,
    counted,
    joined,
    set_right,
    shown_path,
    tame,
    wrapped,
)
from proofhook.showing.marking import Mark, marked_lines, marks_of
from proofhook.showing.rows import OUTSIDE, basis, findings_and_rows
from proofhook.showing.sums import Sums
from proofhook.text import Source, Span

if TYPE_CHECKING:
    from proofhook.counting.result import RowTally
    from proofhook.proofing.proof import Proof
    from proofhook.showing.forms import Run
    from proofhook.showing.sums import Shown

#: The margin, the column for notes at the right, the same where the page is narrow, and
#: from where on it is not.
MARGIN, NOTES, TIGHT, ROOMY = 10, 12, 8, 56
#: How near a note may stand to the words.
NEAREST = 2

#: The signs in the margin that ask or object; all others put in.
SIGNS = {"?": "query", "!": "error"}

WORDS = {
    Grade.ERROR: ("error", "errors"),
    Grade.QUERY: ("query", "queries"),
    Grade.STYLE: ("point of style", "points of style"),
}


def proof_text(proof: Proof, paper: Paper) -> str:
    """The page of one pattern."""
    return "".join([f"{line}\n" for line in page(proof, paper)])


def write_proofs(run: Run[Shown]) -> Iterator[str]:
    """The text of a run: the page of each pattern, then the sums of all."""
    from proofhook.proofing.house import House

    sums, outcome = Sums(), run.outcome
    for shown in run:
        sums = sums.added(shown.sums)
        yield shown.text
    sums = sums._replace(
        passed_over=outcome.passed_over, not_done=outcome.not_done, trouble=len(outcome.told)
    )
    least = outcome.least or House().failing
    yield from (f"{line}\n" for line in closing(sums, least, run.paper))


def page(proof: Proof, paper: Paper) -> Iterator[str]:
    """The lines of the page for one pattern; none where there is nothing to say."""
    if not proof.findings:
        return
    source = proof.pattern.source
    yield paper.ink(shown_path(source.path), "title")
    for (piece, _), pairs in groupby(findings_and_rows(proof), key=_heading):
        if piece:
            yield ""
            yield paper.ink(tame(piece), "piece")
        for tallied, group in groupby(pairs, key=lambda pair: pair[1]):
            findings = [finding for finding, _ in group]
            for together in [findings] if tallied else [[each] for each in findings]:
                yield ""
                yield from _row_lines(source, tallied, together, paper)
    yield ""


def _heading(pair: tuple[Finding, RowTally | None]) -> tuple[str, int]:
    """The heading that a finding goes under; two parts may have the same name."""
    tallied = pair[1]
    return (tallied.piece.name, tallied.piece.span.start) if tallied else (OUTSIDE, -1)


def _row_lines(
    source: Source, tallied: RowTally | None, findings: list[Finding], paper: Paper
) -> Iterator[str]:
    """A row, marked, and what there is to say about it."""
    row = tallied.row if tallied else None
    line = source.line_of((row.span if row else findings[0].span).start)
    span = row.span if row else source.line_span(line)
    yield from _quotation(source, span, line, marks_of(findings, row.body if row else None), paper)
    worked = ""
    for finding in findings:
        sentence = f"{finding.message} ({finding.rule})"
        yield from _entry(finding.grade.word, sentence, paper, finding.grade.word)
        # A bare figure is in the sentence already, and nothing is worked out twice.
        if finding.working not in ("", worked) and not finding.working.isdecimal():
            yield from _entry(basis(finding, tallied), finding.working, paper)
            worked = finding.working
        for number, mend in enumerate(finding.mends):
            yield from _entry("or" if number else "to mend", mend.title, paper)


def _quotation(
    source: Source, span: Span, line: int, marks: list[Mark], paper: Paper
) -> Iterator[str]:
    """The marked words of a row, the notes set at the right edge of the page."""
    width = paper.width - MARGIN - 2
    apart = NOTES if width >= ROOMY else TIGHT
    note = f"line {line}"
    for quoted in marked_lines(source.text, span, marks, width - apart, paper):
        remark = "  ".join(quoted.notes)
        room = width - cells(remark)
        if remark and room - quoted.width < NEAREST:
            yield _beside(note, quoted.text, paper)
            for notes in wrapped(remark, width):
                yield _beside("", paper.ink(set_right(notes, width), "put in"), paper)
        elif remark:
            gap = " " * (room - quoted.width)
            signs = "  ".join(paper.ink(each, SIGNS.get(each, "put in")) for each in quoted.notes)
            yield _beside(note, quoted.text + gap + signs, paper)
        else:
            yield _beside(note, quoted.text, paper)
        note = ""


def _beside(note: str, text: str, paper: Paper, style: str = "margin") -> str:
    """A line with its margin; the note is set against the text."""
    return f"{' ' * (MARGIN - len(note))}{paper.ink(note, style)}  {text}".rstrip()


def _entry(note: str, text: str, paper: Paper, style: str = "margin") -> Iterator[str]:
    for line in wrapped(tame(text), paper.width - MARGIN - 2) or [""]:
        yield _beside(note, line, paper, style)
        note = ""


def closing(sums: Sums, least: Grade, paper: Paper) -> Iterator[str]:
    """The last lines: what was read, what was not, what was found and what fails the run.

    ``least`` is the lowest grade that fails a run in the houses at work.
    """
    told = [_rows_read(sums)]
    if sums.let_stand:
        told.append(f"{counted(sums.let_stand, 'finding')} let stand.")
    if sums.passed_over:
        told.append(f"{counted(sums.passed_over, 'file')} without rows passed over.")
    if sums.trouble:
        what = f"{counted(sums.not_done, 'file')} could not be" if sums.not_done else "Not all was"
        told.append(f"{what} proofed, so the run fails.")
    for words in told:
        yield from wrapped(words, paper.width)
    if not sums.rows:
        return
    style = "error" if sums.failing else "good"
    for line in wrapped(_found(sums, least), paper.width):
        yield paper.ink(line, style)


def _rows_read(sums: Sums) -> str:
    if not sums.rows:
        return "No rows were worked out."
    parts = (
        (sums.agree, "agrees", "agree"),
        (sums.differ, "differs", "differ"),
        (sums.unstated, "states no total", "state no total"),
    )
    told = ", ".join(f"{n} {one if n == 1 else many}" for n, one, many in parts if n)
    worked = f"{sums.rows - sums.unread} worked out{f' ({told})' if told else ''}"
    files = f" in {counted(sums.files, 'pattern')}" if sums.files != 1 else ""
    unread = f"{sums.unread} could not be read" if sums.unread else "none left unread"
    return f"{counted(sums.rows, 'row')}{files}: {worked}, {unread}."


def _found(sums: Sums, least: Grade) -> str:
    found = [counted(n, *WORDS[grade]) for grade, n in _by_grade(sums) if n]
    failing = joined([WORDS[grade][1] for grade, _ in _by_grade(sums) if grade >= least])
    verdict = "it fails" if sums.failing else "none here" if sums.trouble else "it passes"
    return f"{joined(found) or 'Nothing to mark'}. A run fails on {failing}: {verdict}."


def _by_grade(sums: Sums) -> tuple[tuple[Grade, int], ...]:
    return (
        (Grade.ERROR, sums.errors),
        (Grade.QUERY, sums.queries),
        (Grade.STYLE, sums.style),
    )
