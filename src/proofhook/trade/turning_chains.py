"""Turning chains, the arithmetic of a first row, and flat circles.

Sources: ``turning_chains.toml``, row by row.
"""

from __future__ import annotations

from functools import cache

from proofhook.records import dataclass
from proofhook.trade import table


@dataclass(frozen=True, slots=True)
class TurningChain:
    """The usual turning chain of a stitch.

    ``counts`` is None where sources are divided; ``into`` are the chains from the hook
    that the first stitch of a first row goes into, the usual one first.
    """

    chains: int
    counts: bool | None
    into: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Circle:
    """How a flat circle begins and grows: usual numbers, and the range that sources give."""

    begins: tuple[int, ...]
    least: int
    most: int

    def is_flat(self, stitches: int, round_number: int) -> bool:
        """Whether so many stitches in this round lie flat: within the range, times the round."""
        return self.least * round_number <= stitches <= self.most * round_number


def first_row(chains: int, into: int, *, counts: bool) -> int:
    """Stitches of a first row worked into every chain left.

    The first stitch goes into chain ``into`` from the hook; ``counts`` tells whether the
    skipped chains count as a stitch.  Formula and worked examples: BELLA, HAN68,
    DESIGNCROCHET in sources.toml.
    Raises ValueError where there is no such chain.
    """
    if not 1 <= into <= chains:
        raise ValueError(f"there is no chain {into} from the hook in {chains} chains")
    return chains - (into - 1) + counts


def chains_needed(stitches: int, into: int, *, counts: bool) -> int:
    """The chains to make for a first row of so many stitches."""
    return stitches + (into - 1) - counts


def turning_chain(stitch: str, terms: str) -> TurningChain | None:
    """The usual turning chain of a stitch in "us" or "uk" terms, or None."""
    return _turning().get((terms, stitch))


def circle(stitch: str, terms: str) -> Circle | None:
    """The figures of a flat circle of this stitch in "us" or "uk" terms, or None."""
    return _circles().get((terms, stitch))


@cache
def _turning() -> dict[tuple[str, str], TurningChain]:
    counts = {"yes": True, "no": False, "split": None}
    return {
        (terms, row[terms]): TurningChain(row["chains"], counts[row["counts"]], tuple(row["into"]))
        for row in table("turning_chains")["turning"]
        for terms in ("us", "uk")
    }


@cache
def _circles() -> dict[tuple[str, str], Circle]:
    return {
        (terms, row[terms]): Circle(tuple(row["begins"]), *row["range"])
        for row in table("turning_chains")["circle"]
        for terms in ("us", "uk")
    }
