"""What the trade knows: tables in TOML with the source beside each row, and lookups.

Each table is read when it is first asked for and then kept, so that a run pays only
for the tables it uses.
"""

from __future__ import annotations

import os
from functools import cache
from typing import Any

_FOLDER = os.path.dirname(__file__)


@cache
def table(name: str) -> dict[str, Any]:
    """The table ``name`` ("hooks" for ``hooks.toml``) as nested mappings and lists.

    The caller must not change it: everyone is given the same one.
    Raises FileNotFoundError where there is no such table.
    """
    import tomli  # here, because a run that needs no table should not wait for it

    with open(os.path.join(_FOLDER, name + ".toml"), "rb") as file:
        return tomli.load(file)
