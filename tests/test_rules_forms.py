"""One form for a chain space, and one word for a colour."""

from __future__ import annotations

import pytest

import proofhook
from proofhook.proofing.sheets import house_of
from proofhook.text import apply_edits

LACE = (
    "Ch 21.\n"
    "Row 1: Sc in 2nd ch from hook, *ch 2, sk 2 ch, sc in next ch; rep from * to last ch, sc in "
    "last ch, turn. (8 sc, 6 ch-2 sps)\n"
    "Row 2: Ch 1, sc in first sc, *2 sc in next ch-2 sp, sc in next sc; rep from * across, turn.\n"
    "Row 3: Ch 1, sc in each st across.\n"
)


def variants(text: str, sheet: str = "") -> list[proofhook.Finding]:
    house = house_of(sheet) if sheet else None
    proof = proofhook.proof(proofhook.read(text), house)
    return [f for f in proof.findings if f.rule == "abbreviation-variants"]


@pytest.mark.parametrize("form", ["ch2 sp", "2-ch sp", "2ch-sp", "ch-2-sp", "ch 2 sp", "ch2-sp"])
def test_a_second_form_of_a_chain_space_is_told_and_mended(form: str) -> None:
    text = LACE.replace("next ch-2 sp", f"next {form}")
    [finding] = variants(text)
    assert finding.message == (
        f"The chain space is written in more than one way: \u201cch-2 sp\u201d once and "
        f"\u201c{form}\u201d once."
    )
    [mend] = finding.mends
    assert mend.sure
    assert apply_edits(text, mend.edits) == LACE


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ("next ch-2 sp", "next ch-2 sp"),
        ("next ch-2 sp", "next 2 ch sp"),  # may be two spaces
        ("across, turn.\nRow 3", "across, ch 2, loops of it, turn.\nRow 3"),
        ("Row 3: Ch 1,", "Row 3: Ch 2 sp"),
        ("2 sc in next ch-2 sp", "2 sc in next ch-1 sp"),
    ],
)
def test_what_is_no_second_form_passes(old: str, new: str) -> None:
    assert variants(LACE.replace(old, new)) == []


def test_the_form_of_the_house_goes_first() -> None:
    sheet = '[rules.abbreviation-variants]\nprefer = ["2ch-sp"]\n'
    [finding] = variants(LACE, sheet)
    assert finding.message == (
        "The chain space is written \u201cch-2 sp\u201d; the house writes \u201c2ch-sp\u201d."
    )
    assert "next 2ch-sp," in apply_edits(LACE, finding.mends[0].edits)


COLOURS = (
    "Materials:\n{a}\n{b}\n4 mm hook\n\n"
    "With A, ch 7.\n"
    "Row 1: Sc in 2nd ch from hook and in each ch across, turn. (6)\n"
    "Change to B.\nRow 2: Ch 1, sc in each st across, turn. (6)\n"
    "Change to {last}.\nRow 3: Ch 1, sc in each st across. (6)\n"
)


@pytest.mark.parametrize(
    ("first", "second"),
    [
        ("A (Rust), 50 g of DK cotton", "B (Chalk), 50 g of DK cotton"),
        ("Color A - Rust - 50 g of DK cotton", "Color B - Chalk - 50 g of DK cotton"),
        ("- Yarn A: Rust, 50 g of DK cotton", "- Yarn B: Chalk, 50 g of DK cotton"),
    ],
)
def test_a_colour_goes_by_its_letter_or_by_its_name(first: str, second: str) -> None:
    text = COLOURS.format(a=first, b=second, last="Rust")
    [finding] = variants(text)
    assert finding.message == "Colour A is called \u201cA\u201d and \u201cRust\u201d in turn."
    assert finding.working == "\u201cA\u201d once, \u201cRust\u201d once."
    assert text[finding.span.start : finding.span.end] == "Rust"
    assert variants(COLOURS.format(a=first, b=second, last="A")) == []


@pytest.mark.parametrize(
    ("first", "last"),
    [
        ("Rust, 50 g of DK cotton", "Rust"),  # no letter goes with the name
        ("A (Rust), 50 g of DK cotton", "A (Rust)"),  # both together
        ("A, 50 g of DK cotton", "Rust"),
    ],
)
def test_two_names_are_told_only_where_the_list_gives_both(first: str, last: str) -> None:
    assert variants(COLOURS.format(a=first, b="B, 50 g of DK cotton", last=last)) == []
