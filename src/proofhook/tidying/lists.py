"""Lists: the marks before their entries, and what parts a material from its description."""

from __future__ import annotations

from collections.abc import Iterator

from proofhook.expressions import expression
from proofhook.text import Edit
from proofhook.tidying.page import LISTS, Page

_MARK = expression(r"(?P<indent>[ \t]*)(?P<mark>(?:[-*]|[\u2022\u00b7\u25cf\u2023])[ \t]+)(?=\S)")
_MARKS = {"hyphen": "- ", "star": "* ", "bullet": "\u2022 ", "none": ""}
_PART = expression(
    r"[ \t]*(?:[-*\u2022\u00b7][ \t]+)?(?P<name>[A-Za-z]+(?: [A-Za-z]+){0,2})"
    r"(?P<part>:[ \t]+| [-\u2013\u2014] )(?=\S)"
)
#: What the list itself is called, not a material.
_NAMES = frozenset({"materials", "supplies", "requirements", "tools", "you will need", "you need"})


def list_marks(page: Page) -> Iterator[Edit]:
    """The entries that have a mark before them have that of the house."""
    mark = _MARKS[page.style.wish("list-marks")]
    for section in page.sections(LISTS):
        for line in page.entries_of(section):
            found = _MARK.match(page.text, line.start, line.end)
            if found and not (mark == "" and found["indent"]):
                yield Edit(found.start("mark"), found.end("mark"), mark)


def parted_materials(page: Page) -> Iterator[Edit]:
    """What a material is called is parted from the rest by the mark of the house."""
    part = ": " if page.style.wish("materials") == "colon" else f" {page.style.dash} "
    for section in page.sections(frozenset({"materials"})):
        for line in page.entries_of(section):
            found = _PART.match(page.text, line.start, line.end)
            if found and found["name"].lower() not in _NAMES:
                yield Edit(found.start("part"), found.end("part"), part)
