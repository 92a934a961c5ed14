"""Rules for first chains, multiples, circles, meanings, full lists and print."""

from __future__ import annotations

import os
from functools import cache
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import proofhook
from proofhook.proofing import Finding
from proofhook.proofing.house import House, RuleSetting
from proofhook.proofing.mending import mend_surely
from proofhook.proofing.plugins import load_rules
from proofhook.proofing.proof import Proof, proof
from proofhook.proofing.sheets import house_of
from proofhook.text import apply_edits

RULES = load_rules()
BY_NAME = {rule.name: rule for rule in RULES}


def proofed(text: str, rules: str = "", house: str = "") -> Proof:
    pattern = proofhook.read(text)
    wanted = [BY_NAME[name] for name in rules.split()] or RULES
    done = proof(pattern, proofhook.tally(pattern), house_of(house), wanted)
    assert done.failures == ()
    return done


def found(text: str, rule: str, house: str = "") -> list[Finding]:
    return list(proofed(text, rule, house).findings)


@pytest.mark.parametrize(
    ("terms", "row", "flagged"),
    [
        ("US", "dc in 2nd ch from hook and in each ch across", True),
        ("US", "dc in 3rd ch from hook and in each ch across", False),
        ("US", "dc in 4th ch from hook and in each ch across", False),
        ("US", "dc in 7th ch from hook and in each ch across", True),
        ("US", "sc in 2nd ch from hook and in each ch across", False),
        ("US", "sc in 5th ch from hook and in each ch across", True),
        ("US", "hdc in 2nd ch from hook and in each ch across", False),
        ("US", "tr in 4th ch from hook and in each ch across", False),
        ("UK", "dc in 2nd ch from hook and in each ch across", False),
        ("UK", "dc in 4th ch from hook and in each ch across", True),
        ("UK", "tr in 2nd ch from hook and in each ch across", True),
        ("UK", "tr in 4th ch from hook and in each ch across", False),
        # Lace begins where it will.
        ("US", "dc in 8th ch from hook, *ch 2, sk 2 ch, dc in next ch; rep from * across", False),
    ],
)
def test_the_chain_of_the_first_stitch(terms: str, row: str, flagged: bool) -> None:
    text = f"{terms} terms.\n\nCh 26.\nRow 1: {row[0].upper()}{row[1:]}.\n"
    assert bool(found(text, "start-chain")) is flagged


def test_the_working_of_a_first_chain_gives_the_figures_of_the_formula() -> None:
    text = "US terms.\n\nCh 26.\nRow 1: Dc in 2nd ch from hook and in each ch across. (25 dc)\n"
    [finding] = found(text, "start-chain")
    assert finding.working == (
        "26 chains with the first dc in the 4th make 24 sts; for 25 sts 27 chains are needed."
    )


@pytest.mark.parametrize(
    ("note", "chains", "flagged"),
    [
        ("a multiple of 6 sts + 1", 25, False),  # 24 sts, and 1 for turning: as stitches
        ("a multiple of 6 sts", 25, False),
        ("a multiple of 6 + 1", 26, False),
        ("a multiple of 6 + 1 (add 1 for the foundation chain)", 26, False),
        ("a multiple of 6 plus 3 stitches", 24, True),
        ("a multiple of 10", 26, True),
    ],
)
def test_the_multiple_of_the_first_chain(note: str, chains: int, flagged: bool) -> None:
    text = (
        f"Notes: the stitch pattern is {note}.\n\n"
        f"Row 1: Ch {chains}, sc in 2nd ch from hook and in each ch across.\n"
    )
    assert bool(found(text, "stitch-multiple")) is flagged


def circle(stitch: str, begins: int, name: str, terms: str = "US") -> str:
    lines = [f"{terms} terms.", "", name, f"Rnd 1: {begins} {stitch} in a magic ring. ({begins})"]
    lines.append(f"Rnd 2: 2 {stitch} in each st around. ({2 * begins})")
    for number in range(3, 7):
        plain = f"{stitch} in next {number - 2} sts" if number > 3 else f"{stitch} in next st"
        total = number * begins
        lines.append(f"Rnd {number}: ({plain}, 2 {stitch} in next st) {begins} times. ({total})")
    return "\n".join(lines) + "\n"


