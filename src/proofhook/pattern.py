"""The model of a written pattern: what the reader found, each part with its span.

Steps inside a row carry spans relative to the row's body, because the steps of a
row are a pure function of its words and are shared between rows that read alike;
``Row.body`` says where that body lies in the text.
"""

from __future__ import annotations

from enum import Enum
from typing import TYPE_CHECKING, TypeAlias

from proofhook.records import dataclass
from proofhook.text import Source, Span
from proofhook.trade.headings import NO_HEADINGS, OwnHeadings

if TYPE_CHECKING:
    import proofhook

#: A number as written: one figure, or one for each size.
Amount: TypeAlias = tuple[int, ...]


def at_size(amount: Amount, size: int) -> int:
    """The figure for one size (0-based); a single figure serves every size."""
    return amount[0] if len(amount) == 1 else amount[min(size, len(amount) - 1)]


class Which(Enum):
    """Where in the row below a step is worked."""

    NEXT = "next"
    FIRST = "first"
    LAST = "last"
    SAME = "same"
    EACH = "each"
    NTH = "nth"
    RING = "ring"
    HOOK = "from hook"
    TURNING_CHAIN = "turning chain"
    CORNER = "corner"
    MIDDLE = "middle"
    BETWEEN = "between"
    ANY = "any"
    EDGE = "edge"
    ELSEWHERE = "elsewhere"


@dataclass(frozen=True, slots=True)
class What:
    """What is worked into: ``st`` (any stitch), a stitch name, ``sp``, ``ch`` ...

    ``length`` is the number of chains of a chain space, where it is said.
    ``of`` names the group the place belongs to ("ch-1 sp of next V-st").
    """

    name: str
    length: int | None = None
    of: str = ""


@dataclass(frozen=True, slots=True)
class Until:
    """How far a fill goes: to the end, or to something that is left."""

    kind: str  # "end", "last", "corner", "marker", "place", "remain"
    count: Amount = (0,)
    what: What | None = None


@dataclass(frozen=True, slots=True)
class Place:
    """One place, or a run of places, to work into."""

    which: Which
    count: Amount = (1,)
    whats: tuple[What, ...] = ()
    each: bool = False
    until: Until | None = None
    nth: int = 0
    row: int | None = None


@dataclass(frozen=True, slots=True)
class Stitch:
    """A stitch as the row names it.

    ``name`` is the normal form of the written name, ``base`` the stitch it is counted
    as, ``uses`` places below and ``makes`` stitches, worked once.
    ``steps`` holds a group that the pattern itself defines (a shell, a V-stitch).
    """

    name: str
    base: str
    uses: int = 1
    makes: int = 1
    steps: tuple[Step, ...] = ()
    role: str = ""  # "", "inc", "dec", "tog", "group", "picot", "slip", "foundation"


@dataclass(frozen=True, slots=True)
class OwnWords:
    """The words of a house over those of the trade.

    ``stitches`` are its stitch names in small letters; ``meanings`` are names that it
    explains in words, read as a pattern's own definitions are, which go before them.
    """

    stitches: tuple[tuple[str, Stitch], ...] = ()
    meanings: tuple[tuple[str, str], ...] = ()
    headings: OwnHeadings = NO_HEADINGS


#: The words of a house that has none of its own.
NO_WORDS = OwnWords()


@dataclass(frozen=True, slots=True)
class Work:
    """Work ``count`` of a stitch, at ``place`` or in the next stitches."""

    span: Span
    stitch: Stitch
    count: Amount | None = None
    place: Place | None = None
    times: Amount = (1,)
    count_after: bool = False


@dataclass(frozen=True, slots=True)
class Chain:
    """Chains worked; ``counts_as`` holds the stitch they stand for, where it is said.

    ``counts`` is None where the words are silent; ``space`` is the number of
    further chains that form a space ("ch 5, counts as dc and ch-2 sp").
    """

    span: Span
    count: Amount
    counts: bool | None = None
    counts_as: str = ""
    space: int = 0


@dataclass(frozen=True, slots=True)
class Skip:
    """Places passed over."""

    span: Span
    place: Place
    unworked: bool = False


