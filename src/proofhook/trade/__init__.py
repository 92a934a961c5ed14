"""What the trade knows: tables in TOML with the source beside each row, and lookups.

Each table is read when it is first asked for and then kept, so that a run pays only
for the tables it uses.  What was read can be remembered from run to run.
"""

from __future__ import annotations

import marshal
import os
from functools import cache
from typing import Any
from zlib import crc32

_FOLDER = os.path.dirname(__file__)

#: Tables that earlier runs have read, and those that this run has: the number of the file's
#: text, and what stands in it, written down.
remembered: dict[str, tuple[int, bytes]] = {}
read: dict[str, tuple[int, bytes]] = {}


@cache
def table(name: str) -> dict[str, Any]:
    """The table ``name`` ("hooks" for ``hooks.toml``) as nested mappings and lists.

    The caller must not change it: everyone is given the same one.
    Raises FileNotFoundError where there is no such table.
    """
    with open(os.path.join(_FOLDER, name + ".toml"), "rb") as file:
        text = file.read()
    number, written = remembered.get(name, (None, b""))
    if number == crc32(text):
        found: dict[str, Any] = marshal.loads(written)
        return found
    import tomli  # here, because a run that needs no table should not wait for it

    found = tomli.loads(text.decode("utf-8"))
    read[name] = crc32(text), marshal.dumps(found)
    return found
