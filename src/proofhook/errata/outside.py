"""What stands outside the rows: materials, gauge, sizes, abbreviations, notes, finishing."""

from __future__ import annotations

import re
from bisect import bisect_left
from collections.abc import Iterator, Mapping, Sequence
from sys import maxsize

from proofhook import expressions as rx
from proofhook.errata.matching import CHANGED, REPLACED, UNLIKE, Pair, aligned, alike
from proofhook.errata.records import Entry, Kind, Reading
from proofhook.expressions import expression
from proofhook.pattern import Pattern
from proofhook.records import dataclass
from proofhook.sameness import said
from proofhook.text import Span
from proofhook.trade.headings import heading_kind
from proofhook.trade.hook_sizes import sizes_in

#: Sections that say nothing to the maker about the work.
_LEFT_OUT = frozenset({"copyright", "contact", "terms"})
#: Sections with one entry a line; in the others, sentences may run over several lines.
_LISTS = {
    "materials": Kind.MATERIAL,
    "abbreviations": Kind.ABBREVIATION,
    "special": Kind.ABBREVIATION,
    "size": Kind.SIZES,
}
#: Sections that are compared on their own; the reader may end any other where a line is
#: broken anew, so that what stands in them is taken together.
_APART = frozenset({*_LISTS, "gauge", "title"})
_MARK = expression(r"[ \t]*(?:[-*•·●‣]|\d+[.)])[ \t]+(?=\S)")
_SENTENCE = expression(r"(?<=[.!?])\s+(?=[A-Z“\"(])")
_LINE = expression(r"[^\n]+")


@dataclass(frozen=True, slots=True)
class Passage:
    """An entry of a list, or a sentence: the section or piece it stands in, and its words.

    ``custom`` tells that the reader took it to say what turning chains count as.
    """

    kind: Kind
    section: str
    piece: str
    start: int
    quoted: str
    words: tuple[str, ...]
    vocabulary: frozenset[str]
    custom: bool = False

    @property
    def figures(self) -> tuple[str, ...]:
        """The figures in it."""
        return tuple(word for word in self.words if word.isdecimal())


def outside_entries(
    old: Pattern, new: Pattern, names: Mapping[str, str], labels: bool
) -> list[Entry]:
    """What changed outside the rows, in the order of the new text.

    ``names`` are the new names of pieces that have been renamed.  Without ``labels`` a hook
    is compared by its millimetres alone, since a translation adds the labels of its side.
    """
    patterns = (old, new)
    parts = [passages(old, names, labels), passages(new, {}, labels)]
    entries: list[Entry] = []
    for section in dict.fromkeys(each.section for both in parts for each in both):
        here = [[each for each in part if each.section == section] for part in parts]
        is_list = bool(here[0]) and here[0][0].kind is Kind.ABBREVIATION
        for pair in (_sorted_pairs if is_list else _pairs)(here[0], here[1]):
            entry = _entry(pair[0], pair[1], patterns)
            entries += [entry] if entry else []
    if old.sizes != new.sizes and not any(entry.kind is Kind.SIZES for entry in entries):
        was, now = (Reading(", ".join(pattern.sizes), 1) for pattern in patterns)
        entries.insert(0, Entry(Kind.SIZES, was, now))
    return entries


def _entry(
    old: Passage | None, new: Passage | None, patterns: tuple[Pattern, Pattern]
) -> Entry | None:
    if old and new and old.words == new.words:
        return None
    held = new or old
    assert held is not None
    kind = Kind.HOOK if Kind.HOOK in [each.kind for each in (old, new) if each] else held.kind
    wording = kind in (Kind.TEXT, Kind.ABBREVIATION) and _only_worded(old, new)
    return Entry(kind, _reading(old, patterns[0]), _reading(new, patterns[1]), wording)


def _reading(passage: Passage | None, pattern: Pattern) -> Reading | None:
    if passage is None:
        return None
    line = pattern.source.line_of(passage.start)
    return Reading(passage.quoted, line, passage.piece)


def _only_worded(old: Passage | None, new: Passage | None) -> bool:
    """Whether no figure, and nothing that is known to change the counting, is touched."""
    there = [each for each in (old, new) if each]
    if any(each.section == "title" for each in there):
        return True
    if any(each.custom for each in there):
        return False
    if old is None or new is None:
        return not there[0].figures
    return old.figures == new.figures


def _cost(old: Passage, new: Passage) -> int:
    if old.words == new.words:
        return 0
    if alike(old.vocabulary, new.vocabulary):
        return CHANGED
    return REPLACED if old.words[0] == new.words[0] else UNLIKE


def _words(passage: Passage) -> tuple[str, ...]:
    return passage.words


def _pairs(old: Sequence[Passage], new: Sequence[Passage]) -> list[Pair[Passage]]:
    """Passages in their order."""
    return aligned(old, new, _cost, _words)


