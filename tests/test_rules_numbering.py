"""row-order: what is a slip of the numbers and what is not."""

from __future__ import annotations

import pytest

from making import found, made, quoted
from proofhook.counting.result import Tally
from proofhook.pattern import Label, Row, RowsReference
from proofhook.proofing import Grade
from proofhook.records import replace
from proofhook.text import Span


def rows(*labels: str, between: str = "\n") -> Tally:
    return made("ROOT\n" + between.join(f"{label}: sc around. (6)" for label in labels))


@pytest.mark.parametrize(
    ("labels", "message", "words"),
    [
        (["Rnd 1", "Rnd 3"], "Rnd 3 follows Rnd 1 (line 2); round 2 is missing.", "Rnd 3"),
        (["Row 1", "Row 5"], "Row 5 follows Row 1 (line 2); rows 2 to 4 are missing.", "Row 5"),
        (["Rnd 1", "Rnd 2", "Rnd 2"], "Rnd 2 is there twice, on line 3 too.", "Rnd 2"),
        (["Rnds 1-4", "Rnd 4"], "Rnd 4 is already part of Rnds 1-4 (line 2).", "Rnd 4"),
        (["Rnd 1", "Rnds 2-4", "Rnd 6"],
         "Rnd 6 follows Rnds 2-4 (line 3); round 5 is missing.", "Rnd 6"),
        (["Rnd 6", "Rnd 7", "Rnd 5"], "Rnd 5 comes after Rnd 7 (line 3).", "Rnd 5"),
        (["Row 9", "Row 8", "Row 7", "Row 5"],
         "Row 5 follows Row 7 (line 4); row 6 is missing.", "Row 5"),
    ],
)  # fmt: skip
def test_slips_are_named(labels: list[str], message: str, words: str) -> None:
    tally = rows(*labels)
    [finding] = found(tally, "row-order")
    assert finding.message == message
    assert quoted(tally, finding) == words
    assert (finding.grade, finding.piece, finding.row) == (Grade.QUERY, "Root", words)


@pytest.mark.parametrize(
    "labels",
    [
        ["Rnd 1", "Rnd 2", "Rnd 3"],
        ["Rnds 1-3", "Rnd 4", "Rnds 5-9"],
        ["Rnd 3", "Rnd 4"],
        ["Row 9", "Row 8", "Row 7"],
        ["Rnd 1", "Rnd 2", "Rnd 1", "Rnd 2"],
        ["Rnd 1", "Border", "Rnd 2"],
        ["Row 1", "Next row", "Row 3"],
        ["Row 1", "Next row", "Row 2"],
    ],
)
def test_numbers_that_run_on_are_left_alone(labels: list[str]) -> None:
    assert found(rows(*labels), "row-order") == []


def test_each_piece_has_numbers_of_its_own() -> None:
    text = "ROOT\nRnd 1: sc. (6)\nRnd 2: sc. (6)\nLEAF\nRnd 2: sc. (6)\nRnd 3: sc. (6)\n"
    assert found(made(text), "row-order") == []


def test_an_earlier_row_under_new_words_starts_again() -> None:
    tally = rows("Row 5", "Row 6", between="\nSecond strap, joined at the marker:\n")
    again = rows("Row 5", "Row 6", "Row 5", between="\nSecond strap, joined at the marker:\n")
    assert found(tally, "row-order") == []
    assert found(again, "row-order") == []


def relabelled(tally: Tally, number: int, **label: object) -> Tally:
    """The tally with another label on one of its rows."""
    piece = tally.pattern.pieces[0]
    old = piece.rows[number]
    assert old.label
    row = replace(old, label=replace(old.label, **label))  # type: ignore[arg-type]
    return _with(tally, number, row)


def _with(tally: Tally, number: int, row: Row) -> Tally:
    piece = tally.pattern.pieces[0]
    rows = tuple(row if n == number else each for n, each in enumerate(piece.rows))
    return replace(tally, pattern=replace(tally.pattern, pieces=(replace(piece, rows=rows),)))


def test_numbers_are_followed_size_by_size() -> None:
    tally = relabelled(rows("Rows 1-4", "Row 5", "Row 6"), 0, last=(4, 6))
    right = relabelled(relabelled(tally, 1, first=(5, 7)), 2, first=(6, 8))
    assert found(right, "row-order") == []
    [finding] = found(relabelled(right, 2, first=(6, 9)), "row-order")
    assert finding.message.startswith("Row 6 follows Row 5 (line 3); row 8 is missing")


