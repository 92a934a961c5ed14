"""A stitch or a group worked into a place: one function for each kind of place."""

from __future__ import annotations

from collections.abc import Callable

from proofhook.counting.beginnings import on_row, open_ring
from proofhook.counting.cursor import Cursor
from proofhook.counting.fabric import MAX_PLACES, PICOT, RING_FABRIC, SPACE, Run
from proofhook.counting.filling import each_place, entered, every_nth, fill_places, go_to
from proofhook.counting.making import joining_stitch, made_group, many_in_one, produce, work_bare
from proofhook.counting.places_below import stop_for, take, take_nth
from proofhook.counting.special_places import (
    at_any,
    at_between,
    at_corner,
    at_middle,
    elsewhere,
    in_ring,
    on_edge,
    on_hook,
    on_turning_chain,
)
from proofhook.counting.worked import NotWorked
from proofhook.pattern import Group, Place, Stitch, What, Which, Work, at_size
from proofhook.records import replace


def work_stitch(cursor: Cursor, step: Work) -> None:
    """A stitch, as often as it is said, in its place."""
    stitch = step.stitch
    cursor.works_done = cursor.works_done or stitch.role != "slip"
    if stitch.role == "unknown":
        raise NotWorked("a stitch whose method was not understood", step.span)
    times = at_size(step.times, cursor.size)
    if times > MAX_PLACES:
        raise NotWorked("the figure is too large to be worked", step.span)
    for _ in range(times if times < 2 or step.place or stitch.steps else 1):
        cursor.count_step(step.span)
        work_once(cursor, step, 1 if step.place or stitch.steps else max(times, 1))


def work_once(cursor: Cursor, step: Work, times: int) -> None:
    """A stitch with its count, in its place or in the next stitches."""
    stitch, place = step.stitch, step.place
    count = at_size(step.count, cursor.size) if step.count is not None else None
    if count is not None and count * times > MAX_PLACES:
        raise NotWorked("the figure is too large to be worked", step.span)
    if count == 0:
        return
    if stitch.role == "mesh":
        cursor.made.append(Run(SPACE if stitch.base == "sp" else stitch.base, count or 1))
        cursor.out.exact = False
        return
    if stitch.role == "patt":
        cursor.out.doubt = "how many stitches the pattern makes of each is not certain"
        stitch = replace(stitch, role="")
    if stitch.role == "foundation" and place is None:
        produce(cursor, stitch, (count or 1) * times, step.span)
        return
    if stitch.role == "slip" and place is None and cursor.setting.first and not cursor.made:
        if cursor.below is None and not cursor.chain_seen:
            return  # a slip knot
    if (
        stitch.role == "slip"
        and cursor.below is None
        and cursor.chain_seen
        and not cursor.made_stitches()
        and (place is None or place.which not in (Which.HOOK, Which.NTH))
    ):
        cursor.ring_chain, cursor.chain_seen = cursor.chain_seen, 0
        cursor.lay(RING_FABRIC)
        cursor.out.begins = True
        return
    if stitch.role == "picot":
        of_each = place is not None and place.which is Which.EACH
        often = fill_places(cursor, place, step.span) if place and of_each else times
        cursor.made.append(Run(PICOT, (count or 1) * often))
        return
    if cursor.in_place and (place is None or place.which in (Which.SAME, Which.RING)):
        produce(cursor, stitch, (count or 1) * times, step.span)
        return
    if place is None:
        work_bare(cursor, step, (count or 1) * times)
        return
    if place.row is not None:
        on_row(cursor, place.row, step.span)
    if cursor.ring_chain:
        open_ring(cursor, place)
    if stitch.role == "slip" and cursor.standing and place.which is Which.NEXT:
        if [what.name for what in place.whats] == ["ch"]:
            return  # along the chain of the space that the round begins in
    _PLACES[place.which](cursor, step, stitch, count, place)


