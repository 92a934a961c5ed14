"""Totals: how they are set off, and on which side of "turn" they stand."""

from __future__ import annotations

import re
from collections.abc import Iterator

from proofhook.expressions import expression
from proofhook.pattern import Row, Total, Turn
from proofhook.text import Edit, Span
from proofhook.tidying.page import Page
from proofhook.tidying.settings import BRACKETS, DASH

#: What sets off a total without brackets.
_BEFORE = expression(r"(?<![ \t])[ \t]*(?<!-)(?:--|[-\u2013\u2014=:])[ \t]*\Z")
#: What may stand in brackets: figures with what they count, in one line.
_PLAIN = expression(r"(?!.*\bwith\b)\d[^.;:\\=\r\n]*")
#: A figure too near to the further sizes in its brackets.
_NEAR = expression(r"\d\(")
_STOP = expression(r"[\s.]*\Z")
#: What sets off a total after "turn" that is to have brackets.
_SET_OFF = expression(r"[ \t]*(?:--|[-\u2013\u2014=:])[ \t]*\Z")
_BETWEEN = expression(r"[ \t]*[.,;]?[ \t]*\Z")
_LINKED = expression(r"(?:\b(?:and|then)|&|[\r\n])\Z", re.IGNORECASE)
_TURN = expression(r"turn", re.IGNORECASE)


def marked_totals(page: Page) -> Iterator[Edit]:
    """Totals are set off as the house wants: in its brackets, or after a dash."""
    wanted = page.style.wish("total")
    for row in page.rows:
        totals = [s.span.moved(row.body.start) for s in row.steps if isinstance(s, Total)]
        for span in totals:
            if len(totals) > 1 and (wanted == DASH or not is_bracketed(page.quote(span))):
                continue  # which of them is the total may be seen from their marks
            if wanted == DASH:
                edit = _after_a_dash(page, row, span)
            else:
                edit = total_in_brackets(page.text, row, span, BRACKETS[wanted])
            if edit:
                yield edit


def total_in_brackets(text: str, row: Row, span: Span, pair: str) -> Edit | None:
    """The edit that puts a total into a pair of brackets; None where it is not set off."""
    words = text[span.start : span.end]
    if is_bracketed(words) and "\\" not in words:
        return Edit(span.start, span.end, f"{pair[0]}{words[1:-1]}{pair[1]}")
    before = _BEFORE.search(text[row.body.start : span.start])
    if before and _PLAIN.fullmatch(words) and _STOP.match(text[span.end : row.body.end]):
        start = row.body.start + before.start()
        return Edit(start, span.end, f" {pair[0]}{words}{pair[1]}")
    return None


def is_bracketed(words: str) -> bool:
    """Whether the words stand in one pair of brackets."""
    if words[:1] + words[-1:] not in BRACKETS.values():
        return False
    depth = 0
    for at, mark in enumerate(words):
        depth += (mark in "([{") - (mark in ")]}")
        if depth == 0 and at < len(words) - 1:
            return False
    return True


def _after_a_dash(page: Page, row: Row, span: Span) -> Edit | None:
    """The total after a dash and without brackets, where it ends its row.

    A full stop ends it: a row that ends in a figure may be taken to go on in the next line.
    A row that begins with its number stays: with a dash in it, it looks like an entry of a list.
    """
    words = page.quote(span)
    kept = page.text[row.body.start : span.start].rstrip(" \t")
    if (
        row.label is None
        or not row.label.text[:1].isalpha()
        or not is_bracketed(words)
        or not _STOP.match(page.text[span.end : row.body.end])
        or _NEAR.search(words)
        or "\\" in words
        or not kept
        or kept[-1] in "*_\r\n"
    ):
        return None
    start = row.body.start + len(kept)
    return Edit(start, row.body.end, f" {page.style.dash} {words[1:-1].strip()}.")


def totals_beside_turn(page: Page) -> Iterator[Edit]:
    """A total in brackets at the end of a row stands before "turn", or after it."""
    before = page.style.wish("total-place") == "before-turn"
    for row in page.rows:
        if len(row.steps) < 3:
            continue
        first, last = row.steps[-2:]
        wanted = (Turn, Total) if before else (Total, Turn)
        if isinstance(first, wanted[0]) and isinstance(last, wanted[1]):
            spans = [step.span.moved(row.body.start) for step in (first, last)]
            yield from _exchanged(page, row, spans[0], spans[1], before)


def _exchanged(page: Page, row: Row, first: Span, last: Span, before: bool) -> Iterator[Edit]:
    turn, total = (first, last) if before else (last, first)
    between, rest = page.text[first.end : last.start], page.text[last.end : row.body.end]
    kept = page.text[row.body.start : first.start].rstrip(" \t.,;")
    words = page.quote(total)
    if before and _SET_OFF.match(between):
        words = _put_in_brackets(page, words)
    elif not _BETWEEN.match(between):
        return
    if (
        not _TURN.fullmatch(page.quote(turn))
        or not is_bracketed(words)
        or not _STOP.match(rest)
        or not kept
        or _LINKED.search(kept)
    ):
        return
    start = row.body.start + len(kept)
    if before:
        yield Edit(start, row.body.end, f". {words} Turn.")
    else:
        yield Edit(start, row.body.end, f", turn. {words}")


def _put_in_brackets(page: Page, words: str) -> str:
    """A total that is set off by a mark in the brackets of the house, where it has some."""
    pair = BRACKETS.get(page.style.wish("total"), "")
    return f"{pair[0]}{words}{pair[1]}" if pair and _PLAIN.fullmatch(words) else ""
