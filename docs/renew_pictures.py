"""Draw the pictures of docs/how-it-works.md anew: ``python docs/renew_pictures.py``.

They are drawn from the model and the tally of the patterns below, so they show what
proofhook really makes of them.
"""

from __future__ import annotations

from collections.abc import Iterator
from html import escape
from pathlib import Path
from typing import NamedTuple

import proofhook
from proofhook.pattern import Piece, Repeat, Row, Step, Which, Work

PICTURES = Path(__file__).resolve().parent / "pictures"

GROWING = """\
THIMBLE POT

Rnd 1: 6 sc in a magic ring. (6)
Rnd 2: Inc in each st around. (12)
Rnd 3: (Sc in next st, inc) 6 times. (18)
"""

SLIP = """\
THIMBLE POT

Rnd 1: 9 sc in a magic ring. (9)
Rnd 2: Inc in each st around. (18)
Rnd 3: (Sc in next 2 sts, dec) 4 times. (12)
"""

CELL, HIGH, GAP, LEFT, RIGHT, TOP = 26, 22, 30, 74, 96, 14
INK, LINE, PAPER, MADE, LOOSE = "#333333", "#8a8a8a", "#ffffff", "#d9ecd3", "#f6c9c4"


class Made(NamedTuple):
    """Some stitches made at one go: over which places of the row below, and how many."""

    at: int
    uses: int
    makes: int


def made(steps: tuple[Step, ...], below: int, at: int = 0) -> Iterator[Made]:
    """What the steps of a row make, stitch by stitch, from the place ``at`` on."""
    for step in steps:
        match step:
            case Repeat(steps=inner, times=(times,)):
                for _ in range(times):
                    for each in made(inner, below, at):
                        at = each.at + each.uses
                        yield each
            case Work(stitch=stitch, count=count, place=place):
                times = count[0] if count else 1
                if place and place.which is Which.RING:
                    yield from (Made(0, 0, 1) for _ in range(times))
                    continue
                if place and place.until:
                    times = (below - at) // stitch.uses
                elif (place and place.each) or (count is None and place):
                    times = place.count[0]
                for _ in range(times):
                    yield Made(at, stitch.uses, stitch.makes)
                    at += stitch.uses


def picture(text: str, about: str) -> str:
    """The rounds of a small pattern as an SVG, the first at the bottom.

    Raises ValueError where the drawing would not be what the tally says.
    """
    pattern = proofhook.read(text)
    tally = pattern.tally()
    [piece] = [piece for piece in pattern.pieces if piece.rows]
    rows = _rows(piece)
    counts = [sum(each.makes for each in row) for row in rows]
    if counts != [row.worked[0] if row.worked else None for row in tally.rows]:
        raise ValueError(f"drawn {counts} where the tally has {tally.rows}")
    width = LEFT + max(counts) * CELL + RIGHT
    height = TOP + len(rows) * HIGH + (len(rows) - 1) * GAP + TOP
    size = f'width="{width}" height="{height}"'
    box = f'viewBox="0 0 {width} {height}" font-family="sans-serif" font-size="12"'
    parts = [
        f'<svg xmlns="http://www.w3.org/2000/svg" {size} {box}>',
        f"<title>{escape(about)}</title>",
        f'<rect {size} fill="{PAPER}"/>',
    ]
    for number, (row, tallied) in enumerate(zip(rows, tally.rows, strict=True)):
        above = rows[number + 1] if number + 1 < len(rows) else None
        taken = {each.at + n for each in above or () for n in range(each.uses)}
        y = height - TOP - HIGH - number * (HIGH + GAP)
        stated = tallied.stated[0] if tallied.stated else None
        told = f"{counts[number]} made" + ("" if stated == counts[number] else f", {stated} said")
        parts.append(_words(LEFT - 10, y, tallied.row.name, "end"))
        for place in range(counts[number]):
            loose = above is not None and place not in taken
            parts.append(_cell(place, y, LOOSE if loose else MADE))
        parts.append(_words(LEFT + counts[number] * CELL + 10, y, told, "start"))
        parts += _lines(row, y)
    return "\n".join((*parts, "</svg>")) + "\n"


def _rows(piece: Piece) -> list[list[Made]]:
    rows: list[list[Made]] = []
    for row in piece.rows:
        rows.append(_row(row, sum(each.makes for each in rows[-1]) if rows else 0))
    return rows


def _row(row: Row, below: int) -> list[Made]:
    return list(made(row.steps, below))


def _lines(row: list[Made], y: int) -> Iterator[str]:
    """A line from every stitch down to every place it is worked into."""
    place = 0
    for each in row:
        for stitch in range(place, place + each.makes):
            for used in range(each.at, each.at + each.uses):
                x1, x2 = _middle(stitch), _middle(used)
                yield (
                    f'<line x1="{x1}" y1="{y + HIGH}" x2="{x2}" y2="{y + HIGH + GAP}" '
                    f'stroke="{LINE}"/>'
                )
        place += each.makes


def _middle(place: int) -> float:
    return LEFT + (place + 0.5) * CELL


def _cell(place: int, y: int, fill: str) -> str:
    x = LEFT + place * CELL
    return (
        f'<rect x="{x + 2}" y="{y}" width="{CELL - 4}" height="{HIGH}" rx="6" '
        f'fill="{fill}" stroke="{INK}"/>'
    )


def _words(x: int, y: int, words: str, anchor: str) -> str:
    return (
        f'<text x="{x}" y="{y + HIGH - 7}" fill="{INK}" text-anchor="{anchor}">'
        f"{escape(words)}</text>"
    )


def pictures() -> dict[str, str]:
    """The pictures by the names of their files."""
    return {
        "growing.svg": picture(GROWING, "Three rounds, each stitch on the place it is worked in"),
        "slip.svg": picture(SLIP, "A round that leaves two places of the round below unworked"),
    }


if __name__ == "__main__":
    PICTURES.mkdir(exist_ok=True)
    for name, text in pictures().items():
        (PICTURES / name).write_text(text, "utf-8")
