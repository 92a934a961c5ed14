"""A proof that is drawn again whenever one of its files is saved."""

from __future__ import annotations

import os
import sys
import time
from collections.abc import Callable

from proofhook.files import named_files

#: How long to wait between two looks at the files, in seconds.
PAUSE = 0.5
CLEARED = "\x1b[H\x1b[2J\x1b[3J"

#: What tells one save of a file from another; None while it is not there.
Stamp = tuple[int, int, int] | None


def stamp_of(path: str) -> Stamp:
    """When, where and how large a file is.

    A file that another one was put in the place of has another number on the disk, even if it
    was saved within the same tick of the clock.
    """
    try:
        found = os.stat(path)
    except (OSError, ValueError):
        return None
    return found.st_mtime_ns, found.st_ino, found.st_size


def stamps_of(names: list[str]) -> dict[str, Stamp]:
    """The stamp of every file that the names stand for."""
    return {file.path: stamp_of(file.path) for file in named_files(names, _nothing)}


def _nothing(_: str) -> None:
    """What cannot be read is told by the proof."""


def watch(
    draw: Callable[[], object],
    look: Callable[[], dict[str, Stamp]],
    sleep: Callable[[float], None] = time.sleep,
) -> None:
    """Draw, and draw again when what ``look`` sees has changed and is whole; never ends.

    While a file is away, as between the two halves of a save by replacement, nothing is drawn:
    the next look sees it again.  Ends by the KeyboardInterrupt of whoever watches.
    """
    seen = look()
    draw()
    away = False
    while True:
        sleep(PAUSE)
        now = look()
        if None in now.values() and not away:
            away = True
            continue
        if now != seen:
            seen = now
            draw()
        away = None in now.values()


def watch_proofs(names: list[str], draw: Callable[[], object]) -> None:
    """Keep the page of the files in view; a terminal is cleared before each drawing."""

    def redraw() -> None:
        if sys.stdout.isatty():
            sys.stdout.write(CLEARED)
        draw()
        sys.stdout.flush()

    watch(redraw, lambda: stamps_of(names))
