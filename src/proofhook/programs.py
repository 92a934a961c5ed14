"""Programs of regular expressions, which can be kept from run to run.

To search for an expression, ``re`` first compiles it into a program, a list of numbers.
That takes longer than all the searches in a short text, and there is no public way to
keep what comes of it: this module is the only one that knows how ``re`` does it.  Wherever
that turns out to be otherwise, expressions are compiled as ever.  ``re`` looks a program
over before it takes it, so that a wrong one is refused.
"""

from __future__ import annotations

import re
import sys
from contextlib import suppress
from importlib import import_module
from typing import Any, TypeAlias

#: Flags, numbers, how many groups there are, and those that have names.
Program: TypeAlias = tuple[int, bytes, int, dict[str, int]]
Key: TypeAlias = tuple[str, int]

#: Programs that earlier runs made, and those of this run, by expression and flags.
remembered: dict[Key, Program] = {}
made: dict[Key, Program] = {}


def compiled(pattern: str, flags: int = 0) -> re.Pattern[str]:
    """The same as ``re.compile(pattern, flags)``, and raises the same."""
    key = (pattern, int(flags))
    program = remembered.get(key, made.get(key))
    if program is None:
        program = _program(*key)
        if program is not None:
            made[key] = program
    found = None if program is None else _with_program(pattern, program)
    return re.compile(pattern, flags) if found is None else found


def version() -> str:
    """What the programs of this run belong to: another Python has others."""
    return f"{sys.version} {getattr(_engine, 'MAGIC', None)} {sys.byteorder}"


def _part(*names: str) -> Any:
    """A part of ``re``, by the names it has had."""
    for name in names:
        with suppress(ImportError):
            return import_module(name)
    return None


_engine = _part("_sre")


def _program(pattern: str, flags: int) -> Program | None:
    """The program of an expression, None where it cannot be had."""
    parser, compiler = _part("re._parser", "sre_parse"), _part("re._compiler", "sre_compile")
    try:
        parsed = parser.parse(pattern, flags)
        numbers = compiler._code(parsed, flags)
        code = b"".join([number.to_bytes(4, sys.byteorder) for number in numbers])
        state = parsed.state
        return int(flags | state.flags), code, state.groups - 1, dict(state.groupdict)
    except Exception:
        return None


def _with_program(pattern: str, program: Program) -> re.Pattern[str] | None:
    """The expression with its program, None where ``re`` does not take it."""
    try:
        flags, code, groups, named = program
        names: list[str | None] = [None] * (groups + 1)
        for name, number in named.items():
            names[number] = name
        numbers = memoryview(code).cast("I").tolist()
        found = _engine.compile(pattern, flags, numbers, groups, named, tuple(names))
    except Exception:
        return None
    return found if isinstance(found, re.Pattern) else None
