"""Measures in lists: the blank before the unit, how inches and how fractions are written."""

from __future__ import annotations

from collections.abc import Iterator

from proofhook.expressions import expression
from proofhook.text import Edit, Span
from proofhook.tidying.page import LISTS, Page
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


_INCH = expression(r"(?P<gap>[ \t]*)(?:(?P<word>(?i:inch(?:es)?|in))|[\"\u2033\u201d])\Z")


def inches(page: Page) -> Iterator[Edit]:
    """Inches as the house writes them, in the sizes, the gauge and all lists."""
    wish = page.style.wish("inches")
    spans = (
        measure.span.moved(section.body.start)
        for section in page.sections(LISTS)
        for measure in measures(page.quote(section.body))
        if measure.unit == "in"
    )
    for span in dict.fromkeys(spans):
        found = None if page.in_rows.meet(*span) else _INCH.search(page.quote(span))
        start, end = span.start + (found.start() if found else 0), span.end
        if not found or page.text[start - 1] == "-":  # "a 3-inch strip"
            continue
        stop = page.text[end : end + 1] == "."
        dotted = stop and (wish == "in." or (found["word"] == "in" and _STOP.match(page.text, end)))
        gap = found["gap"] if found["word"] else " "
        yield Edit(start, end + (1 if dotted else 0), wish if wish == '"' else f"{gap}{wish}")


def inches_alike(words: str) -> str:
    """The words with every measure in inches in one form, to compare what they say."""
    parts, at = [], 0
    for measure in measures(words):
        found = _INCH.search(words, measure.span.start, measure.span.end)
        if measure.unit == "in" and found:
            parts += [words[at : found.start()], " in "]
            at = measure.span.end
    return "".join((*parts, words[at:]))


#: The full stop of "in.", not that of a sentence.
_STOP = expression(r"\.(?=[ \t]*(?:[a-z0-9(),;/x\u00d7]|\r?\n|\Z))")


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
