"""Plug-ins: loaded by name, checked on the way in, named when something is wrong."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

import proofhook
from proofhook.cli import main
from proofhook.proofing import Grade, Option, rule
from proofhook.proofing.house import House
from proofhook.proofing.plugins import PluginError, load, load_rules
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
    """The one trouble with these plug-ins; the built-in rules are there all the same."""
    pack = load(names)
    [trouble] = pack.troubles
    assert "\n" not in trouble
    assert {each.name for each in load_rules()} <= {each.name for each in pack.rules}
    with pytest.raises(PluginError):
        load_rules(names)
    return trouble


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
         "there are proofhook_forms, proofhook_headings, proofhook_rules "
         "and proofhook_stitches.")),
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


WORDS = """
@hookimpl
def proofhook_stitches():
    return {stitches}

@hookimpl
def proofhook_headings():
    return {headings}
"""
GOOD_STITCHES = """{
    "basic": [{"name": "qsc", "words": ["quick crochet"], "us": 1}],
    "manner": [{"name": "twirled", "before": ["tw", "twirled"]}],
    "named": [{"name": "pebble", "words": ["pebble st"]}],
    "group": [{"name": "burr", "words": ["br"], "meaning": "(2 dc, ch 1, 2 dc) in one st"}],
}"""
GOOD_HEADINGS = """{
    "heading": [{"kind": "gauge", "words": ["How tight?"]}],
    "piece": [{"words": ["spout"]}],
}"""


def put_words(shelf: Shelf, name: str, stitches: str = "{}", headings: str = "{}") -> str:
    return shelf.put(name, WORDS.replace("{stitches}", stitches).replace("{headings}", headings))


def test_every_kind_of_stitch_is_read_and_counted(shelf: Shelf) -> None:
    put_words(shelf, "hut_words", GOOD_STITCHES, GOOD_HEADINGS)
    house = House(plugins=("hut_words",))
    assert load(house.plugins).troubles == ()
    text = """
How tight?
As you like.

Rnd 1: 8 sc in a magic ring. (8)
Rnd 2: 2 qsc in each st around. (16)
Rnd 3: Quick crochet in each of next 8 sts, twdc in next 8 sts. (16)
Rnd 4: *Pebble st in next st, sc in next st; rep from * around. (8 pebbles, 8 sc)
Rnd 5: *Br in next st, sk 3 sts; rep from * around. (16 dc, 4 ch-1 sps)
"""
    pattern = proofhook.read(text, house=house)
    assert [section.kind for section in pattern.sections if section.heading] == ["gauge"]
    tallied = proofhook.tally(pattern)
    assert [row.verdict.value for row in tallied.rows] == ["agrees"] * 5, tallied.rows
    without = proofhook.tally(proofhook.read(text))
    assert {row.verdict.value for row in without.rows[1:]} == {"unread"}


def test_what_the_pattern_explains_goes_before_the_words_of_the_house(shelf: Shelf) -> None:
    put_words(shelf, "hut_burr", GOOD_STITCHES)
    text = """
Special stitches
Burr: 3 dc in the same st.

Rnd 1: 6 sc in a magic ring. (6)
Rnd 2: Burr in each st around. (18 dc)
"""
    pattern = proofhook.read(text, house=House(plugins=("hut_burr",)))
    assert [row.verdict.value for row in proofhook.tally(pattern).rows] == ["agrees", "agrees"]


@pytest.mark.parametrize(
    ("stitches", "told"),
    [
        ("[]", "brings list [] where tables of words belong."),
        ("{'gruop': []}", "brings a table 'gruop', which does not exist; did you mean 'group'?"),
        ("{'named': 3}", "brings no list under 'named'."),
        ("{'named': ['x']}", "brings an entry of 'named' that is no table: x."),
        ("{'named': [{'name': 'x', 'wrods': []}]}",
         "has a key 'wrods', not one of name, words or meaning"),
        ("{'named': [{'words': ['pebble']}]}", "that needs name"),
        ("{'named': [{'name': 'pebble', 'words': 'x'}]}", "has no list of texts under 'words'"),
        ("{'named': [{'name': ' '}]}", "has no text under 'name'"),
        ("{'group': [{'name': 'pebble', 'makes': 2}]}", "makes neither 0 nor 1 stitch"),
        ("{'named': [{'name': 'dc'}]}", "gives a stitch the name 'dc', which the trade has"),
        ("{'named': [{'name': 'turn'}]}", "the name 'turn', which the trade has already"),
        ("{'named': [{'name': 'rook', 'words': ['x st']}, {'name': 'crow', 'words': ['x st']}]}",
         "brings twice a stitch called 'x st'; rename one."),
    ],
)  # fmt: skip
def test_words_that_cannot_be_are_named_and_the_others_taken(
    shelf: Shelf, stitches: str, told: str
) -> None:
    put_words(shelf, "odd", stitches)
    assert complaint("odd").startswith("The plug-in odd ")
    assert told in complaint("odd")
    put_words(shelf, "hut_taken", GOOD_STITCHES)
    assert ("pebble" in dict(load(["hut_taken", "odd"]).words.stitches)) is True


@pytest.mark.parametrize(
    ("headings", "told"),
    [
        ("{'heading': [{'kind': 'guage', 'words': ['x']}]}",
         "of the kind 'guage', which does not exist; did you mean 'gauge'?"),
        ("{'heading': [{'kind': 'gauge', 'words': ['Materials']}]}",
         "makes 'materials' a heading of gauge, but for the trade it is one of materials."),
    ],
)  # fmt: skip
def test_headings_that_cannot_be_are_named(shelf: Shelf, headings: str, told: str) -> None:
    put_words(shelf, "odd_headings", "{}", headings)
    assert told in complaint("odd_headings")


FORMS = """
@hookimpl
def proofhook_forms():
    return {forms}
