"""Errata as text to be published, plain or in Markdown."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import groupby

from proofhook.errata.records import Entry, Errata, Kind, Renumbered
from proofhook.expressions import expression
from proofhook.records import NamedTuple
from proofhook.showing.ink import joined, tame, wrapped

#: The headings that entries outside the pieces go under.
HEADINGS = {
    Kind.MATERIAL: "Materials",
    Kind.HOOK: "Hook",
    Kind.GAUGE: "Gauge",
    Kind.SIZES: "Sizes",
    Kind.ABBREVIATION: "Abbreviations",
    Kind.TEXT: "Text",
    Kind.PIECE: "Pieces",
    Kind.ROW: "Rows",
}
TERMS = "Both editions are quoted in US terms."
_WIDEST = 80
_SPECIAL = expression(r"([\\`*_\[\]<>#|])")


class _Form(NamedTuple):
    """What one form of the text puts around its parts."""

    markdown: bool

    def title(self, words: str) -> str:
        return f"# {words}" if self.markdown else words.upper()

    def heading(self, words: str) -> str:
        return f"## {self.safe(words)}" if self.markdown else tame(words).upper()

    def place(self, words: str) -> str:
        return f"**{self.safe(words)}**" if self.markdown else tame(words)

    def safe(self, words: str) -> str:
        """Words of a pattern, which may hold marks that Markdown would take for its own."""
        return _SPECIAL.sub(r"\\\1", tame(words)) if self.markdown else tame(words)

    def quoted(self, what: str, words: str) -> Iterator[str]:
        """What an edition says, after a word that tells which it is."""
        lines = words.split("\n")
        if self.markdown:
            yield f"- {what}: {self.safe(lines[0])}" + ("  " if lines[1:] else "")
            for number, line in enumerate(lines[1:], 2):
                yield f"  {self.safe(line)}" + ("  " if number < len(lines) else "")
            return
        for number, line in enumerate(lines):
            for again, part in enumerate(wrapped(tame(line), _WIDEST - 10)):
                margin = "" if number or again else f"{what}:"
                yield f"  {margin:<6}  {'  ' if again else ''}{part}".rstrip()

    def remark(self, words: str) -> Iterator[str]:
        if self.markdown:
            yield f"- {self.safe(words)}"
        else:
            for number, line in enumerate(wrapped(tame(words), _WIDEST - 2)):
                yield f"  {'  ' if number else ''}{line}"


def errata_page(errata: Errata, wording: bool, markdown: bool) -> Iterator[str]:
    """The lines of the errata; none where there are none.

    With ``wording``, what is only worded differently is there too.
    """
    form = _Form(markdown)
    entries = errata.entries if wording else errata.changes
    if not entries and not errata.renumbered:
        return
    yield form.title("Errata")
    if errata.terms:
        yield from ("", TERMS)
    groups = [(name, list(group)) for name, group in groupby(entries, key=_heading)]
    left = list(errata.renumbered)
    last = {piece: at for at, (piece, _) in enumerate(groups)}
    for at, (name, group) in enumerate(groups):
        moved = [rows for rows in left if rows.piece == name[1]] if last[name] == at else []
        left = [rows for rows in left if rows not in moved]
        yield from _part(form, name[0], group, moved)
    for piece, rows in groupby(left, key=lambda rows: rows.piece):
        yield from _part(form, piece or HEADINGS[Kind.ROW], [], list(rows))


def _heading(entry: Entry) -> tuple[str, str]:
    """The heading that an entry goes under, and the piece it belongs to."""
    piece = entry.reading.piece
    if piece or entry.kind is Kind.ROW:
        return piece or HEADINGS[Kind.ROW], piece
    return HEADINGS[entry.kind], "\0"


def _part(
    form: _Form, heading: str, entries: Sequence[Entry], moved: Sequence[Renumbered]
) -> Iterator[str]:
    yield from ("", form.heading(heading))
    for entry in entries:
        yield ""
        yield from _entry(form, entry)
    for rows in moved:
        yield ""
        yield from form.remark(renumbering(rows))


def _entry(form: _Form, entry: Entry) -> Iterator[str]:
    place = _place(entry)
    if place != HEADINGS[entry.kind]:
        yield form.place(place)
        if form.markdown:
            yield ""
    if entry.old:
        yield from form.quoted("was", entry.old.words)
    if entry.new:
        yield from form.quoted("now", entry.new.words)
    if count := _count(entry):
        yield from form.remark(count)


def _place(entry: Entry) -> str:
    """What the entry is about, and what became of it."""
    row = entry.reading.row
    if entry.kind is Kind.ROW:
        name = row or "A line without a label"
    else:
        name = "The piece" if entry.kind is Kind.PIECE else HEADINGS[entry.kind]
    if entry.old is None:
        return f"{name} (put in)"
    if entry.new is None:
        return f"{name} (left out)"
    if entry.old.row != row and row:
        return f"{name} (before: {entry.old.row or 'without a label'})"
    return f"{name} (worded differently)" if entry.wording else name


def _count(entry: Entry) -> str:
    """What a row made and makes, where that is known and differs."""
    if entry.kind is not Kind.ROW or entry.old is None or entry.new is None:
        return ""
    old, new = entry.old.worked, entry.new.worked
    if old is None or new is None or old == new:
        return ""
    return f"It made {_figures(old)}, and now makes {_figures(new)}."


def _figures(figures: tuple[int, ...]) -> str:
    first, *more = map(str, figures)
    return f"{first} ({', '.join(more)})" if more else first


def renumbering(rows: Renumbered) -> str:
    """A sentence that tells the old and the new labels of rows."""
    if len(rows.old) > 2:
        old, new = (f"{labels[0]} to {labels[-1]}" for labels in (rows.old, rows.new))
    else:
        old, new = (joined([label or "a line" for label in each]) for each in (rows.old, rows.new))
    return f"{old} {'is' if len(rows.old) == 1 else 'are'} now {new}."
