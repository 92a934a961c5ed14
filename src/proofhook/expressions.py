"""Regular expressions that are compiled when they are first used.

There are hundreds in the program, and compiling them takes longer than reading a pattern;
one pattern needs few of them.
"""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from proofhook.programs import compiled

METHODS = ("match", "search", "fullmatch", "finditer", "findall", "sub", "subn", "split")


class Expression:
    """Stands for ``re.compile(pattern, flags)`` until it is first asked for something."""

    if TYPE_CHECKING:
        pattern: str
        flags: int

    def __init__(self, pattern: str, flags: int = 0) -> None:
        self.pattern = pattern
        self.flags = flags

    def __getattr__(self, name: str) -> object:
        if name not in METHODS:
            raise AttributeError(name)
        found = compiled(self.pattern, self.flags)
        for method in METHODS:
            setattr(self, method, getattr(found, method))
        return getattr(found, name)


if TYPE_CHECKING:
    expression = re.compile
else:
    expression = Expression