@pytest.mark.parametrize(
    ("stitch", "begins", "name", "terms", "flagged"),
    [
        ("sc", 6, "MAT", "US", False),
        ("sc", 7, "MAT", "US", False),
        ("sc", 12, "MAT", "US", True),
        ("sc", 4, "BASE", "US", True),
        ("sc", 4, "HAT", "US", False),
        ("dc", 12, "COASTER", "US", False),
        ("dc", 6, "COASTER", "US", True),
        ("dc", 6, "COASTER", "UK", False),
        ("tr", 12, "COASTER", "UK", False),
    ],
)
def test_circles_that_are_to_lie_flat(
    stitch: str, begins: int, name: str, terms: str, flagged: bool
) -> None:
    assert bool(found(circle(stitch, begins, name, terms), "circle-flat")) is flagged


@pytest.mark.parametrize(
    ("entry", "flagged"),
    [
        ("hdc: half double crochet", False),
        ("hdc: double crochet", True),
        ("dtr: treble crochet", True),
        ("dc: double crochet (UK treble)", False),
        ("tr: triple crochet", False),
        ("sc2tog: single crochet 2 together", False),
        ("sc2tog: single crochet 3 stitches together", True),
        ("htr: half treble crochet", False),
        ("dc: treble", True),
        ("5-dc shell: 5 dc in the same st", False),
        ("5-dc shell: 6 dc in the same st", True),
        ("3-dc cluster: (yo, insert hook, draw up a loop, draw through 2 loops) 3 times", False),
        ("3-dc cluster: (yo, insert hook, draw up a loop, draw through 2 loops) 5 times", True),
        ("dec: work two stitches together", False),
        ("sk: skip", False),
    ],
)
def test_names_and_what_they_are_explained_as(entry: str, flagged: bool) -> None:
    text = f"Abbreviations\nch: chain\n{entry}\nst: stitch\n\nRnd 1: 6 sc in a magic ring. (6)\n"
    assert bool(found(text, "stitch-meaning")) is flagged


@pytest.mark.parametrize(
    ("words", "each", "in_all"),
    [
        ("3 sc in next 3 sts", "sc in each of next 3 sts", "3 sc in each of next 3 sts"),
        ("2 tr into the next 2 tr", "tr into each of next 2 tr", "2 tr into each of next 2 tr"),
    ],
)
def test_each_or_in_all(words: str, each: str, in_all: str) -> None:
    text = f"Rnd 1: 12 sc in a magic ring. (12)\nRnd 2: {words}, sc in each st around.\n"
    [finding] = found(text, "count-ambiguous")
    mended = [apply_edits(text, mend.edits) for mend in finding.mends]
    assert mended == [text.replace(words, each), text.replace(words, in_all)]
    for done in mended:
        assert found(done, "count-ambiguous") == []


@pytest.mark.parametrize(
    "words", ["2 sc", "2 sc in next st", "3 sc in each of next 3 sts", "sc in next 3 sts"]
)
def test_wordings_that_can_be_taken_one_way(words: str) -> None:
    text = f"Rnd 1: 12 sc in a magic ring. (12)\nRnd 2: {words}, sc in each st around.\n"
    assert found(text, "count-ambiguous") == []


def test_a_total_settles_it_unless_the_house_wants_plain_words() -> None:
    text = "Rnd 1: 12 sc in a magic ring. (12)\nRnd 2: 3 sc in next 3 sts, sc in next 9 sts. (12)\n"
    assert found(text, "count-ambiguous") == []
    strict = "[rules.count-ambiguous]\neven-with-total = true\n"
    assert len(found(text, "count-ambiguous", strict)) == 1


@pytest.mark.parametrize(
    ("row", "meant"),
    [
        ("Cs in each st around", ""),
        ("2 cs in each st around", "sc"),
        ("cs in each st around", "sc"),
        ("sc in each ts around", "st"),
        ("hc 1, sc in each st around", "ch"),
        ("ks next st, sc in each st around", "sk"),
        ("2 cd in each st around", "dc"),
    ],
)
def test_two_letters_that_are_changed_about(row: str, meant: str) -> None:
    text = f"Rnd 1: 6 sc in a magic ring. (6)\nRnd 2: {row}.\n"
    told = [finding.message for finding in found(text, "word-slip")]
    assert [f"“{meant}”" in message for message in told] == ([True] if meant else [])


