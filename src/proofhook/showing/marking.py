"""Marking up a row: the text as it stands, with the corrections marked in it.

A proofreader marks twice: in the text, where something is wrong, and in the margin
beside that line, what is to be done.  So does this: words between ``‹ ›`` are struck
out or asked about, ``‸`` shows where something goes in, and the margin says what.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from proofhook.expressions import expression
from proofhook.proofing.finding import Finding
from proofhook.records import NamedTuple
from proofhook.showing.ink import Paper, cells, parts_of, tame
from proofhook.text import Edit, Span

#: Marks in the text and in the margin, and what stands for them without Unicode.
OPEN, CLOSE, INSERT, GAP = "‹", "›", "‸", " … "
PLAIN = {OPEN: "<", CLOSE: ">", INSERT: "^", GAP: " ... "}

BLANKS = expression(r"(\s+)")

#: Longer quotations are cut down to the words around the marks.
MOST_SHOWN, AROUND = 900, 160
LONGEST_MARGIN_NOTE = 9


class Mark(NamedTuple):
    """A mark at a stretch of the text, with the note that goes in the margin."""

    span: Span
    note: str
    style: str


class Line(NamedTuple):
    """A line of the marked row, or a word of it, and the margin notes that stand beside it.

    ``text`` may hold colours; ``width`` is how many cells it takes up on the page.
    """

    text: str
    width: int
    notes: tuple[str, ...] = ()


def marks_of(findings: Iterable[Finding], body: Span | None = None) -> list[Mark]:
    """The marks for findings: their first mend's edits, or else the words they ask about.

    A finding about the whole ``body`` of a row is only noted in the margin.
    """
    marks: dict[Mark, None] = {}
    for finding in findings:
        span = finding.span
        edits = finding.mends[0].edits if finding.mends else ()
        marks.update(dict.fromkeys(map(_correction, edits)))
        if not edits:
            sign = "?" if finding.grade.word == "query" else "!"
            if body and span.start <= body.start and span.end >= body.end:
                span = Span(span.start, span.start)
            marks[Mark(span, sign, "ringed")] = None
    return _apart(sorted(marks))


def _correction(edit: Edit) -> Mark:
    """The mark for an edit: words put in, words to be replaced, words to come out."""
    span, text = Span(edit.start, edit.end), edit.text.strip()
    if edit.start == edit.end:
        return Mark(span, _note(text, INSERT), "put in")
    return Mark(span, _note(text, "/") if text else "out", "struck")


def _note(text: str, sign: str) -> str:
    text = " ".join(text.split())
    return f"{text} {sign}" if len(text) <= LONGEST_MARGIN_NOTE else sign


def _apart(marks: Sequence[Mark]) -> list[Mark]:
    """Marks that do not overlap; of two that do, the one that begins first, or is shorter."""
    kept: list[Mark] = []
    for mark in marks:
        if not kept or mark.span.start >= kept[-1].span.end:
            kept.append(mark)
    return kept


def marked_lines(
    text: str, span: Span, marks: Sequence[Mark], width: int, paper: Paper
) -> list[Line]:
    """The words of ``span`` with the marks in them, in lines of at most ``width``."""
    within = [m for m in marks if span.start <= m.span.start and m.span.end <= span.end]
    lines: list[Line] = []
    line = Line("", 0)
    for word in _words(text, span, within, width, paper):
        if not line.width:
            line = word
        elif line.width + 1 + word.width > width:
            lines.append(line)
            line = word
        else:
            notes = (*line.notes, *word.notes)
            line = Line(f"{line.text} {word.text}", line.width + 1 + word.width, notes)
    return [*lines, line]


class _Run(NamedTuple):
    """A run of text in one style; ``note`` goes in the margin beside it."""

    text: str
    style: str = ""
    note: str = ""


def _words(text: str, span: Span, marks: Sequence[Mark], most: int, paper: Paper) -> Iterator[Line]:
    """The words of the quotation, with marks and colours put in, overlong ones parted."""
    whole, width, notes = "", 0, []
    for run in _runs(text, span, marks, paper):
        if run.note:
            notes.append(tame(run.note if paper.unicode else run.note.replace(INSERT, "^")))
        for part in BLANKS.split(run.text):
            for piece in () if part.isspace() else parts_of(tame(part), most):
                wide = cells(piece)
                if width + wide > most:
                    yield Line(whole, width, tuple(notes))
                    whole, width, notes = "", 0, []
                whole, width = whole + paper.ink(piece, run.style), width + wide
            if part.isspace() and whole:
                yield Line(whole, width, tuple(notes))
                whole, width, notes = "", 0, []
    if whole:
        yield Line(whole, width, tuple(notes))


def _runs(text: str, span: Span, marks: Sequence[Mark], paper: Paper) -> Iterator[_Run]:
    """The stretches that are shown, cut at the marks, with the signs between."""
    signs = {sign: sign if paper.unicode else plain for sign, plain in PLAIN.items()}
    for begin, end in _stretches(span, marks):
        start = begin
        if start > span.start:
            yield _Run(signs[GAP])
        for mark in marks:
            if not start <= mark.span.start <= end:
                continue
            first, last = mark.span.start, min(mark.span.end, end)
            yield _Run(text[start:first])
            if first == mark.span.end:
                yield _Run(signs[INSERT] if mark.style == "put in" else "", mark.style, mark.note)
            else:
                yield _Run(signs[OPEN], "", mark.note)
                yield _Run(text[first:last], mark.style)
                yield _Run(signs[CLOSE])
            start = last
        yield _Run(text[start:end])
        if end < span.end:
            yield _Run(signs[GAP])


def _stretches(span: Span, marks: Sequence[Mark]) -> list[tuple[int, int]]:
    """What is shown of a row: all of it, or the words around the first and the last mark."""
    if span.end - span.start <= MOST_SHOWN:
        return [(span.start, span.end)]
    places = [m.span for m in marks] or [Span(span.start, span.start)]
    shown = [(span.start, min(span.end, span.start + AROUND))]
    for place in (places[0], places[-1]):
        start = max(span.start, place.start - AROUND)
        end = min(span.end, max(place.start, min(place.end, place.start + AROUND)) + AROUND)
        if start <= shown[-1][1]:
            shown[-1] = (shown[-1][0], max(end, shown[-1][1]))
        else:
            shown.append((start, end))
    return shown
