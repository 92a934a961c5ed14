"""The pictures of a piece, each with the words that stand for it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise

from proofhook.counting.result import RowTally, Tally, Verdict
from proofhook.pattern import at_size
from proofhook.records import NamedTuple
from proofhook.showing.ink import counted, joined
from proofhook.showing.sheet.drawing import Drawing
from proofhook.showing.sheet.outline import outline
from proofhook.showing.sheet.rings import rings, shown_size
from proofhook.showing.sheet.shaping import Band, Part, differs_in, parts_of
from proofhook.showing.tally_page import amount

FLAT = "Every row as wide as its stitches and chain spaces are, the first at the foot."
LAID_FLAT = "The rounds laid flat, the first at the foot."
#: The rows that are told of one by one; the table has them all.
MOST_TOLD = 6

ROUND = "From where it begins: a ring for every round, a dash for every stitch."


class Picture(NamedTuple):
    """A drawing, its title, what it shows in words, and how it is to be read.

    ``again`` says that the words stand beside another picture already; ``sizes`` are the
    names of the outlines, where there are several.
    """

    drawing: Drawing
    title: str
    told: str
    reading: str
    sizes: tuple[str, ...] = ()
    again: bool = False


def pictures(tally: Tally, rows: Sequence[RowTally], piece: str) -> list[Picture]:
    """The pictures of one piece, in the order of the text."""
    return [picture for part in parts_of(tally, rows) for picture in _of_part(part, piece)]


def _of_part(part: Part, piece: str) -> Iterator[Picture]:
    sizes = part.sizes if len(part.sizes) > 1 else ()
    told = _told(part)
    if part.in_round:
        size = shown_size(part)
        of_size = f" Drawn in size {part.sizes[size]}." if sizes else ""
        yield Picture(rings(part, size), f"Rings of {piece}", f"{told}{of_size}", ROUND)
        if not _grows_only(part) or sizes:
            yield Picture(outline(part), f"Silhouette of {piece}", told, LAID_FLAT, sizes, True)
    else:
        yield Picture(outline(part), f"Silhouette of {piece}", told, FLAT, sizes)


def _grows_only(part: Part) -> bool:
    """Whether a part grows with every round, as a flat one does: rings alone show it."""
    widths = [w for band in part.bands for w in band.widths[0] if w]
    return all(a < b for a, b in pairwise(widths))


def _told(part: Part) -> str:
    """What a picture shows, for those who do not see it."""
    known = [band for band in part.bands if band.verdict is not Verdict.UNREAD]
    what = ("round", "rounds") if part.in_round else ("row", "rows")
    counts = tuple(part.rows(size) for size in range(len(part.sizes)))
    each = f"{amount(counts)} {what[1]}" if len(set(counts)) > 1 else counted(counts[0], *what)
    sentences = [f"{each[0].upper()}{each[1:]}."]
    if len(part.sizes) > 1:
        sentences.append(f"Sizes {joined(part.sizes)}, one inside the other.")
    named: dict[str, Band] = {}
    if known:
        named = {"First": known[0], "Widest": max(known, key=_width), "Last": known[-1]}
        if named["Widest"].tallied.worked in (known[0].tallied.worked, known[-1].tallied.worked):
            del named["Widest"]
        if len(known) == 1:
            del named["Last"]
    sentences += [f"{words}, {band.name}: {made(band)}." for words, band in named.items()]
    wrong = [differing(b, part.sizes) for b in part.bands if b.verdict is Verdict.DIFFERS]
    sentences += wrong[:MOST_TOLD]
    if len(wrong) > MOST_TOLD:
        sentences.append(f"{len(wrong) - MOST_TOLD} more rows differ.")
    unread = [band.name for band in part.bands if band.verdict is Verdict.UNREAD]
    if unread:
        more = [f"{len(unread) - MOST_TOLD} more"] if len(unread) > MOST_TOLD else []
        sentences.append(f"Not read and left as a gap: {joined([*unread[:MOST_TOLD], *more])}.")
    return " ".join(sentences)


def _width(band: Band) -> int:
    return max((w for rows in band.widths for w in rows if w), default=0)


def made(band: Band) -> str:
    """What a row makes, in words."""
    units = [u for u in band.tallied.units if u.worked is not None]
    return ", ".join(f"{amount(u.worked)} {u.unit}" for u in units) or f"{_width(band)} sts"


def differing(band: Band, sizes: Sequence[str]) -> str:
    """What differs in a row, in words: in which sizes, what it makes and what is stated."""
    several = len(sizes) > 1
    about = [size for size in range(len(sizes)) if differs_in(band, size)]
    where = f" in {_in_sizes([sizes[size] for size in about])}" if several else ""
    said = []
    for unit in band.tallied.units:
        if not unit.stated or not unit.worked:
            continue
        worked, stated = (
            tuple(at_size(figures, size) for size in about)
            for figures in (unit.worked, unit.stated)
        )
        if worked != stated:
            said.append(f"it makes {amount(worked)} {unit.unit}, the total says {amount(stated)}")
    return f"{band.name} differs{where}: {'; '.join(said) or 'it does not fit the row below'}."


def _in_sizes(names: Sequence[str]) -> str:
    return f"size{'s' * (len(names) > 1)} {joined(names)}"
