"""The calls for other programs."""

from __future__ import annotations

import doctest
import subprocess
import sys
from pathlib import Path

import pytest

import proofhook
from proofhook import api
from proofhook.proofing.house import House, HouseError, RuleSetting

TEXT = "Rnd 1: 6 sc in a magic ring. (6)\nRnd 2: 2 sc in each st around. (11)\n"


def test_a_text_is_read_tallied_and_proofed() -> None:
    pattern = proofhook.read(TEXT, "marrow.txt")
    assert [row.name for row in pattern.rows] == ["Rnd 1", "Rnd 2"]
    assert [row.worked for row in pattern.tally().rows] == [(6,), (12,)]
    done = pattern.proof()
    assert [finding.rule for finding in done.findings] == ["stitch-total"]
    assert done.failing == 1


def test_the_pattern_does_what_the_calls_do() -> None:
    pattern = proofhook.read(TEXT)
    assert pattern.tally() == proofhook.tally(pattern)
    assert pattern.proof() == proofhook.proof(pattern)


def test_a_mend_is_made_with_what_is_there() -> None:
    done = proofhook.read(TEXT).proof()
    [finding] = done.findings
    text = proofhook.apply_edits(TEXT, finding.mends[0].edits)
    assert proofhook.read(text).proof().findings == ()


def test_a_house_has_its_say() -> None:
    pattern = proofhook.read(TEXT)
    lax = House(rules={"stitch-total": RuleSetting(off=True)})
    assert pattern.proof(lax).findings == ()
    with pytest.raises(HouseError, match="did you mean 'stitch-total'"):
        pattern.proof(House(rules={"stich-total": RuleSetting(off=True)}))
    done = pattern.proof(House(plugins=("nobody_made_this",)))
    assert "not installed" in done.failures[0]
    assert [finding.rule for finding in done.findings] == ["stitch-total"]


def test_a_house_is_read_from_its_sheet_or_found_above_a_pattern(tmp_path: Path) -> None:
    sheet = tmp_path / "housestyle.toml"
    sheet.write_text('failing = "query"\n[[folders]]\nin = ["toys"]\nfailing = "style"\n', "utf-8")
    (tmp_path / "toys").mkdir()
    assert proofhook.house(sheet).failing is proofhook.Grade.QUERY
    assert proofhook.house(tmp_path).failing is proofhook.Grade.QUERY
    assert proofhook.house(str(tmp_path / "turnip.txt")).failing is proofhook.Grade.QUERY
    assert proofhook.house(tmp_path / "toys").failing is proofhook.Grade.STYLE
    assert proofhook.house(tmp_path / "toys" / "duck.txt").failing is proofhook.Grade.STYLE
    with pytest.raises(HouseError, match="cannot be read"):
        proofhook.house(tmp_path / "none.toml")


def test_a_pattern_is_tidied_and_translated_by_the_calls() -> None:
    pattern = proofhook.read("US terms\n\nRnd 1: 6 sc in a magic ring. (6 sc)   ")
    tidied = pattern.tidy()
    assert tidied.changed
    assert tidied.before is pattern
    assert tidied.after.source.text == "US terms\n\nRnd 1: 6 sc in a magic ring. (6 sc)\n"
    edition = tidied.after.translate("uk")
    assert isinstance(edition, proofhook.Edition)
    assert edition.text == "UK terms\n\nRnd 1: 6 dc in a magic ring. (6 dc)\n"
    asked = proofhook.read("Rnd 1: 12 dc in a magic ring. (12)").translate("uk")
    assert isinstance(asked, proofhook.Refusal)
    assert asked.asks
    with pytest.raises(ValueError, match='"us" or "uk", not \'de\''):
        pattern.translate("de")


def test_every_name_that_is_promised_is_there_and_no_other() -> None:
    assert set(api.__all__) | {"__version__"} == set(proofhook.__all__)
    for name in proofhook.__all__:
        assert getattr(proofhook, name) is not None
        assert name in dir(proofhook)
    with pytest.raises(AttributeError, match="has no attribute 'fix'"):
        proofhook.fix  # noqa: B018


def test_every_name_has_its_docstring() -> None:
    for name in api.__all__:
        assert (getattr(api, name).__doc__ or "").strip(), name


def test_the_examples_in_the_docstrings_hold() -> None:
    found = doctest.testmod(api)
    assert found.attempted >= 8
    assert found.failed == 0


def test_the_import_alone_brings_in_nothing() -> None:
    code = (
        "import sys, typing; before = set(sys.modules); import proofhook; "
        "print(*sorted(set(sys.modules) - before))"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert set(done.stdout.split()) <= {"proofhook", "__future__"}
