"""The whole command as people run it: real files in, real output out, nothing patched."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

WRONG = """\
MARROW

Rnd 1: 6 sc in a magic ring. (6)
Rnd 2: 2 sc in each st around. (12)
Rnd 3: (Sc in next st, 2 sc in next st) 6 times. (20)
Rnd 4: (Sc in next 2 sts, 2 sc in next st) 6 times. (24)
"""
RIGHT = WRONG.replace("(20)", "(18)")

ONE_ROW = "Rnd 1: 6 sc in a magic ring. (6)\n"

EVEN = "Sc in each st around. (6)\n"

#: What no one should send in.
HOSTILE = {
    "a line of a million characters": "Rnd 1: " + "sc, " * 250_000,
    "a word of a million characters": "Rnd 1: " + "s" * 1_000_000,
    "a million digits": "Rnd 1: " + "9" * 1_000_000 + " sc",
    "brackets nested 10,000 deep": "Rnd 1: " + "(" * 10_000 + "sc" + ") x 2" * 10_000,
    "brackets that never close": "Rnd 1: " + "([{" * 100_000,
    "stars without end": "Rnd 1: " + "*" * 300_000 + " rep from *" * 10_000,
    "a vast repeat": f"{ONE_ROW}Rnd 2: *sc in next st; rep from * 999999999 times.",
    "a chain of 10^30": f"Ch 1{'0' * 30}.\nRow 1: Sc in 2nd ch from hook and in each ch across.",
    "a range of a thousand million": f"{ONE_ROW}Rnds 2-999999999: {EVEN}",
    "repeats that multiply": f"{ONE_ROW}Rnd 2: {'(' * 40}sc in next st{') 99 times' * 40}",
    "a size list of 100,000": f"Ch 6 ({', '.join(['6'] * 100_000)}).\nRow 1: sc across. (6)",
    "nearly ten thousand rows": "".join(f"Rnd {number}: {EVEN}" for number in range(1, 10_000)),
    "line ends of all kinds": "Rnd 1: 6 sc in ring. (6)\r\rRnd 2: sc\x0b\x0c\u2028.\r\n" * 100,
    "letters turned round": "Rnd 1: \u202e6 sc in ring\u202c. (6)\n\x1b[2J\x07",
}

#: How long the command may take over it, in seconds, and what it may hold, in kB.
PATIENCE, MOST_MEMORY = 20.0, 500_000


def run(
    *arguments: str,
    folder: Path,
    text: str | None = None,
    patience: float = PATIENCE,
    **environment: str,
) -> subprocess.CompletedProcess[str]:
    done = subprocess.run(
        [sys.executable, "-m", "proofhook", *arguments],
        cwd=folder,
        input=text,
        capture_output=True,
        encoding="utf-8",
        timeout=patience,
        check=False,
        env={**os.environ, "PYTHONIOENCODING": "utf-8", **environment},
    )
    assert "Traceback" not in done.stderr, done.stderr
    return done


def test_a_wrong_total_is_shown_and_the_corrected_one_passes(tmp_path: Path) -> None:
    (tmp_path / "marrow.txt").write_text(WRONG, "utf-8")
    done = run("proof", "marrow.txt", folder=tmp_path)
    assert done.returncode == 1
    assert "times. (‹20›)" in done.stdout
    assert "The round makes 18 sts, but the total says 20. (stitch-total)" in done.stdout
    assert "4 rows: 4 worked out (3 agree, 1 differs), none left unread." in done.stdout
    assert done.stdout.count("(stitch-total)") == 1
    (tmp_path / "marrow.txt").write_text(RIGHT, "utf-8")
    done = run("proof", "marrow.txt", folder=tmp_path)
    assert (done.returncode, done.stderr) == (0, "")


def test_the_mend_of_the_json_corrects_the_text(tmp_path: Path) -> None:
    from proofhook.text import Edit, apply_edits

    done = run("proof", "-", "--format", "json", folder=tmp_path, text=WRONG)
    [finding] = json.loads(done.stdout)["files"][0]["findings"]
    edits = [Edit(**edit) for edit in finding["mends"][0]["edits"]]
    assert apply_edits(WRONG, edits) == RIGHT


def test_a_tally_gives_every_row_its_verdict(tmp_path: Path) -> None:
    done = run("tally", "-", "--format", "json", folder=tmp_path, text=WRONG)
    rows = json.loads(done.stdout)["files"][0]["rows"]
    assert [(row["line"], row["stated"], row["worked"], row["verdict"]) for row in rows] == [
        (3, [6], [6], "agrees"),
        (4, [12], [12], "agrees"),
        (5, [20], [18], "differs"),
        (6, [24], [24], "agrees"),
    ]


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig"])
@pytest.mark.parametrize("newline", ["\n", "\r\n"])
def test_encoding_and_newlines_move_no_place(tmp_path: Path, encoding: str, newline: str) -> None:
    (tmp_path / "marrow.txt").write_bytes(WRONG.replace("\n", newline).encode(encoding))
    done = run("proof", "marrow.txt", "--format", "lines", folder=tmp_path)
    assert done.stdout.startswith("marrow.txt:5:51: error: ")


@pytest.mark.parametrize("name", HOSTILE)
@pytest.mark.parametrize("command", ["proof", "tally"])
def test_hostile_text_ends_in_words(tmp_path: Path, command: str, name: str) -> None:
    (tmp_path / "hostile.txt").write_bytes(HOSTILE[name].encode())
    done = run(command, "hostile.txt", folder=tmp_path, PROOFHOOK_TRACEBACK="")
    assert done.returncode in (0, 1, 2)
    assert "please report" not in done.stderr
    assert "\x1b" not in done.stdout
    assert "\u202e" not in done.stdout


@pytest.mark.skipif(sys.platform != "linux", reason="peak memory is read as Linux tells it")
def test_hostile_text_does_not_fill_the_memory(tmp_path: Path) -> None:
    import resource

    for number, text in enumerate(HOSTILE.values()):
        (tmp_path / f"{number}.txt").write_bytes(text.encode())
    run("proof", ".", "--format", "lines", folder=tmp_path, patience=6 * PATIENCE)
    assert resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss < MOST_MEMORY


def test_reading_on_into_a_closed_pipe_is_quiet(tmp_path: Path) -> None:
    (tmp_path / "marrow.txt").write_text(WRONG * 200, "utf-8")
    words = [sys.executable, "-m", "proofhook", "proof", "marrow.txt", "--format", "lines"]
    with subprocess.Popen(
        words, cwd=tmp_path, stdout=subprocess.PIPE, stderr=subprocess.PIPE
    ) as process:
        assert process.stdout
        assert process.stderr
        process.stdout.readline()
        process.stdout.close()
        assert process.stderr.read() == b""
        assert process.wait(PATIENCE) in (1, 2)


def test_the_command_is_installed() -> None:
    command = Path(sys.executable).with_name("proofhook")
    if not command.exists():
        pytest.skip("proofhook is not installed beside this Python")
    done = subprocess.run([command, "--version"], capture_output=True, text=True, check=False)
    assert done.stdout.startswith("proofhook ")
