"""Measures as patterns print them, and whether two of them say the same.

The trade converts inches at 2.5 cm as well as at 2.54 (4 in = 10 cm; a technical editor's
rule, jennabarron.com 2023; 2.54 is the legal inch), so either is right.  A printed figure
stands for every value that rounds to it: "23 1/2 in" for whatever lies within a quarter of
an inch of it.  Two measures agree where the values they stand for meet.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from fractions import Fraction
from functools import lru_cache

from proofhook import expressions as rx
from proofhook.expressions import expression, lowered_alike
from proofhook.passages import Found, kept, passages
from proofhook.records import dataclass, replace
from proofhook.text import Span

#: Unit -> (kind, least and greatest number of the kind's metric unit: cm, g, m).
UNITS: dict[str, tuple[str, Fraction, Fraction]] = {
    "mm": ("length", Fraction(1, 10), Fraction(1, 10)),
    "cm": ("length", Fraction(1), Fraction(1)),
    "in": ("length", Fraction("2.5"), Fraction("2.54")),
    "g": ("mass", Fraction(1), Fraction(1)),
    "kg": ("mass", Fraction(1000), Fraction(1000)),
    "oz": ("mass", Fraction("28.349523125"), Fraction("28.349523125")),
    "lb": ("mass", Fraction("453.59237"), Fraction("453.59237")),
    "m": ("run", Fraction(1), Fraction(1)),
    "yd": ("run", Fraction("0.9144"), Fraction("0.9144")),
    "ft": ("run", Fraction("0.3048"), Fraction("0.3048")),
}
METRIC = frozenset({"mm", "cm", "g", "kg", "m"})

#: Every printed form of a unit, in lower case, without a full stop.
_FORMS = {
    "mm": "mm", "millimetre": "mm", "millimetres": "mm", "millimeter": "mm", "millimeters": "mm",
    "cm": "cm", "cms": "cm", "centimetre": "cm", "centimetres": "cm", "centimeter": "cm",
    "centimeters": "cm",
    "in": "in", "ins": "in", "inch": "in", "inches": "in", '"': "in", "\u2033": "in",
    "\u201d": "in",
    "g": "g", "gr": "g", "gm": "g", "gms": "g", "gram": "g", "grams": "g", "gramme": "g",
    "grammes": "g",
    "kg": "kg", "kilogram": "kg", "kilograms": "kg", "kilo": "kg", "kilos": "kg",
    "oz": "oz", "ozs": "oz", "ounce": "oz", "ounces": "oz",
    "lb": "lb", "lbs": "lb", "pound": "lb", "pounds": "lb",
    "m": "m", "mt": "m", "mtr": "m", "mtrs": "m", "metre": "m", "metres": "m", "meter": "m",
    "meters": "m",
    "yd": "yd", "yds": "yd", "yard": "yd", "yards": "yd",
    "ft": "ft", "foot": "ft", "feet": "ft",
}  # fmt: skip

_SIGNS = {
    "\u00bd": Fraction(1, 2), "\u00bc": Fraction(1, 4), "\u00be": Fraction(3, 4),
    "\u2153": Fraction(1, 3), "\u2154": Fraction(2, 3), "\u215b": Fraction(1, 8),
    "\u215c": Fraction(3, 8), "\u215d": Fraction(5, 8), "\u215e": Fraction(7, 8),
}  # fmt: skip
_SIGN = "[" + "".join(_SIGNS) + "]"
_SLASHED = r"[1-9]\d?\s?[/\u2044]\s?(?:16|[2-8])(?!\d)"
_FRACTION = rf"\d{{1,6}}[\s\u00a0-]?(?:{_SIGN}|(?<=[\s-]){_SLASHED})|{_SIGN}|{_SLASHED}"
_IN_LIST = rf"(?:{_FRACTION}|\d{{1,6}}(?:\.\d{{1,3}})?)"
NUMBER = (
    rf"(?:{_FRACTION}|\d{{1,3}}(?:,\d{{3}})+(?![\d.,])"
    r"|\d{1,6}(?:\.\d{1,3}|,\d{1,2}(?![\d,]))?)"
)
_NUMBER = expression(NUMBER)
_BRACKETED = expression(r"[(\[]([^()\[\]]*)[)\]]")
_LISTED = expression(_IN_LIST)
_MIXED = expression(
    rf"(?:(?P<whole>\d+)[\s\u00a0-]?)?(?:(?P<sign>{_SIGN})|(?P<over>\d+)\s?[/\u2044]\s?(?P<under>\d+))"
)
_THOUSANDS = expression(r"\d{1,3}(?:,\d{3})+")
_UNIT = "|".join(
    sorted((re.escape(form) for form in _FORMS if form.isalpha()), key=len, reverse=True)
)

_ROW_BEFORE = expression(r"\b(?:row|rnd|round|r|step)s?\.?\s*$", re.IGNORECASE)
# No list is longer than this; bounded so that hostile text costs no more than its length.
# One figure, a range "4-4 3/4", a list of sizes "61 (66, 71, 76)", sides "10 x 12".
_MEASURE = expression(
    rf"""(?<![\w.,\u00bc-\u00be])(?<!\d[/,;:\u2013\u2014-])
        (?P<figures>{NUMBER}
            (?:\s?[,;:\u2013\u2014-]\s?{NUMBER}
              |\s*(?:\bto\b|\bby\b|x|\u00d7)\s*{NUMBER}
              |\s*[(\[]\s*{_IN_LIST}(?:\s*[,;:/-]\s*{_IN_LIST}){{0,15}}\s*[)\]]){{0,15}})
        \s?-?\s?(?P<unit>(?:{_UNIT})(?![\w\u00e0-\u00ff])|["\u2033\u201d])""",
    re.VERBOSE | re.IGNORECASE,
)
# "2 in next st", "24 in total", "Row 4 in blue": the word, not the inch.
_WORD_IN = expression(
    r"(?:[^\S\n]+(?:\n[^\S\n]*)?|\n[^\S\n]*)(?:(?:the|a|an|one|this|that|each|ea|every|all|any|both|same|next|first|last|total|back|"
    r"front|top|base|beg\w*|middle|cent(?:er|re)|corner|turning|magic|ring|loops?|lps?|mr|mc|blo|"
    r"flo|sts?|stitch\w*|chs?|chains?|sps?|spaces?|sc|hdc|dc|htr|d?tr|rnds?|rounds?|rows?|"
    r"[a-h]|mc|cc|colou?rs?|main|contrast\w*|yarn|black|white|cream|grey|gray|red|blue|green|"
    r"yellow|pink|brown|orange|purple|gold|navy|beige|tan|dark|light|pale)\b|\d)",
    re.IGNORECASE,
)


@dataclass(frozen=True, slots=True)
class Figure:
    """A printed number: its value, and the step it is rounded to (both exact)."""

    value: Fraction
    step: Fraction

    @property
    def bounds(self) -> tuple[Fraction, Fraction]:
        """The least and the greatest value that is printed so."""
        return self.value - self.step / 2, self.value + self.step / 2


@dataclass(frozen=True, slots=True)
class Measure:
    """One or more figures in one unit: a measurement, a range, a size list."""

    figures: tuple[Figure, ...]
    unit: str
    span: Span

    @property
    def kind(self) -> str:
        """What is measured: "length", "mass" or "run" (of yarn, in metres and yards)."""
        return UNITS[self.unit][0]

    @property
    def is_metric(self) -> bool:
        """Whether the unit is a metric one."""
        return self.unit in METRIC


def unit_of(words: str) -> str | None:
    """The unit that a printed form stands for, or None: "inches" is "in"."""
    return _FORMS.get(words.lower().rstrip("."))


def exact(words: str) -> Fraction:
    """The value of a printed number: "4\u00be", "4 3/4", "4-3/4", "4.5", "4,5", "1,200".

    Raises ValueError where the words are no number.
    """
    text = words.strip()
    mixed = _MIXED.fullmatch(text)
    if mixed:
        whole = Fraction(mixed["whole"] or 0)
        if mixed["sign"]:
            return whole + _SIGNS[mixed["sign"]]
        if int(mixed["under"]) == 0:
            raise ValueError(f"{words!r} divides by zero")
        return whole + Fraction(int(mixed["over"]), int(mixed["under"]))
    if _THOUSANDS.fullmatch(text):
        return Fraction(text.replace(",", ""))
    if not rx.fullmatch(r"\d+(?:[.,]\d+)?", text):
        raise ValueError(f"{words!r} is no number")
    return Fraction(text.replace(",", "."))


def number(words: str) -> float:
    """The value of a printed number as a float; raises ValueError where it is none."""
    return float(exact(words))


def figure(words: str, unit: str = "") -> Figure:
    """A printed number with the step it is rounded to, judged by how it is written.

    A fraction is rounded to its own part, a decimal to its last place (".5" to halves), a
    whole number to ones; a run or a length of a hundred or more that ends in 0 or 5 may
    be rounded to tens or fives.  Common practice.
    """
    value = exact(words)
    return Figure(value, _step(words, value, unit))


def measures(text: str) -> Iterator[Measure]:
    """Every measure in a text, in order; figures of a range or a size list stay together."""
    return iter(_measures(text))


@lru_cache(maxsize=8)
def _measures(text: str) -> tuple[Measure, ...]:
    found: list[Measure] = []
    every = (Found(at, match) for at, words in passages(text) for match in _matches(words))
    for match in every:
        if match["unit"].lower() == "in" and _is_word(text, match):
            continue
        unit = _FORMS[match["unit"].lower()]
        words = _numbers(match["figures"])
        figures = tuple(figure(each, unit) for each in words)
        found.append(Measure(figures, unit, Span(*match.span())))
    return tuple(found)


#: Where a measure ends: its last figure or bracket, and a unit; in small letters.
_ENDS = expression(rf"[\d\u00bc-\u00be\u2150-\u215e)\]]\s?-?\s?(?:{_UNIT}|[\"\u2033\u201d])")
#: What stands in a measure besides figures and blanks.
_WITHIN = frozenset(".,;:/\u2044()[]-\u2013\u2014x\u00d7tobyXTOBY" + "".join(_SIGNS))


@kept
def _matches(words: str) -> tuple[re.Match[str], ...]:
    """The measures of a passage."""
    return tuple(_matches_in(words))


def _matches_in(text: str) -> Iterator[re.Match[str]]:
    """The measures of a text.

    They are looked for from their ends: many figures are none, but few stand before a unit.
    """
    done = 0
    for end in _ENDS.finditer(lowered_alike(text)):
        last = at = end.start()
        while at > done and (
            text[at - 1] in _WITHIN or text[at - 1].isspace() or text[at - 1].isdecimal()
        ):
            at -= 1
        for start in range(max(at, done), last + 1):
            found = _MEASURE.match(text, start)
            if found is not None:
                yield found
                done = found.end()
                break


def _is_word(text: str, match: Found) -> bool:
    """Whether the "in" of a match is the word."""
    before = text[max(0, match.start() - 12) : match.start()]
    return bool(_WORD_IN.match(text, match.end()) or _ROW_BEFORE.search(before))


def _numbers(figures: str) -> Iterator[str]:
    """The numbers of a list; inside brackets a comma parts two, outside it may be decimal."""
    for at, part in enumerate(_BRACKETED.split(figures)):
        yield from (_LISTED if at % 2 else _NUMBER).findall(part)


def agree(one: Measure, other: Measure) -> bool | None:
    """Whether two measures say the same, figure by figure.

    None where they cannot be compared: units of different kinds, or unlike numbers of
    figures.
    """
    apart = disagreeing(one, other)
    return None if apart is None else not apart


def disagreeing(one: Measure, other: Measure) -> tuple[int, ...] | None:
    """The positions (0-based) at which the figures of two measures do not agree.

    None where they cannot be compared.
    """
    if one.kind != other.kind or len(one.figures) != len(other.figures):
        return None
    pairs = zip(one.figures, other.figures, strict=True)
    return tuple(
        at
        for at, (a, b) in enumerate(pairs)
        if not _meet(_metric(_beside(a, b), one.unit), _metric(_beside(b, a), other.unit))
    )


def converted(value: Fraction, unit: str, to: str) -> tuple[Fraction, Fraction]:
    """The least and the greatest value in another unit of the same kind.

    They differ where inches are concerned, which are converted at 2.5 and at 2.54 cm.
    Raises ValueError where the units are of different kinds.
    """
    kind, least, greatest = UNITS[unit]
    to_kind, to_least, to_greatest = UNITS[to]
    if kind != to_kind:
        raise ValueError(f"{unit} and {to} do not measure the same")
    if unit == to:
        return value, value
    return value * least / to_greatest, value * greatest / to_least


def _beside(each: Figure, other: Figure) -> Figure:
    """A figure beside one in fractions: it was measured too closely to be rounded to tens."""
    return each if other.step >= 1 else replace(each, step=min(each.step, Fraction(5)))


def _metric(each: Figure, unit: str) -> tuple[Fraction, Fraction]:
    low, high = each.bounds
    _, least, greatest = UNITS[unit]
    return low * least, high * greatest


def _meet(one: tuple[Fraction, Fraction], other: tuple[Fraction, Fraction]) -> bool:
    return one[0] <= other[1] and other[0] <= one[1]


def _step(words: str, value: Fraction, unit: str) -> Fraction:
    text = words.strip()
    if _MIXED.fullmatch(text):
        return Fraction(1, value.denominator) if value.denominator > 1 else Fraction(1, 2)
    places = rx.search(r"[.,](\d+)$", text)
    if places and not _THOUSANDS.fullmatch(text):
        if places[1] == "5":
            return Fraction(1, 2)
        return Fraction(1, 4) if places[1] in ("25", "75") else Fraction(1, 10 ** len(places[1]))
    if value >= 100 and unit and UNITS[unit][0] != "mass":
        return Fraction(10 if value % 10 == 0 else 5 if value % 5 == 0 else 1)
    return Fraction(1)