def work_group(cursor: Cursor, step: Group) -> None:
    """Steps together: one after another, or all in one place, or in each of many."""
    times = at_size(step.times, cursor.size)
    if times > MAX_PLACES:
        raise NotWorked("the figure is too large to be worked", step.span)
    cursor.works_done = True
    place = step.place
    if place is None and step.name and not cursor.in_place and not cursor.setting.tiled:
        for _ in range(times):
            worked_as_one(cursor, step)
        return
    if place is None or cursor.in_place:
        for _ in range(times):
            cursor.count_step(step.span)
            cursor.depth += 1
            cursor.sequence(step.steps)
            cursor.depth -= 1
        return
    body = step.steps * times if times > 1 else step.steps
    if place.which is Which.RING and cursor.below is None and not cursor.made:
        cursor.lay(RING_FABRIC)
        cursor.out.begins = True
        cursor.chain_seen = 0
    alone = step.steps[0] if len(step.steps) == 1 else None
    own = isinstance(alone, Work) and (alone.stitch.role != "" or bool(alone.stitch.steps))
    name = alone.stitch.name if isinstance(alone, Work) and own else ""
    if place.which is Which.EACH or place.each:
        for _ in range(each_place(cursor, place, step.span)):
            made_group(cursor, body, name)
        return
    if place.which is Which.ELSEWHERE:
        for _ in range(at_size(place.count, cursor.size)):
            made_group(cursor, body, name)
        return
    count = max(1, at_size(place.count, cursor.size))
    for _ in range(count):
        go_to(cursor, place, step.span)
        made_group(cursor, body, name)


def worked_as_one(cursor: Cursor, step: Group) -> None:
    """Steps over several places that have a name of their own, so that they count by it."""
    cursor.settle_chain()
    cursor.next_group += 1
    start = len(cursor.made)
    cursor.made.append(Run(step.name, 0))  # what comes is not counted to the run before
    cursor.count_step(step.span)
    cursor.sequence(step.steps)
    del cursor.made[start]
    for at in range(start, len(cursor.made)):
        run = cursor.made[at]
        if not run.group and not run.turning:
            cursor.made[at] = run._replace(group=cursor.next_group, of=step.name)
    cursor.sum_anew()


def at_next(cursor: Cursor, step: Work, stitch: Stitch, count: int | None, place: Place) -> None:
    """In the next place, or the next so many."""
    number = at_size(place.count, cursor.size)
    what = place.whats[0] if place.whats else What("st")
    if number > MAX_PLACES:
        raise NotWorked("the figure is too large to be worked", step.span)
    if number == 0:
        return
    if (
        stitch.role == "slip"
        and cursor.made_stitches()
        and cursor.below is not None
        and cursor.unused() == 0
    ):
        cursor.settle_chain()
        cursor.out.joined = True
        return
    if stitch.role in ("dec", "tog") and stitch.uses > 1:
        together(cursor, step, stitch, count, what, number)
        return
    if number == 1 and "sp" in what.name and entered(cursor):
        if cursor.choice("in the space that was entered", 2) == 1:
            at_same(cursor, step, stitch, count, Place(Which.SAME, whats=place.whats))
            return
    each = count or 1
    if count is not None and count > 1 and number > 1 and not place.each:
        if count == number and stitch.role in ("", "named"):
            if cursor.choice("so many in so many", 2) == 0:
                each = 1
        elif stitch.role == "inc":
            each = 1
    if place.each and stitch.role == "inc" and count is not None:
        each = 1
    if cursor.below is not None and cursor.below.is_ring and what.name in ("sp", "st", "ch"):
        produce(cursor, stitch, each * number, step.span)
        return
    if stitch.steps or (each > 1 and stitch.role not in ("slip",)):
        for _ in range(number):
            cursor.count_step(step.span)
            take(cursor, what, 1, step.span)
            many_in_one(cursor, stitch, each, step.span)
        return
    take(cursor, what, number, step.span)
    produce(cursor, stitch, each * number, step.span)


