"""The abbreviation list in its new order: sorted again, where it was sorted."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Callable, Iterable, Iterator

from proofhook import expressions as rx
from proofhook.pattern import Definition, Pattern
from proofhook.records import NamedTuple
from proofhook.text import IN_ORDER, Edit, Span, apply_edits
from proofhook.translating.places import Spans

#: Two entries are in order by chance as often as not.
LEAST_SORTED = 3

_ORDERS: tuple[Callable[[str], str], ...] = (
    str.casefold,
    lambda name: rx.sub(r"[^a-z0-9]", "", name.casefold()),
)


class Entry(NamedTuple):
    """An entry with the lines it takes up, its abbreviation and what that means."""

    lines: Span
    name: Span
    meaning: Span
    special: bool = False

    @classmethod
    def at(cls, start: int, size: int, name: tuple[int, int], meaning: tuple[int, int]) -> Entry:
        """The entry of a line, from where name and meaning stand in it."""
        return cls(Span(start, start + size), Span(*name).moved(start), Span(*meaning).moved(start))

    def moved(self, by: int) -> Entry:
        """The entry so many characters further on."""
        return Entry(
            self.lines.moved(by), self.name.moved(by), self.meaning.moved(by), self.special
        )


def order_of(names: list[str]) -> Callable[[str], str] | None:
    """What the names are in order by; None where they are in none."""
    return next((key for key in _ORDERS if _is_sorted(names, key)), None)


def sorted_again(pattern: Pattern, edits: Iterable[Edit]) -> list[Edit]:
    """The edits, with those inside a sorted list replaced by edits that also put it in order."""
    edits = sorted(set(edits), key=IN_ORDER)
    lines: list[Edit] = []
    text = pattern.source.text
    for block in blocks(pattern):
        names = [text[entry.name.start : entry.name.end] for entry in block]
        order = order_of(names)
        if order is None:
            continue
        made = [
            (order(_with(text, entry.name, edits)), _with(text, entry.lines, edits))
            for entry in block
        ]
        ordered = [lines for _, lines in sorted(made, key=lambda entry: entry[0])]
        if ordered != [lines for _, lines in made]:
            lines += [
                Edit(entry.lines.start, entry.lines.end, words)
                for entry, words in zip(block, ordered, strict=True)
            ]
    within = Spans((line.start, line.end + 1) for line in lines)
    others = [edit for edit in edits if not within.touch(edit.start, edit.start + 1)]
    return sorted([*lines, *others], key=IN_ORDER)


def _is_sorted(names: list[str], key: Callable[[str], str]) -> bool:
    keys = [key(name) for name in names]
    return keys == sorted(keys) and len(set(keys)) > 1


def _with(text: str, span: Span, edits: list[Edit]) -> str:
    first = bisect_left(edits, Edit(span.start, span.start, ""))
    last = bisect_right(edits, Edit(span.end, len(text) + 1, ""))
    inside = [
        Edit(edit.start - span.start, edit.end - span.start, edit.text)
        for edit in edits[first:last]
        if edit.end <= span.end
    ]
    return apply_edits(text[span.start : span.end], inside)


def blocks(pattern: Pattern) -> Iterator[list[Entry]]:
    """Runs of entries of the list, one on each line, without a blank line between."""
    block: list[Entry] = []
    last: Definition | None = None
    entries = sorted(pattern.definitions, key=lambda each: each.span.start)
    for entry in entries:
        lines = _lines_of(pattern, entry)
        joined = (
            block
            and last is not None
            and last.special == entry.special
            and block[-1].lines.start < lines.start
            and _next_to(pattern, block[-1].lines, lines)
        )
        if not joined:
            if len(block) >= LEAST_SORTED:
                yield block
            block = []
        if last is not None and joined and lines.start <= block[-1].lines.end:
            block = []
        block.append(Entry(lines, entry.abbreviation_span, entry.meaning_span, entry.special))
        last = entry
    if len(block) >= LEAST_SORTED:
        yield block


def _lines_of(pattern: Pattern, entry: Definition) -> Span:
    source = pattern.source
    return source.line_span(source.line_of(entry.span.start))


def _next_to(pattern: Pattern, one: Span, other: Span) -> bool:
    between = pattern.source.text[one.end : other.start]
    return between in ("\n", "\r\n", "\r")
