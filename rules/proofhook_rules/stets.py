"""Stets: findings that stand although the words they were about have gone."""

from __future__ import annotations

from collections.abc import Iterator

from proofhook.proofing import Finding, Grade, Mend, ProofContext, rule
from proofhook.proofing.stet import quotations
from proofhook.text import Span
from proofhook_rules.wording import sentence, shown


@rule("stet-stale", Grade.STYLE)
def stet_stale(context: ProofContext) -> Iterator[Finding]:
    """Every finding that is let stand is about words that are still there.

    Words that were changed since are looked at anew; the old entry lets nothing stand any
    more, and would hide a mistake if the same words came back.

    House:

        [[stet]]
        rule = "stitch-total"
        quote = "7 sc in a magic ring. (6)"
        because = "the last one is worked into the marker"

    Flagged:

        Rnd 1: 6 sc in a magic ring. (6)

    Passes:

        Rnd 1: 7 sc in a magic ring. (6)
    """
    if not context.house.stets:
        return
    there = set(quotations(context.tally))
    first = context.pattern.source.line_span(1)
    for stet in context.house.stets:
        if stet.quote not in there:
            yield context.finding(
                Span(first.start, first.end),
                sentence(f"{shown(stet.quote)}, let stand for {stet.rule}, is not there any more"),
                mends=[Mend("Take the entry out of stet.toml.")],
            )


RULES = (stet_stale,)
