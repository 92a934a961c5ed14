"""Working a row: moving along the fabric below, step by step, and making new places.

``work_row`` is a pure function of a row's steps, the fabric below, the customs and the
reading chosen where the words can be read in more than one way.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any

from proofhook.counting.beginnings import begin_ring, turn, work_join, work_loops, work_other_side
from proofhook.counting.chains import work_chain, work_turning_chain
from proofhook.counting.cursor import TOO_LARGE, Cursor, Ways
from proofhook.counting.fabric import (
    CHAIN,
    MAX_PLACES,
    RING_FABRIC,
    SLIP,
    SPACE,
    Fabric,
    Run,
    merged,
    with_begun_group,
)
from proofhook.counting.filling import work_along, work_evenly, work_skip
from proofhook.counting.making import name_first_group
from proofhook.counting.overview import (
    begins_in_same_space,
    begins_with_bridge,
    begins_with_cluster,
    first_stitch,
    implied_body,
    into_loop,
    only_chains,
    place_comes_last,
    starts_with_chain,
    uses_hook,
    walk,
)
from proofhook.counting.repeats import fill_repeat, work_repeat
from proofhook.counting.worked import ChainRule, NotWorked, Setting, Trace, Worked
from proofhook.counting.working_into import work_group, work_stitch
from proofhook.pattern import (
    MESH,
    SPACES_AS_STITCHES,
    Chain,
    Each,
    Evenly,
    FastenOff,
    Group,
    Join,
    Loops,
    Note,
    OtherSide,
    Repeat,
    Ring,
    RowsReference,
    Skip,
    Step,
    Total,
    Turn,
    Unread,
    Which,
    Work,
)
from proofhook.records import replace
from proofhook.text import Span


def work_row(
    steps: Sequence[Step], below: Fabric | None, setting: Setting, reading: dict[str, int]
) -> Worked:
    """Work the steps into ``below`` (None: not known).

    Raises NotWorked where a step is unread, or needs what is not known.
    """
    cursor = Cursor(below, setting, reading, WAYS)
    try:
        work_whole(cursor, tuple(steps))
        return result_of(cursor)
    finally:
        if setting.effort is not None:
            setting.effort.spend(cursor.steps_taken, setting.usual)


def work_whole(cursor: Cursor, steps: tuple[Step, ...]) -> None:
    """Work the whole row."""
    for step in steps:
        if isinstance(step, Chain) and step.count == (0,):
            cursor.skipped_rule = ChainRule(bool(step.counts), step.counts_as, step.space)
    if cursor.below is not None and any(run.kind == MESH for run in cursor.below.runs):
        cursor.lay(None)  # how many stitches its blocks have is not known
    if any(isinstance(s, Note) and s.kind == SPACES_AS_STITCHES for s in steps):
        lay_even(cursor)
    cursor.hook_row = uses_hook(steps)
    works = [s for s in walk(steps) if isinstance(s, (Work, Repeat))]
    cursor.hook_alone = len(works) == 1
    into_ring = [
        w for w in works if isinstance(w, Work) and w.place and w.place.which is Which.RING
    ]
    cursor.ring_groups = len(into_ring) > 1
    cursor.next_stitch = first_stitch(steps)
    cursor.cluster_next = begins_with_cluster(steps)
    cursor.bridge_next = begins_with_bridge(steps, cursor.setting.terms)
    if begins_in_same_space(steps) and cursor.below is not None and cursor.below.in_round:
        begin_at_space(cursor)
    if (cursor.below is None or cursor.setting.first) and into_loop(steps):
        cursor.lay(RING_FABRIC)
        cursor.out.begins = True
    if only_chains(steps, 1 if cursor.setting.first else 5):
        cursor.lay(None)
    if (
        cursor.below is not None
        and cursor.below.chain
        and not starts_with_chain(steps)
        and not cursor.hook_row
    ):
        work_turning_chain(cursor, Chain(Span(0, 0), (cursor.below.chain,)))
    if (
        choice_implied(cursor, steps)
        and (body := implied_body(steps)) is not None
        and cursor.choice("implied", 2) == 1
    ):
        before, inside, after = body
        span = Span(inside[0].span.start, inside[-1].span.end)
        steps = (*before, Repeat(span, inside, None, implied=True), *after)
    cursor.sequence(steps, top=True)
    name_first_group(cursor)


def lay_even(cursor: Cursor) -> None:
    """Every chain space of the row below is worked into as a stitch."""
    below = cursor.below
    if below is None:
        return
    runs = tuple(
        run._replace(kind="st", length=0) if run.kind == SPACE else run for run in below.runs
    )
    cursor.lay(Fabric(runs, below.turned, below.chain, below.loose, below.in_round))


def begin_at_space(cursor: Cursor) -> None:
    """The round begins in a space, a corner where some are longer, though no words go there."""
    if cursor.flat or cursor.here is not None:
        return
    longest = max((run.length for run in cursor.places if run.kind == SPACE), default=0)
    for at, place in enumerate(cursor.places):
        if place.kind == SPACE and place.length == longest:
            cursor.begin_at(at)
            return


def may_come_round(cursor: Cursor, step: Repeat) -> bool:
    """Whether the space that the round began by slipping into is worked at its end.

    "Sl st in first loop, *ch 4, sc in next loop* around": the first loop is the last as well.
    """
    here = cursor.here
    if here is None or cursor.flat or not cursor.made or not cursor.goes_round():
        return False
    if any(run.kind != SLIP for run in cursor.made) or not isinstance(step.steps[0], Chain):
        return False
    at_space = here < len(cursor.places) and cursor.places[here].kind == SPACE
    return at_space and cursor.choice("the space slipped into comes last", 2) == 1


def come_round(cursor: Cursor) -> None:
    """What the slip stitches passed and went into comes last."""
    assert cursor.here is not None
    cursor.rotate(cursor.here + 1)
    cursor.at, cursor.here, cursor.out.used = 0, None, 0


def choice_implied(cursor: Cursor, steps: tuple[Step, ...]) -> bool:
    """Whether the row may be repeated though no word says so: not in a ring."""
    return cursor.below is not None and not cursor.below.is_ring


def work_sequence(cursor: Cursor, steps: tuple[Step, ...], top: bool = False) -> None:
    """Work steps one after another; ``top`` where they are those of the row itself."""
    for index, step in enumerate(steps):
        cursor.count_step(step.span)
        if isinstance(step, Repeat) and top and may_come_round(cursor, step):
            come_round(cursor)
        if isinstance(step, Repeat) and top and (step.times is None or step.cut is not None):
            fill_repeat(cursor, step, steps[index + 1 :])
            return
        if place_comes_last(steps[index : index + 3]) and cursor.choice("place after all", 2):
            group = steps[index : index + 3]
            last = group[2]
            assert isinstance(last, Work)
            span = Span(step.span.start, last.span.end)
            together = Group(span, (*group[:2], replace(last, place=None)), last.place)
            cursor.sequence((together, *steps[index + 3 :]), top)
            return
        if top and isinstance(step, (Work, Repeat, Group, Each)):
            used, made, at = cursor.out.used, cursor.count_made(), len(cursor.out.trace)
            cursor.step(step)
            if len(cursor.out.trace) == at:
                cursor.out.trace.append(
                    Trace(step.span, cursor.out.used - used, cursor.count_made() - made)
                )
        else:
            cursor.step(step)


def fasten_off(cursor: Cursor, step: FastenOff) -> None:
    """The yarn is cut."""
    cursor.out.fastened = True


def refuse_unread(cursor: Cursor, step: Unread) -> None:
    """Words that were not read stop the row."""
    raise NotWorked("words that were not understood", step.span)


def refuse_reference(cursor: Cursor, step: RowsReference) -> None:
    """A reference to other rows is worked elsewhere."""
    raise NotWorked("it refers to other rows", step.span)


def pass_over(cursor: Cursor, step: Note) -> None:
    """Words without arithmetic."""


def keep_total(cursor: Cursor, step: Total) -> None:
    """A total in the row: what has been made so far is kept for it."""
    cursor.out.totals.append((step, cursor.snapshot()))


def result_of(cursor: Cursor) -> Worked:
    """The row as worked, with what is left over and what hangs on for the next row."""
    out = cursor.out
    if cursor.chain_seen:
        if not cursor.made_stitches() and not _as_before(cursor):
            cursor.made.append(Run(CHAIN, cursor.chain_seen))
            out.begins = True
        elif out.joined or out.turned or not (cursor.goes_round() or _as_before(cursor)):
            out.chain_after = out.chain_after or cursor.chain_seen
        else:
            cursor.settle_chain()
    if _goes_on_along_the_chain(cursor):
        out.short, out.exact = 0, False
    out.runs = with_begun_group(merged(cursor.made))
    out.ring_chain = cursor.ring_chain
    out.ring = not out.runs and cursor.below is not None and cursor.below.is_ring
    if cursor.below is not None and not cursor.below.is_ring:
        if out.exact and not cursor.rest_said:
            out.left += cursor.unused() if cursor.flat else 0
        out.plain = out.plain and cursor.flat
        if cursor.rest and cursor.flat and cursor.rest[0] != cursor.unused():
            out.rest = (cursor.rest[0], cursor.unused(), cursor.rest[1])
    else:
        out.exact = out.exact and cursor.below is not None
    if sum(run.count for run in out.runs) > MAX_PLACES:
        raise NotWorked(TOO_LARGE)
    return out


def _as_before(cursor: Cursor) -> bool:
    """Whether the last chain is a space like all those before it, in what is no row."""
    lengths = {run.length for run in cursor.made if run.kind == SPACE}
    return not cursor.setting.in_row and lengths == {cursor.chain_seen}


def _goes_on_along_the_chain(cursor: Cursor) -> bool:
    """Whether a first round uses up the chain and goes on along its other side, unsaid."""
    below, out = cursor.below, cursor.out
    if below is None or not below.is_chain or not cursor.first_chain or cursor.setting.in_row:
        return False
    side = cursor.end - cursor.first_chain
    return 0 < out.short <= side and not out.turned and cursor.made_stitches()


_STEPS: dict[type[Step], Callable[[Cursor, Any], None]] = {
    Work: work_stitch,
    Chain: work_chain,
    Skip: work_skip,
    Group: work_group,
    Repeat: work_repeat,
    Each: work_along,
    Join: work_join,
    Ring: begin_ring,
    Loops: work_loops,
    OtherSide: work_other_side,
    Turn: turn,
    FastenOff: fasten_off,
    Evenly: work_evenly,
    Total: keep_total,
    Unread: refuse_unread,
    RowsReference: refuse_reference,
    Note: pass_over,
}


WAYS = Ways(_STEPS, work_sequence)
