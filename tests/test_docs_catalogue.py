"""The pages about back catalogues and about security do what they show."""

from __future__ import annotations

import re
import subprocess
import sys
from importlib.util import find_spec
from pathlib import Path

import pytest

from proofhook.cli import main

DOCS = Path(__file__).parents[1] / "docs"
BLOCK = re.compile(r"^```(\w+)(?: ([\w./]+))?\n(.*?)^```$", re.MULTILINE | re.DOTALL)

NAMES = {"back-catalogue.md": ["a.txt", "b.txt"], "security.md": ["turnip.txt", "rules/loud.py"]}


def laid_out(page: str, folder: Path) -> list[tuple[str, str, str]]:
    """The blocks of a page; the files that it shows are written into a folder."""
    found = BLOCK.findall((DOCS / page).read_text("utf-8"))
    for _, name, text in found:
        if name in NAMES[page]:
            (folder / name).parent.mkdir(exist_ok=True)
            (folder / name).write_text(text, "utf-8")
    return found


@pytest.mark.parametrize("page", NAMES)
def test_the_commands_print_what_is_shown(
    page: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / ".cache"))
    monkeypatch.chdir(tmp_path)
    shown = [text for kind, _, text in laid_out(page, tmp_path) if kind == "console"]
    assert shown
    for text in shown:
        command, _, output = text.partition("\n")
        assert command.startswith("$ proofhook ")
        assert main(command.split()[2:]) == 0
        assert capsys.readouterr().out == output


@pytest.mark.skipif(find_spec("dask") is None, reason="needs Dask, the extra proofhook[cluster]")
def test_the_program_for_a_cluster_does_what_the_page_says(tmp_path: Path) -> None:
    for _, name, text in BLOCK.findall((DOCS / "back-catalogue.md").read_text("utf-8")):
        if name in ("catalogue.py", "housestyle.toml"):
            (tmp_path / name).write_text(text, "utf-8")
    done = subprocess.run(
        [sys.executable, "catalogue.py"], cwd=tmp_path, capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, done.stderr
    starts = [line[:18] for line in done.stdout.splitlines()]
    assert starts == ['{"path": "a.txt", ', '{"path": "b.txt", ']


LOUD = "raise SystemExit('the rule file was run')\n"


def test_a_rule_file_runs_only_where_a_sheet_of_the_same_repository_says_so(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    clone = tmp_path / "clone"
    for folder in (tmp_path, clone):
        (folder / "rules").mkdir(parents=True)
        (folder / "rules" / "loud.py").write_text(LOUD, "utf-8")
    pattern = clone / "deep" / "a.txt"
    pattern.parent.mkdir()
    pattern.write_text("Rnd 1: 6 sc in a magic ring. (6)\n", "utf-8")
    assert main(["proof", str(pattern)]) == 0  # no sheet at all
    (tmp_path / "housestyle.toml").write_text('rule-folders = ["rules"]\n', "utf-8")
    assert main(["proof", str(pattern)]) == 2  # no repository: any sheet above
    (clone / ".git").mkdir()
    capsys.readouterr()
    assert main(["proof", str(pattern)]) == 0  # the sheet is outside of the repository
    assert "was run" not in capsys.readouterr().err
    (clone / "housestyle.toml").write_text('rule-folders = ["rules"]\n', "utf-8")
    assert main(["proof", str(pattern)]) == 2
    assert "was run" in capsys.readouterr().err


def test_a_worker_runs_nothing_of_the_folder_it_is_started_in(tmp_path: Path) -> None:
    for name in ("json.py", "pickle.py", "struct.py", "proofhook.py"):
        (tmp_path / name).write_text(LOUD, "utf-8")
    for name in "ab":
        (tmp_path / f"{name}.txt").write_text("Rnd 1: 6 sc in a magic ring. (6)\n", "utf-8")
    command = "import sys; del sys.path[0]; from proofhook.cli import main; sys.exit(main())"
    done = subprocess.run(
        [sys.executable, "-c", command, "proof", ".", "--jobs", "2"],
        cwd=tmp_path, capture_output=True, text=True, check=False, timeout=60,
    )  # fmt: skip
    assert (done.returncode, done.stderr) == (0, "")
