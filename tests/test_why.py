"""Rules explain themselves: on the command line and in the pages of docs/rules."""

from __future__ import annotations

import runpy
from pathlib import Path
from typing import Any

import pytest

from proofhook.cli import main
from proofhook.proofing.plugins import load_rules
from proofhook.proofing.rule import explain
from proofhook.showing.ink import Paper
from proofhook.showing.rule_page import families, rule_list

DOCS = Path(__file__).parents[1] / "docs"


def test_the_pages_are_what_the_rules_say() -> None:
    pages = runpy.run_path(str(DOCS / "renew_rules.py"))["pages"]()
    there = {path.name: path.read_text("utf-8") for path in (DOCS / "rules").glob("*.md")}
    assert there == pages, "run python docs/renew_rules.py"
    assert len(pages) == len(load_rules()) + 1


@pytest.mark.parametrize("rule", load_rules(), ids=lambda rule: rule.name)
def test_why_tells_reason_grade_examples_and_options(
    rule: object, capsys: pytest.CaptureFixture[str]
) -> None:
    known = {each.name: each for each in load_rules()}
    each = known[getattr(rule, "name", "")]
    assert main(["why", each.name]) == 0
    told = capsys.readouterr().out
    explained = explain(each)
    assert told.startswith(f"{each.name}  {each.grade.word}\n")
    assert explained.title.split()[0] in told
    for example in (explained.house, explained.flagged, explained.passes):
        assert all(line.strip() in told for line in example.splitlines())
    assert all(f"{option.name} = " in told for option in each.options)


def test_why_lists_every_rule(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["why", "--list"]) == 0
    told = capsys.readouterr().out
    assert all(f"{rule.name} " in told for rule in load_rules())


def test_the_list_is_by_families(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("COLUMNS", "100")
    assert main(["why", "--list"]) == 0
    parts = capsys.readouterr().out.split("\n\n")
    headings = [part.splitlines()[0] for part in parts]
    assert headings == sorted(headings)
    assert "Totals: the figure at the end of a row" in headings
    [totals] = [part for part in parts if part.startswith("Totals: ")]
    names = [line.split()[0] for line in totals.splitlines() if line[2:3].strip()][1:]
    assert names == ["stitch-total", "total-missing"]


@pytest.mark.parametrize("width", [40, 60, 80])
def test_the_list_keeps_within_the_page(width: int) -> None:
    lines = list(rule_list(load_rules(), Paper(width)))
    assert max(map(len, lines)) <= width
    words = " ".join(" ".join(lines).split())
    assert all(rule.name in words for rule in load_rules())


def test_rules_of_a_file_without_a_docstring_go_under_their_plugin() -> None:
    spoken = load_rules()[0]
    silent: dict[str, Any] = {}
    exec("def check(context):\n    return ()\n", silent)
    mute = spoken._replace(name="mute", check=silent["check"], plugin="garden_rules")
    assert ("Of the plug-in garden_rules", [mute]) in families([spoken, mute])


@pytest.mark.parametrize(
    ("arguments", "sentence"),
    [
        (["why", "row-ordr"], "There is no rule 'row-ordr'; did you mean 'row-order'?"),
        (["why", "zzz"], "no rule 'zzz'. \"proofhook why --list\" lists all that there are."),
        (["why"], "name a rule, or ask for --list"),
        (["why", "row-order", "--list"], "name a rule, or ask for --list"),
    ],
)
def test_a_wrong_question_is_answered_in_a_sentence(
    arguments: list[str], sentence: str, capsys: pytest.CaptureFixture[str]
) -> None:
    try:
        status = main(arguments)
    except SystemExit as stop:
        status = int(stop.code or 0)
    assert status == 2
    told = capsys.readouterr()
    assert told.out == ""
    assert sentence in told.err


def test_why_knows_the_rules_of_the_house_it_runs_in(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "our_plain_rules.py").write_text(
        '''from proofhook.proofing import Grade, hookimpl, rule

@rule("no-shouting", Grade.STYLE)
def no_shouting(context):
    """Nobody shouts.

    It hurts the ears.

    Flagged:

        RND 1: 6 SC

    Passes:

        Rnd 1: 6 sc
    """
    return ()

@hookimpl
def proofhook_rules():
    return [no_shouting]
''',
        "utf-8",
    )
    (tmp_path / "housestyle.toml").write_text('plugins = ["our_plain_rules"]\n', "utf-8")
    monkeypatch.chdir(tmp_path)
    monkeypatch.syspath_prepend(tmp_path)
    assert main(["why", "no-shouting"]) == 0
    assert "It hurts the ears." in capsys.readouterr().out
