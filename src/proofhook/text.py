"""The text of a pattern as it was found: decoded once, never altered in place.

Every position in the program is a 0-based code-point offset into ``Source.text``.
Lines, columns and UTF-16 units are worked out at output only, by bisection.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterable
from operator import attrgetter

from proofhook.expressions import expression
from proofhook.records import NamedTuple

NEWLINE = expression(r"\r\n|\n|\r")
BOM = "\ufeff"

#: Larger files are refused: no written pattern comes near this size or has so many lines.
MAX_BYTES = 1_000_000
MAX_LINES = 5_000


class TextError(Exception):
    """A text that cannot be read; the message is one sentence with a remedy."""


class EditError(ValueError):
    """Edits that overlap or lie outside the text."""


class Span(NamedTuple):
    """A half-open stretch of the text, ``start`` to ``end`` in code points."""

    start: int
    end: int

    def moved(self, by: int) -> Span:
        """The same stretch, ``by`` code points further on."""
        return Span(self.start + by, self.end + by)


class Edit(NamedTuple):
    """Replace ``start`` to ``end`` of the text by ``text``."""

    start: int
    end: int
    text: str


class Source:
    """A text, where it came from and how it was encoded.

    ``text`` keeps its newlines as found and leaves out the byte-order mark;
    ``bom`` tells whether there was one.
    """

    __slots__ = ("_starts", "bom", "path", "text")

    def __init__(self, path: str, text: str, bom: bool = False) -> None:
        self.path = path
        self.text = text
        self.bom = bom
        self._starts: tuple[int, ...] = ()

    def line_starts(self) -> tuple[int, ...]:
        """Offsets at which the lines begin; the first is always 0."""
        if not self._starts:
            self._starts = (0, *(m.end() for m in NEWLINE.finditer(self.text)))
        return self._starts

    def position(self, offset: int) -> tuple[int, int]:
        """Line and column of an offset, both counted from 1."""
        starts = self.line_starts()
        line = bisect_right(starts, offset)
        return line, offset - starts[line - 1] + 1

    def line_of(self, offset: int) -> int:
        """The 1-based line that holds ``offset``."""
        return bisect_right(self.line_starts(), offset)

    def line_span(self, line: int) -> Span:
        """The stretch of a 1-based line, without its newline."""
        starts = self.line_starts()
        start = starts[line - 1]
        end = starts[line] if line < len(starts) else len(self.text)
        return Span(start, start + len(self.text[start:end].rstrip("\r\n")))

    def quote(self, span: Span) -> str:
        """The words of the text that ``span`` covers."""
        return self.text[span.start : span.end]

    def encoded(self, text: str) -> bytes:
        """Another text in the encoding of this one, byte-order mark kept."""
        return ((BOM if self.bom else "") + text).encode("utf-8")


def decode(data: bytes, path: str) -> Source:
    """Decode the bytes of a file.

    Raises TextError with one sentence where the bytes are no UTF-8 text.
    """
    if len(data) > MAX_BYTES:
        raise TextError(
            f"{path}: larger than {MAX_BYTES // 1_000_000} MB, which no written pattern is; "
            "split it, or leave it out"
        )
    if max(data.count(b"\n"), data.count(b"\r")) > MAX_LINES:
        raise TextError(
            f"{path}: more than {MAX_LINES:,} lines, which no written pattern has; "
            "split it, or leave it out"
        )
    if b"\0" in data:
        raise TextError(f"{path}: not a text file; save the pattern as plain text (UTF-8)")
    try:
        text = data.decode("utf-8")
    except UnicodeDecodeError as error:
        line = data.count(b"\n", 0, error.start) + 1
        raise TextError(
            f"{path}:{line}: byte {error.start} is not UTF-8; save the file as UTF-8 text"
        ) from None
    return Source(path, text.removeprefix(BOM), bom=text.startswith(BOM))


#: The order of edits in the text, by a key, which is far quicker than comparing them.
IN_ORDER = attrgetter("start", "end", "text")


def apply_edits(text: str, edits: Iterable[Edit]) -> str:
    """The text with the edits made, all at once.

    Raises EditError where two edits overlap or one lies outside the text.
    """
    pieces: list[str] = []
    done = 0
    for edit in sorted(set(edits), key=IN_ORDER):
        if edit.start < done or edit.end < edit.start or edit.end > len(text):
            raise EditError(f"edit {edit.start}-{edit.end} overlaps another or leaves the text")
        pieces += (text[done : edit.start], edit.text)
        done = edit.end
    pieces.append(text[done:])
    return "".join(pieces)
