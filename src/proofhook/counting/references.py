"""Rows that refer to other rows, and rows that stand for several: what is worked, in order."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from proofhook.pattern import (
    SPACES_AS_STITCHES,
    Each,
    Group,
    Label,
    Note,
    Repeat,
    Row,
    RowsReference,
    Skip,
    Step,
    Total,
    Unread,
    Until,
    Work,
    at_size,
)
from proofhook.records import dataclass, replace
from proofhook.text import Span

_DEPTH = 6


@dataclass(frozen=True, slots=True)
class Program:
    """What a row has worked: the steps of each row in turn, and how many rows in all.

    ``plain`` tells that the row's own steps are worked (no reference).  ``reason`` says
    why it cannot be worked out.  ``changed`` tells that the rows referred to are worked in
    another way, so that they do not stand for this one.
    """

    bodies: tuple[tuple[Step, ...], ...]
    times: int
    plain: bool
    until: Until | None = None
    reason: str = ""
    blame: Span | None = None
    rows: tuple[Row, ...] = ()
    numbered: tuple[tuple[int, Row], ...] = ()
    changed: bool = False

    def passes(self) -> Iterator[tuple[Step, ...]]:
        """The steps of each row, in the order in which they are worked."""
        for number in range(self.times):
            yield self.bodies[number % len(self.bodies)]

    def in_order(self, row: Row) -> list[Row]:
        """The rows that were worked, the last of them last: what "the last row" means next."""
        if self.plain or not self.rows or (self.changed and self.times == 1):
            return [row]
        count = min(self.times, 40)
        start = self.times - count
        return [self.rows[(start + i) % len(self.rows)] for i in range(count)]

    def row_of(self, number: int, first: int, row: Row) -> Row:
        """The row that stands for a number of the range."""
        if not self.rows or self.changed:
            return row
        return self.rows[(number - first) % len(self.rows)]


def label_rows(label: Label | None, size: int) -> int | None:
    """How many rows a label stands for in one size; None where it does not say."""
    if label is None:
        return None
    if label.rows is not None:
        return at_size(label.rows, size)
    if label.first is None or label.last is None or label.first == label.last or label.open_end:
        return None
    return at_size(label.last, size) - at_size(label.first, size) + 1


def program_of(
    row: Row,
    size: int,
    rows: dict[int, Row],
    before: dict[int, Row],
    of_piece: Callable[[str], dict[int, Row]],
    order: list[Row],
) -> Program:
    """Resolve a row's references to earlier rows of its piece (or of one named)."""
    count = label_rows(row.label, size)
    reference = next((s for s in row.steps if isinstance(s, RowsReference)), None)
    if reference is None:
        return Program((row.steps,), max(1, count or 1), True)
    if count is None and any(isinstance(s, Note) and s.kind == "open" for s in row.steps):
        return Program((row.steps,), 1, False, None, "how often is not said", reference.span)
    if _works_more(row.steps):
        return Program((row.steps,), 1, False, None, "it repeats other rows with a change", None)
    known = rows or before
    named: list[Row] = []
    numbers = list(reference.rows)
    if reference.previous:
        named = order[-reference.previous :] if len(order) >= reference.previous else []
    if reference.name and (called := _called(reference.name, order)):
        named = [called]
    elif reference.name in _SHAPES:
        named = []  # "rep dec rnd", where none is called so
    if reference.piece and of_piece(reference.piece):
        known = of_piece(reference.piece)
        rows = known
        if not reference.rows:
            first = at_size(row.label.first, size) if row.label and row.label.first else 1
            numbers = list(range(first, first + (count or 1)))
        if 0 in known and numbers[:1] == [1]:
            numbers = [0, *numbers]  # the chain or ring that the other piece begins with
    for number in numbers:
        found = known.get(number) or before.get(number)
        if found is None:
            return Program(
                (row.steps,),
                1,
                False,
                None,
                f"Row {number} is not there to be worked again",
                reference.span,
            )
        named.append(found)
    if not named:
        return Program(
            (row.steps,), 1, False, None, "which rows are meant is not known", reference.span
        )
    bodies: list[tuple[Step, ...]] = []
    for each in named:
        body = _body(each, rows, before, 0, size, order)
        if body is None:
            return Program(
                (row.steps,), 1, False, None, "the rows referred to refer to others", reference.span
            )
        bodies += body
    bodies = [_swapped(body, reference.swaps) for body in bodies]
    said = _spaces_as_stitches(row)
    bodies = [(*said, *body) for body in bodies]
    if reference.times is not None:
        times = len(bodies) * at_size(reference.times, size)
        if count is not None and count > times:
            times = count
    else:
        times = count if count is not None else len(bodies)
    if reference.until is not None:
        if reference.until.kind not in ("last", "remain"):
            return Program(
                (row.steps,), 1, False, None, "where it stops is not known", reference.span
            )
        return Program(tuple(bodies), 1_000, False, reference.until, rows=tuple(named))
    if times <= 0:
        return Program((row.steps,), 1, False, None, "it stands for no row at all", None)
    numbered = tuple(zip(numbers, named, strict=True)) if reference.piece else ()
    changed = bool(said or reference.swaps)
    return Program(
        tuple(bodies), times, False, rows=tuple(named), numbered=numbered, changed=changed
    )


