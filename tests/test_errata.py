"""Errata: what is one, what is none, how they are shown, and how the command ends."""

from __future__ import annotations

import json
import os
import re
import subprocess
from pathlib import Path

import jsonschema
import pytest

import proofhook.showing
from proofhook.cli import main
from proofhook.errata.compare import errata
from proofhook.errata.matching import ALONE, CHANGED, aligned
from proofhook.errata.records import Errata, Kind
from proofhook.pattern import Pattern
from proofhook.reading import read
from proofhook.showing.errata_page import errata_page
from proofhook.text import Source
from proofhook.translating.proved import Edition, second_edition

SCHEMA = Path(next(iter(proofhook.showing.__path__))) / "schemas" / "errata.schema.json"
RADISH = """\
RADISH

Materials
Cotton yarn in Pink, 25 g
Hook: 3.5 mm (US E-4)

Gauge
20 sts = 10 cm

Abbreviations
inc = 2 sc in the same st
puff = yarn over and pull up a loop 3 times in the same st

ROOT
Rnd 1: 6 sc in a magic ring. (6)
Rnd 2: Inc in each st around. (12)
Rnd 3: (Sc in next st, inc) 6 times. (18)
Rnd 4: Sc in each st around. (18)
Rnd 5: Sc in each st around. (18)
Rnd 6: Rep Rnd 4. (18)

LEAF (make 3)
Ch 9.
Row 1: Sc in 2nd ch from hook and in each ch across, turn. (8)
Row 2: Ch 1, sc in each st across, turn. (8)

FINISHING
Sew the leaves to the root. Weave in all ends.
"""


def pattern(text: str) -> Pattern:
    return read(Source("radish.txt", text))


def changed(*changes: tuple[str, str], text: str = RADISH) -> Errata:
    new = text
    for old, words in changes:
        assert old in new
        new = new.replace(old, words, 1)
    found = errata(pattern(text), pattern(new))
    assert errata(pattern(new), pattern(text)) == found.swapped()
    return found


def sides(found: Errata) -> list[tuple[str, str | None, str | None]]:
    return [
        (
            entry.kind.value,
            entry.old.words if entry.old else None,
            entry.new.words if entry.new else None,
        )
        for entry in found.changes
    ]


@pytest.mark.parametrize(
    ("old", "new", "kind"),
    [
        ("25 g", "50 g", Kind.MATERIAL),
        ("in Pink", "in Red", Kind.MATERIAL),
        ("3.5 mm (US E-4)", "4 mm (US G-6)", Kind.HOOK),
        ("US E-4", "US G-6", Kind.HOOK),
        ("20 sts", "22 sts", Kind.GAUGE),
        ("loop 3 times", "loop 4 times", Kind.ABBREVIATION),
        ("make 3", "make 4", Kind.PIECE),
        ("LEAF", "GREEN LEAF", Kind.PIECE),
        ("Ch 9", "Ch 10", Kind.ROW),
        ("(Sc in next st, inc) 6", "(Sc in next st, inc) 7", Kind.ROW),
        ("Rep Rnd 4", "Rep Rnd 3", Kind.ROW),
        ("Rnd 4:", "Rnds 4-5:", Kind.ROW),
        ("Sc in each st around. (18)", "Sc in each st around, change to Red. (18)", Kind.ROW),
        ("Sc in each st around. (18)", "Sc in BLO of each st around. (18)", Kind.ROW),
        ("(Sc in next st, inc) 6", "(Sc in BLO, inc) 6", Kind.ROW),
        ("FINISHING\n", "FINISHING\nLeave 20 cm of yarn.\n", Kind.TEXT),
    ],
)
def test_one_change_is_one_entry(old: str, new: str, kind: Kind) -> None:
    [entry] = changed((old, new)).entries
    assert entry.kind is kind
    assert not entry.wording


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ("Sew the leaves to", "Sew all leaves onto"),
        ("(Sc in next st, inc) 6 times", "*Sc in next st, inc; rep from * 5 more times"),
        ("around. (12)", "around. [12 sts]"),
        ("Rnd 1:", "Rnd 1 (begin here):"),
        ("around. (12)", "around, and move the marker up. (12)"),
    ],
)
def test_other_words_for_the_same_are_no_change(old: str, new: str) -> None:
    assert changed((old, new)).changes == ()


