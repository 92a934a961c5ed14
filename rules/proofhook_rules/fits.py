"""Fits: a row uses up what the row below leaves, no more and no less."""

from __future__ import annotations

from collections.abc import Iterator

from proofhook.counting.result import Problem, RowTally
from proofhook.pattern import Repeat
from proofhook.proofing import Finding, Grade, Mend, ProofContext, rule
from proofhook.records import replace
from proofhook_rules.around import is_loop
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
        told = (_of_the_repeat(row, problem) for problem in row.problems)
        problems = [problem for problem in told if problem.kind == kind]
        if kind == "left" and is_loop(row.row):
            continue
        if problems:
            yield context.finding(
                problems[0].span,
                _message(context, row, problems),
                row=row,
                working=row.working,
                mends=[m._replace(title=m.title.format(row=row_word(row))) for m in mends],
            )


def _of_the_repeat(row: RowTally, problem: Problem) -> Problem:
    """What is left after a repeat that goes on to the end is a matter of the repeat."""
    if problem.kind == "left":
        for step in row.row.steps:
            if isinstance(step, Repeat) and step.times is None:
                return replace(problem, kind="repeat", span=step.span.moved(row.row.body.start))
    return problem


def _message(context: ProofContext, row: RowTally, problems: list[Problem]) -> str:
    """The first problem in a sentence, and the sizes it and the others hold for."""
    first = problems[0]
    words = first.message if first.message.startswith("the ") else _with_subject(row, first)
    affected = {size for problem in problems for size in problem.sizes}
    count = len(context.pattern.sizes)
    if count <= 1 or not affected or (len(problems) == 1 and len(affected) >= count):
        return sentence(words)
    others = sorted(affected - set(first.sizes))
    told = f"in {size_names(context, first.sizes)} {words}"
    if not others:
        return sentence(told)
    verb = "does" if len(others) == 1 else "do"
    return sentence(f"{told}; {size_names(context, others)} {verb} not fit either")


def _with_subject(row: RowTally, problem: Problem) -> str:
    told = f"the {row_word(row)} {problem.message}"
    if problem.kind != "repeat":
        return told
    subject = problem.message if problem.message[:1].isdigit() else told
    return f"the repeat does not come out even: {subject}"


RULES = (repeat_fit, row_fit)
