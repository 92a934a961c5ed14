"""Finding and using the places of the row below: stitches, spaces, corners, groups."""

from __future__ import annotations

from proofhook.counting.cursor import Cursor
from proofhook.counting.fabric import SPACE, is_kind
from proofhook.counting.result import BELOW_UNKNOWN
from proofhook.counting.worked import NotWorked
from proofhook.pattern import Place, Until, What, at_size
from proofhook.text import Span


def take(cursor: Cursor, what: What, count: int, span: Span) -> int:
    """Use ``count`` places of a kind; how many chains or stitches they offer."""
    name = what.name
    if cursor.below is not None and cursor.below.is_ring and name in ("sp", "st", "ch"):
        cursor.out.used += count
        return count
    if cursor.own and name in ("ch", "st"):
        cursor.own = max(0, cursor.own - count)
        return count
    if name == "ch" and cursor.flat and cursor.below is not None and not cursor.below.is_chain:
        if not cursor.below.is_ring and (cursor.left() <= 0 or cursor.edge_seen):
            cursor.out.exact = False
            return count
    if "sp" in name or what.of:
        for _ in range(1 if name == "ch" else count):  # "first 2 ch of next loop" are in one
            take_space(cursor, what, span)
        return count
    groups = cursor.groups_named(name)
    if groups:
        for _ in range(count):
            take_group(cursor, groups)
        return count
    if name in ("corner", "center", "marked st", "corner st", "group"):
        for _ in range(count):
            take_special(cursor, what, span)
        return count
    if (
        cursor.flat
        or name in ("st", "ch")
        or cursor.below is None
        or cursor.choice("typed", 2) == 1
    ):
        if (
            name == "ch"
            and not cursor.flat
            and cursor.below is not None
            and not cursor.below.is_chain
        ):
            return take_chains(cursor, count, span)
        cursor.take_stitches(count)
        return count
    for _ in range(count):
        take_kind(cursor, name, span)
    return count


def take_group(cursor: Cursor, starts: list[int]) -> None:
    """Use the next group as one place: its middle is worked into."""
    begin = next((at for at in starts if at >= cursor.at), None)
    if begin is None or cursor.below is None:
        cursor.out.short += 1
        return
    places = cursor.places or cursor.below.places
    end = begin
    while end < len(places) and places[end].group == places[begin].group:
        end += 1
    cursor.here, cursor.at = (begin + end - 1) // 2, end
    cursor.out.used += 1


def take_chains(cursor: Cursor, count: int, span: Span) -> int:
    """Chains of the row below: those of the spaces, one by one, else stitches."""
    end = cursor.end if cursor.limit is None else cursor.limit
    if (
        cursor.at + 1 < end
        and cursor.places[cursor.at].kind != SPACE
        and cursor.places[cursor.at + 1].kind == SPACE
    ):
        cursor.at += 1  # the loop is on the stitch at which the round was joined
    if cursor.at < end and cursor.places[cursor.at].kind == SPACE:
        place = cursor.places[cursor.at]
        cursor.here = cursor.at
        if count >= place.length:
            cursor.at += 1
        cursor.out.used += 1
        return count
    cursor.take_stitches(count)
    return count


def take_kind(cursor: Cursor, kind: str, span: Span) -> None:
    """The next place of a kind; where there is none of it, the next stitch."""
    end = cursor.end if cursor.limit is None else cursor.limit
    at = cursor.at
    while at < end and not is_kind(cursor.places[at], kind):
        at += 1
    if at >= end:
        if any(is_kind(place, kind) for place in cursor.places):
            cursor.out.short += 1
            return
        cursor.take_stitches(1)
        return
    cursor.here = at
    cursor.at = at + 1
    cursor.out.used += 1


def take_space(cursor: Cursor, what: What, span: Span) -> None:
    """The next chain space (of the length named); stitches before it are passed over."""
    below = cursor.need_below(span)
    if below.is_ring:
        return
    if cursor.flat and what.length is None and what.name == "sp" and not what.of:
        cursor.take_stitches(1)  # "loop" for the loop of a stitch
        return
    at = find_space(cursor, what)
    if at is None:
        if below.spaces == 0 and not below.loose and cursor.at < cursor.end:
            cursor.out.exact = False
            raise NotWorked("the row below has no such space", span)
        cursor.out.short += 1
        cursor.out.used += 1
        return
    cursor.here = at
    cursor.at = at + 1
    cursor.out.used += 1


