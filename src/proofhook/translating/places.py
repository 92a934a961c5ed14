"""Which part of a pattern a word stands in, and what is kept as it stands.

Rows are instructions; lists, special stitches and notes are nearly so; in a title, a
quotation, a link or an address nothing is translated.
"""

from __future__ import annotations

import re
from bisect import bisect_right
from collections.abc import Iterable, Iterator

from proofhook import expressions as rx
from proofhook.expressions import expression
from proofhook.pattern import Each, Group, Pattern, Repeat, Step, Unread
from proofhook.reading.lexer import Vocabulary, lex
from proofhook.reading.words import evened
from proofhook.records import dataclass
from proofhook.text import Span
from proofhook.trade.stitches import parse_stitch
from proofhook.trade.terms import statements

_LINK = expression(
    r"""(?:https?://|www\.)[^\s<>)\]]+ | \b[\w.+-]+@[\w-]+\.[\w.-]+
      | \b[\w-]+\.(?:com|net|org|co\.uk|example|invalid|pdf|txt|md|png|jpe?g)\b[^\s<>)\]]*
      | (?<=\]\()[^()\s]+(?=\)) | <!--.*?-->""",
    re.VERBOSE | re.IGNORECASE | re.DOTALL,
)
# Inch marks are no quotation marks, and a quotation does not go on past a blank line.
_QUOTED = expression(
    r"""\u201c(?:[^\u201c\u201d\n]|\n(?!\s*\n)){1,400}\u201d
      | \u00ab[^\u00ab\u00bb\n]{1,400}\u00bb
      | (?<![\w\u2019'])\u2018[^\u2018\u2019\n]{2,200}[\w.,!?]\u2019(?![\w\u2019])
      | (?<![\w"])"(?=[A-Za-z\u2018'])(?:[^"\n]|\n(?!\s*\n)){1,400}?(?<![\d\s])"(?!\w)""",
    re.VERBOSE,
)
_ADDRESS = expression(
    r"(?<=[a-z]),?\s+(?:DC|SC)(?=\s+\d{5}\b|\s*(?:[,.;)]|$))|\b(?:DC|SC)\s+\d{5}\b", re.MULTILINE
)
#: What an abbreviation must be explained with, to be that of a stitch.
_OF_A_STITCH = expression(
    r"crochet|treble|triple|double|single|stitch|\bst\b|\bsts?\b|(?<![a-z])(?:e|f)?(?:sc|h?dc|d?tr|htr)",
    re.IGNORECASE,
)


class Spans:
    """Stretches of a text, to be asked whether one holds a place."""

    __slots__ = ("_ends", "_starts")

    def __init__(self, spans: Iterable[tuple[int, int]]) -> None:
        merged: list[list[int]] = []
        for start, end in sorted(spans):
            if merged and start <= merged[-1][1]:
                merged[-1][1] = max(merged[-1][1], end)
            else:
                merged.append([start, end])
        self._starts = [start for start, _ in merged]
        self._ends = [end for _, end in merged]

    def touch(self, start: int, end: int) -> bool:
        """Whether one of the stretches has something in common with this one."""
        at = bisect_right(self._starts, end - 1) - 1
        return at >= 0 and self._ends[at] > start


@dataclass(frozen=True, slots=True)
class Places:
    """The parts of a text, by what may be done in them.

    ``rows`` are worked; ``told`` are the pattern's own definitions; ``unread`` was not
    understood, ``quoted`` is a quotation, ``closed`` a link or an address: all three stay.
    ``title`` stays as well.  ``worked`` are the places where a row names a stitch,
    ``meanings`` those where an explanation begins.  ``others`` are abbreviations that the
    pattern itself explains as something that is no stitch ("DC: dark cream"), in the
    capitals they are written in.  ``capitals`` tells that its rows write stitches in them.
    """

    rows: Spans
    told: Spans
    materials: Spans
    gauge: Spans
    unread: Spans
    quoted: Spans
    closed: Spans
    title: Spans
    headings: Spans
    pieces: Spans
    worked: frozenset[int]
    meanings: frozenset[int]
    others: frozenset[str]
    capitals: bool


