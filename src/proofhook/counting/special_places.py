"""A stitch worked into a place that is no plain next stitch: a ring, a corner, an edge, a gap."""

from __future__ import annotations

from proofhook.counting.beginnings import start_at
from proofhook.counting.chains import from_hook, rule_for
from proofhook.counting.cursor import Cursor
from proofhook.counting.fabric import MAX_PLACES, PICOT, RING_FABRIC, SLIP, SPACE, Run, is_kind
from proofhook.counting.making import many_in_one, produce, produce_in_place
from proofhook.counting.places_below import groups_left, take, take_corner, take_middle
from proofhook.counting.result import EDGE_UNSAID
from proofhook.counting.worked import NotWorked
from proofhook.pattern import Place, Stitch, What, Work, at_size


def in_ring(cursor: Cursor, step: Work, stitch: Stitch, count: int | None, place: Place) -> None:
    """In the ring."""
    if cursor.below is None or not cursor.below.is_ring:
        if cursor.below is None or all(run.turning for run in cursor.made):
            cursor.lay(RING_FABRIC)
            if not cursor.made:
                cursor.chain_seen = 0
            cursor.out.begins = True
            if cursor.first_step is not None:
                rule = rule_for(
                    cursor, cursor.first_step, at_size(cursor.first_step.count, cursor.size)
                )
                if rule.counts and not rule.space:
                    cursor.made.append(Run(rule.stitch or stitch.base, 1, 0, "", 0, "", True))
        else:
            raise NotWorked("there is no ring to work into", step.span)
    if cursor.ring_groups and (count or 1) > 2:
        many_in_one(cursor, stitch, count or 1, step.span)
    else:
        produce(cursor, stitch, count or 1, step.span)


def on_hook(cursor: Cursor, step: Work, stitch: Stitch, count: int | None, place: Place) -> None:
    """In a chain counted from the hook, or closing a picot."""
    if stitch.role == "slip" and cursor.chain_seen and (cursor.made_stitches() or cursor.in_place):
        cursor.chain_seen = max(0, cursor.chain_seen - place.nth)
        cursor.made.append(Run(PICOT))
        return
    from_hook(cursor, place.nth, step.span)
    if (count or 1) > 2 and stitch.base != "sc":
        many_in_one(cursor, stitch, count or 1, step.span)
    else:
        produce(cursor, stitch, count or 1, step.span)


def on_turning_chain(
    cursor: Cursor, step: Work, stitch: Stitch, count: int | None, place: Place
) -> None:
    """In the turning chain of the row below."""
    if stitch.role == "slip":
        cursor.settle_chain()
        cursor.out.joined = True
        return
    if cursor.below is not None and cursor.unused():
        cursor.to_last(What("st"), 1)
        cursor.take_stitches(1)
    elif cursor.below is not None:
        cursor.out.exact = False
    produce(cursor, stitch, count or 1, step.span)


def at_corner(cursor: Cursor, step: Work, stitch: Stitch, count: int | None, place: Place) -> None:
    """In a corner."""
    what = place.whats[0] if place.whats else What("corner")
    if place.each:
        raise NotWorked("how many corners there are is not known", step.span)
    take_corner(cursor, what, step.span)
    produce_in_place(cursor, stitch, count or 1, step.span)


def at_middle(cursor: Cursor, step: Work, stitch: Stitch, count: int | None, place: Place) -> None:
    """In a certain stitch or space of a group."""
    if place.each:
        groups = groups_left(cursor, place)
        if not groups:
            raise NotWorked("where the groups are is not known", step.span)
        for _ in range(groups):
            take_middle(cursor, place, step.span)
            produce_in_place(cursor, stitch, count or 1, step.span)
        return
    take_middle(cursor, place, step.span)
    produce_in_place(cursor, stitch, count or 1, step.span)


