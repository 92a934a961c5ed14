"""The counter against a second, naive one on random rows in many notations."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TypeVar

from hypothesis import assume, example, given, settings
from hypothesis import strategies as st

from made_patterns import MadePattern, make_pattern
from made_rows import Choose
from made_words import Hand, make_hand, written
from proofhook.counting.result import RowTally, Verdict
from proofhook.counting.tally import tally
from proofhook.reading import read
from proofhook.text import decode

T = TypeVar("T")

LIGHT = settings(max_examples=120, deadline=None, derandomize=True)


@st.composite
def patterns(draw: st.DrawFn) -> tuple[MadePattern, Hand]:
    """A pattern made up at random, and the hand that it is written in."""

    def choose(options: Sequence[T], /) -> T:
        return draw(st.sampled_from(options))

    chooser: Choose = choose
    return make_pattern(chooser), make_hand(chooser)


def rows_of(pattern: MadePattern, hand: Hand) -> list[RowTally]:
    """The tally of the written pattern, one for each of its rows."""
    text = written(pattern, hand)
    rows = list(tally(read(decode(text.encode(), "made.txt"))).rows)
    assert len(rows) == len(pattern.rows), text
    return rows


@LIGHT
@given(patterns())
def test_every_row_makes_what_it_makes_when_counted_out(made: tuple[MadePattern, Hand]) -> None:
    pattern, hand = made
    for row, got in zip(pattern.rows, rows_of(pattern, hand), strict=True):
        told = f"{got.row.name}: {got.working} {got.reason}\n{written(pattern, hand)}"
        assert got.worked == row.worked, told
        assert got.verdict is (Verdict.AGREES if row.stated else Verdict.UNSTATED), told
        assert got.problems == (), told
