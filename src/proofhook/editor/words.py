"""Words of a pattern: what they stand for here and in both terms, and which fit."""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache

from lsprotocol import types

from proofhook import expressions as rx
from proofhook.editor.document import WORD, Document
from proofhook.editor.figures import row_words
from proofhook.pattern import Definition
from proofhook.text import Span
from proofhook.trade import table
from proofhook.trade.abbreviations import meanings
from proofhook.trade.ladder import SIDES, word_in
from proofhook.trade.terms import other

MOST_WORDS = 4
NAMES = {"us": "US", "uk": "UK"}


def hover(document: Document, offset: int) -> types.Hover | None:
    """What the words at an offset stand for, and how their row was worked out."""
    told: list[str] = []
    span = None
    for span in _phrases(document, offset):
        words = " ".join(document.source.quote(span).split())
        told = _explained(document, words)
        if told:
            break
    else:
        span = None
    tallied = document.row_at(offset)
    row = row_words(document, tallied) if tallied else ""
    if row and tallied:
        told.append(row)
        span = span or tallied.row.span
    if not told or span is None:
        return None
    content = types.MarkupContent(types.MarkupKind.PlainText, "\n".join(told))
    return types.Hover(content, document.places.range(span))


def _phrases(document: Document, offset: int) -> Iterator[Span]:
    """The words at an offset together with their neighbours, the longest phrases first."""
    line = document.source.line_span(document.source.line_of(offset))
    words = [
        Span(*found.span()) for found in WORD.finditer(document.source.text, line.start, line.end)
    ]
    at = next((n for n, span in enumerate(words) if span.start <= offset <= span.end), None)
    if at is None:
        return
    for count in range(MOST_WORDS, 0, -1):
        for first in range(max(0, at - count + 1), at + 1):
            if first + count <= len(words):
                yield Span(words[first].start, words[first + count - 1].end)


def definition_of(document: Document, words: str) -> Definition | None:
    """The pattern's own entry for an abbreviation, whatever its capitals."""
    plain = words.casefold()
    return next((d for d in document.pattern.definitions if plain in _forms(d.abbreviation)), None)


def _forms(abbreviation: str) -> set[str]:
    """An abbreviation as it may stand in a row: "st(s)" is "st" or "sts"."""
    forms = set()
    for form in rx.split(r"\s*(?:/|,|\bor\b)\s*", abbreviation.casefold()):
        forms |= {
            form,
            form.replace("(", "").replace(")", ""),
            rx.sub(r"\(.*?\)", "", form),
        }
    return forms


def _explained(document: Document, words: str) -> list[str]:
    """What the pattern says, then both terms; the usual meaning where neither has the words."""
    entry = definition_of(document, words)
    told = [f"{entry.abbreviation}: {' '.join(entry.meaning.split())}"] if entry else []
    house = dict(_of_the_house(document)).get(words.casefold())
    if house and not told:
        told = [f"{words}: {house}"]
    told += both_terms(words, document.pattern.terms)
    return told or [f"{each.short}: {each.meaning}" for each in meanings(words)[:1]]


def _of_the_house(document: Document) -> Iterator[tuple[str, str]]:
    """The stitches that the house has names for, and what it says of them."""
    own = document.pattern.own
    yield from own.meanings
    for name, stitch in own.stitches:
        uses, makes = (f"{n} stitch{'' if n == 1 else 'es'}" for n in (stitch.uses, stitch.makes))
        yield name, f"a stitch of the house, which uses {uses} and makes {makes}"


def both_terms(words: str, terms: str) -> list[str]:
    """What a stitch is called in US and in UK terms, a line for each way to take it.

    ``terms`` are those of the pattern, "" where they are not known.
    """
    lines = (_in_both(words, side) for side in ([terms] if terms else SIDES))
    return [line for line in lines if line]


def _in_both(words: str, side: str) -> str:
    """One stitch of a side with its names on both."""
    to = other(side)
    row = _rows(side).get(words.casefold())
    if row is not None:
        return f"{_called(row, side)}; {_called(row, to)}"
    partner = word_in(words, side, to) if " " not in words else None
    if isinstance(partner, str):
        return f"{NAMES[side]} terms: {words}; {NAMES[to]} terms: {partner}"
    return ""


def _called(row: dict[str, list[str]], side: str) -> str:
    return f"{NAMES[side]} terms: {row[side][0]} ({row[f'{side}_short'][0]})"


@cache
def _rows(side: str) -> dict[str, dict[str, list[str]]]:
    """Every name of a stitch on a side, in small letters -> its row; short names first."""
    rows: dict[str, dict[str, list[str]]] = {}
    complete = [
        row
        for row in table("terms")["stitch"]
        if all(row.get(key) for one in SIDES for key in (one, f"{one}_short"))
    ]
    for names in (f"{side}_short", side):
        for row in complete:
            for name in row[names]:
                rows.setdefault(name.casefold(), row)
    return rows


def completions(document: Document, offset: int) -> list[types.CompletionItem]:
    """What may go on from the letters before an offset: own abbreviations, then stitches."""
    line = document.source.line_span(document.source.line_of(offset))
    before = document.source.text[line.start : offset]
    begun = rx.search(r"[^\W\d_][^\W_-]*$|$", before)
    place = document.places.range(Span(line.start + (begun.start() if begun else 0), offset))
    found: dict[str, types.CompletionItem] = {}
    for entry in document.pattern.definitions:
        name = rx.sub(r"\(.*?\)", "", entry.abbreviation).strip()
        meaning = " ".join(entry.meaning.split())
        found.setdefault(name.casefold(), _item(name, meaning, "0", place))
    for name, meaning in _of_the_house(document):
        found.setdefault(name.casefold(), _item(name, meaning, "0", place))
    for side in [document.pattern.terms] if document.pattern.terms else SIDES:
        for row in _rows(side).values():
            name = row[f"{side}_short"][0]
            detail = f"{row[side][0]} ({NAMES[side]} terms)"
            found.setdefault(name.casefold(), _item(name, detail, "1", place))
    return list(found.values())


def _item(name: str, detail: str, order: str, place: types.Range) -> types.CompletionItem:
    return types.CompletionItem(
        name,
        kind=types.CompletionItemKind.Keyword if order == "1" else types.CompletionItemKind.Text,
        detail=detail,
        sort_text=f"{order}{name.casefold()}",
        filter_text=name,
        text_edit=types.TextEdit(place, name),
    )
