"""Work that goes along the row below: in each place, to the end, evenly, or passed over."""

from __future__ import annotations

from proofhook.counting.beginnings import start_at
from proofhook.counting.chains import from_hook, start_here
from proofhook.counting.cursor import Cursor
from proofhook.counting.fabric import MAX_PLACES, SLIP, SPACE, Run, is_kind, is_of
from proofhook.counting.making import made_group, many_in_one, produce
from proofhook.counting.places_below import (
    corner_length,
    stop_for,
    take,
    take_corner,
    take_middle,
    take_nth,
)
from proofhook.counting.worked import NotWorked
from proofhook.pattern import (
    Each,
    Evenly,
    Group,
    Place,
    Skip,
    Stitch,
    Until,
    What,
    Which,
    Work,
    at_size,
)
from proofhook.records import replace
from proofhook.text import Span
from proofhook.trade.stitches import turning_chain


def go_to(cursor: Cursor, place: Place, span: Span) -> None:
    """Take one place for a group."""
    what = place.whats[0] if place.whats else What("st")
    match place.which:
        case Which.SAME | Which.RING:
            cursor.stand()
            if cursor.here is None and cursor.below is not None and not cursor.below.is_ring:
                take(cursor, what, 1, span)
        case Which.FIRST:
            cursor.to_first()
            take(cursor, what, 1, span)
        case Which.LAST:
            cursor.to_last(what, 1)
            take(cursor, what, 1, span)
        case Which.TURNING_CHAIN:
            if cursor.at < cursor.end:
                cursor.to_last(What("st"), 1)
                cursor.take_stitches(1)
        case Which.HOOK:
            from_hook(cursor, place.nth, span)
        case Which.NEXT:
            again = "sp" in what.name and entered(cursor)
            if not again or cursor.choice("in the space that was entered", 2) == 0:
                take(cursor, what, 1, span)
        case Which.CORNER:
            take_corner(cursor, what, span)
        case Which.MIDDLE:
            take_middle(cursor, place, span)
        case Which.NTH:
            take_nth(cursor, place, span)
        case Which.ANY:
            start_at(cursor, place, span)
            if cursor.here is None:
                take(cursor, what, 1, span)
        case Which.BETWEEN:
            cursor.out.exact = False
        case _:
            cursor.out.exact = False


def entered(cursor: Cursor) -> bool:
    """Whether slip stitches have just led into a place, and nothing is worked into it yet."""
    slipped = bool(cursor.made) and all(run.kind == SLIP for run in cursor.made)
    return cursor.here is not None and (cursor.standing or (slipped and cursor.goes_round()))


