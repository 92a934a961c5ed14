"""Whether two patterns say the same: the whole model, or the stitches alone.

A change that is only one of form must leave the model as it was; a translation must leave
every row's stitches and its tally.  Both are asked here, of the two texts as they are read.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Callable, Iterable, Iterator, Sequence
from enum import Enum
from functools import cache, lru_cache
from itertools import zip_longest
from typing import TYPE_CHECKING, Any

from proofhook.expressions import expression
from proofhook.pattern import (
    Definition,
    Note,
    Pattern,
    Piece,
    Repeat,
    Row,
    Step,
    Total,
    Turn,
    Unread,
    Which,
    Work,
)
from proofhook.reading.words import evened
from proofhook.records import NamedTuple, names_of, replace
from proofhook.text import Span

if TYPE_CHECKING:
    from proofhook.counting.result import Tally

#: Fields that tell where something stands or how it was written, not what it says.
_FORM = frozenset({"span", "words"})
_WORD = expression(r"\d+|[^\W\d_]+")
#: Words of a label that its kind and its numbers say already.
_OF_LABELS = frozenset(
    "rnd rnds round rounds row rows rd rds rw rws r to thru through st nd th".split()
)


def same_model(before: Pattern, after: Pattern) -> str | None:
    """None where both patterns say the same, else one sentence that tells what differs.

    Compared are the title, terms, sizes, sections, definitions and customs, the pieces with
    their names, and of each row the label, the steps and the totals.  Places in the text,
    capitals, marks and blanks are not; words that were not read must be the very same.
    """
    return next(_differences(before, after, _Reading(_as_it_is, True)), None)


def same_stitches(before: Pattern, after: Pattern, tallied: Tally | None = None) -> str | None:
    """None where both patterns make the same stitches, else one sentence that tells the row.

    Every row must have the same steps, and come out with the same tally: figures stated and
    worked in every size, and the verdict.  ``tallied`` is the tally of the pattern before,
    for whoever compares several with it.
    """
    from proofhook.counting.tally import tally

    difference = same_steps(before, after)
    if difference:
        return difference
    return next(_tally_differences(tallied or tally(before), tally(after)), None)


def same_steps(before: Pattern, after: Pattern) -> str | None:
    """None where all rows have the same steps, else one sentence that tells the row.

    Stitches go by their US names.
    """
    return next(_row_differences(before, after, _Reading(_in_us_terms, False)), None)


class _Reading(NamedTuple):
    """How steps are compared: the name a stitch goes by, and whether words are."""

    name_in: Callable[[str, str], str]
    words: bool


def _as_it_is(name: str, _terms: str) -> str:
    return name


@lru_cache(maxsize=1024)
def _in_us_terms(name: str, terms: str) -> str:
    """The name of a stitch in US terms, from a pattern in ``terms``."""
    return _NAME.sub(_us_name, name) if terms == "uk" else name


_NAME = expression(r"[a-z]+(?=\d+tog\b)|(?<![\w.])[a-z]+\b(?: st\b)?")


def _us_name(found: re.Match[str]) -> str:
    return _us_names().get(found.group(), found.group())


@cache
def _us_names() -> dict[str, str]:
    """UK names of basic stitches, in the form the reader gives them -> the US names."""
    from proofhook.trade import table
    from proofhook.trade.stitches import basics

    normal = basics()
    names: dict[str, str] = {}
    for row in table("terms")["stitch"]:
        for word in row.get("uk_short", ()):
            if word in normal and row["key"] in normal:
                names.setdefault(normal[word], normal[row["key"]])
    return names


def row_content(row: Row, pattern: Pattern) -> tuple[object, ...]:
    """The steps of a row as plain values, alike where rows say the same.

    Stitches go by their US names; places in the text are left out.  A model class is a tuple
    of itself and the values of ``field_names``, but a note is ``(Note, kind, words)`` and
    words that were not read are ``(Unread, words)``, words as ``said`` gives them.
    """
    where = _Where(pattern.source.quote(row.body), pattern.terms)
    reading = _Reading(_in_us_terms, True)
    return tuple(_bare(step, where, reading) for step in _in_order(row.steps))


def field_names(kind: type) -> tuple[str, ...]:
    """The fields of a class of the model in the order in which ``row_content`` gives them.

    None where it is no class of the model.
    """
    names = tuple(name for name in getattr(kind, "_fields", ()) if name not in _FORM)
    if kind is Repeat:
        return ("times", *(name for name in names if name not in _TIMES))
    return names


def said(words: str) -> tuple[str, ...]:
    """Words and figures of a text, whatever its capitals, blanks and marks."""
    plain = words if words.isascii() else _fractions_in_full(evened(words))
    return tuple(_WORD.findall(_INCHES.sub(r"\1 in", plain.casefold())))


#: After a figure all of these are inches.
_INCHES = expression(
    r"([\d)\]]|[\u00bc-\u00be\u2150-\u215e])[ -]{0,3}(?:inch(?:es)?\b|\"|''|\u2033|\u201d)"
)


def _fractions_in_full(words: str) -> str:
    return "".join(
        f" {unicodedata.normalize('NFKC', char)} "
        if unicodedata.decomposition(char).startswith("<fraction>")
        else char
        for char in words
    )


# --- the whole pattern ------------------------------------------------------------------


def _differences(before: Pattern, after: Pattern, reading: _Reading) -> Iterator[str]:
    titles = [_title(pattern) for pattern in (before, after)]
    if said(titles[0]) != said(titles[1]):
        yield f"The title “{_shown(titles[0])}” became “{_shown(titles[1])}”."
    if (before.terms, before.sizes) != (after.terms, after.sizes):
        yield "The terms or the sizes are read otherwise."
    kinds = [[section.kind for section in pattern.sections] for pattern in (before, after)]
    if kinds[0] != kinds[1]:
        yield f"The sections {_listed(kinds[0])} became {_listed(kinds[1])}."
    yield from _definition_differences(before, after)
    if _customs(before, reading) != _customs(after, reading):
        yield "What is said of the turning chains is read otherwise."
    yield from _row_differences(before, after, reading)


def _title(pattern: Pattern) -> str:
    """The title, "" where the first words of the text are a row."""
    end = pattern.source.text.find(pattern.title) + len(pattern.title)
    begins = min((row.span.start for row in pattern.rows), default=end)
    return pattern.title if end <= begins else ""


def _customs(pattern: Pattern, reading: _Reading) -> list[object]:
    return [
        (said(custom.piece), _bare(replace(custom, piece=""), _NOWHERE, reading))
        for custom in pattern.customs
    ]


def _definition_differences(before: Pattern, after: Pattern) -> Iterator[str]:
    lists = [sorted(pattern.definitions, key=_abbreviation) for pattern in (before, after)]
    for old, new in zip_longest(*lists):
        if old is None or new is None or _meaning(old) != _meaning(new):
            yield f"The abbreviation “{(old or new).abbreviation}” is explained otherwise."


def _abbreviation(definition: Definition) -> tuple[str, ...]:
    return said(definition.abbreviation)


def _meaning(definition: Definition) -> tuple[object, ...]:
    return (_abbreviation(definition), said(definition.meaning), definition.special)


def _listed(words: Sequence[str]) -> str:
    return "(" + ", ".join(words) + ")"


# --- pieces and rows --------------------------------------------------------------------


def _row_differences(before: Pattern, after: Pattern, reading: _Reading) -> Iterator[str]:
    for old, new in zip_longest(before.pieces, after.pieces):
        if old is None or new is None:
            yield f"The piece “{(old or new).name}” is there in one text only."
            return
        if reading.words and said(old.name) != said(new.name):
            yield f"The piece “{old.name}” became “{new.name}”."
        if old.make != new.make:
            yield f"How often the piece “{old.name}” is made is read otherwise."
        yield from _rows_of(old, new, (before, after), reading)


def _rows_of(
    old: Piece, new: Piece, patterns: tuple[Pattern, Pattern], reading: _Reading
) -> Iterator[str]:
    for one, other in zip_longest(old.rows, new.rows):
        row = one or other
        where = f"{old.name}, {row.name}" if old.name and row.name else row.name or old.name
        if one is None or other is None:
            yield f"{where or 'A row'}: the row is there in one text only."
            return
        if _label(one, reading) != _label(other, reading) or one.sizes != other.sizes:
            yield f"{where}: the label is read otherwise (“{other.name}”)."
        if one.detached != other.detached:
            yield f"{where}: whether the yarn is joined anew is read otherwise."
        if one.steps is not other.steps or not reading.words:
            yield from _step_differences(one, other, patterns, reading, where)


def _label(row: Row, reading: _Reading) -> tuple[object, ...] | None:
    label = row.label
    if label is None:
        return None
    words = [word for word in said(label.text) if word not in _OF_LABELS]
    sides = tuple(
        word for word in words if reading.words and (label.kind == "free" or not word[0].isdigit())
    )
    return (label.kind, label.first, label.last, label.rows, label.open_end, sides)


class _Where(NamedTuple):
    """A row's words, to quote from, and the terms of its pattern."""

    words: str
    terms: str


