"""The sheet of one pattern: summary, findings, pictures and counts, the marked text, the house."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import groupby
from typing import TYPE_CHECKING

from proofhook.proofing.finding import GRADES
from proofhook.records import NamedTuple
from proofhook.showing.ink import shown_path
from proofhook.showing.page import WORDS
from proofhook.showing.sheet.counts import Entry, entries
from proofhook.showing.sheet.house import settings, standing
from proofhook.showing.sheet.marked_text import blocks_of, notes_of
from proofhook.showing.sheet.picture import Picture, pictures
from proofhook.showing.sheet.rendering import rendered
from proofhook.showing.sums import Sums

if TYPE_CHECKING:
    from proofhook.proofing.proof import Proof
    from proofhook.proofing.rule import Rule


LONGEST_TITLE = 160


class PieceView(NamedTuple):
    """A piece as the sheet shows it: its pictures and its lines of the table."""

    name: str
    make: int | None
    pictures: tuple[Picture, ...]
    entries: tuple[Entry, ...]


def sheet(
    proof: Proof, rules: Sequence[Rule] = (), *, name: str = "", date: str = "", back: str = ""
) -> str:
    """The proof sheet of a pattern, a whole HTML page.

    ``rules`` are those that the proof was made with; the sheet tells which of them the
    house wants otherwise.  ``name`` is what the file is called (by default the end of its
    path), ``date`` the day of the proof, ``back`` the name of an index page to go back to.

    Raises ExtraError where Jinja2 is not installed.
    """
    notes = notes_of(proof)
    name = name or shown_path(proof.pattern.source.path.replace("\\", "/").rpartition("/")[2])
    sizes = proof.pattern.sizes
    return rendered(
        "sheet.html.jinja",
        title=title_of(proof) or name or "Untitled pattern",
        name=name,
        date=date,
        back=back,
        sums=Sums().plus(proof),
        grades=[(grade.word, *WORDS[grade]) for grade in GRADES.values()],
        fails=proof.failing,
        failing=[WORDS[grade][1] for grade in GRADES.values() if proof.house.fails(grade)],
        failures=proof.failures,
        notes=notes,
        gravest_first=sorted(notes, key=lambda note: -note.finding.grade),
        blocks=blocks_of(proof, notes),
        pieces=list(_pieces(proof)),
        sizes=sizes if len(sizes) > 1 else (),
        settings=list(settings(proof.house, rules)),
        sheets=[path.replace("\\", "/").rpartition("/")[2] for path in proof.house.sheets],
        rules=len([rule for rule in rules if proof.house.grade_of(rule)]),
        standing=list(standing(proof)),
    )


def title_of(proof: Proof) -> str:
    """The title of a pattern on one line, cut short where it is no title at all."""
    title = " ".join(proof.pattern.title[: 4 * LONGEST_TITLE].split())
    return title if len(title) <= LONGEST_TITLE else f"{title[: LONGEST_TITLE - 1]}…"


def _pieces(proof: Proof) -> Iterator[PieceView]:
    tally = proof.tally
    for number, (_, group) in enumerate(groupby(tally.rows, key=lambda row: id(row.piece)), 1):
        rows = list(group)
        name = " ".join(rows[0].piece.name.split()) or f"Part {number}"
        yield PieceView(
            name,
            rows[0].piece.make,
            tuple(pictures(tally, rows, name)),
            tuple(entries(tally, rows)),
        )
