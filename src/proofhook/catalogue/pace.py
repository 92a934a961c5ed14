"""How a run goes about many files: in one process or in several, keeping what it finds or not."""

from __future__ import annotations

import os

from proofhook.records import NamedTuple

#: From so many files on, as many processes as there are processors, and the most of them.
MANY, MOST_JOBS = 50, 8


class Pace(NamedTuple):
    """How a run goes about it: in how many processes, and whether what it finds is kept.

    ``jobs`` is None where the number of files decides.
    """

    jobs: int | None = None
    cached: bool = False


#: Where what is made of a file is needed whole, in this process.
ALONE = Pace(1)


def processes(asked: int | None, files: int) -> int:
    """How many processes to work with: as many as asked for, or what is worth while."""
    if asked is not None:
        return max(1, min(asked, files))
    if files < MANY:
        return 1
    return min(MOST_JOBS, _processors())


def _processors() -> int:
    if hasattr(os, "sched_getaffinity"):
        return len(os.sched_getaffinity(0))
    return os.cpu_count() or 1
