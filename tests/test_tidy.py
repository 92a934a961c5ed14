"""Tidying: what a house may choose, and that nothing but layout is touched."""

from __future__ import annotations

from itertools import pairwise
from pathlib import Path

import pytest

from proofhook.cli import main
from proofhook.proofing import Finding, Grade, ProofContext, Rule
from proofhook.proofing.house import House, HouseError, read_house
from proofhook.proofing.sheets import house_of
from proofhook.text import Edit, Span, apply_edits
from proofhook.tidying.families import Family, edits_of
from proofhook.tidying.page import Page
from proofhook.tidying.settings import AS_WRITTEN, SETTINGS, style_of
from proofhook.tidying.tidy import tidied
from tidying import house_with, read_text, tidy

HEAD = "LEEK\n\n"
ROUND = "Rnd 1: 6 sc in a magic ring. (6)\n"


@pytest.mark.parametrize(
    ("setting", "value", "row"),
    [
        ("commas", "spaced", "Row 2: Ch 1,200, turn"),
        ("label-end", "full-stop", "2nd rnd: Sc in each st around. (6)"),
        ("after-label", "small", "Rnd 2: BLO sc in each st around. (6)"),
        ("range", "en-dash", "Rnds 2 and 3: Sc in each st around. (6)"),
        ("total", "dash", "Rnd 2: Inc in each st around. (12) Add the eyes."),
        ("total", "square", "Rnd 2: Inc around. You should have 12 sts."),
        ("total-place", "before-turn", "Row 2: Sc in each st across and turn. (6)"),
        ("repeat", "brackets", "Rnd 2: *Sc, inc; rep from * 3 times. (9)"),
        ("repeat", "brackets", "Rnd 2: *(Sc, ch 1) in next st; rep from * around. (6)"),
        ("round-label", "Rnd", "Next round: Inc in each st around. (12)"),
        ("times", "×", "Rnd 2: Sc in each st for 2 x 3 sts. (6)"),
        ("counts", "after", "Rnd 2: (2 sc, inc) x 2. (8)"),
        ("quotes", "curly", 'Row 2: Sc in each st for 4", turn. (6)'),
    ],
)
def test_what_may_mean_something_else_stays(setting: str, value: str, row: str) -> None:
    last = tidy(f"{HEAD}{ROUND}{row}\n", {setting: value}).splitlines()[-1]
    assert last == row


def test_the_usual_choices_change_what_nobody_would_miss() -> None:
    prose = "Some  prose,kept ."
    text = f"\n\nLEEK  \n\n\n\n{prose}\t\n\nRnd 1:  6 sc in a magic ring ,turn. (6)\n \n\n"
    assert tidy(text) == f"LEEK\n\n\n{prose}\n\nRnd 1: 6 sc in a magic ring, turn. (6)\n"


def test_a_house_may_want_nothing_changed() -> None:
    text = "LEEK  \n\n\n\nRnd 1:  6 sc in a magic ring ,turn. (6)"
    house = House(tidy=dict.fromkeys(SETTINGS, AS_WRITTEN))
    assert not tidied(read_text(text), house).changed


def test_two_blanks_that_break_a_line_in_markdown_stay() -> None:
    text = "LEEK\n\nOne line   \nand another  \n\nRnd 1: 6 sc in a magic ring. (6)  \n"
    kept = "LEEK\n\nOne line  \nand another\n\nRnd 1: 6 sc in a magic ring. (6)\n"
    assert tidy(text, path="leek.md") == kept
    assert tidy(text, path="leek.txt") == kept.replace("line  ", "line")


@pytest.mark.parametrize("newline", ["\n", "\r\n", "\r"])
def test_newlines_stay_as_they_are(newline: str) -> None:
    row = "Rnd 2: Inc in each st around, working loosely and with care. (12)"
    text = f"{HEAD}{ROUND}\n\n\n\n{row}".replace("\n", newline)
    wrapped = tidy(text, {"row-lines": "wrapped", "blank-lines": "one"}, width=40)
    assert wrapped == (
        f"{HEAD}{ROUND}\nRnd 2: Inc in each st around, working\n  loosely and with care. (12)\n"
    ).replace("\n", newline)
    assert tidy(wrapped, {"row-lines": "joined"}) == f"{HEAD}{ROUND}\n{row}\n".replace(
        "\n", newline
    )


