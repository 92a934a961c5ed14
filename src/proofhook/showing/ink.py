"""Colour for terminals, by hand: a few words of the escape language and no library."""

from __future__ import annotations

import os
from collections.abc import Sequence
from typing import TYPE_CHECKING

from proofhook.expressions import expression
from proofhook.records import NamedTuple

if TYPE_CHECKING:
    from typing import TextIO

RESET = "\x1b[0m"

#: What each kind of word looks like: 16-colour codes that suit light and dark alike.
STYLES = {
    "title": "1",
    "piece": "1;4",
    "margin": "2",
    "error": "1;31",
    "query": "1;35",
    "style": "1;36",
    "struck": "9;31",
    "put in": "32",
    "ringed": "4",
    "good": "32",
}

NARROWEST, WIDEST, USUAL = 40, 110, 80

#: Characters that would move the cursor, ring the bell or turn the writing round.
UNRULY = expression(
    "[\x00-\x1f\x7f-\x9f\u061c\u200e\u200f\u202a-\u202e\u2066-\u2069\ufeff\ud800-\udfff]"
)


class Paper(NamedTuple):
    """What is written on: its width, whether it takes colour and all of Unicode."""

    width: int = USUAL
    colour: bool = False
    unicode: bool = True

    def ink(self, text: str, style: str) -> str:
        """The text in a style, or as it is where there is no colour."""
        if not self.colour or not text or style not in STYLES:
            return text
        return f"\x1b[{STYLES[style]}m{text}{RESET}"


def paper_of(stream: TextIO) -> Paper:
    """The paper that a stream is: colour only on a terminal, and never with NO_COLOR."""
    terminal = stream.isatty()
    plain = bool(os.environ.get("NO_COLOR")) or os.environ.get("TERM") == "dumb"
    encoding = (getattr(stream, "encoding", None) or "ascii").lower().replace("-", "")
    return Paper(_width(stream, terminal), terminal and not plain, encoding.startswith("utf"))


def _width(stream: TextIO, terminal: bool) -> int:
    asked = os.environ.get("COLUMNS", "")
    width = int(asked) if asked.isdecimal() and len(asked) < 5 else 0
    if not width and terminal:
        try:
            width = os.get_terminal_size(stream.fileno()).columns
        except (OSError, ValueError):
            width = 0
    return min(WIDEST, max(NARROWEST, width or USUAL))


def tame(text: str) -> str:
    """Text that is safe to write on a terminal: unruly characters are replaced."""
    return UNRULY.sub("\N{REPLACEMENT CHARACTER}", text)


#: Characters that take one cell each, so that most texts need no look at the tables.
SINGLE = expression("[ -\u02ff\u2010-\u2027\u2030-\u205e\u2190-\u21ff\u2212]*")


def cells(text: str) -> int:
    """How many cells of a terminal a tame text takes up: wide signs two, accents none.

    After the East Asian Width of Unicode Standard Annex #11.
    """
    if text.isascii() or SINGLE.fullmatch(text):
        return len(text)
    return sum(map(_cells_of, text))


def _cells_of(sign: str) -> int:
    from unicodedata import category, east_asian_width

    if category(sign) in ("Mn", "Me", "Cf") and sign != "\N{SOFT HYPHEN}":
        return 0
    return 2 if east_asian_width(sign) in "WF" else 1


def parts_of(word: str, width: int) -> list[str]:
    """A word in parts that take at most ``width`` cells each; most words are one part."""
    if len(word) * 2 <= width or cells(word) <= width:
        return [word]
    parts, taken = [""], 0
    for sign in word:
        taken += _cells_of(sign)
        if taken > width and parts[-1]:
            parts.append("")
            taken = _cells_of(sign)
        parts[-1] += sign
    return parts


def wrapped(text: str, width: int) -> list[str]:
    """The words of a text in lines of at most ``width`` cells; longer words are parted."""
    lines: list[str] = []
    line, taken = "", 0
    for word in (part for each in text.split() for part in parts_of(each, width)):
        wide = cells(word)
        if line and taken + 1 + wide > width:
            lines.append(line)
            line, taken = word, wide
        else:
            line, taken = (f"{line} {word}", taken + 1 + wide) if line else (word, wide)
    return [*lines, line] if line else lines


def end_of(text: str, width: int) -> str:
    """As much of the end of a text as takes at most so many cells."""
    start = max(0, len(text) - width)
    while cells(text[start:]) > width:
        start += 1
    return text[start:]


def set_right(text: str, width: int) -> str:
    """The text at the right edge of so many cells."""
    return " " * (width - cells(text)) + text


def set_left(text: str, width: int) -> str:
    """The text with blanks after it, so that it takes so many cells."""
    return text + " " * (width - cells(text))


def sentences(text: str) -> str:
    """The text on one line, closed by a full stop if nothing else closes it."""
    text = " ".join(text.split())
    return text if text.endswith((".", "!", "?", ".”", "!”", "?”")) else f"{text}."


def counted(number: int, one: str, many: str = "") -> str:
    """``1 row``, ``2 rows``."""
    return f"{number:,} {one if number == 1 else many or one + 's'}".replace(",", " ")


def joined(words: Sequence[str]) -> str:
    """``a``, ``a and b``, ``a, b and c``; "" for none."""
    *most, last = words or ("",)
    return f"{', '.join(most)} and {last}" if most else last


def shown_path(path: str) -> str:
    """A path as people read it."""
    return "standard input" if path == "-" else tame(path)
