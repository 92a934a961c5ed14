"""Colour for terminals, by hand: a few words of the escape language and no library."""

from __future__ import annotations

import os
from collections.abc import Sequence
from typing import TYPE_CHECKING, NamedTuple

from proofhook.expressions import expression

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


def wrapped(text: str, width: int) -> list[str]:
    """The words of a text in lines of at most ``width``; longer words stand alone."""
    lines: list[str] = []
    line = ""
    for word in text.split():
        if line and len(line) + 1 + len(word) > width:
            lines.append(line)
            line = word
        else:
            line = f"{line} {word}" if line else word
    return [*lines, line] if line else lines


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
