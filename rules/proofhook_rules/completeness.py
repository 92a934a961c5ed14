"""Completeness: gauge, notions, yarn and copyright said in full."""

from __future__ import annotations

import re
from collections.abc import Iterator

from proofhook import expressions as rx
from proofhook.expressions import expression
from proofhook.proofing import Finding, Grade, Mend, Option, ProofContext, rule
from proofhook.text import Span
from proofhook.trade import units, yarn
from proofhook_rules.around import first_line, sections_of, text_of
from proofhook_rules.wording import joined, sentence, shown

GAUGE_STITCHES = (
    r"(?P<number>\d{1,3})\s*(?P<unit>sts?|stitch(?:es)?|sc|hdc|dc|htr|tr|single\s+crochets?"
    r"|(?:half\s+)?(?:double\s+crochets?|trebles?))\b"
)
_STITCHES = re.compile(GAUGE_STITCHES, re.IGNORECASE)
_SPACES = re.compile(
    r"(?P<number>\d{1,3})\s*(?:ch-?\s?\d\s*|\dch[- ]?)?"
    r"(?P<unit>sps?|spaces?|v-?\s?sts?|clusters?|mesh(?:es)?|blocks?)\b",
    re.IGNORECASE,
)
_ROWS = re.compile(
    r"\b\d{1,3}(?:\.5|\s?\u00bd)?\s*(?:rows?|rnds?|rounds?)\b|\b(?:rows?|rnds?|rounds?)\s*[:=]?\s*\d",
    re.IGNORECASE,
)
_NO_MATTER = expression(
    r"\b(?:not|isn.t|no)\s+(?:\w+\s+){0,3}(?:critical|important|matter|crucial|essential|vital)"
    r"|\bdoes\s*(?:not|n.t)\s+matter|\bany\s+(?:gauge|tension)",
    re.IGNORECASE,
)
_IN_STITCH = expression(r"\bcrochet|\btreble|\bpattern|\bh?dc\b|\bsc\b|\bh?tr\b", re.IGNORECASE)
_A_PIECE = expression(r"\bmeasures?\b|\bacross\b|\bmotif|\brepeat|\bsquare|\bshell|\bripple", re.I)

ROWS = Option("rows", True, "whether the gauge gives rows or rounds as well")
HOOK = Option("hook", False, "whether the gauge names the hook")
BLOCKED = Option("blocked", False, "whether the gauge of a blocked piece says that it is blocked")
IN_ROUND = Option("in-the-round", False, "whether the gauge of rounds is given in rounds")
STITCH = Option("stitch", False, "whether the gauge names the stitch it is worked in")


@rule("gauge-incomplete", Grade.STYLE, ROWS, HOOK, STITCH, BLOCKED, IN_ROUND)
def gauge_incomplete(context: ProofContext) -> Iterator[Finding]:
    """A gauge gives stitches and rows, and over how much.

    "20 sc" is no gauge without a length, and stitches alone leave the height of a piece to
    chance.  A gauge that measures a motif, or that the pattern calls unimportant, is let be.

    Flagged:

        Gauge: 20 sc and 22 rows

        Row 1: Ch 12, sc in 2nd ch from hook and in each ch across. (11)

    Passes:

        Gauge: 20 sc and 22 rows = 10 cm

        Row 1: Ch 12, sc in 2nd ch from hook and in each ch across. (11)
    """
    text = text_of(context.pattern, "gauge")
    found = _STITCHES.search(text) or _SPACES.search(text)
    if found is None or _NO_MATTER.search(text):
        return
    lacks = []
    if not any(measure.kind == "length" for measure in units.measures(text)):
        lacks.append("over what length it is")
    elif context.options["rows"] and not _ROWS.search(text) and not _A_PIECE.search(text):
        lacks.append("how many rows or rounds")
    if context.options["hook"] and not rx.search(r"\bhook|\d\s?mm\b", text, re.IGNORECASE):
        lacks.append("with which hook")
    unnamed = found["unit"].lower().startswith("st") and not _IN_STITCH.search(text)
    if context.options["stitch"] and unnamed:
        lacks.append("in which stitch")
    whole = context.pattern.source.text
    if context.options["blocked"] and re.search(r"\bblock(?:ed|ing)?\b(?!s)", whole, re.I):
        lacks += [] if re.search(r"\bblock", text, re.I) else ["whether it is blocked"]
    labels = {row.label.kind for row in context.pattern.rows if row.label}
    if context.options["in-the-round"] and "round" in labels and "row" not in labels:
        lacks += [] if re.search(r"\br(?:nd|ound)s?\b", text, re.I) else ["how many rounds"]
    if lacks:
        section = sections_of(context.pattern, "gauge")[0]
        source = context.pattern.source
        yield context.finding(
            source.line_span(source.line_of(section.start)),
            sentence(f"the gauge does not say {joined(lacks, 'or')}"),
            mends=[Mend("Measure the sample again and give the gauge in full.")],
        )


