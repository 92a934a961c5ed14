"""How much work a pattern may take: what comes out is worked, what is left is said to be."""

from __future__ import annotations

from proofhook.counting.effort import NOT_ALL_TRIED, TOO_LONG, Effort
from proofhook.counting.fabric import SPACE, Fabric, Run, StitchIndex
from proofhook.counting.result import Verdict
from proofhook.counting.tally import tally
from proofhook.reading import lexer, read, words
from proofhook.text import Source

ROW_1 = "Rnd 1: 6 sc in a magic ring. (6)\n"
NONE_COMES_OUT = "".join(
    f"Rnd {number}: Sc {number}, inc {number}, dec {number}. ({number})\n"
    for number in range(2, 1_500)
)
EVEN = "".join(f"Rnd {number}: Sc in each st around. (6)\n" for number in range(2, 1_500))


def test_rows_that_come_out_are_worked_however_many_they_are() -> None:
    rows = tally(read(Source("long.txt", ROW_1 + EVEN))).rows
    assert len(rows) == 1_499
    assert {row.verdict for row in rows} == {Verdict.AGREES}


def test_rows_that_do_not_come_out_are_unread_once_the_work_is_used_up() -> None:
    text = f"{ROW_1}{NONE_COMES_OUT}\nLID\n{ROW_1}Rnd 2: 2 sc in each st around. (12)\n"
    rows = tally(read(Source("long.txt", text))).rows
    assert [row.verdict for row in rows if row.piece.name == "LID"] == [Verdict.AGREES] * 2
    assert {row.verdict for row in rows[1:-2]} == {Verdict.UNREAD}
    assert NOT_ALL_TRIED in {row.reason for row in rows}
    assert all(row.reason for row in rows[1:-2])


def test_after_the_work_is_used_up_only_what_can_be_read_one_way_is_a_slip() -> None:
    certain = f"\nLID\n{ROW_1}Rnd 2: 2 sc in each st around. (13)\n"
    unsure = f"\nLID\n{ROW_1}Rnd 2: 6 sc in next 6 sts. (13)\n"
    last = [
        tally(read(Source("long.txt", f"{ROW_1}{before}{slip}"))).rows[-1]
        for before in ("", NONE_COMES_OUT)
        for slip in (certain, unsure)
    ]
    differs, unread = Verdict.DIFFERS, Verdict.UNREAD
    assert [row.verdict for row in last] == [differs, differs, differs, unread]
    assert last[-1].reason == NOT_ALL_TRIED
    assert not last[-1].problems


def test_rows_are_left_once_all_work_is_used_up() -> None:
    rows = "".join(
        f"Rnd {number}: {'[' * 5}sc, ch {number}{'] 19 times' * 5}.\n" for number in range(2, 40)
    )
    found = tally(read(Source("vast.txt", f"{ROW_1}{rows}"))).rows
    assert found[0].verdict is Verdict.AGREES
    assert {row.verdict for row in found[1:]} == {Verdict.UNREAD}
    assert found[-1].reason == TOO_LONG


def test_the_two_stores_of_work_are_apart() -> None:
    effort = Effort(0, 0)
    while effort.left(usual=False):
        effort.spend(10_000, usual=False)
    assert effort.left(usual=True)
    while effort.left(usual=True):
        effort.spend(10_000, usual=True)
    assert Effort(4_000_000, 0).usual > Effort(0, 0).usual
    assert Effort(0, 1_000).further > Effort(0, 0).further
    assert Effort(0, 10**9).further == Effort(0, 10**8).further


def test_the_index_of_stitches_is_that_of_the_places() -> None:
    runs = (Run("dc", 3), Run(SPACE, 1, 2), Run(SPACE, 2, 1), Run("sc", 2), Run(SPACE, 1, 3))
    for turned in (False, True):
        fabric = Fabric(runs, turned)
        places = fabric.places
        stitches = [at for at, place in enumerate(places) if place.kind != SPACE]
        for index in (fabric.stitch_index, StitchIndex(places)):
            assert [index.place_of(number) for number in range(len(stitches))] == stitches
            assert [index.before(at) for at in range(len(places) + 3)] == [
                sum(stitch < at for stitch in stitches) for at in range(len(places) + 3)
            ]
        fabric.forget_places()
        assert fabric.places == places
    assert StitchIndex(()).before(0) == 0


def sized(start: int) -> str:
    rows = "".join(
        f"Rnd {number}: {start + number} ({start + number + 2}, {start + number + 4}) "
        f"sc in magic ring. [{start + number} ({start + number + 2}, {start + number + 4}) sts]\n"
        for number in range(1, 30)
    )
    return f"Sizes: S (M, L)\n\nJUG\n{rows}"


def test_lists_of_sizes_are_forgotten_and_read_again_alike() -> None:
    first = read(Source("jug.txt", sized(10)))
    assert len(first.sizes) == 3
    for number in range(words.MOST_SIZED + 1):
        words.folded((number, 77_777, 77_777), 12)
    assert words.sized_crowded()
    other = read(Source("lid.txt", sized(500)))
    assert not words.sized_crowded()
    again = read(Source("jug.txt", sized(10)))
    assert again.rows == first.rows
    assert other.rows != first.rows
    assert {row.verdict for row in tally(again).rows} == {Verdict.AGREES}


def test_names_of_patterns_are_forgotten() -> None:
    shell = "Special Stitches\nShell: (2 dc, ch 1, 2 dc) in next st\n\n"
    row = f"{ROW_1}Rnd 2: (Shell, sk next 2 sts) twice. (2 shells)\n"
    first = read(Source("jug.txt", shell + row))
    for number in range(lexer.MOST_NUMBERS + 1):
        lexer._number(("made up", number))
    again = read(Source("jug.txt", shell + row))
    assert len(lexer._numbers) < lexer.MOST_NUMBERS
    assert again.rows == first.rows


def test_a_list_of_too_many_figures_is_none_of_sizes() -> None:
    figures = ", ".join(str(number) for number in range(20, 60))
    text = f"Rnd 1: 18 ({figures}) sc in ring.\nRnd 2: 18 ({figures}) sc in ring.\n"
    assert len(read(Source("jug.txt", text)).sizes) == 1
