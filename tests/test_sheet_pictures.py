"""The pictures on a sheet: what is drawn is what was counted, and nothing is guessed."""

from __future__ import annotations

import re
from collections.abc import Sequence
from itertools import groupby, pairwise
from math import pi

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import proofhook
from made_garment import garment
from proofhook.counting.result import Tally
from proofhook.showing.sheet.drawing import NEAREST, Anchor, placed
from proofhook.showing.sheet.outline import BREADTH, MARGIN, outline
from proofhook.showing.sheet.picture import Picture, pictures
from proofhook.showing.sheet.rings import rings
from proofhook.showing.sheet.shaping import Part, parts_of

HEM = "Ch 11.\nRow 1: Sc in 2nd ch from hook and in each ch across, turn. (10)\n"
RING = "Rnd 1: 6 sc in a magic ring. (6)\n"


def counted(text: str) -> Tally:
    return proofhook.tally(proofhook.read(text))


def part(text: str) -> Part:
    tally = counted(text)
    [only] = parts_of(tally, tally.rows)
    return only


def shown(text: str) -> list[Picture]:
    tally = counted(text)
    return pictures(tally, tally.rows, "Cuff")


def corners(path: str) -> list[tuple[float, float]]:
    """The corners of a path of M, H, V and Z, as SVG 2 says that they are drawn."""
    points: list[tuple[float, float]] = []
    x = y = 0.0
    for letter, figures in re.findall(r"([MHVZ])([-\d. ]*)", path):
        numbers = [float(figure) for figure in figures.split()]
        if letter == "M":
            x, y = numbers
        elif letter == "H":
            [x] = numbers
        elif letter == "V":
            [y] = numbers
        else:
            assert not numbers
        points.append((x, y))
    return points


def breadths(path: str) -> list[tuple[float, float]]:
    """The height of each step of a silhouette and how broad it is, from the foot up."""
    points = corners(path)[:-1]
    half = len(points) // 2
    right, left = points[1 : half + 1], points[half + 1 :]
    middle = MARGIN + BREADTH / 2
    assert all(x >= middle - 0.1 for x, _ in right)
    assert all(x <= middle + 0.1 for x, _ in left)
    tops = [(y, x) for (_, _), (x, y) in zip(right[::2], right[1::2], strict=True)]
    return [(y, 2 * (x - middle)) for y, x in tops]


@settings(max_examples=60, deadline=None)
@given(st.lists(st.integers(-2, 3), min_size=1, max_size=30))
def test_every_step_of_a_silhouette_is_as_broad_as_its_row(changes: Sequence[int]) -> None:
    """Rows of 10 stitches and more: the steps have the proportions of the counts."""
    text, widths = HEM, [10]
    for number, wanted in enumerate(changes, 2):
        width = widths[-1]
        change = wanted if width + 2 * wanted > 0 else 0
        ends = ["2 sc in next st"] * change if change > 0 else ["sc2tog"] * -change
        left = width - (change if change > 0 else -2 * change)
        words = ", ".join([*ends, f"sc in next {left} sts"] if left else ends)
        widths.append(width + change)
        text += f"Row {number}: Ch 1, {words}, turn. ({widths[-1]})\n"
    drawing = outline(part(text))
    [body] = [stroke for stroke in drawing.strokes if stroke.style.startswith("body")]
    steps = [width for width, _ in groupby(widths)]
    drawn = breadths(body.path)
    assert len(drawn) == len(steps)
    stitch = max(breadth for _, breadth in drawn) / max(steps)
    for (_, breadth), width in zip(drawn, steps, strict=True):
        assert breadth == pytest.approx(width * stitch, abs=0.3)
    assert all(low > high for (low, _), (high, _) in pairwise(drawn))
    assert max(breadth for _, breadth in drawn) <= BREADTH + 0.2


