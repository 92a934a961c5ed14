"""The house style sheet at work: folders, files left out, what is in force, a first sheet."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

from proofhook.cli import main
from proofhook.proofing import Grade
from proofhook.proofing.house import HouseError, check_house, is_among, read_house
from proofhook.proofing.plugins import load_rules

WRONG = "Rnd 1: 6 sc in a magic ring. (7)\n"
RIGHT = "Rnd 1: 6 sc in a magic ring. (6)\nRnd 2: 2 sc in each st around. (12)\n"


def put(folder: Path, name: str, text: str) -> Path:
    path = folder / name
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text(text, "utf-8")
    return path


def complaint(folder: Path, text: str) -> str:
    with pytest.raises(HouseError) as raised:
        check_house(read_house(str(put(folder, "housestyle.toml", text))), load_rules())
    return str(raised.value).replace(str(folder) + "/", "")


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        ('sectons = ["A"]', "housestyle.toml:1: there is no setting 'sectons'; did you mean"),
        ("sections = [1]", "housestyle.toml:1: 'sections' takes a list of texts in quotes."),
        ("\nleave-out = 'a'", "housestyle.toml:2: 'leave-out' takes a list of texts in quotes."),
        ("wording = 1", "housestyle.toml:1: 'wording' is written as tables, [[wording]]."),
        ("\n[[wording]]\nwrite = 'a'", "housestyle.toml:2: a pair of words needs 'not'."),
        (
            "[[wording]]\nwrite = 'a'\nnot = ['b']\n\n[[wording]]\nwrit = 'a'\nnot = 'b'",
            "housestyle.toml:5: a pair of words has no 'writ'; did you mean 'write'?",
        ),
        ("[[wording]]\nwrite = 1\nnot = 'b'", "housestyle.toml:1: 'write' takes a text in quotes."),
        ("[[folders]]\nfailing = 'error'", "housestyle.toml:1: say which folders it is for"),
        ("\n[[folders]]\nin = ['a']\nplugins = []", "housestyle.toml:2: there is no setting 'plu"),
        (
            "[[folders]]\nin = ['a']\nrules = { row-ordr = 'off' }",
            "housestyle.toml:1: there is no rule 'row-ordr'; did you mean 'row-order'?",
        ),
        (
            "[rules.house-marks]\ntotal = 'sqare'",
            'housestyle.toml:2: total of house-marks is one of "", round, square, curly or dash',
        ),
    ],
)
def test_a_mistake_is_told_with_its_place(tmp_path: Path, text: str, sentence: str) -> None:
    assert complaint(tmp_path, text).startswith(sentence)


@pytest.mark.parametrize(
    ("path", "name", "meant"),
    [
        ("drafts/a.txt", "drafts", True),
        ("toys/drafts/a.txt", "drafts", True),
        ("toys/drafts/a.txt", "./drafts", False),
        ("toys/drafts/a.txt", "toys/*", True),
        ("toys/a.txt", "toys/**", True),
        ("toys/a.old.txt", "*.old.txt", True),
        ("toys.txt", "toys", False),
        ("../toys/a.txt", "toys", False),
    ],
)
def test_names_of_files_and_folders(tmp_path: Path, path: str, name: str, meant: bool) -> None:
    assert is_among(str(tmp_path / "in" / path), str(tmp_path / "in"), [name]) is meant


def test_pairs_and_sections_are_inherited(tmp_path: Path) -> None:
    put(tmp_path, "team.toml", "sections = ['Gauge']\n[[wording]]\nwrite = 'a'\nnot = 'b'\n")
    sheet = put(
        tmp_path,
        "toys/housestyle.toml",
        "extends = '../team.toml'\nsections = ['Notes']\n[[wording]]\nwrite = 'c'\nnot = 'd'\n",
    )
    house = read_house(str(sheet))
    assert [pair.write for pair in house.wording] == ["a", "c"]
    assert house.sections == ("Notes",)
    assert house.places["sections"].endswith("toys/housestyle.toml:2")


def test_a_folder_may_be_stricter(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    put(tmp_path, "toys/a.txt", WRONG)
    put(tmp_path, "other/a.txt", WRONG)
    sheet = put(
        tmp_path,
        "housestyle.toml",
        "[[folders]]\nin = ['toys']\nrules = { stitch-total = 'query' }\n",
    )
    house = read_house(str(sheet))
    rule = next(rule for rule in load_rules() if rule.name == "stitch-total")
    assert house.in_folder_of(str(tmp_path / "toys/a.txt")).grade_of(rule) is Grade.QUERY
    assert house.in_folder_of(str(tmp_path / "other/a.txt")).grade_of(rule) is Grade.ERROR
    assert main(["proof", str(tmp_path / "toys/a.txt"), "--format", "lines"]) == 0
    assert main(["proof", str(tmp_path / "other/a.txt"), "--format", "lines"]) == 1
    told = capsys.readouterr().out
    assert "query: " in told
    assert "error: " in told


def test_files_left_out_are_not_proofed_and_that_is_said(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    put(tmp_path, "drafts/a.txt", WRONG)
    put(tmp_path, "b.txt", RIGHT)
    put(tmp_path, "housestyle.toml", "leave-out = ['drafts']\n")
    assert main(["proof", str(tmp_path)]) == 0
    told = capsys.readouterr()
    assert told.out.startswith("2 rows: ")
    assert "1 file left out by the house style sheet." in told.err
    assert main(["proof", str(tmp_path / "drafts")]) == 0


def test_house_shows_what_is_in_force_and_where_it_comes_from(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    put(tmp_path, "team.toml", "failing = 'query'\n[rules]\nrow-order = 'off'\n")
    put(
        tmp_path,
        "toys/housestyle.toml",
        "extends = '../team.toml'\n[rules.house-marks]\ntotal = 'square'\n"
        "[[folders]]\nin = ['bears']\nfailing = 'style'\n",
    )
    put(tmp_path, "toys/a.txt", RIGHT)
    put(tmp_path, "toys/bears/a.txt", RIGHT)
    assert main(["house", str(tmp_path / "toys/a.txt")]) == 0
    told = capsys.readouterr().out.replace(str(tmp_path) + "/", "").replace("toys/../", "")
    assert 'failing = "query"  # team.toml:1\n' in told
    assert '[rules.row-order]\ngrade = "off"  # team.toml:3\n' in told
    assert 'total = "square"  # toys/housestyle.toml:3\n' in told
    assert '[rules.stitch-total]\ngrade = "error"  # usual\n' in told
    assert all(f"[rules.{rule.name}]\n" in told for rule in load_rules())
    assert main(["house", str(tmp_path / "toys/bears/a.txt")]) == 0
    assert 'failing = "style"  # ' in capsys.readouterr().out


@pytest.mark.parametrize("command", ["house", "begin"])
def test_what_is_not_there_is_one_sentence(
    tmp_path: Path, command: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main([command, str(tmp_path / "none")]) == 2
    told = capsys.readouterr()
    assert told.out == ""
    assert told.err.count("\n") == 1


def test_begin_asks_for_what_the_patterns_do(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    text = f"Materials\nHook: 4 mm\n\n{RIGHT}".replace("(", "[").replace(")", "]")
    put(tmp_path, "a.txt", text)
    put(tmp_path, "b.txt", text)
    assert main(["begin", str(tmp_path)]) == 0
    sheet = (tmp_path / "housestyle.toml").read_text("utf-8")
    house = read_house(str(tmp_path / "housestyle.toml"))
    check_house(house, load_rules())
    assert house.sections == ("Materials",)
    assert house.rules["house-marks"].options == {"total": "square", "round-label": "Rnd"}
    assert "\n# leave-out = " in sheet
    assert main(["proof", str(tmp_path)]) == 0
    assert "house-" not in capsys.readouterr().out


def test_the_remarks_of_the_first_sheet_are_settings_that_work(tmp_path: Path) -> None:
    put(tmp_path, "a.txt", RIGHT)
    assert main(["begin", str(tmp_path)]) == 0
    path = tmp_path / "housestyle.toml"
    lines = path.read_text("utf-8").splitlines()
    keys = ("leave-out", "total-missing", "[[", "write", "not", "except", "in ", "failing", "row-l")
    opened = [ln[2:] if ln.startswith("# ") and ln[2:].startswith(keys) else ln for ln in lines]
    path.write_text("\n".join(opened), "utf-8")
    house = read_house(str(path))
    check_house(house, load_rules())
    assert house.wording
    assert house.folders
    assert house.left_out


def test_begin_changes_nothing_that_is_there(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    put(tmp_path, "a.txt", RIGHT)
    hooks = put(tmp_path, ".pre-commit-config.yaml", "repos: []\n")
    assert main(["begin", str(tmp_path)]) == 0
    assert hooks.read_text("utf-8") == "repos: []\n"
    assert "add this under 'repos:'" in capsys.readouterr().out
    before = (tmp_path / "housestyle.toml").read_bytes()
    assert main(["begin", str(tmp_path)]) == 2
    assert (tmp_path / "housestyle.toml").read_bytes() == before


def test_the_pre_commit_entry_is_one_that_pre_commit_takes(tmp_path: Path) -> None:
    put(tmp_path, "a.txt", RIGHT)
    assert main(["begin", str(tmp_path)]) == 0
    command = [sys.executable, "-m", "pre_commit", "validate-config", ".pre-commit-config.yaml"]
    done = subprocess.run(command, cwd=tmp_path, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stdout + done.stderr


def test_begin_writes_the_entry_where_pre_commit_looks_for_it(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / ".git").mkdir()
    put(tmp_path, "our patterns/a.txt", RIGHT)
    monkeypatch.chdir(tmp_path)
    assert main(["begin", "our patterns"]) == 0
    told = capsys.readouterr().out
    assert "Wrote our patterns/housestyle.toml, after a look at 1 pattern.\n" in told
    assert "Wrote .pre-commit-config.yaml;" in told
    entry = (tmp_path / ".pre-commit-config.yaml").read_text("utf-8")
    assert r"files: ^our\ patterns/.*\.(txt|md)$" in entry
