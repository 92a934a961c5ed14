"""The command that tidies: what it writes, what it shows, and how it ends."""

from __future__ import annotations

import io
import os
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

from proofhook import tidy_files
from proofhook.cli import main
from proofhook.files import FileError, rewrite
from proofhook.text import Edit, Source
from proofhook.tidying.families import Family
from proofhook.tidying.page import Page

UNTIDY = "BEET\n\nRnd 1:  6 sc in a magic ring ,turn. (6)  \nRnd 2: Inc,inc"
TIDY = "BEET\n\nRnd 1: 6 sc in a magic ring, turn. (6)\nRnd 2: Inc, inc\n"


@pytest.fixture
def beet(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    path = tmp_path / "beet.txt"
    path.write_bytes(UNTIDY.encode())
    return path


def feed(monkeypatch: pytest.MonkeyPatch, data: bytes) -> io.BytesIO:
    """Put bytes on standard input; what is written to standard output comes back."""
    out = io.BytesIO()
    monkeypatch.setattr(sys, "stdin", io.TextIOWrapper(io.BytesIO(data)))
    monkeypatch.setattr(sys, "stdout", io.TextIOWrapper(out, "utf-8", write_through=True))
    return out


def test_a_file_is_tidied_once(beet: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["tidy", "beet.txt"]) == 0
    assert beet.read_bytes() == TIDY.encode()
    assert capsys.readouterr().out == "beet.txt: tidied.\n1 file tidied.\n"
    before = beet.stat()
    assert main(["tidy", "beet.txt"]) == 0
    assert capsys.readouterr().out == "0 files tidied, 1 tidy already.\n"
    assert (beet.stat().st_ino, beet.stat().st_mtime_ns) == (before.st_ino, before.st_mtime_ns)


@pytest.mark.parametrize("newline", ["\n", "\r\n", "\r"])
@pytest.mark.parametrize("mark", [b"", b"\xef\xbb\xbf"])
def test_mode_newlines_and_byte_order_mark_stay(beet: Path, newline: str, mark: bytes) -> None:
    beet.write_bytes(mark + UNTIDY.replace("\n", newline).encode())
    beet.chmod(0o640)
    assert main(["tidy", "beet.txt"]) == 0
    assert beet.read_bytes() == mark + TIDY.replace("\n", newline).encode()
    assert beet.stat().st_mode & 0o777 == 0o640
    assert os.listdir(beet.parent) == ["beet.txt"]


def test_a_link_stays_a_link(beet: Path) -> None:
    link = beet.with_name("link.txt")
    link.symlink_to(beet)
    assert main(["tidy", "link.txt"]) == 0
    assert link.is_symlink()
    assert beet.read_text("utf-8") == TIDY


def test_show_prints_the_difference_and_writes_nothing(
    beet: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["tidy", "--show", "beet.txt"]) == 1
    shown = capsys.readouterr().out
    assert "-Rnd 2: Inc,inc\n\\ no newline at the end\n" in shown
    assert "+Rnd 2: Inc, inc\n" in shown
    assert beet.read_text("utf-8") == UNTIDY
    beet.write_text(TIDY, "utf-8")
    assert main(["tidy", "--show", "beet.txt"]) == 0
    assert capsys.readouterr().out == ""


def test_a_lacking_newline_alone_is_shown(beet: Path, capsys: pytest.CaptureFixture[str]) -> None:
    beet.write_text(TIDY.rstrip("\n"), "utf-8")
    assert main(["tidy", "--show", "beet.txt"]) == 1
    assert "no newline at the end" in capsys.readouterr().out


def test_standard_input_is_handed_on(monkeypatch: pytest.MonkeyPatch, beet: Path) -> None:
    out = feed(monkeypatch, b"\xef\xbb\xbf" + UNTIDY.replace("\n", "\r\n").encode())
    assert main(["tidy", "-"]) == 0
    assert out.getvalue() == b"\xef\xbb\xbf" + TIDY.replace("\n", "\r\n").encode()
    out = feed(monkeypatch, TIDY.encode())
    assert main(["tidy", "-"]) == 0
    assert out.getvalue() == TIDY.encode()
    out = feed(monkeypatch, UNTIDY.encode())
    assert main(["tidy", "--show", "-"]) == 1
    assert out.getvalue().startswith(b"--- -\n+++ -, tidied\n")


def test_a_folder_stands_for_its_patterns(beet: Path, capsys: pytest.CaptureFixture[str]) -> None:
    folder = beet.parent / "beds"
    folder.mkdir()
    for name in ("a.txt", "b.md"):
        (folder / name).write_text(UNTIDY, "utf-8")
    (folder / "tidy.txt").write_text(TIDY, "utf-8")
    (folder / "README.md").write_text("No rows  \n", "utf-8")
    (folder / "old.txt").write_text(UNTIDY, "utf-8")
    (folder / "housestyle.toml").write_text('leave-out = ["old.txt"]\n', "utf-8")
    assert main(["tidy", "beds"]) == 0
    told = capsys.readouterr().out.splitlines()[-1]
    assert told == "2 files tidied, 1 tidy already, 1 without rows passed over."
    assert (folder / "a.txt").read_text("utf-8") == TIDY
    assert (folder / "b.md").read_text("utf-8") == TIDY.replace("(6)", "(6)  ")
    assert (folder / "README.md").read_text("utf-8") == "No rows  \n"
    assert (folder / "old.txt").read_text("utf-8") == UNTIDY


def test_the_house_of_the_folder_holds(beet: Path) -> None:
    sheet = '[tidy]\nblanks = "as-written"\n\n[rules.house-marks]\ntotal = "square"\n'
    (beet.parent / "housestyle.toml").write_text(sheet, "utf-8")
    assert main(["tidy", "beet.txt"]) == 0
    assert "Rnd 1:  6 sc in a magic ring ,turn. [6]\n" in beet.read_text("utf-8")


def test_a_file_that_would_be_read_otherwise_is_left_and_told(
    beet: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    def another_total(page: Page) -> Iterator[Edit]:
        at = page.text.find("(6)")
        if at >= 0:
            yield Edit(at, at + 3, "(7)")

    monkeypatch.setattr("proofhook.tidying.tidy.FAMILIES", (Family("last-line", another_total),))
    told = "last-line: BEET, Rnd 1: the total “(6)” became “(7)”, which is read otherwise."
    assert main(["tidy", "beet.txt"]) == 2
    said = capsys.readouterr()
    assert said.out == "0 files tidied, 1 left as it was.\n"
    assert said.err == f"proofhook: beet.txt: left as it was. {told}\n"
    assert main(["tidy", "--show", "beet.txt"]) == 2
    assert capsys.readouterr().out == ""
    assert beet.read_text("utf-8") == UNTIDY
    out = feed(monkeypatch, UNTIDY.encode())
    assert main(["tidy", "-"]) == 2
    assert out.getvalue() == UNTIDY.encode()


def test_for_a_commit_a_changed_file_fails_the_run(
    beet: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    beet.with_name("plan.md").write_text("No rows", "utf-8")
    assert main(["tidy", "--for-commit", "beet.txt", "plan.md"]) == 1
    assert beet.read_text("utf-8") == TIDY
    assert main(["tidy", "--for-commit", "beet.txt", "plan.md"]) == 0
    assert capsys.readouterr().out.endswith("1 tidy already, 1 without rows passed over.\n")
    assert main(["tidy", "beet.txt", "plan.md"]) == 2


def test_a_file_that_was_changed_meanwhile_is_left(
    beet: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    def changed_first(source: Source, text: str) -> None:
        beet.write_text("other words", "utf-8")
        rewrite(source, text)

    monkeypatch.setattr(tidy_files, "rewrite", changed_first)
    assert main(["tidy", "beet.txt"]) == 2
    assert beet.read_text("utf-8") == "other words"
    assert "it was changed meanwhile, so it was left alone" in capsys.readouterr().err


def test_a_file_that_cannot_be_written_is_told(
    beet: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    def full(_path: str, _data: bytes, **_: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("proofhook.files.write_whole", full)
    assert main(["tidy", "beet.txt"]) == 2
    assert beet.read_text("utf-8") == UNTIDY
    assert capsys.readouterr().err.count("could not be written (No space left on device).") == 1
    with pytest.raises(FileError):
        rewrite(Source("gone.txt", ""), "x")


def test_a_fault_in_the_program_is_one_sentence_and_the_file_stays(
    beet: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    def broken(*_: object) -> None:
        raise ZeroDivisionError("no")

    monkeypatch.setattr(tidy_files, "tidied", broken)
    assert main(["tidy", "beet.txt"]) == 2
    told = capsys.readouterr().err
    assert "could not get through it (ZeroDivisionError: no)" in told
    assert told.count("\n") == 1
    assert beet.read_text("utf-8") == UNTIDY


@pytest.mark.parametrize("name", ["gone.txt", "empty.txt", "latin.txt"])
def test_what_cannot_be_read_is_told(
    beet: Path, name: str, capsys: pytest.CaptureFixture[str]
) -> None:
    beet.with_name("empty.txt").write_text("", "utf-8")
    beet.with_name("latin.txt").write_bytes(b"Rnd 1: 6 sc, caf\xe9")
    assert main(["tidy", name, "beet.txt"]) == 2
    assert name in capsys.readouterr().err
    assert beet.read_text("utf-8") == TIDY