def find_space(cursor: Cursor, what: What) -> int | None:
    """Where the next such space is, or None."""
    if cursor.below is None or cursor.flat:
        return None
    lengths = cursor.below.lengths
    wanted = what.length if what.length in lengths else None
    if what.name.startswith(("corner", "center")) and wanted is None and len(lengths) > 1:
        wanted = corner_length(cursor, what.name)
    end = cursor.end if cursor.limit is None else cursor.limit
    for at in range(cursor.at, end):
        place = cursor.places[at]
        if place.kind != SPACE:
            continue
        if wanted is not None and place.length != wanted:
            continue
        if (
            what.of
            and what.of not in ("group", "sp")
            and has_group(cursor, what.of)
            and place.of != what.of
        ):
            continue
        return at
    return None


def has_group(cursor: Cursor, name: str) -> bool:
    """Whether the row below has groups of that name."""
    return any(place.of == name for place in cursor.places)


def corner_length(cursor: Cursor, name: str) -> int:
    """The length of the corner (or centre) spaces: the rarest length, the longest of these."""
    counts: dict[int, int] = {}
    for place in cursor.places:
        if place.kind == SPACE:
            counts[place.length] = counts.get(place.length, 0) + 1
    fewest = min(counts.values())
    return max(length for length, times in counts.items() if times == fewest)


