"""Which of the shipped patterns a law is tried on: some in every run, all when asked for."""

from __future__ import annotations

import os
from collections.abc import Collection, Sequence
from pathlib import Path

#: PROOFHOOK_THOROUGH=1 tries every law on every shipped pattern; it takes some minutes more.
THOROUGH = bool(os.environ.get("PROOFHOOK_THOROUGH"))
#: One labelled pattern in so many is tried in every run.
ONE_IN = 5


def some(paths: Sequence[Path], always: Collection[str] = ()) -> list[Path]:
    """All of the paths, or, unless all are asked for, those of ``fixtures/patterns``, those
    whose stem is in ``always``, and one in five of the others.
    """
    if THOROUGH:
        return list(paths)
    shipped = [path for path in paths if path.parent.name == "patterns" or path.stem in always]
    others = [path for path in paths if path not in shipped]
    return sorted([*shipped, *others[::ONE_IN]])
