"""Sections: what a complete pattern says besides its rows, and what was left unwritten."""

from __future__ import annotations

import re
from collections.abc import Iterator

from proofhook import expressions as rx
from proofhook.expressions import Sought, expression
from proofhook.passages import found_in, is_in
from proofhook.pattern import Pattern, Section
from proofhook.proofing import Finding, Grade, Mend, Option, ProofContext, rule
from proofhook.text import Span
from proofhook.trade import cautions, levels, units
from proofhook.trade.headings import OwnHeadings, leading_heading
from proofhook_rules.abbreviations import uses_abbreviations
from proofhook_rules.around import first_line, is_whole
from proofhook_rules.lists import outside_the_rows
from proofhook_rules.wording import joined, sentence, shown

_SECTIONS = (
    ("title", "a title"),
    ("level", "a skill level"),
    ("terms", "the terms used (US or UK)"),
    ("size", "a finished size"),
    ("materials", "the materials"),
    ("gauge", "a gauge"),
    ("abbreviations", "the abbreviations"),
    ("finishing", "the finishing"),
)
#: What a house may ask for besides.
_FURTHER = (
    ("designer", "the designer"),
    ("notes", "pattern notes"),
    ("care", "how to care for it"),
)
_SAID = {
    "designer": r"(?m)^\W*(?:\w+\s){0,4}by\s+(?-i:[A-Z])|\bdesign(?:er|ed)?\b\s*(?:&\s*\w+\s*)?:"
    r"|\b(?:designed|written|created|pattern|copyright|\u00a9|\(c\))\s+(?:by\s+|\d{4},?\s+)+\w",
    "notes": r"\b(?:notes?|construction|before\s+you\s+(?:start|begin))\b",
    "care": r"\b(?:wash|washing|launder\w*|hand\s?wash|machine\s?wash\w*|care)\b",
    "level": r"\b(?:beginner|easy|intermediate|experienced|advanced|basic|complex|improver"
    r"|novice)\b",
    "terms": r"\b(?:US|UK|U\.S\.|U\.K\.|USA|American|British)\b"
    r"[^.\n]{0,30}\b(?:terms?|terminology|crochet)\b",
    "size": r"\d\s?(?:\"|cm|in|inch(?:es)?)?\s?(?:x|\u00d7|by)\s?\d"
    r"|\b(?:tall|wide|long|across|square|high|finished"
    r"|measures?|comes\s+out|diameter|circumference|height|width|length|size)\b",
    "materials": r"\bhooks?\b",
    "gauge": r"\b(?:gauge|tension)\b",
    "abbreviations": r"\bsingle\s+crochet|\bdouble\s+crochet|\(sc\)|\(dc\)|\bsc\s*[=:]|\bdc\s*[=:]",
    "finishing": r"\bweav\w+|\bsew\w*\b|\bdarn\w*|\bends\b|\bblock\w*|\bfasten",
}


@rule(
    "section-missing",
    Grade.QUERY,
    *(Option(kind, True, f"whether {words} must be there") for kind, words in _SECTIONS),
    *(Option(kind, False, f"whether {words} must be there") for kind, words in _FURTHER),
)
def section_missing(context: ProofContext) -> Iterator[Finding]:
    """A pattern says what a maker must know before the first stitch, and how it ends.

    Title, level, terms, finished size, materials, gauge, abbreviations and finishing are
    what technical editors look for.  They need no heading of their own; one finding lists
    what is missing.  A house may do without any of them, and ask for the designer's name,
    notes and care as well.  Rows by themselves are no pattern
    yet, and are left alone.

    House:

        [rules.section-missing]
        title = false
        level = false
        size = false
        gauge = false
        abbreviations = false

    Flagged:

        Materials: a ball of wool, 4 mm hook

        Rnd 1: 6 sc in a magic ring. (6)
        Rnd 2: 2 sc in each st around. (12)

    Passes:

        US terms.
        Materials: a ball of wool, 4 mm hook

        Rnd 1: 6 sc in a magic ring. (6)
        Rnd 2: 2 sc in each st around. (12)
        Fasten off and weave in the ends.
    """
    pattern = context.pattern
    if not pattern.rows or not is_whole(pattern):
        return
    asked = (*_SECTIONS, *_FURTHER)
    wanted = [(kind, words) for kind, words in asked if context.options[kind]]
    missing = [words for kind, words in wanted if not _is_there(pattern, kind)]
    if missing:
        yield context.finding(
            first_line(pattern),
            sentence(f"the pattern does not give {joined(missing, 'or')}"),
            mends=[Mend("Add what is missing, or switch it off in the house style sheet.")],
        )