"""


@pytest.mark.parametrize(
    ("forms", "told"),
    [
        ("[]", "brings list [] where a table of forms belongs."),
        ("{'Big Page': print}", "names a form 'Big Page'; use small letters."),
        ("{'leaf': 3}", "brings no function for the form leaf."),
    ],
)
def test_forms_that_cannot_be_are_named(shelf: Shelf, forms: str, told: str) -> None:
    shelf.put("odd_forms", FORMS.replace("{forms}", forms))
    assert told in complaint("odd_forms")


def test_a_writer_that_fails_is_named_and_the_findings_still_count(
    shelf: Shelf, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    shelf.put("bad_forms", FORMS.replace("{forms}", "{'leaf': lambda proofs: 1 / 0}"))
    folder = tmp_path / "patterns"
    folder.mkdir()
    (folder / "housestyle.toml").write_text('plugins = ["bad_forms"]\n', "utf-8")
    (folder / "beet.txt").write_text("Rnd 1: 6 sc in a magic ring. (7)\n", "utf-8")
    assert main(["proof", str(folder / "beet.txt"), "--format", "leaf"]) == 2
    told = capsys.readouterr().err
    assert told == (
        "proofhook: The form leaf of the plug-in bad_forms failed: "
        "ZeroDivisionError: division by zero.\n"
    )


def test_a_plug_in_that_fails_does_not_stop_the_run(
    shelf: Shelf, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    shelf.put("stalks", GOOD)
    shelf.put("broken", "raise ValueError('no luck')")
    folder = tmp_path / "patterns"
    folder.mkdir()
    sheet = 'plugins = ["broken", "stalks", "nobody_made_this"]\n\n[rules]\nno-leaf = "error"\n'
    (folder / "housestyle.toml").write_text(sheet, "utf-8")
    for name in ("beet.txt", "kale.txt"):
        (folder / name).write_text("Rnd 1: 6 sc in a magic ring. (7)\n", "utf-8")
    for command in (["proof", str(folder), "--format", "lines"], ["house", str(folder)]):
        assert main(command) == 2
        found = capsys.readouterr()
        assert found.err.count("\n") == 2
        assert "The plug-in broken cannot be loaded: ValueError: no luck." in found.err
        assert "The plug-in nobody_made_this is not installed;" in found.err
        assert "no-stalk" in found.out
        assert "stitch-total" in found.out


def test_a_form_that_would_hide_one_of_ours_is_told_with_its_owner(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "own").mkdir()
    (tmp_path / "own" / "forms.py").write_text(
        "from proofhook.proofing import hookimpl\n\n\n@hookimpl\ndef proofhook_forms():\n"
        "    return {'lines': lambda proofs: iter(())}\n",
        "utf-8",
    )
    (tmp_path / "housestyle.toml").write_text('rule-folders = ["own"]\n', "utf-8")
    (tmp_path / "beet.txt").write_text("Rnd 1: 6 sc in a magic ring. (7)\n", "utf-8")
    monkeypatch.chdir(tmp_path)
    assert main(["proof", "--format", "lines", "beet.txt"]) == 2
    out, told = capsys.readouterr()
    assert "The round makes 6 sts, but the total says 7. (stitch-total)" in out
    assert told == (
        "proofhook: The plug-in own/forms.py brings a form lines, which proofhook has already; "
        "rename it.\n"
    )
