"""What the steps of a row show before they are worked: how it begins, what repeats in it."""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache

from proofhook.pattern import (
    Chain,
    Evenly,
    Group,
    Join,
    Note,
    OtherSide,
    Place,
    Repeat,
    Ring,
    RowsReference,
    Skip,
    Step,
    Stitch,
    Total,
    Turn,
    Unread,
    Which,
    Work,
)
from proofhook.trade.stitches import turning_chain


@lru_cache(maxsize=4096)
def _uniform(steps: _Kept) -> bool:
    return all(_is_uniform_step(step) for step in steps.steps)


class _Kept:
    """Steps compared by identity, so that looking them up does not hash them."""

    __slots__ = ("steps",)

    def __init__(self, steps: tuple[Step, ...]) -> None:
        self.steps = steps

    def __hash__(self) -> int:
        return id(self.steps)

    def __eq__(self, other: object) -> bool:
        return isinstance(other, _Kept) and other.steps is self.steps


def is_uniform(steps: tuple[Step, ...]) -> bool:
    """Whether a body only works into the next stitches, so that every pass is alike."""
    return _uniform(_Kept(steps))


def _is_uniform_step(step: Step) -> bool:
    if isinstance(step, Note):
        return True
    if not isinstance(step, Work) or step.stitch.steps:
        return False
    if step.stitch.role not in ("", "inc", "dec", "tog", "named"):
        return False
    place = step.place
    if place is None:
        return True
    plain = all("sp" not in what.name and not what.of for what in place.whats)
    special = any(
        what.name in ("ch", "corner", "center", "marked st", "group") for what in place.whats
    )
    return place.which is Which.NEXT and plain and not special and place.row is None


def walk(steps: Sequence[Step]) -> list[Step]:
    """All steps, those inside groups and repeats too, in order."""
    out: list[Step] = []
    for step in steps:
        out.append(step)
        if isinstance(step, (Group, Repeat)):
            out += walk(step.steps)
    return out


def uses_hook(steps: tuple[Step, ...]) -> bool:
    """Whether the row's first stitch goes into a chain counted from the hook."""
    for step in walk(steps):
        if isinstance(step, Work):
            if step.place is not None and step.place.which is Which.HOOK:
                return True
            return _nth_chain(step.place)
        if isinstance(step, Group) and step.place is not None and step.place.which is Which.HOOK:
            return True
        if isinstance(step, Skip) and step.place.which is Which.HOOK:
            return True
    return False


def _nth_chain(place: Place | None) -> bool:
    """ "Sc in 2nd ch": counted from the hook, though that is not said."""
    return place is not None and place.which is Which.NTH and place.whats[0].name == "ch"


def first_stitch(steps: tuple[Step, ...]) -> str:
    """The first real stitch of the row: what a turning chain stands for."""
    for step in walk(steps):
        if isinstance(step, Work) and step.stitch.role not in ("slip", "picot"):
            if step.stitch.steps:
                inner = first_stitch(step.stitch.steps)
                if inner:
                    return inner
            return step.stitch.base
    return ""


def begins_with_bridge(steps: tuple[Step, ...], terms: str) -> bool:
    """ "Ch 4, sk 4 sc, sc in next 16": a chain over a gap, and no turning chain.

    So is "skip the first 8 dc, ch 2, dc in each dc".
    """
    told = [step for step in steps if not isinstance(step, (Note, Join, Turn))][:3]
    if len(told) < 3:
        return False
    if isinstance(told[0], Skip) and told[0].place.which in (Which.FIRST, Which.NEXT):
        return isinstance(told[1], Chain) and min(told[0].place.count) > 2
    chain, skip, work = told
    if not (isinstance(chain, Chain) and isinstance(skip, Skip) and isinstance(work, Work)):
        return False
    place = skip.place
    height = turning_chain(work.stitch.base, terms) or 1
    over_stitches = place.which is Which.NEXT and place.until is None and not skip.unworked
    return (
        chain.counts is None
        and over_stitches
        and min(place.count) > 2
        and max(chain.count) > height + 1
    )


def begins_in_same_space(steps: tuple[Step, ...]) -> bool:
    """ "Ch 3, (dc, ch 2, 2 dc) in same sp" at the very start: where the last round ended."""
    for step in steps:
        if isinstance(step, (Note, Chain, Turn)):
            continue
        place = step.place if isinstance(step, (Work, Group)) else None
        if place is None or place.which is not Which.SAME:
            return False
        return any("sp" in what.name for what in place.whats)
    return False