@pytest.mark.parametrize("lines", ["joined", "wrapped"])
def test_layout_does_not_depend_on_the_old_one(lines: str) -> None:
    row = "Rnd 2: (Sc in next st, 2 sc in next st) 3 times, and put the marker up. (9)"
    broken = row.replace("times, ", "times,\n    ").replace("st, 2", "st,\n  2")
    one, other = (
        tidy(f"{HEAD}{ROUND}{each}\n", {"row-lines": lines}, width=50) for each in (row, broken)
    )
    assert one == other
    assert max(map(len, other.splitlines())) <= (50 if lines == "wrapped" else len(row))


def test_words_that_were_not_read_are_kept_byte_for_byte() -> None:
    strange = "follow  chart"
    text = f"{HEAD}{ROUND}Rnd 2: Sc  in next st, {strange}, sc in next st. (6)  \n"
    wanted = text.replace("Sc  in", "Sc in").replace("(6)  ", "(6)")
    assert strange in wanted
    for lines in (AS_WRITTEN, "joined", "wrapped"):
        assert tidy(text, {"row-lines": lines}, width=30).replace("\n  ", " ") == wanted


def test_prose_is_left_alone() -> None:
    prose = (
        "NOTES\nUse a  4mm hook for 'this' - it is the  best ; 3 1/2 in is \"enough\" for all\n"
        "and go on.   Never mind the ch 2 sp,the (sc, inc) x3 and sc 8.\n\n"
    )
    text = f"LEEK\n\n{prose}{ROUND}"
    for last in (0, -1):
        choices = {name: setting.choices[last] for name, setting in SETTINGS.items()}
        choices |= {"headings": AS_WRITTEN, "heading-end": "plain", "label-end": "colon"}
        choices |= {"row-end": AS_WRITTEN}
        assert tidy(text, choices) == text


def broken(old: str, new: str) -> Family:
    """A family of edits that changes what a pattern says."""

    def edits(page: Page) -> list[Edit]:
        at = page.text.find(old)
        return [Edit(at, at + len(old), new)] if at >= 0 else []

    return Family("blanks", lambda page: iter(edits(page)))


@pytest.mark.parametrize(
    ("old", "new", "told"),
    [
        ("6 sc", "7 sc", "blanks: LEEK, Rnd 1: the words “6 sc in a magic ring” became"),
        ("(6)", "(8)", "blanks: LEEK, Rnd 1: the total “(6)” became “(8)”"),
        ("Our own", "Their own", "Outside the rows, the word “our” would be lost or doubled."),
        ("LEEK", "LEEK LEEK", "Its rows are read otherwise each time they are laid out."),
    ],
)
def test_edits_that_say_something_else_are_refused_with_the_place(
    monkeypatch: pytest.MonkeyPatch, old: str, new: str, told: str
) -> None:
    before = read_text(f"LEEK\n\nNotes\nOur own.\n\n{ROUND}Rnd 2:  Inc around. (12)\n")
    monkeypatch.setattr("proofhook.tidying.tidy.FAMILIES", (broken(old, new),))
    done = tidied(before, House())
    assert done.after is before
    assert not done.changed
    assert told in done.reason


def test_a_finding_that_would_be_new_is_told() -> None:
    def check(context: ProofContext) -> list[Finding]:
        at = context.pattern.source.text.find("[6]")
        row = context.tally.rows[0]
        return [context.finding(Span(at, at + 3), "Not so.", row=row)] if at >= 0 else []

    before = read_text(HEAD + ROUND)
    house = house_with({"total": "square"})
    assert tidied(before, house, []).changed
    done = tidied(before, house, [Rule("no-squares", Grade.STYLE, check)])
    assert done.after is before
    assert done.reason == "LEEK, Rnd 1: Not so. (no-squares)"


