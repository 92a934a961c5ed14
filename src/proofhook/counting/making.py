"""Making stitches, and groups of stitches worked together in one place."""

from __future__ import annotations

from proofhook.counting.cursor import Cursor
from proofhook.counting.fabric import SLIP, Run
from proofhook.counting.worked import NotWorked
from proofhook.pattern import Step, Stitch, Work
from proofhook.text import Span
from proofhook.trade.stitches import turning_chain


def produce(cursor: Cursor, stitch: Stitch, count: int, span: Span) -> None:
    """Make ``count`` of a stitch, or of the group that the name stands for."""
    if stitch.steps:
        for _ in range(count):
            made_group(cursor, stitch.steps, stitch.name)
        return
    if stitch.role == "slip":
        cursor.make(Run(SLIP, count))
        return
    kind = stitch.base or cursor.kind_below()
    name = "" if stitch.name == kind or stitch.role in ("inc", "dec", "tog") else stitch.name
    if stitch.role == "group" and not stitch.steps:
        raise NotWorked(f"the pattern does not say how a {stitch.name} is made", span)
    makes = count * max(stitch.makes, 1)
    cursor.make(Run(kind, makes, 0, name))


def made_group(cursor: Cursor, steps: tuple[Step, ...], name: str = "") -> None:
    """Steps worked together in one place that has already been taken."""
    before = (cursor.in_place, cursor.group, cursor.group_name)
    cursor.next_group += 1
    cursor.in_place, cursor.group, cursor.group_name = True, cursor.next_group, name or "group"
    settle_chain_outside(cursor, before)
    for step in steps:
        cursor.count_step(step.span)
        cursor.step(step)
    cursor.settle_chain()
    cursor.in_place, cursor.group, cursor.group_name = before


def settle_chain_outside(cursor: Cursor, before: tuple[bool, int, str]) -> None:
    """A chain made before the group lies outside it."""
    if cursor.chain_seen:
        inside = (cursor.in_place, cursor.group, cursor.group_name)
        cursor.in_place, cursor.group, cursor.group_name = before
        cursor.settle_chain()
        cursor.in_place, cursor.group, cursor.group_name = inside


def many_in_one(cursor: Cursor, stitch: Stitch, count: int, span: Span) -> None:
    """Several stitches in one place, marked as worked together."""
    if stitch.steps or cursor.in_place or count < 3:
        produce(cursor, stitch, count, span)
        return
    made_group(cursor, (Work(span, stitch, (count,)),), "group")


def produce_in_place(cursor: Cursor, stitch: Stitch, count: int, span: Span) -> None:
    """Stitches into one place, as a group where they are several."""
    if count > 1 and not cursor.in_place and not stitch.steps:
        made_group(cursor, (Work(span, stitch, (count,)),), "group")
    else:
        produce(cursor, stitch, count, span)


def joining_stitch(cursor: Cursor, stitch: Stitch) -> None:
    """A stitch in place of the last chains of a round: with them it forms a space."""
    height = turning_chain(stitch.base, cursor.setting.terms) or 1
    cursor.chain_seen += height
    cursor.settle_chain()
    cursor.out.joined = True
    cursor.out.at_space = True
    cursor.out.exact = False


def all_in_one_chain(cursor: Cursor) -> bool:
    """Whether the row stands in the last chain alone, as in a ring."""
    below = cursor.below
    return (
        below is not None
        and below.is_chain
        and 0 < cursor.first_chain == cursor.end - 1
        and cursor.unused() == 0
    )


def work_bare(cursor: Cursor, step: Work, count: int) -> None:
    """A stitch without a place: "5 sc", "inc", "dec"."""
    stitch = step.stitch
    if cursor.below is not None and cursor.below.is_ring:
        produce(cursor, stitch, count, step.span)
        return
    if stitch.role == "slip" and count == 1 and all_in_one_chain(cursor):
        cursor.make(Run(SLIP, 1))
        return
    if stitch.role == "slip" and step.count is None and cursor.made_stitches():
        if cursor.unused() == 0:
            cursor.settle_chain()
            cursor.out.joined = True
            return
    if stitch.role in ("inc", "dec") and " " in stitch.name and count == 1:
        if cursor.choice("a stitch, then its increase or decrease", 2) == 1:
            cursor.take_stitches(1)
            produce(cursor, Stitch(stitch.base, stitch.base), 1, step.span)
    if cursor.own and stitch.role in ("", "slip", "named"):
        cursor.own = max(0, cursor.own - count)
        produce(cursor, stitch, count, step.span)
        return
    if stitch.role in ("dec", "tog"):
        uses = stitch.uses * count
        if (
            step.count is not None
            and not step.count_after
            and count > 1
            and count % stitch.uses == 0
            and stitch.role == "dec"
        ):
            if cursor.choice("decreases named by their stitches", 2) == 1:
                uses, count = count, count // stitch.uses
        cursor.take_stitches(uses)
        produce(cursor, stitch, count, step.span)
        return
    if (
        step.count is not None
        and 2 <= count <= 5
        and not step.count_after
        and stitch.role in ("", "named")
        and cursor.depth
    ):
        if cursor.choice("bare figures in one stitch", 2) == 1:
            cursor.take_stitches(1)
            produce(cursor, stitch, count, step.span)
            return
    cursor.take_stitches(stitch.uses * count)
    produce(cursor, stitch, count, step.span)


def name_first_group(cursor: Cursor) -> None:
    """Name the group that begins the row as the others of it that hold the same are named.

    "(Ch 3, dc, ch 2, 2 dc) in sp, *shell in next sp; rep from *": the first is a shell as well.
    """
    runs = list(cursor.made)
    for at, run in enumerate(runs[:-1]):
        if run.turning and not run.group and runs[at + 1].group:  # the chain is its first stitch
            runs[at] = run._replace(group=runs[at + 1].group, of=runs[at + 1].of)
    held: dict[int, list[tuple[str, int, int]]] = {}
    names: dict[int, str] = {}
    for run in runs:
        if run.group:
            names[run.group] = run.of
            part = held.setdefault(run.group, [])
            if part and part[-1][:2] == (run.kind, run.length):
                part[-1] = (run.kind, run.length, part[-1][2] + run.count)
            else:
                part.append((run.kind, run.length, run.count))
    first = next(iter(held), 0)
    if not first or names[first] != "group" or len(held[first]) < 2:
        return
    alike = {names[other] for other in held if other != first and held[other] == held[first]}
    alike.discard("group")
    if len(alike) == 1:
        (name,) = alike
        cursor.made[:] = [run._replace(of=name) if run.group == first else run for run in runs]
