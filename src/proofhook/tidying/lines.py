"""The ends of lines, blank lines and the end of the file."""

from __future__ import annotations

import re
from collections.abc import Iterator

from proofhook.expressions import expression
from proofhook.text import Edit
from proofhook.tidying.page import Page

_TRAILING = expression(r"(?<![ \t])[ \t]+(?=[\r\n]|\Z)")
_HARD_BREAK = expression(r"(?<=\S)[ \t]* {2}(?=(?:\r\n|\r|\n)[ \t]*\S)")
_NEWLINE = r"(?:\r\n|\r|\n)"
#: A newline, the blank lines after it, and whatever stands before words in the last of them.
_BLANK_LINES = expression(rf"(?P<first>\A|{_NEWLINE})(?P<lines>(?:[ \t]*{_NEWLINE})+)")
_MOST = {"one": 1, "two": 2}


def trimmed_lines(page: Page) -> Iterator[Edit]:
    """No blanks at the ends of lines, but for those that break a line in Markdown."""
    kept = {m.end() for m in _HARD_BREAK.finditer(page.text)} if page.is_markdown else ()
    for found in _TRAILING.finditer(page.text):
        yield Edit(found.start(), found.end(), "  " if found.end() in kept else "")


def fewer_blank_lines(page: Page) -> Iterator[Edit]:
    """No more blank lines in a row than the house wants, and none before the first words."""
    most = _MOST[page.style.wish("blank-lines")]
    for found in _BLANK_LINES.finditer(page.text):
        lines = re.findall(rf"[ \t]*{_NEWLINE}", found["lines"])
        allowed = most if found["first"] else 0
        if len(lines) > allowed and found.end() < len(page.text):
            start = found.start("lines") + sum(map(len, lines[:allowed]))
            yield Edit(start, found.end(), "")


def ended_last_line(page: Page) -> Iterator[Edit]:
    """The last words are followed by one newline."""
    words = page.text.rstrip(" \t\r\n")
    if words:
        rest = page.text[len(words) :]
        newline = re.search(_NEWLINE, rest)
        yield Edit(len(words), len(page.text), newline.group() if newline else page.newline)
