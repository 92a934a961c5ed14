"""docs/sheet.md shows what really happens, and its pictures are there and small."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from golden import ROOT, samples
from proofhook.cli import main

PAGE = (ROOT / "docs" / "sheet.md").read_text("utf-8")
PICTURES = ROOT / "docs" / "pictures"


def block(kind: str) -> str:
    [found] = re.findall(rf"^```{kind}\n(.*?)^```$", PAGE, re.MULTILINE | re.DOTALL)
    assert isinstance(found, str)
    return found


def test_every_command_prints_what_is_shown(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "turnip.txt").write_text(block(r"text turnip\.txt"), "utf-8")
    monkeypatch.chdir(tmp_path)
    shown = list(samples(PAGE))
    assert len(shown) == 2
    for command, output in shown:
        assert main(command.split()[1:]) == 0
        assert capsys.readouterr() == (output, "")
    assert (tmp_path / "turnip.html").is_file()
    assert (tmp_path / "sheets" / "turnip.html").is_file()


def test_the_program_runs() -> None:
    exec(compile(block("python"), "docs/sheet.md", "exec"), {})


def test_every_block_is_run_here() -> None:
    kinds = re.findall(r"^```(.+)$", PAGE, re.MULTILINE)
    assert sorted(kinds) == ["console", "console", "python", "text turnip.txt"]


def test_pictures_are_there_and_small() -> None:
    made = {path.name for path in PICTURES.glob("*.png")}
    script = (ROOT / "docs" / "renew_screenshots.py").read_text("utf-8")
    assert made == {f"{name}.png" for name in re.findall(r'Shot\("([\w-]+)"', script)}
    for path in PICTURES.glob("*.png"):
        data = path.read_bytes()
        assert data.startswith(b"\x89PNG\r\n\x1a\n")
        assert len(data) < 150_000
    for page in (PAGE, (ROOT / "README.md").read_text("utf-8")):
        for link in re.findall(r"!\[[^\]]+\]\((?:docs/)?pictures/([^)]+)\)", page):
            assert link in made
