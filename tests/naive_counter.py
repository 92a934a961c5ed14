"""A second stitch counter, deliberately naive, to check the real one against.

A row is a nested list of instructions.  Every repeat is gone through pass by pass, every
place of the row below is taken off a list one by one, and every stitch and every single
chain is put on a list one by one.  It shares no code with the program.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TypeAlias

#: A figure for each size, or one for all.
Number: TypeAlias = tuple[int, ...]
#: What can be worked into: a stitch ("dc", 0), or a chain space of two chains ("sp", 2).
Place: TypeAlias = tuple[str, int]

SPACE, CHAIN = "sp", "ch"


class UnevenError(Exception):
    """The row does not use up exactly the places of the row below."""


@dataclass(frozen=True, slots=True)
class Work:
    """``count`` times: ``makes`` stitches of a kind, over ``uses`` places together.

    With ``space`` they go into the next chain space of so many chains, else into stitches.
    """

    kind: str
    count: Number = (1,)
    makes: int = 1
    uses: int = 1
    space: int = 0


@dataclass(frozen=True, slots=True)
class Chain:
    """So many chains."""

    count: int


@dataclass(frozen=True, slots=True)
class Pass:
    """So many stitches passed over."""

    count: Number


@dataclass(frozen=True, slots=True)
class Shell:
    """A group worked in one place: stitches, and chains (kind "ch")."""

    parts: tuple[tuple[str, int], ...]
    space: int = 0


@dataclass(frozen=True, slots=True)
class Several:
    """The body so many times."""

    times: Number
    body: tuple[Step, ...]


@dataclass(frozen=True, slots=True)
class Around:
    """The body again and again, until no more than ``keep`` places are left."""

    body: tuple[Step, ...]
    keep: Number = (0,)


@dataclass(frozen=True, slots=True)
class Along:
    """``in_stitch`` stitches in every stitch, ``in_space`` in every space, to the last ``keep``."""

    kind: str
    in_stitch: int = 1
    in_space: int = 0
    keep: Number = (0,)


@dataclass(frozen=True, slots=True)
class ShellsAlong:
    """A group in every chain space."""

    shell: Shell


@dataclass(frozen=True, slots=True)
class Stand:
    """A turning chain that counts as a stitch, and as a space of ``space`` chains after it."""

    kind: str
    chains: int
    space: int = 0


@dataclass(frozen=True, slots=True)
class Idle:
    """A turning chain that counts for nothing."""

    chains: int


@dataclass(frozen=True, slots=True)
class FromHook:
    """The first stitch goes into this chain from the hook; those passed over may count as one."""

    nth: int
    counts_as: str = ""


Step: TypeAlias = (
    Work | Chain | Pass | Shell | Several | Around | Along | ShellsAlong | Stand | Idle | FromHook
)


def at(number: Number, size: int) -> int:
    """The figure for one size."""
    return number[size] if len(number) > 1 else number[0]


@dataclass(slots=True)
class Hands:
    """The places still to be worked into (None: a ring, which takes all) and what is made."""

    left: list[Place] | None
    size: int
    made: list[str]

    def take(self, space: int = 0) -> None:
        """Take the next stitch, or the next space of so many chains; pass over the others."""
        if self.left is None:
            return
        while self.left:
            kind, chains = self.left.pop(0)
            if (kind == SPACE) == bool(space) and chains == space:
                return
        raise UnevenError("no such place is left")

    def work(self, steps: Sequence[Step]) -> None:
        """Work one instruction after another."""
        for step in steps:
            self.step(step)

    def step(self, step: Step) -> None:
        """Work one instruction."""
        match step:
            case Work():
                self.stitches(step)
            case Chain():
                self.made += [CHAIN] * step.count
            case Pass():
                for _ in range(at(step.count, self.size)):
                    self.take()
            case Several():
                for _ in range(at(step.times, self.size)):
                    self.work(step.body)
            case Around():
                while self.places() > at(step.keep, self.size):
                    self.work(step.body)
            case Shell() | Along() | ShellsAlong():
                self.lace(step)
            case Stand() | Idle() | FromHook():
                self.start(step)

    def lace(self, step: Shell | Along | ShellsAlong) -> None:
        """A group in one place, or something in every place of a kind."""
        if isinstance(step, Along):
            self.along(step)
        elif isinstance(step, Shell):
            self.take(step.space)
            for kind, count in step.parts:
                self.made += [kind] * count
        else:
            while any(kind == SPACE for kind, _ in self.left or ()):
                self.lace(step.shell)
            self.left = []

    def start(self, step: Stand | Idle | FromHook) -> None:
        """A turning chain, or the chains that a first row passes over."""
        if isinstance(step, Stand):
            self.take()
            self.made += [step.kind] + [CHAIN] * step.space
        elif isinstance(step, FromHook):
            for _ in range(step.nth - 1):
                self.take()
            if step.counts_as:
                self.made.append(step.counts_as)

    def stitches(self, step: Work) -> None:
        """Stitches in one place, or over several, one after another."""
        for _ in range(at(step.count, self.size)):
            for _ in range(step.uses):
                self.take(step.space)
            for _ in range(step.makes):
                self.made.append(step.kind)

    def along(self, step: Along) -> None:
        """Every place in turn, each by what it is."""
        while self.left is not None and self.places() > at(step.keep, self.size):
            kind, _ = self.left.pop(0)
            self.made += [step.kind] * (step.in_space if kind == SPACE else step.in_stitch)

    def places(self) -> int:
        """How many places are left."""
        return len(self.left or ())


def work_row(
    steps: Sequence[Step], below: list[Place] | None, size: int = 0, turned: bool = False
) -> list[Place]:
    """The places that a row leaves, in the order in which they were made.

    ``below`` are those of the row below (None: a ring); a turned row runs over them
    backwards.  Raises UnevenError where the row does not use exactly these.
    """
    left = None if below is None else list(reversed(below) if turned else below)
    hands = Hands(left, size, [])
    hands.work(steps)
    if hands.left:
        raise UnevenError(f"{len(hands.left)} places are left")
    return gathered(hands.made)


def gathered(made: Sequence[str]) -> list[Place]:
    """Single stitches and chains as places: chains side by side are one space."""
    places: list[Place] = []
    for kind in made:
        if kind != CHAIN:
            places.append((kind, 0))
        elif places and places[-1][0] == SPACE:
            places[-1] = (SPACE, places[-1][1] + 1)
        else:
            places.append((SPACE, 1))
    return places


def chain(count: int) -> list[Place]:
    """A foundation chain, as the places of a row below."""
    return [(CHAIN, 0)] * count


def stitch_count(places: Sequence[Place]) -> int:
    """How many of the places are stitches."""
    return sum(kind != SPACE for kind, _ in places)


def kinds(places: Sequence[Place]) -> Counter[Place]:
    """How many there are of each kind of stitch and each length of space."""
    return Counter(places)
