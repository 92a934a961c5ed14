"""Instructions in rows: chains and their spaces, how often, and where counts stand."""

from __future__ import annotations

import re
from collections.abc import Iterator
from itertools import pairwise

from proofhook.expressions import expression
from proofhook.pattern import Chain, Row, Step, Total, Work
from proofhook.reading.words import NUMBER_WORDS
from proofhook.text import Edit
from proofhook.tidying.page import Page, all_steps, replaced

_CHAIN_SPACE = expression(
    r"(?<![\w-])(?P<word>ch)[- ]?(?P<count>\d{1,2})[- ](?P<space>sps?|spaces?)\b", re.IGNORECASE
)
_CHAINS = expression(
    r"(?:(?P<word>ch)[ ]?(?P<late>\d{1,3})|(?P<early>\d{1,3})[ ]?(?P<unit>ch))\b", re.IGNORECASE
)
_SPACE_FOLLOWS = expression(r"[ -]*(?:sp|loop|lp)", re.IGNORECASE)
#: "In the sp work (2 dc, ch 2, 2 dc)", which is read in this form alone.
_WORKED_GROUP = expression(r"\bwork\s+[(\[]", re.IGNORECASE)
_OFTEN = expression(r"(?<![\w-])(?P<count>[a-z]{3,6}|\d{1,2})(?=[ ](?:more[ ])?times\b)", re.I)
_WORDS = {str(value): word for word, value in NUMBER_WORDS.items() if 2 < value <= 12}
_TIMES = expression(r"(?<=[)\]}*])(?P<before>[ \t]*)(?P<sign>[x\u00d7])(?P<after>[ \t]*)(?=\d)")
_COUNT = expression(r"(?:(?P<first>\d+) ?)?(?P<words>[A-Za-z]+)(?: ?(?P<last>\d+))?")
_APART_BEFORE = expression(r"(?:\A|[,;(\[*])\s*\Z")
_APART_AFTER = expression(r"\s*(?:\Z|[.,;)\]*([{=:-])")


def chain_spaces(page: Page) -> Iterator[Edit]:
    """Chain spaces that begin with "ch" have the hyphens of the house: ch-2 sp, ch 2 sp."""
    form = page.style.wish("chain-space")
    for row in page.rows:
        for found in _CHAIN_SPACE.finditer(page.text, row.body.start, row.body.end):
            words = form.replace("2", found["count"]).replace("sp", found["space"])
            words = words.replace("ch", found["word"])
            yield Edit(found.start(), found.end(), words)


def counted_chains(page: Page) -> Iterator[Edit]:
    """Chains have their number where the house puts it: ch 3 or 3ch."""
    form = page.style.wish("chains")
    for row in page.rows:
        if _WORKED_GROUP.search(page.text, row.body.start, row.body.end):
            continue
        behind = [b for a, b in pairwise(row.steps) if isinstance(a, Total)]
        for step in all_steps(row.steps):
            if not isinstance(step, Chain) or len(step.count) != 1 or step in behind:
                continue  # "21 sc. 1ch, turn": the figure would be taken for a part of the total
            span = step.span.moved(row.body.start)
            found = None if step.counts is not None else _CHAINS.match(page.text, *span)
            unmarked = found and found.start() == row.body.start and not _is_marked(page, row)
            if found and not unmarked and not _SPACE_FOLLOWS.match(page.text, found.end()):
                yield from _counted(page, found, form)


def _is_marked(page: Page, row: Row) -> bool:
    """Whether a mark parts the label of a row from its words: a figure might be read with it."""
    between = page.text[row.label.span.end : row.body.start] if row.label else ""
    return between.strip() != ""


def _counted(page: Page, found: re.Match[str], form: str) -> Iterator[Edit]:
    """The edit that puts the number of chains where the house has it, if it is not there."""
    count, word = found["late"] or found["early"], found["word"] or found["unit"]
    before = page.text[max(0, found.start() - 3) : found.start()].rstrip(" \t")
    if form == "ch 3":
        letter = "Ch" if before.endswith(".") or not found["early"] else "ch"
        better = f"{letter if found['early'] else word} {count}"
    elif before.endswith(("-", "\u2013", "\u2014", "=")):
        return  # a figure behind a dash would be taken for a part of the label or the total
    else:
        better = form.replace("3", count).replace("ch", word.lower())
    yield Edit(*found.span(), better)


def counts_of_repeats(page: Page) -> Iterator[Edit]:
    """How often a repeat is worked, in figures or in words up to twelve: 6 times, six times."""
    figures = page.style.wish("repeat-counts") == "figures"
    for row in page.rows:
        for found in _OFTEN.finditer(page.text, row.body.start, row.body.end):
            count = found["count"].lower()
            if figures and count in _WORDS.values():
                yield replaced(found, "count", str(NUMBER_WORDS[count]))
            elif not figures and count in _WORDS:
                yield replaced(found, "count", _WORDS[count])


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