_NOWHERE = _Where("", "")


def _step_differences(
    one: Row, other: Row, patterns: tuple[Pattern, Pattern], reading: _Reading, where: str
) -> Iterator[str]:
    old, new = (
        _Where(pattern.source.quote(row.body), pattern.terms)
        for pattern, row in zip(patterns, (one, other), strict=True)
    )
    for step, changed in zip_longest(_in_order(one.steps), _in_order(other.steps)):
        if step is None or changed is None:
            quoted = _quoted(step, old) or _quoted(changed, new)
            yield f"{where}: “{quoted}” is read in one text only."
            return
        if not _alike(step, changed, old, new, reading):
            what = "the total" if isinstance(step, Total) else "the words"
            yield (
                f"{where}: {what} “{_quoted(step, old)}” became “{_quoted(changed, new)}”, "
                "which is read otherwise."
            )
            return


def _quoted(step: Step | None, where: _Where) -> str:
    words = where.words[step.span.start : step.span.end] if step else ""
    return _shown(words)


def _shown(words: str) -> str:
    return " ".join(words.split())[:60]


def _in_order(steps: tuple[Step, ...]) -> list[Step]:
    """The steps of a row, alike where they say the same.

    A total before "turn" is put behind it; "sc 6" becomes "6 sc".
    """
    ordered = [_how_many(step) or step for step in steps]
    for at in range(len(ordered) - 1):
        if isinstance(ordered[at], Total) and isinstance(ordered[at + 1], Turn):
            ordered[at], ordered[at + 1] = ordered[at + 1], ordered[at]
    return ordered