def marked_places(cursor: Cursor) -> list[int]:
    """Where the middle stitches of the groups lie: corners, and what gets a marker."""
    if cursor.below is None:
        return []
    if cursor.flat:
        cursor.places = cursor.places or cursor.below.places
    cursor.look_over(len(cursor.places))
    middles: list[int] = []
    at = 0
    while at < len(cursor.places):
        group = cursor.places[at].group
        size = 1
        while group and at + size < len(cursor.places) and cursor.places[at + size].group == group:
            size += 1
        if group and size >= 3 and size % 2:
            middles.append(at + size // 2)
        at += size
    return middles


def take_special(cursor: Cursor, what: What, span: Span) -> None:
    """A corner, a marked stitch, a group: its place where the fabric shows it."""
    if cursor.below is None:
        cursor.out.exact = False
        return
    if what.name in ("marked st", "corner st", "corner"):
        middle = next((at for at in marked_places(cursor) if at >= cursor.at), None)
        if middle is not None and (what.name != "corner" or cursor.flat):
            cursor.here, cursor.at = middle, middle + 1
            cursor.out.used += 1
            return
    if what.name in ("corner", "center", "group") and not cursor.flat:
        at = find_space(cursor, What("corner sp" if what.name != "group" else "sp"))
        if at is not None:
            cursor.here = at
            cursor.at = at + 1
            cursor.out.used += 1
            return
        if cursor.below.spaces and cursor.at < cursor.end and what.name != "group":
            cursor.out.short += 1
            return
    if what.name == "corner st" and not cursor.flat:
        cursor.out.exact = False
    cursor.take_stitches(1)


def take_corner(cursor: Cursor, what: What, span: Span) -> None:
    """Use the next corner."""
    if cursor.below is None or cursor.below.is_ring:
        cursor.out.exact = False
        return
    if cursor.flat:
        cursor.out.exact = False
        take_special(cursor, What("corner"), span)
        return
    take_special(
        cursor, What("corner" if "corner" in what.name else "center"), span
    ) if what.length is None else take_space(cursor, what, span)


def groups_left(cursor: Cursor, place: Place) -> int:
    """How many groups, or spaces, are still to be worked into."""
    what = place.whats[0]
    if "sp" in what.of:
        return sum(
            1
            for p in cursor.places[cursor.at :]
            if p.kind == SPACE and what.length in (None, p.length)
        )
    return len(
        {p.group for p in cursor.places[cursor.at :] if p.group and what.of in (p.of, "group")}
    )


def take_middle(cursor: Cursor, place: Place, span: Span) -> None:
    """The middle (or nth) stitch or chain of the next group or space."""
    if cursor.below is None:
        raise NotWorked(BELOW_UNKNOWN, span)
    what = place.whats[0]
    if what.of in ("sp", "ch") or (what.name == "ch" and what.length):
        take_space(cursor, What("sp", what.length), span)
        return
    if cursor.flat and not any(run.group for run in cursor.below.runs):
        raise NotWorked("where the group is is not known", span)
    if cursor.flat:
        cursor.places, cursor.flat = cursor.places or cursor.below.places, False
        cursor.end = len(cursor.places)
    at = cursor.at
    if place.nth > 0 and at < cursor.end and _place_in_group(cursor, at) == place.nth:
        cursor.here, cursor.at = at, at + 1  # "skip 4 dc, sc in 5th dc of the fan"
        cursor.out.used += 1
        return
    within = cursor.places[cursor.here].group if cursor.here is not None else 0
    while within and at < cursor.end and cursor.places[at].group == within:
        at += 1  # the rest of the group that was just worked into is no next one
    while at < cursor.end and not (
        cursor.places[at].group
        and what.of in (cursor.places[at].of, "group", "st", "shell", "dc", "sc", "hdc", "tr")
    ):
        at += 1
    if at >= cursor.end:
        if not any(place.group for place in cursor.places):
            raise NotWorked("where the group is is not known", span)
        cursor.out.short += 1
        return
    group = cursor.places[at].group
    members = []
    while at < cursor.end and cursor.places[at].group == group:
        members.append(at)
        at += 1
    of_kind = [
        m
        for m in members
        if (cursor.places[m].kind == SPACE) == ("sp" in what.name or what.name == "ch")
    ]
    chosen = of_kind or members
    nth = place.nth
    index = (
        len(chosen) - 1 if nth == -1 else nth - 1 if 0 < nth <= len(chosen) else len(chosen) // 2
    )
    cursor.here = chosen[index]
    cursor.at = chosen[index] + 1
    cursor.out.used += 1


def _place_in_group(cursor: Cursor, at: int) -> int:
    """Which of its group's stitches stands at ``at``, from 1; 0 where it is in no group."""
    group = cursor.places[at].group
    if not group or cursor.places[at].kind == SPACE:
        return 0
    nth, before = 1, at - 1
    while before >= 0 and cursor.places[before].group == group:
        nth += cursor.places[before].kind != SPACE
        before -= 1
    return nth


def take_nth(cursor: Cursor, place: Place, span: Span) -> None:
    """Use places up to the n-th of a kind."""
    what = place.whats[0] if place.whats else What("st")
    from_the_edge = cursor.at == 1 and not cursor.made_besides_turning()
    take(cursor, what, max(place.nth - from_the_edge, 1), span)
    cursor.out.exact = False


def find_place(cursor: Cursor, what: What) -> int | None:
    """Where the next place of a kind is, or None."""
    if cursor.below is None:
        return None
    if cursor.flat and what.name in ("corner", "marked st"):
        return next((at for at in marked_places(cursor) if at >= cursor.at), None)
    if "sp" in what.name or what.name in ("corner", "center"):
        name = what.name if "sp" in what.name else f"{what.name} sp"
        return find_space(cursor, What(name, what.length))
    if what.name in ("marked st", "corner st", "corner"):
        return next((at for at in marked_places(cursor) if at >= cursor.at), None)
    if cursor.flat:
        return None
    for at in range(cursor.at, cursor.end):
        if is_kind(cursor.places[at], what.name):
            return at
    return None


def stop_for(cursor: Cursor, until: Until | None, span: Span) -> int:
    """The place at which a fill stops."""
    end = cursor.end if cursor.limit is None else cursor.limit
    if until is None or until.kind == "end":
        return end
    if until.kind in ("last", "remain"):
        cursor.rest_said = cursor.rest_said or until.kind == "remain"
        keep = at_size(until.count, cursor.size)
        what = until.what or What("st")
        return cursor.position_from_end(what, keep)
    found = find_place(cursor, until.what or What("st"))
    if found is not None and found == cursor.at and not cursor.flat and found + 1 < end:
        here, cursor.at = cursor.at, found + 1  # it was reached: the one after it is meant
        found = find_place(cursor, until.what or What("st")) or found
        cursor.at = here
    if found is None:
        if cursor.flat:
            raise NotWorked("where the repeat stops is not known", span)
        return end
    return found


def places_between(cursor: Cursor, at: int, stop: int) -> int:
    """Places left between the cursor and the place where a repeat stops."""
    if cursor.flat:
        return max(stop - at, 0)
    return 0
