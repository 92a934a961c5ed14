"""Faults of the program or of a plug-in, told in a sentence instead of a traceback."""

from __future__ import annotations

import os

#: Set this in the environment to see where in the program a fault comes from.
TRACEBACK = "PROOFHOOK_TRACEBACK"

LONGEST = 200


def one_line(thing: object) -> str:
    """An exception or a value in a few words on one line."""
    words = " ".join(str(thing).split())
    if isinstance(thing, BaseException):
        words = f"{type(thing).__name__}: {words}" if words else type(thing).__name__
    return words if len(words) <= LONGEST else words[: LONGEST - 1] + "…"


def wants_traceback() -> bool:
    """Whether whoever runs the program asks for tracebacks."""
    return bool(os.environ.get(TRACEBACK))