def places_of(pattern: Pattern) -> Places:
    """The parts of a pattern's text."""
    text = pattern.source.text
    rows = [(row.span.start, row.span.end) for row in pattern.rows]
    told = [(each.span.start, each.span.end) for each in pattern.definitions]
    kinds: dict[str, list[tuple[int, int]]] = {"materials": [], "gauge": []}
    headings: list[tuple[int, int]] = []
    for section in pattern.sections:
        if section.kind in kinds:
            kinds[section.kind].append((section.body.start, section.body.end))
        if section.heading:
            headings.append((section.heading.start, section.heading.end))
    row_spans = Spans(rows)
    capitals = any(
        row_spans.touch(*found.span()) for found in rx.finditer(r"\b(?:SC|DC|TR)\b", text)
    )
    return Places(
        rows=row_spans,
        told=Spans(told),
        materials=Spans(kinds["materials"]),
        gauge=Spans(kinds["gauge"]),
        unread=Spans((span.start, span.end) for span in unread_in(pattern)),
        # In a row the marks are brackets: "'1 dc, 5 ch, 1 dc' in next st".
        quoted=Spans(
            found.span() for found in _QUOTED.finditer(text) if not row_spans.touch(*found.span())
        ),
        closed=Spans(_closed(text, row_spans)),
        title=Spans(_title(pattern)),
        headings=Spans(headings),
        pieces=Spans((p.heading.start, p.heading.end) for p in pattern.pieces if p.heading),
        worked=frozenset(_worked(pattern)),
        meanings=frozenset(each.meaning_span.start for each in pattern.definitions),
        others=_others(pattern),
        capitals=capitals,
    )


_LONE = expression(
    r"(?<![A-Za-z])(?:(?:sing|doub|treb|trip)les?|(?:h )?d c|s c|[hd] tr|t r|tr c)(?![A-Za-z])",
    re.I,
)


def _worked(pattern: Pattern) -> Iterator[int]:
    """Where rows name a stitch, in the rows in which a lone word may be one."""
    vocabulary = Vocabulary(pattern.terms)
    for row in pattern.rows:
        body = pattern.source.quote(row.body)
        if _LONE.search(body):
            for token in lex(evened(body), vocabulary):
                if token.kind == "S":
                    yield row.body.start + token.start


def unread_in(pattern: Pattern) -> Iterator[Span]:
    """Where the words of rows were not understood."""
    for row in pattern.rows:
        for step in _inside(row.steps):
            if isinstance(step, Unread):
                yield step.span.moved(row.body.start)


def _inside(steps: tuple[Step, ...]) -> Iterator[Step]:
    for step in steps:
        yield step
        if isinstance(step, (Group, Repeat)):
            yield from _inside(step.steps)
        elif isinstance(step, Each):
            yield from _inside(tuple(step.works))


def _closed(text: str, rows: Spans) -> Iterator[tuple[int, int]]:
    for found in _LINK.finditer(text):
        yield found.span()
    for found in _ADDRESS.finditer(text):
        if not rows.touch(*found.span()):
            yield found.span()


def _title(pattern: Pattern) -> Iterator[tuple[int, int]]:
    """The line of the title, unless it is an instruction already.

    What it says of the terms is no part of the name: "Turnip (US terms)".
    """
    text = pattern.source.text
    found = rx.search(r"\S[^\r\n]*", text)
    if found and pattern.title and pattern.title in found.group():
        first = pattern.rows[0].span.start if pattern.rows else len(text)
        if found.end() < first:
            at = found.start()
            told = (span for sign in statements(text) for span in sign.spans)
            for span in sorted(told, key=lambda span: span.start):
                if at <= span.start and span.end <= found.end():
                    yield at, span.start
                    at = span.end
            yield at, found.end()


_SHADE = expression(
    r"\b(?P<name>[A-Z]{2})\s*(?:[:=\u2013\u2014-]|\()\s*[^\n]{0,30}?(?:colou?r|shade|yarn|ball|skein)"
    r"|(?:colou?r|shade|yarn)\s+(?P<name2>DC|SC|TR|TC)\b"
    r"|(?:colou?r|shade)\s*\((?P<name3>DC|SC|TR|TC)\)",
    re.IGNORECASE,
)


def _others(pattern: Pattern) -> frozenset[str]:
    """Abbreviations of the pattern's own that look like stitches and are none."""
    found: set[str] = set()
    for each in pattern.definitions:
        name = each.abbreviation.strip()
        if name.isalpha() and parse_stitch(name) and not _OF_A_STITCH.search(each.meaning):
            found.add(name)
    for shade in _SHADE.finditer(pattern.source.text):
        name = next(group for group in shade.groups() if group)
        if name in ("DC", "SC", "TR", "TC"):
            found.add(name)
    return frozenset(found)
