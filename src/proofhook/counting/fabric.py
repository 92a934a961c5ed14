"""The fabric: what a row leaves for the next one to work into.

A row leaves an ordered list of *places*: stitches, chain spaces with their length, a
ring, a foundation chain.  It is kept run-length encoded, so a 300-stitch row is a few
items, and spread out only where spaces or groups make the order matter.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING

from proofhook.records import NamedTuple

if TYPE_CHECKING:
    from proofhook.pattern import What

#: No row that a person works is longer; larger figures are refused, not worked.
MAX_PLACES = 20_000

SPACE = "sp"
CHAIN = "ch"
RING = "ring"
SLIP = "sl st"
PICOT = "picot"


class Run(NamedTuple):
    """``count`` places of one kind, one after another.

    ``kind`` is the stitch as counted, "sp" for a chain space of ``length`` chains, "ch"
    for chains of a foundation, or "ring".  ``name`` is the stitch as named, where that is
    another one; ``group`` numbers stitches that were worked together in one place and
    ``of`` names that group.  ``turning`` marks a turning chain that counts.
    """

    kind: str
    count: int = 1  # type: ignore[assignment]  # the field is meant, not tuple.count
    length: int = 0
    name: str = ""
    group: int = 0
    of: str = ""
    turning: bool = False


class StitchIndex:
    """Where the stitches lie among the places of runs, in order; the others are spaces."""

    __slots__ = ("_before", "_runs", "_starts")

    def __init__(self, runs: Sequence[Run]) -> None:
        self._runs = runs
        self._starts: list[int] = []
        self._before: list[int] = []
        at = stitches = 0
        for run in runs:
            self._starts.append(at)
            self._before.append(stitches)
            at += run.count
            if run.kind != SPACE:
                stitches += run.count

    def before(self, at: int) -> int:
        """How many stitches lie before a place."""
        index = bisect_right(self._starts, at) - 1
        if index < 0:
            return 0
        run, into = self._runs[index], at - self._starts[index]
        return self._before[index] + (0 if run.kind == SPACE else min(into, run.count))

    def place_of(self, number: int) -> int:
        """The place of a stitch by its number from 0; there must be so many."""
        index = bisect_right(self._before, number) - 1
        return self._starts[index] + number - self._before[index]


class Fabric:
    """The places of a row, in the order in which they were made; never changed once made.

    ``turned`` tells that the next row runs over them backwards.  ``chain`` is a
    starting chain already made for the next row, in chains.  ``loose`` marks a fabric of
    which only the counts are known, not the order.  ``at_space`` tells that a round was
    closed by a stitch in place of chains, so that the next begins in that last space.
    ``stitches`` and ``spaces`` are how many places are which, ``lengths`` the chains of these
    spaces; ``plain`` tells that all
    places are stitches, so that only their number matters.
    """

    __slots__ = (
        "_places",
        "_stitch_index",
        "at_space",
        "chain",
        "in_round",
        "is_chain",
        "is_ring",
        "lengths",
        "loose",
        "plain",
        "runs",
        "spaces",
        "stitches",
        "turned",
    )  # fmt: skip

    def __init__(
        self,
        runs: tuple[Run, ...],
        turned: bool = False,
        chain: int = 0,
        loose: bool = False,
        in_round: bool = False,
        at_space: bool = False,
    ) -> None:
        self.runs = runs
        self.turned = turned
        self.chain = chain
        self.loose = loose
        self.in_round = in_round
        self.at_space = at_space
        self.spaces = self.stitches = 0
        self.lengths: set[int] = set()
        for run in runs:
            if run.kind == SPACE:
                self.spaces += run.count
                self.lengths.add(run.length)
            else:
                self.stitches += run.count
        self.is_ring = len(runs) == 1 and runs[0].kind == RING
        self.is_chain = len(runs) == 1 and runs[0].kind == CHAIN
        self.plain = not self.spaces and not self.is_ring
        self._places: tuple[Run, ...] | None = None
        self._stitch_index: StitchIndex | None = None

    @property
    def shelled(self) -> bool:
        """Whether groups stand among single stitches, so that it matters which is which."""
        grouped = {run.kind for run in self.runs if run.group}
        return bool(grouped) and any(not r.group and r.kind not in grouped for r in self.runs)

    @property
    def places(self) -> tuple[Run, ...]:
        """Every place by itself, in working order for the next row."""
        if self._places is None:
            spread: list[Run] = []
            for run in self.runs:
                spread += [run if run.count == 1 else run._replace(count=1)] * run.count
            self._places = tuple(reversed(spread)) if self.turned else tuple(spread)
        return self._places

    @property
    def stitch_index(self) -> StitchIndex:
        """Where the stitches lie among the places."""
        if self._stitch_index is None:
            self._stitch_index = StitchIndex(in_order(self))
        return self._stitch_index

    def forget_places(self) -> None:
        """Let go of the places, which are many; they are spread out anew when asked for."""
        self._places = self._stitch_index = None

    def key(self) -> tuple[object, ...]:
        """What makes two fabrics the same for the row that is worked into them."""
        return (self.runs, self.turned, self.chain, self.loose, self.in_round, self.at_space)


def merged(runs: Iterable[Run]) -> tuple[Run, ...]:
    """The runs with like neighbours made one."""
    out: list[Run] = []
    for run in runs:
        if run.count <= 0:
            continue
        if out and not run.group and out[-1][2:] == run[2:] and out[-1].kind == run.kind:
            out[-1] = out[-1]._replace(count=out[-1].count + run.count)
        else:
            out.append(run)
    return tuple(out)


def with_begun_group(runs: tuple[Run, ...]) -> tuple[Run, ...]:
    """A starting chain and what follows it, taken for a group where they make one up.

    "Ch 4, dc in first sc" at the start of a row of V-stitches is the first V-stitch.
    """
    names = {run.of for run in runs if run.of and run.of != "group"}
    start = next((i for i, r in enumerate(runs) if r.turning and not r.group), None)
    if not names or start is None:
        return runs
    for name in sorted(names):
        first = next(run.group for run in runs if run.of == name)
        shape = [(r.kind, r.length) for r in runs if r.group == first for _ in range(r.count)]
        lead: list[Run] = []
        for run in runs[start : start + len(shape)]:
            if run.group:
                break
            lead += [run._replace(count=1)] * min(run.count, len(shape) + 1)
        if [(r.kind, r.length) for r in lead] == shape:
            tagged = tuple(r._replace(group=-1, of=name) for r in lead)
            rest = runs[start:]
            used = 0
            while used < len(rest) and sum(r.count for r in rest[:used]) < len(shape):
                used += 1
            return (*runs[:start], *tagged, *rest[used:])
    return runs


def of_stitches(count: int, kind: str = "st") -> Fabric:
    """A fabric of which only the number of stitches is known."""
    return Fabric((Run(kind, count),))


def ring(chains: int = 0) -> Fabric:
    """A ring; one that was made of so many chains may be worked into chain by chain."""
    return Fabric((Run(RING, 1, chains),), in_round=True)


RING_FABRIC = Fabric((Run(RING),), in_round=True)


def stitches_in(runs: Sequence[Run]) -> int:
    """How many of the places are stitches that count."""
    return sum(run.count for run in runs if run.kind not in (SPACE, SLIP, PICOT))


def is_kind(place: Run, name: str) -> bool:
    """Whether a place is a stitch of that kind, name or group."""
    if place.kind == SPACE:
        return "sp" in name
    return name in (place.kind, place.name, place.of) or place.kind == "st" or name == "st"


def is_of(place: Run, what: What) -> bool:
    """Whether a place is what an "each" names."""
    if place.kind == SPACE:
        return what.name == "ch" or ("sp" in what.name and what.length in (None, place.length))
    return "sp" not in what.name and what.name != "ch" and is_kind(place, what.name)


def in_order(fabric: Fabric) -> tuple[Run, ...]:
    """The runs in working order for the next row."""
    return tuple(reversed(fabric.runs)) if fabric.turned else fabric.runs
