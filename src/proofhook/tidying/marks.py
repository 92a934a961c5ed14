"""Quotation marks and dashes, in rows and lists."""

from __future__ import annotations

from collections.abc import Iterator

from proofhook.expressions import expression
from proofhook.text import Edit, Span
from proofhook.tidying.page import Page, Stretches

_STRAIGHT = {"\u201c": '"', "\u201d": '"', "\u201e": '"', "\u2018": "'", "\u2019": "'"}
#: Not those left over where UTF-8 was read as another encoding.
_CURLED = expression(f"(?<!\u00e2\u20ac)[{''.join(_STRAIGHT)}]")
#: Not the marks of feet and inches.
_QUOTE = expression(r"(?<![\d\u00bc-\u00be\u2150-\u215e])[\"']")
_OPENING = expression(r"(?:\A|[\s(\[{\u2013\u2014-])\Z")
_DASH = expression(r"(?<=\S)(?P<before>[ \t])(?P<dash>-|--|\u2013|\u2014)(?=[ \t]+\S)")


#: What parts an abbreviation from its meaning is a choice of its own.
_ABBREVIATIONS = frozenset({"abbreviations"})


def _places(page: Page) -> Iterator[Span]:
    yield from (row.body for row in page.rows)
    yield from page.entries


def quotation_marks(page: Page) -> Iterator[Edit]:
    """Straight marks, or curly ones."""
    straight = page.style.wish("quotes") == "straight"
    for place in _places(page):
        if straight:
            for found in _CURLED.finditer(page.text, place.start, place.end):
                yield Edit(found.start(), found.end(), _STRAIGHT[found[0]])
            continue
        for found in _QUOTE.finditer(page.text, place.start, place.end):
            opens = _OPENING.search(page.text[max(0, found.start() - 1) : found.start()])
            pair = "\u201c\u201d" if found[0] == '"' else "\u2018\u2019"
            yield Edit(found.start(), found.end(), pair[0] if opens else pair[1])


def spaced_dashes(page: Page) -> Iterator[Edit]:
    """Dashes between blanks are those of the house."""
    listed = Stretches(section.body for section in page.sections(_ABBREVIATIONS))
    for place in _places(page):
        if listed.meet(place.start, place.end):
            continue
        for found in _DASH.finditer(page.text, place.start, place.end):
            yield Edit(found.start("dash"), found.end("dash"), page.style.dash)
