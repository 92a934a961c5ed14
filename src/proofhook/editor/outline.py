"""The outline of a document: its sections, pieces and rows, to look over and to fold."""

from __future__ import annotations

from collections.abc import Iterator

from lsprotocol import types

from proofhook.editor.document import Document
from proofhook.editor.figures import made
from proofhook.pattern import Piece, Row
from proofhook.text import Span


def symbols(document: Document) -> list[types.DocumentSymbol]:
    """Sections and pieces in the order of the text, with the rows of each piece in it."""
    found = [
        *(_section(document, heading, body) for heading, body in _sections(document)),
        *(_piece(document, piece) for piece in document.pattern.pieces if piece.rows),
    ]
    return sorted(found, key=lambda each: (each.range.start.line, each.range.start.character))


def flat_symbols(document: Document) -> list[types.SymbolInformation]:
    """The same without levels, for an editor that knows no other."""
    found = []
    for top in symbols(document):
        for each in (top, *(top.children or ())):
            place = types.Location(document.uri, each.range)
            inside = top.name if each is not top else None
            found.append(
                types.SymbolInformation(place, each.name, each.kind, container_name=inside)
            )
    return found


def folds(document: Document) -> list[types.FoldingRange]:
    """Where the text can be folded: sections, pieces, and rows of more than one line."""
    spans = [whole for _, whole in _sections(document)]
    for piece in document.pattern.pieces:
        if piece.rows:
            spans.append(_whole(piece))
            spans += (row.span for row in piece.rows)
    found = []
    for span in sorted(set(spans)):
        end = span.start + len(document.source.quote(span).rstrip())
        first, last = document.source.line_of(span.start) - 1, document.source.line_of(end) - 1
        if first < last:
            found.append(types.FoldingRange(first, last, kind=types.FoldingRangeKind.Region))
    return found


def _sections(document: Document) -> Iterator[tuple[Span, Span]]:
    """The heading of each section that has one, and the section with it.

    What follows without an empty line belongs to it: "Yarn:" and "Hook:" to the materials.
    """
    held: tuple[Span, Span] | None = None
    for section in document.pattern.sections:
        if section.heading is None or section.kind == "instructions":
            continue
        whole = Span(
            min(section.heading.start, section.body.start),
            max(section.heading.end, section.body.end),
        )
        if held and _goes_on(document, held[1].start, whole.start):
            held = held[0], Span(held[1].start, max(held[1].end, whole.end))
            continue
        if held:
            yield held
        held = section.heading, whole
    if held:
        yield held


def _goes_on(document: Document, start: int, end: int) -> bool:
    """Whether no empty line lies in a stretch of the text, and no row."""
    lines = document.source.text[start:end].splitlines()
    return all(line.strip() for line in lines) and not any(
        start <= row.span.start < end for row in document.pattern.rows
    )


def _whole(piece: Piece) -> Span:
    """A piece with its heading, from there to the end of its last row."""
    starts = [row.span.start for row in piece.rows]
    ends = [row.span.end for row in piece.rows]
    if piece.heading:
        starts.append(piece.heading.start)
        ends.append(piece.heading.end)
    return Span(min(starts), max(ends))


def _section(document: Document, heading: Span, whole: Span) -> types.DocumentSymbol:
    end = whole.start + len(document.source.quote(whole).rstrip())
    return types.DocumentSymbol(
        _name(document, heading),
        types.SymbolKind.Namespace,
        document.places.range(Span(whole.start, max(end, heading.end))),
        document.places.range(heading),
    )


def _piece(document: Document, piece: Piece) -> types.DocumentSymbol:
    figures = {id(tallied.row): tallied for tallied in document.tally.rows}
    rows = []
    for row in piece.rows:
        tallied = figures.get(id(row))
        if row.label is None and tallied is None:
            continue
        worked = made(tallied) if tallied and tallied.worked else None
        rows.append(
            types.DocumentSymbol(
                row.name.strip() or _name(document, row.span),
                types.SymbolKind.Method,
                document.places.range(row.span),
                document.places.range(_selected(row)),
                detail=worked,
            )
        )
    whole = _whole(piece)
    return types.DocumentSymbol(
        piece.name.strip() or "Rows",
        types.SymbolKind.Class,
        document.places.range(whole),
        document.places.range(piece.heading or _selected(piece.rows[0])),
        children=rows,
    )


def _selected(row: Row) -> Span:
    return row.label.span if row.label else row.span


def _name(document: Document, span: Span) -> str:
    words = " ".join(document.source.quote(span).split()).strip(" #*_=:-")
    return words[:60] or "Section"
