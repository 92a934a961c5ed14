"""Measures: two units that say the same, units that are missing, yarn weights."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from fractions import Fraction
from itertools import pairwise

from proofhook.expressions import expression
from proofhook.passages import is_in
from proofhook.proofing import Finding, Grade, Mend, Option, ProofContext, rule
from proofhook.records import NamedTuple, replace
from proofhook.text import Edit, Span
from proofhook.trade import cautions, units, yarn
from proofhook.trade.hook_sizes import sizes_in
from proofhook_rules.around import sections_of
from proofhook_rules.wording import joined, sentence, shown

_BETWEEN = expression(
    r"\.?\s*(?:[(\[/=]|\bor\b)\s*(?:(?:about|approx(?:imately)?\.?|roughly|~)\s*)?", re.IGNORECASE
)
#: Two lists of sizes may also be parted like two entries.
_BETWEEN_LISTS = expression(rf"{_BETWEEN.pattern}|\.?\s*[;,]\s*", re.IGNORECASE)
_SIGNS = {Fraction(1, 4): "\u00bc", Fraction(1, 2): "\u00bd", Fraction(3, 4): "\u00be"}
_SIGNED = expression("[\u00bc\u00bd\u00be]")


@rule("unit-pair", Grade.ERROR)
def unit_pair(context: ProofContext) -> Iterator[Finding]:
    """A measure given in two units is the same in both.

    A maker reads the one she is used to; where the two differ, one of them gives another
    size.  Inches may be taken as 2.5 cm (4 in = 10 cm) or as 2.54 cm, and each figure
    stands for all that is rounded to it.

    Flagged:

        Finished size: 14 cm (7 in) across

        Rnd 1: 6 sc in a magic ring. (6)

    Passes:

        Finished size: 14 cm (5 1/2 in) across

        Rnd 1: 6 sc in a magic ring. (6)
    """
    text = context.pattern.source.text
    found = list(_sides_together(text, units.measures(text)))
    for one, other in pairwise(found):
        between = _BETWEEN if len(one.figures) == 1 else _BETWEEN_LISTS
        if one.is_metric == other.is_metric or not between.fullmatch(
            text, one.span.end, other.span.start
        ):
            continue
        apart = units.disagreeing(one, other)
        if apart:
            span = Span(one.span.start, other.span.end)
            yield context.finding(
                span,
                sentence(f"{shown(context.quote(span))}: the two units do not agree"),
                working="; ".join(_working(one, other, at) for at in apart),
                mends=_mends(context, one, other),
            )


_BY = expression(r"\.?\s*(?:wide\s+|long\s+|deep\s+|high\s+)?(?:x|\u00d7|by|and)\s*", re.IGNORECASE)


def _sides_together(text: str, found: Iterable[units.Measure]) -> Iterator[units.Measure]:
    """The measures, with the sides of one thing as one: "4 cm by 18 cm" has two figures."""
    held: units.Measure | None = None
    for each in found:
        if held and held.unit == each.unit and _BY.fullmatch(text, held.span.end, each.span.start):
            span = Span(held.span.start, each.span.end)
            held = replace(held, figures=(*held.figures, *each.figures), span=span)
            continue
        if held:
            yield held
        held = each
    if held:
        yield held


def _working(one: units.Measure, other: units.Measure, at: int) -> str:
    return f"{_plain(one.figures[at].value)} {one.unit} = {_converted(one, other.unit, at)}"


def _converted(one: units.Measure, unit: str, at: int) -> str:
    low, high = sorted(units.converted(one.figures[at].value, one.unit, unit))
    texts = dict.fromkeys(f"{float(value):.1f}".removesuffix(".0") for value in (low, high))
    return f"{' to '.join(texts)} {unit}"


def _plain(value: Fraction) -> str:
    return f"{float(value):g}"


def _mends(context: ProofContext, one: units.Measure, other: units.Measure) -> Iterator[Mend]:
    """Either figure after the other, where there is one of each."""
    if len(one.figures) == 1:
        for right, wrong in ((one, other), (other, one)):
            number = re.match(units.NUMBER, context.quote(wrong.span))
            if number is None:
                continue
            low, high = units.converted(right.figures[0].value, right.unit, wrong.unit)
            words = _rounded((low + high) / 2, wrong.unit, context.pattern.source.text)
            start = wrong.span.start
            told = _plain(right.figures[0].value)
            yield Mend(
                f"Write {words} {wrong.unit}, if {told} {right.unit} is right.",
                edits=(Edit(start, start + number.end(), words),),
            )


def _rounded(value: Fraction, unit: str, text: str) -> str:
    """A value as patterns print it: inches and ounces in quarters, cm in halves."""
    if unit in ("in", "oz"):
        value = Fraction(round(value * 4), 4)
        whole, part = divmod(value, 1)
        if not part:
            return str(whole)
        slashed = f" {part}" if whole else str(part)
        return f"{whole or ''}{_SIGNS[part] if _SIGNED.search(text) else slashed}"
    step = Fraction(1, 2) if unit == "cm" and value < 50 else Fraction(1)
    return _plain(round(value / step) * step)


_BARE_SIZE = expression(
    r"(?:finished\s+(?:size|measurements?)|dimensions|measures|width|height|length|circumference|diameter)"
    r"\W{1,4}(?:(?:is|about|approx(?:imately)?\.?|approx)\s+)?"
    r"(?P<figure>\d+(?:[.,]\d+)?[\u00bc-\u00be]?(?:\s?(?:x|by|\u00d7)\s?\d+(?:[.,]\d+)?"
    r"|\s?\(\d[\d.,;/ ]{0,60}\))?)"
    r"\s*(?:(?:wide|long|tall|high|deep|across|square)\s*)?(?:[.;,(]\s|[.;]?\s*$)",
    re.IGNORECASE | re.MULTILINE,
)


BOTH = Option("both", False, "whether sizes and gauge must be given in centimetres and in inches")


@rule("unit-missing", Grade.QUERY, BOTH)
def unit_missing(context: ProofContext) -> Iterator[Finding]:
    """A measurement says what it is measured in.

    "Finished size: 20 x 30" is a doily in centimetres and a table runner in inches; the maker
    cannot know which.

    Flagged:

        Finished size: 20 x 30

        Rnd 1: 6 sc in a magic ring. (6)

    Passes:

        Finished size: 20 x 30 cm

        Rnd 1: 6 sc in a magic ring. (6)
    """
    source = context.pattern.source
    for found in _found_in(context, "size", _BARE_SIZE):
        line = source.quote(source.line_span(source.line_of(found.start("figure"))))
        if next(units.measures(line), None) is None:
            yield context.finding(
                Span(*found.span("figure")),
                f"“{found['figure']}” has no unit.",
                mends=[Mend("Say whether these are centimetres or inches.")],
            )
    yield from _bare_amounts(context)
    if context.options[BOTH.name]:
        for kind in ("size", "gauge"):
            yield from _one_sided(context, kind)


#: "... the whole string about 6" at the end of a size, "... to 10 with a 5 mm hook" in a gauge.
_ABOUT = expression(
    r"\b(?:about|approx(?:imately|\.)?)\s+(?P<figure>\d+(?:[.,]\d+)?)[ \t]*(?:[;.](?=\s|$)|$)",
    re.I | re.M,
)
_TO_NOTHING = expression(
    r"\b(?:rows?|rnds?|rounds?|sts?|stitches)\s*(?:=|to|over)\s*(?P<figure>\d{1,2}(?:\s?x\s?\d{1,2})?)"
    r"(?=[ \t]*(?:[.,;]?[ \t]*$|[.,;](?=\s)|\s(?:over|with|using)\b))",
    re.I | re.M,
)
#: "21 cm long, 11 cm wide and 13 high": one figure of several without its unit.
_SIDE = expression(
    r"(?<![\d.,/x\u00d7])(?P<figure>\d+(?:[.,]\d+)?)\s+(?:high|tall|wide|long|deep)\b", re.I
)
_NO_LENGTH = expression(r"\b(?:ages?|sizes?\s+\d|years?|months?|US|UK|makes)\b", re.I)


def _bare_amounts(context: ProofContext) -> Iterator[Finding]:
    """Findings for a length that ends without its unit, in the size or the gauge."""
    source = context.pattern.source
    places = (("size", _ABOUT), ("size", _SIDE), ("gauge", _TO_NOTHING))
    for kind, words in places:
        for found in _found_in(context, kind, words):
            line = source.line_span(source.line_of(found.start()))
            clause = re.split(r"[;.]\s", source.text[line.start : found.start()])[-1]
            bare = words is not _SIDE or next(units.measures(source.quote(line)), None)
            if bare and not (kind == "size" and _NO_LENGTH.search(clause)):
                yield context.finding(
                    Span(*found.span("figure")),
                    f"“{found['figure']}” has no unit.",
                    mends=[Mend("Say whether these are centimetres or inches.")],
                )


def _found_in(context: ProofContext, kind: str, words: re.Pattern[str]) -> Iterator[re.Match[str]]:
    """Where an expression fits in the sections of a kind.

    A size that is told in a sentence before the materials has no section of its own.
    """
    source = context.pattern.source
    spans = sections_of(context.pattern, kind)
    if not spans and words in (_SIDE, _BARE_SIZE) and context.pattern.rows:
        spans = (Span(0, context.pattern.rows[0].span.start),)
    for section in spans:
        yield from words.finditer(source.text, section.start, section.end)


def _one_sided(context: ProofContext, kind: str) -> Iterator[Finding]:
    """A finding where a section has lengths, and all of them metric or none."""
    spans = sections_of(context.pattern, kind)
    lengths = [
        (section.start, measure)
        for section in spans
        for measure in units.measures(context.quote(section))
        if measure.kind == "length" and measure.unit != "mm"
    ]
    sides = {measure.is_metric for _, measure in lengths}
    if len(sides) == 1:
        start, measure = lengths[0]
        other = "inches" if measure.is_metric else "centimetres"
        yield context.finding(
            Span(start + measure.span.start, start + measure.span.end),
            sentence(f"the {kind} is not given in {other}"),
            mends=[Mend(f"Give it in {other} too.")],
        )


_WEIGHT_NUMBER = expression(
    r"\b(?:category|yarn\s+weight|weight\s+category|CYC)\s*(?:no\.?\s*|number\s*|#\s*)?(?P<no>[0-7])\b"
    r"(?:\s*[,(:-]\s*(?P<name>[a-z][a-z ]*[a-z]))?|#(?P<hash>[0-7])\s+(?P<after>[a-z]+)\b",
    re.IGNORECASE,
)
_WEIGHT_BEFORE = expression(
    r"(?P<name>[A-Za-z]+(?:[ -][A-Za-z]+)?)[ -]weight\b"
    r"|\b(?P<yarn>(?:super[ -])?(?:bulky|chunky)|aran|worsted|dk|double\s+knitting|fingering|sport)"
    r"(?=\s+(?:yarn|wool|cotton|acrylic|merino|alpaca)\b)",
    re.IGNORECASE,
)


@rule("yarn-weight", Grade.QUERY)
def yarn_weight(context: ProofContext) -> Iterator[Finding]:
    """The number of a yarn weight goes with its name.

    The Craft Yarn Council's numbers and the names in the US and the UK do not match one
    to one, so every name in use for a number is accepted.  A hook far outside the range that
    is usual for the yarn is asked about as well; toys are worked tighter, and held double
    the yarn is another.

    Flagged:

        Materials: DK weight cotton (category 5), 1 ball. 4 mm hook.

        Rnd 1: 6 sc in a magic ring. (6)

    Passes:

        Materials: DK weight cotton (category 3), 1 ball. 4 mm hook.

        Rnd 1: 6 sc in a magic ring. (6)
    """
    source = context.pattern.source
    for section in sections_of(context.pattern, "materials"):
        for found in _WEIGHT_NUMBER.finditer(source.text, section.start, section.end):
            number = int(found["no"] or found["hash"])
            line_start = source.line_span(source.line_of(found.start())).start
            before = [
                m["name"] or m["yarn"]
                for m in _WEIGHT_BEFORE.finditer(source.text[line_start : found.start()])
            ]
            names = [n for n in (found["name"], found["after"], *before[-1:]) if n]
            wrong = [
                name
                for name in map(_known_name, names)
                if name and yarn.agrees(number, name) is False
            ]
            if wrong:
                yield context.finding(
                    Span(*found.span()),
                    sentence(f"yarn category {number} is not {joined(map(shown, wrong), 'or')}"),
                    mends=[Mend("Check the yarn's label for the number and the name.")],
                )

        yield from _in_brackets(context, section)
    yield from _far_hooks(context)


#: "DK weight (3)", "Super bulky (6)", "chunky (bulky, 5)".
_NUMBER_ASIDE = expression(
    r"\b(?P<name>(?:super[ -]|light[ -])?"
    r"(?:bulky|chunky|aran|worsted|dk|double\s+knitting|fingering|sport|lace|jumbo))"
    r"(?:[ -]weight)?(?:\s+(?:yarn|wool|cotton|acrylic|merino|alpaca|blend|thread)){0,2}"
    r"\s*\(\s*(?:(?P<also>[a-z][a-z ]*[a-z]),\s*)?\#?(?P<no>[0-7])\s*\)"
    r"|\(\s*(?P<alone>(?:super[ -])?(?:bulky|fine)|medium|light|lace),\s*\#?(?P<of>[0-7])\s*\)",
    re.IGNORECASE,
)


def _in_brackets(context: ProofContext, section: Span) -> Iterator[Finding]:
    """Findings for a number in brackets right behind the name of a weight."""
    for found in _NUMBER_ASIDE.finditer(context.pattern.source.text, section.start, section.end):
        number = int(found["no"] or found["of"])
        names = [name for name in (found["name"], found["also"], found["alone"]) if name]
        wrong = [n for n in map(_known_name, names) if n and yarn.agrees(number, n) is False]
        if wrong:
            yield context.finding(
                Span(*found.span()),
                sentence(f"yarn category {number} is not {joined(map(shown, wrong), 'or')}"),
                mends=[Mend("Check the yarn's label for the number and the name.")],
            )


#: How far a hook may lie outside the usual range, as a part of its ends.
LEAST, MOST = 0.65, 1.8
_HELD_DOUBLE = expression(
    r"\b(?:two|2|three|3|double|doubled)\s+(?:strands?|threads?|ends)|\bheld\s+(?:double|together)|\bdouble\s+strand",
    re.IGNORECASE,
)


def _far_hooks(context: ProofContext) -> Iterator[Finding]:
    """A finding where no hook of the materials is anywhere near the range of the yarn."""
    spans = sections_of(context.pattern, "materials")
    text = "\n".join(context.quote(span) for span in spans)
    weights = _weights_in(text)
    source = context.pattern.source.text
    if not weights or "toy" in cautions.audiences(source) or is_in(_HELD_DOUBLE, source):
        return
    found = [
        Size(size.mm, Span(section.start + size.span.start, section.start + size.span.end))
        for section in spans
        for size in sizes_in(context.quote(section))
    ]
    if found and not any(_is_near(weight, size.mm) for weight in weights for size in found):
        low = min(weight.hook_mm[0] for weight in weights)
        high = max(weight.hook_mm[1] or 0 for weight in weights)
        range_of = f"{low:g} to {high:g} mm" if high else f"{low:g} mm and more"
        yield context.finding(
            found[0].span,
            sentence(f"a hook of {found[0].mm:g} mm is unusual for this yarn"),
            working=f"Usual for {joined([w.name for w in weights], 'or')} are {range_of}.",
            mends=[Mend("Check the hook and the weight of the yarn.")],
        )


class Size(NamedTuple):
    """A hook of the materials and where it stands."""

    mm: float
    span: Span


def _is_near(weight: yarn.Weight, mm: float) -> bool:
    low, high = weight.hook_mm
    return weight.takes_hook(mm) or (low * LEAST <= mm and (high is None or mm <= high * MOST))


def _weights_in(text: str) -> list[yarn.Weight]:
    """The weights that the materials name by number, or else by a name with "weight"."""
    numbers = {int(m["no"] or m["hash"]) for m in _WEIGHT_NUMBER.finditer(text)}
    if numbers:
        return [found for n in sorted(numbers) if (found := yarn.weight(n))]
    names = [_known_name(m["name"] or m["yarn"]) for m in _WEIGHT_BEFORE.finditer(text)]
    named = {w.number: w for name in names if name for w in yarn.weights_named(name)}
    return [named[number] for number in sorted(named)]


def _known_name(words: str) -> str:
    """The end of the words that names a yarn weight, "" where none does."""
    parts = words.split()
    for start in range(len(parts)):
        name = " ".join(parts[start:])
        if yarn.weights_named(name):
            return name
    return ""


RULES = (unit_pair, unit_missing, yarn_weight)
