"""Chains: whether the chains at the start of a row count as a stitch."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator

from proofhook import expressions as rx
from proofhook.counting.result import CustomUsed, RowTally
from proofhook.pattern import Chain, Join, Pattern, Step
from proofhook.proofing import Finding, Grade, Mend, Option, ProofContext, rule
from proofhook.records import NamedTuple
from proofhook.text import Edit, Span
from proofhook_rules.around import once
from proofhook_rules.wording import joined, sentence

ASK_CH_1 = Option(
    "ask-about-ch-1", False, "ask about a single chain too, which by custom does not count"
)


#: "ch 3 counts as a dc", "turning chains are not counted", "ch 4 = dc and ch 1"; also the
#: short form beside the chain, "ch 5 (dc + ch 2)".
SPEAKS_OF_COUNTING = (
    r"(?i)\bcount|\bstands?\s+(?:as|for|on)\b"
    r"|(?:\b|\d)ch(?:ain)?s?\b[^.;]{0,40}\b(?:is|are|=|as)\s+(?:an?\b|one\b|1|the\s+first\b)"
    r"|\bch(?:ain)?[ -]?\d+\s*\([^)]*\b(?:[shd]*c|d?tr|htr|sts?)\b"
)
SPEAKS_OF_CHAINS = (
    r"(?i)\bch(?:ain)?s?[ -]?N\b|(?<!\d)N[ -]?(?:\w+\s+)?ch"
    r"|\b(?:(?:turning|beginning|beg|starting)[ -]ch|t-?ch)"
)

#: A turning chain stands at the start of its row or at the end of the one before; a
#: colour or a turn may stand before it, a turn and the total after it.
MOST_BEFORE, MOST_AFTER = 4, 4


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
    groups: dict[tuple[int, str], list[Use]] = {}
    beginnings = _beginnings(context.tally.rows)
    for custom in context.tally.customs:
        first = beginnings.get((id(custom.piece), custom.chains))
        if first:
            use = Use(custom, *first)
            groups.setdefault((custom.chains, custom.stitch), []).append(use)
    told: set[int] = set()
    for (chains, _), uses in groups.items():
        silent = [use for use in uses if _worth_asking(context, use.custom)]
        uneven = next((use for use in uses if not use.custom.consistent), None)
        if uneven:
            yield _inconsistent(context, uneven)
        elif silent and chains not in told:
            told.add(chains)
            differ = len({use.custom.counts for use in uses}) > 1
            yield _differs(context, uses, silent[0]) if differ else _never_said(context, silent)


class Use(NamedTuple):
    """A custom, and the first row that begins with its chains: where they stand."""

    custom: CustomUsed
    row: RowTally
    span: Span


def _beginnings(rows: Iterable[RowTally]) -> dict[tuple[int, int], tuple[RowTally, Span]]:
    """Where chains first begin a row, by the identity of the piece and their number.

    The chains skipped at the foundation are not among them, and not asked about: "dc in
    4th ch from hook" is common practice.
    """
    found: dict[tuple[int, int], tuple[RowTally, Span]] = {}
    for row in rows:
        steps = row.row.steps
        for number, step in enumerate(steps):
            if MOST_BEFORE <= number < len(steps) - MOST_AFTER or not isinstance(step, Chain):
                continue
            if isinstance(next(iter(steps[number + 1 :]), None), Join):
                continue  # they make a ring
            for chains in step.count:
                span = step.span.moved(row.row.body.start)
                found.setdefault((id(row.piece), chains), (row, span))
    return found


def _worth_asking(context: ProofContext, custom: CustomUsed) -> bool:
    if custom.said or _said_somewhere(context, custom.chains):
        return False
    return custom.chains != 1 or custom.counts or bool(context.options["ask-about-ch-1"])


def _said_somewhere(context: ProofContext, chains: int) -> bool:
    """Whether any row or note says how so many chains are taken: makers go by that.

    A note may say it in words that the reader makes nothing of; a sentence that speaks
    of these chains and of counting is taken to say it.
    """
    if any(custom.length in (0, chains) for custom in context.pattern.customs):
        return True
    if chains in _said_in_rows(context.pattern):
        return True
    speaks = SPEAKS_OF_CHAINS.replace("N", str(chains))
    return any(re.search(speaks, sentence) for sentence in _told_of_counting(context.pattern))


@once
def _said_in_rows(pattern: Pattern) -> frozenset[int]:
    """The lengths of the chains of which a row says whether they count."""
    return frozenset(
        length
        for row in pattern.rows
        for number, step in enumerate(row.steps)
        if isinstance(step, Chain) and _says(step, row.steps[number + 1 : number + 2])
        for length in step.count
    )


@once
def _told_of_counting(pattern: Pattern) -> tuple[str, ...]:
    """The sentences that speak of counting."""
    sentences = rx.split(r"[.!?](?=\s|\Z)|\n\s*\n", pattern.source.text)
    return tuple(each for each in sentences if re.search(SPEAKS_OF_COUNTING, each))


def _says(step: Chain, following: tuple[Step, ...]) -> bool:
    """Whether a chain is said to count or not, in itself or in the aside that follows it."""
    return step.counts is not None or any(
        isinstance(aside, Chain) and aside.counts is not None and not any(aside.count)
        for aside in following
    )


def _as(custom: CustomUsed) -> str:
    return f"counts as {custom.stitch or 'a st'}" if custom.counts else "does not count as a st"


def _say_so(use: Use) -> Mend:
    words = f" ({_as(use.custom)} here and throughout)"
    return Mend(
        f"Say it where the chain first stands: “ch {use.custom.chains}{words}”.",
        False,
        (Edit(use.span.end, use.span.end, words),),
    )


def _inconsistent(context: ProofContext, use: Use) -> Finding:
    name = use.custom.piece.name
    return context.finding(
        use.span,
        sentence(
            f"ch {use.custom.chains} at the start of a row counts as a stitch in some rows"
            f"{f' of {name}' if name else ''} and not in others"
        ),
        row=use.row,
        working="No one way of counting it makes all the stated totals come out.",
        mends=[Mend("Choose one way, say it in the notes, and mend the rows that differ.")],
    )


def _differs(context: ProofContext, uses: list[Use], silent: Use) -> Finding:
    yes, no = (
        joined(
            dict.fromkeys(
                use.custom.piece.name or "the first part"
                for use in uses
                if use.custom.counts is way
            )
        )
        for way in (True, False)
    )
    return context.finding(
        silent.span,
        sentence(
            f"ch {silent.custom.chains} at the start of a row counts as a stitch in {yes} "
            f"but not in {no}, and the text does not say so"
        ),
        row=silent.row,
        working="Taken from the totals that are stated in each part.",
        mends=[_say_so(silent)._replace(title="Say in each part whether it counts.")],
    )


def _never_said(context: ProofContext, silent: list[Use]) -> Finding:
    first, custom = silent[0], silent[0].custom
    reason = (
        f"The stated totals come out if it {_as(custom)}, so it was taken that way."
        if any(use.custom.decided for use in silent)
        else f"No total settles it; it was taken the usual way, that it {_as(custom)}."
    )
    return context.finding(
        first.span,
        sentence(
            f"the pattern never says whether ch {custom.chains} at the start of a row "
            "counts as a stitch"
        ),
        row=first.row,
        working=reason,
        mends=[_say_so(first)],
    )


RULES = (turning_chain,)
