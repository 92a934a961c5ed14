"""Gauge: whether stitches over gauge give the finished size."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator
from fractions import Fraction

from proofhook.counting.result import RowTally
from proofhook.expressions import expression
from proofhook.proofing import Finding, Grade, Mend, Option, ProofContext, rule
from proofhook.records import NamedTuple, replace
from proofhook.trade import units
from proofhook_rules.around import sections_of, text_of
from proofhook_rules.completeness import GAUGE_STITCHES
from proofhook_rules.wording import counted, kind_of, sentence, shown

_STITCHES = expression(
    rf"{GAUGE_STITCHES}"
    r"(?P<between>[^.\n]{0,60}?)(?:=|\bto\b|\bover\b|\bin\b|\bper\b|\bmeasures?\b)\s*",
    re.IGNORECASE,
)
_PLAIN_UNITS = frozenset("  sts st stitches stitch sc hdc dc htr tr trebles treble".split(" "))
_SPACE = expression(r"ch[ -]?(?P<n>\d)[ -]?(?:sps?|spaces?)")
LEAST_ROWS = 6
#: So great a share of the rows must be of one width.
MOSTLY = 0.8
MOST_OFF = 0.2


@rule(
    "gauge-size",
    Grade.QUERY,
    Option("most-off", MOST_OFF, "how far apart the two may be, as a part of the size"),
)
def gauge_size(context: ProofContext) -> Iterator[Finding]:
    """The stitches of a row, over the gauge, give one of the finished measurements.

    Where 40 stitches at 20 stitches to 10 cm are said to make a scarf of 30 cm, one of the
    three is wrong.  Only the piece with most rows is looked at, and only where nearly all of
    them have the same number of stitches; edgings and stretch are left room.

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
    piece = _largest_even(context)
    given = _lengths(context)
    if gauge is None or piece is None or not given:
        return
    room = Fraction(str(context.options["most-off"]))
    across = _lengths(context, only=_ACROSS) or given
    for size, stitches in enumerate(piece.widths):
        width = Fraction(stitches) / gauge
        of_size = [m.figures[min(size, len(m.figures) - 1)].value * _cm(m.unit) for m in across]
        meant = [width * part for part in piece.parts]
        if any(abs(each - length) <= room * length for length in of_size for each in meant):
            yield from _height(context, piece, width)
            return
    source, section = pattern.source, sections_of(pattern, "size")[0]
    row = piece.row
    figures = counted(row.units[0], row.worked or ()) if row.units else "the stitches"
    width = Fraction(piece.widths[0]) / gauge
    told = f" {'round' if piece.is_round else 'wide'}"
    yield context.finding(
        source.line_span(source.line_of(section.start)),
        sentence(f"the gauge gives none of the measurements {shown(context.quote(section))}"),
        working=(
            f"{figures} at {float(gauge * 10):g} to 10 cm are {float(width):.1f} cm{told}"
            f"{f' ({piece.name})' if piece.name else ''}."
        ),
        mends=[Mend("Check the gauge, the stitches and the finished size against the sample.")],
    )


_ROWS = expression(r"(?P<rows>\d{1,3})\s*(?:rows?|rnds?|rounds?)\b", re.IGNORECASE)
_EDGED = expression(
    r"\b(?:edg(?:e|ing)|border|fringe|until|brim|cuffs?|band|waistband|ribbing|finger|thumb)\b",
    re.IGNORECASE,
)


def _height(context: ProofContext, piece: Even, width: Fraction) -> Iterator[Finding]:
    """A finding where the rows over the gauge give none of the other measurements.

    Only a piece by itself is looked at, all of whose rows have numbers, and only a size
    that gives more than the width.
    """
    pattern = context.pattern
    text = text_of(pattern, "gauge")
    found, stitches = _ROWS.search(text), _STITCHES.search(text)
    if found is None or stitches is None or not piece.alone or len(pattern.sizes) > 1:
        return
    over = next(units.measures(text[stitches.end() : stitches.end() + 20]), None)
    if over is None or found.start() > stitches.end() or _EDGED.search(pattern.source.text):
        return
    high = Fraction(piece.rows) * over.figures[0].value * _cm(over.unit) / int(found["rows"])
    given = [m.figures[0].value * _cm(m.unit) for m in _lengths(context)]
    room = Fraction(str(context.options["most-off"]))
    others = [each for each in given if abs(each - width) > room * each]
    if not others or any(abs(each - high) <= room * each for each in given):
        return
    source, section = pattern.source, sections_of(pattern, "size")[0]
    yield context.finding(
        source.line_span(source.line_of(section.start)),
        sentence(
            f"the rows over the gauge give none of the measurements {shown(context.quote(section))}"
        ),
        working=f"{piece.rows} rows at {found['rows']} to the gauge are {float(high):.1f} cm.",
        mends=[Mend("Check the gauge, the rows and the finished size against the sample.")],
    )


class Even(NamedTuple):
    """A piece of even width: how many stitches wide it is in each size, and its first even row.

    ``parts`` are the widths that a measurement may give: the piece, two of them side by
    side, half of a tube laid flat, or the diameter of one.
    """

    name: str
    row: RowTally
    widths: tuple[int, ...]
    is_round: bool
    alone: bool
    rows: int

    @property
    def parts(self) -> tuple[Fraction, ...]:
        """The shares of the width that a measurement may give."""
        if self.is_round:
            return (Fraction(1), Fraction(1, 2), Fraction(113, 355))
        return (Fraction(1),) if self.alone else (Fraction(1), Fraction(2))