SPELLED = """US terms

Rnd 1: 6 sc in a magic ring. (6)
Rnd 2: 2 sc in each st. (12)
Rnd 3: {} (18)
Rnd 4: Sc in each st around. (18)
"""
#: A round over twelve stitches that makes eighteen, in words for the same and for something else.
THE_SAME = (
    "(Sc in next st, inc) 6 times.", "(1 sc, 2 sc in next st) * 6.", "[Sc, inc] x6.",
    "*1 sc in next st, 2 sc in next st; rep from * around.", "(Sc, sc inc) around.",
    "*Sc, inc; rep from * 5 more times.",
)  # fmt: skip
ANOTHER = (
    "(Inc, sc) 6 times.", "(Sc in next st, hdc inc) 6 times.", "(Sc, inc) x5, sc, inc, sc.",
    "(Sc in BLO, inc) 6 times.", "(Sc, inc) x4, (inc, sc) x2.", "6 sc, 6 inc.",
    "(2 sc in next 2 sts) 6 times.", "(Sc, inc) x6, turn.",
    "(Sc, inc) x3, change to red, (sc, inc) x3.",
)  # fmt: skip


@pytest.mark.parametrize("words", THE_SAME)
@pytest.mark.parametrize("others", THE_SAME)
def test_the_same_stitches_in_other_words_are_only_worded_differently(
    words: str, others: str
) -> None:
    found = errata(pattern(SPELLED.format(words)), pattern(SPELLED.format(others)))
    assert found.changes == ()
    assert len(found.worded) == (words != others)


@pytest.mark.parametrize("words", THE_SAME)
@pytest.mark.parametrize("others", ANOTHER)
def test_other_stitches_or_other_places_for_them_are_a_change(words: str, others: str) -> None:
    found = errata(pattern(SPELLED.format(words)), pattern(SPELLED.format(others)))
    [entry] = found.changes
    assert entry.reading.row == "Rnd 3"


@pytest.mark.parametrize(
    ("words", "others"),
    [
        ("Inc in each st around. (12)", "2 sc in each st around. (12)"),
        ("Inc x6. (12)", "[2 sc in next st] 6 times. (12)"),
        ("6 inc. (12)", "Inc in next 6 sts. (12)"),
        ("6 sc. (6)", "Sc in each st. (6)"),
        ("Sc in next 6 sts. (6)", "(Sc) x6. (6)"),
        ("Sc2tog around. (3)", "(Sc2tog) 3 times. (3)"),
    ],
)
def test_a_figure_that_is_another_is_a_change_whatever_the_words(words: str, others: str) -> None:
    text = "US terms\n\nRnd 1: 6 sc in a magic ring. (6)\nRnd 2: {}\n"
    both = pattern(text.format(words)), pattern(text.format(others))
    assert errata(*both).changes == ()
    for figure in re.finditer(r"\d+(?!tog)", others):
        end = figure.end()
        more = others[: figure.start()] + str(int(figure[0]) + 1) + others[end:]
        assert len(errata(both[0], pattern(text.format(more))).changes) == 1, more


def test_wording_is_kept_apart() -> None:
    found = changed(("Sew the", "Sew all"), ("6 sc in", "Work 6 sc in"))
    assert found.changes == ()
    assert [entry.kind for entry in found.worded] == [Kind.ROW, Kind.TEXT]


def test_layout_is_not_even_worded_otherwise() -> None:
    found = changed(("Rnd 2: Inc", "RND 2:  inc"), ("Sew the leaves to", "Sew the\nleaves to"))
    assert found.entries == ()


def test_a_row_put_in_moves_the_others_and_what_refers_to_them() -> None:
    longer = RADISH.replace("Rnd 6: Rep Rnd 4", "Rnd 7: Rep Rnd 5")
    longer = longer.replace("Rnd 5: Sc", "Rnd 6: Sc")
    longer = longer.replace("Rnd 4: Sc", "Rnd 4: Inc in each st around. (36)\nRnd 5: Sc")
    found = errata(pattern(RADISH), pattern(longer))
    assert sides(found) == [("row", None, "Rnd 4: Inc in each st around. (36)")]
    [moved] = found.renumbered
    assert (moved.old, moved.new) == (("Rnd 4", "Rnd 5", "Rnd 6"), ("Rnd 5", "Rnd 6", "Rnd 7"))
    assert found.worded == ()


def test_numbers_put_right_are_told_though_no_stitch_changed() -> None:
    found = changed(("Rnd 5:", "Rnd 7:"), ("Rnd 6:", "Rnd 8:"))
    assert found.changes == ()
    assert [(rows.old, rows.new) for rows in found.renumbered] == [
        (("Rnd 5", "Rnd 6"), ("Rnd 7", "Rnd 8"))
    ]