@settings(max_examples=40, deadline=None)
@given(st.lists(st.sampled_from((0, 6)), min_size=1, max_size=25))
def test_every_ring_has_a_dash_for_every_stitch(grows: Sequence[int]) -> None:
    text, width, widths = RING, 6, [6]
    for number, more in enumerate(grows, 2):
        words = "Sc in each st around."
        if more:
            words = f"({f'Sc in next {width // 6 - 1} sts, ' if width > 6 else ''}inc) 6 times."
        width += more
        widths.append(width)
        text += f"Rnd {number}: {words} ({width})\n"
    drawing = rings(part(text), 0)
    assert len(drawing.rings) == len(widths)
    radii = [float(ring.radius) for ring in drawing.rings]
    assert radii == sorted(radii)
    assert radii[-1] + float(drawing.rings[-1].thickness) / 2 <= float(drawing.centre)
    for ring, width in zip(drawing.rings, widths, strict=True):
        dash = 2 * pi * float(ring.radius) / width
        assert ring.stitches == width or (ring.stitches == 0 and dash < 2.5)


def test_a_flat_round_has_dashes_of_one_length() -> None:
    """Six more in every round lie flat: that is what the rings are to show."""
    text = RING + "".join(
        f"Rnd {n}: ({f'Sc in next {n - 2} sts, ' if n > 2 else ''}inc) 6 times. ({6 * n})\n"
        for n in range(2, 9)
    )
    drawing = rings(part(text), 0)
    lengths = [2 * pi * float(ring.radius) / ring.stitches for ring in drawing.rings]
    assert max(lengths) - min(lengths) < 0.05 * lengths[0]


def test_what_is_unread_is_a_gap() -> None:
    text = HEM + "Row 2: Follow the chart. (12)\nRow 3: Ch 1, sc in each st across, turn. (12)\n"
    drawing = outline(part(text))
    below, above = [stroke for stroke in drawing.strokes if stroke.style.startswith("body")]
    top_of_below = min(y for _, y in corners(below.path))
    foot_of_above = max(y for _, y in corners(above.path))
    assert top_of_below - foot_of_above >= 5
    assert [stroke.style for stroke in drawing.strokes].count("gap") == 1
    [label] = drawing.labels
    assert (label.text, label.style) == ("Row 2 ?", "unread")
    [picture] = shown(text)
    assert "Not read and left as a gap: Row 2." in picture.told


def test_an_unread_round_leaves_an_empty_ring() -> None:
    text = RING + "Rnd 2: Follow the chart. (12)\nRnd 3: (Sc in next st, inc) 6 times. (18)\n"
    drawing = rings(part(text), 0)
    assert [ring.style for ring in drawing.rings] == ["ring", "gap", "ring"]
    assert [label.text for label in drawing.labels] == ["Rnd 2 ?"]


def test_rounds_that_are_not_read_keep_their_labels() -> None:
    text = RING + "Rnd 2: Follow the chart. (12)\nRnds 3-5: Follow chart B. (18)\n"
    drawing = rings(part(text), 0)
    assert [ring.style for ring in drawing.rings] == ["ring", "gap", "gap"]
    assert sorted(label.text for label in drawing.labels) == ["Rnd 2 ?", "Rnds 3-5 ?"]


def test_a_row_that_differs_is_marked_and_what_the_total_says_is_dotted_in() -> None:
    text = HEM + "Row 2: Ch 1, sc in each st across, turn. (12)\n"
    drawing = outline(part(text))
    [bad] = [stroke for stroke in drawing.strokes if stroke.style == "bad"]
    [says] = [stroke for stroke in drawing.strokes if stroke.style == "says"]

    def broad(path: str) -> float:
        return max(x for x, _ in corners(path)) - min(x for x, _ in corners(path))

    assert broad(says.path) / broad(bad.path) == pytest.approx(12 / 10, rel=0.02)
    assert [label.text for label in drawing.labels] == ["Row 2 ≠"]
    [picture] = shown(text)
    assert picture.told.endswith("Row 2 differs: it makes 10 sts, the total says 12.")


def test_a_round_that_differs_is_marked_in_both_pictures() -> None:
    text = RING + "Rnd 2: 2 sc in each st around. (14)\nRnd 3: Sc in each st around. (12)\n"
    round_, flat = shown(text)
    assert [ring.style for ring in round_.drawing.rings] == ["ring", "bad", "ring"]
    assert [stroke.style for stroke in flat.drawing.strokes].count("bad") == 1