_SIZED = expression(
    r"\b(?:safety\s+eyes|toy\s+eyes|plastic\s+eyes|buttons?|zips?|zippers?)\b"
    r"(?![- ]?(?:hole|band|loop|eye))",
    re.IGNORECASE,
)
_SIZE_OF = re.compile(
    r"\d\s?(?:mm|cm)\b|[\d\u00bc-\u00be\u2150-\u215e]\s?(?:in\b|inch|[\"\u2033\u201d])", re.I
)
#: How far from a notion its size may stand.
NEAR = 25


NUMBER = Option("number", False, "whether it must be said how many there are")
_HOW_MANY = re.compile(
    r"\b(?:\d{1,2}(?!\s?(?:mm|cm|in)\b)|an?|one|two|three|four|five|six|seven|eight|nine|ten|twelve"
    r"|pairs?|x\s?\d)\b",
    re.IGNORECASE,
)


@rule("notion-size", Grade.STYLE, NUMBER)
def notion_size(context: ProofContext) -> Iterator[Finding]:
    """Eyes, buttons and zips are listed with their size.

    They are bought before the work begins: "2 safety eyes" are anything from 4 to 30 mm.

    Flagged:

        Materials: 4 mm hook; 1 ball of wool; 3 buttons

        Row 1: Ch 12, sc in 2nd ch from hook and in each ch across. (11)
        Sew on the buttons.

    Passes:

        Materials: 4 mm hook; 1 ball of wool; 3 buttons of 15 mm

        Row 1: Ch 12, sc in 2nd ch from hook and in each ch across. (11)
        Sew on the buttons.
    """
    text = context.pattern.source.text
    for section in sections_of(context.pattern, "materials"):
        for found in _SIZED.finditer(text, section.start, section.end):
            before = rx.split(r"[;\n]", text[section.start : found.start()])[-1][-NEAR:]
            after = rx.split(r"[;\n]", text[found.end() : section.end])[0][:NEAR]
            if not _SIZE_OF.search(before) and not _SIZE_OF.search(after):
                yield context.finding(
                    Span(*found.span()),
                    sentence(f"{shown(found[0])} are listed without their size"),
                    mends=[Mend("Give the size, in millimetres.")],
                )
            if context.options["number"] and not _HOW_MANY.search(f"{before} | {after}"):
                yield context.finding(
                    Span(*found.span()),
                    sentence(f"{shown(found[0])} are listed without their number"),
                    mends=[Mend("Say how many are needed.")],
                )


_FIBRE = expression(
    r"\b(?:wool|cotton|acrylic|alpaca|merino|linen|silk|bamboo|mohair|cashmere|jute|hemp|polyester|nylon"
    r"|viscose|lyocell|polyamide|chenille|raffia)\b",
    re.IGNORECASE,
)
_PUT_UP = expression(
    r"\d\s?(?:m|met(?:re|er)s?|yds?|yards?)\b[^\n]{0,30}\d\s?(?:g|oz)\b"
    r"|\d\s?(?:g|oz)\b[^\n]{0,40}\d\s?(?:m|met(?:re|er)s?|yds?|yards?)\b",
    re.IGNORECASE,
)
_YARN = expression(
    r"\b(?:yarn|wool|cotton|acrylic|merino|alpaca|thread|balls?|skeins?|hanks?)\b", re.I
)
WEIGHT = Option("weight", False, "whether the weight of the yarn must be there (DK, worsted)")
FIBRE = Option("fibre", False, "whether the fibre must be there")
PUT_UP = Option("put-up", False, "whether grams and length of a ball must be there")


