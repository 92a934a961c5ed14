"""The rules on measures, construction, completeness and cautions."""

from __future__ import annotations

import os
from functools import cache
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import proofhook
from proofhook.proofing import Finding, Grade
from proofhook.proofing.house import House
from proofhook.proofing.plugins import load_rules
from proofhook.proofing.rule import ProofContext
from proofhook.proofing.sheets import house_of
from proofhook.text import apply_edits, decode

NAMES = frozenset(
    """hook-size hook-incomplete yarn-weight unit-pair unit-missing gauge-size size-values
    size-order row-or-round join-unsaid special-unexplained hook-unused marker-forgotten
    word-slip level-word section-missing material-missing material-unused yarn-amount
    ending-missing ends-loose piece-unattached piece-number tail-missing placeholder
    caution-missing""".split()
)
RULES = [rule for rule in load_rules() if rule.name in NAMES]

ROUND = "\n\nRnd 1: 6 sc in a magic ring. (6)\n"
FOLDERS = [
    Path(__file__).parent.parent / "fixtures",
    *(Path(name) for name in [os.environ.get("PROOFHOOK_OPEN_PATTERNS", "")] if name),
]
FILES = sorted(path for folder in FOLDERS for path in folder.rglob("*.txt"))

COMPLETE = """\
TICKET WALLET

Level: Easy
Terms: US

Finished size: 10 cm (4 in) wide and 8 cm (3 1/4 in) tall

Materials
DK weight cotton (category 3), 50 g / 120 m (131 yd): 1 ball
4 mm hook (US G-6, UK 8)
Yarn needle
1 button

Gauge: 20 sc and 22 rows = 10 cm (4 in)

Abbreviations
ch: chain
sc: single crochet
st(s): stitch(es)

Notes: Ch 1 does not count as a st.

FRONT
Ch 21.
Row 1: Sc in 2nd ch from hook and in each ch across, turn. (20 sc)
Rows 2-18: Ch 1, sc in each st across, turn. (20 sc)
Fasten off.

BACK
Ch 21.
Row 1: Sc in 2nd ch from hook and in each ch across, turn. (20 sc)
Rows 2-18: Ch 1, sc in each st across, turn. (20 sc)
Fasten off, leaving a 60 cm (24 in) tail.

FINISHING
Sew the front and the back together. Sew on the button. Weave in the ends.
"""


def found(text: str, rule: str, house: str = "") -> list[Finding]:
    done = proofhook.proof(proofhook.read(text), house_of(house))
    assert done.failures == ()
    return [finding for finding in done.findings if finding.rule == rule]


def all_found(text: str) -> list[Finding]:
    done = proofhook.proof(proofhook.read(text), house_of(""))
    return [finding for finding in done.findings if finding.rule in NAMES]


def run(source: str | bytes) -> None:
    """Run every check by itself, so that whatever it raises is seen."""
    pattern = proofhook.read(source) if isinstance(source, str) else None
    if pattern is None:
        from proofhook.reading import read

        assert isinstance(source, bytes)
        pattern = read(decode(source, "a file"))
    tally = proofhook.tally(pattern)
    for rule in RULES:
        context = ProofContext(pattern, tally, House(), rule, rule.grade, rule.defaults())
        for finding in rule.check(context):
            assert 0 <= finding.span.start <= finding.span.end <= len(pattern.source.text)
            assert finding.message.endswith((".", "?", "!"))


def test_all_rules_of_the_families_are_there() -> None:
    assert {rule.name for rule in RULES} == NAMES


def test_a_complete_pattern_has_no_finding() -> None:
    assert all_found(COMPLETE) == []


