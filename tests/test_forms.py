"""The forms of output: one table, told about in the help, written to a file on request."""

from __future__ import annotations

import os
import threading
from collections.abc import Iterator
from pathlib import Path

import pytest

from proofhook.cli import main
from proofhook.showing.forms import (
    PROOF_FORMS,
    TALLY_FORMS,
    FormError,
    proof_form,
    tally_form,
)

WRONG = "Rnd 1: 6 sc in a magic ring. (7)\n"


@pytest.fixture(autouse=True)
def in_folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    monkeypatch.delenv("COLUMNS", raising=False)
    Path("turnip.txt").write_text(WRONG, "utf-8")


@pytest.mark.parametrize("command", ["proof", "tally"])
def test_every_form_is_told_about_in_the_help(
    command: str, capsys: pytest.CaptureFixture[str]
) -> None:
    with pytest.raises(SystemExit):
        main([command, "--help"])
    told = " ".join(capsys.readouterr().out.split()).partition("--format FORM")[2]
    for name in PROOF_FORMS if command == "proof" else TALLY_FORMS:
        assert f" {name}" in told


@pytest.mark.parametrize("name", PROOF_FORMS)
def test_every_form_of_a_proof_says_what_is_wrong(
    name: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["proof", "turnip.txt", "--format", name]) == 1
    told = capsys.readouterr().out
    assert "The round makes 6 sts, but the total says 7." in " ".join(told.split())
    assert told.endswith("\n")


@pytest.mark.parametrize("name", TALLY_FORMS)
def test_every_form_of_a_tally_says_what_is_made(
    name: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["tally", "turnip.txt", "--format", name]) == 0
    assert "differs" in capsys.readouterr().out


@pytest.mark.parametrize(
    ("arguments", "sentence"),
    [
        (["proof", "--format", "sraif"], "no form 'sraif' of a proof; did you mean 'sarif'?"),
        (
            ["tally", "--format", "sarif"],
            "no form 'sarif' of a tally. There are page, lines and json.",
        ),
        (["proof", "--format", ""], "no form '' of a proof. There are page, "),
    ],
)
def test_a_form_that_does_not_exist_is_a_sentence(
    arguments: list[str], sentence: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main([*arguments, "turnip.txt"]) == 2
    out, err = capsys.readouterr()
    assert out == ""
    assert sentence in err
    assert err.count("\n") == 1


def test_a_form_brought_by_others_is_named_with_ours() -> None:
    with pytest.raises(FormError, match="did you mean 'knots'"):
        proof_form("knot", ["knots"])
    with pytest.raises(FormError, match="no form 'knots' of a tally"):
        tally_form("knots")


def test_out_writes_what_would_be_printed(capsys: pytest.CaptureFixture[str]) -> None:
    for name in PROOF_FORMS:
        status = main(["proof", "turnip.txt", "--format", name])
        printed = capsys.readouterr().out
        assert main(["proof", "turnip.txt", "--format", name, "-o", "out"]) == status
        assert capsys.readouterr().out == ""
        assert Path("out").read_text("utf-8") == printed
    assert main(["tally", "turnip.txt", "--out", "out"]) == 0
    assert "differs" in Path("out").read_text("utf-8")
    assert sorted(os.listdir()) == ["out", "turnip.txt"]


def test_out_is_written_though_a_file_could_not_be_read() -> None:
    assert main(["proof", "turnip.txt", "none.txt", "-o", "out"]) == 2
    assert "1 file could not be proofed" in Path("out").read_text("utf-8")


@pytest.mark.parametrize("names", [["turnip.txt"], ["."], ["./turnip.txt", "other.txt"]])
def test_out_never_takes_the_place_of_a_pattern_that_is_read(
    names: list[str], capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["proof", *names, "-o", "turnip.txt"]) == 2
    assert "turnip.txt: this is a pattern that is to be read" in capsys.readouterr().err
    assert Path("turnip.txt").read_text("utf-8") == WRONG


def test_out_that_cannot_be_written_is_a_sentence(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["proof", "turnip.txt", "-o", "none/out"]) == 2
    out, err = capsys.readouterr()
    assert (out, err) == (
        "",
        "proofhook: none/out: it cannot be written (No such file or directory).\n",
    )


def test_what_was_there_stays_where_the_work_is_broken_off(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    from proofhook.showing import lines

    Path("out").write_text("before", "utf-8")

    def broken(_: object) -> Iterator[str]:
        yield "half a line"
        raise KeyboardInterrupt

    monkeypatch.setattr(lines, "write_proofs", broken)
    assert main(["proof", "turnip.txt", "--format", "lines", "-o", "out"]) == 130
    assert Path("out").read_text("utf-8") == "before"
    assert sorted(os.listdir()) == ["out", "turnip.txt"]


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="no named pipes here")
def test_out_may_be_a_pipe() -> None:
    os.mkfifo("pipe")
    came: list[str] = []
    reader = threading.Thread(target=lambda: came.append(Path("pipe").read_text("utf-8")))
    reader.start()
    assert main(["proof", "turnip.txt", "--format", "lines", "-o", "pipe"]) == 1
    reader.join(10)
    assert came[0].startswith("turnip.txt:1:31: error: ")
    assert not Path("pipe").is_file()


def test_out_and_show_do_not_go_together(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["proof", "turnip.txt", "--mend", "--show", "-o", "out"]) == 2
    assert "--show writes the difference" in capsys.readouterr().err
    assert not Path("out").exists()
