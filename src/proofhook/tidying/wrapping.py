"""Rows in one line each, or wrapped and set in."""

from __future__ import annotations

import re
from collections.abc import Iterator

from proofhook import expressions as rx
from proofhook.expressions import expression
from proofhook.pattern import Row
from proofhook.reading.labels import label_at
from proofhook.text import Edit, Span
from proofhook.tidying.page import Page, Stretches
from proofhook.trade.headings import MAX_HEADING, leading_heading

_GAP = expression(r"[ \t]*(?:(?:\r\n|\r|\n)[ \t]*)+|[ \t]+")
#: What a row has only where it is wrapped, or has more than one blank.
_UNEVEN = expression(r"[\r\n\t]|  ")
#: A line that begins so may be taken for something else than the rest of a row.
_BEGINS_ITS_OWN = expression(
    r"\d|[-*\u2022#>|`~=_\u2013\u2014]|(?:rows?|rnds?|rounds?|r\d|for|sizes?|all|next)\b"
    r"|[a-z][\w-]*(?: [\w-]+){0,2} ?[:=]",  # "ch: 60 sc" would be an entry of a list
    re.IGNORECASE,
)
#: Figures in brackets and the word after them, and a figure and its word: a line that begins
#: within them may be read otherwise than the line before it that ends there.
_TOGETHER = expression(
    r"(?:\d+\s*)?[(\[{<]\s*=?\s*\d[^()\[\]{}<>]{0,60}[)\]}>](?:\s+\w+)?|\d+\s+\w+"
)
#: A further row that has become part of a row.
_FURTHER = expression(r"[.;)\]]\s+(?:rows?|rnds?|rounds?)\s*\d", re.IGNORECASE)
#: An item of a list that has become part of a row.
_ITEM = expression(r"[\r\n][ \t]*\d+[.)]")
#: Longer lines are left as they are: the reader does not read the longest.
_LONGEST = 3_000
SET_IN = "  "


def joined_rows(page: Page) -> Iterator[Edit]:
    """Every row in one line."""
    for row in _rows(page):
        for found in _GAP.finditer(page.text, row.body.start, row.body.end):
            if "\n" in found[0] or "\r" in found[0]:
                yield Edit(found.start(), found.end(), " ")


def wrapped_rows(page: Page) -> Iterator[Edit]:
    """Rows that are wider than the house wants go on in further lines, set in."""
    for row in _rows(page):
        yield from _wrapped(page, row)


def _wrapped(page: Page, row: Row) -> Iterator[Edit]:
    line = page.source.line_span(page.source.line_of(row.span.start))
    if row.body.end - line.start <= page.style.width and not _UNEVEN.search(page.quote(row.body)):
        return
    words = page.quote(line)
    indent = words[: len(words) - len(words.lstrip())] + SET_IN
    gaps = list(_GAP.finditer(page.text, row.body.start, row.body.end))
    if not gaps:
        return
    together = Stretches(
        Span(*found.span()) for found in _TOGETHER.finditer(page.text, row.body.start, row.body.end)
    )

    def allowed(gap: Span) -> bool:
        return not together.meet(gap.end, gap.end) and _may_break(page, gap.end, row)

    column = gaps[0].start() - line.start
    kept: list[Span] = []
    known = 0  # so many of them at the beginning are known to be no breaks
    for found, end in zip(gaps, [g.start() for g in gaps[1:]] + [row.body.end], strict=True):
        kept.append(Span(*found.span()))
        column += 1 + end - found.end()
        if column <= page.style.width:
            continue
        at = next((n for n in reversed(range(known, len(kept))) if allowed(kept[n])), -1)
        for number, gap in enumerate(kept[: at + 1]):
            yield Edit(gap.start, gap.end, page.newline + indent if number == at else " ")
        if at >= 0:
            column = len(indent) + end - kept[at].end
            kept = kept[at + 1 :]
        known = len(kept)
    for gap in kept:
        yield Edit(gap.start, gap.end, " ")


def _may_break(page: Page, at: int, row: Row) -> bool:
    """Whether the rest of a row may begin a line here and not be taken for something else."""
    if page.unread.meet(at, at):
        return False
    rest = " ".join(page.text[at : min(row.body.end, at + MAX_HEADING)].split())
    if _BEGINS_ITS_OWN.match(rest) or label_at(rest, 0, len(rest)):
        return False
    stops = [found.start() for found in rx.finditer(r" |\Z", rest)]
    return not any(leading_heading(rest[:stop]) for stop in stops)


def _rows(page: Page) -> Iterator[Row]:
    """The rows that have their lines to themselves, a label on the first of them."""
    for row in page.rows:
        if row.label is None or row.label.kind not in ("row", "round"):
            continue  # whether it is a label is seen from what stands on its line
        if row.body.end - row.body.start > _LONGEST:
            continue
        first = page.source.line_span(page.source.line_of(row.span.start))
        last = page.source.line_span(page.source.line_of(row.span.end - 1))
        if (
            row.body.start <= first.end
            and page.begins_its_line(row)
            and not page.quote(Span(row.span.end, last.end)).strip()
            and not _ITEM.search(page.quote(row.body))
            and not _FURTHER.search(page.quote(row.body))
        ):
            yield row
