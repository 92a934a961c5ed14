"""What a row says to its maker, apart from its number and its wording."""

from __future__ import annotations

from typing import Any

from proofhook.counting.result import RowTally, Tally
from proofhook.pattern import (
    Loops,
    Note,
    Pattern,
    Place,
    Repeat,
    Row,
    RowsReference,
    Stitch,
    Unit,
    Unread,
    Work,
)
from proofhook.records import dataclass
from proofhook.sameness import field_names, row_content, said

#: Fields that hold the numbers of rows, which change with the rows before them.
_NUMBERS = {RowsReference: "rows", Place: "row", Loops: "row"}
#: What a stitch is counted as, which is its definition's to say.
_OF_DEFINITIONS = frozenset({"base", "uses", "makes", "steps", "role"})
#: Words of a row that only accompany it.
ASIDES = frozenset({"", "note"})
#: Words of an aside that is about the yarn.
_TELLING = frozenset("change changing switch switching colour colours color colors".split())


@dataclass(frozen=True, slots=True)
class Content:
    """A row as it is compared.

    ``key`` is alike for rows with the same steps and totals, ``named`` also where the
    pattern defines a stitch of theirs otherwise.  ``numbers`` are the numbers of the rows
    it refers to; ``label`` is what it is called and ``words`` how all of it is worded;
    ``vocabulary`` are the words that occur in it.
    """

    row: Row
    tallied: RowTally | None
    key: tuple[object, ...]
    named: tuple[object, ...]
    numbers: tuple[int, ...]
    label: tuple[object, ...]
    words: tuple[str, ...]
    vocabulary: frozenset[str]

    @property
    def beside(self) -> tuple[object, ...]:
        """What it says beside its stitches: what it stands for, its totals, colours, turns."""
        how_many, *steps = self.key
        stitches = (Work.__name__, Repeat.__name__)
        return (how_many, *(s for s in steps if isinstance(s, tuple) and s[0] not in stitches))

    @property
    def worked(self) -> tuple[int, ...] | None:
        """The stitches it makes, one figure a size."""
        return self.tallied.worked if self.tallied else None


def contents(pattern: Pattern, tally: Tally) -> dict[int, Content]:
    """What each row says, by where it begins in the text."""
    tallied = {each.row.span.start: each for each in tally.rows}
    return {
        row.span.start: content(row, pattern, tallied.get(row.span.start)) for row in pattern.rows
    }


def content(row: Row, pattern: Pattern, tallied: RowTally | None = None) -> Content:
    """What a row says."""
    steps = row_content(row, pattern)
    numbers: list[int] = []
    how_many = (_length(row), row.sizes, row.detached)
    words = said(pattern.source.quote(row.body))
    return Content(
        row,
        tallied,
        (how_many, *_plain(steps, numbers, False)),
        (how_many, *_plain(steps, [], True)),
        tuple(numbers),
        _label(row),
        words,
        frozenset(words),
    )


def _length(row: Row) -> tuple[object, ...]:
    """Whether it is a row or a round, and how many rows it stands for."""
    label = row.label
    if label is None:
        return ()
    more: tuple[int, ...] = ()
    if label.first and label.last:
        most = max(len(label.first), len(label.last))
        first, last = (n * most if len(n) == 1 else n for n in (label.first, label.last))
        more = tuple(b - a for a, b in zip(first, last, strict=False))
        more = more[:1] if len(set(more)) == 1 else more
    kind = label.kind if label.kind in ("row", "round") else ""
    return (kind, more or (0,), label.rows, label.open_end)


def _label(row: Row) -> tuple[object, ...]:
    label = row.label
    if label is None:
        return ()
    return (label.first, label.last) if label.first else said(label.text)


def _plain(values: tuple[object, ...], numbers: list[int], named: bool) -> tuple[object, ...]:
    """Steps without the numbers of rows, which are put to ``numbers``, and without asides."""
    return tuple(_value(value, numbers, named) for value in values if not _is_aside(value))


def _is_aside(value: Any) -> bool:
    if not (isinstance(value, tuple) and value and value[0] is Note):
        return False
    _, kind, words = value
    return kind in ASIDES and not any(word.isdecimal() or word in _TELLING for word in words)


def _value(value: Any, numbers: list[int], named: bool) -> object:
    if not isinstance(value, tuple) or not value:
        return value
    kind = value[0]
    if kind is Note:
        tells = value[1] == "colour" or not _TELLING.isdisjoint(value[2])
        words = value[2] if tells else ()
        return (Note, value[1], words, tuple(word for word in value[2] if word.isdecimal()))
    if kind is Unread:
        return (Unread, said(value[1]))
    if not (isinstance(kind, type) and hasattr(kind, "_fields")):
        return _plain(value, numbers, named)
    held = dict(zip(field_names(kind), value[1:], strict=True))
    if (field := _NUMBERS.get(kind, "")) and held[field]:
        found = held[field]
        numbers += found if isinstance(found, tuple) else (found,)
        held[field] = bool(found)
    if kind is Unit and held["what"] in ("", "st"):
        held["what"] = "st"
    if kind is Stitch and named:
        held = {name: each for name, each in held.items() if name not in _OF_DEFINITIONS}
    return (kind.__name__, *(_value(each, numbers, named) for each in held.values()))
