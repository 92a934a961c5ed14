"""How often Python looks for rings of objects that nothing else refers to.

A pattern is read into many small objects, none of them in a ring: they are given up as
soon as the next file is begun.  Python's usual is to look among them at every 700 that
are made, which is a tenth of the time that a run takes.
"""

from __future__ import annotations

import gc

#: So many more objects made than given up, and rings are looked for.
YOUNG_OBJECTS = 100_000


def look_seldom() -> None:
    """Look for rings more seldom in this process, which does nothing but proofhook's work."""
    gc.set_threshold(YOUNG_OBJECTS, *gc.get_threshold()[1:])


__all__ = ["look_seldom"]
