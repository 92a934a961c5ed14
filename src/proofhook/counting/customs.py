"""The customs of a pattern: do its turning chains count, and what is part of its totals?

What the pattern says in words wins.  Where it is silent, the customs that make the
stated totals true are inferred for each piece; ``Customs`` is one such assumption.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import product
from typing import TypeGuard

from proofhook.counting.overview import walk
from proofhook.counting.worked import ChainRule
from proofhook.pattern import (
    Chain,
    Group,
    Note,
    Pattern,
    Piece,
    Place,
    Repeat,
    Step,
    Turn,
    Which,
    Work,
)
from proofhook.records import dataclass, replace
from proofhook.trade.stitches import turning_chain

#: A silent case: chains (negative: skipped at the foundation) before a stitch.
Case = tuple[int, str]


@dataclass(frozen=True, slots=True)
class Customs:
    """One assumption for a piece.

    ``flipped`` are the silent cases taken against the usual custom.  ``slips``,
    ``chains`` and ``spaces`` tell whether plain totals include slip stitches, single
    chains, or chain spaces.
    """

    flipped: frozenset[Case] = frozenset()
    slips: bool = False
    chains: bool = False
    spaces: bool = False

    def with_total(self, name: str) -> Customs:
        """The same, with one of ``slips``, ``chains`` and ``spaces`` in plain totals."""
        return replace(
            self,
            slips=self.slips or name == "slips",
            chains=self.chains or name == "chains",
            spaces=self.spaces or name == "spaces",
        )


class Sayings:
    """What a pattern says about its chains, for one piece: in its notes and in its rows."""

    def __init__(
        self, pattern: Pattern, piece: Piece, said_everywhere: dict[int, ChainRule]
    ) -> None:
        self.terms = pattern.terms
        self._said: dict[int, ChainRule] = {}
        for custom in pattern.customs:
            if not custom.piece:
                self._said[custom.length] = ChainRule(custom.counts, custom.counts_as, custom.space)
        for length, rule in said_everywhere.items():
            self._said.setdefault(length, rule)
        for custom in pattern.customs:
            if custom.piece and custom.piece == piece.name:
                self._said[custom.length] = ChainRule(custom.counts, custom.counts_as, custom.space)
        self._said.update(said_in_rows((piece,)))
        tiles = filter(None, map(tile_chain, pattern.pieces))
        self.tile = next((tile for tile in tiles if works_tiles(piece, tile)), 0)
        if self.tile:
            self._said[self.tile] = ChainRule(False, "", self.tile)

    @property
    def said(self) -> tuple[tuple[int, ChainRule], ...]:
        """All that is said, by the number of chains."""
        return tuple(sorted(self._said.items()))

    def rule(self, chains: int, stitch: str, customs: Customs) -> ChainRule:
        """How a chain before a stitch is taken; ``chains`` negative: skipped at the foundation."""
        said = self._said.get(chains)
        if said is None and 0 in self._said and chains > 0:
            said = self._said[0]
        if said is not None and chains > 0:
            height = turning_chain(said.stitch or stitch, self.terms)
            space = said.space
            if (
                said.counts
                and not space
                and said.stitch
                and height is not None
                and 3 <= height < chains
            ):
                space = chains - height
            return ChainRule(said.counts, said.stitch or stitch, space)
        usual = usual_rule(chains, stitch, self.terms)
        if chains < 0:
            related = self._said.get(-chains)
            if related is not None and related.space and not related.counts:
                return related
            if related is not None and -chains == (turning_chain(stitch, self.terms) or 0):
                usual = replace(usual, counts=related.counts)
        if (chains, stitch) in customs.flipped:
            counts = not usual.counts
            return replace(usual, counts=counts, space=usual.space if counts else 0, said=False)
        return usual


def usual_rule(chains: int, stitch: str, terms: str) -> ChainRule:
    """The usual custom where a pattern is silent.

    Source: turning_chains.toml (one chain never counts; three for a US double count; two
    are split about evenly and taken as not counted at the start of a row).
    """
    height = turning_chain(stitch, terms) or 1
    number = abs(chains)
    if number <= 1:
        return ChainRule(False, stitch, 0, said=True)
    if number > height >= 2:
        over = number - height
        if chains < 0:
            # A mesh passes over as many chains below as its first space has above.
            over = over // 2 if over % 2 == 0 and height > 2 else over
            return ChainRule(True, stitch, over if over > 1 or height > 2 else 0, said=False)
        return ChainRule(True, stitch, over, said=False)
    if number >= height >= 3:
        return ChainRule(True, stitch, 0, said=False)
    if chains < 0 and number == height == 2:
        return ChainRule(True, stitch, 0, said=False)
    if number == 3 and height > 3:
        return ChainRule(True, stitch, 0, said=False)
    return ChainRule(False, stitch, 0, said=False)


def said_in_rows(pieces: tuple[Piece, ...]) -> dict[int, ChainRule]:
    """What rows say of their own chains; lengths that rows say both ways are left out."""
    said: dict[int, ChainRule] = {}
    torn: set[int] = set()
    for piece in pieces:
        for row in piece.rows:
            for step in _chains(row.steps):
                if step.counts is None or step.count == (0,) or len(step.count) > 1:
                    continue
                rule = ChainRule(step.counts, step.counts_as, step.space)
                length = step.count[0]
                if length in said and said[length].counts != rule.counts:
                    torn.add(length)
                said.setdefault(length, rule)
    return {length: rule for length, rule in said.items() if length not in torn}


def tile_chain(piece: Piece) -> int:
    """The chains of a corner-to-corner tile that are a space for the next one; 0 where none.

    Such a piece begins each of its first rows with "ch 6, dc in 4th ch from hook and next 2
    ch": a tile on a few chains of its own, beside spaces of the row below (common practice).
    """
    for row in piece.rows[1:]:
        steps = (s for step in row.steps for s in (step.steps if _has_name(step) else (step,)))
        match tuple(step for step in steps if not isinstance(step, (Note, Turn))):
            case (Chain(count=(chains,)), Work(place=Place(which=Which.HOOK, nth=nth)), *rest):
                if 2 <= nth - 1 < chains - nth + 2 <= 5 and any(map(_into_space, rest)):
                    return nth - 1
    return 0


def _has_name(step: Step) -> TypeGuard[Group]:
    """Whether a step is one that the pattern gives a name: "beg block"."""
    return isinstance(step, Group) and bool(step.name)


def works_tiles(piece: Piece, chain: int) -> bool:
    """Whether a piece works "sl st in ch-3 sp, ch 3, 3 dc in same sp" somewhere."""
    for row in piece.rows:
        steps = walk(row.steps)
        for before, step, after in zip(steps, steps[1:], steps[2:], strict=False):
            slips = isinstance(before, Work) and before.stitch.role == "slip"
            if slips and isinstance(step, Chain) and step.count == (chain,):
                if isinstance(after, Work) and (after.place is None or after.count != (1,)):
                    return True
    return False


def _into_space(step: Step) -> bool:
    """Whether something is worked into a chain space."""
    if isinstance(step, (Work, Group)) and step.place is not None:
        return any("sp" in what.name for what in step.place.whats)
    return isinstance(step, Repeat) and any(map(_into_space, step.steps))


def _chains(steps: tuple[Step, ...]) -> Iterator[Chain]:
    for step in steps:
        if isinstance(step, Chain):
            yield step
        elif isinstance(step, (Group, Repeat)):
            yield from _chains(step.steps)


def candidates(cases: set[Case], totals: set[str]) -> Iterator[Customs]:
    """Other assumptions to try, the least unusual first.

    ``cases`` are the silent cases that were met, ``totals`` the customs of counting
    ("slips", "chains", "spaces") that would make some total right.
    """
    ordered = sorted(cases)[:4]
    flips = [
        frozenset(case for case, flip in zip(ordered, chosen, strict=True) if flip)
        for chosen in product((False, True), repeat=len(ordered))
    ]
    flips.sort(key=len)
    for name in ("", *sorted(totals)):
        for flipped in flips:
            if not flipped and not name:
                continue
            customs = Customs(flipped)
            yield customs.with_total(name) if name else customs
