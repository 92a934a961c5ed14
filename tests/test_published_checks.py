"""The counter against published worked examples and figures.

First rows: the worked examples named in ``turning_chains.toml`` (BELLA 2011, HAN68 2018,
a Design Crochet lesson).  Flat circles: six single, eight half double or twelve double
crochet in the first round and as many more in every round (craftymaria 2009, mkcarroll
2009; see the same table).
"""

from __future__ import annotations

import pytest

from proofhook.counting.result import RowTally, Verdict
from proofhook.counting.tally import tally
from proofhook.reading import read
from proofhook.text import decode
from proofhook.trade import table
from proofhook.trade.turning_chains import circle, first_row

ORDINAL = {2: "2nd", 3: "3rd", 4: "4th", 5: "5th", 6: "6th"}


def tallied(text: str) -> list[RowTally]:
    return list(tally(read(decode(text.encode(), "published.txt"))).rows)


#: The first rows of the published examples, as designers word them.
WORDINGS = (
    "Ch {n}.\nRow 1: {k} in {nth} ch from hook and in each ch across.{t}\n",
    "Chain {n}.\nRow 1: 1 {k} into {nth} ch from hook, 1 {k} in each ch to end.{t}\n",
    "Row 1: Ch {n}, {k} in {nth} ch from hook, {k} in each remaining ch across.{t}\n",
    "Foundation: ch {n}.\n1st row: {k} in {nth} ch from hook, {k} in next {r} ch, turn.{t}\n",
)


@pytest.mark.parametrize("wording", WORDINGS, ids=range(len(WORDINGS)))
@pytest.mark.parametrize(
    "example", table("turning_chains")["example"], ids=["BELLA", "HAN68", "Design Crochet"]
)
def test_first_rows_of_the_published_examples(example: dict[str, object], wording: str) -> None:
    chains, into, stitches = (int(str(example[key])) for key in ("chains", "into", "stitches"))
    terms, stitch = str(example["terms"]), str(example["stitch"])
    words = wording.format(
        n=chains, k=stitch, nth=ORDINAL[into], r=chains - into, t=f" ({stitches} {stitch})"
    )
    row = tallied(f"Terms: {terms.upper()}\n\nMUG RUG\n{words}")[-1]
    assert (row.verdict, row.worked) == (Verdict.AGREES, (stitches,)), row
    wrong = words.replace(f"({stitches} ", f"({stitches + 2} ")
    row = tallied(f"Terms: {terms.upper()}\n\nMUG RUG\n{wrong}")[-1]
    assert row.verdict is Verdict.DIFFERS


@pytest.mark.parametrize("chains", [6, 13, 40, 121])
@pytest.mark.parametrize(
    ("stitch", "into", "counts"),
    [
        ("sc", 2, False),
        ("hdc", 3, True),
        ("hdc", 3, False),
        ("dc", 4, True),
        ("dc", 4, False),
        ("tr", 5, True),
    ],
)
def test_first_rows_come_to_what_the_formula_says(
    stitch: str, into: int, chains: int, counts: bool
) -> None:
    """N chains, the first stitch in the k-th from the hook: N - (k - 1), and 1 where they count."""
    said = f"skipped chs count as {stitch}" if counts else "skipped chs do not count as a st"
    [row] = tallied(
        f"Terms: US\n\nMUG RUG\nCh {chains}.\nRow 1: {stitch} in {ORDINAL[into]} ch from hook "
        f"({said}) and in each ch across.\n"
    )
    assert row.worked == (first_row(chains, into, counts=counts),)


#: Stitches of the first round of a flat circle; the same number is added in every round.
CIRCLES = [
    ("sc", "us", 6),
    ("hdc", "us", 8),
    ("dc", "us", 12),
    ("dc", "uk", 6),
    ("htr", "uk", 8),
    ("tr", "uk", 12),
]


def round_in_words(number: int, stitch: str, begins: int) -> str:
    if number == 1:
        return f"{begins} {stitch} in a magic ring"
    if number == 2:
        return f"2 {stitch} in each st around"
    plain = f"{stitch} in next {number - 2} sts" if number > 3 else f"{stitch} in next st"
    return f"({plain}, 2 {stitch} in next st) {begins} times"


@pytest.mark.parametrize(("stitch", "terms", "begins"), CIRCLES)
def test_flat_circles_have_as_many_stitches_as_published(
    stitch: str, terms: str, begins: int
) -> None:
    found = circle(stitch, terms)
    assert found is not None
    assert begins in found.begins
    lines = [
        f"Rnd {number}: {round_in_words(number, stitch, begins)}. ({begins * number} {stitch})"
        for number in range(1, 13)
    ]
    rows = tallied("\n".join([f"Terms: {terms.upper()}", "", *lines]))
    assert [row.worked for row in rows] == [(begins * number,) for number in range(1, 13)]
    assert {row.verdict for row in rows} == {Verdict.AGREES}
    assert all(found.is_flat(begins * number, number) for number in range(1, 13))


def test_a_circle_begun_with_chains_that_count_is_as_flat() -> None:
    """Twelve double crochet with three chains for the first of them, joined."""
    text = "Ch 3 counts as a dc.\n\nRnd 1: Magic ring, ch 3, 11 dc in ring, join. (12)\n"
    text += "Rnd 2: Ch 3, dc in same st, 2 dc in each st around, join. (24)\n"
    for number in range(3, 9):
        text += (
            f"Rnd {number}: Ch 3, dc in same st, dc in next {number - 2} sts, "
            f"*2 dc in next st, dc in next {number - 2} sts; rep from * around, join. "
            f"({12 * number})\n"
        )
    rows = tallied(text)
    assert [(row.verdict, row.worked) for row in rows] == [
        (Verdict.AGREES, (12 * number,)) for number in range(1, 9)
    ]
