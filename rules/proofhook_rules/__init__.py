"""The built-in rules of proofhook: a plug-in like anyone's own, one file a family."""

from __future__ import annotations

from proofhook.proofing import Rule, hookimpl


@hookimpl
def proofhook_rules() -> tuple[Rule, ...]:
    """All rules of the pack."""
    from proofhook_rules import chains, fits, marks, numbering, totals, words

    return (
        *totals.RULES,
        *fits.RULES,
        *numbering.RULES,
        *marks.RULES,
        *chains.RULES,
        *words.RULES,
    )
