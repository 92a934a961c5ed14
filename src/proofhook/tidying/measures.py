"""Measures in lists: the blank before the unit, and how fractions are written."""

from __future__ import annotations

from collections.abc import Iterator

from proofhook.expressions import expression
from proofhook.text import Edit, Span
from proofhook.tidying.page import Page
from proofhook.trade.units import measures

#: A unit as it ends a measure, with the blanks before it.
_UNIT = expression(r"(?<=[\d\u00bc-\u00be\u2150-\u215e)\]])(?P<gap>[ \t]*)[A-Za-z]+\Z")
_SIGNS = {
    "1/2": "\u00bd", "1/4": "\u00bc", "3/4": "\u00be", "1/3": "\u2153", "2/3": "\u2154",
    "1/8": "\u215b", "3/8": "\u215c", "5/8": "\u215d", "7/8": "\u215e",
}  # fmt: skip
_FIGURES = {sign: figures for figures, sign in _SIGNS.items()}
_SLASHED = expression(r"(?P<whole>(?<=\d)[ \t])?(?<![\d/.])(?P<fraction>[1-7]/[23468])(?![\d/])")
_SIGN = expression(rf"(?P<gap>(?<=\d) ?)?(?P<sign>[{''.join(_FIGURES)}])")


def _measures(page: Page) -> Iterator[Span]:
    """Where the measures of the lists stand."""
    for line in page.entries:
        words = page.quote(line)
        if any(map(str.isdigit, words)) or any(sign in words for sign in _FIGURES):
            yield from (measure.span.moved(line.start) for measure in measures(words))


def spaced_units(page: Page) -> Iterator[Edit]:
    """A blank between a figure and its unit, or none."""
    gap = " " if page.style.wish("units") == "spaced" else ""
    for span in _measures(page):
        found = _UNIT.search(page.quote(span))
        if found:
            yield Edit(span.start + found.start("gap"), span.start + found.end("gap"), gap)


def fractions(page: Page) -> Iterator[Edit]:
    """Fractions of measures as signs, or as figures with a stroke."""
    signs = page.style.wish("fractions") == "signs"
    for span in _measures(page):
        words = page.quote(span)
        for found in (_SLASHED if signs else _SIGN).finditer(words):
            start, end = span.start + found.start(), span.start + found.end()
            if signs:
                sign = _SIGNS.get(found["fraction"])
                if sign:
                    yield Edit(start, end, sign)
            else:
                blank = "" if found["gap"] is None else " "
                yield Edit(start, end, blank + _FIGURES[found["sign"]])
