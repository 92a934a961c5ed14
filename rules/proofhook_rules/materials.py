"""Materials: what is used and not listed, listed and not used, listed without an amount."""

from __future__ import annotations

import re
from collections.abc import Iterator

from proofhook import expressions as rx
from proofhook.expressions import expression
from proofhook.passages import is_in
from proofhook.pattern import Pattern
from proofhook.proofing import Finding, Grade, Mend, ProofContext, rule
from proofhook.text import Span
from proofhook.trade import notions, units
from proofhook_rules.around import instructions, sections_of, singular, text_of
from proofhook_rules.colours import (
    colours_missing,
    letters_listed,
    letters_missing,
    names_missing,
    names_unused,
)
from proofhook_rules.wording import sentence, shown


@rule("material-missing", Grade.QUERY)
def material_missing(context: ProofContext) -> Iterator[Finding]:
    """Whatever the instructions ask for is in the materials.

    A maker buys what the list says; a needle, stuffing, eyes or a colour that turns up
    half-way sends her back to the shop.

    Flagged:

        Materials: 4 mm hook, 1 ball of Grey wool

        Rnd 1: With Grey, 6 sc in a magic ring. (6)
        Stuff firmly and fasten off.

    Passes:

        Materials: 4 mm hook, 1 ball of Grey wool, toy stuffing

        Rnd 1: With Grey, 6 sc in a magic ring. (6)
        Stuff firmly and fasten off.
    """
    pattern = context.pattern
    spans = sections_of(pattern, "materials")
    if not spans:
        return
    listed = text_of(pattern, "materials")
    have = {notion.key for notion in notions.named(listed)}
    if rx.search(r"\bneedles?\b", listed, re.IGNORECASE):
        have.add("needle")
    if rx.search(r"\bthread\b", listed, re.IGNORECASE):
        have.add("floss")
    told = instructions(pattern)
    for notion in notions.used(told):
        stands_in = have & _STAND_IN.get(notion.key, frozenset())
        pinned_out = (
            notion.key == "pins"
            and not stands_in - {"marker"}
            and any(rx.search(r"\bout\b", told[s.start : s.end + 4], re.I) for s in notion.spans)
        )
        if notion.key in have or (stands_in and not pinned_out):
            continue
        span = next(
            (s for s in notion.spans if not (_denied(told, s) or _with_a_scrap(told, s))), None
        )
        if span is not None:
            yield context.finding(
                span,
                sentence(
                    f"{shown(context.quote(span))} needs what the materials do not list: "
                    f"{notion.name}"
                ),
                mends=[Mend(f"Put {notion.name} into the materials.")],
            )
    yield from _neither_hook_nor_yarn(context, spans)
    yield from colours_missing(context, listed, told)
    yield from names_missing(context, listed, told)
    yield from letters_missing(context, told)


#: What is crocheted with and what of; a pattern that names none of it anywhere lacks it.
_HOOK_OF = expression(r"\bhooks?\b|\d\s?mm\b", re.IGNORECASE)
_YARN_OF = expression(
    r"\b(?:yarns?|wool|cottons?|acrylic|threads?|balls?|skeins?|hanks?|merino|alpaca|silk|linen|jute"
    r"|raffia|twine|string|chenille|mohair|polyester|bamboo|dk|worsted|aran|chunky|bulky|sport|fingering"
    r"|ply|knitting|oddments?|scraps?|g|yds?|yards?|met(?:re|er)s?)\b",
    re.IGNORECASE,
)


def _neither_hook_nor_yarn(context: ProofContext, spans: tuple[Span, ...]) -> Iterator[Finding]:
    """Findings for materials without a hook or without yarn, where nothing else names one.

    Only a pattern that gives its gauge or its abbreviations too is meant to be complete.
    """
    source = context.pattern.source
    if not any(s.kind in ("gauge", "abbreviations") for s in context.pattern.sections):
        return
    for what, words in (("a hook", _HOOK_OF), ("any yarn", _YARN_OF)):
        if not words.search(source.text):
            yield context.finding(
                source.line_span(source.line_of(spans[0].start)),
                sentence(f"the materials do not list {what}"),
                mends=[Mend(f"Put {what.replace('any ', 'the ')} into the materials.")],
            )


#: What does for another thing.
_STAND_IN = {
    "eyes": frozenset({"beads", "button", "felt", "floss"}),
    "marker": frozenset({"pins"}),
    "pins": frozenset({"marker", "blocking"}),
    "beads": frozenset({"eyes"}),
}


def _denied(text: str, span: Span) -> bool:
    """Whether the words are about doing without: "do not stuff"."""
    before = text[max(0, span.start - 30) : span.start]
    return (
        rx.search(r"\b(?:not|no|without|never|don't|don\u2019t)\s+(?:\w+\s+)?$", before, re.I)
        is not None
    )


