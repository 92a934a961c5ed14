"""Stated totals against what a row makes: each unit against its own count."""

from __future__ import annotations

from collections import Counter

from proofhook.counting.customs import Customs
from proofhook.counting.fabric import CHAIN, PICOT, RING, SLIP, SPACE, Run
from proofhook.pattern import Unit
from proofhook.records import NamedTuple
from proofhook.trade.stitches import parse_stitch

_SHAPES = frozenset(
    "group groups petal petals point points fan fans block blocks scallop scallops "
    "leaf leafs leaves tile tiles".split()
)
_MESHES = frozenset("box boxes mesh meshes square squares window windows hole holes".split())


class Figure(NamedTuple):
    """What a unit of a total comes to.

    ``worked`` is None where the unit is not one that can be counted; ``others`` are the
    figures that less usual ways of counting give, by the name of the custom.
    """

    worked: int | None
    others: dict[str, int]


def stitches(runs: tuple[Run, ...]) -> int:
    """Stitches as most totals give them: no chains, no slip stitches, no picots."""
    return sum(r.count for r in runs if r.kind not in (SPACE, SLIP, PICOT, CHAIN, RING))


def width(runs: tuple[Run, ...]) -> int:
    """How wide a row lies, in stitches: its stitches and the chains of its spaces."""
    chains = sum(run.count * run.length for run in runs if run.kind == SPACE)
    return stitches(runs) + chains or sum(run.count for run in runs if run.kind != RING)


def plain_total(runs: tuple[Run, ...], customs: Customs) -> int:
    """A total without a unit, or in "sts", by the customs of the piece."""
    made = stitches(runs)
    if not made and not any(r.kind == SLIP for r in runs):
        chains = sum(r.count for r in runs if r.kind == CHAIN)
        return chains or sum(r.count for r in runs if r.kind == SPACE)
    if customs.slips or not made:
        made += sum(r.count for r in runs if r.kind == SLIP)
    if customs.chains:
        made += sum(r.count * r.length for r in runs if r.kind == SPACE)
    if customs.spaces:
        made += sum(r.count for r in runs if r.kind == SPACE)
    return made


def figure(
    unit: Unit,
    runs: tuple[Run, ...],
    customs: Customs,
    alone: bool,
    repeats: int,
    groups: frozenset[str] = frozenset(),
) -> Figure:
    """What one unit of a total comes to on the runs that a row makes.

    ``alone`` tells that it is the only unit; ``repeats`` how often the row's repeat ran;
    ``groups`` are groups that the total counts as such, so that their stitches are not
    counted again.
    """
    if groups and unit.what not in groups:
        runs = tuple(run for run in runs if run.of not in groups)
    what = unit.what
    if what in ("", "st"):
        usual = plain_total(runs, customs)
        others = {}
        for name in ("slips", "chains", "spaces") if alone else ("slips",):
            value = plain_total(runs, Customs(customs.flipped, **{name: True}))
            if value != usual:
                others[name] = value
        return Figure(usual, others)
    if what == "sp":
        spaces = [r for r in runs if r.kind == SPACE]
        exact = sum(r.count for r in spaces if unit.length in (None, r.length))
        return Figure(exact, {})
    if what == "ch":
        chains = sum(r.count * r.length for r in runs if r.kind == SPACE)
        chains += sum(r.count for r in runs if r.kind == CHAIN)
        return Figure(chains, {"as spaces": sum(r.count for r in runs if r.kind == SPACE)})
    if what == PICOT:
        picots = sum(r.count for r in runs if r.kind == PICOT)
        if not picots:  # "(sc, ch 3, sc)" may be what the designer counts as picots
            return Figure(None, {"chain spaces": sum(r.count for r in runs if r.kind == SPACE)})
        return Figure(picots, {})
    if what == SLIP:
        return Figure(sum(r.count for r in runs if r.kind == SLIP), {})
    return _named(what, runs, alone, repeats)


def _named(what: str, runs: tuple[Run, ...], alone: bool, repeats: int) -> Figure:
    """A stitch or a group by its name."""
    groups = {r.group for r in runs if r.group and r.of == what}
    if groups:
        loose = sum(r.count for r in runs if r.kind == what and not r.group)
        return Figure(len(groups) + loose, {})
    by_name = sum(r.count for r in runs if r.name == what)
    by_kind = sum(r.count for r in runs if r.kind == what)
    everything = stitches(runs)
    if by_name and by_name != by_kind:
        return Figure(by_name, {"by kind": by_kind} if by_kind else {})
    if by_kind:
        others = {"all stitches": everything} if everything != by_kind else {}
        return Figure(
            by_kind, others if alone else {k: v for k, v in others.items() if k != "all stitches"}
        )
    if what in {r.of for r in runs}:
        return Figure(0, {})
    if alone and what in _BASIC and everything and not any(r.kind == SPACE for r in runs):
        return Figure(None, {"all stitches": everything})
    any_groups = len({r.group for r in runs if r.group})
    full = _full_groups(runs)
    spaces = sum(r.count for r in runs if r.kind == SPACE)
    if what in _MESHES:
        others = {"chain spaces": spaces}
    elif what in _SHAPES:
        others = {
            "groups": any_groups,
            "full groups": full,
            "passes": repeats,
            "stands": _stands(runs, False) or _stands(runs, True),
        }
    elif parse_stitch(what) is not None:
        others = {
            "stitches": everything,
            "groups": any_groups,
            "full groups": full,
            "groups and the first": full + 1,
        }
    else:
        others = {"groups": any_groups, "chain spaces": spaces, "passes": repeats}
    return Figure(None, {name: value for name, value in others.items() if value})


def _full_groups(runs: tuple[Run, ...]) -> int:
    """How many groups are of the size that most of them have: half shells left out."""
    sizes: dict[int, int] = {}
    for run in runs:
        if run.group:
            sizes[run.group] = sizes.get(run.group, 0) + run.count
    common = Counter(sizes.values()).most_common(1)
    return common[0][1] if common else 0


def _stands(runs: tuple[Run, ...], turning: bool) -> int:
    """How many stands of two or more stitches there are between chain spaces.

    0 where they differ in size.  ``turning`` tells to take a turning chain for one of them.
    """
    sizes: list[int] = []
    size = 0
    for run in runs:
        if run.kind == SPACE:
            sizes.append(size)
            size = 0
        elif run.kind not in (SLIP, PICOT, CHAIN, RING) and (turning or not run.turning):
            size += run.count
    sizes = [s for s in (*sizes, size) if s > 1]
    return len(sizes) if len(set(sizes)) == 1 else 0


_BASIC = frozenset("sc hdc dc tr htr dtr trtr esc edc ehdc".split())
