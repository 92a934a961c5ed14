"""Fits: a row uses up what the row below leaves, no more and no less."""

from __future__ import annotations

from collections.abc import Iterator

from proofhook.counting.result import Problem
from proofhook.proofing import Finding, Grade, Mend, ProofContext, rule
from proofhook_rules.wording import row_word, sentence, size_names


@rule("repeat-fit", Grade.ERROR)
def repeat_fit(context: ProofContext) -> Iterator[Finding]:
    """A repeat comes out even.

    "Around" and "across" promise that the last repeat ends where the row ends.  Where
    stitches are left over or run out in the middle of a repeat, a maker cannot tell
    whether the repeat, the count below or the end of the row is wrong.

    Flagged:

        Rnd 1: 8 sc in a magic ring. (8)
        Rnd 2: *Sc in next 2 sts, 2 sc in next st; rep from * around.

    Passes:

        Rnd 1: 9 sc in a magic ring. (9)
        Rnd 2: *Sc in next 2 sts, 2 sc in next st; rep from * around.
    """
    advice = (
        Mend("Change the stitches inside the repeat so that it divides the {row} below."),
        Mend("Say how the last repeat ends."),
    )
    return _reported(context, "repeat", advice)


@rule("row-fit", Grade.ERROR)
def row_fit(context: ProofContext) -> Iterator[Finding]:
    """A row works into every stitch below, and into no more than there are.

    A total can be right while the row is not: one that needs more stitches than the row
    below has cannot be worked, and one that ends early leaves the maker wondering about
    the rest, unless the text says that it stays unworked.

    Flagged:

        Row 1: Ch 13, sc in 2nd ch from hook and in each ch across. (12)
        Row 2: Ch 1, turn, sc in next 10 sts. (10)

    Passes:

        Row 1: Ch 13, sc in 2nd ch from hook and in each ch across. (12)
        Row 2: Ch 1, turn, sc in next 10 sts, leave last 2 sts unworked. (10)
    """
    short = (Mend("Check the count below and the stitches of this {row}."),)
    left = (
        Mend("Work the rest, or say that it stays unworked."),
        Mend("Check the count below."),
    )
    yield from _reported(context, "short", short)
    yield from _reported(context, "left", left)


def _reported(context: ProofContext, kind: str, mends: tuple[Mend, ...]) -> Iterator[Finding]:
    for row in context.tally.rows:
        for problem in row.problems:
            if problem.kind == kind:
                yield context.finding(
                    problem.span,
                    _with_sizes(context, problem),
                    row=row,
                    working=row.working,
                    mends=[m._replace(title=m.title.format(row=row_word(row))) for m in mends],
                )


def _with_sizes(context: ProofContext, problem: Problem) -> str:
    """The problem in a sentence, with the sizes it holds for where that is not all."""
    count = len(context.pattern.sizes)
    if not problem.sizes or count <= 1 or len(problem.sizes) >= count:
        return sentence(problem.message)
    return sentence(f"in {size_names(context, problem.sizes)}: {problem.message}")


RULES = (repeat_fit, row_fit)
