"""Blanks and commas in rows: one blank between words, none before a mark, one after a comma."""

from __future__ import annotations

from collections.abc import Iterator

from proofhook.expressions import expression
from proofhook.text import Edit
from proofhook.tidying.page import Page

_NONE = r"(?<=\S)[ \t]+(?=[,;](?:\s|\Z|[^\W\d])|\.(?:\s|\Z)|[)\]])|(?<=[(\[])[ \t]+(?=\S)"
_ONE = r"(?<=\S)[ \t]{2,}(?=\S)"
_BLANKS = expression(rf"(?P<none>{_NONE})|(?P<one>{_ONE})")
#: What parts a label from the mark that ends it.
_BEFORE_MARK = expression(r"[ \t]+(?=:(?:\s|\Z))")
_LETTER = r"[^\W\d_]"
#: A comma or semicolon between words; not the one in 1,200.
_COMMA = expression(
    rf"(?<=[\w)\]])[,;](?={_LETTER}|[(\[*])|(?<={_LETTER})[,;](?=\d)|(?<=[)\]])[,;](?=\d)"
)


def single_blanks(page: Page) -> Iterator[Edit]:
    """One blank between the words of a row and after its label, none inside brackets or before
    a mark.
    """
    for row in page.rows:
        found = _BEFORE_MARK.match(page.text, row.label.span.end) if row.label else None
        if found:
            yield Edit(found.start(), found.end(), "")
        if row.label and page.text[row.label.span.end : row.body.start] == ":":
            yield Edit(row.body.start, row.body.start, " ")
        for found in _BLANKS.finditer(page.text, row.span.start, row.span.end):
            yield Edit(found.start(), found.end(), " " if found["one"] else "")


def spaced_commas(page: Page) -> Iterator[Edit]:
    """A blank after every comma and semicolon of a row."""
    for row in page.rows:
        for found in _COMMA.finditer(page.text, row.body.start, row.body.end):
            yield Edit(found.end(), found.end(), " ")