@rule("yarn-incomplete", Grade.STYLE, WEIGHT, FIBRE, PUT_UP)
def yarn_incomplete(context: ProofContext) -> Iterator[Finding]:
    """The yarn is described as fully as the house wants.

    A maker who cannot get the yarn looks for another of the same weight, fibre and length
    to the ball.  Nothing is wanted unless the style sheet says so.

    House:

        [rules.yarn-incomplete]
        weight = true
        fibre = true

    Flagged:

        Materials: 1 ball of cotton, 4 mm hook

        Rnd 1: 6 sc in a magic ring. (6)

    Passes:

        Materials: 1 ball of DK cotton, 4 mm hook

        Rnd 1: 6 sc in a magic ring. (6)
    """
    spans = sections_of(context.pattern, "materials")
    text = text_of(context.pattern, "materials")
    found = _YARN.search(text)
    if not found:
        return
    lacks = []
    if context.options["weight"] and not _names_a_weight(text):
        lacks.append("its weight")
    if context.options["fibre"] and not _FIBRE.search(text):
        lacks.append("its fibre")
    if context.options["put-up"] and not _PUT_UP.search(text):
        lacks.append("the grams and the length of a ball")
    if lacks:
        source = context.pattern.source
        place = next(
            (Span(s.start + m.start(), s.start + m.end())
             for s in spans if (m := _YARN.search(context.quote(s)))),
            source.line_span(source.line_of(spans[0].start)),
        )  # fmt: skip
        yield context.finding(
            place,
            sentence(f"the yarn is listed without {joined(lacks, 'or')}"),
            mends=[Mend("Say what a maker needs to find another yarn.")],
        )


def _names_a_weight(text: str) -> bool:
    names = {name for weight in yarn.weights() for name in weight.names} - {"baby", "lace"}
    words = " ".join(rx.findall(r"[a-z0-9]+", text.lower()))
    named = any(re.search(rf"\b{re.escape(name)}\b", words) for name in names)
    return named or bool(rx.search(r"\b(?:category|weight|no|number)\W{0,3}[0-7]\b", text, re.I))


_NOTICE = expression(
    r"(?:\u00a9|\(c\)(?=\s)|\bcopyright\b(?!\s+(?:law|act|in|for|is)\b))[^\n]*", re.I
)
_YEAR = expression(r"\b(?:19|20)\d\d\b")
_NAMES = expression(
    r"(?<![.!?] )\b(?!(?:All|Rights|Reserved|Copyright|Please|You|This|The|For|May|Do|No)\b)"
    r"[A-Z][\w'\u2019-]+"
)
#: A name in a notice without any capitals: "(c) 2023 juniper lindqvist".
_SMALL_NAME = re.compile(
    r"(?:19|20)\d\d[\s,]+(?:by\s+)?(?!all\b|please\b|no\b|do\b)[a-z][\w'\u2019-]+\s+[a-z][\w'\u2019-]+"
)
_CONTACT = re.compile(r"\w@\w|\bwww\.|https?://|\w\.(?:com|co\.uk|org|net|example)\b")
_USE = re.compile(
    r"\b(?:sell|personal\s+use|share|copy|copies|distribut\w+|permission|reproduc\w+)\b",
    re.IGNORECASE,
)
ASKED = Option("needed", False, "whether every pattern must have a copyright line")
CONTACT = Option("contact", False, "whether the pattern must say how to reach the designer")
USE = Option("use", False, "whether the pattern must say what may be done with it")


@rule("copyright-line", Grade.STYLE, ASKED, CONTACT, USE)
def copyright_line(context: ProofContext) -> Iterator[Finding]:
    """A copyright line gives the year and the name.

    It is there so that readers know whom to ask and since when; without the one or the
    other it says nothing.  A pattern without such a line is let be, unless the house wants
    one.  What the line is worth is for the law where it is used.

    Flagged:

        Copyright Juniper Lindqvist

        Rnd 1: 6 sc in a magic ring. (6)

    Passes:

        Copyright 2024 Juniper Lindqvist

        Rnd 1: 6 sc in a magic ring. (6)
    """
    text = context.pattern.source.text
    notices = list(_NOTICE.finditer(text))
    if notices:
        whole = " ".join(notice[0] for notice in notices)
        lacks = [] if _YEAR.search(whole) else ["the year"]
        lacks += [] if _names_someone(whole) else ["a name"]
        if lacks:
            yield context.finding(
                Span(*notices[0].span()),
                sentence(f"the copyright line does not give {joined(lacks, 'or')}"),
                mends=[Mend("Give the year and the name of whoever holds the rights.")],
            )
    wanted = (
        ("needed", _NOTICE, "has no copyright line"),
        ("contact", _CONTACT, "does not say how to reach the designer"),
        ("use", _USE, "does not say what may be done with it"),
    )
    for option, words, lack in wanted:
        if context.options[option] and not words.search(text):
            yield context.finding(
                first_line(context.pattern), sentence(f"the pattern {lack}"), mends=[]
            )


def _names_someone(notice: str) -> bool:
    words = re.sub(r"\w{1,40}@\w{1,40}(?:\.\w{1,20})*", "", notice)
    return bool(_NAMES.search(words) or (words.islower() and _SMALL_NAME.search(words)))


RULES = (gauge_incomplete, notion_size, yarn_incomplete, copyright_line)