_SCRAP = expression(
    r"[^.;\n]{0,60}?\b(?:with|using)\s+(?:a|some)\s+(?:\w+\s+)?(?:scrap|piece|strand|bit|length|loop|thread|end)\b",
    re.IGNORECASE,
)


def _with_a_scrap(text: str, span: Span) -> bool:
    """Whether a stitch is marked with what lies about: "mark the first st with a scrap of yarn"."""
    return _SCRAP.match(text, span.end) is not None


#: Things that are listed as a matter of course and never named again.
_OF_COURSE = frozenset(
    {"scissors", "tape measure", "counter", "blocking", "pins", "needle", "floss", "marker"}
)
_COUNTED_THING = expression(
    r"^[ \t*\u2022\u00b7-]{0,12}(?P<number>\d{1,2}|one|two|three|four|a\s+pair\s+of)\s+"
    r"(?P<words>(?:[a-z]+[ -]){0,3}(?P<noun>[a-z]{4,}))\s*[.,]?\s*$",
    re.IGNORECASE | re.MULTILINE,
)
_YARN_WORDS = expression(
    r"yarn|wool|cotton|hook|ball|skein|hank|weight|gram|metre|yard|needle|marker|colou?r|scissor|stuffing|size|inch|pin",
    re.I,
)


@rule("material-unused", Grade.QUERY)
def material_unused(context: ProofContext) -> Iterator[Finding]:
    """Whatever is in the materials is used.

    A notion that the instructions never take up was forgotten in the making up, or has
    stayed in the list from another pattern.

    Flagged:

        Materials: 4 mm hook, 1 ball of wool, toy stuffing

        Ch 7.
        Row 1: Sc in 2nd ch from hook and in each ch across. (6)
        Fasten off.

    Passes:

        Materials: 4 mm hook, 1 ball of wool

        Ch 7.
        Row 1: Sc in 2nd ch from hook and in each ch across. (6)
        Fasten off.
    """
    pattern = context.pattern
    if not pattern.rows:
        return
    spans = sections_of(pattern, "materials")
    told = _all_but_materials(pattern)
    for letter, span in letters_listed(context).items():
        if not re.search(rf"(?<![\w'-]){letter}(?![\w'-])", told):
            yield _unused(context, span)
    for span in names_unused(context, told):
        yield _unused(context, span)
    low, unasked = told.lower(), _unasked(told)
    keys = {n.key for section in spans for n in notions.named(context.quote(section))}
    taken = {n.key for n in (*notions.used(told, keys), *notions.named(told, keys))}
    reported: set[str] = set()
    for section in spans:
        text = context.quote(section)
        for notion in notions.named(text):
            if notion.key in taken or notion.key in reported or notion.key in unasked:
                continue
            words = text[notion.spans[0].start : notion.spans[0].end]
            if singular(words.lower().split()[-1]) in low:
                continue
            reported.add(notion.key)
            span = Span(section.start + notion.spans[0].start, section.start + notion.spans[0].end)
            yield _unused(context, span)
        for found in _COUNTED_THING.finditer(text):
            noun = singular(found["noun"].lower())
            if _YARN_WORDS.search(found[0]) or noun in low or notions.named(found[0]):
                continue
            span = Span(section.start + found.start("words"), section.start + found.end("words"))
            yield _unused(context, span)


def _unused(context: ProofContext, span: Span) -> Finding:
    return context.finding(
        span,
        sentence(f"{shown(context.quote(span))} is listed and never used"),
        mends=[Mend("Say where it is used, or leave it out of the materials.")],
    )


def _all_but_materials(pattern: Pattern) -> str:
    """The whole text but the materials: a notion named anywhere in it has its use."""
    text, parts, done = pattern.source.text, [], 0
    for section in sections_of(pattern, "materials"):
        parts.append(text[done : section.start])
        done = max(done, section.end)
    return "\n".join((*parts, text[done:]))


def _unasked(told: str) -> frozenset[str]:
    """What needs no word: a marker only where the work goes round without a join."""
    if not is_in(_IN_ROUNDS, told):
        return _OF_COURSE - {"marker"}
    joined_ones = is_in(_JOINS, told) and not is_in(_SPIRAL, told)
    return _OF_COURSE - {"marker"} if joined_ones else _OF_COURSE


_IN_ROUNDS = expression(r"\b(?:rounds?|rnds?|R\d|magic|ring)\b", re.IGNORECASE)
_JOINS = expression(r"\bjoin(?:ed|s)?\b", re.IGNORECASE)
_SPIRAL = expression(r"\bspiral|\bwithout\s+joining|\bnot\s+join|\bcontinuous", re.IGNORECASE)


