"""What was worked before: for a text that is worked again and again while it is written.

A row that says the same, on the same fabric, under the same customs, comes out the same.
What came of it is found again by all that the working of a row looks at; places are
counted from the beginning of the row, so that it does not matter where that has moved to.
Whoever works a text once needs none of this.
"""

from __future__ import annotations

from collections.abc import Hashable, Iterable
from itertools import count
from typing import TYPE_CHECKING, NamedTuple

from proofhook.counting.attempt import Attempt
from proofhook.counting.customs import Case, Customs
from proofhook.counting.effort import Spent
from proofhook.counting.fabric import Fabric
from proofhook.counting.result import RowTally, Verdict
from proofhook.counting.worked import ChainRule
from proofhook.pattern import Row
from proofhook.text import Span

if TYPE_CHECKING:
    from proofhook.counting.rows import PieceRun

#: What does not fit in a row: kind, place, words.
Misfit = tuple[str, Span, str]


class Outcome(NamedTuple):
    """What came of a row in one size.

    ``bases`` are the fabrics that the next row may stand on, ``cases`` the silent customs
    that were met, ``spent`` the work that it took; ``number`` is that of no other outcome.
    """

    attempt: Attempt
    verdict: Verdict
    problems: tuple[Misfit, ...]
    bases: tuple[tuple[Fabric, bool], ...]
    cases: dict[Case, ChainRule]
    spent: Spent
    number: int


class Part(NamedTuple):
    """What came of a piece: its customs, its runs, one a size, and the verdicts on its rows.

    ``behind`` is the number of all pieces before it, 0 where it looks at none of them.
    """

    customs: Customs
    runs: list[PieceRun]
    rows: tuple[RowTally, ...]
    spent: Spent
    behind: int


class Shelf:
    """What the last two workings of something took; what neither of them needed is forgotten."""

    __slots__ = ("_now", "_then")

    #: Numbers for values; no number is given twice, on whatever shelf.
    _count = count(1)

    def __init__(self) -> None:
        self._now: dict[Hashable, object] = {}
        self._then: dict[Hashable, object] = {}

    def begin(self) -> None:
        """Another working begins."""
        self._then, self._now = self._now, {}

    def number(self, value: Hashable) -> int:
        """A number for a value: that of an equal one, or a new one."""
        known = self.found(value)
        if known is None:
            known = self._now[value] = self.new_number()
        assert isinstance(known, int)
        return known

    def new_number(self) -> int:
        """A number that no value has."""
        return next(self._count)

    def found(self, key: Hashable) -> object:
        """What was put there, None where there is nothing (any more)."""
        found = self._now.get(key)
        if found is None:
            found = self._then.get(key)
            if found is not None:
                self._now[key] = found
        return found

    def put(self, key: Hashable, value: object) -> None:
        """Keep something that is asked for by an equal key."""
        self._now[key] = value


class PieceKept(Shelf):
    """The rows of one piece as they were worked in the last two of its workings."""

    __slots__ = ("_whole",)

    def __init__(self, whole: Kept) -> None:
        super().__init__()
        self._whole = whole

    def row_number(self, row: Row) -> int:
        """A number for all that a row says, wherever it stands."""
        return self._whole.row_number(row)

    def outcome(self, key: Hashable) -> Outcome | None:
        """What came of a row before."""
        found = self.found(("outcome", key))
        assert found is None or isinstance(found, Outcome)
        return found

    def keep_outcome(self, key: Hashable, outcome: Outcome) -> None:
        """Keep what came of a row."""
        self.put(("outcome", key), outcome)

    def tallied(self, key: Hashable) -> RowTally | None:
        """The verdict on a row before, at its place of then."""
        found = self.found(("tallied", key))
        assert found is None or isinstance(found, RowTally)
        return found

    def keep_tallied(self, key: Hashable, tallied: RowTally) -> None:
        """Keep the verdict on a row."""
        self.put(("tallied", key), tallied)


class Kept(Shelf):
    """The pieces of a text as they were worked in its last two tallies."""

    __slots__ = ("_numbers", "_pieces")

    def __init__(self) -> None:
        super().__init__()
        self._numbers: dict[int, int] = {}
        self._pieces: dict[Hashable, PieceKept] = {}

    def begin(self) -> None:
        """Another tally begins."""
        super().begin()
        self._numbers = {}

    def end(self, names: Iterable[Hashable]) -> None:
        """The tally is done; pieces of other names are forgotten."""
        self._pieces = {name: self.piece(name) for name in names}

    def piece(self, name: Hashable) -> PieceKept:
        """The rows of a piece, which is known by its name."""
        return self._pieces.get(name) or self._pieces.setdefault(name, PieceKept(self))

    def row_number(self, row: Row) -> int:
        """A number for all that a row says, wherever it stands.

        The row must live as long as the tally: it is told by identity the second time.
        """
        known = self._numbers.get(id(row))
        if known is None:
            label = row.label
            says = label and (label.kind, label.first, label.last, label.rows, label.open_end)
            length = row.body.end - row.body.start
            known = self.number(("row", row.steps, says, length, row.sizes, row.detached))
            self._numbers[id(row)] = known
        return known

    def part(self, key: Hashable) -> Part | None:
        """What came of a piece before."""
        found = self.found(("part", key))
        assert found is None or isinstance(found, Part)
        return found

    def keep_part(self, key: Hashable, part: Part) -> None:
        """Keep what came of a piece."""
        self.put(("part", key), part)
