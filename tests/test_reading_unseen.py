"""Ways of writing that were met in patterns nobody here had seen before."""

from __future__ import annotations

import pytest

import proofhook
from proofhook.counting.result import Verdict

RING = "Rnd 1: 6 sc in a magic ring. (6)\n"
SIX = "Ch 7.\nr1: sc in 2nd ch from hook and in each ch across. (6)\nr2: ch 1, sc in each st. (6)\n"
LACE = (
    "US terms.\n\nCh 42.\n"
    "Row 1: Sc in 2nd ch from hook, *ch 5, sk next 3 chs, sc in next ch; rep from * across, turn. "
    "(11 sc, 10 ch-5 sps)\n"
    "Row 2: Ch 5 (counts as dc and ch 2), sc in first ch-5 sp, *ch 5, sc in next ch-5 sp; rep from "
    "* across, ch 2, dc in last sc, turn. (9 ch-5 sps, 2 ch-2 sps)\n"
)
SIZES = "Sizes: Child (Adult S, Adult L)\n\nRnd 1: 12 sc in a magic ring. (12)\n"

READ = [
    # a last pass that is written out in full is a pass more
    (
        LACE + "Row 3: Ch 1, sc in first dc, *ch 5, sc in next ch-5 sp; rep from * across, ch 5, "
        "sc in 3rd ch of turning ch-5, turn. (11 sc, 10 ch-5 sps)\n"
    ),
    RING + "Rnd 2: *2 sc in next st; rep from * a further 5 times. (12)\n",
    (
        "Row 1: Ch 7, sc in 2nd ch from hook and in each ch across, turn. (6)\n"
        "Row 2: Ch 1, 2 sc in first st, sc in each st to end, turn. (7)\n"
        "Repeat Row 2 a further 10 times. (17)\n"
    ),
    SIX + "r3: ch 1, sc in each st. (6)\nr4-r7: rep r2-r3. (6)\nr8: rep r2. (6)\n",
    # a bracket at the end of a line is no total where the next line goes on with it
    (
        "US terms.\n\nRnd 1: 12 sc in a magic ring. (12)\n"
        "Rnd 2: Ch 1, sc in next 2 sts, *2 sc in next st, sc in next 2 sts, (sc, ch 2, sc)\n"
        "in next st; rep from * once more, 2 sc in next 2 sts. (16 sc, 2 ch-2 sps)\n"
    ),
    RING + "Rnd 2: (Sc in next st, 2 sc in next st)\n3 times. (9)\n",
    # sizes whose names are two words, each with a row of its own, and a range of lists
    (
        SIZES + "Adult S only:\nRnd 2: (Sc in next 3 sts, 2 sc in next st) 3 times. (15)\n"
        "Adult L only:\nRnd 2: (Sc in next st, 2 sc in next st) 6 times. (18)\n\n"
        "All sizes:\nRnds 2 (3, 3)-5 (6, 7): Sc in each st around. 12 (15, 18) sts\n"
    ),
    (
        "US terms.\n\nRnd 1: 12 sc in a magic ring. (12)\nRnd 2: Ch 1, sc in same place, *skip 2 "
        "sc, 5 dc in next sc, skip 2 sc, sc in next sc; rep from * around, ending with sl st in "
        "first sc instead of the last sc. (10 dc, 2 sc)\n"
    ),
]


@pytest.mark.parametrize("text", READ, ids=range(len(READ)))
def test_every_row_agrees(text: str) -> None:
    rows = proofhook.tally(proofhook.read(text)).rows
    assert [(row.row.name, row.verdict) for row in rows if row.verdict is not Verdict.AGREES] == []


def test_what_is_only_for_some_legs_is_for_no_size() -> None:
    pattern = proofhook.read(SIZES + "Front legs only:\nRnd 2: 2 sc in each st. 24 (24, 24) sts\n")
    assert [row.sizes for row in pattern.rows] == [None, None]


def test_a_row_that_leaves_another_number_than_it_says_is_told() -> None:
    text = (
        "Row 1: Ch 29, sc in 2nd ch from hook and in each ch across. (28)\n"
        "Row 2: Ch 1, sc in next 20 sts, turn, leaving the last 7 sts unworked. (20)\n"
    )
    findings = proofhook.proof(proofhook.read(text)).findings
    (finding,) = (each for each in findings if each.rule == "row-fit")
    assert finding.message == "The row says that 7 sts are left unworked, but leaves 8."
    right = proofhook.proof(proofhook.read(text.replace("last 7", "last 8"))).findings
    assert [each for each in right if each.rule == "row-fit"] == []


def test_a_star_is_missed_outside_of_numbered_rows_too() -> None:
    text = (
        "STRING\nWith Poppy, ch 30, *sc in the 18 sts along the top of a flag, ch 6; repeat from * "
        "for all 9 flags, ch 24, turn.\n"
    )
    told = proofhook.proof(proofhook.read(RING + "\n" + text.replace("*sc", "sc"))).findings
    assert [each.message for each in told if each.rule == "marks-unpaired"] == [
        "The words speak of *, and no * stands before them."
    ]
    told = proofhook.proof(proofhook.read(RING + "\n" + text)).findings
    assert [each for each in told if each.rule == "marks-unpaired"] == []