def test_a_piece_put_in_is_one_entry_with_its_rows() -> None:
    found = changed(("FINISHING", "STALK\nRnd 1: 5 sc in a magic ring. (5)\n\nFINISHING"))
    assert sides(found) == [("piece", None, "STALK\nRnd 1: 5 sc in a magic ring. (5)")]


def test_a_definition_put_right_does_not_change_the_rows_that_use_it() -> None:
    found = changed(("inc = 2 sc", "inc = 3 sc"))
    assert [entry.kind for entry in found.changes] == [Kind.ABBREVIATION]


def test_the_counts_are_told_where_they_are_worked_out() -> None:
    found = changed(("(Sc in next st, inc) 6 times. (18)", "(Sc in next 2 sts, inc) 4 times. (16)"))
    [entry] = found.changes
    assert entry.old is not None
    assert entry.new is not None
    assert (entry.old.worked, entry.old.stated) == ((18,), (18,))
    assert (entry.new.worked, entry.new.stated) == ((16,), (16,))
    page = list(errata_page(found, wording=False, markdown=False))
    assert "  It made 18, and now makes 16." in page


def test_words_that_could_not_be_read_are_compared_as_words() -> None:
    text = RADISH.replace("Rnd 5: Sc in each st around.", "Rnd 5: Follow line B of the chart.")
    found = changed(("line B of", "line C of"), text=text)
    assert [entry.kind for entry in found.changes] == [Kind.ROW]


def test_editions_in_other_terms_are_compared_in_us_terms() -> None:
    old = RADISH.replace("RADISH\n", "RADISH\nUS terms\n")
    made = second_edition(Source("radish.txt", old), "uk")
    assert isinstance(made, Edition)
    assert "Dc in each st" in made.text
    assert errata(pattern(old), pattern(made.text)).entries == ()
    found = errata(
        pattern(old), pattern(made.text.replace("(12)", "(13)").replace("3.5 mm", "4 mm"))
    )
    assert found.terms == "us"
    assert [entry.kind for entry in found.entries] == [Kind.HOOK, Kind.ROW]
    assert "Both editions are quoted in US terms." in errata_page(found, False, False)
    [_, row] = found.entries
    assert row.new is not None
    assert row.new.words == "Rnd 2: Inc in each st around. (13)"


def test_what_cannot_be_put_into_other_terms_is_told() -> None:
    old = RADISH.replace("RADISH\n", "RADISH\nUS terms\n")
    made = second_edition(Source("radish.txt", old), "uk")
    assert isinstance(made, Edition)
    mixed = made.text.replace("Rnd 5: Dc", "Rnd 5: Sc").replace("(12)", "(13)")
    assert "Rnd 5: Sc" in mixed
    found = errata(pattern(old), read(Source("radish.txt", mixed), "uk"))
    assert found.reserve.endswith("so only the rows were compared.")
    assert [entry.reading.row for entry in found.changes] == ["Rnd 2"]


def test_marks_of_markdown_in_a_pattern_are_not_taken_for_marks() -> None:
    found = changed(("(Sc in next st, inc) 6 times", "*Sc, inc; rep from * 6 more times"))
    page = "\n".join(errata_page(found, wording=False, markdown=True))
    assert r"\*Sc, inc; rep from \* 6 more times" in page


def test_long_stretches_are_cut_at_what_they_share() -> None:
    old = [f"line {number}" for number in range(900)]
    new = [word for word in old if word != "line 450"]
    new[0], new[-1] = "first", "last"

    def cost(one: str, other: str) -> int:
        return 0 if one == other else CHANGED

    pairs = aligned(old, new, cost, str)
    odd = [pair for pair in pairs if pair[0] != pair[1]]
    assert ("line 450", None) in odd
    assert {"first", "last"} == {new for _, new in odd if new}
    assert [one for one, _ in pairs if one] == old
    assert [other for _, other in pairs if other] == new
    assert ALONE >= CHANGED


# --- the command ------------------------------------------------------------------------


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    (tmp_path / "old.txt").write_text(RADISH, "utf-8")
    (tmp_path / "new.txt").write_text(RADISH.replace("(12)", "(13)"), "utf-8")
    return tmp_path


def test_the_status_tells_whether_there_are_errata(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["errata", "old.txt", "new.txt"]) == 1
    assert "Rnd 2: Inc in each st around. (13)" in capsys.readouterr().out
    assert main(["errata", "old.txt", "old.txt"]) == 0
    said = capsys.readouterr()
    assert said.out == ""
    assert said.err == "proofhook: old.txt: no errata.\n"


