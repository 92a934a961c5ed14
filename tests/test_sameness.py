"""Two patterns that say the same are told apart from two that do not, and the place is named."""

from __future__ import annotations

from pathlib import Path

import pytest

from proofhook.api import read
from proofhook.sameness import same_model, same_stitches

FIXTURES = Path(__file__).parents[1] / "fixtures"
TEXTS = sorted([*FIXTURES.glob("patterns/*.txt"), *FIXTURES.glob("labelled/*/*.txt")])

BOWL = """\
Salt Bowl

US terms

Materials
Hook: 4 mm

Abbreviations
sc - single crochet
inc - 2 sc in next st

BASE
Rnd 1 (RS): 6 sc in a magic ring. (6)
Rnd 2: *Inc; rep from * 5 more times, turn. (12 sc)
Rnd 3: Sc in each st around, follow the flow chart. (12)
"""

#: The words changed, and what they become: form alone.
SAME = [
    ("Rnd 1 (RS):", "Round 1 (RS) -"),
    ("Rnd 3:", "RND 3:"),
    ("(6)", "[6]"),
    ("(12 sc)\n", "- 12 sc\n"),
    (", turn. (12 sc)", ". (12 sc) Turn."),
    ("*Inc; rep from * 5 more times", "(Inc) 6 times"),
    ("Salt Bowl", "SALT BOWL"),
    ("BASE", "Base"),
    ("sc - single crochet", "sc: single crochet"),
    ("sc - single crochet\ninc - 2 sc in next st", "inc - 2 sc in next st\nsc - single crochet"),
    ("in a magic ring", "in  a   magic ring"),
]

#: The words changed, what they become, and words of the sentence that tells so.
OTHER = [
    ("Salt Bowl", "Pepper Bowl", "title"),
    ("US terms", "UK terms", "terms"),
    ("Materials\n", "Gauge\n", "sections"),
    ("2 sc in next st", "3 sc in next st", "“inc” is explained otherwise"),
    ("BASE", "BASE (make 2)", "piece"),
    ("(RS)", "(WS)", "BASE, Rnd 1 (RS): the label"),
    ("Rnd 3:", "Rnds 3-4:", "BASE, Rnd 3: the label"),
    ("Rnd 3:", "Row 3:", "BASE, Rnd 3: the label"),
    ("(6)", "(7)", "BASE, Rnd 1 (RS): the total “(6)” became “(7)”"),
    ("(6)", "(6 dc)", "the total"),
    ("5 more times", "6 more times", "BASE, Rnd 2"),
    ("5 more times", "5 times", "BASE, Rnd 2"),
    (", turn", "", "BASE, Rnd 2: the words “turn”"),
    (" (12)", "", "“(12)” is read in one text only"),
    ("6 sc in", "6 hdc in", "“6 sc in a magic ring”"),
    ("flow chart", "flow  chart", "BASE, Rnd 3"),
    ("Rnd 3: Sc in each st around, follow the flow chart. (12)\n", "", "Rnd 3"),
]


@pytest.mark.parametrize("path", TEXTS, ids=lambda path: path.stem)
def test_a_pattern_is_the_same_as_itself(path: Path) -> None:
    text = path.read_text("utf-8")
    assert same_model(read(text), read(text)) is None
    assert same_stitches(read(text), read(text)) is None


@pytest.mark.parametrize(("words", "become"), SAME)
def test_form_alone_makes_no_other_pattern(words: str, become: str) -> None:
    assert BOWL.count(words) == 1
    assert same_model(read(BOWL), read(BOWL.replace(words, become))) is None


def test_a_text_that_begins_with_a_row_has_no_title_to_keep() -> None:
    row = "Rnd 1: 6 sc in a magic ring. (6)\n"
    assert same_model(read(row), read(row.replace("Rnd", "Round"))) is None
    assert same_model(read(row), read("Bowl\n\n" + row)) is not None


@pytest.mark.parametrize(("words", "become", "told"), OTHER)
def test_what_differs_is_told_with_its_row(words: str, become: str, told: str) -> None:
    assert words in BOWL
    changed = BOWL.replace(words, become)
    for before, after in ((BOWL, changed), (changed, BOWL)):
        sentence = same_model(read(before), read(after))
        assert sentence is not None
        assert sentence.endswith(".")
        if before == BOWL:
            assert told in sentence


MAT = """\
MAT

US terms

Row 1: Ch 11, sc in 2nd ch from hook and in each ch across. (10)
Row 2: Ch 3 (counts as dc), dc in next st, hdc in next 2 sts, fpdc around next st, sc2tog, \
tr in next 2 sts, sl st in last st. (9)
Row 3: Ch 1, 2 sc in first dc, sc in each st across. (10 sc)
"""
IN_UK_TERMS = """\
MAT

UK terms

Row 1: Ch 11, dc in 2nd ch from hook and in each ch across. (10)
Row 2: Ch 3 (counts as tr), tr in next st, htr in next 2 sts, fptr around next st, dc2tog, \
dtr in next 2 sts, ss in last st. (9)
Row 3: Ch 1, 2 dc in first tr, dc in each st across. (10 dc)
"""


def test_the_same_stitches_in_us_and_uk_terms() -> None:
    assert same_stitches(read(MAT), read(IN_UK_TERMS)) is None
    assert same_stitches(read(IN_UK_TERMS), read(MAT)) is None
    assert same_model(read(MAT), read(IN_UK_TERMS)) is not None


@pytest.mark.parametrize(
    ("words", "become", "row"),
    [
        ("tr in next st,", "dc in next st,", "Row 2"),
        ("dtr in", "tr in", "Row 2"),
        ("htr", "tr", "Row 2"),
        ("dc2tog", "tr2tog", "Row 2"),
        ("fptr", "fpdc", "Row 2"),
        ("counts as tr", "counts as dc", "Row 2"),
        ("first tr", "first dc", "Row 3"),
        ("(10 dc)", "(10 tr)", "Row 3"),
        ("(10)", "(11)", "Row 1"),
    ],
)
def test_other_stitches_are_told(words: str, become: str, row: str) -> None:
    assert words in IN_UK_TERMS
    sentence = same_stitches(read(MAT), read(IN_UK_TERMS.replace(words, become, 1)))
    assert sentence is not None
    assert sentence.startswith(f"MAT, {row}: ")


def test_a_row_that_counts_otherwise_is_told() -> None:
    """The words are alike in both, and only what is said of the chains is not."""
    said = "MAT\n\nNotes\nCh 3 counts as a dc.\n\n"
    rows = "Row 1: Ch 12, dc in 4th ch from hook and in each ch across, turn.\n"
    rows += "Row 2: Ch 3, dc in each st across.\n"
    before, after = read(said + rows), read(said.replace("counts", "does not count") + rows)
    sentence = same_stitches(before, after)
    assert sentence is not None
    assert "Row 1: worked was" in sentence or "Row 2: worked was" in sentence
