"""How wide every row lies: what a picture of the shaping is drawn from."""

from __future__ import annotations

import pytest

import proofhook
from golden import ROOT
from proofhook.counting.result import RowTally

RING = "Rnd 1: 6 sc in a magic ring. (6)\n"


def rows(text: str) -> tuple[RowTally, ...]:
    return proofhook.tally(proofhook.read(text)).rows


def test_a_range_has_the_width_of_each_of_its_rows() -> None:
    """A shawl that grows by one stitch a row, counted by hand."""
    text = "Ch 4.\nRow 1: Dc in 4th ch from hook, turn. (2)\n"
    text += "Row 2: Ch 3 (counts as dc), dc in first st, dc in last st, turn. (3)\n"
    text += "Rows 3-6: Ch 3 (counts as dc), dc in first st, dc in each st to end, turn. (7)\n"
    assert rows(text)[-1].widths == ((4, 5, 6, 7),)


def test_a_repeat_that_comes_back_to_itself_is_as_long_as_its_label_says() -> None:
    text = "Ch 21.\nRow 1: Sc in 2nd ch from hook and in each ch across, turn. (20)\n"
    text += "Rows 2-301: Ch 1, sc in each st across, turn. (20)\n"
    assert rows(text)[-1].widths == ((20,) * 300,)


def test_two_rows_that_take_turns_keep_their_turns() -> None:
    text = "Ch 11.\nRow 1: Sc in 2nd ch from hook and in each ch across, turn. (10)\n"
    text += "Row 2: Ch 1, 2 sc in first st, sc in each st across, turn. (11)\n"
    text += "Row 3: Ch 1, sc2tog, sc in each st across, turn. (10)\n"
    text += "Rows 4-43: Rep Rows 2 and 3. (10)\n"
    assert rows(text)[-1].widths == ((11, 10) * 20,)


def test_the_chains_of_spaces_are_part_of_the_width() -> None:
    """12 dc and 4 spaces of 2 chains are 20 wide."""
    text = "Rnd 1: Ch 3 (counts as dc), 2 dc in ring, ch 2, (3 dc in ring, ch 2) 3 times, "
    text = "Ch 4, join into a ring.\n" + text + "join. (12 dc, 4 ch-2 sps)\n"
    [row] = rows(text)
    assert row.worked == (12,)
    assert row.widths == ((20,),)
    assert row.in_round


@pytest.mark.parametrize(
    ("row", "widths"),
    [("(Sc in next st, inc) 3 times. (10)", ((9,),)), ("Follow the chart. (12)", ())],
)
def test_a_row_that_differs_has_what_it_makes_and_an_unread_one_nothing(
    row: str, widths: tuple[tuple[int, ...], ...]
) -> None:
    assert rows(f"{RING}Rnd 2: {row}\n")[1].widths == widths


def test_a_size_in_which_a_row_is_not_worked_has_no_width() -> None:
    text = (ROOT / "fixtures" / "labelled" / "sizes" / "herding-mitts.txt").read_text("utf-8")
    [row] = [row for row in rows(text) if row.stated == (0, 48, 52)]
    assert row.widths == ((), (48, 48), (52, 52))