def test_rows_without_a_number_are_counted_where_they_say_how_many() -> None:
    tally = relabelled(rows("Row 1", "Next row", "Row 5"), 1, rows=(3,))
    assert found(tally, "row-order") == []
    assert len(found(relabelled(tally, 1, rows=(2,)), "row-order")) == 1


def test_nobody_knows_the_number_after_a_repeat_of_rows() -> None:
    tally = rows("Row 1", "Next row", "Row 9")
    row = tally.pattern.pieces[0].rows[1]
    tally = _with(tally, 1, replace(row, steps=(RowsReference(Span(0, 2), (1,)),)))
    assert found(tally, "row-order") == []


def test_a_row_for_other_sizes_may_have_the_same_number() -> None:
    tally = rows("Row 1", "Row 2", "Row 2")
    piece = tally.pattern.pieces[0]
    tally = _with(tally, 1, replace(piece.rows[1], sizes=(0,)))
    piece = tally.pattern.pieces[0]
    tally = _with(tally, 2, replace(piece.rows[2], sizes=(1,)))
    assert found(tally, "row-order") == []


def test_even_rows_leave_gaps_for_the_odd_ones() -> None:
    rows_of = "ROOT\nRow 1: sc. (6)\n{}\nRow 3: sc. (6)\nRow 5: sc. (6)\n"
    for words in ("Row 2 and all even rows: sc around.", "Work sc around in every other row."):
        assert found(made(rows_of.format(words)), "row-order") == []
    for words in ("Move the marker up with every round.", "Work even for two rows."):
        assert len(found(made(rows_of.format(words)), "row-order")) == 2


@pytest.mark.parametrize(
    "between",
    [
        "Row 2, worked as the first: sc around",
        "2) sc around",
        "* 2. sc around",
        "Second thoughts on the 2nd row",
        "R2 as before",
    ],
)
def test_a_row_that_was_not_taken_for_one_is_not_called_missing(between: str) -> None:
    assert found(made(f"Row 1: sc. (6)\n{between}\nRow 3: sc. (6)\n"), "row-order") == []


def test_a_row_inside_the_words_of_another_is_not_called_missing() -> None:
    text = "Row 1: sc. (6) 2nd row: sc. (6)\nRow 3: sc. (6)\n"
    assert found(made(text), "row-order") == []


def test_the_end_of_a_sentence_is_no_row() -> None:
    text = "Row 4: sc. (6)\nRow 5: sc. (6)\nRepeat Rows 4 and\nRow 5: sc until done. (6)\n"
    assert found(made(text), "row-order") == []


def test_an_edging_with_a_name_begins_its_own_numbers() -> None:
    assert found(rows("Rnd 1", "Rnd 2", "Border", "Rnd 2"), "row-order") == []


def test_the_numbers_of_a_list_are_not_those_of_the_rows() -> None:
    tally = relabelled(rows("Row 1", "Rows 2-5", "Row 3"), 2, kind="")
    assert found(tally, "row-order") == []


def test_a_range_of_which_only_the_start_was_read_is_not_trusted() -> None:
    assert found(rows("Rows 3", "Row 21"), "row-order") == []
    assert found(rows("Row 3", "Row 21"), "row-order") != []


def test_a_range_that_runs_backwards_is_not_trusted() -> None:
    assert found(rows("Row 1", "Rows 20-1", "Row 21"), "row-order") != []
    assert found(rows("Row 19", "Rows 20-1", "Row 21"), "row-order") == []


def test_an_open_range_may_be_followed_by_any_number() -> None:
    tally = rows("Row 1", "Row 2", "Row 9")
    assert len(found(tally, "row-order")) == 1
    assert found(relabelled(tally, 1, open_end=True), "row-order") == []


def test_braces_in_a_label_do_no_harm() -> None:
    label = "Row {2}"
    tally = relabelled(rows("Row 1", "Row 3"), 1, text=label)
    assert isinstance(tally.pattern.pieces[0].rows[1].label, Label)
    assert found(tally, "row-order")[0].message.startswith("Row {2} follows Row 1")
