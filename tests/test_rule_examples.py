"""The example patterns in the docstrings of the rules do what the docstrings say."""

from __future__ import annotations

import pytest

import proofhook
from proofhook.proofing import Grade, Rule
from proofhook.proofing.plugins import load_rules
from proofhook.proofing.proof import Proof
from proofhook.proofing.rule import explain
from proofhook.proofing.sheets import house_of

RULES = load_rules()


def proofed(text: str, house: str = "") -> Proof:
    done = proofhook.proof(proofhook.read(text), house_of(house))
    assert done.failures == ()
    assert done.tally.rows
    return done


@pytest.mark.parametrize("rule", RULES, ids=lambda rule: rule.name)
def test_the_flagged_example_is_flagged(rule: Rule) -> None:
    done = proofed(explain(rule).flagged, explain(rule).house)
    assert rule.name in {finding.rule for finding in done.findings}
    assert all(f.grade is rule.grade for f in done.findings if f.rule == rule.name)


@pytest.mark.parametrize("rule", RULES, ids=lambda rule: rule.name)
def test_the_passing_example_passes(rule: Rule) -> None:
    findings = proofed(explain(rule).passes, explain(rule).house).findings
    assert [f for f in findings if f.rule == rule.name or f.grade is Grade.ERROR] == []


@pytest.mark.parametrize("rule", RULES, ids=lambda rule: rule.name)
def test_the_mend_offered_in_the_flagged_example_takes_the_finding_away(rule: Rule) -> None:
    from proofhook.text import apply_edits

    text, house = explain(rule).flagged, explain(rule).house
    before = proofed(text, house).findings
    others = {(f.rule, f.message) for f in before if f.rule != rule.name}
    for finding in before:
        for mend in finding.mends:
            if finding.rule == rule.name and mend.edits:
                mended = proofed(apply_edits(text, mend.edits), house)
                assert [f for f in mended.findings if f == finding] == []
                brought = {(f.rule, f.message) for f in mended.findings if f.rule != rule.name}
                assert brought <= others
