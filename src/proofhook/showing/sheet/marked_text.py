"""The text of the pattern as it stands, marked as a proofreader marks it.

In the text, where something is wrong: words struck through, words ringed, a caret where
something goes in.  In the margin, beside the row: what is wrong, how it was worked out,
what would mend it.  Marks and notes have the same number.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from proofhook.counting.result import RowTally, Verdict
from proofhook.proofing.finding import Finding
from proofhook.proofing.proof import Proof
from proofhook.records import NamedTuple
from proofhook.showing.marking import Mark, marks_of
from proofhook.showing.sheet.counts import SIGNS, WORDS
from proofhook.text import Source, Span

#: What may stand around a heading on its line.
EDGES = " \t:.#*_=-"

#: The letters in a line of the text and in one of the margin, and how high that is beside it.
TEXT_LINE, MARGIN_LINE, MARGIN_HIGH = 60, 44, 0.85


#: Of more empty lines together than these the rest is not shown.
MOST_BLANKS = 3


class Bit(NamedTuple):
    """A stretch of a line: ``style`` is "", "struck", "ringed" or "put in".

    ``numbers`` are the notes whose mark ends here.
    """

    text: str
    style: str = ""
    grade: str = ""
    numbers: tuple[int, ...] = ()


class Note(NamedTuple):
    """A finding in the margin; ``signs`` are the marks that go with those in the text."""

    number: int
    finding: Finding
    line: int
    signs: tuple[str, ...]


class Line(NamedTuple):
    """A line of the text; the verdict is that of the row that begins here, "" without one."""

    number: int
    bits: tuple[Bit, ...]
    heading: bool = False
    verdict: str = ""
    sign: str = ""
    word: str = ""


class Block(NamedTuple):
    """A line with notes and the lines that stand beside these, or lines without any."""

    first: Line
    notes: tuple[Note, ...]
    rest: tuple[Line, ...]


class Placed(NamedTuple):
    """A mark with the numbers of the notes it belongs to."""

    mark: Mark
    grade: str
    numbers: tuple[int, ...]


def notes_of(proof: Proof) -> tuple[Note, ...]:
    """The findings, numbered in the order of the text."""
    source = proof.pattern.source
    rows = proof.tally.rows
    found = zip(proof.findings, _rows_of(proof.findings, rows), strict=True)
    return tuple(
        Note(
            number,
            finding,
            source.line_of(finding.span.start),
            tuple(dict.fromkeys(mark.note for mark in marks_of([finding], body) if mark.note)),
        )
        for number, (finding, body) in enumerate(found, 1)
    )


def blocks_of(proof: Proof, notes: Sequence[Note]) -> tuple[Block, ...]:
    """The whole text in blocks, each of which has its notes beside it."""
    beside: dict[int, list[Note]] = {}
    for note in notes:
        beside.setdefault(note.line, []).append(note)
    blocks: list[Block] = []
    rest: list[Line] = []
    room = blanks = 0
    for line in _lines(proof, notes):
        held = tuple(beside.get(line.number, ()))
        blanks = 0 if line.bits or held else blanks + 1
        if blanks > MOST_BLANKS:
            continue
        beside_notes = bool(blocks) and bool(blocks[-1].notes)
        if blocks and not held and (room > 0 or not beside_notes):
            rest.append(line)
            room -= _high(line)
            continue
        if blocks:
            blocks[-1] = blocks[-1]._replace(rest=tuple(rest))
        blocks.append(Block(line, held, ()))
        rest, room = [], _lines_beside(held) - _high(line)
    if blocks:
        blocks[-1] = blocks[-1]._replace(rest=tuple(rest))
    return tuple(blocks)


def _high(line: Line) -> int:
    """About how many lines of the page a line of the text takes up."""
    return 1 + sum(len(bit.text) for bit in line.bits) // TEXT_LINE


def _lines_beside(notes: Sequence[Note]) -> int:
    """About how many lines of the page are as high as these notes.

    What follows stands in a new block, so that a page may begin there when it is printed.
    """
    high = 0
    for note in notes:
        mends = " or ".join(mend.title for mend in note.finding.mends)
        said = (note.finding.message, note.finding.working, mends)
        high += 2 + sum(-(-len(words) // MARGIN_LINE) for words in said)
    return round(high * MARGIN_HIGH)


def _rows_of(findings: Sequence[Finding], rows: Sequence[RowTally]) -> Iterator[Span | None]:
    """For each finding, in their order, the body of the row it stands in."""
    ahead = iter(sorted(rows, key=lambda tallied: tallied.row.span))
    held = next(ahead, None)
    for finding in findings:
        while held and held.row.span.end <= finding.span.start:
            held = next(ahead, None)
        inside = held and held.row.span.start <= finding.span.start
        yield held.row.body if held and inside else None


def _lines(proof: Proof, notes: Sequence[Note]) -> Iterator[Line]:
    source = proof.pattern.source
    headings = _headings(proof)
    begins = {source.line_of(row.row.span.start): row for row in reversed(proof.tally.rows)}
    marks = _placed(proof, notes)
    at = 0
    for number in range(1, len(source.line_starts()) + 1):
        span = source.line_span(number)
        while at < len(marks) and marks[at].mark.span.end < span.start:
            at += 1
        bits = tuple(_bits(source, span, marks, at))
        heading = number in headings and bool(source.quote(span).strip())
        row = begins.get(number)
        if row is None:
            yield Line(number, bits, heading)
        else:
            yield Line(number, bits, False, row.verdict.value, *_verdict(row.verdict))


def _verdict(verdict: Verdict) -> tuple[str, str]:
    return SIGNS[verdict], WORDS[verdict]


def _headings(proof: Proof) -> set[int]:
    """The lines that are headings of sections or of pieces, and nothing besides."""
    pattern, source = proof.pattern, proof.pattern.source
    spans = [section.heading for section in pattern.sections if section.heading]
    spans += [piece.heading for piece in pattern.pieces if piece.heading]
    return {
        number
        for number in {source.line_of(span.start) for span in spans}
        if ":" not in source.quote(source.line_span(number)).strip(EDGES)
    }


def _placed(proof: Proof, notes: Sequence[Note]) -> list[Placed]:
    """All marks in the order of the text; of two that overlap one is kept, for both notes."""
    bodies = _rows_of([note.finding for note in notes], proof.tally.rows)
    every = [
        Placed(mark, note.finding.grade.word, (note.number,))
        for note, body in zip(notes, bodies, strict=True)
        for mark in marks_of([note.finding], body)
    ]
    kept: list[Placed] = []
    for each in sorted(every, key=lambda placed: placed.mark.span):
        before = kept[-1] if kept else None
        if before and (
            each.mark.span == before.mark.span or each.mark.span.start < before.mark.span.end
        ):
            numbers = dict.fromkeys((*before.numbers, *each.numbers))
            kept[-1] = before._replace(numbers=tuple(numbers))
        else:
            kept.append(each)
    return kept


def _bits(source: Source, line: Span, marks: Sequence[Placed], at: int) -> Iterator[Bit]:
    """The stretches of one line; a mark that goes on is taken up again on the next line."""
    start = line.start
    for placed in _from(marks, at):
        span = placed.mark.span
        if span.start > line.end:
            break
        begin, end = max(span.start, line.start), min(span.end, line.end)
        if span.start < line.start and begin >= end:
            continue
        if begin > start:
            yield Bit(source.text[start:begin])
        here = span.start >= line.start
        numbers = placed.numbers if here else ()
        yield Bit(source.text[begin:end], placed.mark.style, placed.grade, numbers)
        start = end
    if line.end > start:
        yield Bit(source.text[start : line.end])


def _from(marks: Sequence[Placed], at: int) -> Iterator[Placed]:
    for number in range(at, len(marks)):
        yield marks[number]
