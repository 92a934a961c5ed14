"""What goes wrong in the middle: a pattern is there as it was or as it was to be, and never less.

Writing is stopped at every call of the system, and in a process of its own by a kill.
"""

from __future__ import annotations

import errno
import os
import shutil
import signal
import subprocess
import sys
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest

from proofhook.cli import main

UNTIDY = (
    "LEEK\n\nRnd 1:  6 sc in a magic ring .  ( 6 )\nRnd 2: Inc,inc,inc , inc, inc, inc. (12)  \n"
)
TIDY = "LEEK\n\nRnd 1: 6 sc in a magic ring. (6)\nRnd 2: Inc, inc, inc, inc, inc, inc. (12)\n"
SHEET = '[[wording]]\nwrite = "magic ring"\nnot = "magic circle"\nsure = true\n'
CIRCLE = TIDY.replace("magic ring", "magic circle")

#: What a command writes over, and what with: before, after and the command.
WRITES = {"tidy": (UNTIDY, TIDY, ["tidy"]), "mend": (CIRCLE, TIDY, ["proof", "--mend", "sure"])}
#: The calls that a write makes of the system, in the order in which it makes them.
CALLS = ("open", "write", "fsync", "chmod", "replace")

Ending = Callable[[], BaseException]


@pytest.fixture(params=WRITES)
def work(
    request: pytest.FixtureRequest, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> Iterator[tuple[str, str, list[str]]]:
    """A pattern leek.txt that one of the commands would change."""
    before, after, command = WRITES[request.param]
    monkeypatch.chdir(tmp_path)
    Path("housestyle.toml").write_text(SHEET, "utf-8")
    Path("leek.txt").write_text(before, "utf-8")
    yield before, after, [*command, "leek.txt"]
    assert [path.name for path in tmp_path.glob(".proofhook-*")] == []


def fail_at(monkeypatch: pytest.MonkeyPatch, call: str, error: BaseException) -> None:
    """Have one of the calls of a write raise an error."""

    def failing(*_given: Any, **_named: Any) -> Any:
        raise error

    if call == "open":
        monkeypatch.setattr("tempfile.mkstemp", failing)
    elif call != "write":
        monkeypatch.setattr(f"proofhook.files.os.{call}", failing)
    else:
        usual = os.fdopen

        def opened(*given: Any, **named: Any) -> Any:
            file = usual(*given, **named)

            class Full:
                write = staticmethod(failing)
                __enter__ = lambda self: self  # noqa: E731
                __exit__ = lambda self, *_: file.close()  # noqa: E731

            return Full()

        monkeypatch.setattr("proofhook.files.os.fdopen", opened)


def text() -> str:
    return Path("leek.txt").read_text("utf-8")


@pytest.mark.parametrize("call", CALLS)
@pytest.mark.parametrize("number", [errno.ENOSPC, errno.EIO, errno.EACCES, errno.EROFS])
def test_a_write_that_fails_leaves_the_file_and_is_one_sentence(
    work: tuple[str, str, list[str]],
    call: str,
    number: int,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    before, after, command = work
    with monkeypatch.context() as patched:
        fail_at(patched, call, OSError(number, os.strerror(number)))
        assert main(command) == 2
    assert text() == before
    told = [line for line in capsys.readouterr().err.splitlines() if line]
    assert told == [f"proofhook: leek.txt: it could not be written ({os.strerror(number)})."]
    main(command)
    assert text() == after


@pytest.mark.parametrize("call", CALLS)
def test_ctrl_c_in_a_write_leaves_the_file(
    work: tuple[str, str, list[str]],
    call: str,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    before, _, command = work
    with monkeypatch.context() as patched:
        fail_at(patched, call, KeyboardInterrupt())
        assert main(command) == 130
    assert text() == before
    assert "Traceback" not in capsys.readouterr().err


def test_ctrl_c_just_after_a_write_is_ctrl_c(
    work: tuple[str, str, list[str]], monkeypatch: pytest.MonkeyPatch
) -> None:
    _, after, command = work
    replace = os.replace

    def stopped(*given: Any) -> None:
        replace(*given)
        raise KeyboardInterrupt

    with monkeypatch.context() as patched:
        patched.setattr("proofhook.files.os.replace", stopped)
        assert main(command) == 130
    assert text() == after


@pytest.mark.parametrize("when", ["while it was read", "while it was written"])
def test_a_file_that_changes_meanwhile_is_left_alone(
    work: tuple[str, str, list[str]],
    when: str,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    _, _, command = work
    theirs = "LEEK\n\nRnd 1: 8 sc in a magic ring. (8)\n"
    call = "tempfile.mkstemp" if when == "while it was read" else "proofhook.files.os.chmod"
    module, _, name = call.rpartition(".")
    usual = getattr(os if "os" in module else __import__(module), name)

    def meanwhile(*given: Any, **named: Any) -> Any:
        Path("leek.txt").write_text(theirs, "utf-8")
        return usual(*given, **named)

    with monkeypatch.context() as patched:
        patched.setattr(call, meanwhile)
        assert main(command) == 2
    assert text() == theirs
    assert "it was changed meanwhile, so it was left alone." in capsys.readouterr().err


def test_a_read_only_file_is_left_alone(
    work: tuple[str, str, list[str]], capsys: pytest.CaptureFixture[str]
) -> None:
    before, after, command = work
    Path("leek.txt").chmod(0o444)
    assert main(command) == 2
    assert text() == before
    assert "leek.txt: it is read-only, so it was left alone." in capsys.readouterr().err
    Path("leek.txt").chmod(0o600)
    main(command)
    assert (text(), Path("leek.txt").stat().st_mode & 0o777) == (after, 0o600)


#: Runs a command and kills itself at the given call of the system, counted from 0.
KILLED = """
import os, signal, sys
from proofhook.cli import main

left = int(sys.argv[1])

def counting(event, arguments):
    global left
    if event in ("open", "os.rename", "os.chmod", "os.remove", "tempfile.mkstemp") and (
        any("leek" in str(each) or ".proofhook-" in str(each) for each in arguments)
        or event == "tempfile.mkstemp"
    ):
        if left == 0:
            os.kill(os.getpid(), signal.SIGKILL)
        left -= 1

def before(call):
    usual = getattr(os, call)
    def killed(*given, **named):
        counting("open", ("leek",))
        done = usual(*given, **named)
        counting("open", ("leek",))
        return done
    setattr(os, call, killed)

sys.addaudithook(counting)
for call in ("fsync", "replace", "fdopen"):
    before(call)
main(sys.argv[2:])
"""


def killed_at(point: int, command: list[str]) -> int:
    done = subprocess.run(
        [sys.executable, "-c", KILLED, str(point), *command],
        capture_output=True, check=False, timeout=60,
        env={**os.environ, "PYTHONPATH": os.pathsep.join(sys.path)},
    )  # fmt: skip
    return done.returncode


@pytest.mark.skipif(not hasattr(signal, "SIGKILL"), reason="no SIGKILL on Windows")
@pytest.mark.parametrize("name", WRITES)
def test_a_kill_at_any_moment_loses_nothing(
    name: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    before, after, command = WRITES[name]
    monkeypatch.chdir(tmp_path)
    Path("housestyle.toml").write_text(SHEET, "utf-8")
    seen: list[str] = []
    for point in range(100):
        Path("leek.txt").write_text(before, "utf-8")
        status = killed_at(point, [*command, "leek.txt"])
        seen.append(text())
        assert text() in (before, after), point
        if status != -signal.SIGKILL:
            break
    assert len(seen) > 8
    assert seen == [before] * seen.count(before) + [after] * seen.count(after)
    assert seen.count(before) > 5
    assert seen.count(after) > 1  # the last run was not killed, one at least was killed after


def test_two_runs_at_once_lose_nothing(tmp_path: Path) -> None:
    for number in range(15):
        (tmp_path / f"{number}.txt").write_text(UNTIDY, "utf-8")
    at_once = [
        subprocess.Popen(
            [sys.executable, "-m", "proofhook", "tidy", "."], cwd=tmp_path,
            stdout=subprocess.PIPE, stderr=subprocess.PIPE, encoding="utf-8",
        )
        for _ in range(3)
    ]  # fmt: skip
    for process in at_once:
        _, err = process.communicate(timeout=60)
        assert process.returncode in (0, 2)
        for line in err.splitlines():
            assert line.endswith("it was changed meanwhile, so it was left alone."), line
        assert process.returncode == (2 if err else 0)
    assert {path.read_text("utf-8") for path in tmp_path.glob("*.txt")} == {TIDY}
    assert len(list(tmp_path.iterdir())) == 15


@pytest.mark.skipif(
    not hasattr(os, "geteuid") or os.geteuid() == 0, reason="root may write anywhere"
)
def test_a_folder_that_may_not_be_written_in(
    work: tuple[str, str, list[str]], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    before, _, command = work
    tmp_path.chmod(0o500)
    try:
        assert main(command) == 2
    finally:
        tmp_path.chmod(0o700)
    assert text() == before
    assert "it could not be written (Permission denied)." in capsys.readouterr().err


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="no /dev/full here")
@pytest.mark.parametrize("jobs", ["1", "2"])
def test_output_on_a_full_disk_is_one_sentence(tmp_path: Path, jobs: str) -> None:
    for name in "abcd":
        (tmp_path / f"{name}.txt").write_text(CIRCLE, "utf-8")
    with Path("/dev/full").open("w") as full:
        done = subprocess.run(
            [sys.executable, "-m", "proofhook", "tally", ".", "--jobs", jobs], cwd=tmp_path,
            stdout=full, stderr=subprocess.PIPE, encoding="utf-8", check=False, timeout=60,
        )  # fmt: skip
    assert done.returncode == 2
    assert done.stderr == (
        "proofhook: the output could not be written (No space left on device).\n"
    )


@pytest.mark.skipif(shutil.which("head") is None, reason="no head here")
@pytest.mark.parametrize("jobs", ["1", "2"])
def test_a_reader_that_goes_ends_the_run_without_a_word(tmp_path: Path, jobs: str) -> None:
    for number in range(12):
        (tmp_path / f"{number}.txt").write_text(CIRCLE + EVEN * 300, "utf-8")
    command = f'"{sys.executable}" -m proofhook tally . --jobs {jobs} | head -n 1'
    done = subprocess.run(
        command, shell=True, cwd=tmp_path, capture_output=True, encoding="utf-8", check=False,
        timeout=100,
    )  # fmt: skip
    assert done.stdout.count("\n") == 1
    assert done.stderr == ""


EVEN = "Next rnd: Sc in each st around. (12)\n"
