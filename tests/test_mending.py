"""Mends: read again before they are kept, and files that stay as they were but for them."""

from __future__ import annotations

import io
import sys
from pathlib import Path

import pytest

import proofhook
from proofhook.cli import main
from proofhook.proofing import Finding, Grade, Mend, ProofContext, Rule
from proofhook.proofing.house import House
from proofhook.proofing.mending import mend_surely
from proofhook.proofing.plugins import load_rules
from proofhook.proofing.proof import Proof, proof
from proofhook.text import Edit, Span

TWO_FORMS = (
    "Rnd 1: 6 sc in a magic ring. (6)\nRnd 2: 2 sc in each st around. (12)\n"
    "Round 3: Sc in each stitch around. (13)\n"
)
ONE_FORM = TWO_FORMS.replace("Round 3", "Rnd 3").replace("stitch", "st")


@pytest.fixture
def beet(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    path = tmp_path / "beet.txt"
    path.write_bytes(TWO_FORMS.encode())
    return path


@pytest.mark.parametrize("newline", ["\n", "\r\n", "\r"])
@pytest.mark.parametrize("mark", [b"", b"\xef\xbb\xbf"])
def test_sure_mends_are_made_and_nothing_else_changes(
    beet: Path, newline: str, mark: bytes, capsys: pytest.CaptureFixture[str]
) -> None:
    head = f"Beet – ½ “raw”{newline}{newline}"
    beet.write_bytes(mark + (head + TWO_FORMS.replace("\n", newline)).encode())
    beet.chmod(0o640)
    assert main(["proof", "--mend", "beet.txt", "--format", "lines"]) == 1
    told = capsys.readouterr()
    assert beet.read_bytes() == mark + (head + ONE_FORM.replace("\n", newline)).encode()
    assert beet.stat().st_mode & 0o777 == 0o640
    assert [path.name for path in beet.parent.iterdir()] == ["beet.txt"]
    assert "error" in told.out
    assert "style" not in told.out
    assert "beet.txt: 2 mended." in told.err


def test_what_needs_no_mend_is_not_written(beet: Path) -> None:
    beet.write_text(ONE_FORM, "utf-8")
    before = beet.stat()
    assert main(["proof", "--mend", "sure", "beet.txt"]) == 1
    assert (beet.stat().st_ino, beet.stat().st_mtime_ns) == (before.st_ino, before.st_mtime_ns)


@pytest.mark.parametrize("arguments", [["--show"], ["--mend", "--show"]])
def test_show_prints_the_difference_and_writes_nothing(
    beet: Path, arguments: list[str], capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["proof", *arguments, "beet.txt"]) == 1
    told = capsys.readouterr().out
    assert "-Round 3: Sc in each stitch around. (13)\n+Rnd 3: Sc in each st around. (13)\n" in told
    assert beet.read_text("utf-8") == TWO_FORMS


def test_a_link_stays_a_link(beet: Path) -> None:
    link = beet.with_name("link.txt")
    link.symlink_to(beet)
    assert main(["proof", "--mend", "link.txt"]) == 1
    assert link.is_symlink()
    assert beet.read_text("utf-8") == ONE_FORM


def test_standard_input_is_not_mended(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(sys, "stdin", io.TextIOWrapper(io.BytesIO(TWO_FORMS.encode())))
    assert main(["proof", "--mend", "-"]) == 2
    assert "Standard input cannot be mended" in capsys.readouterr().err


def rule_that_mends(old: str, new: str) -> Rule:
    """A rule that finds a word and claims to be sure of a mend."""

    def check(context: ProofContext) -> list[Finding]:
        start = context.pattern.source.text.find(old)
        span = Span(start, start + len(old))
        mend = Mend("So it is.", True, (Edit(start, span.end, new),))
        return [context.finding(span, "It is not so.", mends=[mend])] if start >= 0 else []

    return Rule("not-so", Grade.STYLE, check)


def after_mending(text: str, old: str, new: str) -> Proof:
    rules = (*load_rules(), rule_that_mends(old, new))
    pattern = proofhook.read(text)
    before = proof(pattern, proofhook.tally(pattern), House(), rules)
    return mend_surely(before, rules)


@pytest.mark.parametrize(
    ("old", "new", "kept"),
    [
        ("ring", "loop", True),
        ("ring", "ring and ring", False),  # the finding stays
        ("6 sc", "7 sc", False),  # another count
        ("(6)", "(6", False),  # a new finding
        ("2 sc in each", "frumble each", False),  # not understood any more
    ],
)
def test_a_mend_is_kept_only_if_it_takes_its_finding_away_and_brings_none(
    old: str, new: str, kept: bool
) -> None:
    text = "Rnd 1: 6 sc in a magic ring. (6)\nRnd 2: 2 sc in each st around. (12)\n"
    after = after_mending(text, old, new)
    assert after.pattern.source.text == (text.replace(old, new) if kept else text)


def test_one_bad_mend_does_not_keep_the_good_ones_back() -> None:
    after = after_mending(TWO_FORMS, "6 sc", "7 sc")
    assert after.pattern.source.text == ONE_FORM


def test_words_that_were_not_understood_are_left_alone() -> None:
    text = "Rnd 1: 6 sc in a magic ring. (6)\nRnd 2: Frumble 2 in each st around. (12)\n"
    assert after_mending(text, "Frumble", "Bumble").pattern.source.text == text


class Terminal(io.StringIO):
    """Input or output that says it is a terminal."""

    def isatty(self) -> bool:
        return True


def answer(monkeypatch: pytest.MonkeyPatch, answers: str) -> tuple[int, str]:
    out = Terminal()
    monkeypatch.setattr(sys, "stdin", Terminal(answers))
    monkeypatch.setattr(sys, "stdout", out)
    status = main(["proof", "--mend", "offered", "beet.txt", "--format", "lines"])
    return status, out.getvalue()


@pytest.mark.parametrize(
    ("answers", "changed"),
    [
        ("y\ny\ny\n", ONE_FORM.replace("(13)", "(12)")),
        ("n\nn\nn\n", TWO_FORMS),
        ("q\n", TWO_FORMS),
        ("", TWO_FORMS),
        ("what\ny\nq\n", TWO_FORMS.replace("(13)", "(12)")),
    ],
)
def test_offered_mends_are_asked_about_one_by_one(
    beet: Path, monkeypatch: pytest.MonkeyPatch, answers: str, changed: str
) -> None:
    status, told = answer(monkeypatch, answers)
    assert beet.read_text("utf-8") == changed
    assert status == ("(13)" in changed)
    assert "beet.txt:3:" in told


def test_offered_mends_need_a_terminal(beet: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["proof", "--mend", "offered", "beet.txt"]) == 2
    assert "asks on a terminal" in capsys.readouterr().err
    assert beet.read_text("utf-8") == TWO_FORMS
