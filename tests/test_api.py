"""The calls for other programs."""

from __future__ import annotations

import pytest

import proofhook
from proofhook.proofing.house import House, HouseError, RuleSetting

TEXT = "Rnd 1: 6 sc in a magic ring. (6)\nRnd 2: 2 sc in each st around. (11)\n"


def test_a_text_is_read_tallied_and_proofed() -> None:
    pattern = proofhook.read(TEXT, "marrow.txt")
    assert [row.name for row in pattern.rows] == ["Rnd 1", "Rnd 2"]
    assert [row.worked for row in proofhook.tally(pattern).rows] == [(6,), (12,)]
    done = proofhook.proof(pattern)
    assert [finding.rule for finding in done.findings] == ["stitch-total"]
    assert done.failing == 1


def test_a_house_has_its_say() -> None:
    pattern = proofhook.read(TEXT)
    lax = House(rules={"stitch-total": RuleSetting(off=True)})
    assert proofhook.proof(pattern, lax).findings == ()
    with pytest.raises(HouseError, match="did you mean 'stitch-total'"):
        proofhook.proof(pattern, House(rules={"stich-total": RuleSetting(off=True)}))
    done = proofhook.proof(pattern, House(plugins=("nobody_made_this",)))
    assert "not installed" in done.failures[0]
    assert [finding.rule for finding in done.findings] == ["stitch-total"]


def test_there_is_nothing_else() -> None:
    assert {"read", "tally", "proof", "__version__"} == set(proofhook.__all__)
    with pytest.raises(AttributeError, match="has no attribute 'fix'"):
        proofhook.fix  # noqa: B018
