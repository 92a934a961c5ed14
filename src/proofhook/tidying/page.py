"""What every edit of layout looks at: the pattern, the style, and the places to leave alone."""

from __future__ import annotations

import re
from bisect import bisect_right
from collections.abc import Iterable, Iterator
from functools import cached_property

from proofhook.expressions import expression
from proofhook.pattern import Each, Group, Pattern, Repeat, Row, Section, Step, Unread
from proofhook.text import NEWLINE, Edit, Span
from proofhook.tidying.settings import Style
from proofhook.trade.headings import leading_heading

#: Sections whose lines are entries of lists rather than prose.
LISTS = frozenset({"materials", "gauge", "abbreviations", "special", "size", "level", "terms"})

_DECORATION = expression(r"[\s>|\u2022\u00b7*#_~-]*\Z")
_SENTENCES = expression(r"[a-z)]\.\s+[A-Z]")
_LONG = 50
_WORDS_OF_A_SENTENCE = 6
MARK = expression(r"[ \t]*(?:[-*\u2022\u00b7\u25cf\u2023\u2013][ \t]+)?")


class Stretches:
    """Stretches of the text, to be asked whether a place lies in one of them."""

    def __init__(self, spans: Iterable[Span]) -> None:
        self._starts: list[int] = []
        self._ends: list[int] = []
        for span in sorted(spans):
            if self._ends and span.start < self._ends[-1]:
                self._ends[-1] = max(self._ends[-1], span.end)
            else:
                self._starts.append(span.start)
                self._ends.append(span.end)

    def meet(self, start: int, end: int) -> bool:
        """Whether one of them shares a character with a stretch, or holds a place inside it."""
        at = bisect_right(self._ends, start)
        return at < len(self._ends) and self._starts[at] < end and start < self._ends[at]


class Page:
    """A pattern to be laid out, in the style of a house."""

    def __init__(self, pattern: Pattern, style: Style) -> None:
        self.pattern = pattern
        self.style = style
        self.source = pattern.source
        self.text = pattern.source.text

    @property
    def is_markdown(self) -> bool:
        """Whether two blanks at the end of a line are a mark of their own."""
        return self.source.path.lower().endswith(".md")

    @cached_property
    def newline(self) -> str:
        """The newline that the text uses, the first one in it."""
        found = NEWLINE.search(self.text)
        return found.group() if found else "\n"

    @cached_property
    def rows(self) -> tuple[Row, ...]:
        """The rows, but for those that the reader took for a definition as well."""
        definitions = Stretches(each.span for each in self.pattern.definitions)
        rows = self.pattern.rows
        return tuple(r for r in rows if not definitions.meet(r.span.start, r.span.end))

    @cached_property
    def unread(self) -> Stretches:
        """The words that were not read."""
        return Stretches(
            step.span.moved(row.body.start)
            for row in self.pattern.rows
            for step in all_steps(row.steps)
            if isinstance(step, Unread)
        )

    @cached_property
    def in_rows(self) -> Stretches:
        """The rows, labels and totals included."""
        return Stretches(row.span for row in self.pattern.rows)

    @cached_property
    def entries(self) -> tuple[Span, ...]:
        """The lines of lists, wrapped sentences left out, in order."""
        return tuple(line for s in self.sections(LISTS) for line in self.entries_of(s))

    def sections(self, kinds: frozenset[str]) -> Iterator[Section]:
        """The sections of these kinds."""
        return (section for section in self.pattern.sections if section.kind in kinds)

    def lines(self, span: Span) -> Iterator[Span]:
        """The lines that begin in a stretch of the text, without their newlines."""
        starts = self.source.line_starts()
        for number in range(self.source.line_of(span.start), len(starts) + 1):
            line = self.source.line_span(number)
            if line.start >= span.end:
                return
            if line.start >= span.start:
                yield line

    def entries_of(self, section: Section) -> Iterator[Span]:
        """The lines of a section that are entries: no heading, no blank line, no prose."""
        head = section.heading
        lines = [line for line in self.lines(section.body) if not head or line.start > head.end]
        if head and self._goes_on(head):
            lines.insert(0, head)
        wrapped = False
        for number, line in enumerate(lines):
            words = self.source.quote(line).strip()
            following = lines[number + 1 : number + 2]
            more = bool(following) and self.source.quote(following[0]).strip()[:1].islower()
            going_on, wrapped = wrapped, len(words) >= _LONG and more
            if not words or wrapped or (going_on and words[:1].islower()):
                continue
            if not _is_prose(words) and not self.in_rows.meet(line.start, line.end):
                yield line

    def _goes_on(self, heading: Span) -> bool:
        """Whether a heading is followed by words on its line: "Hook: 4 mm"."""
        words = self.quote(heading)
        leading = leading_heading(words)
        return leading is not None and leading.rest < len(words)

    def begins_its_line(self, row: Row) -> bool:
        """Whether nothing but marks stands before a row on its line."""
        line = self.source.line_span(self.source.line_of(row.span.start))
        return bool(_DECORATION.match(self.text[line.start : row.span.start]))

    def quote(self, span: Span) -> str:
        """The words of the text that ``span`` covers."""
        return self.text[span.start : span.end]


def _is_prose(words: str) -> bool:
    ended = words.endswith((".", "!", "?"))
    return bool(_SENTENCES.search(words)) or (ended and len(words.split()) >= _WORDS_OF_A_SENTENCE)


def all_steps(steps: tuple[Step, ...]) -> Iterator[Step]:
    """The steps and all steps inside them."""
    for step in steps:
        yield step
        if isinstance(step, (Group, Repeat)):
            yield from all_steps(step.steps)
        elif isinstance(step, Each):
            yield from all_steps(step.works)


def replaced(found: re.Match[str], group: int | str, words: str) -> Edit:
    """The edit that puts ``words`` in the place of a group of a match."""
    return Edit(found.start(group), found.end(group), words)
