"""The shape of the work: for each part of a piece, how wide every row lies in every size.

Only what was worked out is in it.  A row that could not be read has no width, and the
picture leaves a gap there.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import groupby

from proofhook.counting.result import RowTally, Tally, Verdict
from proofhook.pattern import Label, at_size
from proofhook.records import NamedTuple
from proofhook.showing.sheet.counts import row_name, worked_in

#: A piece that goes back and forth more often is drawn as one part.
MOST_PARTS = 4


class Band(NamedTuple):
    """The rows of one label as they are drawn.

    ``widths`` has for each size the width of each row, None for a row that is not known;
    a size in which the row is not worked has none.  ``excess`` is for each size how many
    stitches the stated total has more than the row makes.
    """

    name: str
    verdict: Verdict
    widths: tuple[tuple[int | None, ...], ...]
    excess: tuple[int, ...]
    tallied: RowTally


class Part(NamedTuple):
    """Rows that are drawn together: worked to and fro, or in the round."""

    in_round: bool
    bands: tuple[Band, ...]
    sizes: tuple[str, ...]

    @property
    def widest(self) -> int:
        """The width of the widest row in any size; 0 where none is known."""
        widths = (w for band in self.bands for rows in band.widths for w in rows)
        return max((w for w in widths if w), default=0)

    def rows(self, size: int) -> int:
        """How many rows are drawn in one size."""
        return sum(len(band.widths[size]) for band in self.bands)


def parts_of(tally: Tally, rows: Sequence[RowTally]) -> list[Part]:
    """The parts of one piece, in the order of the text."""
    sizes = tally.pattern.sizes or ("one size",)
    bands = [_band(tally, row, len(sizes)) for row in rows]
    if all(len(set(band.widths)) == 1 == len(set(band.excess)) for band in bands):
        bands = [band._replace(widths=band.widths[:1], excess=band.excess[:1]) for band in bands]
        sizes = sizes[:1]
    kinds: list[bool] = []
    for row in rows:
        kinds.append(_in_round(row, kinds[-1] if kinds else None))
    runs = [
        (in_round, tuple(band for _, band in group))
        for in_round, group in groupby(zip(kinds, bands, strict=True), key=lambda pair: pair[0])
    ]
    if len(runs) > MOST_PARTS:
        runs = [(False, tuple(bands))]
    parts = [Part(in_round, part, sizes) for in_round, part in runs]
    return [part for part in parts if part.widest]


def _in_round(row: RowTally, before: bool | None) -> bool:
    """Whether a row is drawn as a round: by its label, else as it is worked."""
    label = row.row.label
    kind = label.kind if label else ""
    if kind in ("round", "row"):
        return kind == "round"
    if before is not None and (kind == "free" or row.verdict is Verdict.UNREAD):
        return before
    return row.in_round


def _band(tally: Tally, tallied: RowTally, sizes: int) -> Band:
    widths: tuple[tuple[int | None, ...], ...] = tallied.widths
    if not widths:
        rows = (_labelled_rows(tallied.row.label, size) for size in range(sizes))
        only = tallied.row.sizes
        widths = tuple(
            (None,) * count if only is None or size in only else ()
            for size, count in enumerate(rows)
        )
    line = tally.pattern.source.line_of(tallied.row.span.start)
    return Band(
        row_name(tallied, line),
        tallied.verdict,
        tuple(widths[min(size, len(widths) - 1)] for size in range(sizes)),
        _excess(tallied, sizes),
        tallied,
    )


def _labelled_rows(label: Label | None, size: int) -> int:
    """How many rows a label stands for, by its numbers; 1 where it does not say."""
    if label is None:
        return 1
    if label.rows is not None:
        return _sane(at_size(label.rows, size))
    if label.first is None or label.last is None:
        return 1
    return _sane(at_size(label.last, size) - at_size(label.first, size) + 1)


def _sane(count: int) -> int:
    """So many rows, as far as a picture of a gap needs them."""
    return min(max(count, 1), 400)


def _excess(tallied: RowTally, sizes: int) -> tuple[int, ...]:
    stated, worked = tallied.stated, tallied.worked
    if tallied.verdict is not Verdict.DIFFERS or not stated or not worked:
        return (0,) * sizes
    return tuple(
        at_size(stated, size) - at_size(worked, size) if worked_in(tallied, size) else 0
        for size in range(sizes)
    )


def differs_in(band: Band, size: int) -> bool:
    """Whether a row that differs does so in this size."""
    about = {s for problem in band.tallied.problems for s in problem.sizes}
    if any(band.excess):
        about |= {s for s, excess in enumerate(band.excess) if excess}
    return not about or size in about
