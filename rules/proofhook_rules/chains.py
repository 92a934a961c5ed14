"""Chains: whether the chains at the start of a row count as a stitch."""

from __future__ import annotations

from collections.abc import Iterator

from proofhook.counting.result import CustomUsed
from proofhook.proofing import Finding, Grade, Mend, Option, ProofContext, rule
from proofhook.text import Edit
from proofhook_rules.wording import joined, sentence

ASK_CH_1 = Option(
    "ask-about-ch-1", False, "ask about a single chain too, which by custom does not count"
)


@rule("turning-chain", Grade.QUERY, ASK_CH_1)
def turning_chain(context: ProofContext) -> Iterator[Finding]:
    """The pattern says whether the chains at the start of a row count as a stitch.

    Designers differ, and a maker who takes it the other way is one stitch out at every
    edge.  Where the text is silent the totals may show what is meant, but the maker has
    no totals until the row is done.  A single chain is not asked about: that it does not
    count is common practice.

    Flagged:

        Row 1: Ch 12, dc in 4th ch from hook and in each ch across. (10)
        Row 2: Ch 3, turn, dc in next 9 sts. (10)

    Passes:

        Row 1: Ch 12, dc in 4th ch from hook and in each ch across. (10)
        Row 2: Ch 3 (counts as dc here and throughout), turn, dc in next 9 sts. (10)
    """
    groups: dict[tuple[int, str], list[CustomUsed]] = {}
    for used in context.tally.customs:
        groups.setdefault((used.chains, used.stitch), []).append(used)
    for uses in groups.values():
        silent = [used for used in uses if not used.said and _worth_asking(context, used)]
        uneven = next((used for used in uses if not used.consistent), None)
        if uneven:
            yield _inconsistent(context, uneven)
        elif len({used.counts for used in uses}) > 1 and silent:
            yield _differs(context, uses, silent[0])
        elif silent:
            yield _never_said(context, silent)


def _worth_asking(context: ProofContext, used: CustomUsed) -> bool:
    return used.chains != 1 or used.counts or bool(context.options["ask-about-ch-1"])


def _as(used: CustomUsed) -> str:
    return f"counts as {used.stitch or 'a st'}" if used.counts else "does not count as a st"


def _say_so(used: CustomUsed) -> Mend:
    words = f" ({_as(used)} here and throughout)"
    return Mend(
        f"Say it where the chain first stands: “ch {used.chains}{words}”.",
        False,
        (Edit(used.span.end, used.span.end, words),),
    )


def _inconsistent(context: ProofContext, used: CustomUsed) -> Finding:
    return _found(
        context,
        used,
        f"ch {used.chains} at the start of a row counts as a stitch in some rows"
        f"{_in(used.piece.name)} and not in others",
        "No one way of counting it makes all the stated totals come out.",
        [Mend("Choose one way, say it in the notes, and mend the rows that differ.")],
    )


def _differs(context: ProofContext, uses: list[CustomUsed], silent: CustomUsed) -> Finding:
    yes, no = (
        joined(
            dict.fromkeys(
                used.piece.name or "the first part" for used in uses if used.counts is way
            )
        )
        for way in (True, False)
    )
    return _found(
        context,
        silent,
        f"ch {silent.chains} at the start of a row counts as a stitch in {yes} but not in {no}, "
        "and the text does not say so",
        "Taken from the totals that are stated in each part.",
        [_say_so(silent)._replace(title="Say in each part whether it counts")],
    )


def _never_said(context: ProofContext, silent: list[CustomUsed]) -> Finding:
    used = silent[0]
    reason = (
        f"The stated totals come out only if it {_as(used)}, so it was taken that way."
        if any(each.decided for each in silent)
        else f"No total settles it; it was taken the usual way, that it {_as(used)}."
    )
    return _found(
        context,
        used,
        f"the pattern never says whether ch {used.chains} at the start of a row counts as a stitch",
        reason,
        [_say_so(used)],
    )


def _in(name: str) -> str:
    return f" of {name}" if name else ""


def _found(
    context: ProofContext, used: CustomUsed, words: str, working: str, mends: list[Mend]
) -> Finding:
    row = next(
        (
            row
            for row in context.tally.rows
            if row.row.span.start <= used.span.start < row.row.span.end
        ),
        None,
    )
    return context.finding(used.span, sentence(words), row=row, working=working, mends=mends)


RULES = (turning_chain,)
