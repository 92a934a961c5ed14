"""Whole patterns made up at random, with what every row leaves by the naive counter."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from made_rows import (
    LONGEST,
    SHORTEST,
    Choose,
    Manner,
    first_row,
    next_row,
    ring_round,
    slim,
)
from naive_counter import (
    SPACE,
    Along,
    Idle,
    Number,
    Place,
    Stand,
    Step,
    UnevenError,
    chain,
    kinds,
    stitch_count,
    work_row,
)

#: A unit of a total: its figure in every size, and what is counted.
StatedUnit = tuple[Number, str]


@dataclass(frozen=True, slots=True)
class MadeRow:
    """A row: its number (to ``last``), its steps or the row it repeats, and what it leaves.

    ``below`` and ``places`` hold one list a size; ``stated`` the units of its total, none
    where it states none.  What is counted is "", "st", a stitch, or "ch-2 sp".
    """

    first: int
    last: int
    steps: tuple[Step, ...]
    below: tuple[list[Place] | None, ...]
    places: tuple[list[Place], ...]
    stated: tuple[StatedUnit, ...] = ()
    again: int = 0

    @property
    def worked(self) -> Number:
        """The figure of the first unit, or the stitches where no total is stated, in every size."""
        if self.stated:
            return counted(self.places, self.stated[0][1])
        return counted(self.places, "st")


@dataclass(frozen=True, slots=True)
class MadePiece:
    """A piece: how it is worked, the chains it begins with (none: a ring), its rows."""

    name: str
    manner: Manner
    foundation: Number
    rows: tuple[MadeRow, ...]


@dataclass(frozen=True, slots=True)
class MadePattern:
    """A pattern: pieces, for so many sizes."""

    sizes: int
    pieces: tuple[MadePiece, ...]

    @property
    def rows(self) -> tuple[MadeRow, ...]:
        """All rows in the order of the text."""
        return tuple(row for piece in self.pieces for row in piece.rows)

    def with_figure(self, index: int, unit: int, figure: Number) -> MadePattern:
        """The pattern with one stated figure changed."""
        pieces: list[MadePiece] = []
        for piece in self.pieces:
            rows = list(piece.rows)
            if 0 <= index < len(rows):
                stated = list(rows[index].stated)
                stated[unit] = (figure, stated[unit][1])
                rows[index] = replace(rows[index], stated=tuple(stated))
            index -= len(rows)
            pieces.append(replace(piece, rows=tuple(rows)))
        return replace(self, pieces=tuple(pieces))


def counted(places: Sequence[Sequence[Place]], what: str) -> Number:
    """How many there are of what a unit counts, in every size."""
    if what in ("", "st"):
        return tuple(stitch_count(each) for each in places)
    if what.endswith(" sp"):
        length = int(what.removeprefix("ch-").removesuffix(" sp"))
        return tuple(kinds(each)[(SPACE, length)] for each in places)
    return tuple(kinds(each)[(what, 0)] for each in places)


NAMES = ("JUG", "SAUCER", "LID", "HANDLE", "SPOUT", "BASE")


def make_pattern(choose: Choose, most: int = 6) -> MadePattern:
    """A pattern of one or two pieces of up to ``most`` rows and one, for one size or several."""
    sizes = choose((1, 1, 1, 1, 2, 3, 4))
    pieces = choose((1, 1, 2))
    return MadePattern(
        sizes, tuple(make_piece(choose, NAMES[n], sizes, most) for n in range(pieces))
    )


def make_manner(choose: Choose) -> Manner:
    """How a piece is worked."""
    in_rounds = choose((True, False))
    kind = choose(("sc", "sc", "sc", "hdc", "dc", "dc", "tr"))
    chains, counts = 0, False
    if kind in ("dc", "tr"):
        chains = 3 if kind == "dc" else 4
        counts = choose((True, False))
    elif not in_rounds or choose((False, True)):
        chains = 1 if kind == "sc" else 2
    lace = choose((False, False, True)) and kind != "sc"
    return Manner(in_rounds, kind, chains, counts, lace)


def make_piece(choose: Choose, name: str, sizes: int, most: int) -> MadePiece:
    """A piece that begins in a ring or with a chain, and goes on for some rows."""
    manner = make_manner(choose)
    start = choose((6, 8, 12, 10, 16, 5, 7, 9, 18, 24))
    step = choose((2, 4, 6, 1, 3)) if sizes > 1 else 0
    stitches = tuple(start + step * size for size in range(sizes))
    below: tuple[list[Place] | None, ...]
    if manner.in_rounds:
        foundation: Number = ()
        steps: tuple[Step, ...] = ring_round(manner, stitches)
        below = (None,) * sizes
    else:
        more, steps = first_row(manner)
        foundation = slim(tuple(count + more for count in stitches))
        below = tuple(chain(count + more) for count in stitches)
    rows = [worked_out(choose, MadeRow(1, 1, steps, below, ()), manner)]
    for _ in range(choose(range(1, most + 1))):
        rows.append(next_made_row(choose, rows, manner))
    return MadePiece(name, manner, foundation, tuple(rows))


def next_made_row(choose: Choose, rows: Sequence[MadeRow], manner: Manner) -> MadeRow:
    """A further row: a new one, several even ones, or an earlier one once more."""
    number, below = rows[-1].last + 1, rows[-1].places
    spaces = lengths_of(below)
    earlier = [
        row
        for row in rows[1:]
        if not row.again and row.first == row.last and lengths_of(row.below) == spaces
    ]
    if earlier and choose(range(5)) == 4:
        chosen, last = choose(earlier), number + choose((0, 0, 1, 2))
        again = MadeRow(number, last, chosen.steps, below, (), again=chosen.first)
        if (row := _if_even(choose, again, manner)) is not None:
            return row
    steps = next_row(choose, below, manner)
    even = all(not isinstance(s, Along) or (s.in_stitch, s.in_space) == (1, 0) for s in steps)
    flat = even and isinstance(steps[-1], Along)
    last = number + (choose((0, 0, 0, 1, 3)) if flat else 0)
    if (row := _if_even(choose, MadeRow(number, last, steps, below, ()), manner)) is not None:
        return row
    start = tuple(step for step in steps if isinstance(step, Stand | Idle))
    plain = (*start, Along(manner.kind, 1, int(bool(spaces))))
    return worked_out(choose, MadeRow(number, number, plain, below, ()), manner)


def _if_even(choose: Choose, row: MadeRow, manner: Manner) -> MadeRow | None:
    try:
        return worked_out(choose, row, manner)
    except UnevenError:
        return None


def lengths_of(below: Sequence[Sequence[Place] | None]) -> set[int]:
    """The lengths of the chain spaces of a row, by which they are named."""
    return {chains for places in below for what, chains in places or () if what == SPACE}


def worked_out(choose: Choose, row: MadeRow, manner: Manner) -> MadeRow:
    """The row with what it leaves, and with a total chosen for it.

    Raises UnevenError where it does not come out even, or is too short or too long.
    """
    places: list[list[Place]] = []
    for size, under in enumerate(row.below):
        made = under
        for _ in range(row.last - row.first + 1):
            turned = not manner.in_rounds and row.first > 1
            made = work_row(row.steps, made, size, turned)
            if not SHORTEST <= len(made) <= LONGEST:
                raise UnevenError("too short or too long")
        assert made is not None
        places.append(made)
    units = choose(_totals(places, manner))
    stated = tuple((slim(counted(places, what)), what) for what in units)
    return replace(row, places=tuple(places), stated=stated)


def _totals(places: Sequence[Sequence[Place]], manner: Manner) -> list[tuple[str, ...]]:
    """Which units a total may state."""
    lengths = sorted(lengths_of(places))
    if not lengths:
        return [("st",), ("st",), ("",), (manner.kind,), ()]
    spaces = tuple(f"ch-{length} sp" for length in lengths)
    return [("st", *spaces), (manner.kind, *spaces), ()]
