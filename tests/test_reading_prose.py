"""Rows that are no list of stitches: shaping and even work in prose, filet in blocks and spaces."""

from __future__ import annotations

import pytest

import proofhook
from proofhook.pattern import Evenly, Total, Work
from proofhook.reading.meshes import filet_steps
from proofhook.reading.shapings import even_steps, shaping_steps
from proofhook.reading.words import folded

SHAPED = (
    ("Dec 1 st at each end of next and foll 3 alt rows. 58 sts.", -8),
    ("Dec 1 st in this way at neck edge on the next 14 rows.", -14),
    ("Inc 1 st at both ends of every 4th row 8 times", 16),
    ("Decrease 1 stitch at each end of the next row.", -2),
    ("Dec one st at neck edge on next 5 rows", -5),
    ("Inc 2 sts at end of next row", 2),
    ("Dec 1 st at armhole edge on next 4 rows and then on foll 3 alt rows,", -7),
    ("Dec 1 st at each end of next and foll alt row.", -4),
)


@pytest.mark.parametrize(("text", "change"), SHAPED)
def test_a_sentence_of_shaping_says_by_how_many(text: str, change: int) -> None:
    found = shaping_steps(text)
    assert found is not None
    step, end = found
    assert isinstance(step, Evenly)
    assert step.change == (change,)
    assert text[step.span.start : step.span.end].strip() in text[:end]


@pytest.mark.parametrize(
    "text",
    [
        "Dec 1 st at each end of every foll 6th row until 40 sts rem.",  # how often is not said
        "Inc 1 st at each end of next and every foll 4th row 6 times.",  # six, or seven?
        "Dec 1 st at each end of every row.",
        "Dec 1 st.",
        "Decide where each end of the next row goes.",
        "",
    ],
)
def test_what_leaves_the_number_open_is_no_shaping(text: str) -> None:
    assert shaping_steps(text) is None


def test_shaping_is_told_for_each_size() -> None:
    rows = folded((3, 4, 5), 11)
    found = shaping_steps(f"Dec 1 st at each end of next {rows} rows. ")
    assert found is not None
    assert isinstance(found[0], Evenly)
    assert found[0].change == (-6, -8, -10)


@pytest.mark.parametrize(
    "text",
    [
        "Cont in patt until work measures 38\ncm from beg. 79 sts.",
        "Work straight until armholes measure 12.5 cm. 54 sts.",
        "The 2nd row forms htr patt. Cont in patt until work measures 38 cm.",
    ],
)
def test_work_that_goes_on_even_takes_every_stitch_once(text: str) -> None:
    found = even_steps(text)
    assert found is not None
    step, end = found
    assert isinstance(step, Work)
    assert (step.stitch.uses, step.stitch.makes) == (1, 1)
    assert text[:end].rstrip().endswith(".")


@pytest.mark.parametrize("text", ["Work until tired", "Continue with the sleeves.", "Work 4 rows."])
def test_other_prose_is_no_even_work(text: str) -> None:
    assert even_steps(text) is None


def test_filet_is_counted_by_its_blocks_and_spaces() -> None:
    steps = filet_steps("Beg sp, 4 sps, 5 bls, 4 sps, 1 bl, turn. (7 bl, 9 sp)")
    assert steps is not None
    *works, total = steps
    assert [(w.stitch.name, w.count) for w in works if isinstance(w, Work)] == [
        ("sp", (1,)),
        ("sp", (4,)),
        ("bl", (5,)),
        ("sp", (4,)),
        ("bl", (1,)),
    ]
    assert isinstance(total, Total)
    assert [(unit.what, unit.count) for unit in total.units] == [("bl", (7,)), ("sp", (9,))]


@pytest.mark.parametrize(
    "text",
    ["3 sps, 4 sps", "1 bl, 2 dc, 3 sp", "sc in next 5 sp, 1 bl", "bl, sp", "", "1 bl"],
)
def test_a_row_with_anything_else_in_it_is_no_filet(text: str) -> None:
    assert filet_steps(text) is None


def _verdict(words: str) -> proofhook.Verdict:
    first = "Row 1: Sc in 2nd ch from hook and in each ch. (12)"
    text = f"Ch 13.\n{first}\nRow 2: Ch 1, {words}. (14)\n"
    return proofhook.read(text).tally().rows[1].verdict


@pytest.mark.parametrize("words", ["patt to end", "work patt to end", "work in patt to end"])
def test_how_many_a_pattern_stitch_makes_is_not_certain(words: str) -> None:
    assert _verdict(words) is proofhook.Verdict.UNREAD


def test_how_many_a_named_stitch_makes_is_certain() -> None:
    assert _verdict("sc to end") is proofhook.Verdict.DIFFERS
