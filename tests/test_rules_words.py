"""The rules about abbreviations and terms."""

from __future__ import annotations

import pytest

import proofhook
from proofhook.proofing import Finding, Grade
from proofhook.proofing.house import House, RuleSetting
from proofhook.text import apply_edits

US_LIST = "US terms are used.\n\nAbbreviations\nch: chain\nsc: single crochet\nst: stitch\n"
UK_LIST = "UK terms are used.\n\nAbbreviations\nch: chain\ndc: double crochet\nst: stitch\n"


def found(text: str, rule: str, **options: bool | tuple[str, ...]) -> list[Finding]:
    house = House(rules={rule: RuleSetting(options=options)}) if options else House()
    done = proofhook.proof(proofhook.read(text), house)
    assert done.failures == ()
    return [finding for finding in done.findings if finding.rule == rule]


def words(text: str, findings: list[Finding]) -> list[str]:
    return [text[f.span.start : f.span.end] for f in findings]


@pytest.mark.parametrize("listed", [US_LIST, UK_LIST])
@pytest.mark.parametrize(
    ("row", "missing"),
    [
        ("Rnd 1: 6 {0} in a magic ring, join with sl st to first st. (6)", ["sl st"]),
        ("Rnd 1: 6 {0} in a magic ring. (6)\nRnd 2: ({0}2tog) 3 times. (3)", ["{0}2tog"]),
        ("Rnd 1: 6 {0} in a magic ring. (6)\nRnd 2: BLO, 2 {0} in each st. (12)", ["BLO"]),
        ("Rnd 1: 6 {0} in a magic ring. (6)\nRnd 2: Inc in each st. (12)", ["Inc"]),
        ("Rnd 1: 6 {0} in a magic ring. (6)\nRnd 2: 2 {0} in each st around. (12)", []),
    ],
)
def test_what_the_list_leaves_out_is_told_once(listed: str, row: str, missing: list[str]) -> None:
    stitch = "sc" if listed is US_LIST else "dc"
    text = f"{listed}\n{row.format(stitch)}\nRnd 9: {row.format(stitch)[7:]}\n"
    told = found(text, "abbreviation-unexplained")
    assert words(text, told) == [word.format(stitch) for word in missing]
    assert all(finding.grade is Grade.ERROR for finding in told)


@pytest.mark.parametrize(
    "said",
    [
        "Abbreviations\nch: chain\nsc: single crochet\nst: stitch\nsl st: slip stitch\n",
        "Abbreviations\nch: chain\nsc: single crochet\nst: stitch\nss / sl st: slip stitch\n",
        "Abbreviations: ch - chain; sc - single crochet; st - stitch; ss - slip stitch.\n",
        US_LIST + "\nNotes\nJoin with a slip stitch (sl st).\n",
    ],
)
def test_what_is_explained_anywhere_in_any_form_is_explained(said: str) -> None:
    text = f"{said}\nRnd 1: 6 sc in a magic ring, join with sl st to first st. (6)\n"
    assert found(text, "abbreviation-unexplained") == []


def test_without_a_list_only_strange_abbreviations_are_told() -> None:
    text = "Rnd 1: 6 sc in a magic ring, sl st to first st. (6)\nRnd 2: Grmf 2 in each st. (12)\n"
    assert words(text, found(text, "abbreviation-unexplained")) == ["Grmf"]


@pytest.mark.parametrize("word", ["ch", "chs", "sts", "sl st", "cm", "dtr"])
def test_unread_words_of_the_trade_are_not_strange(word: str) -> None:
    text = f"Rnd 1: 6 sc in a magic ring. (6)\nRnd 2: Frumble the {word} grumble. (12)\n"
    assert found(text, "abbreviation-unexplained") == []


def test_the_house_says_what_its_makers_know() -> None:
    text = f"{US_LIST}\nRnd 1: 6 sc in a magic ring, sl st to first st. (6)\n"
    assert found(text, "abbreviation-unexplained", known=("sl st",)) == []


@pytest.mark.parametrize("newline", ["\n", "\r\n"])
def test_the_entry_offered_takes_the_form_of_the_list(newline: str) -> None:
    text = f"{US_LIST}\nRnd 1: 6 sc in a magic ring, sl st to first st. (6)\n".replace(
        "\n", newline
    )
    (finding,) = found(text, "abbreviation-unexplained")
    (mend,) = finding.mends
    assert not mend.sure
    mended = apply_edits(text, mend.edits)
    assert f"st: stitch{newline}sl st: slip stitch{newline}" in mended
    assert found(mended, "abbreviation-unexplained") == []


def test_an_entry_nobody_uses_is_told_and_its_line_can_go() -> None:
    text = US_LIST.replace("st: stitch", "hdc: half double crochet\nst: stitch")
    text += "\nRnd 1: 6 sc in a magic ring. (6 sts)\nRnd 2: ch 1, sc in each st. (6)\n"
    (finding,) = found(text, "abbreviation-unused")
    assert words(text, [finding]) == ["hdc"]
    assert apply_edits(text, finding.mends[0].edits) == text.replace(
        "hdc: half double crochet\n", ""
    )


