"""Rows made up at random that come out even: instructions for the naive counter.

All choices go through ``choose``, so that the same code serves hypothesis (which can
then shrink a row) and a seeded random generator.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import reduce
from math import gcd
from typing import Protocol, TypeVar

from naive_counter import (
    SPACE,
    Along,
    Around,
    Chain,
    FromHook,
    Idle,
    Number,
    Pass,
    Place,
    Several,
    Shell,
    ShellsAlong,
    Stand,
    Step,
    Work,
)

T = TypeVar("T")

#: Rows are kept about as long as those of a hat or a cushion.
SHORTEST, LONGEST = 4, 160


class Choose(Protocol):
    """Takes one of the options; the first is the plainest."""

    def __call__(self, options: Sequence[T], /) -> T: ...


@dataclass(frozen=True, slots=True)
class Manner:
    """How a piece is worked: in rounds or turned rows, in which stitch, after which chain.

    ``counts`` tells whether the turning chain of ``chains`` counts as a stitch.
    """

    in_rounds: bool
    kind: str
    chains: int
    counts: bool
    lace: bool


def size_of(below: Sequence[Sequence[Place]]) -> Number:
    """How many places each size has."""
    return tuple(len(places) for places in below)


def plus(one: Number, other: Number | int) -> Number:
    """Figure by figure."""
    second = (other,) if isinstance(other, int) else other
    width = max(len(one), len(second))
    return tuple(one[i % len(one)] + second[i % len(second)] for i in range(width))


def slim(number: Number) -> Number:
    """One figure where all sizes have the same."""
    return number[:1] if len(set(number)) == 1 else number


def next_row(choose: Choose, below: Sequence[list[Place]], manner: Manner) -> tuple[Step, ...]:
    """A row that uses exactly the places below, in every size."""
    start: tuple[Step, ...] = ()
    if manner.chains:
        start = (Stand(manner.kind, manner.chains),) if manner.counts else (Idle(manner.chains),)
    ordered = [list(places if manner.in_rounds else places[::-1]) for places in below]
    if manner.counts:
        ordered = [places[1:] for places in ordered]
    flat = all(kind != SPACE for places in ordered for kind, _ in places)
    body = _flat(choose, size_of(ordered), manner) if flat else _laced(choose, ordered, manner)
    return start + body


# --- rows into stitches only ----------------------------------------------------------


def _flat(choose: Choose, places: Number, manner: Manner) -> tuple[Step, ...]:
    kind = manner.kind
    ways = ["along", "plain"]
    if max(places) * 2 <= LONGEST:
        ways.append("double")
    step = reduce(gcd, (p - places[0] for p in places), 0)
    units = [n for n in range(2, 11) if n * 2 <= min(places) and step % n == 0]
    if units:
        ways += ["repeat", "repeat", "around", "around", "between", "nested"]
    if min(places) > 4:
        ways.append("last")
    if manner.lace and units:
        ways += ["mesh", "fans"]
    way = choose(ways)
    if way == "along":
        return (Along(kind),)
    if way == "double":
        return (Along(kind, 2),)
    if way == "plain":
        return _plain(choose, places, kind)
    if way == "last":
        keep = choose(range(1, 4))
        return (Along(kind, keep=(keep,)), *_atoms(choose, keep, kind, plain=False))
    unit = choose(units)
    if way in ("mesh", "fans"):
        return _lacy(choose, places, manner, unit, way)
    if way == "nested":
        return _nested(choose, places, kind, unit)
    return _repeated(choose, places, kind, unit, way)


def _plain(choose: Choose, places: Number, kind: str) -> tuple[Step, ...]:
    """Counted out to the end, without a repeat."""
    first = choose(range(1, min(*places, 6)))
    before = _atoms(choose, first, kind)
    return (*before, Work(kind, slim(plus(places, -first))))


def _repeated(choose: Choose, places: Number, kind: str, unit: int, way: str) -> tuple[Step, ...]:
    """A repeat, with some stitches before and after it where it does not come out even alone."""
    over = places[0] % unit
    if way == "between" and (over + unit) < min(places) - unit:
        over += choose((0, unit))
    head = choose(range(over + 1)) if over else 0
    body = _atoms(choose, unit, kind)
    times = slim(tuple((p - over) // unit for p in places))
    again: Step = Several(times, body)
    if way == "around":
        again = Around(body, (over - head,))
    return (
        *_atoms(choose, head, kind, plain=True),
        again,
        *_atoms(choose, over - head, kind, plain=True),
    )


def _nested(choose: Choose, places: Number, kind: str, unit: int) -> tuple[Step, ...]:
    """A repeat in a repeat."""
    over = places[0] % unit
    inner = choose([n for n in range(1, unit) if n * 2 <= unit] or [1])
    times = choose(range(2, unit // inner + 1)) if unit // inner >= 2 else 1
    rest = unit - inner * times
    if times < 2:
        return _repeated(choose, places, kind, unit, "repeat")
    body = (Several((times,), _atoms(choose, inner, kind)), *_atoms(choose, rest, kind, plain=True))
    if len(body) < 2:
        return _repeated(choose, places, kind, unit, "repeat")
    outer = Several(slim(tuple((p - over) // unit for p in places)), body)
    return (outer, *_atoms(choose, over, kind, plain=True))


def _atoms(choose: Choose, places: int, kind: str, plain: bool | None = None) -> tuple[Step, ...]:
    """Single instructions that use so many stitches; ``plain`` ones change nothing."""
    atoms: list[Step] = []
    left = places
    while left:
        options = ["one", "some"]
        if not plain:
            options += ["inc", "inc"]
            options += ["dec", "dec"] if left >= 2 else []
            options += ["three", "pass"] if left >= 3 else ["three"]
        atom, used = _atom(choose, choose(options), left, kind)
        if isinstance(atom, Work) and atoms and _same(atoms[-1], atom):
            before = atoms.pop()
            assert isinstance(before, Work)
            atom = Work(kind, (before.count[0] + atom.count[0],), atom.makes, atom.uses)
        if not (isinstance(atom, Pass) and atoms and isinstance(atoms[-1], Pass)):
            atoms.append(atom)
            left -= used
    return tuple(atoms)


def _same(one: Step, other: Work) -> bool:
    return isinstance(one, Work) and (one.makes, one.uses) == (other.makes, other.uses)


def _atom(choose: Choose, name: str, left: int, kind: str) -> tuple[Step, int]:
    """One instruction and how many stitches it uses."""
    if name == "some":
        count = choose(range(1, left + 1))
        return Work(kind, (count,)), count
    if name == "inc":
        return Work(kind, makes=2), 1
    if name == "three":
        if left >= 3 and choose((True, False)):
            return Work(kind, uses=3), 3
        return Work(kind, makes=3), 1
    if name == "dec":
        return Work(kind, uses=2), 2
    if name == "pass":
        count = choose(range(1, min(left - 1, 3) + 1))
        return Pass((count,)), count
    return Work(kind), 1


# --- lace -----------------------------------------------------------------------------


def _lacy(choose: Choose, places: Number, manner: Manner, unit: int, way: str) -> tuple[Step, ...]:
    """Chain spaces over stitches: a mesh, or fans with a space in the middle.

    A turned row ends in a stitch, since a chain at its end would hang loose.
    """
    kind = manner.kind
    over = places[0] % unit
    if not over and not manner.in_rounds:
        over = unit
    chains = choose(range(1, 6))
    if way == "mesh" and unit >= 2:
        solid = choose(range(1, unit))
        body: tuple[Step, ...] = (Work(kind, (solid,)), Chain(chains), Pass((unit - solid,)))
    else:
        many = choose((1, 2, 3))
        body = (Shell(((kind, many), ("ch", chains), (kind, many))), Pass((unit - 1,)))
    tail = _atoms(choose, over, kind, plain=True)
    if choose((True, False)):
        return (Around(body, (over,)), *tail)
    return (Several(slim(tuple((p - over) // unit for p in places)), body), *tail)


def _laced(choose: Choose, below: Sequence[list[Place]], manner: Manner) -> tuple[Step, ...]:
    """A row over stitches and chain spaces."""
    kind = manner.kind
    lengths = {chains for places in below for what, chains in places if what == SPACE}
    ways = ["each", "all"]
    most = max(len(places) for places in below)
    if len(lengths) == 1:
        ways += ["spaces", "walk"] if most * 3 <= LONGEST else ["walk"]
        if most * 4 <= LONGEST:
            ways.append("shells")
    way = choose(ways)
    length = min(lengths)
    if way == "each":
        return (Along(kind, 1, 1),)
    if way == "all":
        return (Along(kind, 1, choose((2, 3))),)
    if way == "spaces":
        return (Along(kind, 0, choose((2, 3, 4))),)
    if way == "shells":
        many = choose((1, 2))
        return (
            ShellsAlong(Shell(((kind, many), ("ch", choose((1, 2, 3))), (kind, many)), length)),
        )
    return _walk(choose, below, kind)


def _walk(choose: Choose, below: Sequence[list[Place]], kind: str) -> tuple[Step, ...]:
    """Place by place, the repeat of the row below followed where there is one."""
    in_space = choose((1, 2, 3))
    for start in (0, 1, 2):
        for width in range(2, 9):
            if all(_periodic(places, start, width) for places in below):
                head = _spelled(below[0][:start], kind, in_space)
                body = _spelled(below[0][start : start + width], kind, in_space)
                if len({len(places) for places in below}) == 1 and choose((True, False)):
                    times = (len(below[0]) - start) // width
                    return (*head, Several((times,), body))
                return (*head, Around(body))
    return (Along(kind, 1, in_space),)


def _periodic(places: Sequence[Place], start: int, width: int) -> bool:
    rest = places[start:]
    if len(rest) < 2 * width or len(rest) % width or rest[0][0] == SPACE:
        return False
    shape = [p[1] for p in rest]
    return any(shape[:width]) and shape == shape[:width] * (len(shape) // width)


def _spelled(places: Sequence[Place], kind: str, in_space: int) -> tuple[Step, ...]:
    """One stitch in each stitch, so many in each space, in words for each run of them."""
    steps: list[Step] = []
    run = 0
    for what, chains in places:
        if what != SPACE:
            run += 1
            continue
        if run:
            steps.append(Work(kind, (run,)))
        run = 0
        steps.append(Work(kind, makes=in_space, space=chains))
    if run:
        steps.append(Work(kind, (run,)))
    return tuple(steps)


# --- first rows -----------------------------------------------------------------------


def ring_round(manner: Manner, stitches: Number) -> tuple[Step, ...]:
    """A first round in a ring, with its turning chain."""
    if not manner.chains:
        return (Work(manner.kind, slim(stitches)),)
    if not manner.counts:
        return (Idle(manner.chains), Work(manner.kind, slim(stitches)))
    return (Stand(manner.kind, manner.chains), Work(manner.kind, slim(plus(stitches, -1))))


def first_row(manner: Manner) -> tuple[int, tuple[Step, ...]]:
    """A first row into a foundation chain: how many chains more than stitches, and the row."""
    nth = {"sc": 1, "hdc": 2, "dc": 3, "tr": 4}[manner.kind] + 1
    counts_as = manner.kind if manner.counts else ""
    return nth - 1 - manner.counts, (FromHook(nth, counts_as), Along(manner.kind))
