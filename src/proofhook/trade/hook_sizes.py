"""Hook sizes in a text: the millimetres, and the labels that stand beside them."""

from __future__ import annotations

import re
from collections.abc import Iterator

from proofhook import expressions as rx
from proofhook.expressions import expression
from proofhook.records import NamedTuple
from proofhook.text import Span

_MM = expression(r"(?<![\d.,/])(?P<mm>\d{1,2}(?:[.,]\d{1,3})?)\s?-?\s?mm\b", re.IGNORECASE)
_HALF = r"(?:[.,]5|\s?\u00bd|[ -]1/2)?"
_US = expression(
    rf"\b(?:U\.?S\.?A?\.?|us)\s*(?:size\s*|no\.?\s*|\#\s*)?(?P<us>[A-U](?:/[A-U])?(?:\s?[-/]?\s?\d{{1,2}}{_HALF})?(?![\w])"
    rf"|(?<=us\s)[a-u]\s?[-/]\s?\d{{1,2}}{_HALF}(?!\w)"
    rf"|\d{{1,2}}{_HALF}(?!\w))"
    rf"|(?<![\w-])(?P<bare>[A-U](?:/[A-U])?\s?[-/]\s?\d{{1,2}}{_HALF})(?![\w])"
    rf"|(?:\bsize\s+|[(\[]\s*)(?P<letter>[B-Q])(?=\s*[)\],/]|\s+hook|\s*$)",
)
_UK = expression(r"\bU\.?K\.?\s*(?:size\s*|no\.?\s*|\#\s*)?(?P<uk>0{1,3}|\d{1,2})(?![\w.])")
#: Text that still belongs to one hook: no other measure, list entry or sentence begins.
_AFTER = expression(
    r"(?:(?!\d\s?-?mm\b|[;\n]|\.\s|,\s+(?:\d+(?![\d.]*\s*mm)|and)\s"
    r"|\b(?:and|or|for|&|\+)\s+(?:an?\s+|the\s+)?(?:US\s+|size\s+)+[A-Q\d][\w/. -]{0,8}"
    r"\(?\s*\d+(?:[.,]\d+)?\s*mm).){0,44}"
)
_BEFORE = expression(r"[^;\n.]{0,30}$")


class Size(NamedTuple):
    """A hook size in millimetres with the labels that stand beside it.

    ``span`` covers size and labels, ``at`` the millimetres alone.
    """

    mm: float
    span: Span
    us: tuple[str, ...]
    uk: tuple[str, ...]
    steel: bool
    at: Span


def sizes_in(text: str) -> Iterator[Size]:
    """Every hook that a text gives in millimetres, on a line that speaks of a hook."""
    headed = False
    for line in rx.finditer(r"[^\n]+", text):
        under, headed = headed, _HEADING.fullmatch(line[0]) is not None
        if "hook" not in line[0].lower() and not under:
            continue
        found, was = list(_MM.finditer(text, line.start(), line.end())), False
        for at, mm in enumerate(found):
            after = _AFTER.match(text, mm.end(), line.end())
            end = after.end() if after else mm.end()
            begin = found[at - 1].end() if at else line.start()
            before = _label_before(text[begin : mm.start()])
            around = f"{before} {text[mm.end() : end]}"
            joined_on = bool(at and was and _GOES_ON.fullmatch(text[begin : mm.start()]))
            was = (
                joined_on
                or (under and at == 0)
                or _is_hook(text[begin : mm.start()], text[mm.end() : end + 8])
            )
            if not was:
                continue
            us = tuple(m["us"] or m["bare"] or m["letter"] for m in _US.finditer(around))
            uk = tuple(m["uk"] for m in _UK.finditer(around))
            start = mm.start() - len(before)
            stop = max(
                (mm.end() + m.end() for m in _labels(text[mm.end() : end])), default=mm.end()
            )
            steel = "steel" in line[0].lower()
            figure = float(mm["mm"].replace(",", "."))
            yield Size(figure, Span(start, stop), us, uk, steel, Span(*mm.span()))


#: "HOOK" on a line by itself: what stands on the next is a hook.
_HEADING = expression(r"[\s#*_]*(?:crochet\s+)?hooks?(?:\s+sizes?)?[\s#*_:-]*", re.I)
_GOES_ON = expression(r"(?:[\s,/&+()\[\]\dA-Z.-]|and|or|size)*")


def _is_hook(before: str, after: str) -> bool:
    """Whether a size between these words is that of a hook, not of a pair of eyes."""
    named = before.lower().rpartition("hook")
    if named[1] and not rx.search(r"[;]|,(?!\s*(?:US|UK|size|[a-u]\b))|\.\s", named[2], re.I):
        return True
    if named[1] and rx.fullmatch(r"s?,\s*", named[2]) and rx.match(r"\s*(?:[(\[/.;,]|$)", after):
        return True
    return rx.match(r"[^;.,]*?hook", rx.sub(r"[(\[][^()\[\]]*[)\]]", "", after), re.I) is not None


def _labels(text: str) -> Iterator[re.Match[str]]:
    yield from _US.finditer(text)
    yield from _UK.finditer(text)


def _label_before(text: str) -> str:
    """The label that stands right before the millimetres: "G-6 (", "US H/8, "."""
    found = _BEFORE.search(text)
    near = found[0] if found else ""
    last = max(_labels(near), key=lambda label: label.end(), default=None)
    if last and rx.fullmatch(r"\s*(?:crochet\s+)?(?:hook\s*)?[(\[/,=-]?\s*", near[last.end() :]):
        return near[last.start() :]
    return ""
