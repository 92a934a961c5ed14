"""A pattern in the other terms: all edits are of the text as found, so none builds on another."""

from __future__ import annotations

import re
from collections.abc import Iterator

from proofhook import expressions as rx
from proofhook.expressions import expression
from proofhook.pattern import Pattern
from proofhook.reading.words import LOOKALIKES
from proofhook.records import NamedTuple
from proofhook.text import IN_ORDER, Edit, Span, apply_edits
from proofhook.translating.hook_labels import labels_gained
from proofhook.translating.lists import sorted_again
from proofhook.translating.names import Named, is_stitch, lone_abbreviations, names_in
from proofhook.translating.places import Places, Spans, places_of, unread_in
from proofhook.translating.sides import said_of_a_side
from proofhook.translating.words import words_in

#: "UK terms are given in brackets": each name stands there twice.
_BOTH_GIVEN = expression(
    r"\b(?:US|UK|American|British)\b[^\n.]{0,40}\b(?:in|within)\s+(?:\w+\s+)?(?:brackets|parenthes[ei]s)",
    re.IGNORECASE,
)
_AS_ALL_CAPS = lone_abbreviations("us") | lone_abbreviations("uk")

#: Letters of other alphabets that look like those of ours, as the reader takes them.
_LETTERS = {char: like for char, like in LOOKALIKES.items() if like.isalpha() and like != "x"}


class Left(NamedTuple):
    """Words that a person has to look at, and why they were left as they are."""

    span: Span
    why: str


class Translation(NamedTuple):
    """What a pattern becomes in the other terms.

    ``edits`` make ``text`` of the text as found.  ``left`` is for a person to look at, in
    the order of the text; ``bars`` is what forbids a translation.  ``words`` are the
    edits of words that name no stitch, ``gained`` those that give hooks a label.
    """

    text: str
    edits: tuple[Edit, ...]
    left: tuple[Left, ...]
    bars: tuple[Left, ...]
    words: frozenset[Edit]
    gained: frozenset[Edit]


def translated(pattern: Pattern, side: str, to: str) -> Translation:
    """The text of a pattern of the terms ``side`` in the terms ``to`` ("us" or "uk").

    Where both are the same, the usual names of that side take the place of others.
    Nothing is proved here; see ``proved.second_edition``.
    """
    text = pattern.source.text
    plain = text if text.isascii() else text.translate(_LETTERS)
    places = places_of(pattern)
    said = list(said_of_a_side(plain))
    own = Spans((each.name.start, each.name.end) for each in said)
    edits: list[Edit] = []
    left: list[Left] = []
    bars: list[Left] = []
    if side != to:
        edits += (edit for each in said for edit in each.edits)
    for named in names_in(plain, side, to):
        span = Span(named.start, named.end)
        if own.touch(*_ends(span)):
            continue
        why = _kept(named, text, places)
        if why:
            left.append(Left(span, why))
        elif why is not None and named.foreign:
            found = bars if places.rows.touch(*_ends(span)) else left
            found.append(Left(span, "it is a word of the other terms"))
        elif why is not None:
            edits += named.edits
    words: list[Edit] = []
    for edit, doubtful in words_in(pattern, places, to):
        if doubtful and not _stays(places, edit.start, edit.end):
            left.append(Left(Span(edit.start, edit.end), doubtful))
        elif not doubtful:
            words.append(edit)
    gained = frozenset(labels_gained(text, places, to))
    edits += [*words, *gained]
    edits = [edit for edit in edits if not _stays(places, edit.start, edit.end)]
    if side != to:
        left += (Left(span, "it is not read") for span in unread_in(pattern))
        both = _BOTH_GIVEN.search(text)
        if both:
            bars.append(Left(Span(*both.span()), "the text gives both US and UK names"))
    ordered = sorted_again(pattern, _apart(edits))
    seen = tuple(sorted(set(left)))
    return Translation(
        apply_edits(text, ordered),
        tuple(ordered),
        seen,
        tuple(sorted(set(bars))),
        frozenset(words),
        gained,
    )


