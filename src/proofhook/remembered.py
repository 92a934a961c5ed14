"""The shapes of segments, remembered from run to run.

Parsing is most of the time that the command takes for a short file, and nearly all that a
designer writes was parsed before, if not for this file then for another.  What was parsed
is therefore kept in a file of the user's cache: words of the grammar alone, nothing of
what anybody wrote.  The file may be deleted, cut off or out of date at any time; then
there is nothing to remember and everything is parsed.  Of runs at the same time the last
to end is remembered.

``PROOFHOOK_CACHE`` names another folder for it, or "" for none.
"""

from __future__ import annotations

import marshal
import os
import sys
from importlib.machinery import PathFinder
from zlib import crc32

from proofhook.files import write_whole
from proofhook.reading import shapes

#: A file with more shapes would take longer to read than parsing what is met with.
MOST_KEPT = 3_000
_NAME = f"shapes-{sys.implementation.cache_tag}"


def recall() -> None:
    """Take up what earlier runs have parsed."""
    path = _file()
    if not path or shapes.remembered:
        return
    try:
        with open(path, "rb") as file:
            head, data = file.readline(), file.read()
        if head == _head(data):
            shapes.remembered.update(marshal.loads(data))
    except (OSError, ValueError, EOFError, TypeError):
        return


def keep() -> None:
    """Write down what was parsed, where that is more than was remembered."""
    path = _file()
    kept = shapes.to_keep()
    if not path or len(kept) == len(shapes.remembered):
        return
    data = marshal.dumps(dict(list(kept.items())[-MOST_KEPT:]))
    try:
        os.makedirs(os.path.dirname(path), exist_ok=True)
        write_whole(path, _head(data) + data)
    except OSError:
        return


def _file() -> str:
    """Where the shapes are kept; "" for nowhere."""
    folder = os.environ.get("PROOFHOOK_CACHE")
    if folder is None:
        home = os.environ.get("LOCALAPPDATA") or os.environ.get("XDG_CACHE_HOME")
        folder = os.path.join(home or os.path.expanduser("~/.cache"), "proofhook")
    return os.path.join(folder, _NAME) if os.path.isabs(folder) else ""


def _head(data: bytes) -> bytes:
    """The first line of the file: what it was made with, and what it holds."""
    return f"{_grammar()} {crc32(data)}\n".encode()


def _grammar() -> str:
    """The grammar that this run would parse with: its own text, and which parser it is."""
    found = PathFinder.find_spec("pyparsing")
    parser = os.stat(found.origin) if found and found.origin else None
    texts = []
    for name in ("grammar.py", "shapes.py"):
        with open(os.path.join(os.path.dirname(shapes.__file__), name), "rb") as file:
            texts.append(crc32(file.read()))
    return f"{texts} {parser and (parser.st_mtime_ns, parser.st_size)}"
