"""Where a row begins: rings, joins, the turn, loops, the other side of a chain."""

from __future__ import annotations

from proofhook.counting.cursor import Cursor
from proofhook.counting.fabric import CHAIN, RING_FABRIC, SLIP, SPACE, Fabric, Run, is_kind
from proofhook.counting.places_below import find_space
from proofhook.counting.worked import NotWorked
from proofhook.pattern import Join, Loops, OtherSide, Place, Ring, Turn, What, Which
from proofhook.text import Span


def begin_ring(cursor: Cursor, step: Ring) -> None:
    """A ring is made; the row is worked into it."""
    cursor.lay(RING_FABRIC)
    cursor.out.begins = True


def open_ring(cursor: Cursor, place: Place) -> None:
    """A chain joined into a ring is worked into chain by chain where that is said."""
    if (
        cursor.ring_chain
        and cursor.below is not None
        and cursor.below.is_ring
        and all(run.turning or run.kind in (SPACE, SLIP) for run in cursor.made)
    ):
        if any(what.name in ("ch", "st") for what in place.whats) and place.which in (
            Which.EACH,
            Which.NEXT,
        ):
            started = cursor.made_stitches()
            cursor.lay(Fabric((Run(CHAIN, cursor.ring_chain),), in_round=True))
            if started:  # a turning chain stands on the first of them
                cursor.take_stitches(1)


def work_join(cursor: Cursor, step: Join) -> None:
    """A join: of a chain to a ring, of a round to its beginning, or of new yarn."""
    if step.ring:
        if cursor.made_stitches():
            cursor.out.joined = True
            return
        if cursor.chain_seen:
            cursor.ring_chain = cursor.chain_seen
        cursor.chain_seen = 0
        cursor.lay(RING_FABRIC)
        cursor.out.begins = True
        cursor.made.clear()
        cursor.sum_anew()
        return
    if cursor.made or cursor.out.used:
        if not cursor.made_stitches() and cursor.chain_seen:
            cursor.out.joined = True
            return
        cursor.settle_chain()
        cursor.out.joined = True
        return
    if cursor.chain_seen and cursor.below is None:
        cursor.ring_chain, cursor.chain_seen = cursor.chain_seen, 0
        cursor.lay(RING_FABRIC)
        cursor.out.begins = True
        return
    start_at(cursor, step.place, step.span)


def start_at(cursor: Cursor, place: Place | None, span: Span) -> None:
    """Yarn is joined anew, or the start moves: the fabric begins at that place."""
    if place is None or cursor.below is None or cursor.below.is_ring:
        return
    if place.which in (Which.EDGE, Which.ELSEWHERE):
        cursor.out.exact = False
        return
    what = place.whats[0] if place.whats else What("st")
    if place.which is Which.LAST or cursor.flat or what.name in ("st", "ch"):
        return
    if "sp" in what.name or what.name in ("corner", "center", "group"):
        at = find_space(
            cursor, What("corner sp" if what.name == "corner" else what.name, what.length, what.of)
        )
    else:
        at = next((i for i in range(cursor.end) if is_kind(cursor.places[i], what.name)), None)
    if at is None:
        return
    cursor.begin_at(at)


def turn(cursor: Cursor, step: Turn) -> None:
    """The work is turned: before anything is worked the row below, else at the end."""
    if not cursor.works_done and not cursor.hook_row:
        below = cursor.below
        if below is not None and not below.turned and not cursor.turn_seen and not below.is_ring:
            turn_below(cursor)
        cursor.turn_seen = True
        return
    if cursor.chain_seen and not cursor.in_place:
        cursor.out.chain_after, cursor.chain_seen = cursor.chain_seen, 0
    cursor.out.turned = True
    cursor.turn_seen = True


def turn_below(cursor: Cursor) -> None:
    """The row below is worked into backwards."""
    assert cursor.below is not None
    at, here = cursor.at, cursor.here
    cursor.lay(Fabric(cursor.below.runs, True, 0, cursor.below.loose, cursor.below.in_round))
    cursor.at, cursor.here = at, here
    cursor.turn_seen = True


def on_row(cursor: Cursor, row: int, span: Span) -> None:
    """The stitches of an earlier row are worked into."""
    if row != cursor.base_row:
        cursor.base_row = row
        if not any(run.kind != SLIP for run in cursor.made):
            work_loops(cursor, Loops(span, "", row))


def work_loops(cursor: Cursor, step: Loops) -> None:
    """An earlier row is worked into, by its loops."""
    if not step.row:
        return
    earlier = cursor.setting.earlier(step.row)
    if earlier is None:
        if cursor.made:
            raise NotWorked("the row it is worked into is not known", step.span)
        cursor.lay(None)
        cursor.out.exact = False
        return
    if not cursor.made:
        cursor.lay(Fabric(earlier.runs, False, 0, earlier.loose, earlier.in_round))
    cursor.out.exact = False


def work_other_side(cursor: Cursor, step: OtherSide) -> None:
    """The unused side of the foundation chain is worked into."""
    cursor.out.exact = False
    cursor.out.plain = False
    cursor.settle_chain()
    foundation = cursor.setting.foundation
    if cursor.below is not None and cursor.below.is_chain:
        usable = cursor.end - cursor.first_chain
        ends = cursor.choice("other side", 3)
        count = max(usable - (1, 0, 2)[ends], 0)
        cursor.lay(Fabric((Run(CHAIN, count),)))
    elif foundation is not None:
        cursor.out.doubt = "which chains of the other side are worked into is not certain"
        turned = cursor.choice("chains of the other side", 2)
        cursor.lay(Fabric((Run(CHAIN, max(foundation.stitches - turned, 0)),)))
    else:
        cursor.lay(None)
