"""The text around the rows: its sections, its sentences, and where pieces begin and end."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Callable, Iterable, Iterator
from functools import lru_cache
from typing import TypeVar

from proofhook import expressions as rx
from proofhook.expressions import expression
from proofhook.passages import kept, passages
from proofhook.pattern import Chain, FastenOff, Join, Note, Pattern, Piece, Row, RowsReference, Work
from proofhook.text import Span

#: Sections that list or explain; the rest of a text tells what to do.
LISTS = frozenset(
    {
        "title", "description", "level", "terms", "size", "materials", "gauge", "abbreviations",
        "special", "caution", "care", "copyright", "contact",
    }
)  # fmt: skip

#: So much text besides the rows makes more than a swatch of rows.
WORDS_OF_A_WHOLE = 25

_FRESH = expression(
    r"\bmagic\s+(?:ring|circle|loop)|\bMR\b|\badjustable\s+(?:ring|loop)|\bfrom\s+(?:the\s+)?hook\b"
    r"|\b(?:in|into|form)\s+(?:the\s+|a\s+)?ring\b",
    re.IGNORECASE,
)
#: "Row 1: With A, ch 20, ...": so long a chain at the very start is a new beginning.
_LONG_CHAIN = expression(
    r"\W*(?:(?:row|rnd|round)\s*1\W+)?(?:(?:with|using|in)\s+[\w ]{1,30}[,:]\s*)?"
    r"(?:make\s+(?:a\s+)?)?(?:ch(?:ain)?\s*\d\d|\d\d\s*ch)",
    re.IGNORECASE,
)
_SENTENCE = expression(r"[^.!?;\n]+(?:\n(?!\s*\n)[^.!?;\n]+)*")


T = TypeVar("T")


def once(work: Callable[[Pattern], T]) -> Callable[[Pattern], T]:
    """Keep what was worked out for the last pattern; told by identity, which costs nothing."""
    kept: list[tuple[Pattern, T]] = []

    def remembered(pattern: Pattern) -> T:
        if not kept or kept[0][0] is not pattern:
            kept[:] = [(pattern, work(pattern))]
        return kept[0][1]

    remembered.__doc__ = work.__doc__
    return remembered


def is_loop(row: Row) -> bool:
    """Whether a line without a number is a loop of chains: "Loop: ch 12, sl st in same st"."""
    if row.label is not None and row.label.first:
        return False
    if not any(isinstance(step, Chain) for step in row.steps):
        return False
    return all(
        isinstance(step, (Chain, FastenOff, Join, Note))
        or (isinstance(step, Work) and step.stitch.role == "slip" and step.count in (None, (1,)))
        for step in row.steps
    )


def sections_of(pattern: Pattern, kind: str) -> tuple[Span, ...]:
    """The spans of all sections of a kind, headings included."""
    return tuple(section.body for section in pattern.sections if section.kind == kind)


def text_of(pattern: Pattern, kind: str) -> str:
    """The text of all sections of a kind, "" without one."""
    return "\n".join(pattern.source.quote(span) for span in sections_of(pattern, kind))


def blanked(pattern: Pattern, spans: Iterable[Span]) -> str:
    """The whole text with these spans blanked out, so that places stay what they are."""
    text, parts, done = pattern.source.text, [], 0
    for span in sorted(spans):
        start = max(span.start, done)
        if span.end > start:
            hidden = text[start : span.end]
            blank = rx.sub(r"[^\n]", " ", hidden) if "\n" in hidden else " " * len(hidden)
            parts += [text[done:start], blank]
            done = span.end
    return "".join((*parts, text[done:]))


@once
def instructions(pattern: Pattern) -> str:
    """What is to be done: rows, notes and finishing; all else is blank, places as they were."""
    hidden = (s.body for s in pattern.sections if s.kind in LISTS)
    return blanked(pattern, hidden)


@once
def is_whole(pattern: Pattern) -> bool:
    """Whether the text is a pattern with more to it than rows and their headings."""
    if any(section.kind not in ("title", "other") for section in pattern.sections):
        return True
    outside = blanked(pattern, (row.span for row in pattern.rows))
    return len(outside.split()) >= WORDS_OF_A_WHOLE


def sentences(text: str) -> Iterator[re.Match[str]]:
    """The sentences of a text, each as a match."""
    return _SENTENCE.finditer(text)


def first_line(pattern: Pattern) -> Span:
    """The first line that is not empty, for findings about the pattern as a whole."""
    found = rx.search(r"\S[^\n]*", pattern.source.text)
    return Span(*found.span()) if found else Span(0, 0)


def starts_anew(pattern: Pattern, piece: Piece) -> bool:
    """Whether a piece is begun by itself: with a ring, or on a chain of its own."""
    if not piece.rows:
        return False
    begin = piece.heading.end if piece.heading else piece.span.start
    first = piece.rows[0]
    if any(isinstance(step, RowsReference) and step.piece for step in first.steps):
        return True
    second = piece.rows[1].span.end if len(piece.rows) > 1 else first.span.end
    end = first.span.end if first.label and first.label.first else second
    begun = pattern.source.text[begin : max(begin, end)]
    return bool(_FRESH.search(begun) or _LONG_CHAIN.match(begun))


_ASIDE = expression(
    r"[(\[].*?(?:[)\]]|$)|,\s+(?:in|with|using)\s.*|\bmake\b.*|\bx\s?\d+.*|\d+\s?x\b|\s[-\u2013:].*|:.*"
)
_NO_NAME = frozenset(
    """the and for with side part piece one two three four six of left right first second third
    front back top bottom upper lower inner outer big small large main make""".split()
)


def nouns_of(piece: Piece) -> frozenset[str]:
    """The words that name a piece, in the singular: "Front legs (make 2)" is "leg"."""
    return _nouns(piece.name)


@lru_cache(maxsize=1024)
def _nouns(words: str) -> frozenset[str]:
    name = _ASIDE.sub(" ", words[:200].lower().lstrip("#* ")) or words[:200].lower()
    found = rx.findall(r"[a-z][a-z'-]{2,}", name)
    return frozenset(singular(word) for word in found) - _NO_NAME


def singular(word: str) -> str:
    """A noun without the ending of the plural: "leaves" is "leaf", "feet" is "foot"."""
    odd = {"leaves": "leaf", "feet": "foot", "hooves": "hoof", "scarves": "scarf", "teeth": "tooth"}
    if word in odd:
        return odd[word]
    if word.endswith("ies") and len(word) > 4:
        return word[:-3] + "y"
    if word.endswith(("ches", "shes", "xes", "sses")):
        return word[:-2]
    return word[:-1] if word.endswith("s") and not word.endswith("ss") else word


def noun_counts(text: str) -> Counter[str]:
    """How often each word of a text stands in it, in the singular."""
    counts: Counter[str] = Counter()
    for passage in passages(text):
        for noun, count in _nouns_of_passage(passage.words):
            counts[noun] += count
    return counts


@kept
def _nouns_of_passage(words: str) -> tuple[tuple[str, int], ...]:
    nouns = (singular(word) for word in rx.findall(r"[a-z][a-z'-]{2,}", words.lower()))
    return tuple(Counter(nouns).items())


def nouns_in(text: str) -> frozenset[str]:
    """All words of a text in the singular."""
    return frozenset(noun_counts(text))