def _is_there(pattern: Pattern, kind: str) -> bool:
    """Whether a section of the kind is there, or words elsewhere that do for it."""
    if any(
        section.kind == kind and not _only_states_terms(pattern, section)
        for section in pattern.sections
        if kind != "title"
    ):
        return True
    if kind == "title":
        return bool(pattern.title)
    if kind == "terms" and pattern.terms_stated is not None:
        return True
    if kind == "abbreviations" and (pattern.definitions or not uses_abbreviations(pattern)):
        return True
    text = pattern.source.text if kind == "finishing" else outside_the_rows(pattern)
    if kind == "size":  # what a gauge or a button measures is not the size of the piece
        for section in pattern.sections:
            body = pattern.source.quote(section.body)
            whole = section.kind == "gauge" and _WHOLE.search(body)
            if section.kind in ("gauge", "materials") and not whole:
                text = text.replace(body, "\n")
    if kind == "size":
        lines = (m for m in units.measures(text) if m.kind == "length" and m.unit != "mm")
        return next(lines, None) is not None and re.search(_SAID[kind], text, re.I) is not None
    return re.search(_SAID[kind], text, 0 if kind == "terms" else re.IGNORECASE) is not None


def _only_states_terms(pattern: Pattern, section: Section) -> bool:
    """Whether "UK terms are used" stands there by itself, and heads no list."""
    if section.kind != "abbreviations" or section.heading is None:
        return False
    heading = pattern.source.quote(section.heading)
    rest = pattern.source.quote(section.body).replace(heading, "")
    return not rest.strip() and rx.search(r"\bterm", heading, re.I) is not None


#: A gauge that gives the size of the piece: "One square = 10 cm across".
_WHOLE = expression(r"\b(?:squares?|motifs?|hexagons?|blocks?|pieces?|finished|completed)\b", re.I)


_PLACEHOLDER = Sought(
    r"\b(?:TODO|TO\s+DO|FIXME|TBC|TBD|TBA|TK{1,2})\b|\bto\s+be\s+(?:confirmed|decided|written|added)\b"
    r"|\blorem\s+ipsum\b[^.\n]{0,40}|(?<![\w(,] )(?<![\w,/])X{2,4}(?![\w,/])|\?{3,}"
    r"|(?<!\S)\?{2,}(?=\s|$)|(?<=[\w:] )_{3,}(?=\s|$)"
    r"|\b(?:[Ii]nsert|INSERT|[Aa]dd|ADD)\s+(?:\w+\s+){1,3}(?:here|HERE)\b"
    r"|\[(?:[A-Z]+\s+){0,2}(?:NAME|COLOU?R|NUMBER|SIZE|YARN|DATE|TITLE|BRAND|WEIGHT|AMOUNT)(?:\s+[A-Z]+){0,2}\]"
    r"|[\[<(]\s*(?:insert|add(?!\s+(?:an?\s+)?\d)|photo|link|image|your)\b[^\])>\n]{0,40}[\])>]",
    begins="to|fixme|tb|tk|lorem|xx|??|___|insert|add|[|(|<",
)
_INSERT_FITS = expression(
    r"[\[<(]\s*(?:photo|image|link)\s*(?:\d+|of|on|above|below|left|right)", re.I
)


@rule("placeholder", Grade.QUERY)
def placeholder(context: ProofContext) -> Iterator[Finding]:
    """Nothing is left that was only to hold a place.

    "TODO", "XX", "lorem ipsum" and headings with nothing under them are what remains of a
    template or of a draft.

    Flagged:

        Gauge: TBC

        Rnd 1: 6 sc in a magic ring. (6)

    Passes:

        Gauge: 20 sc and 22 rnds = 10 cm

        Rnd 1: 6 sc in a magic ring. (6)
    """
    pattern = context.pattern
    text = pattern.source.text
    for found in found_in(_PLACEHOLDER, text):
        words = found[0]
        if _INSERT_FITS.match(words) or words in pattern.sizes:
            continue
        yield context.finding(
            Span(*found.span()),
            sentence(f"{shown(words)} holds the place of something that is not written yet"),
            mends=[Mend("Write what belongs here, or take it out.")],
        )
    yield from _empty(context)


#: Headings that say all by themselves ("US terms"), or that other headings follow.
_ALONE = frozenset({"title", "other", "instructions", "terms", "level", "copyright", "chart"})


def _empty(context: ProofContext) -> Iterator[Finding]:
    """Findings for headings of a known kind that are followed by another section at once."""
    pattern = context.pattern
    for at, section in enumerate(pattern.sections):
        if section.heading is None or section.kind in _ALONE:
            continue
        if _only_states_terms(pattern, section):
            continue
        rest = _after_heading(context.quote(section.body), pattern.own.headings)
        following = pattern.sections[at + 1 : at + 2]
        same = any(each.kind == section.kind for each in (*pattern.sections[:at], *following))
        if rx.search(r"\w", rest) or same or not following:
            continue
        if following[0].body.start - section.body.end < 4:
            yield context.finding(
                section.heading,
                sentence(f"nothing stands under {shown(context.quote(section.heading))}"),
                mends=[Mend("Write this section, or take its heading out.")],
            )