def undone(made: Translation, again: Translation) -> str:
    """The text of ``again``, the edition translated back, as far as it undoes ``made``.

    What hooks gained is taken away, and a word that stood there in the other side's form
    before stays: "colour" in a pattern of US terms.  Stitches are all translated back.
    """
    places = [(edit, *place) for edit, place in _places_after(made.edits)]
    touched = Spans((start, max(end, start + 1)) for _, start, end in places)
    kept = [
        edit
        for edit in again.edits
        if edit not in again.gained
        and (edit not in again.words or touched.touch(edit.start, max(edit.end, edit.start + 1)))
    ]
    lost = [Edit(start, end, "") for edit, start, end in places if edit in made.gained]
    return apply_edits(made.text, [*kept, *lost])


def _places_after(edits: tuple[Edit, ...]) -> Iterator[tuple[Edit, tuple[int, int]]]:
    """Where in the text that is made the words of the edits stand."""
    moved = 0
    for edit in edits:
        start = edit.start + moved
        yield edit, (start, start + len(edit.text))
        moved += len(edit.text) - (edit.end - edit.start)


def _stays(places: Places, start: int, end: int) -> bool:
    end = max(end, start + 1)
    return any(
        kept.touch(start, end)
        for kept in (places.unread, places.quoted, places.closed, places.title)
    )


def _kept(named: Named, text: str, places: Places) -> str | None:
    """Why a name stays as it is; "" where it does not, None where it is no stitch at all."""
    start, end = named.start, named.end
    if places.closed.touch(start, end) or named.words in places.others:
        return None
    if places.unread.touch(start, end):
        return None
    if named.bare and not _is_worked(named, text, places):
        treble = "treble" in named.words.lower() and not places.title.touch(start, end)
        return "it may not be a stitch" if treble and not _OTHER_TREBLE.match(text, end) else None
    if places.title.touch(start, end):
        return "it stands in the title"
    if places.quoted.touch(start, end):
        return "it stands in a quotation"
    told = places.rows.touch(start, end) or places.told.touch(start, end)
    if told:
        return ""
    if named.words in _AS_ALL_CAPS:
        return "" if places.capitals else "outside the rows it may be something else"
    if _is_a_name(named, text, places):
        return "it may be a name"
    return ""


def _is_worked(named: Named, text: str, places: Places) -> bool:
    """Whether a lone word is a stitch: by the words around it, in rows by what was read."""
    if places.rows.touch(named.start, named.end):
        return named.start in places.worked
    if " " in named.words:
        return places.told.touch(named.start, named.end)
    return is_stitch(text, named.start, named.end) or named.start in places.meanings


_OTHER_TREBLE = expression(
    r"\s+(?:clef|the|your|chance|recorder|voice|up|in\s+size)\b", re.IGNORECASE
)


def _is_a_name(named: Named, text: str, places: Places) -> bool:
    """Whether words in capitals belong to a name: "Treble Clef DK", "the Double Crochet Guild"."""
    words = named.words.split()
    if not words[0][:1].isupper() or named.words.isupper():
        return False
    if places.headings.touch(named.start, named.end):
        return False
    after = rx.match(r"[ \t]+[A-Z][a-z]+", text[named.end : named.end + 20]) is not None
    before = rx.search(r"[A-Z][a-z]+[ \t]+$", text[max(0, named.start - 25) : named.start])
    if places.materials.touch(named.start, named.end):
        return after or before is not None
    return after and len(words) > 1


def _ends(span: Span) -> tuple[int, int]:
    return span.start, span.end


def _apart(edits: list[Edit]) -> Iterator[Edit]:
    """The edits without those that overlap an earlier one."""
    done = -1
    for edit in sorted(set(edits), key=IN_ORDER):
        if edit.start >= done:
            yield edit
            done = max(edit.end, edit.start)
