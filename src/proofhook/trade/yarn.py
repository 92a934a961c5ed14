"""Yarn weights: the Craft Yarn Council's categories, their names and usual hooks.

Sources: ``yarn.toml``, row by row.  The ranges are guidelines, so every edition's figures
are accepted.
"""

from __future__ import annotations

from functools import cache
from typing import Any

from proofhook.expressions import expression
from proofhook.records import dataclass
from proofhook.trade import table

_BLANKS = expression(r"[\s-]+")
_PLY = expression(r"(\d+)\s*-?\s*ply\b")
_WEIGHT_WORD = expression(r"\s+(?:weight|yarn|wool|cotton)$")


@dataclass(frozen=True, slots=True)
class Weight:
    """A category of yarn weight.

    ``hook_mm`` and ``gauge`` hold the widest range that any edition prints; None as the
    greatest hook means that the range is open above.  ``gauge`` counts stitches of
    ``gauge_stitch`` (US) to 4 in (10 cm), 0 as the least meaning "or fewer".
    """

    number: int
    name: str
    names: frozenset[str]
    hook_mm: tuple[float, float | None]
    steel_mm: tuple[float, float] | None
    gauge: tuple[int, int]
    gauge_stitch: str

    def takes_hook(self, mm: float) -> bool:
        """Whether a hook lies in the range of some edition, steel hooks included."""
        low, high = self.hook_mm
        steel = self.steel_mm is not None and self.steel_mm[0] <= mm <= self.steel_mm[1]
        return steel or (low <= mm and (high is None or mm <= high))


@cache
def weights() -> tuple[Weight, ...]:
    """All categories, the finest first."""
    return tuple(_weight(row) for row in table("yarn")["weight"])


def weight(number: int) -> Weight | None:
    """The category of a number, or None where there is no such category."""
    return next((each for each in weights() if each.number == number), None)


def weights_named(words: str) -> tuple[Weight, ...]:
    """Every category in which some source prints yarns of this name.

    "worsted", "DK weight", "4-ply", "Super Bulky yarn"; a name may stand in several, since
    sources disagree.  Empty where the name is not known.
    """
    name = _plain(words)
    return tuple(each for each in weights() if name in each.names)


def agrees(number: int, words: str) -> bool | None:
    """Whether a category's number and a name go together; None where one is not known."""
    known = weights_named(words)
    if weight(number) is None or not known:
        return None
    return any(each.number == number for each in known)


def _weight(row: dict[str, Any]) -> Weight:
    editions = [row, *row.get("editions", ())]
    lows, highs = zip(*(each["hook_mm"] for each in editions), strict=True)
    least, most = zip(*(each["gauge"] for each in editions), strict=True)
    steel = row.get("steel_mm")
    return Weight(
        number=row["number"],
        name=row["name"],
        names=frozenset(_plain(name) for name in (row["name"], *row["us"], *row["uk"], *row["au"])),
        hook_mm=(min(lows), None if 0 in highs else max(highs)),
        steel_mm=(steel[0], steel[1]) if steel else None,
        gauge=(min(least), max(most)),
        gauge_stitch=row["gauge_stitch"],
    )


def _plain(words: str) -> str:
    text = _BLANKS.sub(" ", words.strip().lower())
    text = _PLY.sub(r"\1 ply", text)
    return _WEIGHT_WORD.sub("", text) or text