def _sorted_pairs(old: Sequence[Passage], new: Sequence[Passage]) -> list[Pair[Passage]]:
    """Entries of a list whose order says nothing, by their first word and then in order."""
    pairs = _pairs(sorted(old, key=_words), sorted(new, key=_words))
    return sorted(pairs, key=lambda pair: max(each.start for each in pair if each))


def passages(pattern: Pattern, names: Mapping[str, str], labels: bool) -> list[Passage]:
    """All that stands outside the rows, in the order of the text.

    ``names`` gives pieces the names that they have in the other edition.  Without ``labels``
    a hook is compared by its millimetres alone.
    """
    text = pattern.source.text
    compared = text if labels else _without_labels(text)
    taken = [row.span for row in pattern.rows]
    taken += [piece.heading for piece in pattern.pieces if piece.heading]
    taken += [
        section.heading
        for section in pattern.sections
        if section.heading and heading_kind(pattern.source.quote(section.heading))
    ]
    left = list(text.replace("\r", "\n"))
    for span in taken:
        left[span.start : span.end] = "\n" * (span.end - span.start)
    places = _Places(pattern)
    found: list[Passage] = []
    lines = [
        (line.start(), line.group()) for line in _LINE.finditer("".join(left)) if said(line.group())
    ]
    for start, words in _joined(lines, places, text):
        section, piece = places.at(start)
        if section in _LEFT_OUT:
            continue
        told = said(compared[start : start + len(words)])
        kind = _kind(section, words)
        custom = any(start <= custom.span.start < start + len(words) for custom in pattern.customs)
        quoted = " ".join(words.split()).strip()
        if piece:
            under = " ".join(("in", *said(names.get(piece, piece))))
        else:
            under = section if section in _APART else "text"
        found.append(Passage(kind, under, piece, start, quoted, told, frozenset(told), custom))
    return found


def _without_labels(text: str) -> str:
    """The text with blanks for the labels beside the millimetres of hooks."""
    left = list(text)
    for size in sizes_in(text):
        for start, end in ((size.span.start, size.at.start), (size.at.end, size.span.end)):
            left[start:end] = " " * max(0, end - start)
    return "".join(left)


class _Places:
    """Which section or piece a place in the text belongs to."""

    __slots__ = ("_pieces", "_sections")

    def __init__(self, pattern: Pattern) -> None:
        self._sections = [(s.body.start, s.body.end, s.kind) for s in pattern.sections]
        starts = sorted({each.start for each in self._begins(pattern)})
        self._pieces = [
            (piece.span.start, self._end(piece.span, starts), piece.name)
            for piece in pattern.pieces
        ]

    @staticmethod
    def _begins(pattern: Pattern) -> Iterator[Span]:
        yield from (piece.span for piece in pattern.pieces)
        yield from (section.body for section in pattern.sections)

    @staticmethod
    def _end(span: Span, starts: Sequence[int]) -> int:
        """Where a piece ends: what follows its last row belongs to it, to the next heading."""
        after = bisect_left(starts, span.end)
        return starts[after] if after < len(starts) else maxsize

    def at(self, place: int) -> tuple[str, str]:
        """The kind of section, or "" and the name of the piece."""
        section = _covering(self._sections, place)
        piece = _covering(self._pieces, place)
        if piece and (not section or piece[0] >= section[0]):
            return "", piece[2]
        return (section[2] if section else "other"), ""


def _covering(spans: list[tuple[int, int, str]], place: int) -> tuple[int, int, str] | None:
    """The last span that covers a place."""
    return next((span for span in reversed(spans) if span[0] <= place < span[1]), None)


def _joined(lines: list[tuple[int, str]], places: _Places, text: str) -> Iterator[tuple[int, str]]:
    """The lines of lists, and the sentences of running text, each with where it begins."""
    start, paragraph, end, held = 0, "", -1, ("", "")
    for at, line in lines:
        place = places.at(at)
        goes_on = (
            paragraph
            and place == held
            and place[0] not in _LISTS
            and text[end:at].strip(" \t\r") == "\n"
            and not _MARK.match(line)
        )
        if goes_on:
            paragraph += text[end:at] + line
        else:
            yield from _sentences(start, paragraph, held[0])
            start, paragraph, held = at, line, place
        end = at + len(line)
    yield from _sentences(start, paragraph, held[0])


def _sentences(start: int, words: str, section: str) -> Iterator[tuple[int, str]]:
    if section in _LISTS:
        ends = [len(words)]
    else:
        ends = [*(found.start() for found in _SENTENCE.finditer(words)), len(words)]
    begin = 0
    for end in ends:
        if said(words[begin:end]):
            yield start + begin, words[begin:end]
        begin = end


def _kind(section: str, words: str) -> Kind:
    if section in ("materials", "gauge", "other", "title") and (
        next(sizes_in(words), None) or rx.search(r"\bhooks?\b", words, re.IGNORECASE)
    ):
        return Kind.HOOK
    return Kind.GAUGE if section == "gauge" else _LISTS.get(section, Kind.TEXT)
