"""The tally for people: a table of rows with what they state, what they make and why."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import groupby
from typing import TYPE_CHECKING

from proofhook.records import NamedTuple
from proofhook.showing.ink import (
    Paper,
    cells,
    counted,
    set_left,
    set_right,
    shown_path,
    tame,
    wrapped,
)
from proofhook.showing.sums import Sums

if TYPE_CHECKING:
    from proofhook.counting.result import RowTally, Tally, UnitCount
    from proofhook.showing.forms import Run
    from proofhook.showing.sums import Shown

HEAD = ("row", "stated", "makes", "verdict", "working")
LONGEST_NAME, LONGEST_FIGURES, LEAST_WORKING = 30, 26, 24
STYLES = {"differs": "error", "unread": "query", "agrees": "good"}


class Entry(NamedTuple):
    """One line of the table, before it is laid out."""

    name: str
    stated: str
    worked: str
    verdict: str
    working: str


def tally_text(tally: Tally, paper: Paper) -> str:
    """The table of one pattern."""
    return "".join([f"{line}\n" for line in tally_page(tally, paper)])


def write_tallies(run: Run[Shown]) -> Iterator[str]:
    """The text of a run: the table of each pattern, then how many rows there were."""
    sums = Sums()
    for shown in run:
        sums = sums.added(shown.sums)
        yield shown.text
    counts = {
        "agrees": sums.agree,
        "differs": sums.differ,
        "unstated": sums.unstated,
        "unread": sums.unread,
    }
    yield from (f"{line}\n" for line in tally_closing(counts, sums.files, run.paper))


def amount(figures: Sequence[int] | None) -> str:
    """``24``, ``24 (28, 32)`` where the sizes differ, ``-`` for none."""
    if not figures:
        return "-"
    first, *rest = figures
    return f"{first} ({', '.join(map(str, rest))})" if set(rest) - {first} else str(first)


def tally_page(tally: Tally, paper: Paper) -> Iterator[str]:
    """The lines of the table, a part for each piece."""
    source = tally.pattern.source
    yield paper.ink(shown_path(source.path), "title")
    if len(tally.pattern.sizes) > 1:
        yield f"Sizes: {tame(', '.join(tally.pattern.sizes))}"
    for _, rows in groupby(tally.rows, key=lambda row: id(row.piece)):
        held = list(rows)
        yield ""
        if held[0].piece.name:
            yield paper.ink(tame(held[0].piece.name), "piece")
        yield from _table([entry for row in held for entry in _entries(tally, row)], paper)
    yield ""


def _entries(tally: Tally, tallied: RowTally) -> Iterator[Entry]:
    """The lines of one row: its first figure, then each further unit of the total."""
    name = tame(tallied.row.name or f"line {tally.pattern.source.line_of(tallied.row.span.start)}")
    first, others = (tallied.units[0], tallied.units[1:]) if tallied.units else (None, ())
    yield Entry(
        name,
        _figures(tallied.stated, first),
        _figures(tallied.worked, first),
        tallied.verdict.value,
        tame(why(tally, tallied)),
    )
    for unit in others:
        yield Entry("", _figures(unit.stated, unit), _figures(unit.worked, unit), "", "")


def _figures(figures: Sequence[int] | None, unit: UnitCount | None) -> str:
    words = tame(unit.unit) if unit else ""
    return f"{amount(figures)} {words}".rstrip() if figures else "-"


def why(tally: Tally, tallied: RowTally) -> str:
    """How a row was worked out, or why it was not."""
    quoted = [" ".join(tally.pattern.source.quote(span).split()) for span in tallied.unread]
    if quoted:
        return "not understood: " + "; ".join(f"“{words[:60]}”" for words in quoted[:4])
    return tallied.reason if tallied.verdict.value == "unread" else tallied.working


def _table(entries: list[Entry], paper: Paper) -> Iterator[str]:
    """The entries in columns; the working goes beneath where the page is narrow."""
    columns = list(zip(Entry(*HEAD), *entries, strict=True))
    name, stated, worked, verdict = (max(map(cells, column)) for column in columns[:4])
    name, stated = min(name, LONGEST_NAME), min(stated, LONGEST_FIGURES)
    worked = min(worked, LONGEST_FIGURES)
    taken = 2 + name + 2 + stated + 2 + worked + 2 + verdict + 2
    beneath = paper.width - taken < LEAST_WORKING
    indent = 6 if beneath else taken

    def line(entry: Entry, style: str) -> str:
        figures = f"{set_right(entry.stated, stated)}  {set_right(entry.worked, worked)}"
        word = paper.ink(entry.verdict, style) + " " * (verdict - len(entry.verdict))
        return f"  {set_left(entry.name, name)}  {figures}  {word}"

    head = line(Entry(*HEAD), "") + ("" if beneath else f"  {HEAD[4]}")
    yield paper.ink(head.rstrip(), "margin")
    for entry in entries:
        working = wrapped(entry.working, paper.width - indent)
        first = "" if beneath else (working.pop(0) if working else "")
        yield f"{line(entry, STYLES.get(entry.verdict, ''))}  {first}".rstrip()
        yield from (" " * indent + more for more in working)


#: What the last line says of one row and of several with each verdict.
_SAID = (
    ("agrees", "agrees", "agree"),
    ("differs", "differs", "differ"),
    ("unstated", "states no total", "state no total"),
    ("unread", "could not be read", "could not be read"),
)


def tally_closing(counts: dict[str, int], files: int, paper: Paper) -> Iterator[str]:
    """The last line: how many rows there are, and how many of each verdict."""
    rows = sum(counts.values())
    told = ", ".join(
        f"{counts.get(verdict, 0)} {one if counts.get(verdict) == 1 else more}"
        for verdict, one, more in _SAID
    )
    where = f" in {counted(files, 'pattern')}" if files != 1 else ""
    yield from wrapped(f"{counted(rows, 'row')}{where}: {told}.", paper.width)