def test_two_letters_that_the_pattern_explains_are_no_slip() -> None:
    text = "Rnd 1: 6 sc in a magic ring. (6)\nRnd 2: 2 cs in each st around.\n"
    text = f"Special stitches\ncs = cushion stitch\n\n{text}"
    assert found(text, "word-slip") == []


COLOURS = """
Materials
Yarn A: 20 g of red wool
Yarn B: 20 g of blue wool
4 mm hook (H-8)

Rnd 1: With A, 6 sc in a magic ring. (6)
Rnd 2: With B, 2 sc in each st around. (12)
"""


def test_colours_are_called_by_the_letters_of_the_materials() -> None:
    rules = "material-missing material-unused"
    assert proofed(COLOURS, rules).findings == ()
    missing = proofed(COLOURS.replace("With B", "Join D"), rules).findings
    assert [finding.message for finding in missing] == [
        "“B” is listed and never used.", "Colour D is not in the materials.",
    ]  # fmt: skip


def test_one_letter_alone_is_no_list_of_colours() -> None:
    text = COLOURS.replace("Yarn B: 20 g of blue wool\n", "")
    assert proofed(text, "material-missing material-unused").findings == ()


@pytest.mark.parametrize(
    ("label", "flagged"),
    [
        ("Rnds 2-5 (4 rnds)", False),
        ("Rnds 2-5 (3 rnds)", True),
        ("Rnds 2–5 [5 rounds]", True),
        ("Rnds 2-5", False),
    ],
)
def test_a_range_that_says_how_many_rounds_it_is(label: str, flagged: bool) -> None:
    text = f"Rnd 1: 6 sc in a magic ring. (6)\n{label}: Sc in each st around. (6)\n"
    assert bool(found(text, "row-order")) is flagged


@pytest.mark.parametrize(
    ("gauge", "lacks"),
    [
        ("20 sc and 22 rows = 10 cm", ""),
        ("20 sc = 10 cm", "how many rows or rounds"),
        ("20 sc and 22 rows", "over what length it is"),
        ("not important", ""),
        ("20 sc; it does not matter", ""),
        ("Rounds 1-3 measure 5 cm across", ""),
    ],
)
def test_what_a_gauge_must_say(gauge: str, lacks: str) -> None:
    text = f"Gauge: {gauge}\n\nRnd 1: 6 sc in a magic ring. (6)\n"
    told = [finding.message for finding in found(text, "gauge-incomplete")]
    assert told == ([f"The gauge does not say {lacks}."] if lacks else [])


@pytest.mark.parametrize(
    ("line", "lacks"),
    [
        ("\u00a9 2024 Juniper Lindqvist", ""),
        ("(c) Juniper Lindqvist", "the year"),
        ("Copyright 2024", "a name"),
        ("Copyright. All rights reserved.", "the year or a name"),
        ("Copyright law protects it.", ""),
    ],
)
def test_what_a_copyright_line_must_say(line: str, lacks: str) -> None:
    text = f"{line}\n\nRnd 1: 6 sc in a magic ring. (6)\n"
    told = [finding.message for finding in found(text, "copyright-line")]
    assert told == ([f"The copyright line does not give {lacks}."] if lacks else [])


@pytest.mark.parametrize(
    ("level", "house", "told"),
    [
        ("Easy", "", ""),
        ("Beginner", "", ""),
        ("Beginner", "current", "“Beginner” is not one of the current skill levels."),
        ("Basic", "current", ""),
        ("Basic", "older", "“Basic” is not one of the older skill levels."),
        ("Fiddly", "", "“Fiddly” is not one of the usual skill levels."),
        ("Advanced", "", ("“Advanced” is not one of the Craft Yarn Council's levels, "
         "though it is often seen.")),
    ],
)  # fmt: skip
def test_skill_levels(level: str, house: str, told: str) -> None:
    sheet = f'[rules.level-word]\nset = "{house}"\n' if house else ""
    text = f"Level: {level}\n\nRnd 1: 6 sc in a magic ring. (6)\n"
    messages = [finding.message for finding in found(text, "level-word", sheet)]
    assert messages == ([told] if told else [])


LISTED = "Abbreviations\nch: chain\nst: stitch\ninc: increase\n\nRnd 1: 6 sc in a magic ring. (6)\n"


