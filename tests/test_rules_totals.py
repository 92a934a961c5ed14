"""The rules about totals: what they say, where they point and what they offer."""

from __future__ import annotations

import pytest

from making import found, made, quoted, with_row
from proofhook.counting.result import Problem, RowTally, Tally, UnitCount, Verdict
from proofhook.proofing import Grade
from proofhook.records import replace
from proofhook.text import Span, apply_edits

ROOT = """ROOT
Rnd 1: 6 sc in a magic ring. (6)
Rnd 2: 2 sc in each st around. (12)
Rnd 3: (Sc in next st, 2 sc in next st) 6 times. {total}
"""


def differing(total: str, worked: tuple[int, ...], sizes: tuple[str, ...] = ()) -> Tally:
    def change(row: RowTally) -> RowTally:
        unit = replace(row.units[0], worked=worked)
        problem = Problem("total", row.row.span, "")
        return replace(
            row, verdict=Verdict.DIFFERS, worked=worked, units=(unit,), problems=(problem,),
            working="12 / 2 = 6 times; 6 × 3 = 18",
        )  # fmt: skip

    return with_row(made(ROOT.format(total=total), sizes), "Rnd 3", change)


def test_a_wrong_total_is_named_with_both_figures_and_the_working() -> None:
    tally = differing("(20)", (18,))
    [finding] = found(tally, "stitch-total")
    assert finding.message == "The round makes 18 sts, but the total says 20."
    assert finding.working == "12 / 2 = 6 times; 6 × 3 = 18"
    assert (finding.piece, finding.row, finding.grade) == ("Root", "Rnd 3", Grade.ERROR)
    assert quoted(tally, finding) == "20"


def test_a_right_total_is_not_mentioned() -> None:
    assert found(made(ROOT.format(total="(18)")), "stitch-total") == []


@pytest.mark.parametrize(
    ("total", "worked", "sizes", "mended"),
    [
        ("(20)", (18,), (), "(18)"),
        ("(20 sts)", (18,), (), "(18 sts)"),
        ("(18 (20, 22))", (18, 21, 24), ("S", "M", "L"), "(18 (21, 24))"),
        ("(20)", (18, 21), ("S", "M"), "(18 (21))"),
        ("(20)", (18, 18), ("S", "M"), "(18)"),
    ],
)
def test_the_mend_writes_the_worked_figures_and_nothing_else(
    total: str, worked: tuple[int, ...], sizes: tuple[str, ...], mended: str
) -> None:
    tally = differing(total, worked, sizes)
    [finding] = found(tally, "stitch-total")
    mend = finding.mends[0]
    assert not mend.sure
    text = apply_edits(tally.pattern.source.text, mend.edits)
    assert text == ROOT.format(total=mended)


def test_only_the_sizes_that_are_wrong_are_named() -> None:
    [finding] = found(differing("(18 (20, 22))", (18, 21, 24), ("S", "M", "L")), "stitch-total")
    assert finding.message == (
        "In sizes M and L the round makes 21 (24) sts, but the total says 20 (22)."
    )


def test_a_total_in_words_is_replaced_whole() -> None:
    text = "Rnd 1: 6 sc in ring, six sts."
    span = Span(text.index("six"), text.index(" sts"))
    unit = UnitCount("sts", (6,), (7,), span)
    tally = with_row(
        made(text), "Rnd 1",
        lambda row: replace(row, units=(unit,), problems=(Problem("total", span, ""),)),
    )  # fmt: skip
    [finding] = found(tally, "stitch-total")
    assert apply_edits(text, finding.mends[0].edits) == "Rnd 1: 6 sc in ring, 7 sts."


def test_every_wrong_unit_is_in_the_one_finding() -> None:
    text = "Rnd 1: lace. (16 dc, 14 ch-2 sps)"
    dc = Span(text.index("16"), text.index("16") + 2)
    spaces = Span(text.index("14"), text.index("14") + 2)
    units = (
        UnitCount("dc", (16,), (16,), dc),
        UnitCount("ch-2 sps", (14,), (16,), spaces),
    )
    tally = with_row(
        made(text), "Rnd 1",
        lambda row: replace(row, units=units, problems=(Problem("total", dc, ""),)),
    )  # fmt: skip
    [finding] = found(tally, "stitch-total")
    assert finding.message == "The round makes 16 ch-2 sps, but the total says 14."
    assert quoted(tally, finding) == "14"


def test_a_problem_without_figures_is_told_in_its_own_words() -> None:
    tally = with_row(
        made("Rnd 1: 6 sc in ring. (6)"), "Rnd 1",
        lambda row: replace(row, problems=(Problem("total", row.row.span, "no shells at all"),)),
    )  # fmt: skip
    assert [f.message for f in found(tally, "stitch-total")] == ["No shells at all."]


def unstated(text: str, label: str, worked: tuple[int, ...] = (12,)) -> Tally:
    return with_row(made(text), label, lambda row: replace(row, worked=worked, changes_count=True))


@pytest.mark.parametrize(
    ("stated", "silent", "mended"),
    [
        ("6 sc in ring. (6)", "2 sc in each st.", "2 sc in each st. (12)"),
        ("6 sc in ring. (6)", "2 sc in each st", "2 sc in each st. (12)"),
        ("6 sc in ring (6).", "2 sc in each st.", "2 sc in each st (12)."),
        ("6 sc in ring (6 sts).", "2 sc in each st;", "2 sc in each st (12 sts)."),
        ("6 sc in ring; (6 sc)", "2 sc in each st.", "2 sc in each st; (12 sts)"),
        ("6 sc in ring.", "2 sc in each st.", "2 sc in each st. (12 sts)"),
    ],
)
def test_a_missing_total_is_offered_in_the_form_of_the_others(
    stated: str, silent: str, mended: str
) -> None:
    text = f"ROOT\nRnd 1: {stated}\nRnd 2: {silent}\nRnd 3: sc around.\n"
    tally = unstated(text, "Rnd 2")
    [finding] = found(tally, "total-missing")
    assert finding.grade is Grade.STYLE
    assert finding.message == "The round changes the number of stitches to 12 and states no total."
    assert apply_edits(text, finding.mends[0].edits) == text.replace(silent, mended)


def test_rows_that_keep_the_count_need_no_total() -> None:
    assert found(made("Rnd 1: 6 sc in ring.\nRnd 2: sc around.\n"), "total-missing") == []


def test_a_missing_total_of_several_sizes_has_them_all() -> None:
    text = "Row 1: 6 sc in ring. (6)\nRow 2: 2 sc in each st."
    [finding] = found(unstated(text, "Row 2", (12, 14)), "total-missing")
    assert finding.mends[0].edits[0].text == " (12 (14))"
