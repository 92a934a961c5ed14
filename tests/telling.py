"""What one rule says of a text: of a slip in it, and without."""

from __future__ import annotations

import proofhook


def told(rule: str, text: str) -> list[str]:
    """What one rule says of a text."""
    done = proofhook.proof(proofhook.read(text, "turnip.txt"))
    assert done.failures == ()
    return [finding.message for finding in done.findings if finding.rule == rule]


def only_the_slip_is_told(rule: str, text: str, slip: tuple[str, str], said: str) -> None:
    """Assert that a rule is silent on a text, and says just this where a slip is made in it."""
    old, new = slip
    assert text.count(old) == 1
    assert told(rule, text) == []
    assert told(rule, text.replace(old, new)) == [said]
