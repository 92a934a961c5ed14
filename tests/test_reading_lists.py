"""Lists, colours and references as designers lay them out."""

from __future__ import annotations

import pytest

import proofhook
from proofhook.counting.result import Verdict


@pytest.mark.parametrize(
    ("line", "name", "meaning"),
    [
        ("sc \u00b7 single crochet", "sc", "single crochet"),
        ("| sc | single crochet |", "sc", "single crochet"),
        ("| **sc** | single crochet |", "sc", "single crochet"),
        ("sl st - slip stitch", "sl st", "slip stitch"),
    ],
)
def test_an_entry_is_read(line: str, name: str, meaning: str) -> None:
    pattern = proofhook.read(f"Abbreviations\n{line}\n\nRnd 1: 6 sc in a magic ring. (6)\n")
    assert [(d.abbreviation, d.meaning) for d in pattern.definitions] == [(name, meaning)]


def test_the_head_of_a_table_is_no_entry() -> None:
    text = (
        "## Abbreviations\n\n| short | long |\n|---|---|\n| ch | chain |\n| sc | single crochet |\n"
    )
    assert [d.abbreviation for d in proofhook.read(text).definitions] == ["ch", "sc"]


def test_a_bold_entry_in_a_list_is_no_row() -> None:
    text = (
        "## Abbreviations\n\n* **dec** \u2013 single crochet 2 stitches together\n"
        "* **sc** \u2013 single crochet\n\n## Head\n\nR1: MR, 6 sc [6]\n"
    )
    pattern = proofhook.read(text)
    assert [d.abbreviation for d in pattern.definitions] == ["dec", "sc"]
    assert [row.name for row in pattern.rows] == ["R1"]


@pytest.mark.parametrize("listed", ["", "sh = shell\n"])
def test_a_short_name_beside_the_full_one_is_known(listed: str) -> None:
    text = (
        f"Abbreviations\nch = chain\n{listed}\nSpecial stitch\n"
        "Shell (sh): 5 dc in the stitch or space named.\n\n"
        "Row 1: Ch 8, sc in 2nd ch from hook and in each ch across, turn. (7)\n"
        "Row 2: Ch 1, sc in first st, skip 2 sts, sh in next st, skip 2 sts, sc in last st. "
        "(1 sh, 2 sc)\n"
    )
    assert [row.verdict for row in proofhook.tally(proofhook.read(text)).rows] == [
        Verdict.AGREES
    ] * 2


@pytest.mark.parametrize("line", ["In Ink", "With Ink,", "Ink", "Start with Ink"])
def test_a_colour_under_a_heading_is_no_heading(line: str) -> None:
    text = f"Materials\nInk wool, 1 ball\n\nBODY\n{line}\nRnd 1: 6 sc in a magic ring. (6)\n"
    assert [piece.name for piece in proofhook.read(text).pieces] == ["BODY"]


def test_a_change_of_colour_begins_no_piece() -> None:
    text = "ARM\nR1: MR, 6 sc [6]\nR2: sc around [6]\nChange to Ink\nR3: sc around [6]\n"
    assert [piece.name for piece in proofhook.read(text).pieces] == ["ARM"]


def test_a_size_named_by_months_is_no_range() -> None:
    text = (
        "SIZES\nPreemie (Newborn, 3-6 months)\nWidth: 12 (14, 16) in\n\n"
        "Rnd 1: 8 sc in a magic ring. (8)\n"
        "Rnd 2 (Newborn and 3-6 months only): 2 sc in each st around. (16)\n"
        "Rnd 3 (3-6 months only): 2 sc in each st around. (32)\n"
        "Rnd 4: Sc in each st around. (8 (16, 32))\n"
    )
    pattern = proofhook.read(text)
    assert [row.sizes for row in pattern.rows] == [None, (1, 2), (2,), None]
    assert proofhook.tally(pattern).rows[-1].verdict is Verdict.AGREES


def test_a_piece_may_be_worked_as_another_to_a_row_under_a_later_heading() -> None:
    text = (
        "BACK\nCh 11.\nRow 1: Sc in 2nd ch from hook and in each ch across, turn. (10)\n"
        "Row 2: Ch 1, sc in each st across, turn. (10)\nShape armholes\n"
        "Row 3: Ch 1, sc2tog, sc in each st to last 2 sts, sc2tog, turn. (8)\n"
        "Rows 4-6: Ch 1, sc in each st across, turn. (8)\nFasten off.\n\n"
        "FRONT\nWork as for the Back to the end of Row 4. (8)\n"
        "Row 5: Ch 1, sc2tog, sc in next 6 sts, turn. (7)\nRow 6: As Row 5. (6)\n"
    )
    rows = proofhook.tally(proofhook.read(text)).rows
    said = {row.row.name: (row.verdict, row.worked) for row in rows[-2:]}
    assert said["Row 5"] == (Verdict.AGREES, (7,))
    assert rows[-3].worked == (8,)


@pytest.mark.parametrize(
    "row",
    [
        "Ch 1, sc in each st around, skip the joining st, join with a sl st in first sc. (12)",
        "Ch 1, sc in each st around, ch 8 for the hanging loop, join. (12)",
        "Ch 1, sc in each st around, changing shade after every third round, join. (12)",
    ],
)
def test_words_beside_the_stitches_are_read(row: str) -> None:
    text = f"Rnd 1: 12 sc in a magic ring, join. (12)\nRnd 2: {row}\n"
    last = proofhook.tally(proofhook.read(text)).rows[-1]
    assert (last.verdict, last.unread) == (Verdict.AGREES, ())


def test_chains_at_the_start_of_a_row_are_of_any_length() -> None:
    text = (
        "Notes: The ch at the start of a round does not count as a st.\n\nRnd 1: 6 sc in a ring.\n"
    )
    [custom] = proofhook.read(text).customs
    assert (custom.length, custom.counts) == (0, False)