def at_between(cursor: Cursor, step: Work, stitch: Stitch, count: int | None, place: Place) -> None:
    """Between two stitches or groups."""
    cursor.out.exact = False
    groups = bool(place.whats) and place.whats[0].name in ("group", "cluster", "shell")
    known = groups and cursor.below is not None and len(_group_starts(cursor)) > 1
    if stitch.role == "slip" and not known:
        cursor.make(Run(SLIP, 1))
        return
    if place.nth == -1:
        produce_in_place(cursor, stitch, count or 1, step.span)
        return
    if groups:
        _between_groups(cursor, step, stitch, count or 1, place)
        return
    if place.each:
        below = cursor.need_below(step.span)
        gaps = cursor.left()
        mixed = any(not is_kind(run, place.whats[0].name) for run in below.runs)
        if mixed or any(run.group for run in below.runs):
            raise NotWorked("which gaps are meant is not known", step.span)
        if not (below.in_round or cursor.setting.in_round):
            gaps -= 1
        cursor.at = cursor.end
        produce(cursor, stitch, gaps * (count or 1), step.span)
        return
    if cursor.below is not None and cursor.at < cursor.end and not cursor.below.is_ring:
        cursor.take_stitches(1)
    produce(cursor, stitch, count or 1, step.span)


def _between_groups(cursor: Cursor, step: Work, stitch: Stitch, count: int, place: Place) -> None:
    """In the gap between two groups, or in each of them; a lone stitch at an edge is no group."""
    below = cursor.need_below(step.span)
    starts = _group_starts(cursor)
    if len(starts) < 2:
        raise NotWorked("which gaps are meant is not known", step.span)
    around = below.in_round or cursor.setting.in_round
    if place.each and place.until is None:
        for _ in range(at_size(place.count, cursor.size)):
            _between_groups(cursor, step, stitch, count, Place(place.which, whats=place.whats))
        return
    if place.each:
        gaps = len(starts) - (0 if around and not cursor.made_stitches() else 1)
        for _ in range(gaps):
            produce_in_place(cursor, stitch, count, step.span)
        cursor.at = cursor.end
        return
    gap = next((at for at in starts[1:] if at > cursor.at or (cursor.at and at == cursor.at)), None)
    if gap is None and around and cursor.at < cursor.end:
        gap = cursor.end - 1  # between the last of them and the first
    if gap is None:
        cursor.out.short += 1
        return
    cursor.at, cursor.here = gap + 1, None
    cursor.out.used += 1
    produce_in_place(cursor, stitch, count, step.span)


def _group_starts(cursor: Cursor) -> list[int]:
    """Where the groups of the row below begin: stitches in one place, or side by side."""
    assert cursor.below is not None
    if not any(run.group for run in cursor.below.runs):
        return []
    starts: list[int] = []
    places = cursor.places or cursor.below.places
    at = 0
    while at < len(places):
        end = at + 1
        while end < len(places) and places[end].group == places[at].group:
            end += 1
        if end - at > 1 and any(place.kind != SPACE for place in places[at:end]):
            starts.append(at)
        at = end
    return starts


def at_any(cursor: Cursor, step: Work, stitch: Stitch, count: int | None, place: Place) -> None:
    """In any place: where yarn is joined anew."""
    if not cursor.made:
        start_at(cursor, place, step.span)
    if cursor.here is None:
        what = place.whats[0] if place.whats else What("st")
        if cursor.below is not None:
            take(cursor, what, 1, step.span)
    if stitch.role == "slip" and not cursor.made:
        return
    produce(cursor, stitch, count or 1, step.span)


def on_edge(cursor: Cursor, step: Work, stitch: Stitch, count: int | None, place: Place) -> None:
    """Along the edge: as many as is said."""
    cursor.out.exact = False
    cursor.edge_seen = True
    if stitch.role == "slip":
        return
    cursor.out.plain = False
    if count is None:
        raise NotWorked(EDGE_UNSAID, step.span)
    produce(cursor, stitch, count, step.span)


def elsewhere(cursor: Cursor, step: Work, stitch: Stitch, count: int | None, place: Place) -> None:
    """In places that are not in the row below: loops, posts, another piece."""
    number = at_size(place.count, cursor.size)
    if number > MAX_PLACES:
        raise NotWorked("the figure is too large to be worked", step.span)
    if (
        cursor.below is not None
        and cursor.left() >= number
        and not cursor.below.is_ring
        and cursor.below.stitches == number
    ):
        cursor.take_stitches(number)
    else:
        cursor.out.exact = False
        cursor.out.used += number
        if cursor.below is not None:
            cursor.at = min(cursor.end, cursor.at + number) if cursor.flat else cursor.at
    if stitch.role in ("dec", "tog") and stitch.uses > 1:
        produce(cursor, stitch, number // stitch.uses, step.span)
        return
    produce(cursor, stitch, number * (count or 1), step.span)