def test_wording_is_counted_and_shown_when_asked_for(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (folder / "new.txt").write_text(RADISH.replace("Sew the", "Sew all"), "utf-8")
    assert main(["errata", "old.txt", "new.txt"]) == 0
    assert "1 place is only worded differently; --wording shows them." in capsys.readouterr().err
    assert main(["errata", "--wording", "old.txt", "new.txt"]) == 1
    assert "Sew all leaves to the root." in capsys.readouterr().out


def test_the_json_has_the_form_of_its_schema(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (folder / "new.txt").write_text(
        RADISH.replace("(12)", "(13)").replace("Rnd 6", "Rnd 7").replace("LEAF (make 3)", "LEAF"),
        "utf-8",
    )
    assert main(["errata", "--format", "json", "old.txt", "new.txt"]) == 1
    value = json.loads(capsys.readouterr().out)
    jsonschema.Draft202012Validator(json.loads(SCHEMA.read_text("utf-8"))).validate(value)
    assert [entry["kind"] for entry in value["entries"]] == ["row", "piece"]
    assert value["renumbered"] == [{"piece": "ROOT", "old": ["Rnd 6"], "new": ["Rnd 7"]}]


@pytest.mark.parametrize(
    ("arguments", "sentence"),
    [
        (["old.txt"], "name two editions"),
        (["old.txt", "new.txt", "old.txt"], "name two editions"),
        (["-", "-"], "standard input can be one of the editions, not both"),
        (["--git", "HEAD", "old.txt", "new.txt"], "name one file"),
        (["old.txt", "gone.txt"], "gone.txt: there is no such file"),
        (["old.txt", "empty.txt"], "empty.txt: it is empty."),
        (["old.txt", "prose.txt"], "prose.txt: no rows or rounds were found in it."),
        (["--git", "HEAD", "-"], "Standard input has no earlier revision"),
        (["--git", "HEAD", "gone.txt"], "gone.txt: there is no such file."),
        (["--git", "HEAD", "old.txt"], "it is not in a git repository"),
    ],
)
def test_what_cannot_be_compared_is_told_in_a_sentence(
    folder: Path,
    capsys: pytest.CaptureFixture[str],
    monkeypatch: pytest.MonkeyPatch,
    arguments: list[str],
    sentence: str,
) -> None:
    monkeypatch.setenv("GIT_CEILING_DIRECTORIES", str(folder.parent))
    (folder / "empty.txt").write_text("", "utf-8")
    (folder / "prose.txt").write_text("A radish is red.\n", "utf-8")
    assert main(["errata", *arguments]) == 2
    said = capsys.readouterr()
    assert said.out == ""
    assert sentence in said.err
    assert said.err.count("\n") == 1


def git(*words: str) -> None:
    named = {"NAME": "A Gardener", "EMAIL": "gardener@example.org"}
    who = {f"GIT_{part}_{key}": v for part in ("AUTHOR", "COMMITTER") for key, v in named.items()}
    subprocess.run(["git", *words], check=True, capture_output=True, env={**os.environ, **who})


def test_an_earlier_revision_is_the_old_edition(
    folder: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    git("init", "--quiet")
    (folder / "beds").mkdir()
    (folder / "beds" / "radish.txt").write_text(RADISH, "utf-8")
    git("add", "beds")
    git("commit", "--quiet", "-m", "A radish")
    (folder / "beds" / "radish.txt").write_text(RADISH.replace("(12)", "(13)"), "utf-8")
    assert main(["errata", "--git", "HEAD", "beds/radish.txt"]) == 1
    assert "Rnd 2: Inc in each st around. (13)" in capsys.readouterr().out
    assert main(["errata", "--git", "first", "beds/radish.txt"]) == 2
    assert "git knows no revision 'first' here." in capsys.readouterr().err
    assert main(["errata", "--git=--all", "beds/radish.txt"]) == 2
    assert "git knows no revision '--all' here." in capsys.readouterr().err
    assert main(["errata", "--git", "HEAD", "old.txt"]) == 2
    assert "the file was not there in revision 'HEAD'." in capsys.readouterr().err
    monkeypatch.setenv("PATH", str(folder))
    assert main(["errata", "--git", "HEAD", "beds/radish.txt"]) == 2
    assert "git was not found" in capsys.readouterr().err
