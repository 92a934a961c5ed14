"""The house style sheet: where it is found, what it may say and how it is told off."""

from __future__ import annotations

from pathlib import Path

import pytest

from proofhook.proofing import Grade, Option, Rule
from proofhook.proofing.house import (
    House,
    HouseError,
    RuleSetting,
    check_house,
    find_sheet,
    read_house,
)

RULES = (
    Rule("row-order", Grade.QUERY, lambda _: (), (Option("gap", 1, "how far"),)),
    Rule(
        "total-missing",
        Grade.STYLE,
        lambda _: (),
        (
            Option("form", "brackets", "which form", ("brackets", "dash")),
            Option("parts", (), "which parts"),
            Option("every-row", False, "all rows"),
            Option("share", 0.5, "how many"),
        ),
    ),
)


def sheet(folder: Path, text: str, name: str = "housestyle.toml") -> str:
    path = folder / name
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text(text, "utf-8")
    return str(path)


def house(folder: Path, text: str) -> House:
    read = read_house(sheet(folder, text))
    check_house(read, RULES)
    return read


def complaint(folder: Path, text: str) -> str:
    with pytest.raises(HouseError) as raised:
        house(folder, text)
    return str(raised.value).replace(str(folder) + "/", "")


def test_without_a_sheet_errors_fail_and_rules_have_their_own_grade() -> None:
    plain = House()
    assert plain.failing is Grade.ERROR
    assert plain.grade_of(RULES[0]) is Grade.QUERY
    assert plain.options_of(RULES[0]) == {"gap": 1}
    assert [plain.fails(grade) for grade in sorted(Grade)] == [False, False, True]


def test_a_sheet_changes_grades_options_and_what_fails(tmp_path: Path) -> None:
    text = """
failing = "query"
plugins = ["our_rules", "our.other_rules"]

[rules]
row-order = "off"
total-missing = { grade = "error", form = "dash", parts = ["Root"], every-row = true, share = 1 }
"""
    read = house(tmp_path, text)
    assert read.failing is Grade.QUERY
    assert read.plugins == ("our_rules", "our.other_rules")
    assert read.grade_of(RULES[0]) is None
    assert read.grade_of(RULES[1]) is Grade.ERROR
    assert read.options_of(RULES[1]) == {
        "form": "dash", "parts": ("Root",), "every-row": True, "share": 1,
    }  # fmt: skip
    assert [read.fails(grade) for grade in sorted(Grade)] == [False, True, True]


def test_a_table_of_options_keeps_the_grade(tmp_path: Path) -> None:
    read = house(tmp_path, "[rules.row-order]\ngap = 3\n")
    assert read.grade_of(RULES[0]) is Grade.QUERY
    assert read.options_of(RULES[0]) == {"gap": 3}


def test_the_nearest_sheet_above_the_pattern_holds(tmp_path: Path) -> None:
    deep = tmp_path / "autumn" / "roots"
    deep.mkdir(parents=True)
    top = sheet(tmp_path, "")
    assert find_sheet(str(deep)) == top
    near = sheet(tmp_path / "autumn", "")
    assert find_sheet(str(deep)) == near
    assert find_sheet(str(tmp_path)) == top


def test_a_sheet_builds_on_another_named_from_where_it_lies(tmp_path: Path) -> None:
    base = sheet(
        tmp_path,
        'failing = "style"\nplugins = ["team"]\n[rules]\nrow-order = { grade = "error", gap = 2 }\n'
        'total-missing = "off"\n',
        "team/base.toml",
    )
    text = (
        'extends = "../team/base.toml"\nplugins = ["own"]\n'
        '[rules]\nrow-order = { gap = 4 }\ntotal-missing = "query"\n'
    )
    own = sheet(tmp_path / "designer", text)
    read = read_house(own)
    assert read.failing is Grade.STYLE
    assert read.plugins == ("team", "own")
    assert read.grade_of(RULES[0]) is Grade.ERROR
    assert read.options_of(RULES[0]) == {"gap": 4}
    assert read.grade_of(RULES[1]) is Grade.QUERY
    assert read.sheets == (base, own)


def test_a_sheet_builds_on_sheets_of_its_own_repository_alone(tmp_path: Path) -> None:
    sheet(tmp_path, 'failing = "style"\n', "team.toml")
    clone = tmp_path / "clone"
    (clone / ".git").mkdir(parents=True)
    sheet(clone, 'failing = "query"\n', "team.toml")
    inside = sheet(clone, 'extends = "../team.toml"\n', "toys/housestyle.toml")
    assert read_house(inside).failing is Grade.QUERY
    told = complaint(clone, 'failing = "error"\nextends = "../team.toml"\n')
    assert told == (
        f"housestyle.toml:2: {tmp_path / 'team.toml'} lies outside of the git repository, and a "
        "sheet builds on sheets of its own repository alone; put a copy of it there."
    )
    (clone / "link.toml").symlink_to(tmp_path / "team.toml")
    assert "lies outside of the git repository" in complaint(clone, 'extends = "link.toml"\n')
    assert "lies outside" in complaint(
        clone, f'extends = "{(tmp_path / "team.toml").as_posix()}"\n'
    )


