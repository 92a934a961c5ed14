"""Headings that stand alone: their letters, and whether a colon ends them."""

from __future__ import annotations

import re
from collections.abc import Iterator

from proofhook.expressions import expression
from proofhook.text import Edit, Span
from proofhook.tidying.page import Page
from proofhook.trade.headings import leading_heading

_WORD = expression(r"[^\W\d_]+(?:['\u2019][^\W\d_]+)*")
_BRACKETS = expression(r"[(\[{].*")
#: A heading of a piece with more words is one by its capitals.
_FEW_WORDS = 5
#: Lists that explain words.
_OF_WORDS = frozenset({"abbreviations", "special", "terms"})
#: Words that a heading keeps small, unless they begin it.
_SMALL = frozenset("a an and at by for from in of on or the to with".split())
#: Words that stay in capitals.
_CAPITALS = frozenset("US UK RS WS MC CC DK BLO FLO XS S M L XL XXL".split())


def lettered_headings(page: Page) -> Iterator[Edit]:
    """Headings in capitals, or with a capital in every word; brackets stay as they are."""
    capitals = page.style.wish("headings") == "capitals"
    for span in headings(page):
        words = page.quote(span)
        bracket = _BRACKETS.search(words)
        end = bracket.start() if bracket else len(words)
        if words[:end].isupper() and len(words.split()) > _FEW_WORDS:
            continue
        for number, found in enumerate(_WORD.finditer(words, 0, end)):
            new = found[0].upper() if capitals else _capitalised(found[0], number == 0)
            if len(new) == len(found[0]):
                yield Edit(span.start + found.start(), span.start + found.end(), new)


def _capitalised(word: str, first: bool) -> str:
    if word in _CAPITALS or not (word.isupper() or word.islower() or word.istitle()):
        return word
    small = word.lower()
    return small if small in _SMALL and not first else small[:1].upper() + small[1:]


def ended_headings(page: Page) -> Iterator[Edit]:
    """A colon after every heading that stands alone, or after none."""
    colon = ":" if page.style.wish("heading-end") == "colon" else ""
    for span in headings(page):
        line = page.source.line_span(page.source.line_of(span.start))
        found = re.compile(r"[ \t]*(?P<colon>:?)[ \t]*\Z").match(page.text, span.end, line.end)
        if found:
            yield Edit(span.end, found.end("colon"), colon)


def headings(page: Page) -> Iterator[Span]:
    """The words of the headings of sections and pieces that stand alone on their line."""
    seen: set[int] = set()
    for section in page.pattern.sections:
        if section.heading:
            yield from _alone(page, section.heading, seen, True)
    for piece in page.pattern.pieces:
        if piece.heading and not _ends_a_list(page, piece.heading):
            yield from _alone(page, piece.heading, seen, False)


def _ends_a_list(page: Page, heading: Span) -> bool:
    """Whether prose under a heading would be entries of the list before it, but for its letters."""
    before = [s for s in page.pattern.sections if s.heading and s.heading.start < heading.start]
    if not before or before[-1].kind not in _OF_WORDS:
        return False
    rows = [row.span.start for row in page.pattern.rows]
    if any(before[-1].body.start < start < heading.start for start in rows):
        return False
    first = min((start for start in rows if start >= heading.end), default=len(page.text))
    return bool(page.text[heading.end : first].strip(" \t\r\n#*_=:-\u2013~"))


def _alone(page: Page, heading: Span, seen: set[int], known: bool) -> Iterator[Span]:
    """The words of a heading, without its marks; nothing where it does not stand alone."""
    number = page.source.line_of(heading.start)
    line = page.source.line_span(number)
    words = page.quote(line)
    leading = leading_heading(words)
    if number in seen or (known and leading is not None and leading.rest < len(words)):
        return
    if not known and (heading.end < line.end or _is_first(page, line) or not _is_apart(page, line)):
        return
    seen.add(number)
    bare = words.strip(" \t#*_=:-\u2013~")
    if not bare or not (bare[-1].isalpha() or bare[-1] in ")]}"):
        return
    start = line.start + words.index(bare)
    yield Span(start, start + len(bare))


def _is_first(page: Page, line: Span) -> bool:
    return not page.text[: line.start].strip()


def _is_apart(page: Page, line: Span) -> bool:
    """Whether a blank line stands before the line."""
    number = page.source.line_of(line.start)
    return number > 1 and not page.quote(page.source.line_span(number - 1)).strip()
