"""On what a law is tried: which of the shipped patterns, and how many that are made up."""

from __future__ import annotations

import os
from collections.abc import Collection, Sequence
from pathlib import Path

from hypothesis import HealthCheck, settings

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


#: The same made-up patterns in every run; PROOFHOOK_TRIES=5000 asks for so many new ones.
TRIES = int(os.environ.get("PROOFHOOK_TRIES", "0"))


def tried(usually: int) -> settings:
    """How often a law is tried on patterns made up at random."""
    return settings(
        max_examples=TRIES or usually,
        deadline=None,
        derandomize=not TRIES,
        suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large],
    )
