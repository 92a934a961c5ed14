"""Plug-ins: loaded by name, checked on the way in, named when something is wrong."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

from proofhook.proofing import Grade, Option, rule
from proofhook.proofing.plugins import PluginError, load_rules
from proofhook.proofing.rule import explain

HEAD = "from proofhook.proofing import Grade, hookimpl, rule\n"
GOOD = """
@rule("no-stalk", Grade.QUERY)
def no_stalk(context):
    yield context.finding(context.pattern.pieces[0].span, "There is no stalk.")

@hookimpl
def proofhook_rules():
    return [no_stalk]
"""


class Shelf:
    """A folder on the import path where a test puts its plug-ins."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder

    def put(self, name: str, text: str) -> str:
        (self.folder / f"{name}.py").write_text(HEAD + text, "utf-8")
        return name


@pytest.fixture
def shelf(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Shelf]:
    monkeypatch.syspath_prepend(tmp_path)
    before = set(sys.modules)
    yield Shelf(tmp_path)
    for name in set(sys.modules) - before:
        if getattr(sys.modules[name], "__file__", "").startswith(str(tmp_path)):
            del sys.modules[name]


def complaint(*names: str) -> str:
    with pytest.raises(PluginError) as raised:
        load_rules(names)
    assert "\n" not in str(raised.value)
    return str(raised.value)


def test_the_built_in_pack_is_always_there() -> None:
    names = [each.name for each in load_rules()]
    assert {"stitch-total", "repeat-fit", "row-fit", "total-missing"} < set(names)
    assert {"row-order", "marks-unpaired", "turning-chain", "unread"} < set(names)
    assert {each.plugin for each in load_rules()} == {"proofhook_rules"}
    assert names == sorted(names)


def test_a_plug_in_adds_its_rules_whatever_the_order(shelf: Shelf) -> None:
    shelf.put("stalks", GOOD)
    shelf.put("leaves", GOOD.replace("stalk", "leaf"))
    one, other = load_rules(["stalks", "leaves"]), load_rules(["leaves", "stalks", "stalks"])
    assert one == other
    assert {r.name: r.plugin for r in one}["no-stalk"] == "stalks"


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("raise ValueError('no\\nluck')",
         "The plug-in bad cannot be loaded: ValueError: no luck."),
        ("import nothing_of_the_kind",
         ("The plug-in bad cannot be loaded: ModuleNotFoundError: "
         "No module named 'nothing_of_the_kind'.")),
        ("raise SystemExit(3)", "The plug-in bad cannot be loaded: SystemExit: 3."),
        ("def broken(:", "The plug-in bad cannot be loaded: SyntaxError: "),
        (GOOD.replace("proofhook_rules", "proofhook_ruels"),
         ("The plug-in bad has a hook proofhook_ruels, which does not exist; "
         "there is proofhook_rules.")),
        (GOOD.replace("@hookimpl", ""),
         "The plug-in bad defines proofhook_rules without marking it; put @hookimpl above it."),
        (GOOD.replace("proofhook_rules()", "proofhook_rules(house)"),
         "The hook proofhook_rules of the plug-in bad must take no arguments."),
        (GOOD.replace("[no_stalk]", "1 / 0"),
         "The plug-in bad failed to bring its rules: ZeroDivisionError: division by zero."),
        (GOOD.replace("[no_stalk]", "['no-stalk']"),
         "The plug-in bad brings str no-stalk where a rule belongs; declare it with @rule."),
        (GOOD.replace("[no_stalk]", "None"),
         "The plug-in bad failed to bring its rules: TypeError"),
        (GOOD.replace("[no_stalk]", "[no_stalk, no_stalk]"),
         "The plug-in bad brings two rules called no-stalk; rename one."),
        (GOOD.replace("no-stalk", "stitch-total"),
         "The plug-ins bad and proofhook_rules both bring a rule called stitch-total; rename one."),
        (GOOD.replace("no-stalk", "No Stalk"),
         ("The plug-in bad cannot be loaded: ValueError: "
         "a rule's name is small words joined by hyphens, not 'No Stalk'.")),
    ],
)  # fmt: skip
def test_a_plug_in_that_is_wrong_is_named_in_a_sentence(shelf: Shelf, text: str, told: str) -> None:
    shelf.put("bad", text)
    assert complaint("bad").startswith(told)


def test_a_plug_in_that_is_not_there_is_named() -> None:
    assert complaint("nobody_made_this").startswith(
        "The plug-in nobody_made_this is not installed; install it"
    )
    assert complaint("nobody_made_this.rules").startswith(
        "The plug-in nobody_made_this.rules is not installed; install it"
    )


def test_two_plug_ins_with_one_rule_are_named_alike_in_either_order(shelf: Shelf) -> None:
    shelf.put("stalks", GOOD)
    shelf.put("stems", GOOD)
    assert complaint("stalks", "stems") == complaint("stems", "stalks")
    assert "The plug-ins stalks and stems both bring" in complaint("stalks", "stems")


def test_an_option_may_not_be_called_grade() -> None:
    with pytest.raises(ValueError, match="may not call an option 'grade'"):
        rule("no-stalk", Grade.QUERY, Option("grade", 1, ""))


def test_every_built_in_rule_explains_itself() -> None:
    for each in load_rules():
        told = explain(each)
        assert told.title.endswith(".")
        assert len(told.reason) > 80
        assert told.flagged != told.passes
        assert not told.flagged.startswith(" ")
        for option in each.options:
            assert option.meaning


def test_a_rule_without_examples_says_what_it_lacks() -> None:
    @rule("no-stalk", Grade.QUERY)
    def no_stalk(_context: object) -> tuple[()]:
        """There is a stalk."""
        return ()

    with pytest.raises(ValueError, match="no-stalk needs a title, a reason"):
        explain(no_stalk)
