"""What a change would do to a file, as a unified difference."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from proofhook.showing.ink import tame

if TYPE_CHECKING:
    from proofhook.text import Source

#: Written after a last line that lacks its newline.
NO_NEWLINE = "\\ no newline at the end"


def difference(source: Source, text: str, done: str) -> Iterator[str]:
    """The lines that differ between a text as found and as it would be; nothing where none does.

    ``done`` says what was done to it ("mended").  Written as ``diff -u`` does, in the form
    that POSIX gives for ``diff -u``.
    """
    from difflib import unified_diff

    path = tame(source.path)
    old, new = (_lines(words) for words in (source.text, text))
    for line in unified_diff(old, new, path, f"{path}, {done}", lineterm=""):
        words, cut, _ = line.partition("\0")
        yield f"{tame(words)}\n"
        if cut:
            yield f"{NO_NEWLINE}\n"


def _lines(text: str) -> list[str]:
    """The lines without their newlines; the last one is marked where it has none."""
    lines = text.splitlines()
    if lines and text[-1:] not in "\r\n":
        lines[-1] += "\0"
    return lines
