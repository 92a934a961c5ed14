"""The working of a row, in one line of words: "24 sts below; (3 sc, inc) uses 4, makes 5 ..."."""

from __future__ import annotations

from proofhook.counting.fabric import SPACE
from proofhook.counting.work import Worked


def working_of(worked: Worked | None, count: int | None) -> str:
    """The arithmetic of a row; "" where it was not worked out."""
    if worked is None:
        return ""
    parts: list[str] = []
    if worked.below is not None and not worked.begins:
        parts.append(f"{worked.below} sts below")
    sum_parts: list[str] = []
    for step in worked.trace:
        if step.times > 1:
            if step.fills:
                parts.append(
                    f"the repeat uses {step.uses} and makes {step.makes}, {step.times} times"
                )
            sum_parts.append(f"{step.times} \u00d7 {step.makes}")
        elif step.makes:
            sum_parts.append(str(step.makes))
    turning = sum(run.count for run in worked.runs if run.turning)
    if turning:
        sum_parts.insert(0, f"{turning} (chain)")
    if sum_parts and count is not None:
        total = " + ".join(sum_parts)
        parts.append(total if total == str(count) else f"{total} = {count}")
    spaces = sum(run.count for run in worked.runs if run.kind == SPACE)
    if spaces:
        parts.append(f"{spaces} chain spaces")
    if worked.short:
        parts.append(f"{worked.short} more needed than there are")
    elif worked.left and worked.exact:
        parts.append(f"{worked.left} left unworked")
    return "; ".join(parts)
