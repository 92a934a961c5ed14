"""`proofhook translate`: where editions go, what is said, and that nothing is half written."""

from __future__ import annotations

import io
import os
import stat
import sys
from pathlib import Path

import pytest

from proofhook import editions
from proofhook.cli import main
from proofhook.files import write_whole
from proofhook.text import Source
from proofhook.translating import second_edition

US = "RADISH\n\nUS terms.\n\nRnd 1: 6 sc in a magic ring. (6)\nRnd 2: 2 sc in each st. (12)\n"
UK = "RADISH\n\nUK terms.\n\nRnd 1: 6 dc in a magic ring. (6)\nRnd 2: 2 dc in each st. (12)\n"
MIXED = US + "Rnd 3: Htr in each st. (12)\n"

Said = pytest.CaptureFixture[str]


@pytest.fixture(autouse=True)
def here(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    Path("radish.txt").write_text(US, "utf-8")
    return tmp_path


def test_an_edition_goes_to_standard_output(capsys: Said) -> None:
    assert main(["translate", "--to", "uk", "radish.txt"]) == 0
    assert capsys.readouterr() == (UK, "")
    assert Path("radish.txt").read_text("utf-8") == US


def test_standard_input_is_translated(capsys: Said, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sys, "stdin", io.TextIOWrapper(io.BytesIO(US.encode())))
    assert main(["translate", "--to", "uk", "-"]) == 0
    assert capsys.readouterr().out == UK


def test_a_pattern_in_the_terms_already_is_given_as_it_is(capsys: Said) -> None:
    assert main(["translate", "--to", "us", "radish.txt"]) == 0
    said = capsys.readouterr()
    assert said.out == US
    assert said.err == "proofhook: radish.txt: it is in US terms already.\n"


def test_an_edition_goes_where_it_is_told(capsys: Said) -> None:
    assert main(["translate", "--to", "uk", "radish.txt", "-o", "rettich.txt"]) == 0
    assert Path("rettich.txt").read_text("utf-8") == UK
    said = capsys.readouterr()
    assert said.out == ""
    assert said.err == "proofhook: radish.txt: in UK terms, written to rettich.txt.\n"


def test_several_editions_go_into_a_folder_under_names_of_their_own() -> None:
    Path("turnip.md").write_text(US, "utf-8")
    names = ["radish.txt", "turnip.md"]
    assert main(["translate", "--to", "uk", *names, "--into", "british/new"]) == 0
    assert sorted(os.listdir("british/new")) == ["radish-uk.txt", "turnip-uk.md"]
    name = "{terms}_{stem}{suffix}"
    assert main(["translate", "--to", "uk", *names, "--into", "b", "--name", name]) == 0
    assert sorted(os.listdir("b")) == ["uk_radish.txt", "uk_turnip.md"]


def test_a_folder_keeps_its_folders_and_leaves_out_its_editions(capsys: Said) -> None:
    for path in ("all/a.txt", "all/roots/a.txt"):
        Path(path).parent.mkdir(exist_ok=True)
        Path(path).write_text(US, "utf-8")
    Path("all/readme.txt").write_text("No pattern here.\n", "utf-8")
    for _ in range(2):
        assert main(["translate", "--to", "uk", "all", "--into", "all/uk"]) == 0
        found = sorted(str(path) for path in Path("all/uk").rglob("*.txt"))
        assert found == ["all/uk/a-uk.txt", "all/uk/roots/a-uk.txt"]
    assert "readme" not in capsys.readouterr().err


def test_a_folder_without_patterns_is_said_to_be_one(capsys: Said) -> None:
    Path("all").mkdir()
    Path("all/readme.txt").write_text("No pattern here.\n", "utf-8")
    assert main(["translate", "--to", "uk", "all", "--into", "uk"]) == 2
    said = capsys.readouterr().err
    assert said == "proofhook: all: there is no .txt or .md file with rows in this folder.\n"


def test_in_place_keeps_mode_mark_and_line_ends() -> None:
    path = Path("radish.txt")
    path.write_bytes(b"\xef\xbb\xbf" + US.replace("\n", "\r\n").encode())
    path.chmod(0o640)
    assert main(["translate", "--to", "uk", "--in-place", "radish.txt"]) == 0
    assert path.read_bytes() == b"\xef\xbb\xbf" + UK.replace("\n", "\r\n").encode()
    assert stat.S_IMODE(path.stat().st_mode) == 0o640


def test_a_link_is_followed_and_stays_one() -> None:
    Path("link.txt").symlink_to("radish.txt")
    assert main(["translate", "--to", "uk", "--in-place", "link.txt"]) == 0
    assert Path("link.txt").is_symlink()
    assert Path("radish.txt").read_text("utf-8") == UK


def test_a_file_in_the_terms_already_is_not_touched() -> None:
    os.utime("radish.txt", ns=(1, 1))
    assert main(["translate", "--to", "us", "--in-place", "radish.txt"]) == 0
    assert Path("radish.txt").stat().st_mtime_ns == 1


def test_a_question_leaves_the_file_and_ends_with_2(capsys: Said) -> None:
    Path("radish.txt").write_text(MIXED, "utf-8")
    assert main(["translate", "--to", "uk", "--in-place", "radish.txt"]) == 2
    assert Path("radish.txt").read_text("utf-8") == MIXED
    assert capsys.readouterr().err == (
        "proofhook: radish.txt:7: not translated: which terms is this in? “us terms” is US, "
        "“htr” is UK; say it with --from us or --from uk.\n"
    )


def test_a_refused_pattern_gives_no_output_and_the_others_are_written(capsys: Said) -> None:
    Path("mixed.txt").write_text(MIXED, "utf-8")
    arguments = ["translate", "--to", "uk", "--from", "us", "mixed.txt", "radish.txt"]
    assert main([*arguments, "--into", "uk"]) == 2
    assert os.listdir("uk") == ["radish-uk.txt"]
    assert "mixed.txt:7: not translated: “Htr”" in capsys.readouterr().err


def test_what_a_person_has_to_look_at_is_told_with_its_line(capsys: Said) -> None:
    text = US + "Rnd 3: Follow the chart 3 times. (12)\n\n“Work a dc”, she said.\n"
    Path("radish.txt").write_text(text, "utf-8")
    assert main(["translate", "--to", "uk", "radish.txt"]) == 0
    said = capsys.readouterr()
    assert "Follow the chart 3 times. (12)\n\n“Work a dc”, she said.\n" in said.out
    assert (
        "radish.txt:7: “Follow the chart 3 times” is left as it is, since it is not read."
        in said.err
    )
    assert "radish.txt:9: “dc” is left as it is, since it stands in a quotation." in said.err


def test_terms_that_are_not_stated_are_told_of(capsys: Said) -> None:
    Path("radish.txt").write_text(US.replace("US terms.\n\n", ""), "utf-8")
    assert main(["translate", "--to", "uk", "radish.txt"]) == 0
    assert "does not say which terms it uses; add “UK terms”." in capsys.readouterr().err


@pytest.mark.parametrize(
    ("arguments", "sentence"),
    [
        (["radish.txt", "radish.txt", "turnip.txt"], "Several patterns cannot go to one place"),
        (["-", "--in-place"], "Standard input has no place to be written to; ask for -o."),
        (["-", "--into", "uk"], "Standard input has no name to make another of; ask for -o."),
        (["radish.txt", "--into", ".", "--name", "{stem}{suffix}"], "choose another --name"),
        (["radish.txt", "turnip.txt", "--into", "uk", "--name", "x"], "choose another --name"),
        (["radish.txt", "--into", "uk", "--name", "{title}"], "it may hold {stem}, {terms}"),
        (["radish.txt", "--into", "uk", "--name", "../{stem}"], "no name for a file"),
        (["radish.txt", "--into", "uk", "--name", "{stem"], "no name for a file"),
        (["radish.txt", "--into", "uk", "--name", "{stem.__class__}/"], "no name for a file"),
        (["radish.txt", "--name", "{stem}"], "--name is for the files that --into writes"),
        (["parsnip.txt"], "parsnip.txt: there is no such file or folder."),
        (["radish.txt", "-o", "no/such/dir.txt/"], "it could not be written"),
    ],
)
def test_a_wrong_call_is_answered_in_a_sentence_and_writes_nothing(
    arguments: list[str], sentence: str, capsys: Said, here: Path
) -> None:
    Path("turnip.txt").write_text(US, "utf-8")
    assert main(["translate", "--to", "uk", *arguments]) == 2
    said = capsys.readouterr()
    assert said.out == ""
    assert sentence in said.err
    assert Path("radish.txt").read_text("utf-8") == US
    assert not list(here.glob("uk/*"))


@pytest.mark.parametrize("more", [["--to", "fr"], [], ["--to", "uk", "-o", "a", "--in-place"]])
def test_a_call_that_cannot_be_meant_ends_with_2(more: list[str]) -> None:
    with pytest.raises(SystemExit) as ended:
        main(["translate", "radish.txt", *more])
    assert ended.value.code == 2


def test_a_file_that_was_changed_meanwhile_is_refused(
    capsys: Said, monkeypatch: pytest.MonkeyPatch
) -> None:
    def slow(source: Source, to: str, side: str) -> object:
        made = second_edition(source, to, side)
        Path("radish.txt").write_text(US + "\nA remark.\n", "utf-8")
        return made

    monkeypatch.setattr(editions, "second_edition", slow)
    assert main(["translate", "--to", "uk", "--in-place", "radish.txt"]) == 2
    assert "it was changed meanwhile" in capsys.readouterr().err
    assert Path("radish.txt").read_text("utf-8") == US + "\nA remark.\n"


def test_a_run_that_is_broken_off_leaves_every_file_old_or_new(
    here: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    for name in ("turnip.txt", "swede.txt"):
        Path(name).write_text(US, "utf-8")
    written: list[str] = []

    def broken(path: str, data: bytes) -> None:
        if written:
            raise KeyboardInterrupt
        written.append(path)
        write_whole(path, data)

    monkeypatch.setattr(editions, "write_whole", broken)
    names = ["radish.txt", "swede.txt", "turnip.txt"]
    assert main(["translate", "--to", "uk", "--in-place", *names]) == 130
    assert [Path(name).read_text("utf-8") for name in names] == [UK, US, US]
    assert sorted(path.name for path in here.iterdir()) == names


def test_a_fault_of_the_program_spares_the_other_files(
    capsys: Said, monkeypatch: pytest.MonkeyPatch
) -> None:
    Path("turnip.txt").write_text(UK, "utf-8")

    def faulty(source: object, to: str, side: str) -> object:
        raise RuntimeError("no such stitch")

    monkeypatch.setattr(editions, "second_edition", faulty)
    monkeypatch.delenv("PROOFHOOK_TRACEBACK", raising=False)
    assert main(["translate", "--to", "uk", "--in-place", "radish.txt", "turnip.txt"]) == 2
    assert capsys.readouterr().err.count("please report this") == 2
    assert Path("radish.txt").read_text("utf-8") == US
