"""README.md shows what really happens: its commands, their output, its settings, its table.

Where a change is meant, ``python tests/renew.py`` writes the outputs anew.
"""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from golden import ROOT, TABLE, block, printed, readme, rule_table, samples
from proofhook.proofing.finding import Grade
from proofhook.proofing.house import read_house


def marked(name: str) -> str:
    """The one command in the block that follows ``<!-- command: NAME -->``."""
    pattern = rf"^<!-- command: {name} -->\n```sh\n(.*)\n```$"
    [command] = re.findall(pattern, readme(), re.MULTILINE)
    assert isinstance(command, str)
    return command


def test_it_begins_with_the_job_in_one_paragraph() -> None:
    title, job, second = readme().split("\n\n")[:3]
    assert title == "# proofhook"
    assert "proofhook reads the written pattern" in job
    assert second.startswith("## ")


def test_the_run_command_shows_the_findings_of_the_shipped_pattern(tmp_path: Path) -> None:
    *set_up, run = marked("run").split(" && ")
    assert set_up == ["python3 -m venv .venv", ".venv/bin/pip install --quiet ."]
    command = run.removeprefix(".venv/bin/")
    page, status = printed([command, "echo $?"], tmp_path)
    assert status == "1\n"
    assert page.count("stitch-total") == 2
    assert page == dict(samples(readme()))[command]


def test_the_test_command_runs_the_tests() -> None:
    *_, run = marked("test").split(" && ")
    assert run == ".venv/bin/python -m pytest -n auto"


def test_every_command_prints_what_is_shown(tmp_path: Path) -> None:
    shown = list(samples(readme()))
    assert len(shown) >= 8
    outputs = printed([command for command, _ in shown], tmp_path)
    for (command, sample), output in zip(shown, outputs, strict=True):
        assert output == sample, command


def test_every_command_line_in_it_is_run_by_a_test() -> None:
    kinds = set(re.findall(r"^```(.+)$", readme(), re.MULTILINE))
    assert kinds == {"sh", "console", "toml", "yaml"}
    assert len(re.findall(r"^```sh$", readme(), re.MULTILINE)) == 2


def test_the_house_style_sheet_in_it_is_one(tmp_path: Path) -> None:
    sheet = tmp_path / "housestyle.toml"
    sheet.write_text(block("toml"), "utf-8")
    assert read_house(str(sheet)).failing is Grade.QUERY


def test_its_table_holds_every_rule_and_no_other() -> None:
    assert TABLE.findall(readme()) == [rule_table()]


@pytest.mark.parametrize("link", re.findall(r"\]\((?!http)([^)#]+)\)", readme()))
def test_what_it_links_to_is_there(link: str) -> None:
    assert (ROOT / link).is_file()