@pytest.mark.parametrize(
    ("rule", "was", "now"),
    [
        ("unit-pair", "(4 in) wide", "(5 in) wide"),
        ("hook-size", "US G-6", "US H-8"),
        ("hook-size", "UK 8", "UK 9"),
        ("yarn-weight", "category 3", "category 5"),
        ("hook-incomplete", "4 mm hook (US G-6, UK 8)", "Size G hook"),
        ("section-missing", "Gauge: 20 sc and 22 rows = 10 cm (4 in)\n", ""),
        ("section-missing", "Terms: US\n", ""),
        ("section-missing", "Level: Easy\n", ""),
        ("level-word", "Level: Easy", "Level: Fiddly"),
        ("placeholder", "20 sc and 22 rows = 10 cm (4 in)", "TBC"),
        ("placeholder", "1 ball", "XX balls"),
        ("material-missing", "Yarn needle\n", ""),
        ("material-unused", " Sew on the button.", ""),
        ("material-unused", "1 button", "1 button\nToy stuffing"),
        ("yarn-amount", ", 50 g / 120 m (131 yd): 1 ball", ""),
        ("ends-loose", " Weave in the ends.", ""),
        ("ending-missing", "Fasten off.\n\nBACK", "\nBACK"),
        ("word-slip", "Rows 2-18: Ch 1, sc in each", "Rows 2-18: Ch 1, sc in aech"),
        ("hook-unused", "UK 8)\n", "UK 8)\n5 mm hook (US H-8)\n6 mm hook (US J-10)\n"),
        ("caution-missing", "TICKET WALLET\n", "TICKET WALLET\nA toy to hang in the cot.\n"),
    ],
)
def test_one_slip_brings_one_finding(rule: str, was: str, now: str) -> None:
    assert was in COMPLETE
    text = COMPLETE.replace(was, now, 1)
    assert [finding.rule for finding in all_found(text) if finding.rule == rule]


@pytest.mark.parametrize(
    "words",
    [
        "10 cm (4 in)", "61 (66, 71) cm / 24 (26, 28) in", "50 g (1.75 oz)", "8 cm (3\u00bc in)",
        "150 m (164 yd)", "100 g / 190 m (208 yd)", "30 cm (12 in)", "6 mm (\u00bc in)",
    ],
)  # fmt: skip
def test_units_that_agree_are_left_alone(words: str) -> None:
    assert found(f"Finished size: {words}{ROUND}", "unit-pair") == []


@pytest.mark.parametrize(
    "words",
    ["20 cm (6 in)", "61 (66, 71) cm / 24 (30, 28) in", "50 g (3 oz)", "100 m (80 yd)"],
)
def test_units_that_disagree_are_found(words: str) -> None:
    (finding,) = found(f"Finished size: {words}{ROUND}", "unit-pair")
    assert finding.grade is Grade.ERROR


def test_either_unit_may_be_written_after_the_other() -> None:
    text = f"Finished size: 8 in (15 cm) across{ROUND}"
    (finding,) = found(text, "unit-pair")
    texts = [apply_edits(text, mend.edits) for mend in finding.mends]
    assert [each.split("\n")[0] for each in texts] == [
        "Finished size: 8 in (20 cm) across",
        "Finished size: 6 in (15 cm) across",
    ]
    assert not any(mend.sure for mend in finding.mends)


@pytest.mark.parametrize(
    "words",
    [
        "4.5 mm hook (US 7, UK 7)", "1.5 mm steel hook (US 7)", "Hook: 3.5 mm (US E-4, UK 9)",
        "9 mm hook (US M/N-13)", "hook size K-10 1/2 (6.5 mm)", "US I/9 5.5 mm hook",
        "3.5 mm hook, 6 mm eyes", "4.25 mm hook (G)",
    ],
)  # fmt: skip
def test_every_printed_label_of_a_hook_is_accepted(words: str) -> None:
    assert found(f"Materials: {words}{ROUND}", "hook-size") == []


@pytest.mark.parametrize(
    "words", ["5 mm hook (US G-6)", "hook size G-6 (4.5 mm)", "4 mm (UK 9) hook"]
)
def test_a_label_of_another_size_is_found(words: str) -> None:
    (finding,) = found(f"Materials: {words}{ROUND}", "hook-size")
    assert "not" in finding.message
    assert "mm" in finding.working


def test_a_house_may_want_labels_beside_the_millimetres() -> None:
    text = f"Materials: wool, 4 mm hook{ROUND}"
    assert found(text, "hook-incomplete") == []
    (finding,) = found(text, "hook-incomplete", "[rules.hook-incomplete]\nlabels = true\n")
    assert "G-6" in finding.message


TOY = """\
Notes: Work in a spiral.

HEAD (make 1)
Rnd 1: 6 sc in a magic ring. (6)
Rnd 2: 2 sc in each st around. (12)
Fasten off.

EARS (make 2)
Rnd 1: 6 sc in a magic ring. (6)
Fasten off, leaving a long tail.

NOSE (make 1)
Rnd 1: 6 sc in a magic ring. (6)
Fasten off, leaving a long tail.

MAKING UP
Sew the ears and the nose to the head. Weave in the ends.
"""


LAST_PIECE = TOY[TOY.index("NOSE") : TOY.index("MAKING")]


