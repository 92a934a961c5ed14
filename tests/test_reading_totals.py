"""What a figure beside a row is: its total, a part of the work, or neither."""

from __future__ import annotations

import pytest

from proofhook.counting.result import RowTally
from proofhook.counting.tally import tally
from proofhook.pattern import Total, Unread
from proofhook.reading import read
from proofhook.text import Source


def rows_of(text: str) -> tuple[RowTally, ...]:
    return tally(read(Source("leek.txt", text))).rows


def test_a_comma_between_a_figure_and_in_makes_no_inches_of_it() -> None:
    rows = rows_of(
        "1) mr, sc 6 in mr (6)\n2) in 6 (12)\n3) (sc, in) 6 (18)\n4) (sc 2, in) 6 (24)\n"
    )
    assert [row.worked for row in rows] == [(6,), (12,), (18,), (24,)]


def test_figures_that_work_goes_on_until_are_no_total() -> None:
    words = "1 sc in next st, 5 ch, 1 tr in the 3rd st and so on until you have 14 tr = corner"
    [row] = rows_of(f"Row 2: {words}\n")
    assert not any(isinstance(step, Total) for step in row.row.steps)


def test_a_stitch_in_a_heading_of_markdown_is_no_row() -> None:
    assert [row.row.name for row in rows_of("Rnd 1: 6 sc in a ring. (6)\n\n## Now decrease\n")] == [
        "Rnd 1"
    ]


@pytest.mark.parametrize("words", ["each dc and each wurble", "each dc and in every frumble"])
def test_a_place_that_nobody_knows_is_unread_beside_one_that_is_known(words: str) -> None:
    row = rows_of(f"Row 1: Ch 12, dc in 4th ch from hook and across. (10)\nRow 2: Sc in {words}.\n")
    assert row[1].worked is None
    assert any(isinstance(step, Unread) for step in row[1].row.steps)


@pytest.mark.parametrize(
    ("told", "stated"),
    [
        ("31 sts (16 sc, 15 ch)", ((31,), (16,), (15,))),
        ("31 sts (16 sc, 15 ch-1 sps)", ((31,), (16,), (15,))),
    ],
)
def test_a_first_figure_is_of_all_that_the_others_name(
    told: str, stated: tuple[tuple[int, ...], ...]
) -> None:
    text = (
        "Row 1: Ch 32, sc in 2nd ch from hook and in each ch across. (31)\n"
        f"Row 2: Ch 1, sc in first st, *ch 1, sk 1, sc in next st; rep from * across. {told}\n"
    )
    row = rows_of(text)[1]
    assert row.verdict.value == "agrees"
    assert tuple(unit.stated for unit in row.units) == stated
    wrong = rows_of(text.replace("31 sts (16 sc", "32 sts (17 sc"))[1]
    assert wrong.verdict.value == "differs"


def test_it_says_nothing_of_how_the_other_totals_of_the_piece_count() -> None:
    row = "Ch 1, sc in first st, *ch 1, sk 1, sc in next st; rep from * across."
    text = (
        "Row 1: Ch 32, sc in 2nd ch from hook and in each ch across. (31)\n"
        f"Row 2: {row} 31 sts (16 sc, 15 ch)\n"
        "Row 3: Ch 1, sc in first sc, *ch 1, sk ch-1 sp, sc in next sc; rep from * across. (16)\n"
    )
    assert [row.verdict.value for row in rows_of(text)] == ["agrees"] * 3


def test_an_entry_for_the_slip_stitch_is_one_entry() -> None:
    text = "Abbreviations\nsc - single crochet\nsl st - slip stitch\n\nRnd 1: 6 sc in a ring. (6)\n"
    found = read(Source("leek.txt", text)).definitions
    assert [(each.abbreviation, each.meaning) for each in found] == [
        ("sc", "single crochet"),
        ("sl st", "slip stitch"),
    ]