def test_standard_abbreviations_may_pass_without_an_entry() -> None:
    assert len(found(LISTED, "abbreviation-unexplained")) == 1
    sheet = "[rules.abbreviation-unexplained]\nstandard-known = true\n"
    assert found(LISTED, "abbreviation-unexplained", sheet) == []
    # One that has two meanings does not pass.
    two = LISTED.replace("6 sc", "6 dc")
    [finding] = found(two, "abbreviation-unexplained", sheet)
    assert finding.working == "It stands for US double crochet or UK double crochet = US sc."


def test_a_house_may_want_both_units() -> None:
    text = "Finished size: 10 cm across\n\nRnd 1: 6 sc in a magic ring. (6)\n"
    assert found(text, "unit-missing") == []
    sheet = "[rules.unit-missing]\nboth = true\n"
    [finding] = found(text, "unit-missing", sheet)
    assert finding.message == "The size is not given in inches."
    assert found(text.replace("10 cm", "10 cm (4 in)"), "unit-missing", sheet) == []


PRINT = """
Size: 4" across and 2 inches high.

Rnd 1: 6 sc in a magic ring. (6)
Rnds 2 to 3: sc in each st around (6)
Rnds 4-5: Sc in each st around (6).
"""


@pytest.mark.parametrize(
    ("wish", "was", "now"),
    [
        ('after-label = "capital"', ": sc", ": Sc"),
        ('after-label = "small"', ": Sc", ": sc"),
        ('row-end = "full-stop"', "(6)\n", "(6).\n"),
        ('range = "en-dash"', None, None),
        ('range = "to"', "4-5", "4 to 5"),
        ('inches = "in"', None, None),
    ],
)
def test_print_is_mended_throughout(wish: str, was: str | None, now: str | None) -> None:
    sheet = f"[tidy]\n{wish}\n"
    before = proofed(PRINT, "house-print", sheet)
    assert len(before.findings) == 1
    after = mend_surely(before, [BY_NAME["house-print"]])
    assert after.findings == ()
    if was is not None and now is not None:
        assert after.pattern.source.text == PRINT.replace(was, now)
    assert [row.worked for row in after.tally.rows] == [row.worked for row in before.tally.rows]


def test_nested_brackets_of_one_kind_are_told_where_the_house_wants_that() -> None:
    row = "Rnd 2: ((Sc in next st, 2 sc in next st) 3 times) once. (9)"
    text = f"Rnd 1: 6 sc in a magic ring. (6)\n{row}\n"
    assert found(text, "house-marks") == []
    sheet = "[rules.house-marks]\nnested = true\n"
    assert len(found(text, "house-marks", sheet)) == 1
    assert found(text.replace("((", "[(").replace("times)", "times]"), "house-marks", sheet) == []


#: A house that asks for everything that can be asked for.
STRICT = House(
    rules={
        rule.name: RuleSetting(
            options={
                option.name: option.choices[-1] if option.choices else
                True if isinstance(option.default, bool) else option.default
                for option in rule.options
            }
        )
        for rule in RULES
    }
)  # fmt: skip
FOLDERS = [
    Path(__file__).parents[1] / "fixtures",
    *(Path(name) for name in [os.environ.get("PROOFHOOK_OPEN_PATTERNS", "")] if name),
]
FILES = sorted(p for folder in FOLDERS for end in ("*.txt", "*.md") for p in folder.rglob(end))


def strictly(text: str) -> None:
    pattern = proofhook.read(text)
    assert proof(pattern, proofhook.tally(pattern), STRICT, RULES).failures == ()


@cache
def words_of_patterns() -> tuple[str, ...]:
    folder = Path(__file__).parents[1] / "fixtures" / "defects" / "clean"
    texts = [path.read_text("utf-8") for path in sorted(folder.iterdir())]
    return tuple(dict.fromkeys(word for text in texts for word in text.split(" ")))


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.name)
def test_no_rule_raises_on_any_file_in_a_strict_house(path: Path) -> None:
    strictly(path.read_text("utf-8", errors="replace"))


@settings(max_examples=60, deadline=None)
@given(st.data())
def test_no_rule_raises_on_words_of_patterns(data: st.DataObject) -> None:
    words = data.draw(st.lists(st.sampled_from(words_of_patterns()), max_size=60))
    strictly(" ".join(words))


@settings(max_examples=40, deadline=None)
@given(st.text(st.characters(exclude_categories=["Cs", "Co"]), max_size=200))
def test_no_rule_raises_on_any_text(text: str) -> None:
    strictly(text)
