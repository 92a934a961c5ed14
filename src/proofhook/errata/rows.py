"""Rows of one piece against those of the same piece in the other edition."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from itertools import groupby

from proofhook.errata.content import Content
from proofhook.errata.matching import CHANGED, REPLACED, UNLIKE, Pair, aligned, alike
from proofhook.errata.records import Entry, Kind, Reading, Renumbered
from proofhook.errata.spelled import same_spelled_out
from proofhook.pattern import Piece
from proofhook.records import NamedTuple
from proofhook.text import Source

#: What another label, and another reference to rows, weigh beside a change.
_OTHER_LABEL, _OTHER_NUMBERS = 1, 1

#: Words for the loops that are worked, which the stitches alone do not tell of everywhere.
_LOOPS = frozenset("blo flo back front".split())


class Edition(NamedTuple):
    """The text of an edition and what each of its rows says, by where it begins."""

    source: Source
    contents: Mapping[int, Content]

    def rows(self, piece: Piece) -> list[Content]:
        """What the rows of a piece say."""
        return [self.contents[row.span.start] for row in piece.rows]

    def reading(self, piece: Piece, held: Content) -> Reading:
        """What stands in a row, to be quoted."""
        row, tallied = held.row, held.tallied
        return Reading(
            " ".join(self.source.quote(row.span).split()),
            self.source.line_of(row.span.start),
            piece.name,
            row.name,
            tallied.stated if tallied else None,
            held.worked,
        )


def row_entries(
    pieces: tuple[Piece, Piece], editions: tuple[Edition, Edition], defined_anew: bool
) -> tuple[list[Entry], list[Renumbered]]:
    """The rows that changed, and those that only have other labels.

    ``defined_anew`` tells that the editions explain a stitch in different ways: a row that
    names it and is the same otherwise has not changed.
    """
    rows = [edition.rows(piece) for edition, piece in zip(editions, pieces, strict=True)]
    pairs = aligned(rows[0], rows[1], _cost, _named)
    partners = _partners(pairs)
    below = [dict(zip(map(id, each[1:]), each, strict=False)) for each in rows]
    entries: list[Entry] = []
    for old, new in pairs:
        was = editions[0].reading(pieces[0], old) if old else None
        now = editions[1].reading(pieces[1], new) if new else None
        if old is None or new is None:
            entries.append(Entry(Kind.ROW, was, now))
        elif not _same(old, new, partners, defined_anew):
            under = (below[0].get(id(old)), below[1].get(id(new)))
            same = same_spelled_out((under[0], old), (under[1], new))
            entries.append(Entry(Kind.ROW, was, now, wording=same))
        elif old.words != new.words and not _only_numbers(old, new):
            entries.append(Entry(Kind.ROW, was, now, wording=True))
    return entries, list(_renumbered(pieces[1].name, pairs))


def _named(held: Content) -> tuple[object, ...]:
    return held.named


def _cost(old: Content, new: Content) -> int:
    """How unlike two rows are."""
    other_label = _OTHER_LABEL * (old.label != new.label)
    if old.named == new.named:
        return other_label + _OTHER_NUMBERS * ((old.key, old.numbers) != (new.key, new.numbers))
    if alike(old.vocabulary, new.vocabulary):
        return CHANGED + other_label
    return UNLIKE if other_label else REPLACED


def _partners(pairs: Sequence[Pair[Content]]) -> dict[int, int]:
    """The number of each row in the old edition -> its number in the new one."""
    numbers: dict[int, int] = {}
    for old, new in pairs:
        if old is None or new is None:
            continue
        for one, other in zip(_numbers(old), _numbers(new), strict=False):
            numbers.setdefault(one, other)
    return numbers


def _numbers(held: Content) -> range:
    label = held.row.label
    if label is None or not label.first:
        return range(0)
    return range(label.first[0], (label.last or label.first)[0] + 1)


def _same(old: Content, new: Content, partners: Mapping[int, int], defined_anew: bool) -> bool:
    """Whether two rows are worked alike, and refer to rows that answer to each other."""
    if old.key != new.key and not (defined_anew and old.named == new.named):
        return False
    if not _LOOPS.isdisjoint(old.vocabulary ^ new.vocabulary):
        return False
    if old.numbers == new.numbers:
        return True
    return tuple(partners.get(number, number) for number in old.numbers) == new.numbers


def _only_numbers(old: Content, new: Content) -> bool:
    """Whether the words are the same but for the numbers of rows."""
    if old.numbers == new.numbers:
        return False
    words = zip(old.words, new.words, strict=False)
    return len(old.words) == len(new.words) and all(
        one == other or (one.isdecimal() and other.isdecimal()) for one, other in words
    )


def _renumbered(piece: str, pairs: Sequence[Pair[Content]]) -> Iterator[Renumbered]:
    """Rows with other labels than before, put together where the labels moved by as much."""
    relabelled = [
        (old, new) if old and new and old.label != new.label else None for old, new in pairs
    ]
    for moved, group in groupby(relabelled, key=_moved):
        if moved is not None:
            both = [pair for pair in group if pair]
            yield Renumbered(
                piece,
                tuple(old.row.name for old, _ in both),
                tuple(new.row.name for _, new in both),
            )


def _moved(pair: tuple[Content, Content] | None) -> int | None:
    """By how much the number moved; None where the label is the same."""
    if pair is None:
        return None
    old, new = (_numbers(held) for held in pair)
    return new.start - old.start