def test_edits_never_overlap_and_the_first_family_goes_before() -> None:
    text = f"{HEAD}{ROUND}Rnd 2:  Inc around\n  ( 12 )\n"
    house = house_with({"total": "square", "row-lines": "joined"})
    edits = edits_of(Page(read_text(text), style_of(house)))
    assert len(edits) > 2
    assert all(one.end <= other.start for one, other in pairwise(edits))
    assert tidied(read_text(text), house).after.source.text.endswith("Rnd 2: Inc around [12]\n")


# --- the style sheet --------------------------------------------------------------------

SHEET = """\
[tidy]
range = "hyphen"

[[folders]]
in = ["toys"]

[folders.tidy]
range = "en-dash"
"""


def test_a_house_and_its_folders_have_their_own_choices() -> None:
    house = house_of(SHEET, "/kitchen/housestyle.toml")
    assert style_of(house).wish("range") == "hyphen"
    assert style_of(house.in_folder_of("/kitchen/toys/a.txt")).wish("range") == "en-dash"
    assert style_of(house).wish("blanks") == "single"
    assert style_of(house).wish("times") == ""
    assert house.places["tidy.range"] == "/kitchen/housestyle.toml:2"


def test_the_marks_of_the_house_are_chosen_in_one_place() -> None:
    sheet = '[rules.house-marks]\ntotal = "curly"\nround-label = "Rnd"\n'
    style = style_of(house_of(sheet))
    assert (style.wish("total"), style.wish("round-label")) == ("curly", "Rnd")
    assert style.wish("repeat") == ""
    assert style_of(house_of(sheet + 'grade = "off"\n')).wish("total") == ""


RANGE = "range is one of hyphen, en-dash, to or as-written"
WIDTH = "row-width is a whole number from 30 to 1000"


@pytest.mark.parametrize(
    ("sheet", "told"),
    [
        ("tidy = 3", "h.toml:1: 'tidy' is a table, [tidy]."),
        ("[tidy]\nrnage = 1", "h.toml:2: tidy has no setting 'rnage'; did you mean 'range'?"),
        ('[tidy]\nrange = "dash"', f"h.toml:2: {RANGE}, not 'dash'."),
        ("[tidy]\nrange = 4", f"h.toml:2: {RANGE}, not 4."),
        ("[tidy]\nrange = [1]", f"h.toml:2: {RANGE}, not [1]."),
        ("[tidy]\nrow-width = 12", f"h.toml:2: {WIDTH}, not 12."),
        ("[tidy]\nrow-width = true", f"h.toml:2: {WIDTH}, not True."),
        ('[tidy]\nrow-width = "80"', f"h.toml:2: {WIDTH}, not '80'."),
    ],
)
def test_a_choice_that_does_not_exist_is_told_with_its_line(sheet: str, told: str) -> None:
    with pytest.raises(HouseError) as raised:
        house_of(sheet, "h.toml")
    assert str(raised.value) == told