@dataclass(frozen=True, slots=True)
class Group:
    """Steps worked together: in one place, or as written (``place`` None).

    ``name`` is what the pattern calls them where they go over several places.
    """

    span: Span
    steps: tuple[Step, ...]
    place: Place | None = None
    times: Amount = (1,)
    name: str = ""


@dataclass(frozen=True, slots=True)
class Repeat:
    """Steps worked several times.

    ``times`` None means as often as fits, up to ``until``.  ``more`` marks "n more
    times" (one further pass), ``doubtful`` a wording that makers read both ways.
    ``cut`` is the number of steps of the last pass where that ends early.  ``implied``
    marks a repeat that no word asks for ("*sc, inc* (18)").
    """

    span: Span
    steps: tuple[Step, ...]
    times: Amount | None = None
    more: bool = False
    doubtful: bool = False
    until: Until | None = None
    cut: int | None = None
    implied: bool = False
    trailing: bool = False


@dataclass(frozen=True, slots=True)
class Each:
    """Stitches worked along the row by what each place is: "sc in each sc and 2 sc in each sp"."""

    span: Span
    works: tuple[Work | Group, ...]


@dataclass(frozen=True, slots=True)
class Turn:
    """The work is turned."""

    span: Span


@dataclass(frozen=True, slots=True)
class Join:
    """The round is joined, or yarn is joined anew at ``place``."""

    span: Span
    place: Place | None = None
    new_yarn: bool = False
    ring: bool = False


@dataclass(frozen=True, slots=True)
class Ring:
    """A magic ring, or a chain joined into one."""

    span: Span


@dataclass(frozen=True, slots=True)
class Loops:
    """Only one loop, or the loops of an earlier row (``row`` or "" for the last)."""

    span: Span
    which: str
    row: int | None = None


@dataclass(frozen=True, slots=True)
class OtherSide:
    """The work goes on along the other side of the foundation chain."""

    span: Span


@dataclass(frozen=True, slots=True)
class FastenOff:
    """The yarn is cut."""

    span: Span


#: The kind of a note that each chain space is worked into as if it were a stitch.
SPACES_AS_STITCHES = "spaces as stitches"

#: A filled mesh of filet, of which the stitches are not counted.
MESH = "bl"

#: A stitch of the pattern stitch, whichever it is.
IN_PATTERN = Stitch("st", "", 1, 1, role="patt")


_TO_THE_END = Until("end")


def every_stitch(span: Span, stitch: Stitch, until: Until = _TO_THE_END) -> Work:
    """A stitch into each of the row below, to its end or to where it says."""
    place = Place(Which.EACH, whats=(What("st"),), each=True, until=until)
    return Work(span, stitch, None, place)


@dataclass(frozen=True, slots=True)
class RowsReference:
    """Earlier rows are worked again ("Rep Rows 2 and 3", "as Row 3").

    ``first`` and ``last`` bound the rows; ``previous`` counts back from here instead;
    ``times`` is how often all of them are worked, None where the label's range decides;
    ``name`` is what the row is called ("dec row"), which goes before the count back.
    """

    span: Span
    rows: tuple[int, ...] = ()
    previous: int = 0
    times: Amount | None = None
    more: bool = False
    piece: str = ""
    until: Until | None = None
    swaps: tuple[tuple[Step, Step], ...] = ()
    name: str = ""


@dataclass(frozen=True, slots=True)
class Evenly:
    """A change spread evenly: ``change`` stitches more (or fewer, negative)."""

    span: Span
    change: Amount


@dataclass(frozen=True, slots=True)
class Unit:
    """One figure of a total and what it counts: "" (whatever there is), ``st``, ``dc`` ..."""

    count: Amount
    what: str
    length: int | None
    span: Span
    words: str = ""


@dataclass(frozen=True, slots=True)
class Total:
    """A stated total, at the place in the row where it stands."""

    span: Span
    units: tuple[Unit, ...]
    change: bool = False


@dataclass(frozen=True, slots=True)
class Note:
    """Words without arithmetic: colours, markers, stuffing, asides."""

    span: Span
    kind: str = ""


@dataclass(frozen=True, slots=True)
class Unread:
    """Words that were not understood and may change the count."""

    span: Span


Step: TypeAlias = (
    Work
    | Chain
    | Skip
    | Group
    | Repeat
    | Each
    | Turn
    | Join
    | Ring
    | Loops
    | OtherSide
    | FastenOff
    | RowsReference
    | Evenly
    | Total
    | Note
    | Unread
)


