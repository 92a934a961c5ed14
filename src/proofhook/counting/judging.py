"""The verdict on a row that was worked: does it agree, does it fit, can that be said."""

from __future__ import annotations

from proofhook.counting.attempt import Attempt
from proofhook.counting.effort import NOT_ALL_TRIED
from proofhook.counting.fabric import SPACE
from proofhook.counting.result import BELOW_UNREAD, Verdict
from proofhook.pattern import (
    Loops,
    Row,
    Work,
)
from proofhook.text import Span


def judge(row: Row, attempt: Attempt) -> tuple[Verdict, list[tuple[str, Span, str]]]:
    """The verdict on a row as worked, and what does not fit: kind, place, words."""
    worked = attempt.worked
    if worked is None:
        return Verdict.UNREAD, []
    if not attempt.all_tried:
        attempt.reason = NOT_ALL_TRIED
        return Verdict.UNREAD, []
    problems = _fit_problems(row, attempt)
    if not attempt.states:
        return Verdict.UNSTATED, problems
    if attempt.matches:
        return (
            (Verdict.DIFFERS, problems) if problems and attempt.base_sure else (Verdict.AGREES, [])
        )
    if attempt.units[0].agrees is None:
        attempt.reason = "what the total counts is not a stitch that is known here"
        attempt.blame = attempt.units[0].unit.span
        return Verdict.UNREAD, []
    doubt = _doubt(row, attempt)
    if doubt:
        attempt.reason = doubt
        return Verdict.UNREAD, []
    return Verdict.DIFFERS, problems


def _only_a_total(row: Row) -> bool:
    """ "Round 7: 30 sts": no work is told, so that the stitches need not be those below."""
    works = [step for step in row.steps if isinstance(step, Work)]
    return len(works) == 1 and works[0].span == Span(0, 0)


def _doubt(row: Row, attempt: Attempt) -> str:
    """Why a total that is not met is no certain slip; "" where it is one."""
    worked = attempt.worked
    assert worked is not None
    if worked.doubt:
        return worked.doubt
    filled = any(trace.fills for trace in worked.trace)
    if (
        attempt.base_known
        and not attempt.base_sure
        and (filled or worked.used)
        and not worked.begins
    ):
        return BELOW_UNREAD
    if not worked.plain and not worked.exact and worked.below is None:
        return "where the stitches go is not certain"
    if row.label is not None and row.label.open_end:
        return "how many rows it stands for is not certain"
    if any(result.unit.what == "tch" for result in attempt.units):
        return "the total sets the turning chain apart"
    if _only_a_total(row):
        return "how the row is worked is not said"
    return ""


def _fit_problems(row: Row, attempt: Attempt) -> list[tuple[str, Span, str]]:
    """Where a row does not use exactly the stitches below, and that is certain."""
    worked = attempt.worked
    assert worked is not None
    if not worked.plain or not worked.exact or worked.below is None or not attempt.base_sure:
        return []
    if any(isinstance(step, Loops) and step.row is not None for step in row.steps):
        return []
    whole = Span(0, row.body.end - row.body.start)
    if worked.remainder is not None:
        left, uses, span = worked.remainder
        if uses:
            return [("repeat", span, f"{left} stitches do not divide by {uses}")]
        return [("repeat", span, f"the repeat does not come out even: {_sts(left)} left over")]
    if worked.short:
        needs = _sts(max(worked.used, worked.below + worked.short))
        return [("short", whole, f"needs {needs}, but the row below has {worked.below}")]
    lace = any(run.kind == SPACE for run in worked.runs)
    if worked.rest is not None and not lace:
        said, left, span = worked.rest
        return [("left", span, f"says that {_sts(said)} are left unworked, but leaves {left}")]
    if worked.left and not worked.turned and not lace and worked.used + worked.left <= worked.below:
        return [
            (
                "left",
                whole,
                f"uses {worked.used} of the {_sts(worked.below)} below and leaves {worked.left}",
            )
        ]
    return []


def _sts(count: int) -> str:
    return f"{count} st" if count == 1 else f"{count} sts"
