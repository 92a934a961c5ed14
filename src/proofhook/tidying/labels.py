"""Row labels: their word, their range, the mark after them and the letter that follows."""

from __future__ import annotations

import re
from collections.abc import Iterator

from proofhook.expressions import expression
from proofhook.pattern import Label, Note, Row, Unread
from proofhook.text import Edit, Span
from proofhook.tidying.page import Page

_RANGE = expression(r"(?<=\d)(?:\s?[-\u2013\u2014]\s?|[ \t]+to[ \t]+)(?=\d)")
_NUMBERED = expression(r"[A-Za-z]+\.?\s*\d[^.]*\Z")
_RANGES = {"hyphen": "-", "en-dash": "\u2013", "to": " to "}
_MARK = expression(r"(?P<mark>[ \t]*[:.])(?=\s|\Z)")
_MARKS = {"colon": ":", "full-stop": "."}
#: The words that label rows before their number.
_WORD = expression(r"(?:rounds?|rnds?|rds?|rows?|rws?)(?![A-Za-z])", re.IGNORECASE)


_NUMBER_FIRST = expression(
    r"(?P<number>\d{1,3})(?:st|nd|rd|th)[ \t]+(?:round|rnd|rd|row|rw)", re.IGNORECASE
)
_NEAR_MARK = expression(r"[ \t]*:")


def label_words(page: Page, kind: str) -> Iterator[Edit]:
    """Rounds, or rows, are labelled with the word of the house: Rnd 4, not ROUND 4 or 4th rnd."""
    wanted = page.style.wish(f"{kind}-label")
    for row in page.rows:
        edit = label_word(page.text, row, kind, wanted) or _in_its_form(page, row, kind, wanted)
        if edit:
            yield edit


def label_word(text: str, row: Row, kind: str, wanted: str) -> Edit | None:
    """The label of a row with the word of the house; None where it has it, or has no word."""
    label = row.label
    found = _WORD.match(label.text) if label and label.kind == kind else None
    if label is None or not found or found[0].casefold().removesuffix("s") == wanted.casefold():
        return None
    start, end = label.span.start, label.span.start + found.end()
    if text[start:end] != found[0]:
        return None
    plural = "s" if found[0].lower().endswith("s") else ""
    shouted = len(found[0]) > 1 and found[0].isupper()
    return Edit(start, end, (wanted + plural).upper() if shouted else wanted + plural)


def _in_its_form(page: Page, row: Row, kind: str, wanted: str) -> Edit | None:
    """The edit of a label that has the right word in other capitals, or behind its number.

    A row that is in capitals from end to end keeps those of its label.
    """
    label = row.label
    if label is None or label.kind != kind or page.quote(label.span) != label.text:
        return None
    numbered = _NUMBER_FIRST.fullmatch(label.text)
    if numbered and page.begins_its_line(row) and _NEAR_MARK.match(page.text, label.span.end):
        return Edit(label.span.start, label.span.end, f"{wanted} {numbered['number']}")
    found = _WORD.match(label.text)
    if not found or page.quote(row.body).isupper():
        return None
    plural = "s" if found[0].lower().endswith("s") else ""
    if found[0].lower() != wanted.lower() + plural:
        return None
    return Edit(label.span.start, label.span.start + found.end(), wanted + plural)


def label_ranges(page: Page) -> Iterator[Edit]:
    """Ranges in labels have the dash of the house, without blanks, or its word: Rnds 4-6."""
    dash = _RANGES[page.style.wish("range")]
    for row in page.rows:
        label = row.label
        if label and _is_plain_range(label):
            dashes = list(_RANGE.finditer(page.text, label.span.start, label.span.end))
            if len(dashes) == 1:
                yield Edit(dashes[0].start(), dashes[0].end(), dash)


def _is_plain_range(label: Label) -> bool:
    """A range of the same rows in every size: others are taken for a list of sizes."""
    one_for_all = len(label.first or ()) == 1 and len(label.last or ()) == 1
    return one_for_all and label.first != label.last and bool(_NUMBERED.match(label.text))


def label_ends(page: Page) -> Iterator[Edit]:
    """Numbered labels at the start of a line end with the mark of the house.

    A full stop is put only where the word goes first: "4th row." is the end of a sentence.
    """
    mark = _MARKS[page.style.wish("label-end")]
    for row in page.rows:
        label = row.label
        if label is None or label.first is None or label.kind not in ("round", "row"):
            continue
        if not page.begins_its_line(row) or (mark == "." and not _NUMBERED.match(label.text)):
            continue
        found = _MARK.match(page.text, label.span.end, max(row.body.start, label.span.end))
        if found:
            yield Edit(found.start(), found.end(), mark)


def letters_after_labels(page: Page) -> Iterator[Edit]:
    """The first letter after a label is a capital, or a small one."""
    small = page.style.wish("after-label") == "small"
    for row in page.rows:
        word = _first_word(page, row)
        if word is None:
            continue
        first = page.text[word.start]
        better = first.lower() if small else first.upper()
        if len(better) == 1:
            yield Edit(word.start, word.start + 1, better)


def _first_word(page: Page, row: Row) -> Span | None:
    """The word after the label, unless its capitals may mean something."""
    if row.label is None or row.label.kind == "free":
        return None
    opened = re.compile(r"[*(\[]*").match(page.text, row.body.start, row.body.end)
    at = opened.end() if opened else row.body.start
    found = re.compile(r"[^\W\d_][\w-]*").match(page.text, at, row.body.end)
    if found is None or (len(found[0]) > 1 and not found[0][1:].islower()):
        return None
    first = row.steps[0] if row.steps else None
    if isinstance(first, Unread) or (isinstance(first, Note) and first.kind == "colour"):
        return None
    return Span(*found.span())
