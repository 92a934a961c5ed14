"""The built-in rules of proofhook: a plug-in like anyone's own, one file a family."""

from __future__ import annotations

from proofhook.proofing import Rule, hookimpl


@hookimpl
def proofhook_rules() -> tuple[Rule, ...]:
    """All rules of the pack."""
    from proofhook_rules import (
        abbreviations,
        assembly,
        chains,
        completeness,
        construction,
        endings,
        fits,
        foundations,
        gauges,
        hooks,
        house,
        marks,
        materials,
        meanings,
        measures,
        numbering,
        printing,
        sections,
        sizing,
        specials,
        stets,
        terms,
        totals,
        variants,
        words,
        written_out,
    )

    return (
        *totals.RULES,
        *fits.RULES,
        *numbering.RULES,
        *marks.RULES,
        *chains.RULES,
        *words.RULES,
        *abbreviations.RULES,
        *variants.RULES,
        *terms.RULES,
        *house.RULES,
        *stets.RULES,
        *measures.RULES,
        *hooks.RULES,
        *sizing.RULES,
        *gauges.RULES,
        *construction.RULES,
        *specials.RULES,
        *sections.RULES,
        *materials.RULES,
        *endings.RULES,
        *assembly.RULES,
        *foundations.RULES,
        *meanings.RULES,
        *completeness.RULES,
        *printing.RULES,
        *written_out.RULES,
    )
