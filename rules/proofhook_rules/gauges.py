"""Gauge: whether stitches over gauge give the finished size."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator
from fractions import Fraction

from proofhook.counting.result import RowTally
from proofhook.expressions import expression
from proofhook.proofing import Finding, Grade, Mend, Option, ProofContext, rule
from proofhook.records import replace
from proofhook.trade import units
from proofhook_rules.around import sections_of, text_of
from proofhook_rules.wording import counted, sentence, shown

_STITCHES = expression(
    r"(?P<number>\d{1,3})\s*(?P<unit>sts?|stitch(?:es)?|sc|hdc|dc|htr|tr|single\s+crochet|double\s+crochet)\b"
    r"(?P<between>[^.\n]{0,60}?)(?:=|\bto\b|\bover\b|\bin\b|\bper\b|\bmeasures?\b)\s*",
    re.IGNORECASE,
)
_PLAIN_UNITS = frozenset({"", "sts", "st", "stitches", "sc", "hdc", "dc", "htr", "tr"})
LEAST_ROWS = 6
MOST_OFF = 0.2


@rule(
    "gauge-size",
    Grade.QUERY,
    Option("most-off", MOST_OFF, "how far apart the two may be, as a part of the size"),
)
def gauge_size(context: ProofContext) -> Iterator[Finding]:
    """The stitches of a row, over the gauge, give one of the finished measurements.

    Where 40 stitches at 20 stitches to 10 cm are said to make a scarf of 30 cm, one of the
    three is wrong.  Only a pattern of one flat piece of even width is looked at; edgings
    and stretch are left room.

    Flagged:

        Finished size: 30 cm wide, 60 cm long
        Gauge: 20 sc and 22 rows = 10 cm

        Row 1: Ch 41, sc in 2nd ch from hook and in each ch across, turn. (40 sc)
        Rows 2-132: Ch 1, sc in each sc across, turn. (40 sc)

    Passes:

        Finished size: 20 cm wide, 60 cm long
        Gauge: 20 sc and 22 rows = 10 cm

        Row 1: Ch 41, sc in 2nd ch from hook and in each ch across, turn. (40 sc)
        Rows 2-132: Ch 1, sc in each sc across, turn. (40 sc)
    """
    pattern = context.pattern
    gauge = _stitches_to_cm(text_of(pattern, "gauge"))
    rows = [row for row in context.tally.rows if row.worked and row.row.label]
    if gauge is None or len(pattern.pieces) != 1 or not _is_flat_and_even(rows):
        return
    given = _lengths(context)
    wide = [Fraction(figure) / gauge for figure in rows[0].worked or ()]
    if not given or not wide:
        return
    room = Fraction(str(context.options["most-off"]))
    for size, width in enumerate(wide):
        of_size = [m.figures[min(size, len(m.figures) - 1)].value * _cm(m.unit) for m in given]
        if any(abs(width - length) <= room * length for length in of_size):
            return
    source, section = pattern.source, sections_of(pattern, "size")[0]
    figures = counted(rows[0].units[0], rows[0].worked or ()) if rows[0].units else "the stitches"
    yield context.finding(
        source.line_span(source.line_of(section.start)),
        sentence(f"the gauge gives none of the measurements {shown(context.quote(section))}"),
        working=f"{figures} at {float(gauge * 10):g} to 10 cm are {float(wide[0]):.1f} cm.",
        mends=[Mend("Check the gauge, the stitches and the finished size against the sample.")],
    )


def _stitches_to_cm(text: str) -> Fraction | None:
    """The stitches to one centimetre that a gauge gives, None where it is not plain."""
    found = _STITCHES.search(text)
    if found is None:
        return None
    over = next(units.measures(text[found.end() : found.end() + 20]), None)
    if over is None or over.span.start > 2 or over.kind != "length" or len(over.figures) > 2:
        return None
    length = over.figures[0].value * _cm(over.unit)
    return Fraction(int(found["number"])) / length if length else None


def _cm(unit: str) -> Fraction:
    return units.UNITS[unit][2]


def _is_flat_and_even(rows: list[RowTally]) -> bool:
    """Whether nearly all rows are turned rows of the same number of stitches."""
    plain = [row for row in rows if row.row.label and row.row.label.kind == "row"]
    if len(plain) < 2 or len(plain) < len(rows) or _worked_rows(plain) < LEAST_ROWS:
        return False
    if any(unit.unit.lower() not in _PLAIN_UNITS for row in plain for unit in row.units[:1]):
        return False
    most, often = Counter(row.worked for row in plain).most_common(1)[0]
    return often == len(plain) and most is not None and max(most) > 0


def _worked_rows(rows: list[RowTally]) -> int:
    last = rows[-1].row.label
    return (last.last or last.first or (0,))[0] if last else 0


def _lengths(context: ProofContext) -> list[units.Measure]:
    """The lengths of the finished size, in centimetres or inches."""
    found: list[units.Measure] = []
    for section in sections_of(context.pattern, "size"):
        text = context.quote(section)
        for measure in units.measures(text):
            if measure.kind == "length" and measure.unit != "mm":
                parts = len(context.pattern.sizes)
                if len(measure.figures) in (1, parts):
                    found.append(measure)
                else:
                    found += [replace(measure, figures=(each,)) for each in measure.figures]
    return found


RULES = (gauge_size,)
