"""Unseen patterns: what was planted is found, and clean ones are left in peace.

``fixtures/defects/clean`` holds complete patterns in many hands, written before any rule
looked at them; ``planted.toml`` lists the defects planted in them, each with the rule that
should see it.
"""

from __future__ import annotations

from collections import Counter
from functools import cache
from pathlib import Path
from typing import Any

import pytest
import tomli

import proofhook
from proofhook.proofing import Grade
from proofhook.proofing.plugins import load_rules
from proofhook.proofing.proof import Proof

FOLDER = Path(__file__).parents[1] / "fixtures" / "defects"
CLEAN = sorted((FOLDER / "clean").iterdir())
PLANTED: list[dict[str, Any]] = tomli.loads((FOLDER / "planted.toml").read_text("utf-8"))["planted"]

#: The least share of the planted defects that must be found.
LEAST_FOUND = 0.95
#: So many queries may be raised in this many clean patterns.
QUERIES, PATTERNS = 1, 3
#: Rules that say nothing unless the style sheet asks, or that look at no words of a pattern.
ON_REQUEST = {
    "house-marks", "house-print", "house-section", "house-wording", "stet-stale", "yarn-incomplete",
}  # fmt: skip
#: Patterns with a false alarm: the file, and how many errors it has.
FALSE_ALARMS: dict[str, int] = {}


@cache
def proofed(file: str, old: str = "", new: str = "") -> Proof:
    text = (FOLDER / "clean" / file).read_text("utf-8")
    if old:
        assert old in text, (file, old)
        text = text.replace(old, new)
    done = proofhook.proof(proofhook.read(text, file))
    assert done.failures == ()
    return done


def found(planted: dict[str, Any]) -> bool:
    """Whether the rule says something that it does not say of the clean pattern."""
    before = Counter(
        f.message for f in proofed(planted["file"]).findings if f.rule == planted["rule"]
    )
    done = proofed(planted["file"], planted["old"], planted["new"])
    after = Counter(f.message for f in done.findings if f.rule == planted["rule"])
    return bool(after - before)


def test_there_are_enough_patterns_and_every_rule_is_tried() -> None:
    assert len(CLEAN) >= 24
    assert len(PLANTED) >= 90
    rules = {rule.name for rule in load_rules()}
    assert {planted["rule"] for planted in PLANTED} == rules - ON_REQUEST


def test_planted_defects_are_found() -> None:
    missed = [(p["rule"], p["file"], p["new"]) for p in PLANTED if not found(p)]
    assert len(missed) <= (1 - LEAST_FOUND) * len(PLANTED), missed


@pytest.mark.parametrize("path", CLEAN, ids=lambda path: path.name)
def test_a_clean_pattern_has_no_error(path: Path) -> None:
    errors = [f for f in proofed(path.name).findings if f.grade is Grade.ERROR]
    assert len(errors) == FALSE_ALARMS.get(path.name, 0), errors


def test_clean_patterns_raise_few_queries() -> None:
    queries = [
        (path.name, f.rule, f.message)
        for path in CLEAN
        for f in proofed(path.name).findings
        if f.grade is Grade.QUERY
    ]
    assert len(queries) * PATTERNS <= len(CLEAN) * QUERIES, queries