def test_a_sheet_outside_of_a_repository_may_build_on_any(tmp_path: Path) -> None:
    base = sheet(tmp_path, 'failing = "style"\n', "else/where.toml")
    own = sheet(tmp_path / "own", f'extends = "{Path(base).as_posix()}"\n')
    assert read_house(own).failing is Grade.STYLE


@pytest.mark.parametrize("base", ["/etc/hostname", "notes.txt", ".netrc"])
def test_what_is_no_sheet_is_not_opened(tmp_path: Path, base: str) -> None:
    told = complaint(tmp_path, f'extends = "{base}"\n')
    assert told.endswith("is no style sheet: the name of one ends in .toml.")


def test_a_folder_is_no_sheet(tmp_path: Path) -> None:
    (tmp_path / "team.toml").mkdir()
    told = complaint(tmp_path, 'extends = "team.toml"\n')
    assert told == "housestyle.toml:1: team.toml is no file, and so no style sheet."


def test_a_circle_of_sheets_is_refused(tmp_path: Path) -> None:
    sheet(tmp_path, 'extends = "housestyle.toml"\n', "other.toml")
    told = complaint(tmp_path, '\nextends = "other.toml"\n')
    assert told == (
        "other.toml:1: the style sheets build on each other in a circle "
        "(housestyle.toml > other.toml > housestyle.toml); take out one 'extends'."
    )


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ('failling = "query"',
         "housestyle.toml:1: there is no setting 'failling'; did you mean 'failing'?"),
        ('zzz = "query"', "housestyle.toml:1: there is no setting 'zzz'."),
        ('\nfailing = "eror"',
         ("housestyle.toml:2: 'failing' is one of error, query or style, not 'eror'; "
         "did you mean 'error'?")),
        ("failing = 1", "housestyle.toml:1: 'failing' is one of error, query or style, not 1."),
        ('plugins = "ours"', "housestyle.toml:1: 'plugins' is a list of module names."),
        ('plugins = ["our-rules"]',
         "housestyle.toml:1: 'our-rules' is not the name of a module."),
        ('rules = "all"', "housestyle.toml:1: 'rules' is a table, [rules]."),
        ('[rules]\n\nrow-ordr = "off"',
         "housestyle.toml:3: there is no rule 'row-ordr'; did you mean 'row-order'?"),
        ("[rules.row-ordr]\ngap = 1",
         "housestyle.toml:1: there is no rule 'row-ordr'; did you mean 'row-order'?"),
        ('rules.row-ordr = "off"',
         "housestyle.toml:1: there is no rule 'row-ordr'; did you mean 'row-order'?"),
        ('[rules]\nrow-order = "loud"',
         ("housestyle.toml:2: the grade of row-order is one of error, query, style or off, "
         "not 'loud'.")),
        ("[rules]\nrow-order = 3",
         "housestyle.toml:2: the grade of row-order is one of error, query, style or off, not 3."),
        ("[rules]\nrow-order = { gop = 3 }",
         "housestyle.toml:2: the rule row-order has no option 'gop'; did you mean 'gap'?"),
        ('[rules]\nrow-order = { gap = "3" }',
         "housestyle.toml:2: gap of row-order takes a whole number, not '3'."),
        ("[rules]\nrow-order = { gap = true }",
         "housestyle.toml:2: gap of row-order takes a whole number, not True."),
        ('[rules]\ntotal-missing = { form = "dsh" }',
         ("housestyle.toml:2: form of total-missing is one of brackets or dash, not 'dsh'; "
         "did you mean 'dash'?")),
        ("[rules]\ntotal-missing = { parts = [1] }",
         "housestyle.toml:2: parts of total-missing takes a list of texts in quotes, not [1]."),
        ("failing = ",
         ("housestyle.toml:1:11: not TOML: Invalid value; settings are written as "
         'failing = "error", with texts in quotes.')),
        ("extends = 3", "housestyle.toml:1: 'extends' takes the path of a sheet."),
        ('extends = "no.toml"',
         "housestyle.toml:1: the style sheet no.toml cannot be read (No such file or directory)."),
    ],
)  # fmt: skip
def test_what_a_sheet_may_not_say(tmp_path: Path, text: str, told: str) -> None:
    assert complaint(tmp_path, text) == told


def test_a_sheet_in_another_encoding_is_refused(tmp_path: Path) -> None:
    path = tmp_path / "housestyle.toml"
    path.write_bytes(b'failing = "\xe9"')
    with pytest.raises(HouseError, match="not UTF-8"):
        read_house(str(path))


def test_the_settings_of_a_house_cannot_be_shared_by_mistake() -> None:
    assert House().rules == {}
    assert RuleSetting().options == {}