@dataclass(frozen=True, slots=True)
class Label:
    """A row's label: its words, its numbers and whether it says row or round.

    ``first`` and ``last`` bound a range (one value a size); both None without a number.
    ``rows`` is how many rows the label stands for where it says so ("Next 3 rows").
    """

    span: Span
    text: str
    kind: str  # "row", "round", "" (a bare number) or "free" (no number: "Border")
    first: Amount | None = None
    last: Amount | None = None
    rows: Amount | None = None
    open_end: bool = False


@dataclass(frozen=True, slots=True)
class Row:
    """A row or round: label, body and the steps read from the body.

    ``span`` covers the whole row, its total included; ``body`` the words after the
    label.  Spans of ``steps`` are relative to ``body.start``.
    """

    span: Span
    body: Span
    label: Label | None
    steps: tuple[Step, ...]
    sizes: tuple[int, ...] | None = None  # only for these sizes (0-based)
    detached: bool = False  # the yarn was joined anew elsewhere before this row

    @property
    def name(self) -> str:
        """The label as people say it, or "" for an unlabelled line."""
        return self.label.text if self.label else ""


@dataclass(frozen=True, slots=True)
class Piece:
    """A part of the work: rows that follow one another, from one start."""

    name: str
    span: Span
    heading: Span | None
    rows: tuple[Row, ...]
    make: int | None = None
    notes: tuple[Span, ...] = ()


@dataclass(frozen=True, slots=True)
class Section:
    """A part of the text that is not rows: materials, gauge, notes ...

    ``kind`` is one of the kinds of ``trade/headings.toml`` ("materials", "notes" ...),
    "title" for what comes before the first heading, or "other".
    """

    kind: str
    heading: Span | None
    body: Span


@dataclass(frozen=True, slots=True)
class Definition:
    """An entry of the pattern's own abbreviation list or special stitches.

    ``short`` is the short name that stands beside the full one: "sh" in "Shell (sh): ...".
    """

    span: Span
    abbreviation: str
    meaning: str
    abbreviation_span: Span
    meaning_span: Span
    special: bool = False
    short: str = ""


@dataclass(frozen=True, slots=True)
class ChainCustom:
    """What the pattern says about its turning chains.

    ``length`` chains (0: any) count as ``counts_as`` plus a space of ``space``
    chains, or do not count.  ``piece`` limits it to the piece of that name.
    """

    span: Span
    length: int
    counts: bool
    counts_as: str = ""
    space: int = 0
    piece: str = ""


@dataclass(frozen=True, slots=True)
class Pattern:
    """A whole pattern, as read; ``own`` are the words of the house it was read with."""

    source: Source
    title: str
    terms: str  # "us", "uk" or "" where the text does not say and nothing decides
    terms_stated: Span | None
    sizes: tuple[str, ...]
    sections: tuple[Section, ...]
    pieces: tuple[Piece, ...]
    definitions: tuple[Definition, ...]
    customs: tuple[ChainCustom, ...] = ()
    own: OwnWords = NO_WORDS

    @property
    def rows(self) -> tuple[Row, ...]:
        """All rows of all pieces, in the order of the text."""
        return tuple(row for piece in self.pieces for row in piece.rows)

    # What can be done with a pattern is called on the pattern.  The rooms that do it lie
    # above this one, so it is asked for at the door.

    def tally(self) -> proofhook.Tally:
        """What every row makes, beside what it states: :func:`proofhook.tally`."""
        import proofhook

        return proofhook.tally(self)

    def proof(self, house: proofhook.House | None = None) -> proofhook.Proof:
        """What the rules of a house find in it: :func:`proofhook.proof`."""
        import proofhook

        return proofhook.proof(self, house)

    def tidy(self, house: proofhook.House | None = None) -> proofhook.Tidied:
        """It in the layout of a house: :func:`proofhook.tidy`."""
        import proofhook

        return proofhook.tidy(self, house)

    def translate(self, to: str, terms: str = "") -> proofhook.Edition | proofhook.Refusal:
        """Its second edition in the terms ``to``: :func:`proofhook.translate`."""
        import proofhook

        return proofhook.translate(self, to, terms)
