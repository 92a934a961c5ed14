"""The counter against a second, naive one on random rows in many notations."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from typing import NamedTuple, TypeVar

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from choosing import tried
from made_hands import Hand, make_hand
from made_patterns import MadePattern, make_pattern
from made_words import written
from naive_counter import (
    Along,
    Around,
    Chain,
    FromHook,
    Pass,
    Place,
    Several,
    Shell,
    Stand,
    UnevenError,
    Work,
    chain,
    stitch_count,
    work_row,
)
from proofhook.counting.result import RowTally, Verdict
from proofhook.counting.tally import tally
from proofhook.reading import read
from proofhook.text import decode
from test_found_by_counting import STILL_WRONG

T = TypeVar("T")

OFTEN = tried(150)


class Made(NamedTuple):
    """A pattern made up at random, and the hand that it is written in."""

    pattern: MadePattern
    hand: Hand

    def __repr__(self) -> str:
        return f"\n{written(self.pattern, self.hand)}"


@st.composite
def patterns(draw: st.DrawFn) -> Made:
    """Patterns in all hands, but for what ``LEFT_OUT`` names."""

    def choose(options: Sequence[T], /) -> T:
        return draw(st.sampled_from(options))

    made = Made(make_pattern(choose), make_hand(choose))
    assume(not any(wrong(made) for wrong in LEFT_OUT.values()))
    return made


#: What the counter does not yet get right, by the test of ``test_found_by_counting.py``
#: that shows it: hands and patterns that are left out until it does.
LEFT_OUT: dict[str, Callable[[Made], bool]] = {
    "a stitch after a semicolon and a number of times is no total": lambda made: (
        made.hand.comma == "; "
    ),
}


def _silent_start(made: Made) -> bool:
    started = any(piece.foundation and piece.manner.counts for piece in made.pattern.pieces)
    return started and made.hand.said == "notes"


#: The same, where a figure is wrong.
LEFT_OUT_WRONG: dict[str, Callable[[Made], bool]] = {
    "a custom that makes a total right and the next row not fit is none": _silent_start,
}


def test_what_is_left_out_is_known_to_be_wrong() -> None:
    """Nothing stays left out once it comes out right."""
    assert {*LEFT_OUT, *LEFT_OUT_WRONG} <= set(STILL_WRONG)


def tallied(text: str) -> tuple[RowTally, ...]:
    return tally(read(decode(text.encode(), "made.txt"))).rows


def shown(text: str, rows: Sequence[RowTally]) -> str:
    """The pattern and what was made of it, for whoever has to find out why."""
    lines = [
        f"{row.row.name}: {row.verdict.value} {row.stated} {row.worked} {row.working} {row.reason}"
        for row in rows
    ]
    return "\n".join(["", text, *lines])


# --- the naive counter itself, on rows counted out by hand ----------------------------


def test_the_naive_counter_on_rows_counted_by_hand() -> None:
    ring = work_row([Work("sc", (6,))], None)
    assert ring == [("sc", 0)] * 6
    double = work_row([Along("sc", 2)], ring)
    assert stitch_count(double) == 12
    third = work_row([Several((6,), (Work("sc"), Work("sc", makes=2)))], double)
    assert stitch_count(third) == 18
    closing = work_row([Around((Work("sc"), Work("sc", uses=2)))], third)
    assert stitch_count(closing) == 12
    with pytest.raises(UnevenError):
        work_row([Around((Work("sc", (5,)),))], closing)
    with pytest.raises(UnevenError):
        work_row([Work("sc", (11,))], closing)


def test_the_naive_counter_on_lace_counted_by_hand() -> None:
    row = work_row([FromHook(4, "dc"), Along("dc")], chain(12))
    assert row == [("dc", 0)] * 10
    mesh = work_row(
        [Stand("dc", 4, 1), Pass((1,)), Around((Work("dc"), Chain(1), Pass((1,))))], row
    )
    assert mesh == [("dc", 0), ("sp", 1)] * 5
    shells = work_row([Around((Shell((("dc", 2), ("ch", 2), ("dc", 2)), 1),))], mesh)
    assert shells == [("dc", 0), ("dc", 0), ("sp", 2), ("dc", 0), ("dc", 0)] * 5
    assert work_row([Along("sc", 1, 2)], mesh) == [("sc", 0)] * 15
    turned = work_row(
        [Work("sc"), Work("sc", makes=3, space=2), Along("sc")], shells[:5], turned=True
    )
    assert stitch_count(turned) == 6


# --- the counter against it -----------------------------------------------------------


@OFTEN
@given(patterns())
def test_every_row_comes_to_what_it_comes_to_when_counted_out(
    made: Made,
) -> None:
    pattern, hand = made
    text = written(pattern, hand)
    rows = tallied(text)
    assert len(rows) == len(pattern.rows), shown(text, rows)
    for row, got in zip(pattern.rows, rows, strict=True):
        assert got.worked == row.worked, shown(text, rows)
        assert got.verdict is (Verdict.AGREES if row.stated else Verdict.UNSTATED), shown(
            text, rows
        )
        assert got.problems == (), shown(text, rows)
        assert [len(laid) for laid in got.widths] == [row.last - row.first + 1] * pattern.sizes
        assert [laid[-1] for laid in got.widths] == [width(laid) for laid in row.places]


def width(places: Sequence[Place]) -> int:
    """How wide a row lies: every stitch, and every chain of its spaces."""
    return sum(length if kind == "sp" else 1 for kind, length in places)


def a_slip(made: Made, data: st.DataObject) -> tuple[int, str, str]:
    """One stated figure made wrong: the row, and the text before and after."""
    pattern, hand = made
    figures = [
        (index, unit) for index, row in enumerate(pattern.rows) for unit in range(len(row.stated))
    ]
    assume(figures)
    index, unit = data.draw(st.sampled_from(figures))
    right = pattern.rows[index].stated[unit][0]
    size = data.draw(st.sampled_from(range(len(right))))
    change = data.draw(st.sampled_from((1, -1, 2, -2, 6, -6, 10)))
    assume(right[size] + change > 0)
    wrong = (*right[:size], right[size] + change, *right[size + 1 :])
    # "2 sc" in a repeat may stand for two in one stitch; a figure that asks for that is not wrong.
    hand = replace(hand, some="{k} in next {n} sts")
    return index, written(pattern, hand), written(pattern.with_figure(index, unit, wrong), hand)


@OFTEN
@given(patterns(), st.data())
def test_one_wrong_figure_differs_in_its_row_and_in_no_other(
    made: Made, data: st.DataObject
) -> None:
    assume(not any(wrong(made) for wrong in LEFT_OUT_WRONG.values()))
    index, _, text = a_slip(made, data)
    rows = tallied(text)
    assert rows[index].verdict is Verdict.DIFFERS, shown(text, rows)
    others = [row.verdict for row in rows if row is not rows[index]]
    assert set(others) <= {Verdict.AGREES, Verdict.UNSTATED}, shown(text, rows)
    assert [problem.kind for problem in rows[index].problems] == ["total"], shown(text, rows)
