"""The page about errata shows what the command really prints, for its two editions."""

from __future__ import annotations

import json
import os
import re
import shlex
import subprocess
from pathlib import Path

import jsonschema
import pytest

import proofhook.showing
from proofhook.cli import main

PAGE = Path(__file__).parents[1] / "docs" / "errata.md"
SCHEMA = Path(next(iter(proofhook.showing.__path__))) / "schemas" / "errata.schema.json"
TEXT = PAGE.read_text("utf-8")
EDITIONS = dict(re.findall(r"^```text (\S+)\n(.*?)^```$", TEXT, re.MULTILINE | re.DOTALL))
CONSOLE = re.findall(
    r"^```console( git)?\n\$ proofhook ([^\n]*)\n(.*?)^```$", TEXT, re.M | re.DOTALL
)


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    assert set(EDITIONS) == {"first.txt", "second.txt"}
    monkeypatch.chdir(tmp_path)
    for name, text in EDITIONS.items():
        (tmp_path / name).write_text(text, "utf-8")
    return tmp_path


def committed(text: str) -> None:
    """A repository whose tag holds the first edition of the pattern, changed since then."""
    named = {"NAME": "A Gardener", "EMAIL": "gardener@example.org"}
    who = {f"GIT_{part}_{key}": v for part in ("AUTHOR", "COMMITTER") for key, v in named.items()}
    Path("turnip.txt").write_text(EDITIONS["first.txt"], "utf-8")
    for words in ("init -q", "add turnip.txt", "commit -qm Turnip", "tag first-edition"):
        subprocess.run(["git", *words.split()], check=True, env={**os.environ, **who})
    Path("turnip.txt").write_text(text, "utf-8")


@pytest.mark.parametrize(("git", "command", "output"), CONSOLE)
def test_the_commands_print_what_is_shown(
    git: str, command: str, output: str, folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    if git:
        committed(EDITIONS["first.txt"].replace("White", "Red"))
    assert main(shlex.split(command)) == 1
    said = capsys.readouterr().out
    if "json" in command:
        value = json.loads(said)
        jsonschema.Draft202012Validator(json.loads(SCHEMA.read_text("utf-8"))).validate(value)
        assert json.loads(output) == value
    else:
        assert output == said


def test_every_form_and_an_earlier_revision_are_shown() -> None:
    commands = [command for _, command, _ in CONSOLE]
    assert commands == [
        "errata first.txt second.txt",
        "errata --format markdown first.txt second.txt",
        "errata --format json first.txt second.txt",
        "errata --git first-edition turnip.txt",
    ]


def test_the_page_names_every_kind_and_field() -> None:
    schema = json.loads(SCHEMA.read_text("utf-8"))
    kinds = schema["$defs"]["entry"]["properties"]["kind"]["enum"]
    fields = [*schema["properties"], *schema["$defs"]["reading"]["properties"]]
    missing = [name for name in (*kinds, *fields) if f"`{name}`" not in TEXT]
    assert missing == []
