"""The end of a row: whether a full stop closes it."""

from __future__ import annotations

from collections.abc import Iterator

from proofhook.expressions import expression
from proofhook.pattern import Row, Total
from proofhook.text import Edit
from proofhook.tidying.page import Page
from proofhook.trade.abbreviations import meanings
from proofhook.trade.stitches import parse_stitch

#: Nothing but an empty line or the end follows: a line of prose might be read on with the row.
_ENDS_A_PART = expression(r"[ \t]*(?:\r?\n[ \t]*(?:\r?\n|\Z)|\Z)")
_LAST_WORD = expression(r"(?<![\w-])[A-Za-z]+\Z")
_CLOSED = expression(r"[\w)\]}]\Z")
_SENTENCE_AFTER = expression(r"\w+\W+\w+\W+\w")
_LAST_SENTENCE = expression(r"[.!?]\s+[A-Z][a-z]+\s+\w+\s+\w[^.!?]*\Z")


def row_ends(page: Page) -> Iterator[Edit]:
    """Rows that end a line end with a full stop, without one, or with one after a word in full.

    "After words" is for houses that read "sc." as another abbreviation.
    """
    wish = page.style.wish("row-end")
    begun = {
        page.source.line_of(row.span.start) for row in page.rows if row.label and row.label.first
    }
    for row in page.rows:
        words = page.quote(row.span).rstrip()
        end = row.span.start + len(words)
        if row.label is None or row.label.first is None or not words:
            continue
        if page.text[end:].lstrip(" \t")[:1] not in ("", "\r", "\n"):
            continue
        if not _ENDS_A_PART.match(page.text, end) and page.source.line_of(end) + 1 not in begun:
            continue
        bare = words.removesuffix(".")
        if not _CLOSED.search(bare) or _goes_on(page, row) or page.unread.meet(*row.span):
            continue
        wanted = wish == "full-stop" or (wish == "after-words" and _ends_in_a_word(bare))
        if wanted and bare == words:
            yield Edit(end - 1, end, f"{words[-1]}.")
        elif not wanted and bare != words:
            yield Edit(end - 1, end, "")


def _ends_in_a_word(words: str) -> bool:
    found = _LAST_WORD.search(words)
    if found is None:
        return False
    word = found[0].lower()
    single = word.removesuffix("s")
    return not (meanings(word) or meanings(single) or parse_stitch(single) or len(word) < 3)


def _goes_on(page: Page, row: Row) -> bool:
    """Whether sentences follow the total, so that the full stop is that of the last of them."""
    totals = [step for step in row.steps if isinstance(step, Total)]
    after = page.text[row.body.start + totals[-1].span.end : row.span.end] if totals else ""
    words = page.quote(row.span).rstrip(". \t\r\n")
    return bool(_SENTENCE_AFTER.search(after) or _LAST_SENTENCE.search(words))