def _largest_even(context: ProofContext) -> Even | None:
    """The piece with most rows, if nearly all of them have the same number of stitches."""
    pieces = [
        (piece, [r for r in context.tally.rows if r.piece is piece and r.worked and r.row.label])
        for piece in context.pattern.pieces
    ]
    # a cuff or a brim is often worked sideways, and what it measures is seldom told
    pieces = [each for each in pieces if not _EDGED.search(each[0].name)] or pieces
    piece, rows = max(pieces, key=lambda each: _worked_rows(each[1]), default=(None, []))
    if piece is None or len(rows) < 2 or _worked_rows(rows) < LEAST_ROWS:
        return None
    kinds = {kind_of(row.row, piece) for row in rows}
    if len(kinds) != 1 or not kinds <= {"row", "round"}:
        return None
    widths = Counter[tuple[int, ...]]()
    open_rows = sum(_rows_of(row) for row in rows if _is_open(row))
    lace = open_rows > (1 - MOSTLY) * _worked_rows(rows) or any(
        _SPACE.fullmatch(unit.unit.lower()) for row in rows for unit in row.units
    )
    plain = {id(row): _width(row) or () for row in rows if not lace or row.stated}
    if sum(_rows_of(row) for row in rows if not plain.get(id(row))) * 2 > _worked_rows(rows):
        plain = _laid_out(rows)
    for row in rows:
        if id(row) in plain:  # what lies between the stitches is only told with a total
            widths[plain[id(row)]] += _rows_of(row)
    if not widths:
        return None
    most, often = widths.most_common(1)[0]
    if often < MOSTLY * sum(widths.values()) or not max(most, default=0):
        return None
    return Even(
        piece.name if len(context.pattern.pieces) > 1 else "",
        next(row for row in rows if plain.get(id(row)) == most),
        most,
        kinds == {"round"},
        len(context.pattern.pieces) == 1 and (piece.make or 1) < 2,
        _worked_rows(rows),
    )


def _width(row: RowTally) -> tuple[int, ...] | None:
    """Stitches and the chains of spaces, one figure a size; None for a row of something else."""
    widths = [0] * max((len(unit.worked or ()) for unit in row.units), default=0)
    for unit in row.units:
        space = _SPACE.fullmatch(unit.unit.lower())
        if unit.worked is None or not (space or unit.unit.lower() in _PLAIN_UNITS):
            return None
        for size in range(len(widths)):
            count = unit.worked[min(size, len(unit.worked) - 1)]
            widths[size] += count * (int(space["n"]) if space else 1)
    return tuple(widths) or None


def _is_open(row: RowTally) -> bool:
    """Whether a row lies wider than it has stitches, by the chains of its spaces."""
    return any(
        wide and wide[-1] != count
        for wide, count in zip(row.widths, row.worked or (), strict=False)
    )


#: By so much a row of groups and spaces may lie wider or narrower than the first row.
_SLACK = 0.1


def _laid_out(rows: list[RowTally]) -> dict[int, tuple[int, ...]]:
    """How wide rows of groups and spaces lie; nothing where that strays from the first row.

    V-stitches lie as wide as the stitches below; shells and arches mostly do, and where
    they do not, the figure is no measure of the piece.
    """
    laid = {id(row): tuple(each[-1] for each in row.widths if each) for row in rows}
    first = max(laid[id(rows[0])], default=0)
    if not all(each and abs(max(each) - first) <= _SLACK * first for each in laid.values()):
        return {}
    return laid


def _rows_of(row: RowTally) -> int:
    label = row.row.label
    if label is None or not label.first or not label.last or row.changes_count:
        return 1  # of a range that grows only the last row is as wide as it says
    return max(1, label.last[0] - label.first[0] + 1)


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


def _worked_rows(rows: list[RowTally]) -> int:
    return sum(_rows_of(row) for row in rows)


#: What the wearer measures, which the piece need not.
_TO_FIT = expression(r"(?im)^[^\n:]{0,20}\bto\s+fit\b[^\n]*$")


#: A line that begins with what is measured from side to side, or round.
_ACROSS = expression(
    r"(?im)^[^\n:\d]{0,20}\b(?:bust|chest|hips?|circumference|width)\b[^\n:\d]{0,20}:[^\n]*$"
)


def _lengths(context: ProofContext, only: re.Pattern[str] | None = None) -> list[units.Measure]:
    """The lengths of the finished size, in centimetres or inches; in some lines only, if said."""
    texts = [context.quote(section) for section in sections_of(context.pattern, "size")]
    worn = [_TO_FIT.sub("", text) for text in texts]
    if only is not None:
        worn = texts = ["\n".join(line[0] for line in only.finditer(text)) for text in worn]
    found: list[units.Measure] = []
    for text in worn if any(next(units.measures(each), None) for each in worn) else texts:
        for measure in units.measures(text):
            if measure.kind == "length" and measure.unit != "mm":
                parts = len(context.pattern.sizes)
                if len(measure.figures) in (1, parts):
                    found.append(measure)
                else:
                    found += [replace(measure, figures=(each,)) for each in measure.figures]
    return found


RULES = (gauge_size,)