@pytest.mark.parametrize("use", ["FPsc around next st", "sc2tog", "sc in each st", "join, sl st"])
def test_a_part_of_a_stitch_is_used(use: str) -> None:
    listed = "Abbreviations\nFP: front post\ntog: together\nsl st: slip stitch\nsts: stitches\n"
    text = (
        f"{listed}\nRow 1: Ch 7, sc in 2nd ch from hook and in each ch across. (6)\nRow 2: {use}."
    )
    unused = words(text, found(text, "abbreviation-unused"))
    used = {"FPsc": "FP", "sc2tog": "tog", "sc in": "sts", "join": "sl st"}
    assert next(name for start, name in used.items() if use.startswith(start)) not in unused
    assert len(unused) >= 2


def test_two_meanings_clash_and_one_meaning_put_twice_does_not() -> None:
    listed = US_LIST + "pc: popcorn\npc: picot of 3 chains\n"
    row = "\nRnd 1: 6 sc in a magic ring. (6)\n"
    (finding,) = found(listed + row, "abbreviation-clash")
    assert "“pc” is explained twice" in finding.message
    assert (
        found(listed.replace("picot of 3 chains", "popcorn stitch") + row, "abbreviation-clash")
        == []
    )


@pytest.mark.parametrize(
    ("row", "mended"),
    [
        ("sl st in next st, sl st in next 2 sts, ss in last st", "sl st in last st"),
        ("sc in next 3 sts, sc in next stitch, sc in each of last 2 stitches", "sc in next st, sc"),
        ("rep Rnd 1 once; Rpt rnd 1 again, rep rnd 1", "Rep rnd 1 again"),
    ],
)
def test_the_rarer_form_is_mended_to_the_most_used(row: str, mended: str) -> None:
    text = f"Rnd 1: 6 sc in a magic ring. (6 sts)\nRnd 2: {row}.\n"
    (finding,) = found(text, "abbreviation-variants")
    (mend,) = finding.mends
    assert mend.sure
    after = apply_edits(text, mend.edits)
    assert mended in after
    assert found(after, "abbreviation-variants") == []


@pytest.mark.parametrize(
    "row",
    ["slip stitch in next st", "move the stitch marker to the last st", "puff stitch in next st"],
)
def test_stitch_names_and_markers_are_no_variants(row: str) -> None:
    text = f"Rnd 1: 6 sc in a magic ring. (6 sts)\nRnd 2: {row}.\n"
    assert found(text, "abbreviation-variants") == []


def test_the_form_of_the_house_goes_first() -> None:
    text = "Rnd 1: 6 sc in a magic ring. (6)\nRnds 2-4: Sc in each st. (6)\n"
    (finding,) = found(text, "abbreviation-variants", prefer=("round",))
    after = apply_edits(text, finding.mends[0].edits)
    assert after.startswith("Round 1:")
    assert "Rounds 2-4:" in after


def test_terms_are_asked_for_where_nothing_tells_the_side() -> None:
    row = "Row 1: Ch 12, dc in 4th ch from hook and in each ch across. (10)\n"
    assert len(found(row, "terms-unstated")) == 1
    assert found("UK terms\n\n" + row, "terms-unstated") == []
    clear = "Row 1: Ch 12, sc in 2nd ch from hook and in each ch across. (11)\n"
    assert found(clear, "terms-unstated") == []
    (finding,) = found(clear, "terms-unstated", **{"even-where-clear": True})
    assert "“sc” points to US terms" in finding.working


@pytest.mark.parametrize(
    ("stated", "row", "odd"),
    [
        ("US terms", "htr in each st across", "htr"),
        ("UK terms", "hdc in each st across", "hdc"),
        ("UK terms", "htr in each st across", None),
        ("US terms", "hdc in each st across", None),
    ],
)
def test_a_word_of_the_other_country_is_told(stated: str, row: str, odd: str | None) -> None:
    text = f"{stated}\n\nRow 1: Ch 12, dc in 4th ch from hook and in each ch across. (10)\n"
    text += f"Row 2: {row}.\n"
    told = found(text, "terms-mixed")
    assert words(text, told) == ([odd] if odd else [])
    assert all("terms" in finding.message for finding in told)


def test_a_total_settles_how_often_a_repeat_is_meant() -> None:
    first = "Rnd 1: 6 sc in a magic ring. (6)\nRnd 2: *2 sc in next st; rep from * 5 times."
    (finding,) = found(first, "count-ambiguous")
    assert "may mean 5 or 6 times in all" in finding.message
    assert found(first + " (12)", "count-ambiguous") == []
    mended = apply_edits(first, finding.mends[0].edits)
    assert mended.endswith("rep from * 5 more times.")
    assert found(mended, "count-ambiguous") == []
