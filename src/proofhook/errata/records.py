"""What a list of errata holds: frozen records, each with its old and its new side."""

from __future__ import annotations

from enum import Enum

from proofhook.records import dataclass, replace


class Kind(str, Enum):
    """What an entry is about."""

    ROW = "row"
    PIECE = "piece"
    MATERIAL = "material"
    HOOK = "hook"
    GAUGE = "gauge"
    SIZES = "sizes"
    ABBREVIATION = "abbreviation"
    TEXT = "text"


@dataclass(frozen=True, slots=True)
class Reading:
    """What one edition says at a place.

    ``piece`` is the name of its piece, "" outside the pieces; ``row`` its label, "" where it
    is no row or has none.  ``words`` are quoted, ``lines`` of them where it is a whole piece.
    ``stated`` and ``worked`` are the total and the stitches made, one figure a size, None where
    there is none.  ``line`` is the 1-based line of the text that was compared.
    """

    words: str
    line: int
    piece: str = ""
    row: str = ""
    stated: tuple[int, ...] | None = None
    worked: tuple[int, ...] | None = None


@dataclass(frozen=True, slots=True)
class Entry:
    """One change: ``old`` is None where something was put in, ``new`` where it was left out.

    ``wording`` tells that the stitches and figures are the same and only the words differ.
    """

    kind: Kind
    old: Reading | None
    new: Reading | None
    wording: bool = False

    @property
    def reading(self) -> Reading:
        """The new reading, or the old one of what was left out."""
        reading = self.new or self.old
        assert reading is not None
        return reading

    def swapped(self) -> Entry:
        """The entry with old and new exchanged."""
        return replace(self, old=self.new, new=self.old)


@dataclass(frozen=True, slots=True)
class Renumbered:
    """Rows that say what they said under other labels, one after the other in a piece."""

    piece: str
    old: tuple[str, ...]
    new: tuple[str, ...]

    def swapped(self) -> Renumbered:
        """The same with old and new exchanged."""
        return replace(self, old=self.new, new=self.old)


@dataclass(frozen=True, slots=True)
class Errata:
    """All that changed between two editions, in the order of the text.

    ``terms`` is "us" where the editions have different terms, so that the words of both are
    quoted in US terms; else "".  ``reserve`` is a sentence about what could not be compared,
    "" where everything was.
    """

    entries: tuple[Entry, ...]
    renumbered: tuple[Renumbered, ...] = ()
    terms: str = ""
    reserve: str = ""

    @property
    def changes(self) -> tuple[Entry, ...]:
        """The entries that are about more than the wording."""
        return tuple(entry for entry in self.entries if not entry.wording)

    @property
    def worded(self) -> tuple[Entry, ...]:
        """The entries that are about the wording alone."""
        return tuple(entry for entry in self.entries if entry.wording)

    def swapped(self) -> Errata:
        """The errata from the new edition to the old one."""
        return replace(
            self,
            entries=tuple(entry.swapped() for entry in self.entries),
            renumbered=tuple(rows.swapped() for rows in self.renumbered),
        )