@pytest.mark.parametrize(
    ("rule", "was", "now"),
    [
        ("piece-unattached", "ears and the nose", "ears"),
        ("piece-number", "the ears", "three ears"),
        ("piece-number", "head. Weave", "head. Sew the beak to the head. Weave"),
        ("tail-missing", LAST_PIECE, LAST_PIECE.replace(", leaving a long tail", "")),
        ("ending-missing", "Fasten off.\n", ""),
    ],
)  # fmt: skip
def test_pieces_are_counted_and_put_together(rule: str, was: str, now: str) -> None:
    assert found(TOY, rule) == []
    (finding,) = found(TOY.replace(was, now, 1), rule)
    assert finding.message


def test_a_part_that_goes_on_from_the_last_needs_no_ending() -> None:
    text = TOY.replace("Fasten off.\n\nEARS (make 2)\nRnd 1: 6 sc in a magic ring. (6)",
                       "\nEARS\nRnd 3: Sc in each st around. (12)", 1)  # fmt: skip
    assert found(text, "ending-missing") == []


def test_uk_patterns_are_read_as_well() -> None:
    text = COMPLETE.replace("single crochet", "double crochet").replace("US\n", "UK\n")
    text = text.replace("sc", "dc").replace("Sc", "Dc")
    assert all_found(text) == []
    assert found(text.replace("(4 in) wide", "(5 in) wide"), "unit-pair")


def test_a_caution_reminds_and_defers() -> None:
    text = f"A toy owl. Materials: 2 safety eyes, 4 mm hook{ROUND}"
    (finding,) = found(text, "caution-missing")
    assert finding.grade is Grade.QUERY
    assert "qualified advice" in finding.working
    assert found(text + "\nCAUTION\nNot for children under 3.\n", "caution-missing") == []


def test_each_section_may_be_switched_off() -> None:
    text = f"Notes: Work in a spiral.{ROUND}"
    (finding,) = found(text, "section-missing")
    assert "gauge" in finding.message
    wishes = "".join(
        f"{kind} = false\n"
        for kind in (
            "title",
            "level",
            "terms",
            "size",
            "materials",
            "gauge",
            "abbreviations",
            "finishing",
        )
    )
    assert found(text, "section-missing", "[rules.section-missing]\n" + wishes) == []


def test_rows_by_themselves_bring_no_queries() -> None:
    rows = "Rnd 1: 6 sc in a magic ring. (6)\nRnd 2: 2 sc in each st around. (12)\n"
    assert all_found(rows) == []


SIZED = """\
Sizes: S (M, L)

Ch 13 (15, 17).
Row 1: Sc in 2nd ch from hook and in each ch across, turn. (12 (14, 16) sc)
"""


@pytest.mark.parametrize("rest", ["Row 2: Ch 1, sc in next 12 (14, 16) sts, turn.\n", ""])
def test_lists_of_the_right_length_pass(rest: str) -> None:
    assert found(SIZED + rest, "size-values") == []


def test_a_list_with_a_figure_too_many_is_found() -> None:
    (finding,) = found(
        SIZED + "Row 2: Ch 1, sc in next 12 (14, 16, 18) sts, turn.\n", "size-values"
    )
    assert "4 figures for 3 sizes" in finding.working


@cache
def raw(path: Path) -> bytes:
    return path.read_bytes()


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.name)
def test_no_rule_raises_on_any_file(path: Path) -> None:
    run(raw(path))


PARTS = st.sampled_from(
    [
        *(*COMPLETE.split(), *TOY.split()),
        *("\n", "\n\n", "(", ")", "[", "]", "/", "mm", "hook", "Materials:", "Sizes: S (M, L)"),
        *("12 (14, 16)", "1/0 in", "0 cm", "(0 in)", "US", "size 7", "TODO", "XX", "\u00bd"),
        *("Gauge: 0 sts = 0 cm", "Finished size:", "Row 1:", "Rnd 2:", "make 0", "s c"),
        *("sew the ears to", "puff st"),
    ]
)


@settings(max_examples=60, deadline=None)
@given(st.lists(PARTS, max_size=60).map(" ".join))
def test_no_rule_raises_on_words_of_patterns(text: str) -> None:
    run(text)


@settings(max_examples=40, deadline=None)
@given(st.text(st.characters(exclude_categories=["Cs", "Co"]), max_size=200))
def test_no_rule_raises_on_any_text(text: str) -> None:
    run(text)
