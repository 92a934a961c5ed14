"""Findings that the editor lets stand."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from proofhook.cli import main
from proofhook.proofing.house import HouseError
from proofhook.proofing.stet import Stet, entry, read_book

WRONG = "ROOT\nRnd 1: 6 sc in a magic ring. (7)\nRnd 2: 2 sc in each st around. (14)\n"


@pytest.fixture
def field(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    (tmp_path / "beet.txt").write_text(WRONG, "utf-8")
    monkeypatch.chdir(tmp_path)
    return tmp_path


def stand(*names: str) -> int:
    return main(["stet", *names, "--because", "it is so"])


def test_a_finding_that_stands_is_not_shown_and_fails_nothing(
    field: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["proof", "beet.txt"]) == 1
    assert stand("beet.txt:2", "stitch-total") == 0
    assert "stet.toml: 1 let stand, 1 in all." in capsys.readouterr().out
    (stet,) = read_book("stet.toml")
    assert stet[:5] == (
        "stitch-total", "6 sc in a magic ring. (7)", "it is so", "beet.txt", "ROOT",
    )  # fmt: skip
    assert main(["proof", "beet.txt"]) == 0
    assert "1 finding let stand." in capsys.readouterr().out
    assert main(["proof", str(field / "beet.txt"), "--format", "lines"]) == 0
    assert capsys.readouterr().out == ""


@pytest.mark.parametrize(
    ("changed", "status"),
    [
        (WRONG.replace("Rnd 1", "Round 1").replace("Rnd 2", "Round 2"), 0),
        ("One more line.\n\n" + WRONG, 0),
        (WRONG.replace("6 sc in", "6  sc  in"), 0),
        (WRONG.replace("(7)", "(8)"), 1),
        (WRONG.replace("ROOT", "LEAF"), 1),
    ],
)
def test_it_stands_by_its_words(field: Path, changed: str, status: int) -> None:
    assert stand("beet.txt:2", "stitch-total") == 0
    (field / "beet.txt").write_text(changed, "utf-8")
    assert main(["proof", "beet.txt"]) == status


def test_it_stands_in_its_own_file_only(field: Path) -> None:
    assert stand("beet.txt:2", "stitch-total") == 0
    (field / "leek.txt").write_text(WRONG, "utf-8")
    assert main(["proof", "leek.txt"]) == 1


def test_a_back_catalogue_is_taken_in_with_one_command(
    field: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (field / "old").mkdir()
    (field / "old" / "leek.txt").write_text(WRONG.replace("ROOT", "LEAF"), "utf-8")
    assert main(["proof", "."]) == 1
    assert main(["stet", "--all", "."]) == 0
    before = (field / "stet.toml").read_bytes()
    assert {stet.file for stet in read_book("stet.toml")} == {"beet.txt"}
    assert {stet.file for stet in read_book("old/stet.toml")} == {"leek.txt"}
    capsys.readouterr()
    assert main(["proof", ".", "--format", "lines"]) == 0
    assert capsys.readouterr().out == ""
    assert main(["stet", "--all", "."]) == 0
    assert (field / "stet.toml").read_bytes() == before


def test_there_is_one_book_beside_the_style_sheet(field: Path) -> None:
    (field / "housestyle.toml").write_text("failing = 'error'\n", "utf-8")
    (field / "old").mkdir()
    (field / "old" / "leek.txt").write_text(WRONG, "utf-8")
    assert stand("old/leek.txt:2", "stitch-total") == 0
    (stet,) = read_book("stet.toml")
    assert stet.file == "old/leek.txt"
    assert main(["proof", "old/leek.txt"]) == 0


def test_what_is_stale_is_told_and_listed(field: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert stand("beet.txt:2", "stitch-total") == 0
    assert main(["stet", "--list"]) == 0
    told = capsys.readouterr().out
    assert "beet.txt, ROOT: stitch-total: “6 sc in a magic ring. (7)”\n    it is so (" in told
    assert "stale" not in told
    (field / "beet.txt").write_text(WRONG.replace("(7)", "(6)").replace("14", "12"), "utf-8")
    assert main(["stet", "--list"]) == 0
    assert "stale" in capsys.readouterr().out
    assert main(["proof", "beet.txt", "--format", "lines"]) == 0
    assert "style: “6 sc in a magic ring. (7)”, let stand for stitch-total, is not there" in (
        capsys.readouterr().out
    )


@pytest.mark.parametrize(
    ("arguments", "sentence"),
    [
        (["beet.txt", "stitch-total", "--because", "x"], "say the line as well"),
        (["beet.txt:1", "stitch-total", "--because", "x"], "has found nothing on this line."),
        (["beet.txt:2", "row-fit", "--because", "x"], "on this line; there is stitch-total."),
        (["beet.txt:2", "stitch-total"], "say why it stands"),
        (["beet.txt:2"], "name the place and the rule"),
        (["--all"], "name the patterns"),
        (["none.txt:2", "row-fit", "--because", "x"], "there is no such file"),
    ],
)
@pytest.mark.usefixtures("field")
def test_what_cannot_stand_is_told_in_a_sentence(
    arguments: list[str], sentence: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["stet", *arguments]) == 2
    told = capsys.readouterr()
    assert sentence in told.err
    assert told.err.count("\n") == 1
    assert not os.path.exists("stet.toml")


@pytest.mark.parametrize(
    ("book", "sentence"),
    [
        ("[[stet]]\nrule = 'a'\n", "stet 1 needs 'quote'."),
        ("[[stet]]\nrul = 'a'\n", "stet 1 has no 'rul'; did you mean 'rule'?"),
        ("[[stet]]\nrule = 1\nquote='a'\nbecause='b'\n", "'rule' takes a text in quotes."),
        ("stet = 1\n", "'stet' is written as tables"),
        ("sted = 1\n", "there is no setting 'sted'; did you mean 'stet'?"),
        ("[[stet]\n", ":1:"),
    ],
)
def test_a_book_that_cannot_be_used_is_told_and_nothing_is_hidden(
    field: Path, book: str, sentence: str, capsys: pytest.CaptureFixture[str]
) -> None:
    (field / "stet.toml").write_text(book, "utf-8")
    with pytest.raises(HouseError):
        read_book("stet.toml")
    assert main(["proof", "beet.txt"]) == 2
    assert sentence in capsys.readouterr().err
    assert main(["stet", "beet.txt:2", "stitch-total", "--because", "x"]) == 2
    assert (field / "stet.toml").read_text("utf-8") == book


def test_an_entry_keeps_every_character(tmp_path: Path) -> None:
    stet = Stet("row-fit", 'a "b" \\ c \x07 é …', "it's so", "a b.txt", "", "2026-01-02")
    path = tmp_path / "stet.toml"
    path.write_text(entry(stet) + entry(stet._replace(piece="ROOT")), "utf-8")
    assert read_book(str(path)) == (stet, stet._replace(piece="ROOT"))


def test_the_book_keeps_its_mode(field: Path) -> None:
    assert stand("beet.txt:2", "stitch-total") == 0
    (field / "stet.toml").chmod(0o640)
    text = (field / "stet.toml").read_text("utf-8")
    (field / "beet.txt").write_text(WRONG.replace("(14)", "(15)"), "utf-8")
    assert stand("beet.txt:3", "stitch-total") == 0
    assert (field / "stet.toml").stat().st_mode & 0o777 == 0o640
    assert (field / "stet.toml").read_text("utf-8").startswith(text)
    assert sorted(path.name for path in field.iterdir()) == ["beet.txt", "stet.toml"]


@pytest.mark.usefixtures("field")
def test_the_json_tells_what_stands_and_why(capsys: pytest.CaptureFixture[str]) -> None:
    import json

    assert main(["stet", "beet.txt:2", "stitch-total", "--because", "as drawn"]) == 0
    capsys.readouterr()
    assert main(["proof", "beet.txt", "--format", "json"]) == 0
    [told] = json.loads(capsys.readouterr().out)["files"]
    assert told["findings"] == []
    [stands] = told["let_stand"]
    assert (stands["rule"], stands["because"]) == ("stitch-total", "as drawn")


@pytest.mark.parametrize(
    ("rule", "told"),
    [
        ("stitch-total", "what stitch-total has found on this line stands already."),
        ("stitch-totl", "there is no rule 'stitch-totl'; did you mean 'stitch-total'?"),
        ("row-fit", "the rule row-fit has found nothing on this line."),
    ],
)
@pytest.mark.usefixtures("field")
def test_what_cannot_be_let_stand_is_told(
    rule: str, told: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert stand("beet.txt:2", "stitch-total") == 0
    assert stand("beet.txt:2", rule) == 2
    assert capsys.readouterr().err == f"proofhook: beet.txt:2: {told}\n"