def _after_heading(text: str, own: OwnHeadings) -> str:
    """What a section says: the text without the words of its heading."""
    line, newline, rest = text.partition("\n")
    heading = leading_heading(line.rstrip("\r"), own)
    return line[heading.rest :] + newline + rest if heading else text


LEVELS = Option("set", "", "which levels a pattern may have", ("", "current", "older"))


@rule("level-word", Grade.STYLE, LEVELS)
def level_word(context: ProofContext) -> Iterator[Finding]:
    """The skill level is one of the words that makers know.

    The Craft Yarn Council names four levels, and named four others before; another word,
    even one that is often seen ("advanced"), leaves a maker to guess.  A house may hold to
    one of the two sets.

    Flagged:

        Level: Fiddly

        Rnd 1: 6 sc in a magic ring. (6)

    Passes:

        Level: Easy

        Rnd 1: 6 sc in a magic ring. (6)
    """
    wanted = str(context.options["set"])
    for section in context.pattern.sections:
        if section.kind != "level" or section.heading is None:
            continue
        text = context.quote(section.body).rstrip()
        words = rx.findall(r"[A-Za-z]+", text)
        sets = {each for word in words for each in levels.level_sets(word)}
        if sets and (not wanted or wanted in sets):
            continue
        found = re.search(
            r"(?m)\A[^\n:]*:[*_ ]*(\w[\w -]*\w)[ *_]*(?:\.?[ *_]*$|[\u00b7|;]|\.\s)", text
        )
        if found:
            start = section.body.start + found.start(1)
            what = "one of the usual skill levels"
            if levels.is_other_level(found[1]):
                what = "one of the Craft Yarn Council's levels, though it is often seen"
            elif sets:
                what = f"one of the {wanted} skill levels"
            yield context.finding(
                Span(start, start + len(found[1])),
                sentence(f"{shown(found[1])} is not {what}"),
                mends=[Mend(f"Write {joined(levels.level_names(wanted or 'current'), 'or')}.")],
            )


#: What is told along with a graver caution, but not by itself.
_SECOND = frozenset({"toy-from-birth", "eyes-fixed", "seams-and-filling"})
_CAUTIONED = expression(
    r"\bnot\s+(?:a\s+toy|(?:(?:meant|suitable|intended|safe)\s+)?for\s+(?:\w+\s+){0,3}(?:child\w*|bab\w+))"
    r"|\bunder\s+(?:the\s+age\s+of\s+)?(?:3|three|36\s+months)\b",
    re.IGNORECASE,
)


@rule("caution-missing", Grade.QUERY)
def caution_missing(context: ProofContext) -> Iterator[Finding]:
    """A pattern for a toy, a baby or a child gives the usual cautions.

    Small parts, cords, fillings and baby things have hurt children.  This rule reminds of
    what is usually said; it cannot tell whether a thing is safe, and what it says certifies
    nothing.  Rules differ by country: they and qualified advice decide.

    Flagged:

        A toy owl with 2 safety eyes and toy stuffing.

        Rnd 1: 6 sc in a magic ring. (6)

    Passes:

        A toy owl with 2 safety eyes and toy stuffing. Not for children under 3 years: the
        eyes are small parts. Embroider them instead, and sew all seams firmly.

        Rnd 1: 6 sc in a magic ring. (6)
    """
    pattern = context.pattern
    if not pattern.rows or any(section.kind == "caution" for section in pattern.sections):
        return
    every = cautions.cautions(pattern.source.text)
    called = [each for each in every if not each.given]
    # What is told along with others is not told to a pattern that gives some caution already.
    if any(each.given for each in every) or is_in(_CAUTIONED, pattern.source.text):
        called = [each for each in called if each.id not in _SECOND]
    grave = [each for each in called if each.id not in _SECOND]
    first = min(grave or called, key=lambda each: each.spans[0].start, default=None)
    if first is None or (not grave and not is_whole(pattern)):
        return
    others = [each for each in (grave or called) if each is not first]
    yield context.finding(
        first.spans[0],
        sentence(f"{shown(context.quote(first.spans[0]))}: the usual caution is missing"),
        working=" ".join([first.say, *(_without_defer(each.say) for each in others)]),
        mends=[Mend("Give a caution; the rules where it is made or sold decide what it must say.")],
    )


def _without_defer(say: str) -> str:
    return say.partition(" Rules differ by country")[0]


RULES = (section_missing, placeholder, level_word, caution_missing)