def test_sizes_are_drawn_into_each_other_and_named() -> None:
    text = "Sizes: S (M, L)\n\nCh 11 (13, 15).\nRow 1: Sc in 2nd ch from hook and in each ch "
    text += "across, turn. (10 (12, 14))\nRow 2: Ch 1, sc in each st across, turn. (10 (12, 16))\n"
    [picture] = shown(text)
    bodies = [stroke for stroke in picture.drawing.strokes if stroke.style.startswith("body")]
    assert [stroke.style for stroke in bodies] == ["body s2", "body s1", "body s0"]
    broad = [breadths(stroke.path)[0][1] for stroke in bodies]
    assert broad == [pytest.approx(width * broad[0] / 14, abs=0.3) for width in (14, 12, 10)]
    assert picture.sizes == ("S", "M", "L")
    assert "Row 2 differs in size L: it makes 14 sts, the total says 16." in picture.told
    assert [stroke.style for stroke in picture.drawing.strokes].count("bad") == 1


def test_sizes_that_are_all_alike_are_drawn_once() -> None:
    [picture] = shown(f"Sizes: S (M)\n\n{RING}Rnd 2: 2 sc in each st around. (12)\n")
    assert picture.sizes == ()


def test_rings_are_drawn_in_the_size_that_differs() -> None:
    text = "Sizes: S (M, L)\n\nCh 30 (36, 42), join into a ring.\n"
    text += "Rnd 1: Sc in each ch around. (30 (36, 42))\n"
    text += "Rnd 2: Sc in each st around. (30 (38, 42))\n"
    picture = shown(text)[0]
    assert picture.told.endswith("Drawn in size M.")


def test_rows_and_rounds_of_one_piece_are_drawn_apart() -> None:
    text = HEM + "Row 2: Ch 1, sc in each st across, turn. (10)\n"
    text += "Rnd 1: Sc in each st around, join. (10)\n"
    tally = counted(text)
    assert [part.in_round for part in parts_of(tally, tally.rows)] == [False, True]


def test_where_nothing_was_worked_out_nothing_is_drawn() -> None:
    assert shown("Rnd 1: Follow the chart. (12)\nRnd 2: Follow it again. (24)\n") == []


@pytest.mark.parametrize("rows", [1, 2, 50, 400])
def test_pictures_keep_their_size_however_long_the_work_is(rows: int) -> None:
    tally = counted(garment(rows))
    [picture] = pictures(tally, tally.rows, "Body")
    drawing = picture.drawing
    assert drawing.width <= 450
    assert drawing.height <= 360
    for stroke in drawing.strokes:
        if stroke.style.split()[0] in ("body", "bad", "says"):
            for x, y in corners(stroke.path):
                assert 0 <= x <= drawing.width
                assert 0 <= y <= drawing.height
    assert len(drawing.labels) <= 12
    marked = len({label.text for label in drawing.labels}) + drawing.unlabelled
    assert marked == picture.told.count(" differs") + _more(picture.told)


def _more(told: str) -> int:
    found = re.search(r"(\d+) more rows differ", told)
    return int(found[1]) if found else 0


def test_a_long_label_keeps_its_sign() -> None:
    [label] = placed([Anchor(1, 20, "Rows 3-24 (26, 26, 28)", "differs")], 10, 300)
    assert label.text == "Rows 3-24 (… ≠"


@given(st.lists(st.floats(0, 300), max_size=12))
def test_labels_stand_apart_and_in_the_picture(places: Sequence[float]) -> None:
    height = max(300.0, (len(places) + 1) * NEAREST)
    labels = placed([Anchor(1, y, "Row 1", "differs") for y in places], 10, height)
    ys = [float(label.y) - 4.5 for label in labels]
    assert len(ys) == len(places)
    assert all(after - before >= NEAREST - 0.2 for before, after in pairwise(ys))
    assert all(0 <= y <= height for y in ys)