#: Names that say what a row does, so that the last row is not meant by them.
_SHAPES = frozenset(("inc", "dec", "increase", "decrease", "raglan", "buttonhole"))


def _called(name: str, order: list[Row]) -> Row | None:
    """The last row whose label has that name: "Dec row"."""
    for row in reversed(order):
        if row.label is not None and name in row.label.text.lower():
            return row
    return None


def _works_more(steps: tuple[Step, ...]) -> bool:
    """Whether a row that refers to others works stitches of its own as well."""
    return any(isinstance(step, (Work, Group, Repeat, Each, Skip, Unread)) for step in steps)


def _body(
    row: Row,
    rows: dict[int, Row],
    before: dict[int, Row],
    depth: int,
    size: int,
    order: list[Row],
) -> list[tuple[Step, ...]] | None:
    """The steps of a row that is worked again, its totals left out, its references followed."""
    reference = next((s for s in row.steps if isinstance(s, RowsReference)), None)
    if reference is None:
        return [tuple(_without_totals(row.steps))]
    said = _spaces_as_stitches(row)
    if depth >= _DEPTH or _works_more(row.steps):
        return None
    bodies: list[tuple[Step, ...]] = []
    found_rows: list[Row | None] = [rows.get(n) or before.get(n) for n in reference.rows]
    if reference.previous:
        at = next((i for i, known in enumerate(order) if known is row), len(order))
        found_rows = list(order[max(at - reference.previous, 0) : at])
    for found in found_rows:
        if found is None or found is row:
            return None
        body = _body(found, rows, before, depth + 1, size, order)
        if body is None:
            return None
        bodies += body
    return [(*said, *body) for body in bodies] or None


def _spaces_as_stitches(row: Row) -> tuple[Step, ...]:
    """What the row says of spaces, which holds for the rows that it refers to as well."""
    return tuple(s for s in row.steps if isinstance(s, Note) and s.kind == SPACES_AS_STITCHES)


def _without_totals(steps: tuple[Step, ...]) -> list[Step]:
    return [step for step in steps if not isinstance(step, Total)]


def _swapped(steps: tuple[Step, ...], swaps: tuple[tuple[Step, Step], ...]) -> tuple[Step, ...]:
    """The steps with some replaced: "but ch 7 instead of ch 6"."""
    if not swaps:
        return steps
    out: list[Step] = []
    for step in steps:
        if isinstance(step, (Group, Repeat)):
            step = replace(step, steps=_swapped(step.steps, swaps))
        for new, old in swaps:
            if type(step) is type(old) and replace(step, span=old.span) == old:
                step = replace(new, span=step.span)
        out.append(step)
    return tuple(out)
