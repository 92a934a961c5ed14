"""The abbreviation list: what parts an entry from its meaning, and the order of the entries."""

from __future__ import annotations

from collections.abc import Iterator

from proofhook.expressions import expression
from proofhook.pattern import Definition
from proofhook.records import NamedTuple
from proofhook.text import Edit, Span
from proofhook.tidying.page import MARK, Page

_ABBREVIATIONS = frozenset({"abbreviations"})
_GAP = expression(r"[ \t]*(?::|=|[-\u2013\u2014]+|\.{2,})?[ \t]*\Z")
_PARTS = {"equals": " = ", "hyphen": " - ", "en-dash": " \u2013 ", "colon": ": "}
COLUMNS = "columns"


class Entry(NamedTuple):
    """A line of the list, and the one definition on it."""

    line: Span
    definition: Definition


def abbreviation_parts(page: Page) -> Iterator[Edit]:
    """Every entry is parted from its meaning by the mark of the house, or set in columns."""
    wanted = page.style.wish("abbreviations")
    for entries in _lists(page):
        widest = max(_width(entry) for entry in entries)
        for entry in entries:
            part = _PARTS.get(wanted) or " " * (widest - _width(entry) + 2)
            start, end = entry.definition.abbreviation_span.end, entry.definition.meaning_span.start
            yield Edit(start, end, part)


def _width(entry: Entry) -> int:
    return entry.definition.abbreviation_span.end - entry.line.start


def abbreviation_order(page: Page) -> Iterator[Edit]:
    """The entries stand in the order of the alphabet, whatever their capitals."""
    for entries in _lists(page):
        ordered = sorted(entries, key=lambda entry: entry.definition.abbreviation.casefold())
        for old, new in zip(entries, ordered, strict=True):
            yield Edit(old.line.start, old.line.end, page.quote(new.line))


def _lists(page: Page) -> Iterator[list[Entry]]:
    """The lists in which every line from the first entry to the last is one entry."""
    at = {each.abbreviation_span.start: each for each in page.pattern.definitions}
    for section in page.sections(_ABBREVIATIONS):
        after = section.heading.end if section.heading else section.body.start
        lines = [
            line
            for line in page.lines(section.body)
            if line.start > after and page.quote(line).strip()
        ]
        entries = [_entry(page, line, at) for line in lines]
        while entries and entries[-1] is None:
            entries.pop()
        found = [entry for entry in entries if entry is not None]
        if len(found) > 1 and len(found) == len(entries):
            yield found


def _entry(page: Page, line: Span, at: dict[int, Definition]) -> Entry | None:
    """The entry that a line is: one definition that begins it, a plain mark, and its meaning.

    "Shell = (5 dc in next st)" is none: with "=" it is read as a stitch, with a dash not.
    """
    mark = MARK.match(page.text, line.start, line.end)
    definition = at.get(mark.end() if mark else line.start)
    if definition is None or definition.meaning_span.end > line.end:
        return None
    gap = page.text[definition.abbreviation_span.end : definition.meaning_span.start]
    rest = page.text[definition.meaning_span.end : line.end]
    if rest.strip() or not _GAP.match(gap) or definition.meaning[:1] in "([":
        return None
    return Entry(line, definition)
