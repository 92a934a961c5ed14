"""What a pattern's abbreviation list explains, and the text around its rows."""

from __future__ import annotations

import re
from collections import Counter
from functools import lru_cache

from proofhook import expressions as rx
from proofhook.pattern import Definition, Pattern
from proofhook.records import NamedTuple
from proofhook.text import Span
from proofhook.trade.abbreviations import meanings
from proofhook.trade.stitches import parse_stitch
from proofhook_rules.around import once

#: So many entries make a list; fewer may be asides.
ENTRIES_OF_A_LIST = 3

#: Words that are one abbreviation in several forms; the first is the form shown to people.
FORMS: tuple[tuple[str, ...], ...] = (
    ("sl st", "slst", "ss", "sl-st", "sl. st"),
    ("rnd", "round", "rd"),
    ("rep", "rpt", "repeat"),
    ("st", "stitch"),
    ("sp", "space"),
    ("sk", "skip"),
    ("beg", "beginning", "begin"),
    ("tch", "t-ch", "turning ch"),
    ("foll", "fol", "following"),
    ("BLO", "blo"),
    ("FLO", "flo"),
    ("yo", "yoh", "yrh"),
    ("inc", "incr", "increase"),
    ("dec", "decr", "decrease"),
    ("ch", "chain"),
    ("tog", "together"),
)
_FIRST_FORM = {form.lower(): forms[0].lower() for forms in FORMS for form in forms}


class ListText(NamedTuple):
    """The abbreviation list of a pattern: its entries, and the text of its sections."""

    entries: tuple[Definition, ...]
    names: frozenset[str]
    text: str

    def __bool__(self) -> bool:
        return len(self.entries) >= ENTRIES_OF_A_LIST


@lru_cache(maxsize=512)
def plain_form(form: str) -> str:
    """One form for all spellings of an abbreviation: "sts", "st(s)" and "Stitch" are "st"."""
    text = rx.sub(r"\((?:e?s|ies)\)", "", " ".join(form.lower().split())).strip(" .*")
    for word in (text, text.removesuffix("s"), text.removesuffix("es")):
        if word in _FIRST_FORM:
            return _FIRST_FORM[word]
    stitch = parse_stitch(text)
    if stitch:
        return stitch.name
    known = meanings(text) or meanings(text.removesuffix("s"))
    return known[0].short.lower() if known else text


def names_of(entry: Definition) -> tuple[str, ...]:
    """The names an entry explains: "rnd(s)", "ss / sl st" and "inc or increase" hold several."""
    return _names(entry.abbreviation)


@lru_cache(maxsize=512)
def _names(abbreviation: str) -> tuple[str, ...]:
    parts = rx.split(r"\s*(?:/|,|;|\bor\b|\band\b|&)\s*", abbreviation)
    bracket = rx.search(r"\(([A-Za-z][\w -]+)\)", abbreviation)
    whole = rx.sub(r"\s*\([^()]*\)\s*$", "", abbreviation)
    names = [abbreviation, whole, *parts, *([bracket[1]] if bracket else ())]
    return tuple(dict.fromkeys(name for name in (n.strip(" *.") for n in names) if name))


@once
def abbreviation_list(pattern: Pattern) -> ListText:
    """The pattern's abbreviation list; false where it has none."""
    spans = [s.body for s in pattern.sections if s.kind == "abbreviations"]
    entries = tuple(
        entry
        for entry in pattern.definitions
        if not entry.special and any(s.start <= entry.span.start < s.end for s in spans)
    )
    explained = frozenset(
        plain_form(name) for entry in pattern.definitions for name in names_of(entry)
    )
    text = "\n".join(pattern.source.quote(s.body) for s in pattern.sections if s.kind in LISTED)
    return ListText(entries, explained, text)


LISTED = ("abbreviations", "special")


@once
def outside_the_rows(pattern: Pattern) -> str:
    """The text without its rows, each replaced by an empty line."""
    text, parts, done = pattern.source.text, [], 0
    for row in pattern.rows:
        if row.span.start >= done:
            parts.append(text[done : row.span.start])
            done = row.span.end
    return "\n".join((*parts, text[done:]))


def is_explained(pattern: Pattern, form: str) -> bool:
    """Whether the text says what a form stands for, in its list or anywhere else.

    "single crochet (sc)", "sc = single crochet" and "sc (single crochet)" explain it;
    so does an entry of a list that the reader could not take apart.
    """
    listed = abbreviation_list(pattern)
    if plain_form(form) in listed.names:
        return True
    words = re.escape(form) + r"(?:s|\(s\))?"
    aside = rf"[(/]\s*{words}\s*[)/,;:]|(?<![\w-]){words}\s*(?:[:=(/\u2013\u2014]|\s-\s)"
    entry = rf"(?m)(?:^|[;,.|\u2022*]|\bor\b|\band\b)[\s>*-]*{words}(?!\w)"
    return bool(
        re.search(aside, outside_the_rows(pattern), re.IGNORECASE)
        or re.search(entry, listed.text, re.IGNORECASE)
    )


def newline_of(text: str) -> str:
    """The newline that the text uses."""
    return "\r\n" if "\r\n" in text else "\n"


def line_cut(pattern: Pattern, span: Span) -> Span:
    """The whole line of a span, its newline included."""
    text = pattern.source.text
    line = pattern.source.line_span(pattern.source.line_of(span.start))
    end = line.end
    if text.startswith("\r\n", end):
        end += 2
    elif end < len(text):
        end += 1
    return Span(line.start, end)


@once
def _entries_on(pattern: Pattern) -> Counter[int]:
    """How many entries begin on each line."""
    return Counter(pattern.source.line_of(each.span.start) for each in pattern.definitions)


def alone_on_its_line(pattern: Pattern, entry: Definition) -> bool:
    """Whether nothing but this entry stands on its line."""
    line = pattern.source.line_of(entry.span.start)
    before = pattern.source.text[
        pattern.source.line_span(line).start : entry.abbreviation_span.start
    ]
    return _entries_on(pattern)[line] == 1 and not before.strip(" \t>*-\u2022\u00b7")
