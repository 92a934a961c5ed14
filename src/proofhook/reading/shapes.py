"""Shapes: what the grammar finds in a segment, remembered by the words of the segment.

Designers write the same few lines with other numbers, so that few segments are ever
parsed.  The grammar and its parser are imported when the first one is.
"""

from __future__ import annotations

import marshal
from typing import Any

from proofhook.records import NamedTuple


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
#: Shapes that earlier runs knew, by their segments, both as they are written down.
remembered: dict[str, bytes] = {}


def shape_of(line: str, after_group: bool, after_each: bool) -> Shape:
    """The shape of a segment, parsed if it was never seen."""
    segment = Segment(line, after_group, after_each)
    found = known.get(segment)
    if found is None:
        if len(known) >= MOST_KNOWN:
            known.clear()
        written = remembered.get(_name(segment))
        found = known[segment] = _parsed(segment) if written is None else _read(written)
    return found


def to_keep() -> dict[str, bytes]:
    """All shapes that are known or remembered, those of this run last."""
    used = {_name(segment): shape for segment, shape in known.items()}
    kept = {name: written for name, written in remembered.items() if name not in used}
    for name, shape in used.items():
        kept[name] = remembered.get(name) or _written(shape)
    return kept


def _parsed(segment: Segment) -> Shape:
    from proofhook.reading.grammar import shape

    return shape(*segment)


def _name(segment: Segment) -> str:
    return f"{segment.after_group:d}{segment.after_each:d}{segment.line}"


def _written(shape: Shape) -> bytes:
    """A shape in nothing but tuples, words and numbers."""
    suffix, ahead, phrases = shape
    plain: list[Any] = [
        tuple(map(_plain, each)) if isinstance(each, Phrase) else each for each in phrases
    ]
    return marshal.dumps((tuple(map(_plain, suffix)), _plain(ahead), tuple(plain)))


def _plain(part: Part | None) -> Any:
    return part and (part.name, part.start, part.end, tuple(part.slots.items()))


def _read(written: bytes) -> Shape:
    suffix, ahead, phrases = marshal.loads(written)
    return Shape(
        tuple(map(_part, suffix)),
        _part(ahead) if ahead else None,
        tuple(Phrase(*(each and _part(each) for each in p)) if len(p) > 2 else p for p in phrases),
    )


def _part(plain: tuple[str, int, int, tuple[tuple[str, tuple[int, int]], ...]]) -> Part:
    name, start, end, slots = plain
    return Part(name, start, end, dict(slots))
