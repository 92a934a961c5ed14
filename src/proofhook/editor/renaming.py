"""Another name for an abbreviation of the pattern's own list, or for a piece."""

from __future__ import annotations

import re
from collections.abc import Iterator

from proofhook.counting.result import Tally
from proofhook.counting.tally import tally
from proofhook.editor.document import Document
from proofhook.editor.words import definition_of
from proofhook.expressions import expression
from proofhook.pattern import Definition
from proofhook.reading import read
from proofhook.records import NamedTuple
from proofhook.text import Edit, Source, Span, apply_edits
from proofhook.trade.ladder import cased
from proofhook.trade.stitches import parse_stitch

#: Sections in which an abbreviation stands for what the list says.
EXPLAINING = frozenset({"abbreviations", "special", "notes", "gauge"})
ABBREVIATION = expression(r"[^\W\d_]\w*(?:[ /-]\w+){0,3}")
PIECE = expression(r"[^\W_][^\n\r()\[\]:]*[^\W_]|[^\W_]")
LONGEST = 30


class RenameError(ValueError):
    """A name that cannot be changed or taken; the message is one sentence."""


class Renamed(NamedTuple):
    """What can be renamed at a place: its words there, its name, and its entry if it has one."""

    span: Span
    name: str
    entry: Definition | None = None


def renamed_at(document: Document, offset: int) -> Renamed | None:
    """The abbreviation or the piece at an offset, None where there is neither."""
    for piece in document.pattern.pieces:
        if piece.name:
            for found in _mentions(document.source.text, piece.name):
                if found.start <= offset <= found.end and _is_piece(document, found):
                    return Renamed(found, piece.name)
    for entry in document.pattern.definitions:
        if entry.abbreviation_span.start <= offset <= entry.abbreviation_span.end:
            return Renamed(entry.abbreviation_span, entry.abbreviation, entry)
    word = document.word_at(offset)
    entry_here = definition_of(document, document.source.quote(word)) if word else None
    if word is None or entry_here is None or not _is_abbreviation(document, word):
        return None
    return Renamed(word, entry_here.abbreviation, entry_here)


def rename(document: Document, offset: int, name: str) -> list[Edit]:
    """The edits that give the abbreviation or the piece at an offset another name.

    Raises RenameError where nothing there can be renamed, where the name is taken or is
    none, and where rows would not be worked as before.
    """
    asked = renamed_at(document, offset)
    name = " ".join(name.split())
    if asked is None:
        raise RenameError(
            "Only pieces and the abbreviations of the pattern's own list can be renamed."
        )
    if asked.entry is not None:
        edits = _new_abbreviation(document, asked.entry, name)
    else:
        edits = _new_piece(document, asked.name, name)
    source = document.source
    text = apply_edits(source.text, edits)
    after = tally(read(Source(source.path, text, bom=source.bom), own=document.pattern.own))
    if _figures(after) != _figures(document.tally):
        raise RenameError(
            f"With \u201c{name}\u201d in place of \u201c{asked.name}\u201d the rows would not "
            "be read as they are now; choose another name."
        )
    return edits


def _new_abbreviation(document: Document, entry: Definition, name: str) -> list[Edit]:
    old = entry.abbreviation
    if not ABBREVIATION.fullmatch(old):
        raise RenameError(f"\u201c{old}\u201d has several forms; change them by hand.")
    if not ABBREVIATION.fullmatch(name) or len(name) > LONGEST:
        raise RenameError("An abbreviation is a short word or a few, beginning with a letter.")
    if name.casefold() != old.casefold():
        taken = definition_of(document, name)
        if taken is not None:
            raise RenameError(
                f"\u201c{name}\u201d is in the list already: {' '.join(taken.meaning.split())}."
            )
        if parse_stitch(name) is not None:
            raise RenameError(f"\u201c{name}\u201d is the name of a stitch already.")
    return [
        Edit(span.start, span.end, _in_place_of(document.source.quote(span), old, name))
        for span in _mentions(document.source.text, old)
        if _is_abbreviation(document, span)
    ]


def _new_piece(document: Document, old: str, name: str) -> list[Edit]:
    if not PIECE.fullmatch(name) or len(name) > LONGEST:
        raise RenameError("The name of a piece is a few words, without brackets or colons.")
    if any(name.casefold() == piece.name.casefold() for piece in document.pattern.pieces) and (
        name.casefold() != old.casefold()
    ):
        raise RenameError(f"There is a piece called \u201c{name}\u201d already.")
    return [
        Edit(span.start, span.end, _in_place_of(document.source.quote(span), old, name))
        for span in _mentions(document.source.text, old)
        if _is_piece(document, span)
    ]


def _in_place_of(words: str, old: str, name: str) -> str:
    """A name with the capitals that the old one has in this place."""
    if words == old:
        return name
    return name.lower() if words.islower() else cased(name, words)


def _mentions(text: str, name: str) -> Iterator[Span]:
    """Where a name stands as whole words, whatever its capitals and blanks."""
    words = r"[ \t]+".join(re.escape(word) for word in name.split())
    for found in re.finditer(rf"(?<![^\W\d_])(?<!['\u2019-]){words}(?![\w\u2019'])", text, re.I):
        yield Span(*found.span())


def _is_abbreviation(document: Document, span: Span) -> bool:
    """Whether words stand in a row or where the pattern explains itself."""
    pattern = document.pattern
    stretches = [row.body for row in pattern.rows]
    stretches += [entry.span for entry in pattern.definitions]
    stretches += [s.body for s in pattern.sections if s.kind in EXPLAINING]
    return any(each.start <= span.start and span.end <= each.end for each in stretches)


def _is_piece(document: Document, span: Span) -> bool:
    """Whether words name a piece: in rows only where they begin with a capital."""
    inside = any(r.body.start <= span.start < r.body.end for r in document.pattern.rows)
    return not inside or document.source.text[span.start].isupper()


def _figures(tallied: Tally) -> list[object]:
    return [
        (len(row.row.steps), row.stated, row.worked, row.verdict, len(row.unread))
        for row in tallied.rows
    ]
