"""What a picture is made of: paths, rings and labels on a sheet of so many units."""

from __future__ import annotations

from collections.abc import Iterable

from proofhook.records import NamedTuple
from proofhook.showing.sheet.counts import SIGNS as VERDICT_SIGNS

#: The room for labels at the right of a picture, and how near two of them may stand.
LABELS, NEAREST = 104, 17
MOST_LABELS, LONGEST_LABEL = 12, 12

SIGNS = {verdict.value: sign for verdict, sign in VERDICT_SIGNS.items()}


class Stroke(NamedTuple):
    """A path; ``style`` is its class in the style sheet."""

    style: str
    path: str


class Ring(NamedTuple):
    """A round: a circle of ``stitches`` dashes, or a closed one where they would run together."""

    style: str
    radius: str
    thickness: str
    stitches: int


class Anchor(NamedTuple):
    """A place in a picture that gets a label; ``style`` is the verdict that it tells."""

    x: float
    y: float
    text: str
    style: str


class Placed(NamedTuple):
    """A label where it stands, with the line that leads to it."""

    lead: str
    x: str
    y: str
    text: str
    style: str


class Drawing(NamedTuple):
    """A picture: how large it is and what is in it, ``centre`` being that of the rings."""

    width: int
    height: int
    strokes: tuple[Stroke, ...] = ()
    rings: tuple[Ring, ...] = ()
    labels: tuple[Placed, ...] = ()
    centre: str = "0"
    unlabelled: int = 0


def figure(number: float) -> str:
    """A coordinate, as short as it can be written."""
    return f"{number:.1f}".removesuffix(".0")


def placed(anchors: Iterable[Anchor], x: float, height: float) -> tuple[Placed, ...]:
    """The labels at the right of a picture, kept apart from each other."""
    wanted = sorted(anchors, key=lambda anchor: anchor.y)[:MOST_LABELS]
    ys: list[float] = []
    for anchor in wanted:
        ys.append(max(anchor.y, ys[-1] + NEAREST if ys else NEAREST / 2))
    limit = height - NEAREST / 2
    for number in range(len(ys) - 1, -1, -1):
        ys[number] = min(ys[number], limit)
        limit = ys[number] - NEAREST
    return tuple(
        Placed(
            f"M{figure(anchor.x)} {figure(anchor.y)}L{figure(x - 14)} {figure(y)}h10",
            figure(x),
            figure(y + 4.5),
            f"{_short(anchor.text)} {SIGNS[anchor.style]}",
            anchor.style,
        )
        for anchor, y in zip(wanted, ys, strict=True)
    )


def _short(text: str) -> str:
    return text if len(text) <= LONGEST_LABEL else f"{text[: LONGEST_LABEL - 1]}…"
