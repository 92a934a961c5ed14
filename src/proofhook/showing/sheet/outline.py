"""The silhouette of a part: every row as wide as it lies, the first at the foot.

Rows are drawn about their middle, since a total does not tell at which edge stitches were
taken in or put on.  Sizes are drawn into each other.
"""

from __future__ import annotations

from collections.abc import Iterator

from proofhook.counting.result import Verdict
from proofhook.records import NamedTuple
from proofhook.showing.sheet.drawing import (
    LABELS,
    MOST_LABELS,
    NEAREST,
    Anchor,
    Drawing,
    Stroke,
    figure,
    placed,
)
from proofhook.showing.sheet.shaping import Band, Part, differs_in

BREADTH, HEIGHT = 300, 320
WIDEST_STITCH, HIGHEST_ROW, LEAST_LINED, LEAST_GAP = 9.0, 11.0, 4.0, 6.0
MARGIN = 8


class Step(NamedTuple):
    """Rows of one width, one upon the other; ``width`` is None in a gap."""

    low: float
    high: float
    width: int | None
    band: Band


class Scale(NamedTuple):
    """How a part is put on the sheet: units for a stitch and for a row, and the foot."""

    stitch: float
    row: float
    foot: float

    def edges(self, width: float) -> tuple[str, str]:
        """The left and the right edge of a row."""
        half = width * self.stitch / 2
        return figure(MARGIN + BREADTH / 2 - half), figure(MARGIN + BREADTH / 2 + half)


def outline(part: Part) -> Drawing:
    """The silhouette of a part in all its sizes."""
    sizes = range(len(part.sizes))
    widest = max(part.widest, *(_stated(part, size) for size in sizes), 1)
    rows = max(part.rows(size) for size in sizes)
    row = min(HIGHEST_ROW, HEIGHT / max(rows, 1))
    climbs = [list(_steps(part, size, row)) for size in sizes]
    high = max((steps[-1].high for steps in climbs if steps), default=row)
    noted = sum(band.verdict in (Verdict.DIFFERS, Verdict.UNREAD) for band in part.bands)
    height = max(high + 2 * MARGIN, (min(noted, MOST_LABELS) + 1) * NEAREST)
    scale = Scale(min(WIDEST_STITCH, BREADTH / widest), row, height - MARGIN)
    strokes: list[Stroke] = []
    for size in reversed(sizes):
        strokes += _body(climbs[size], scale, size)
    if len(part.sizes) == 1:
        strokes += _lines(climbs[0], scale)
    anchors: dict[str, Anchor] = {}
    for size in sizes:
        strokes += _marks(climbs[size], scale, size, anchors)
    labels = placed(anchors.values(), MARGIN + BREADTH + 24, height)
    width = MARGIN + BREADTH + (LABELS + 24 if labels else MARGIN)
    left = max(0, len(anchors) - len(labels))
    return Drawing(width, round(height), tuple(strokes), labels=labels, unlabelled=left)


def _stated(part: Part, size: int) -> int:
    """The widest row of a size if the totals were right."""
    return max(
        (w + band.excess[size] for band in part.bands for w in band.widths[size][-1:] if w),
        default=0,
    )


def _steps(part: Part, size: int, row: float) -> Iterator[Step]:
    at = 0.0
    for band in part.bands:
        widths = band.widths[size]
        begin = 0
        for end in range(1, len(widths) + 1):
            if end < len(widths) and widths[end] == widths[begin]:
                continue
            width = widths[begin]
            tall = (end - begin) * row
            high = at + (max(tall, LEAST_GAP) if width is None else tall)
            yield Step(at, high, width, band)
            at, begin = high, end


def _body(steps: list[Step], scale: Scale, size: int) -> Iterator[Stroke]:
    """The outline of a size, closed below and above each gap."""
    run: list[Step] = []
    for step in [*steps, None]:
        if step is not None and step.width and run and run[-1].width == step.width:
            run[-1] = run[-1]._replace(high=step.high)
        elif step is not None and step.width:
            run.append(step)
        elif run:
            yield Stroke(f"body s{size % 6}", _closed(run, scale))
            run = []


def _closed(run: list[Step], scale: Scale) -> str:
    """Up along the right edge and down along the left one."""
    right: list[str] = []
    left: list[str] = []
    for step in run:
        near, far = scale.edges(step.width or 0)
        right.append(f"H{far}V{figure(scale.foot - step.high)}")
        left.append(f"H{near}V{figure(scale.foot - step.low)}")
    start, _ = scale.edges(run[0].width or 0)
    up = "".join(right)
    down = "".join(reversed(left))
    return f"M{start} {figure(scale.foot - run[0].low)}{up}{down}Z"


def _lines(steps: list[Step], scale: Scale) -> Iterator[Stroke]:
    """Hairlines between the rows, where there is room for them."""
    if scale.row < LEAST_LINED:
        return
    parts: list[str] = []
    for step in steps:
        if step.width:
            near, far = scale.edges(step.width)
            for number in range(round((step.high - step.low) / scale.row)):
                y = figure(scale.foot - step.low - number * scale.row)
                parts.append(f"M{near} {y}H{far}")
    yield Stroke("hair", "".join(parts))


def _marks(
    steps: list[Step], scale: Scale, size: int, anchors: dict[str, Anchor]
) -> Iterator[Stroke]:
    """The rows that differ and those that are not read."""
    for number, step in enumerate(steps):
        band = step.band
        last = number + 1 == len(steps) or steps[number + 1].band is not band
        middle = scale.foot - (step.low + step.high) / 2
        key = f"{band.tallied.row.span.start}"
        if step.width is None:
            x = MARGIN + BREADTH / 2
            top, foot = figure(scale.foot - step.high), figure(scale.foot - step.low)
            yield Stroke("gap", f"M{figure(x)} {foot}V{top}")
            anchors.setdefault(key, Anchor(x + 6, middle, band.name, "unread"))
        elif band.verdict is Verdict.DIFFERS and last and differs_in(band, size):
            low = max(step.low, step.high - max(scale.row, 2.0))
            yield Stroke("bad", _box(step.width, low, step.high, scale))
            if band.excess[size]:
                says = max(0, step.width + band.excess[size])
                yield Stroke("says", _box(says, low, step.high, scale))
            edge = MARGIN + BREADTH / 2 + step.width * scale.stitch / 2
            y = scale.foot - (low + step.high) / 2
            anchors.setdefault(key, Anchor(edge, y, band.name, "differs"))


def _box(width: int, low: float, high: float, scale: Scale) -> str:
    near, far = scale.edges(width)
    foot, top = figure(scale.foot - low), figure(scale.foot - high)
    return f"M{near} {foot}H{far}V{top}H{near}Z"