def each_place(cursor: Cursor, place: Place, span: Span) -> int:
    """How many places "each ..." takes; they are used up."""
    below = cursor.need_below(span)
    if below.is_ring:
        raise NotWorked("a ring has no stitches to be worked into one by one", span)
    if place.count != (1,) and place.which is not Which.EACH:
        count = at_size(place.count, cursor.size)
        what = place.whats[0] if place.whats else What("st")
        if place.which is Which.FIRST:
            cursor.to_first()
        elif place.which is Which.LAST:
            cursor.to_last(what, count)
        take(cursor, what, count, span)
        return count
    if place.which in (Which.NEXT, Which.FIRST, Which.LAST):
        go_to(cursor, place, span)
        return 1
    count = fill_places(cursor, place, span)
    if place.nth > 1:
        return max(1, -(-count // place.nth)) if count else 0
    return count


def fill_places(cursor: Cursor, place: Place, span: Span) -> int:
    """Use all places of the kinds named, to the end or as far as it is said."""
    if cursor.made and cursor.goes_round() and all(run.kind == SLIP for run in cursor.made):
        start_here(cursor)  # slip stitches went on to where the round begins
        cursor.standing = False
    whats = place.whats or (What("st"),)
    stop = stop_for(cursor, place.until, span)
    names = {what.name for what in whats}
    if cursor.flat:
        count = max(stop - cursor.at, 0)
        grouped = cursor.below is not None and any(run.group for run in cursor.below.runs)
        if names == {"sp"} and (whats[0].length is not None or grouped):
            raise NotWorked("the row below has no such space", span)
        cursor.at = max(stop, cursor.at)
        cursor.here = cursor.at - 1
        cursor.out.used += count
        return count
    groups = cursor.groups_named(whats[0].name) if len(names) == 1 else []
    if names == {"group"} and not groups:
        raise NotWorked("where the groups are is not known", span)
    if groups:
        count = sum(cursor.at <= at < stop for at in groups)
        cursor.at, cursor.here = max(stop, cursor.at), max(stop - 1, 0)
        cursor.out.used += count
        return count
    count = 0
    as_chains = names & {"ch"} and cursor.below is not None and not cursor.below.is_chain
    mode = 0
    if names == {"st"} and any(p.kind == SPACE for p in cursor.places[cursor.at : stop]):
        mode = cursor.choice("chains in each stitch", 3)
    for at in range(cursor.at, stop):
        found = counts_in(cursor, cursor.places[at], whats, names, bool(as_chains), mode)
        if found:
            count += found
            cursor.here = at
            cursor.out.used += 1
    cursor.at = max(stop, cursor.at)
    return count


def counts_in(
    cursor: Cursor, place: Run, whats: tuple[What, ...], names: set[str], as_chains: bool, mode: int
) -> int:
    """How many stitches of an "each" fall on a place."""
    if place.kind == SPACE:
        if as_chains or (names == {"st"} and mode == 2):
            return place.length
        if names == {"st"}:
            return 1 if mode == 1 else 0
        return int(any("sp" in w.name and w.length in (None, place.length) for w in whats))
    if "st" in names:
        return 1
    if all("sp" in name or name in ("corner", "ch") for name in names):
        return 0
    if any(is_kind(place, name) for name in names):
        return 1
    present = {run.kind for run in cursor.places}
    known = any(
        name in present or any(is_kind(p, name) for p in cursor.places)
        for name in names
        if "sp" not in name and name != "ch"
    )
    return 0 if known and cursor.choice("typed", 2) == 0 else 1


def counts_the_first(cursor: Cursor, place: Place, what: What, count: int) -> bool:
    """Whether "sk 2 dc" after a turning chain takes the stitch on which that stands for one."""
    stands = cursor.at == 1 and bool(cursor.made) and not cursor.made_besides_turning()
    plain = place.which is Which.NEXT and place.until is None and "sp" not in what.name
    if not (stands and plain and count == 2 and cursor.flat):
        return False
    return cursor.choice("the skip counts the first stitch", 2) == 1


def work_skip(cursor: Cursor, step: Skip) -> None:
    """Places passed over, or the rest left unworked."""
    place = step.place
    what = place.whats[0] if place.whats else What("st")
    count = at_size(place.count, cursor.size)
    if count > MAX_PLACES:
        raise NotWorked("the figure is too large to be worked", step.span)
    if step.unworked or (place.each and place.which is Which.LAST):
        cursor.rest_said = True
        cursor.rest = (count, step.span) if count > 1 and step.unworked else None
        return
    begun = cursor.below is None and cursor.setting.first and not cursor.made_stitches()
    height = turning_chain(cursor.next_stitch, cursor.setting.terms) or 1
    from_chain = begun and what.name == "ch" and count < cursor.chain_seen > height + 1
    if place.which is Which.HOOK or from_chain:  # "ch 6, sk 1 ch, 4 sc"
        from_hook(cursor, count + 1 if from_chain else place.nth, step.span)
        if cursor.below is not None and not cursor.below.is_ring:
            cursor.at, cursor.here = max(cursor.at - 1, 0), None
            cursor.out.used -= 1
        return
    if place.which is Which.SAME:
        return
    if cursor.chain_seen and cursor.depth and cursor.made_stitches() and not cursor.in_place:
        cursor.settle_chain()
    if place.which is Which.FIRST:
        cursor.to_first()
        if cursor.at == 0:
            take(cursor, what, count, step.span)
        return
    if cursor.below is None:
        cursor.out.exact = False
        return
    if what.name == "ch" and not cursor.flat and not cursor.below.is_chain:
        skip_chains(cursor, count, step.span)
        return
    if place.which is Which.LAST:
        cursor.to_last(what, count)
    if cursor.in_place:
        return
    if counts_the_first(cursor, place, what, count):
        count -= 1
    if place.until is not None:
        skip_to(cursor, place.until, step.span)
        return
    here = cursor.here
    for each in place.whats or (What("st"),):
        take(cursor, each, count, step.span)
    cursor.here = here


def skip_to(cursor: Cursor, until: Until, span: Span) -> None:
    """All places passed over up to one: "skip to next ch-1 sp"."""
    stop = stop_for(cursor, until, span)
    if cursor.flat:
        here = cursor.here
        cursor.take_stitches(max(stop - cursor.at, 0))
        cursor.here = here
        return
    passed = cursor.places[cursor.at : stop]
    cursor.out.used += sum(run.kind != SPACE for run in passed)
    cursor.at = max(stop, cursor.at)


def skip_chains(cursor: Cursor, count: int, span: Span) -> None:
    """Chains of the row below passed over: a space, or stitches where there is none."""
    here = cursor.here
    if cursor.at < cursor.end and cursor.places[cursor.at].kind == SPACE:
        cursor.at += 1
    else:
        cursor.take_stitches(count)
    cursor.here = here


def work_along(cursor: Cursor, step: Each) -> None:
    """Each place by what it is: the first of the works that names it."""
    cursor.need_below(step.span)
    last = step.works[-1].place
    stop = stop_for(cursor, last.until if last else None, step.span)
    if cursor.flat:
        first = step.works[0]
        if first.place is not None and last is not None:
            first = replace(first, place=replace(first.place, until=last.until))
        cursor.step(first)
        return
    works = sorted(
        step.works, key=lambda w: "corner" not in w.place.whats[0].name if w.place else True
    )
    found: set[int] = set()
    for at in range(cursor.at, stop):
        place = cursor.places[at]
        for work in works:
            whats = work.place.whats if work.place else ()
            if any(answers_to(cursor, place, what) for what in whats):
                found.add(id(work))
                if isinstance(work, Group):
                    cursor.here, cursor.out.used = at, cursor.out.used + 1
                    made_group(cursor, work.steps)
                    break
                count = at_size(work.count, cursor.size) if work.count is not None else 1
                cursor.at = cursor.here = at
                cursor.out.used += 1
                times = (
                    place.length
                    if place.kind == SPACE and any(w.name == "ch" for w in whats)
                    else 1
                )
                many_in_one(cursor, work.stitch, count * times, step.span)
                break
    cursor.at = max(stop, cursor.at)
    if len(found) < len(works):
        raise NotWorked("where some of it is worked is not known", step.span)


def answers_to(cursor: Cursor, place: Run, what: What) -> bool:
    """Whether a place is what an "each" names; corners are told by their length."""
    spaced = cursor.below is not None and cursor.below.spaces
    if what.name in ("corner", "center") and place.kind != SPACE and spaced:
        return False
    if what.name.startswith("corner") and place.kind == SPACE:
        return place.length == (what.length or corner_length(cursor, "corner"))
    if is_of(place, what):
        return True
    if place.kind == SPACE or "sp" in what.name or what.name == "ch":
        return False
    named = any(is_kind(p, what.name) and not p.turning for p in cursor.places)
    return not named or cursor.choice("typed", 2) == 1


def work_evenly(cursor: Cursor, step: Evenly) -> None:
    """So many stitches more or fewer, spread over the row."""
    cursor.need_below(step.span)
    change = at_size(step.change, cursor.size)
    if cursor.made_stitches() and cursor.left() == 0:
        change_made(cursor, change, step.span)
        return
    count = cursor.left() + change
    if count < 0:
        raise NotWorked("there are not so many stitches to decrease", step.span)
    cursor.out.used += cursor.left()
    cursor.at = cursor.end
    cursor.out.exact = False
    kind = cursor.kind_below()
    cursor.made = [run for run in cursor.made if run.turning]
    cursor.sum_anew()
    cursor.make(Run(kind, count - sum(r.count for r in cursor.made)))


def change_made(cursor: Cursor, change: int, span: Span) -> None:
    """ "Sc around, decreasing 6 sts evenly": what was just made becomes fewer or more."""
    last = cursor.made[-1]
    if last.count + change < 0:
        raise NotWorked("there are not so many stitches to decrease", span)
    cursor.made[-1] = last._replace(count=last.count + change)
    cursor.out.exact = False


def every_nth(cursor: Cursor, step: Work, stitch: Stitch, count: int | None, place: Place) -> None:
    """ "Inc in every 4th st": those between are worked plain; "every other": passed over."""
    places = fill_places(
        cursor, Place(place.which, place.count, place.whats, True, place.until), step.span
    )
    if stitch.role == "inc" or (count or 1) > 1:
        produce(cursor, Stitch(stitch.base, stitch.base), places, step.span)
        extra = (stitch.makes if stitch.role == "inc" else count or 1) - 1
        produce(cursor, Stitch(stitch.base, stitch.base), places // place.nth * extra, step.span)
        return
    produce(cursor, stitch, -(-places // place.nth), step.span)