def _how_many(step: Step) -> Work | None:
    """The work whose count says how many stitches are worked, on whichever side it stands."""
    if isinstance(step, Work) and step.count_after and step.place is None and not step.stitch.role:
        return replace(step, count_after=False)
    return None


def _fields(value: Any) -> tuple[str, ...]:
    kind = type(value)
    known = _fields_of.get(kind)
    if known is None:
        known = tuple(name for name in names_of(value) if name not in _FORM)
        _fields_of[kind] = known
    return known


_fields_of: dict[type, tuple[str, ...]] = {}


def _alike(one: Any, other: Any, old: _Where, new: _Where, reading: _Reading) -> bool:
    """Whether ``_bare`` makes the same of both, without making it."""
    kind = type(one)
    if kind is not type(other) or kind in _WORDS:
        return _bare(one, old, reading) == _bare(other, new, reading)
    if kind in _AS_IT_IS:
        return bool(one == other)
    if kind is str:
        return reading.name_in(one, old.terms) == reading.name_in(other, new.terms)
    if kind is tuple:
        return len(one) == len(other) and all(
            _alike(each, like, old, new, reading) for each, like in zip(one, other, strict=True)
        )
    names: Iterable[str] = _fields(one)
    if kind is Work:
        if _counted_after(one) != _counted_after(other):
            return False
        names = [name for name in names if name != "count_after"]
    elif kind is Repeat:
        if _times_in_all(one) != _times_in_all(other):
            return False
        names = [name for name in names if name not in _TIMES]
    return all(
        _alike(getattr(one, name), getattr(other, name), old, new, reading) for name in names
    )


_WORDS = frozenset({Note, Unread, Span})
_AS_IT_IS = frozenset({int, bool, type(None), Which})


def _counted_after(work: Work) -> bool:
    """Whether a count stands after its stitch and makers may mind that."""
    minds = _may_be_in_one(work) or work.place is not None or work.stitch.role != ""
    return work.count_after and minds


def _times_in_all(repeat: Repeat) -> tuple[int, ...] | None:
    """ "5 more times" and "6 times" are the same."""
    if repeat.times is not None and repeat.more:
        return tuple(time + 1 for time in repeat.times)
    return repeat.times


def _bare(value: Any, where: _Where, reading: _Reading) -> object:
    """A step, or a part of one, as plain values without its place in the text."""
    if isinstance(value, str):
        return reading.name_in(value, where.terms)
    if isinstance(value, tuple) and not names_of(value):
        return tuple(_bare(each, where, reading) for each in value)
    if isinstance(value, (Note, Unread)):
        return _bare_words(value, where, reading)
    if value is None or isinstance(value, (bool, int, Enum)):
        return value
    if isinstance(value, Span):
        return None
    if isinstance(value, Work) and value.count_after and not _counted_after(value):
        value = replace(value, count_after=False)
    if isinstance(value, Repeat):
        return (Repeat, _times_in_all(value), *_parts(value, where, reading, _TIMES))
    return (type(value), *_parts(value, where, reading))


def _may_be_in_one(work: Work) -> bool:
    """Whether makers may take a count inside brackets for stitches in one: "(2 sc, inc)"."""
    return work.count is None or any(2 <= count <= 5 for count in work.count)


_TIMES = frozenset({"times", "more"})


def _parts(
    value: Any, where: _Where, reading: _Reading, but: frozenset[str] = frozenset()
) -> tuple[object, ...]:
    names = _fields(value)
    return tuple(_bare(getattr(value, name), where, reading) for name in names if name not in but)


def _bare_words(step: Note | Unread, where: _Where, reading: _Reading) -> tuple[object, ...]:
    words = where.words[step.span.start : step.span.end]
    if isinstance(step, Note):
        return (Note, step.kind, said(words) if reading.words else None)
    return (Unread, words if reading.words else None)


# --- the tally --------------------------------------------------------------------------


def _tally_differences(before: Tally, after: Tally) -> Iterator[str]:
    for old, new in zip_longest(before.rows, after.rows):
        row = old or new
        where = ", ".join(name for name in (row.piece.name, row.row.name) if name)
        if old is None or new is None:
            yield f"{where}: the row is counted in one text only."
            return
        for what in ("stated", "worked", "verdict"):
            was, became = getattr(old, what), getattr(new, what)
            if was != became:
                yield f"{where}: {what} was {_figures(was)} and became {_figures(became)}."
                return


def _figures(value: object) -> str:
    if isinstance(value, tuple):
        return ", ".join(map(str, value))
    return "nothing" if value is None else str(getattr(value, "value", value))