def begins_with_cluster(steps: tuple[Step, ...]) -> bool:
    """ "Ch 2, dc2tog in same sp", "(ch 3, dc2tog, ...) in sp": the chain is a leg of it."""
    inside = False
    for step in walk(steps):
        if isinstance(step, Group) and step.place is not None:
            inside = True
        if isinstance(step, Work):
            if step.stitch.role == "slip":
                continue
            place = step.place
            one = place is not None and place.which in (Which.SAME, Which.RING)
            return step.stitch.role == "tog" and (one or inside)
    return False


def into_loop(steps: tuple[Step, ...]) -> bool:
    """ "6 sc in loop" at the start of a piece: the loop is a ring."""
    for step in walk(steps):
        if isinstance(step, (Work, Group)) and step.place is not None:
            place = step.place
            loop = place.whats and place.whats[0].name == "sp" and place.whats[0].length is None
            return bool(loop) and place.which in (Which.NEXT, Which.ANY) and place.count == (1,)
        if isinstance(step, (Work, Skip)):
            return False
    return False


def only_chains(steps: tuple[Step, ...], least: int) -> bool:
    """A line that makes a foundation chain and nothing else."""
    chains = [s for s in steps if isinstance(s, Chain)]
    others = any(isinstance(s, (Work, Group, Repeat, Skip, Ring, RowsReference)) for s in steps)
    return bool(chains) and not others and max(chains[0].count) >= least


def starts_with_chain(steps: tuple[Step, ...]) -> bool:
    """Whether the first thing worked is a chain."""
    for step in steps:
        if isinstance(step, Chain) and step.count != (0,):
            return True
        if isinstance(step, (Work, Group, Repeat, Skip)):
            return False
    return False


def implied_body(
    steps: tuple[Step, ...],
) -> tuple[tuple[Step, ...], tuple[Step, ...], tuple[Step, ...]] | None:
    """Steps of a row without any repeat, as (before, body, after); None where it has one."""
    if any(isinstance(s, (Repeat, RowsReference, OtherSide, Evenly)) for s in steps):
        return None
    first = next((i for i, s in enumerate(steps) if isinstance(s, (Work, Group, Skip))), None)
    if first is None:
        return None
    last = max(i for i, s in enumerate(steps) if isinstance(s, (Work, Group, Skip)))
    body = tuple(s for s in steps[first : last + 1])
    if any(isinstance(s, (Total, Unread)) for s in body):
        return None
    final = body[-1]
    fills = isinstance(final, Work) and final.place is not None and final.place.until is not None
    if fills:
        assert isinstance(final, Work)
        body = (*body[:-1], Work(final.span, final.stitch, final.count))
        if len(body) < 2:
            return None
    return steps[:first], body, steps[last + 1 :]


def ends_instead(step: Repeat, rest: tuple[Step, ...]) -> bool:
    """ "... 5 dc in next sc; rep from * across, ending with 3 dc in last sc": one for the other."""
    ending = next((s for s in rest if isinstance(s, (Work, Group))), None)
    replaced = step.steps[-1] if step.steps else None
    if step.until is not None and step.until.kind != "end":
        return False
    before = rest[: rest.index(ending)] if ending is not None else ()
    chains = [chain.count for chain in step.steps if isinstance(chain, Chain)]
    if any(isinstance(each, Chain) and each.count in chains for each in before):
        return False  # "*ch 5, sc in next sp; rep from * across, ch 5, sc in last dc": a pass more
    return (
        isinstance(ending, Work)
        and isinstance(replaced, Work)
        and len(step.steps) > 1
        and ending.place is not None
        and ending.place.which in (Which.LAST, Which.TURNING_CHAIN)
        and ending.stitch.base in _made_of(replaced.stitch)
    )


def _made_of(stitch: Stitch) -> frozenset[str]:
    """The stitches of a shell or a cluster; the stitch itself where it has no parts."""
    parts = [step.stitch.base for step in stitch.steps if isinstance(step, Work)]
    return frozenset(parts or (stitch.base,))


def place_comes_last(steps: tuple[Step, ...]) -> bool:
    """ "3 dc, ch 2, 3 dc in next st", which may be three stitches first or all in one place."""
    if len(steps) < 3:
        return False
    first, chain, last = steps
    return (
        isinstance(first, Work)
        and isinstance(chain, Chain)
        and isinstance(last, Work)
        and first.place is None
        and last.place is not None
        and last.place.which is Which.NEXT
        and last.place.count == (1,)
        and first.stitch == last.stitch
        and first.count is not None
        and first.count == last.count
    )