def together(
    cursor: Cursor, step: Work, stitch: Stitch, count: int | None, what: What, number: int
) -> None:
    """Stitches worked together over so many places, or all in one place."""
    if number == 1 and (stitch.role == "tog") and what.name != "st":
        for _ in range(count or 1):
            take(cursor, what, 1, step.span)
            produce(cursor, stitch, 1, step.span)
        return
    if (
        number == 1
        and stitch.role == "tog"
        and what.name == "st"
        and cursor.choice("together in one stitch", 2) == 1
    ):
        cursor.take_stitches(1)
        produce(cursor, stitch, count or 1, step.span)
        return
    times = count or (max(1, number // stitch.uses) if number > 1 else 1)
    cursor.take_stitches(max(times * stitch.uses, number if number % stitch.uses else 0))
    produce(cursor, stitch, times, step.span)


def at_first(cursor: Cursor, step: Work, stitch: Stitch, count: int | None, place: Place) -> None:
    """In the first place; at the end of a round that is the join."""
    what = place.whats[0] if place.whats else What("st")
    if cursor.depth and stitch.role != "slip" and cursor.at > 0:
        # Of a body that is repeated: the first of those that are next.
        onward = Place(Which.NEXT, place.count, place.whats, place.each)
        at_next(cursor, step, stitch, count, onward)
        return
    if (
        what.name == "ch"
        and cursor.edge_seen
        and cursor.below is not None
        and not cursor.below.is_chain
    ):
        produce(cursor, stitch, count or 1, step.span)
        return
    if (
        what.name == "ch"
        and cursor.first_chain
        and cursor.made_stitches()
        and stitch.role != "slip"
    ):
        produce(cursor, stitch, count or 1, step.span)  # round the chain, back where it began
        return
    if what.name == "ch" and cursor.made_stitches() and slips_to_a_picot(cursor, stitch):
        return  # "ch 3, sl st in first ch"
    unknown = cursor.below is None and cursor.count_made() > 2 and not cursor.setting.first
    closing = unknown or (
        cursor.made_stitches()
        and cursor.at > 1
        and not (cursor.below is not None and cursor.below.is_chain and cursor.at <= 2)
    )
    if closing and "sp" not in what.name and cursor.unused() <= cursor.end // 2:
        if stitch.role == "slip":
            cursor.settle_chain()
            cursor.out.joined = True
            return
        joining_stitch(cursor, stitch)
        return
    if "sp" not in what.name:
        cursor.to_first()
    at_next(cursor, step, stitch, count, Place(Which.NEXT, place.count, place.whats, place.each))


def slips_to_a_picot(cursor: Cursor, stitch: Stitch) -> bool:
    """Whether a slip stitch after a few chains closes these to a picot, which is made then."""
    few = 2 <= cursor.chain_seen <= 6
    if stitch.role != "slip" or not few or not (cursor.unused() > 1 or cursor.depth):
        return False
    cursor.chain_seen = 0
    cursor.made.append(Run(PICOT))
    return True


def at_last(cursor: Cursor, step: Work, stitch: Stitch, count: int | None, place: Place) -> None:
    """In the last place, or the last so many; a slip stitch after a few chains makes a picot."""
    if slips_to_a_picot(cursor, stitch):
        return
    what = place.whats[0] if place.whats else What("st")
    number = at_size(place.count, cursor.size)
    if cursor.below is not None and not cursor.own:
        if in_the_last_again(cursor, what, number):
            produce(cursor, stitch, count or 1, step.span)
            return
        cursor.to_last(what, number)
    at_next(cursor, step, stitch, count, Place(Which.NEXT, place.count, place.whats, place.each))


def in_the_last_again(cursor: Cursor, what: What, number: int) -> bool:
    """Whether the last space is meant that a fill to the end has been worked into already.

    "*3 dc in next sp; rep from * to end, dc in last sp": the designer may count that space to
    both, or leave it to the last stitch.
    """
    here = cursor.here
    if number != 1 or cursor.flat or here is None or "sp" not in what.name:
        return False
    if any(place.kind == SPACE for place in cursor.places[cursor.at : cursor.end]):
        return False
    place = cursor.places[here] if here < len(cursor.places) else None
    if place is None or place.kind != SPACE or what.length not in (None, place.length):
        return False
    return cursor.choice("in the last space again", 2) == 1


def bare_before(cursor: Cursor, stitch: Stitch) -> bool:
    """Whether "2 sc in same st" follows plain stitches, so that it may say no more than "inc".

    In "(3 sc, 2 sc in same st) x 6" the two share a stitch; whether it is that of the third
    or the next one the row below tells.
    """
    plain = cursor.flat and stitch.role == "" and not stitch.steps and not cursor.in_place
    return plain and cursor.here is not None and not cursor.chain_seen and cursor.depth > 0


def at_same(cursor: Cursor, step: Work, stitch: Stitch, count: int | None, place: Place) -> None:
    """In the place that was just worked into."""
    if (
        stitch.role == "slip"
        and cursor.made_stitches()
        and not cursor.chain_seen
        and cursor.unused() == 0
    ):
        cursor.out.joined = True
        return
    cursor.stand()
    if stitch.role == "slip" and 0 < cursor.chain_seen <= 6 and cursor.made_stitches():
        cursor.chain_seen = 0
        cursor.made.append(Run(PICOT))
        return
    if cursor.here is None and cursor.below is not None and not cursor.below.is_ring:
        what = place.whats[0] if place.whats else What("st")
        take(cursor, what, 1, step.span)
    if count is not None and count > 1 and bare_before(cursor, stitch):
        if cursor.choice("two in the same stitch, the next one", 2) == 1:
            cursor.take_stitches(1)
            produce(cursor, stitch, count, step.span)
            return
    if cursor.here == cursor.at < len(cursor.places) and cursor.places[cursor.at].kind == SPACE:
        cursor.at += 1  # "sl st in next 2 ch, sc in same sp": the next space is another
    if stitch.role in ("dec", "tog") and stitch.uses > 1:
        if stitch.role == "dec" or cursor.choice("together in one stitch", 2) == 0:
            cursor.take_stitches(stitch.uses - 1)
        produce(cursor, stitch, count or 1, step.span)
        return
    produce(cursor, stitch, count or 1, step.span)


def at_each(cursor: Cursor, step: Work, stitch: Stitch, count: int | None, place: Place) -> None:
    """In each place as far as it is said."""
    if any(what.name == "row end" for what in place.whats):
        rows = cursor.setting.rows_before
        cursor.out.exact = False
        if rows == 0:
            raise NotWorked("how many row ends there are is not known", step.span)
        cursor.out.doubt = "which row ends are meant is not certain"
        produce(cursor, stitch, rows * (count or 1), step.span)
        return
    if stitch.role == "slip" and place.until is not None and place.until.kind == "place":
        cursor.at = cursor.here = stop_for(cursor, place.until, step.span)
        cursor.at += 1  # "sl st across to corner sp": into it
        cursor.out.used += 1
        produce(cursor, stitch, 1, step.span)
        return
    if stitch.role == "layers":
        places = count * 2 if count is not None else fill_places(cursor, place, step.span)
        cursor.out.doubt = "how the layers lie is not certain"
        folded = cursor.choice("layers of two pieces", 2) == 0
        produce(cursor, stitch, places // 2 if folded or count is not None else places, step.span)
        cursor.at = cursor.end
        return
    if not place.each and count is not None and place.nth == 0:
        if (
            count > 3
            or step.count_after
            or stitch.uses > 1
            or cursor.choice("so many around", 2) == 1
        ):
            work_bare(cursor, step, count)
            return
    if stitch.uses > 1 and place.until is not None and place.until.kind == "remain":
        cursor.need_below(step.span)
        cursor.out.used += cursor.left()
        cursor.at = cursor.end
        cursor.out.exact = False
        produce(cursor, stitch, at_size(place.until.count, cursor.size), step.span)
        return
    if stitch.role in ("dec", "tog") and stitch.uses > 1:
        places = fill_places(cursor, place, step.span)
        if places % stitch.uses:
            cursor.out.remainder = (places, stitch.uses, step.span)
        produce(cursor, stitch, places // stitch.uses, step.span)
        return
    if place.nth > 1:
        every_nth(cursor, step, stitch, count, place)
        return
    if cursor.choice("to the end repeats all", 1) == 0:
        number = each_place(cursor, place, step.span)
        if stitch.steps or (count or 1) > 2:
            for _ in range(number):
                many_in_one(cursor, stitch, count or 1, step.span)
        else:
            produce(cursor, stitch, number * (count or 1), step.span)


def at_nth(cursor: Cursor, step: Work, stitch: Stitch, count: int | None, place: Place) -> None:
    """In the n-th place from here, or the n-th chain from the hook."""
    if cursor.hook_row and not cursor.made_stitches():
        on_hook(cursor, step, stitch, count, Place(Which.HOOK, nth=place.nth))
        return
    take_nth(cursor, place, step.span)
    produce(cursor, stitch, count or 1, step.span)


_PLACES: dict[Which, Callable[[Cursor, Work, Stitch, int | None, Place], None]] = {
    Which.NEXT: at_next,
    Which.FIRST: at_first,
    Which.LAST: at_last,
    Which.SAME: at_same,
    Which.EACH: at_each,
    Which.NTH: at_nth,
    Which.RING: in_ring,
    Which.HOOK: on_hook,
    Which.TURNING_CHAIN: on_turning_chain,
    Which.CORNER: at_corner,
    Which.MIDDLE: at_middle,
    Which.BETWEEN: at_between,
    Which.ANY: at_any,
    Which.EDGE: on_edge,
    Which.ELSEWHERE: elsewhere,
}
