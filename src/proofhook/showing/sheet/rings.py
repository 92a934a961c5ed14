"""The rings of a part that is worked in the round, as it is seen from where it began.

Every round is a ring and every stitch a dash.  A round is as high as a stitch is wide, so
dashes of one length say that the work lies flat; where they grow shorter it ruffles, and
where they grow longer it draws in.
"""

from __future__ import annotations

from collections.abc import Iterator
from math import cos, pi, radians, sin

from proofhook.counting.result import Verdict
from proofhook.records import NamedTuple
from proofhook.showing.sheet.drawing import (
    LABELS,
    MOST_LABELS,
    NEAREST,
    Anchor,
    Drawing,
    Ring,
    figure,
    placed,
)
from proofhook.showing.sheet.shaping import Band, Part, differs_in

RADIUS, MARGIN = 150.0, 8.0
THICKEST, LEAST_DASH, LEAST_RING = 14.0, 2.2, 3.0
#: Where on a ring its label is tied.
SLOPE = radians(50)


class Lap(NamedTuple):
    """Rounds of one width that are drawn alike; ``width`` is None where it is not known."""

    rounds: int
    width: int | None
    band: Band
    differs: bool


def shown_size(part: Part) -> int:
    """The size that the rings are drawn in: the first in which something differs, or the first."""
    for size in range(len(part.sizes)):
        for band in part.bands:
            if band.verdict is Verdict.DIFFERS and band.widths[size] and differs_in(band, size):
                return size
    return next((size for size in range(len(part.sizes)) if part.rows(size)), 0)


def rings(part: Part, size: int) -> Drawing:
    """The rings of a part in one size."""
    first = next((w for band in part.bands for w in band.widths[size] if w), 0)
    begin = first / (2 * pi) - 0.5
    thick = min(THICKEST, RADIUS / max(1.0, begin + part.rows(size)))
    inner = max(0.0, begin * thick)
    centre = MARGIN + min(RADIUS, inner + part.rows(size) * thick)
    drawn: list[Ring] = []
    anchors: list[Anchor] = []
    for lap in _laps(part, size, single=thick >= LEAST_RING):
        radius = inner + lap.rounds * thick / 2
        inner += lap.rounds * thick
        drawn.append(_ring(lap, radius, thick))
        if lap.differs or lap.width is None:
            x, y = centre + radius * cos(SLOPE), centre - radius * sin(SLOPE)
            style = "unread" if lap.width is None else "differs"
            anchors.append(Anchor(x, y, lap.band.name, style))
    anchors = [anchor for number, anchor in enumerate(anchors) if anchor not in anchors[:number]]
    height = max(2 * centre, (min(len(anchors), MOST_LABELS) + 1) * NEAREST)
    labels = placed(anchors, 2 * centre + 16, height)
    width = 2 * centre + (LABELS + 16 if labels else 0)
    left = max(0, len(anchors) - len(labels))
    return Drawing(round(width), round(height), (), tuple(drawn), labels, figure(centre), left)


def _ring(lap: Lap, radius: float, thick: float) -> Ring:
    tall = lap.rounds * thick
    style = "gap" if lap.width is None else "bad" if lap.differs else "ring"
    around = 2 * pi * radius
    stitches = lap.width if lap.width and around / lap.width >= LEAST_DASH else 0
    gap = min(1.6, thick * 0.18)
    return Ring(style, figure(radius), figure(max(0.4, tall - gap)), stitches)


def _laps(part: Part, size: int, single: bool) -> Iterator[Lap]:
    """The rounds one by one, or those of one width together where they would be too thin."""
    held: Lap | None = None
    for band in part.bands:
        widths = band.widths[size]
        for number, width in enumerate(widths):
            wrong = band.verdict is Verdict.DIFFERS and number + 1 == len(widths)
            lap = Lap(1, width, band, wrong and differs_in(band, size))
            if held and _alike(held, lap) and not (single and width is not None):
                held = held._replace(rounds=held.rounds + 1)
                continue
            if held:
                yield held
            held = lap
    if held:
        yield held


def _alike(one: Lap, other: Lap) -> bool:
    """Whether two laps may be drawn as one: neither differs, and unread ones have one label."""
    if one.differs or other.differs or one.width != other.width:
        return False
    return one.width is not None or one.band is other.band
