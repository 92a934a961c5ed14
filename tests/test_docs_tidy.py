"""The page about tidying shows what is done, choice by choice."""

from __future__ import annotations

import re
import shlex
from pathlib import Path

import pytest

from proofhook.cli import main
from test_docs_house import blocks
from tidying import CHOICES, tidy

PAGE = (Path(__file__).parents[1] / "docs" / "tidy.md").read_text("utf-8")
CELL = r" `([^`|]+)` \|"
ROWS = re.findall(rf"^\|{CELL * 4}$", PAGE, re.MULTILINE)
ENTRIES = re.findall(rf"^\|{CELL * 2} (\w+) \|{CELL * 2}$", PAGE, re.MULTILINE)

HEAD = "LEEK\n\nRnd 1: 6 sc in a magic ring. (6)\n"
#: Further entries of the lists, so that they are lists.
OTHERS = {"Abbreviations": "\nsc2tog = sc 2 together\nch = chain", "Materials": "\nYarn needle"}


@pytest.mark.parametrize(("setting", "value", "written", "tidied"), ROWS)
def test_rows_become_what_is_shown(setting: str, value: str, written: str, tidied: str) -> None:
    assert tidy(f"{HEAD}{written}\n", {setting: value}).splitlines()[-1] == tidied
    assert tidy(f"{HEAD}{tidied}\n", {setting: value}).splitlines()[-1] == tidied


@pytest.mark.parametrize(("setting", "value", "section", "written", "tidied"), ENTRIES)
def test_lists_become_what_is_shown(
    setting: str, value: str, section: str, written: str, tidied: str
) -> None:
    others = OTHERS.get(section, "") if written not in OTHERS["Abbreviations"] else ""
    if setting.startswith("heading"):
        text = f"LEEK\n\n{written}\nYarn needle\n\n{HEAD}"
        line = 2
    else:
        text = f"LEEK\n\n{section}\n{written}{others or OTHERS['Abbreviations']}\n\n{HEAD}"
        line = 3
    done = tidy(text, {setting: value})
    assert done.splitlines()[line] == tidied
    assert tidy(done, {setting: value}) == done


def test_the_page_shows_every_choice() -> None:
    shown = {(setting, value) for setting, value, *_ in (*ROWS, *ENTRIES)}
    in_words = {
        (setting, value)
        for setting, value in CHOICES
        if f"`{setting}" in PAGE and f'"{value}"' in PAGE
    }
    assert set(CHOICES) - shown - in_words == set()
    assert {setting for setting, _ in in_words - shown} == {
        "line-ends", "last-line", "blank-lines", "row-lines",
    }  # fmt: skip


def test_the_commands_print_what_is_shown(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    shown = blocks("tidy.md")
    monkeypatch.chdir(tmp_path)
    for name in ("turnip.txt", "housestyle.toml"):
        (tmp_path / name).write_text(shown[name], "utf-8")
    commands = re.split(r"^\$ proofhook (.*)\n", shown["console"], flags=re.MULTILINE)[1:]
    assert len(commands) == 6
    for command, output in zip(commands[::2], commands[1::2], strict=True):
        assert main(shlex.split(command)) == ("--show" in command)
        assert capsys.readouterr().out == output
