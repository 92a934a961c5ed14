"""Two editions of a pattern in, the errata between them out."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from proofhook.counting.tally import tally
from proofhook.errata.content import contents
from proofhook.errata.matching import likeness
from proofhook.errata.outside import outside_entries
from proofhook.errata.records import Entry, Errata, Kind, Reading, Renumbered
from proofhook.errata.rows import Edition, row_entries
from proofhook.pattern import Pattern, Piece
from proofhook.reading import read
from proofhook.records import NamedTuple, replace
from proofhook.sameness import said
from proofhook.text import Source
from proofhook.translating.proved import SIDES, Refusal, second_edition

#: How much of their rows pieces with different names share, to be one and the same.
_ALIKE = 0.5
#: The most pairs of pieces that are weighed against each other by their rows.
_MOST_WEIGHED = 2_500


def errata(old: Pattern, new: Pattern) -> Errata:
    """What changed from the old edition to the new one.

    Rows, pieces and lists are compared whatever their layout, and whatever terms each
    edition is in.  Exchanging the editions exchanges the sides of every entry.
    """
    if new.source.text < old.source.text:
        return _errata(new, old).swapped()
    return _errata(old, new)


def _errata(old: Pattern, new: Pattern) -> Errata:
    common = _in_common_terms(old, new)
    old, new = common.old, common.new
    editions = (
        Edition(old.source, contents(old, tally(old))),
        Edition(new.source, contents(new, tally(new))),
    )
    pieces = _pieces(old.pieces, new.pieces, editions)
    names = {one.name: other.name for one, other in pieces if one and other}
    outside = [] if common.reserve else outside_entries(old, new, names, not common.terms)
    defined_anew = any(entry.kind is Kind.ABBREVIATION for entry in outside)
    entries: list[Entry] = []
    renumbered: list[Renumbered] = []
    for one, other in pieces:
        whole = _piece_entry(one, other, editions)
        entries += [whole] if whole else []
        if one and other:
            changed, moved = row_entries((one, other), editions, defined_anew)
            entries += changed
            renumbered += moved
    before = [entry for entry in outside if not entry.reading.piece]
    within = [entry for entry in outside if entry.reading.piece]
    start = min((piece.span.start for piece in new.pieces), default=0)
    first = new.source.line_of(start)
    ahead = [entry for entry in before if entry.reading.line < first]
    after = [entry for entry in before if entry.reading.line >= first]
    return Errata(
        (*ahead, *_by_piece(entries, within, new.pieces), *after),
        tuple(renumbered),
        common.terms,
        common.reserve,
    )


def _by_piece(
    entries: Sequence[Entry], within: Sequence[Entry], pieces: Sequence[Piece]
) -> list[Entry]:
    """The entries of each piece together: its rows, and then what stands beside them."""
    there = (piece.name for piece in pieces)
    left = (entry.reading.piece for entry in (*entries, *within))
    names = dict.fromkeys((*there, *left))
    return [entry for name in names for entry in (*entries, *within) if entry.reading.piece == name]


# --- terms ------------------------------------------------------------------------------


class _Common(NamedTuple):
    """Both editions in the same terms, or a sentence that says why they are not."""

    old: Pattern
    new: Pattern
    terms: str = ""
    reserve: str = ""


def _in_common_terms(old: Pattern, new: Pattern) -> _Common:
    if not old.terms or not new.terms:
        terms = old.terms or new.terms
        return _Common(replace(old, terms=terms), replace(new, terms=terms))
    if old.terms == new.terms:
        return _Common(old, new)
    both: list[Pattern] = []
    for pattern in (old, new):
        text, terms = pattern.source.text, pattern.terms
        # Some words do not come back as they went ("aran" and "worsted", "sk" and "miss"),
        # so that both editions have to come from the same side, and to have been there.
        for to in ("us", "uk", "us") if terms == "uk" else ("uk", "us"):
            made = second_edition(Source(pattern.source.path, text), to, terms)
            if isinstance(made, Refusal):
                reserve = (
                    f"The edition in {SIDES[pattern.terms]} terms cannot be put into other "
                    f"terms, since {made.why}; so only the rows were compared."
                )
                return _Common(old, new, "", reserve)
            text, terms = made.text, to
        both.append(read(Source(pattern.source.path, text), "us"))
    return _Common(both[0], both[1], "us")


# --- pieces -----------------------------------------------------------------------------


def _pieces(
    old: Sequence[Piece], new: Sequence[Piece], editions: tuple[Edition, Edition]
) -> list[tuple[Piece | None, Piece | None]]:
    """The pieces that answer to each other, by their names and then by their rows."""
    named: dict[tuple[str, ...], list[int]] = {}
    for at, piece in enumerate(old):
        named.setdefault(said(piece.name), []).append(at)
    partners: dict[int, int] = {}
    for index, piece in enumerate(new):
        if found := named.get(said(piece.name)):
            partners[index] = found.pop(0)
    for at, index in _by_rows(old, new, partners, editions):
        if index not in partners and at not in partners.values():
            partners[index] = at
    taken = set(partners.values())
    pairs: list[tuple[Piece | None, Piece | None]] = [
        (old[partners[index]] if index in partners else None, piece)
        for index, piece in enumerate(new)
    ]
    return [*pairs, *((piece, None) for at, piece in enumerate(old) if at not in taken)]


def _by_rows(
    old: Sequence[Piece],
    new: Sequence[Piece],
    partners: Mapping[int, int],
    editions: tuple[Edition, Edition],
) -> list[tuple[int, int]]:
    """The pieces without a partner that have enough rows in common, the likest first."""
    taken = set(partners.values())
    held = {at: _rows(piece, editions[0]) for at, piece in enumerate(old) if at not in taken}
    wanted = {at: _rows(piece, editions[1]) for at, piece in enumerate(new) if at not in partners}
    if len(held) * len(wanted) > _MOST_WEIGHED:
        return []
    weighed = sorted(
        (-_likeness(rows, others), at, index)
        for at, rows in held.items()
        for index, others in wanted.items()
    )
    return [(at, index) for weight, at, index in weighed if -weight >= _ALIKE]


class _Rows(NamedTuple):
    """The rows of a piece, and their words."""

    keys: list[tuple[object, ...]]
    words: list[str]


def _rows(piece: Piece, edition: Edition) -> _Rows:
    rows = edition.rows(piece)
    return _Rows([held.named for held in rows], [word for held in rows for word in held.words])


def _likeness(one: _Rows, other: _Rows) -> float:
    """How alike two pieces are; words in common say less than rows in common."""
    return max(likeness(one.keys, other.keys), likeness(one.words, other.words) - 0.25)


def _piece_entry(
    old: Piece | None, new: Piece | None, editions: tuple[Edition, Edition]
) -> Entry | None:
    """What changed about a piece as a whole: its name, how often it is made, that it is there."""
    if old and new and said(old.name) == said(new.name) and old.make == new.make:
        return None
    whole = old is None or new is None
    was = _whole(old, editions[0], whole) if old else None
    now = _whole(new, editions[1], whole) if new else None
    return Entry(Kind.PIECE, was, now)


def _whole(piece: Piece, edition: Edition, rows: bool) -> Reading:
    """A piece by its heading, and with its rows where it is in one edition only."""
    quote = edition.source.quote
    lines = [quote(piece.heading) if piece.heading else piece.name]
    if rows:
        lines += [quote(row.span) for row in piece.rows]
    words = "\n".join(" ".join(line.split()) for line in lines if line.strip())
    return Reading(words, edition.source.line_of(piece.span.start), piece.name)
