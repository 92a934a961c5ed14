"""The table of counts: what every row states and makes, a column for each size."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from proofhook.counting.result import RowTally, Tally, UnitCount, Verdict
from proofhook.pattern import Amount, at_size
from proofhook.records import NamedTuple
from proofhook.showing.tally_page import why

#: The sign of a verdict, in the text and in the table; the word always stands beside it.
SIGNS = {
    Verdict.AGREES: "✓",
    Verdict.DIFFERS: "≠",
    Verdict.UNSTATED: "–",
    Verdict.UNREAD: "?",
}

WORDS = {
    Verdict.AGREES: "agrees",
    Verdict.DIFFERS: "differs",
    Verdict.UNSTATED: "states no total",
    Verdict.UNREAD: "unread",
}


class Figures(NamedTuple):
    """A figure for each size, "" where the row has none, and whether it is a wrong one."""

    texts: tuple[str, ...]
    wrong: tuple[bool, ...]


class Entry(NamedTuple):
    """A line of the table: a row and its first unit, or a further unit of it.

    ``line`` is where the row stands in the text; ``word`` is "" on a further unit.
    """

    name: str
    line: int
    unit: str
    stated: Figures
    worked: Figures
    verdict: str
    sign: str
    word: str
    working: str


def entries(tally: Tally, rows: Sequence[RowTally]) -> Iterator[Entry]:
    """The lines of the table for the rows of one piece."""
    sizes = max(1, len(tally.pattern.sizes))
    for tallied in rows:
        line = tally.pattern.source.line_of(tallied.row.span.start)
        name = row_name(tallied, line)
        units = tallied.units or (UnitCount("", None, None),)
        for number, unit in enumerate(units):
            stated = _figures(tallied, unit.stated, sizes)
            worked = _figures(tallied, unit.worked, sizes)
            wrong = _wrong(tallied, stated, worked)
            yield Entry(
                name,
                line,
                unit.unit,
                Figures(stated, wrong),
                Figures(worked, wrong),
                tallied.verdict.value,
                "" if number else SIGNS[tallied.verdict],
                "" if number else WORDS[tallied.verdict],
                "" if number else why(tally, tallied),
            )


def row_name(tallied: RowTally, line: int) -> str:
    """What a row is called: its label, or the line it stands on."""
    return tallied.row.name or f"line {line}"


def worked_in(tallied: RowTally, size: int) -> bool:
    """Whether a row is worked in a size."""
    if len(tallied.widths) > 1:
        return bool(tallied.widths[min(size, len(tallied.widths) - 1)])
    return tallied.row.sizes is None or size in tallied.row.sizes


def _figures(tallied: RowTally, figures: Amount | None, sizes: int) -> tuple[str, ...]:
    if not figures:
        return ("",) * sizes
    return tuple(
        str(at_size(figures, size)) if worked_in(tallied, size) else "" for size in range(sizes)
    )


def _wrong(tallied: RowTally, stated: Sequence[str], worked: Sequence[str]) -> tuple[bool, ...]:
    """In which sizes a unit is not what is stated; a row that is not certain has none."""
    differs = tallied.verdict is Verdict.DIFFERS
    pairs = zip(stated, worked, strict=True)
    return tuple(bool(differs and s and w and s != w) for s, w in pairs)
