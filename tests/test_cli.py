"""The command line: what is written where, and the status the run ends with."""

from __future__ import annotations

import io
import json
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any, NamedTuple

import pytest

import proofhook.desk
from making import made
from proofhook.cli import main
from proofhook.counting.result import Tally
from proofhook.text import Source

RIGHT = "Rnd 1: 6 sc in a magic ring. (6)\nRnd 2: sc around. (6)\n"
WRONG = "Rnd 1: 6 sc in a magic ring. (6)\nRnd 2: (sc around. (6)\n"
QUERY = "Rnd 1: 6 sc in a magic ring. (6)\nRnd 3: sc around. (6)\n"


class Run(NamedTuple):
    status: int
    out: str
    err: str


Runs = Callable[..., Run]


def by_hand(source: Source) -> Tally:
    if "burst" in source.text:
        raise RuntimeError("it\nburst")
    return made(source.text, path=source.path)


@pytest.fixture
def run(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> Runs:
    """Run the command in an empty folder, with tallies made by hand."""
    monkeypatch.setattr("proofhook.reading.read", lambda source: source)
    monkeypatch.setattr("proofhook.counting.tally.tally", by_hand)
    monkeypatch.chdir(tmp_path)

    def call(*arguments: str) -> Run:
        try:
            status = main(arguments)
        except SystemExit as stop:
            status = int(stop.code or 0)
        out, err = capsys.readouterr()
        assert "Traceback" not in err
        return Run(status, out, err)

    return call


def put(name: str, text: str) -> str:
    Path(name).parent.mkdir(parents=True, exist_ok=True)
    Path(name).write_text(text, "utf-8")
    return name


def test_a_right_pattern_passes(run: Runs) -> None:
    done = run("proof", put("a.txt", RIGHT))
    assert (done.status, done.err) == (0, "")
    assert done.out == (
        "2 rows: 2 worked out (2 agree), none left unread.\n"
        "Nothing to mark. A run fails on errors: it passes.\n"
    )


def test_an_error_fails_the_run(run: Runs) -> None:
    done = run("proof", put("a.txt", WRONG), put("b.txt", RIGHT))
    assert (done.status, done.err) == (1, "")
    assert done.out.startswith("a.txt\n")
    assert done.out.endswith("1 error. A run fails on errors: it fails.\n")


def test_a_query_fails_the_run_only_where_the_house_says_so(run: Runs) -> None:
    put("strict/housestyle.toml", 'failing = "query"\n')
    assert run("proof", put("a.txt", QUERY)).status == 0
    strict = run("proof", put("strict/a.txt", QUERY))
    assert strict.status == 1
    assert "A run fails on errors and queries: it fails." in strict.out
    assert run("proof", "a.txt", "strict/a.txt").status == 1


def test_each_pattern_is_proofed_in_its_own_house(run: Runs) -> None:
    put("lax/housestyle.toml", '[rules]\nmarks-unpaired = "off"\n')
    put("lax/deep/a.txt", WRONG)
    put("a.txt", WRONG)
    assert run("proof", "lax").status == 0
    lines = run("proof", ".", "--format", "lines")
    assert lines.status == 1
    assert lines.out.count("marks-unpaired") == 1


def test_the_nearest_house_of_a_file_named_without_a_folder(run: Runs) -> None:
    put("housestyle.toml", '[rules]\nmarks-unpaired = "off"\n')
    assert run("proof", put("a.txt", WRONG)).status == 0


def test_a_bad_house_is_told_once_and_its_patterns_are_not_proofed(run: Runs) -> None:
    put("bad/housestyle.toml", '[rules]\nrow-ordr = "off"\n')
    put("bad/a.txt", RIGHT)
    put("bad/b.txt", RIGHT)
    put("good.txt", WRONG)
    done = run("proof", "bad", "good.txt", "--format", "lines")
    assert done.status == 2
    assert done.err.count("there is no rule 'row-ordr'; did you mean 'row-order'?") == 1
    assert done.out.startswith("good.txt:2:")
    assert "2 files could not be proofed" in run("proof", "bad").out


def test_a_plug_in_that_does_not_load_is_told(run: Runs) -> None:
    put("housestyle.toml", 'plugins = ["nobody_made_this"]\n')
    done = run("proof", put("a.txt", RIGHT))
    assert done.status == 2
    assert done.err.startswith("proofhook: The plug-in nobody_made_this is not installed;")


def test_a_rule_that_fails_is_told_and_the_findings_of_others_stand(
    run: Runs, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.syspath_prepend(tmp_path)
    put(
        "tumbling_rules.py",
        "from proofhook.proofing import Grade, hookimpl, rule\n"
        "@rule('tumbles', Grade.STYLE)\ndef tumbles(context):\n    raise KeyError('stalk')\n"
        "@hookimpl\ndef proofhook_rules():\n    return [tumbles]\n",
    )
    put("housestyle.toml", 'plugins = ["tumbling_rules"]\n')
    done = run("proof", put("a.txt", WRONG))
    assert done.status == 2
    assert done.err == (
        "proofhook: a.txt: the rule tumbles of the plug-in tumbling_rules failed "
        "(KeyError: 'stalk'); the other rules went on.\n"
    )
    assert "(marks-unpaired)" in done.out


@pytest.mark.parametrize("command", ["proof", "tally"])
@pytest.mark.parametrize(
    ("name", "content", "told"),
    [
        ("none.txt", None, "none.txt: there is no such file or folder."),
        ("empty.txt", b"", "empty.txt: it is empty."),
        ("blank.txt", b" \n\t\n", "blank.txt: it is empty."),
        ("prose.txt", b"A walk in the garden.\n", "prose.txt: no rows or rounds were found in it."),
        ("binary.txt", b"Rnd 1: \x00", "binary.txt: not a text file;"),
        ("latin.txt", b"caf\xe9", "latin.txt:1: byte 3 is not UTF-8;"),
        ("huge.txt", b"Rnd 1: sc. (6)\n" * 1_400_000, "huge.txt: larger than 1 MB,"),
        ("burst.txt", b"burst", ("burst.txt: proofhook could not get through it "
         "(RuntimeError: it burst); please report this.")),
    ],
)  # fmt: skip
def test_a_file_that_cannot_be_done_is_one_sentence_and_the_others_go_on(
    run: Runs, command: str, name: str, content: bytes | None, told: str
) -> None:
    if content is not None:
        Path(name).write_bytes(content)
    put("zz.txt", RIGHT)
    done = run(command, name, "zz.txt", "--format", "json")
    assert done.status == 2
    assert done.err.startswith(f"proofhook: {told}")
    assert done.err.count("\n") == 1
    assert [file["path"] for file in json.loads(done.out)["files"]] == ["zz.txt"]


def test_a_traceback_can_be_had_by_those_who_want_one(
    run: Runs, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("PROOFHOOK_TRACEBACK", "1")
    with pytest.raises(RuntimeError, match="burst"):
        run("proof", put("a.txt", "burst"))


def test_a_folder_passes_over_what_has_no_rows(run: Runs) -> None:
    put("folder/README.md", "Patterns of the season.\n")
    put("folder/a.txt", RIGHT)
    done = run("proof", "folder")
    assert (done.status, done.err) == (0, "")
    assert "1 file without rows passed over." in done.out


def test_a_folder_without_patterns_is_told(run: Runs) -> None:
    put("folder/README.md", "Patterns of the season.\n")
    Path("bare").mkdir()
    done = run("proof", "folder", "bare", put("a.txt", RIGHT))
    assert done.status == 2
    assert done.err.splitlines() == [
        "proofhook: bare: there is no .txt or .md file with rows in this folder.",
        "proofhook: folder: there is no .txt or .md file with rows in this folder.",
    ]


def test_a_folder_of_files_that_cannot_be_read_is_not_called_empty_too(run: Runs) -> None:
    Path("folder").mkdir()
    Path("folder/a.txt").write_bytes(b"\0")
    done = run("proof", "folder")
    assert done.status == 2
    assert done.err.count("\n") == 1
    assert "folder/a.txt: not a text file" in done.err


def test_the_hook_passes_over_files_without_rows_and_says_how_many(run: Runs) -> None:
    names = put("README.md", "About.\n"), put("b.txt", ""), put("a.txt", RIGHT)
    done = run("proof", "--pass-over", *names)
    assert (done.status, done.err) == (0, "")
    assert "2 files without rows passed over." in done.out
    lines = run("proof", "--pass-over", "--format", "lines", *names)
    assert (lines.status, lines.out) == (0, "")
    assert lines.err == "2 files without rows passed over.\n"
    assert run("proof", "--pass-over", "README.md").status == 0
    assert run("proof", "README.md").status == 2


def test_the_hook_does_not_pass_over_what_it_cannot_read(run: Runs) -> None:
    Path("a.txt").write_bytes(b"\0")
    assert run("proof", "--pass-over", "a.txt").status == 2


def test_standard_input(run: Runs, monkeypatch: pytest.MonkeyPatch) -> None:
    class Input:
        buffer = io.BytesIO(WRONG.encode())

    monkeypatch.setattr(sys, "stdin", Input)
    done = run("proof", "-", "--format", "lines")
    assert done.status == 1
    assert done.out.startswith("-:2:8: error: A round bracket (")


def test_standard_input_has_a_name_for_people(run: Runs, monkeypatch: pytest.MonkeyPatch) -> None:
    class Input:
        buffer = io.BytesIO(b"")

    monkeypatch.setattr(sys, "stdin", Input)
    assert run("proof", "-").err == "proofhook: standard input: it is empty.\n"
    monkeypatch.setattr(sys, "stdin", None)
    assert run("proof", "-").status == 2


def test_a_tally_lists_and_judges_nothing(run: Runs) -> None:
    done = run("tally", put("a.txt", WRONG))
    assert (done.status, done.err) == (0, "")
    assert done.out.startswith("a.txt\n\n  row")
    assert done.out.endswith("2 rows: 2 agree, 0 differ, 0 state no total, 0 could not be read.\n")
    assert run("tally", "a.txt", "--format", "lines").out.startswith("a.txt:1:1: agrees: ")


@pytest.mark.parametrize(
    ("arguments", "told"),
    [
        (["prof", "a.txt"], "'prof'"),
        (["proof"], "FILE"),
        (["proof", "a.txt", "--format", "html"], "'html'"),
        (["proof", "a.txt", "--fix"], "--fix"),
        (["tally", "a.txt", "--pass-over"], "--pass-over"),
    ],
)
def test_a_wrong_call_is_one_sentence(run: Runs, arguments: list[str], told: str) -> None:
    done = run(*arguments)
    assert (done.status, done.out) == (2, "")
    assert done.err.startswith("proofhook: ")
    assert told in done.err
    assert done.err.count("\n") == 1


def test_without_a_command_there_is_help_and_nothing_done(run: Runs) -> None:
    done = run()
    assert done.status == 2
    assert "For example:" in done.out


@pytest.mark.parametrize("command", [[], ["proof"], ["tally"]])
def test_help_has_an_example_that_begins_with_the_command(run: Runs, command: list[str]) -> None:
    done = run(*command, "--help")
    assert done.status == 0
    assert "For example:\n  proofhook " + (command[0] if command else "proof") in done.out


def test_the_version(run: Runs) -> None:
    assert run("--version") == (0, f"proofhook {proofhook.__version__}\n", "")


def test_a_reader_that_has_gone_is_no_matter(run: Runs, monkeypatch: pytest.MonkeyPatch) -> None:
    closed: list[tuple[Any, ...]] = []
    monkeypatch.setattr("proofhook.cli.os.dup2", lambda *given: closed.append(given))

    class Gone(io.StringIO):
        def write(self, _text: str) -> int:
            raise BrokenPipeError

    monkeypatch.setattr(sys, "stdout", Gone())
    done = run("proof", put("a.txt", WRONG))
    assert (done.status, done.err) == (2, "")
    assert len(closed) == 1


def test_output_that_cannot_be_written_is_told(run: Runs, monkeypatch: pytest.MonkeyPatch) -> None:
    class Full(io.StringIO):
        def write(self, _text: str) -> int:
            raise OSError(28, "No space left on device")

    monkeypatch.setattr(sys, "stdout", Full())
    done = run("proof", put("a.txt", WRONG))
    assert done.status == 2
    assert done.err == "proofhook: the output could not be written (No space left on device).\n"


def test_ctrl_c_ends_the_run_without_a_word(run: Runs, monkeypatch: pytest.MonkeyPatch) -> None:
    def stop(_source: Source) -> Tally:
        raise KeyboardInterrupt

    monkeypatch.setattr("proofhook.counting.tally.tally", stop)
    assert run("proof", put("a.txt", WRONG)) == (130, "", "")


def test_a_terminal_that_lacks_letters_still_gets_the_page(
    run: Runs, monkeypatch: pytest.MonkeyPatch
) -> None:
    raw = io.BytesIO()
    monkeypatch.setattr(sys, "stdout", io.TextIOWrapper(raw, encoding="ascii"))
    text = WRONG.replace("sc around", "sc – around")
    assert run("proof", put("a.txt", text)).status == 1
    sys.stdout.flush()
    assert b"Rnd 2: <(>sc ? around." in raw.getvalue()


def test_files_come_out_as_they_are_done(run: Runs, monkeypatch: pytest.MonkeyPatch) -> None:
    seen: list[str] = []
    out = io.StringIO()

    def watching(source: Source) -> Tally:
        seen.append(out.getvalue())
        return by_hand(source)

    monkeypatch.setattr(sys, "stdout", out)
    monkeypatch.setattr("proofhook.counting.tally.tally", watching)
    for form in ("page", "lines", "json"):
        seen.clear()
        run("proof", put("a.txt", WRONG), put("b.txt", WRONG), "--format", form)
        assert "a.txt" in seen[1]


class Terminal(io.StringIO):
    def isatty(self) -> bool:
        return True


def test_progress_shows_on_a_terminal_and_goes_away(
    run: Runs, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("proofhook.desk.Progress.PATIENCE", -1.0)
    for number in range(3):
        put(f"folder/{number}.txt", RIGHT)
    terminal = Terminal()
    monkeypatch.setattr(sys, "stderr", terminal)
    assert run("proof", "folder").status == 0
    assert "\r\x1b[K1 of 3: folder/0.txt" in terminal.getvalue()
    assert terminal.getvalue().endswith("\r\x1b[K")
    put(f"folder/{'long' * 30}.txt", RIGHT)
    monkeypatch.setenv("COLUMNS", "44")
    monkeypatch.setattr("proofhook.desk.Progress.PACE", -1.0)
    terminal = Terminal()
    monkeypatch.setattr(sys, "stderr", terminal)
    run("proof", "folder")
    assert max(map(len, terminal.getvalue().split("\r\x1b[K"))) == 43
    plain = io.StringIO()
    monkeypatch.setattr(sys, "stderr", plain)
    run("proof", "folder")
    assert plain.getvalue() == ""
