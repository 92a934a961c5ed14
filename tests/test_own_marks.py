"""Marks of a designer's own: known by coming again, and read in place, nothing moved."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from proofhook.counting.result import Verdict
from proofhook.counting.tally import tally
from proofhook.reading import read
from proofhook.reading.own_marks import with_own_marks_evened
from proofhook.text import Source

ROWS = ("6 sc in a magic ring", "inc x 6", "(sc, inc) x 6", "(2 sc, inc) x 6")
TOTALS = (6, 12, 18, 24)
MARKS = (" // ", " / ", " | ", " -> ", " > ", "\t", "   ", " >> ", " # ")


def rounds(mark: str, unit: str = " sts", label: str = ": ") -> str:
    pairs = enumerate(zip(ROWS, TOTALS, strict=True), 1)
    return "\n".join(f"R{number}{label}{row}{mark}{total}{unit}" for number, (row, total) in pairs)


@pytest.mark.parametrize("mark", MARKS)
@pytest.mark.parametrize("unit", ["", " sts", " sc"])
def test_a_mark_before_a_figure_at_the_end_announces_the_total(mark: str, unit: str) -> None:
    rows = tally(read(Source("leek.txt", rounds(mark, unit)))).rows
    assert [(row.verdict, row.stated) for row in rows] == [
        (Verdict.AGREES, (total,)) for total in TOTALS
    ]


@pytest.mark.parametrize("mark", MARKS)
def test_a_wrong_figure_after_it_is_found(mark: str) -> None:
    text = rounds(mark).replace(f"{mark}18", f"{mark}17")
    rows = tally(read(Source("leek.txt", text))).rows
    assert [row.verdict is Verdict.DIFFERS for row in rows] == [False, False, True, False]


@pytest.mark.parametrize("mark", [" // ", " | ", "\t"])
def test_the_same_mark_may_end_the_label(mark: str) -> None:
    rows = tally(read(Source("leek.txt", rounds(mark, label=mark)))).rows
    assert [(row.row.name, row.verdict) for row in rows] == [
        (f"R{number}", Verdict.AGREES) for number in (1, 2, 3, 4)
    ]


def test_a_letter_for_stitches_may_stand_in_the_bracket() -> None:
    pairs = enumerate(zip(ROWS, TOTALS, strict=True), 1)
    text = "\n".join(f"R{number}: {row} (N={total})" for number, (row, total) in pairs)
    assert [row.stated for row in tally(read(Source("leek.txt", text))).rows] == [
        (total,) for total in TOTALS
    ]


def test_a_mark_that_comes_twice_is_left_as_it_is() -> None:
    two = "\n".join(rounds(" // ").splitlines()[:2])
    assert with_own_marks_evened(two) == two


def test_a_figure_that_never_changes_is_no_total() -> None:
    text = "\n".join(f"Row {number}: work the chart / 4" for number in range(1, 9))
    assert with_own_marks_evened(text) == text


@given(
    st.lists(
        st.tuples(
            st.sampled_from(("Row 1", "R2", "3", "Rnd 4:", "", "**Round 5**")),
            st.sampled_from((*MARKS, "", " ", "\n* ", "\r\n")),
            st.text("(N=)[]{}0123 scdx*|/>#\t-.,\n\r", max_size=20),
        ),
        max_size=12,
    )
)
def test_no_character_moves(lines: list[tuple[str, str, str]]) -> None:
    text = "\n".join("".join(line) for line in lines)
    evened = with_own_marks_evened(text)
    assert len(evened) == len(text)
    assert [at for at, char in enumerate(evened) if char == "\n"] == [
        at for at, char in enumerate(text) if char == "\n"
    ]
