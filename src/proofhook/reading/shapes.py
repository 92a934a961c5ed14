"""Shapes: what the grammar finds in a segment, remembered by the words of the segment.

Designers write the same few lines with other numbers, so that few segments are ever
parsed.  The grammar and its parser are imported when the first one is.
"""

from __future__ import annotations

from typing import Any, NamedTuple, TypeAlias

#: What can be written down as it is: tuples, words and numbers.
Plain: TypeAlias = Any


class Part(NamedTuple):
    """A construct found in a segment: its name and the tokens that play its parts.

    ``slots`` maps a part ("n", "what" ...) to the half-open range of its tokens;
    ``start`` and ``end`` bound the construct itself.
    """

    name: str
    start: int
    end: int
    slots: dict[str, tuple[int, int]]


class Phrase(NamedTuple):
    """One instruction: its head and what belongs to it (place, how far, how often)."""

    head: Part
    place: Part | None = None
    until: Part | None = None
    times: Part | None = None


class Shape(NamedTuple):
    """What a segment says: phrases in order, and the tokens between that none took."""

    suffix: tuple[Part, ...]
    ahead: Part | None
    phrases: tuple[Phrase | tuple[int, int], ...]


class Segment(NamedTuple):
    """A line of the lexicon's words, and what stands before it.

    ``after_group`` tells that it follows a bracket or a closed star, ``after_each`` that
    it follows an "in each ..." which it may go on with.
    """

    line: str
    after_group: bool
    after_each: bool


def canonical(kinds: list[str]) -> str:
    """The line of the lexicon's words that the grammar reads."""
    return " ".join([_SAFE.get(kind, kind) for kind in kinds])


_SAFE = {"#": "N", "#th": "Nth"}

#: Shapes known so far.
known: dict[Segment, Shape] = {}
MOST_KNOWN = 20_000
#: Shapes that were known to earlier runs, as they are written down.
remembered: dict[tuple[str, bool, bool], Plain] = {}


def shape_of(line: str, after_group: bool, after_each: bool) -> Shape:
    """The shape of a segment, parsed if it was never seen."""
    segment = Segment(line, after_group, after_each)
    found = known.get(segment)
    if found is None:
        if len(known) >= MOST_KNOWN:
            known.clear()
        plain = remembered.get(segment)
        found = known[segment] = _parsed(segment) if plain is None else from_plain(plain)
    return found


def _parsed(segment: Segment) -> Shape:
    from proofhook.reading.grammar import shape

    return shape(*segment)


def as_plain(shape: Shape) -> Plain:
    """A shape in nothing but tuples, to be written down."""
    suffix, ahead, phrases = shape
    return (
        tuple(_plain_part(part) for part in suffix),
        _plain_part(ahead),
        tuple(
            tuple(map(_plain_part, each)) if isinstance(each, Phrase) else each for each in phrases
        ),
    )


def from_plain(plain: Plain) -> Shape:
    """The shape that was written down."""
    suffix, ahead, phrases = plain
    return Shape(
        tuple(_part(part) for part in suffix),
        _part(ahead),
        tuple(Phrase(*map(_part, each)) if len(each) > 2 else each for each in phrases),
    )


def _plain_part(part: Part | None) -> Plain:
    return part and (part.name, part.start, part.end, tuple(part.slots.items()))


def _part(plain: Plain) -> Any:
    return plain and Part(plain[0], plain[1], plain[2], dict(plain[3]))