_AMOUNT = expression(
    r"\d[\d.,\u00bc-\u00be ]{0,12}(?:\([^)]{0,30}\)\s*)?-?(?:g|gr|gms?|grams?|oz|ounces?"
    r"|m|mtrs?|met(?:re|er)s?|yds?|yards?|balls?|skeins?|hanks?|cones?|cakes?)\b"
    r"|\b(?:one|two|three|four|five|six|(?:an?\b(?!\s+[\w\s-]{0,20}?(?:hook|needle)))|half|single|small|tiny|bit|scraps?|oddments?|leftovers?|little|some|any|few|less|about|each|enough)\b[\w\s-]{0,30}"
    r"\b(?:balls?|skeins?|hanks?|cones?|cakes?|amounts?|bits?|yarn|wool|cotton|of|scraps?|oddments?|lengths?|metres?|yards?|grams?)\b"
    r"|\bscraps?\b|\boddments?\b|\bleftovers?\b|\bstash\b",
    re.IGNORECASE,
)
_YARN = expression(
    r"\b(?:yarn|wool|cotton|acrylic|merino|alpaca|worsted"
    r"|aran|chunky|bulky|DK|sport|fingering|4[- ]ply|thread)\b",
    re.I,
)


@rule("yarn-amount", Grade.QUERY)
def yarn_amount(context: ProofContext) -> Iterator[Finding]:
    """The materials say how much yarn is needed, for each size.

    Yarn is bought before the work begins, and dye lots differ; "worsted yarn in Grey"
    does not say whether one ball will do.

    Flagged:

        Materials: 4 mm hook, worsted weight yarn in Grey

        Rnd 1: 6 sc in a magic ring. (6)

    Passes:

        Materials: 4 mm hook, worsted weight yarn in Grey, 30 g

        Rnd 1: 6 sc in a magic ring. (6)
    """
    pattern = context.pattern
    spans = sections_of(pattern, "materials")
    text = text_of(pattern, "materials")
    found = _YARN.search(text)
    if not found:
        return
    yield from _one_without(context, spans)
    if not _AMOUNT.search(text):
        for section in spans:
            yarn = _YARN.search(context.quote(section))
            if yarn:
                span = Span(section.start + yarn.start(), section.start + yarn.end())
                yield context.finding(
                    span,
                    "The materials do not say how much yarn is needed.",
                    mends=[Mend("Give the amount of each yarn, in grams or balls.")],
                )
                return
    elif len(pattern.sizes) > 2 and not _per_size(text, pattern.sizes):
        source = pattern.source
        yield context.finding(
            source.line_span(source.line_of(spans[0].start)),
            "The materials do not say how much yarn each size takes.",
            mends=[Mend("Give one amount for each size.")],
        )


#: An entry of a list of colours: "Shade B (Cherry) 3 balls", "Color C, Brick: 3 balls".
_ENTRY = expression(
    r"(?m)^[ \t*\u2022-]{0,8}(?P<name>(?:(?i:Colou?r|Shade|Yarn)\s+(?:[A-Ha-h]|MC|CC\d?|\d)\b)"
    r"|(?:[A-H]|MC|CC\d?)(?=\s*(?:[:=(\u2013\u2014]|-\s)))(?P<rest>[^\n]*)$"
)


def _one_without(context: ProofContext, spans: tuple[Span, ...]) -> Iterator[Finding]:
    """Findings for a colour in a list that has no amount while the others have one."""
    text = context.pattern.source.text
    entries = [found for span in spans for found in _ENTRY.finditer(text, span.start, span.end)]
    bare = [
        found
        for found in entries
        if not _AMOUNT.search(found["rest"] + "\n") and not rx.search(r"\d", found["rest"])
    ]
    if not 0 < len(bare) < len(entries) or len(bare) * 2 > len(entries):
        return
    for found in bare:
        yield context.finding(
            Span(*found.span("name")),
            sentence(f"the materials do not say how much is needed of {shown(found['name'])}"),
            mends=[Mend("Give the amount, as for the other colours.")],
        )


def _per_size(text: str, sizes: tuple[str, ...]) -> bool:
    """Whether some amounts are given by size: as a list, or each with the size's name."""
    if rx.search(
        r"\d[^()\n]{0,8}[(\[][^()\n]*\d\s*[,;/:-]\s*\d[^()\n]*[)\]]|\d+\s*[-/,:]\s*\d+\s*[-/,:]\s*\d+",
        text,
    ):
        return True
    named = sum(1 for size in sizes if re.search(rf"(?<!\w){re.escape(size)}(?!\w)", text))
    longest = max((len(m.figures) for m in units.measures(text)), default=0)
    return (
        named >= 2
        or longest >= len(sizes)
        or bool(rx.search(r"all\s+sizes|each\s+size", text, re.I))
    )


RULES = (material_missing, material_unused, yarn_amount)
