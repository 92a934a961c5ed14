"""Places in a text as the Language Server Protocol counts them, and back.

A place there is a line and so many code units into it, both from 0; how long a unit is
has been agreed between editor and server.  Lines end at CR LF, LF or CR and nowhere else.
Source: Language Server Protocol 3.17, "Text Documents" and "Position".
"""

from __future__ import annotations

from collections.abc import Iterable
from itertools import pairwise

from lsprotocol import types

from proofhook.records import dataclass
from proofhook.text import Edit, Source, Span

UTF_8, UTF_16, UTF_32 = "utf-8", "utf-16", "utf-32"


def units(words: str, encoding: str) -> int:
    """How many code units of an encoding the words take."""
    if words.isascii() or encoding == UTF_32:
        return len(words)
    if encoding == UTF_8:
        return len(words.encode("utf-8", "surrogatepass"))
    return len(words) + sum(char > "\uffff" for char in words)


@dataclass(frozen=True, slots=True)
class Places:
    """The places of one text in one encoding."""

    source: Source
    encoding: str = UTF_16

    def position(self, offset: int) -> types.Position:
        """The place of an offset."""
        line, column = self.source.position(offset)
        before = self.source.text[offset - column + 1 : offset]
        return types.Position(line - 1, units(before, self.encoding))

    def offset(self, position: types.Position) -> int:
        """The offset of a place.

        A place past the end of its line is the end of it, one past the last line the end
        of the text; one inside a character is the beginning of that.
        """
        if position.line >= len(self.source.line_starts()):
            return len(self.source.text)
        span = self.source.line_span(position.line + 1)
        words = self.source.quote(span)
        if words.isascii() or self.encoding == UTF_32:
            return span.start + min(position.character, len(words))
        taken = 0
        for at, char in enumerate(words):
            taken += units(char, self.encoding)
            if taken > position.character:
                return span.start + at
        return span.end

    def range(self, span: Span) -> types.Range:
        """The places between which a stretch of the text lies."""
        return types.Range(self.position(span.start), self.position(span.end))

    def span(self, between: types.Range) -> Span:
        """The stretch of the text between two places, given in either order."""
        start, end = sorted((self.offset(between.start), self.offset(between.end)))
        return Span(start, end)

    def edits(self, edits: Iterable[Edit]) -> list[types.TextEdit]:
        """Edits of the text as an editor takes them."""
        return [types.TextEdit(self.range(Span(edit.start, edit.end)), edit.text) for edit in edits]


def changed(
    text: str, changes: Iterable[types.TextDocumentContentChangeEvent], encoding: str = UTF_16
) -> str:
    """The text after the changes an editor tells of, each made in what the last one left."""
    for change in changes:
        if isinstance(change, types.TextDocumentContentChangePartial):
            span = Places(Source("", text), encoding).span(change.range)
            text = text[: span.start] + change.text + text[span.end :]
        else:
            text = change.text
    return text


def difference(before: str, after: str) -> list[Edit]:
    """Edits, line by line, that make one text of the other; none where they are alike."""
    from difflib import SequenceMatcher

    old, new = _lines(before), _lines(after)
    starts = [0]
    for line in old:
        starts.append(starts[-1] + len(line))
    return [
        Edit(starts[first], starts[last], "".join(new[start:end]))
        for what, first, last, start, end in SequenceMatcher(
            None, old, new, autojunk=False
        ).get_opcodes()
        if what != "equal"
    ]


def _lines(text: str) -> list[str]:
    starts = [*Source("", text).line_starts(), len(text)]
    return [text[start:end] for start, end in pairwise(starts)]
