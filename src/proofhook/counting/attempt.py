"""One way of working a row in one size, and how well it fits what the row states."""

from __future__ import annotations

from itertools import combinations

from proofhook.counting.fabric import Fabric, Run
from proofhook.counting.totals import stitches
from proofhook.counting.worked import Worked
from proofhook.pattern import Group, Repeat, Row, Step, Total, Unit
from proofhook.records import NamedTuple, dataclass, field
from proofhook.text import Span

#: Readings tried for one row: the usual one, then one or two wordings read otherwise.
MAX_READINGS = 30


class UnitResult(NamedTuple):
    """One unit of a total in one size."""

    unit: Unit
    stated: int
    worked: int | None
    agrees: bool | None
    customs: tuple[str, ...]


@dataclass(slots=True)
class Attempt:
    """A row worked in one size from one fabric with one reading.

    ``all_tried`` is False where there was no work left for other readings.
    """

    worked: Worked | None = None
    fabric: Fabric | None = None
    units: list[UnitResult] = field(default_factory=list)
    reason: str = ""
    blame: Span | None = None
    base_known: bool = True
    base_sure: bool = True
    reading: dict[str, int] = field(default_factory=dict)
    asked: dict[str, int] = field(default_factory=dict)
    count: int | None = None
    widths: list[int] = field(default_factory=list)
    all_tried: bool = True

    @property
    def states(self) -> bool:
        """Whether a total is stated."""
        return bool(self.units)

    @property
    def matches(self) -> bool:
        """Whether every unit that can be counted is right, the first among them."""
        if not self.units or self.units[0].agrees is not True:
            return False
        return all(unit.agrees is not False for unit in self.units)

    @property
    def fits(self) -> bool:
        """Whether the row uses the places below, no more and no fewer."""
        worked = self.worked
        if worked is None:
            return False
        leaves = worked.exact and worked.left and not worked.turned
        return not worked.short and worked.remainder is None and not leaves

    @property
    def rank(self) -> tuple[int, int, int]:
        """How well it comes out; more is better."""
        if self.worked is None:
            return (-1, 0, 0)
        return (int(self.matches or not self.states), int(self.fits), -len(self.reading))


def kindred(names: list[str]) -> bool:
    """Whether names stand for one stitch in its forms."""
    return any(name in ("all stitches", "by kind", "as spaces") for name in names)


def only_a_guess(reading: dict[str, int]) -> bool:
    """Readings that only a matching total can justify."""
    return bool(set(reading) - {"implied", "typed", "times in all"})


def readings_of(asked: dict[str, int]) -> list[dict[str, int]]:
    """Other readings of a row: one wording read otherwise, then two at once."""
    single = [
        (key, option) for key, options in sorted(asked.items()) for option in range(1, options)
    ]
    out = [{key: option} for key, option in single]
    out += [{a[0]: a[1], b[0]: b[1]} for a, b in combinations(single, 2) if a[0] != b[0]]
    return out


def totals_of(row: Row) -> list[Total]:
    """The totals of a row."""
    return [step for step in row.steps if isinstance(step, Total)]


def ends_with(steps: tuple[Step, ...], total: Total) -> bool:
    """Whether nothing is worked after this total."""
    from proofhook.pattern import Skip, Work

    seen = False
    for step in steps:
        if step is total:
            seen = True
        elif seen and isinstance(step, (Work, Repeat, Group, Skip)):
            return False
    return True


def main_count(runs: tuple[Run, ...]) -> int:
    """Stitches made, as a total counts them."""
    made = stitches(runs)
    if made:
        return made
    return sum(run.count for run in runs)
