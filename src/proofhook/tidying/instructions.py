"""Instructions in rows: chain spaces, the sign of multiplication, and where counts stand."""

from __future__ import annotations

import re
from collections.abc import Iterator

from proofhook.expressions import expression
from proofhook.pattern import Row, Step, Total, Work
from proofhook.text import Edit
from proofhook.tidying.page import Page, all_steps, replaced

_CHAIN_SPACE = expression(
    r"\bch(?P<first>[- ]?)\d{1,2}(?P<last>[- ])(?=(?:sps?|spaces?)\b)", re.IGNORECASE
)
_TIMES = expression(r"(?<=[)\]}*])(?P<before>[ \t]*)(?P<sign>[x\u00d7])(?P<after>[ \t]*)(?=\d)")
_COUNT = expression(r"(?:(?P<first>\d+) ?)?(?P<words>[A-Za-z]+)(?: ?(?P<last>\d+))?")
_APART_BEFORE = expression(r"(?:\A|[,;(\[*])\s*\Z")
_APART_AFTER = expression(r"\s*(?:\Z|[.,;)\]*([{=:-])")


def chain_spaces(page: Page) -> Iterator[Edit]:
    """Chain spaces have the hyphens of the house: ch-2 sp, or ch 2 sp."""
    hyphen = "-" if page.style.wish("chain-space") == "ch-2 sp" else " "
    for row in page.rows:
        for found in _CHAIN_SPACE.finditer(page.text, row.body.start, row.body.end):
            yield replaced(found, "first", hyphen)
            yield replaced(found, "last", " ")


def times_signs(page: Page) -> Iterator[Edit]:
    """The sign of multiplication after a bracket or star, between blanks."""
    sign = page.style.wish("times")
    for row in page.rows:
        for found in _TIMES.finditer(page.text, row.body.start, row.body.end):
            yield Edit(found.start(), found.end(), f" {sign} ")


def counts_of_stitches(page: Page) -> Iterator[Edit]:
    """Counts stand before their stitch, or after it, in rows where both read alike.

    "(2 sc, inc)" is left alone, since makers may take it for two in one stitch and "sc 2" not;
    so is a count that would become the total.
    """
    after = page.style.wish("counts") == "after"
    for row in page.rows:
        works = [(work, depth) for work, depth in _works(row.steps) if _is_plain(work)]
        ends = isinstance(row.steps[-1], Total) if row.steps else False
        if works and (after or ends) and not any(depth and _doubtful(w) for w, depth in works):
            edits = [_count_of(page, row, work, after) for work, _ in works]
            if None not in edits:
                yield from (edit for edit in edits if edit)


def _works(steps: tuple[Step, ...]) -> Iterator[tuple[Work, int]]:
    """Every work of a row, with 1 where it stands inside another step."""
    for step in steps:
        inside = [each for each in all_steps((step,)) if isinstance(each, Work)]
        yield from ((work, 0 if work is step else 1) for work in inside)


def _is_plain(work: Work) -> bool:
    return (
        work.place is None
        and work.count is not None
        and len(work.count) == 1
        and work.times == (1,)
        and not work.stitch.role
    )


def _doubtful(work: Work) -> bool:
    return work.count is not None and 2 <= work.count[0] <= 5


def _count_of(page: Page, row: Row, work: Work, after: bool) -> Edit | None:
    """The count on the side of the house, or None where other words are too near to be sure."""
    span = work.span.moved(row.body.start)
    found = _COUNT.fullmatch(page.text, span.start, span.end)
    before = page.text[row.body.start : span.start]
    if (
        found is None
        or work.count != (int(found["first"] or found["last"]),)
        or not _APART_BEFORE.search(before)
        or not _APART_AFTER.match(page.text[span.end : row.body.end])
    ):
        return None
    if found["first" if not after else "last"]:
        return Edit(span.start, span.end, found[0])
    words = found["words"]
    words = words.lower() if words.istitle() else words
    count = found["first"] or found["last"]
    return Edit(span.start, span.end, f"{words} {count}" if after else f"{count} {words}")
