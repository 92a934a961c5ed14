"""What is imported when: the command must be there at once."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

HEAVY = {
    "asyncio", "difflib", "importlib.metadata", "importlib.resources", "jinja2", "json", "logging",
    "lsprotocol", "pathlib", "pluggy", "proofhook_rules", "pygls", "pyparsing", "subprocess",
    "tempfile", "tomli", "unittest",
}  # fmt: skip

LIST_AFTER = """
import sys
before = set(sys.modules)
from proofhook.cli import main
try:
    main(sys.argv[1:])
except SystemExit:
    pass
print("\\n".join(sorted(set(sys.modules) - before)), file=sys.stderr)
"""


def imported(*arguments: str, folder: Path | None = None) -> set[str]:
    """The modules that a run of the command imports."""
    done = subprocess.run(
        [sys.executable, "-c", LIST_AFTER, *arguments],
        capture_output=True, text=True, check=True, cwd=folder,
    )  # fmt: skip
    return set(done.stderr.split())


@pytest.mark.parametrize(
    "arguments", [["--version"], ["--help"], ["proof", "--help"], ["errata", "--help"]]
)
def test_what_needs_no_pattern_imports_next_to_nothing(arguments: list[str]) -> None:
    modules = imported(*arguments)
    assert not modules & (HEAVY | {"dataclasses", "inspect", "typing_extensions"})
    ours = {name for name in modules if name.startswith("proofhook")}
    assert ours == {"proofhook", "proofhook.cli"}


def brought_by(*names: str) -> set[str]:
    """What other people's packages bring with them, which is not ours to leave out."""
    code = f"import sys, {', '.join(names)}; print(*sys.modules)"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    return set(done.stdout.split())


def test_a_proof_imports_what_it_needs_and_no_more(tmp_path: Path) -> None:
    (tmp_path / "a.txt").write_text("Rnd 1: 6 sc in a magic ring. (6)\n", "utf-8")
    modules = imported("proof", "a.txt", folder=tmp_path)
    assert {"proofhook_rules.totals", "proofhook.reading"} <= modules
    unwanted = HEAVY - {"proofhook_rules", "tomli"} - brought_by("pyparsing")
    assert not modules & unwanted
    assert "proofhook.showing.as_json" not in modules
    assert "proofhook.showing.tally_page" not in modules


def test_only_a_sheet_needs_templates(tmp_path: Path) -> None:
    (tmp_path / "a.txt").write_text("Rnd 1: 6 sc in a magic ring. (6)\n", "utf-8")
    assert "jinja2" in imported("sheet", "a.txt", "-o", "a.html", folder=tmp_path)
    for command in ("proof", "tally"):
        modules = imported(command, "a.txt", folder=tmp_path)
        assert not {
            each for each in modules if each.startswith(("jinja2", "proofhook.showing.sheet"))
        }


@pytest.mark.parametrize("form", ["page", "lines", "json", "junit"])
def test_what_the_cache_knows_is_shown_without_the_reader_and_the_rules(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, form: str
) -> None:
    monkeypatch.setenv("PROOFHOOK_CACHE", str(tmp_path / "cache"))
    (tmp_path / "a.txt").write_text("Rnd 1: 6 sc in a magic ring. (6)\n", "utf-8")
    words = ("proof", "a.txt", "--cache", "on", "--format", form)
    first, again = (imported(*words, folder=tmp_path) for _ in range(2))
    worked = {"proofhook.reading", "proofhook.counting.tally", "proofhook_rules", "dataclasses"}
    assert {"proofhook.reading", "proofhook_rules"} <= first
    assert not again & (worked | HEAVY - {"json"})


def test_a_tally_needs_no_rules(tmp_path: Path) -> None:
    (tmp_path / "a.txt").write_text("Rnd 1: 6 sc in a magic ring. (6)\n", "utf-8")
    modules = imported("tally", "a.txt", folder=tmp_path)
    assert not modules & {"pluggy", "proofhook_rules", "proofhook.proofing.plugins"}


def test_errata_as_text_need_no_json_and_no_rules(tmp_path: Path) -> None:
    for name, total in {"a.txt": 6, "b.txt": 7}.items():
        (tmp_path / name).write_text(f"Rnd 1: 6 sc in a magic ring. ({total})\n", "utf-8")
    modules = imported("errata", "a.txt", "b.txt", folder=tmp_path)
    assert not modules & {"pluggy", "proofhook_rules", "subprocess", "proofhook.showing.as_json"}
    assert not {"difflib", "json"} & modules - brought_by("pyparsing")


def test_only_the_editor_command_loads_the_language_server(tmp_path: Path) -> None:
    (tmp_path / "a.txt").write_text("US terms.\n\nRnd 1: 6 sc in a magic ring. (6)\n", "utf-8")
    commands = [
        ["proof", "a.txt"], ["tally", "a.txt"], ["tidy", "--show", "a.txt"], ["why", "--list"],
        ["translate", "--to", "uk", "a.txt"], ["editor", "--help"],
    ]  # fmt: skip
    for command in commands:
        modules = imported(*command, folder=tmp_path)
        assert not modules & {"asyncio", "lsprotocol", "pygls"}, command
        assert not {name for name in modules if name.startswith("proofhook.editor")}, command


def test_a_command_looks_for_rings_seldom_and_another_program_as_before(tmp_path: Path) -> None:
    (tmp_path / "a.txt").write_text("Rnd 1: 6 sc in a magic ring. (6)\n", "utf-8")
    code = (
        "import gc, sys; from proofhook import api; print(gc.get_threshold()[0], file=sys.stderr);"
        "from proofhook.cli import main; main(['tally', 'a.txt']);"
        "print(gc.get_threshold()[0], file=sys.stderr)"
    )
    done = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, check=True, cwd=tmp_path
    )
    usual, seldom = map(int, done.stderr.split())
    assert seldom >= 50 * usual
