"""Where the words of a row lead: the rows it names, the entry of an abbreviation."""

from __future__ import annotations

from collections.abc import Iterator

from lsprotocol import types

from proofhook.editor.document import Document
from proofhook.editor.words import definition_of
from proofhook.expressions import expression
from proofhook.pattern import (
    Each,
    Group,
    Loops,
    Piece,
    Repeat,
    Row,
    RowsReference,
    Skip,
    Step,
    Work,
)
from proofhook.text import Span

NUMBER = expression(r"\d+")


def definitions(document: Document, offset: int) -> list[types.Location]:
    """The places that the words at an offset speak of.

    In a reference to rows a number leads to the row of that number, any other word to all
    rows of the reference; an abbreviation leads to its entry in the pattern's own list.
    """
    spans = _rows_named(document, offset) or _entry(document, offset)
    return [types.Location(document.uri, document.places.range(span)) for span in spans]


def _entry(document: Document, offset: int) -> list[Span]:
    word = document.word_at(offset)
    entry = definition_of(document, document.source.quote(word)) if word else None
    return [entry.abbreviation_span] if entry else []


def _rows_named(document: Document, offset: int) -> list[Span]:
    found = _row_at(document, offset)
    if found is None:
        return []
    piece, row = found
    for step in _steps(row.steps):
        span = step.span.moved(row.body.start)
        if not span.start <= offset <= span.end:
            continue
        numbers = _numbers(step)
        at = offset - row.body.start
        exact = _number_at(document.source.quote(row.body), at)
        if exact is not None and exact in numbers:
            numbers = [exact]
        rows = [each for n in numbers if (each := _numbered(document, piece, row, step, n))]
        if isinstance(step, RowsReference) and step.previous and not rows:
            before = [each for each in piece.rows if each.span.start < row.span.start]
            rows = before[-step.previous :]
        if rows:
            return list(dict.fromkeys(_place(each) for each in rows))
    return []


def _row_at(document: Document, offset: int) -> tuple[Piece, Row] | None:
    for piece in document.pattern.pieces:
        for row in piece.rows:
            if row.span.start <= offset <= row.span.end:
                return piece, row
    return None


def _steps(steps: tuple[Step, ...]) -> Iterator[Step]:
    """All steps, those inside others first."""
    for step in steps:
        if isinstance(step, (Group, Repeat)):
            yield from _steps(step.steps)
        elif isinstance(step, Each):
            yield from _steps(step.works)
        yield step


def _numbers(step: Step) -> list[int]:
    """The numbers of the rows that a step speaks of."""
    if isinstance(step, RowsReference):
        return list(step.rows)
    if isinstance(step, Loops):
        return [step.row] if step.row is not None else []
    if isinstance(step, (Work, Group, Skip)) and step.place and step.place.row is not None:
        return [step.place.row]
    return []


def _number_at(words: str, at: int) -> int | None:
    for found in NUMBER.finditer(words):
        if found.start() <= at <= found.end():
            return int(found[0])
    return None


def _numbered(document: Document, piece: Piece, row: Row, step: Step, number: int) -> Row | None:
    """The row of a number: in the piece that is named, in this one, or in those before."""
    pieces = document.pattern.pieces
    named = step.piece.lower() if isinstance(step, RowsReference) else ""
    order = [each for each in pieces if named and each.name.lower() == named]
    order += [piece, *reversed(pieces[: pieces.index(piece)])]
    for each in order:
        for candidate in each.rows:
            if candidate is not row and _has_number(candidate, number):
                return candidate
    return None


def _has_number(row: Row, number: int) -> bool:
    label = row.label
    if label is None or label.first is None:
        return False
    return min(label.first) <= number <= max(label.last or label.first)


def _place(row: Row) -> Span:
    return row.label.span if row.label else row.span