def test_the_house_shows_every_choice_and_where_it_was_made(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    sheet = tmp_path / "housestyle.toml"
    sheet.write_text('[tidy]\nrange = "hyphen"\nrow-width = 64\n', "utf-8")
    assert main(["house", str(tmp_path)]) == 0
    told = capsys.readouterr().out
    assert '[tidy]\nline-ends = "trimmed"  # usual\n' in told
    assert f'range = "hyphen"  # {sheet}:2\n' in told
    assert f"row-width = 64  # {sheet}:3\n" in told
    assert [name for name in SETTINGS if f"\n{name} = " not in told] == []


def test_the_sheet_that_a_house_begins_with_names_every_choice(tmp_path: Path) -> None:
    assert main(["begin", str(tmp_path)]) == 0
    sheet = tmp_path / "housestyle.toml"
    text = sheet.read_text("utf-8")
    assert read_house(str(sheet)).tidy == {}
    for name, setting in SETTINGS.items():
        remark = f'# {name} = "{setting.usual}"'
        assert text.count(f"\n{remark}") == 1
        text = text.replace(remark, remark.removeprefix("# "))
    sheet.write_text(text.replace("# row-width", "row-width"), "utf-8")
    assert style_of(read_house(str(sheet))) == style_of(House())


# --- repeats and the list of abbreviations ----------------------------------------------

RINGS = "Rnd 1: 6 sc in a magic ring. (6)\nRnd 2: Inc in each st around. (12)\n"


def test_the_word_for_repeats_is_the_one_that_the_pattern_uses() -> None:
    stars = {"repeat": "stars"}
    more = "Rnd 3: (Sc, inc) 6 times. (18)\nRnd 4: Repeat Rnd 3, with sc in each st. (18)\n"
    assert "*Sc, inc; repeat from * 5 more times" in tidy(RINGS + more, stars)
    assert "*Sc, inc; rep from * 5 more times" in tidy(RINGS + more.replace("Repeat", "Rep"), stars)


def test_an_entry_for_repeats_is_not_left_without_a_use() -> None:
    """ "rep" in the list would be explained for nothing, which the proof would find."""
    text = f"LEEK\n\nAbbreviations\nrep = repeat\nsc = single crochet\nst = stitch\n\n{RINGS}"
    text += "Rnd 3: *Sc, inc; rep from * around. (18)\n"
    assert tidy(text, {"repeat": "brackets"}) == text
    further = text + "Rnd 4: Rep Rnd 3. (24)\n"
    assert "(Sc, inc) around" in tidy(further, {"repeat": "brackets"})


def test_a_heading_does_not_make_an_abbreviation_of_the_row_below_it() -> None:
    text = "LEEK\n\nAbbreviations: ch-chain; sc-single crochet; st-stitch;\n\nMAT\nCh 9.\n"
    text += "First row: Sc in 2nd ch from hook and in each ch across. (8)\n"
    assert "\nMat\n" in tidy(text, {"headings": "capitalised"})


@pytest.mark.parametrize("marked", [" = 6 sts", " - 6 sts", ": 6 sts"])
def test_a_total_after_turn_is_put_before_it_and_in_brackets_at_once(marked: str) -> None:
    text = f"Ch 7.\nRow 1: Sc in 2nd ch from hook and in each ch across, turn{marked}.\n"
    house = house_with({"total": "square", "total-place": "before-turn"})
    page = Page(read_text(text), style_of(house))
    once = apply_edits(text, edits_of(page))
    assert "across. [6 sts] Turn." in once


def test_a_row_in_capitals_keeps_the_capitals_of_its_label() -> None:
    text = "RND 1: 6 SC IN A MAGIC RING. (6)\nRND 2: INC IN EACH ST AROUND. (12)\n"
    assert tidy(text, {"round-label": "Rnd"}) == text
    assert "\nRnd 2: Inc" in tidy(
        text.replace("INC IN EACH", "Inc in each"), {"round-label": "Rnd"}
    )


def test_two_hyphens_set_off_a_total_as_one_dash_does() -> None:
    text = RINGS.replace(". (12)", " -- 12 sts")
    assert "around [12 sts]" in tidy(text, {"total": "square"})


def test_a_heading_whose_letters_end_a_list_keeps_them() -> None:
    """In capitals it would end the list, and what stands under it would be no entries of it."""
    text = "LEEK\n\nAbbreviations\nsc - single crochet\nrep - repeat\n\nMy own rules\n"
    text += f"A group is 3tr worked in one place.\nTurn after every row.\n\n{RINGS}"
    assert "\nMy own rules\n" in tidy(text, {"headings": "capitals"})


def test_no_line_of_a_wrapped_row_looks_like_an_entry_of_a_list() -> None:
    text = "STRAPS\nRow 1: Ch 61, 1 sc in 2nd ch from hook, 1 sc in each ch: 60 sc.\n"
    house = house_with({"row-lines": "wrapped"}, width=60)
    wrapped = tidied(read_text(text), house).after.source.text
    assert len(wrapped.splitlines()) == 3
    assert not any(line.strip().startswith("ch:") for line in wrapped.splitlines())
