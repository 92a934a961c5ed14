"""The rules that do nothing until a house asks for them."""

from __future__ import annotations

import pytest

import proofhook
from proofhook.proofing import Finding, Grade
from proofhook.proofing.sheets import house_of
from proofhook.text import apply_edits

ROUNDS = "Rnd 1: 6 sc in a magic circle. (6)\nRnd 2: 2 sc in each st around. (12)\n"


def found(text: str, house: str, rule: str) -> list[Finding]:
    done = proofhook.proof(proofhook.read(text), house_of(house))
    assert done.failures == ()
    return [finding for finding in done.findings if finding.rule == rule]


@pytest.mark.parametrize("rule", ["house-wording", "house-section", "house-marks"])
def test_a_house_without_wishes_has_none(rule: str) -> None:
    assert found(ROUNDS, "", rule) == []


def test_a_pair_of_words_is_mended_with_the_capitals_of_the_text() -> None:
    house = '[[wording]]\nwrite = "magic ring"\nnot = "magic circle"\nbecause = "it is a ring"\n'
    text = "MAGIC CIRCLE\nMagic  circle or magic circle, magic circles\n\n" + ROUNDS
    told = found(text, house, "house-wording")
    assert all(finding.grade is Grade.STYLE and not finding.mends[0].sure for finding in told)
    assert told[0].message.endswith("it is a ring.")
    mended = apply_edits(text, [edit for finding in told for edit in finding.mends[0].edits])
    assert mended.startswith("MAGIC RING\nMagic ring or magic ring, magic circles\n")
    assert found(mended, house, "house-wording") == []


def test_an_exception_keeps_its_words() -> None:
    house = '[[wording]]\nwrite = "st"\nnot = ["stitch"]\nexcept = ["stitch marker"]\nsure = true\n'
    text = "Put the stitch marker in the stitch.\n\n" + ROUNDS
    (finding,) = found(text, house, "house-wording")
    assert finding.span.start == text.index("stitch.")
    assert finding.mends[0].sure


def test_sections_are_wanted_by_name_and_in_order() -> None:
    house = 'sections = ["Materials", "Tension", "Before you start"]\n'
    text = f"GAUGE\n18 sts = 10 cm\n\nMATERIALS\nHook: 4 mm\n\n{ROUNDS}"
    missing, misnamed, order = sorted(
        found(text, house, "house-section"), key=lambda finding: finding.message[-9:]
    )
    messages = {missing.message, misnamed.message, order.message}
    assert messages == {
        "“Before you start” is missing from the sections that the house wants.",
        "The house calls the section “GAUGE” “Tension”.",
        "The house puts “Materials” before “Tension”.",
    }
    relaxed = house + '[rules.house-section]\noptional = ["Before you start"]\nby-name = false\n'
    (finding,) = found(text, relaxed + "in-order = true\n", "house-section")
    assert "before" in finding.message
    assert found(text, relaxed + "in-order = false\n", "house-section") == []


def test_a_heading_of_the_house_alone_is_found() -> None:
    house = 'sections = ["Before you start", "Materials"]\n'
    text = f"Before you start\nWash your hands.\n\nMaterials\nHook: 4 mm\n\n{ROUNDS}"
    assert found(text, house, "house-section") == []


@pytest.mark.parametrize(
    ("wanted", "text", "mended"),
    [
        ("square", "Rnd 1: 6 sc in a magic ring. (6)\n", "Rnd 1: 6 sc in a magic ring. [6]\n"),
        ("round", "Rnd 1: 6 sc in a magic ring - 6 sts\n", "Rnd 1: 6 sc in a magic ring (6 sts)\n"),
        ("curly", "Rnd 1: 6 sc in a magic ring [6 sc]\n", "Rnd 1: 6 sc in a magic ring {6 sc}\n"),
    ],
)
def test_totals_get_the_marks_of_the_house(wanted: str, text: str, mended: str) -> None:
    house = f'[rules.house-marks]\ntotal = "{wanted}"\n'
    (finding,) = found(text, house, "house-marks")
    assert apply_edits(text, finding.mends[0].edits) == mended
    assert found(mended, house, "house-marks") == []


def test_a_dash_is_asked_for_and_left_to_the_designer() -> None:
    (finding,) = found("Rnd 1: 6 sc in a magic ring. (6)\n", DASH, "house-marks")
    assert finding.message == "The house writes totals after a dash, not “(6)”."
    assert finding.mends[0].edits == ()
    assert found("Rnd 1: 6 sc in a magic ring - 6 sts\n", DASH, "house-marks") == []


DASH = '[rules.house-marks]\ntotal = "dash"\n'


def test_all_labels_change_together() -> None:
    house = '[rules.house-marks]\nround-label = "Rnd"\n'
    text = "ROUND 1: 6 sc in a magic ring. (6)\nROUNDS 2-3: Sc in each st around. (6)\n"
    (finding,) = found(text, house, "house-marks")
    assert finding.mends[0].sure
    mended = apply_edits(text, finding.mends[0].edits)
    assert mended == text.replace("ROUND", "RND")
    assert found(mended, house, "house-marks") == []


@pytest.mark.parametrize(("wanted", "told"), [("brackets", 1), ("stars", 0)])
def test_repeats_have_the_marks_of_the_house(wanted: str, told: int) -> None:
    text = "Rnd 1: 6 sc in a magic ring. (6)\nRnd 2: *2 sc in next st; rep from * around. (12)\n"
    assert len(found(text, f'[rules.house-marks]\nrepeat = "{wanted}"\n', "house-marks")) == told


ORDINALS = "1st row: Ch 7, sc in 2nd ch from hook and in each ch. (6)\n2nd row: Ch 1, sc. (6)\n"
TURNED = (
    "Row 1: Ch 7, sc in 2nd ch from hook and in each ch, ch 1, turn. (6)\n"
    "Row 2: Sc in each st. (6)\n"
)


@pytest.mark.parametrize(
    ("wish", "text", "said"),
    [
        ('label-form = "word"', ORDINALS, "The house puts the word first in labels, in 2 rows."),
        ('label-form = "number"', ORDINALS, ""),
        ('label-form = "number"', TURNED, "The house puts the number first in labels, in 2 rows."),
        (
            'turning-chain = "start"',
            TURNED,
            "The house tells turning chains at the start of their row.",
        ),
        ('turning-chain = "end"', TURNED, ""),
        (
            'turning-chain = "end"',
            TURNED.replace(", ch 1, turn", ", turn").replace("Sc in", "Ch 1, sc in"),
            "The house tells turning chains before the turn.",
        ),
    ],
)
def test_labels_and_turning_chains_stand_where_the_house_wants_them(
    wish: str, text: str, said: str
) -> None:
    told = [each.message for each in found(text, f"[rules.house-marks]\n{wish}\n", "house-marks")]
    assert told == ([said] if said else [])


def test_what_the_house_prints_otherwise_shows_the_words_as_they_would_be() -> None:
    rows = "Rnds 2-3: Sc in each st. (6)\nRnds 4-5: Sc in each st. (6)\n"
    text = f"Size: 4 inches (10 cm) wide\n\n{rows}"
    house = '[tidy]\nrange = "to"\ninches = "in"\n'
    told = found(text, house, "house-print")
    assert sorted(each.message for each in told) == [
        "The house writes “4 in”, not “4 inches”.",
        "The house writes “Rnds 2 to 3:”, not “Rnds 2-3:”, in 2 places.",
    ]
    assert found(text, house + '[rules]\nhouse-print = "off"\n', "house-print") == []
