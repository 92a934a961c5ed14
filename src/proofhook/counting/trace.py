"""The working of a row, in one line of words: "24 sts below; (3 sc, inc) uses 4, makes 5 ..."."""

from __future__ import annotations

from proofhook.counting.fabric import SPACE
from proofhook.counting.worked import Trace, Worked


def working_of(worked: Worked | None, count: int | None) -> str:
    """The arithmetic of a row; "" where it was not worked out."""
    if worked is None:
        return ""
    parts: list[str] = []
    if worked.below is not None and not worked.begins:
        parts.append(f"{worked.below} {_sts(worked.below)} below")
    parts += [
        f"the repeat uses {step.uses} and makes {step.makes}, {step.times} times"
        for step in worked.trace
        if step.fills and step.times > 1
    ]
    sum_of = _sum(worked, count) if count is not None else ""
    if sum_of:
        parts.append(sum_of)
    spaces = sum(run.count for run in worked.runs if run.kind == SPACE)
    if spaces:
        parts.append(f"{spaces} chain {'space' if spaces == 1 else 'spaces'}")
    if worked.short and worked.exact:
        parts.append(f"{worked.short} more needed than there are")
    elif worked.left and worked.exact:
        parts.append(f"{worked.left} left unworked")
    return "; ".join(parts)


def _sts(count: int) -> str:
    return "st" if count == 1 else "sts"


def _sum(worked: Worked, count: int) -> str:
    """ "1 (chain) + 5 \u00d7 3 = 16": shown as a sum only where it comes to the count."""
    terms = [_term(step) for step in worked.trace if step.makes]
    made = sum(step.times * step.makes for step in worked.trace)
    turning = sum(run.count for run in worked.runs if run.turning)
    if turning and made + turning == count:
        terms.insert(0, f"{turning} (chain)")
        made += turning
    sum_of = " + ".join(terms)
    if made != count:
        return str(count)
    return sum_of if sum_of == str(count) else f"{sum_of} = {count}"


def _term(step: Trace) -> str:
    if step.times > 1:
        return f"{step.times} \u00d7 {step.makes}"
    if step.makes > step.uses > 1 and step.makes % step.uses == 0:
        return f"{step.uses} \u00d7 {step.makes // step.uses}"
    return str(step.makes)
