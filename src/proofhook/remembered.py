"""What is remembered from run to run: shapes of segments, programs of expressions, tables.

Parsing and compiling are most of the time that the command takes for a short file, and
nearly all of it was done before, if not for this file then for another.  What came of it
is therefore kept in a file of the user's cache: words of the grammar, expressions of the
program and its tables alone, nothing of what anybody wrote.  The file may be deleted, cut
off or out of date at any time; then there is nothing to remember and all is worked out
anew.  Of runs at the same time the last to end is remembered.

``PROOFHOOK_CACHE`` names another folder for it, or "" for none.
"""

from __future__ import annotations

import marshal
import os
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from importlib.machinery import PathFinder
from typing import TypeVar
from zlib import crc32

from proofhook import programs, trade
from proofhook.files import write_whole
from proofhook.reading import shapes

#: A file with more shapes would take longer to read than parsing what is met with.
MOST_KEPT = 3_000
#: There are fewer expressions than that; more would be those of earlier versions.
MOST_PROGRAMS = 1_500
_Key = TypeVar("_Key")
_Kept = TypeVar("_Kept")
_NAME = f"remembered-{sys.implementation.cache_tag}"


def recall() -> None:
    """Take up what earlier runs have parsed and compiled."""
    path = _file()
    if not path or shapes.remembered:
        return
    try:
        with open(path, "rb") as file:
            head, data = file.readline(), file.read()
        if head == _head(data):
            kept_shapes, kept_programs, kept_tables = marshal.loads(data)
            shapes.remembered.update(kept_shapes)
            programs.remembered.update(kept_programs)
            trade.remembered.update(kept_tables)
    except (OSError, ValueError, EOFError, TypeError):
        return


def keep() -> None:
    """Write down what was parsed and compiled, where that is more than was remembered."""
    path = _file()
    kept = shapes.to_keep()
    new = bool(programs.made.keys() - programs.remembered.keys() or trade.read)
    if not path or (len(kept) == len(shapes.remembered) and not new):
        return
    compiled = programs.remembered | programs.made
    tables = trade.remembered | trade.read
    data = marshal.dumps((_last(kept, MOST_KEPT), _last(compiled, MOST_PROGRAMS), tables))
    try:
        os.makedirs(os.path.dirname(path), exist_ok=True)
        write_whole(path, _head(data) + data)
    except OSError:
        return
    programs.remembered.update(programs.made)
    trade.remembered.update(trade.read)
    trade.read.clear()


@contextmanager
def remembering() -> Iterator[None]:
    """Begin with what earlier runs have parsed and compiled, and keep what is new at the end."""
    recall()
    yield
    keep()


def _last(kept: dict[_Key, _Kept], most: int) -> dict[_Key, _Kept]:
    return dict(list(kept.items())[-most:])


def _file() -> str:
    """Where it is kept; "" for nowhere."""
    folder = os.environ.get("PROOFHOOK_CACHE")
    if folder is None:
        home = os.environ.get("LOCALAPPDATA") or os.environ.get("XDG_CACHE_HOME")
        folder = os.path.join(home or os.path.expanduser("~/.cache"), "proofhook")
    return os.path.join(folder, _NAME) if os.path.isabs(folder) else ""


def _head(data: bytes) -> bytes:
    """The first line of the file: what it was made with, and what it holds."""
    return f"{_grammar()} {programs.version()!r} {crc32(data)}\n".encode()


def _grammar() -> str:
    """The grammar that this run would parse with: its own text, and which parser it is."""
    found = PathFinder.find_spec("pyparsing")
    parser = os.stat(found.origin) if found and found.origin else None
    texts = []
    for name in ("grammar.py", "shapes.py"):
        with open(os.path.join(os.path.dirname(shapes.__file__), name), "rb") as file:
            texts.append(crc32(file.read()))
    return f"{texts} {parser and (parser.st_mtime_ns, parser.st_size)}"
