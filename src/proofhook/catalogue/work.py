"""The work on one pattern: a function from its text and its house to what was found.

It is the same in this process, in another one and on another machine.
"""

from __future__ import annotations

import json
from functools import lru_cache
from typing import TYPE_CHECKING

from proofhook.catalogue.job import Done, Job
from proofhook.catalogue.plain import from_plain, to_plain
from proofhook.counting.result import Tally
from proofhook.counting.tally import tally
from proofhook.pattern import NO_WORDS
from proofhook.reading import read

if TYPE_CHECKING:
    from proofhook.pattern import OwnWords
    from proofhook.proofing.pack import Pack
    from proofhook.text import Source


def work(job: Job) -> Done:
    """Read a pattern, work its rows and let the rules of its house look at it."""
    own = words_of(job.plugins)
    source = job.source()
    tallied = tally(read(source) if own is NO_WORDS else read(source, own=own))
    if job.house is None or not tallied.rows:
        return Done(tallied)
    from proofhook.proofing.proof import proof

    done = proof(tallied.pattern, tallied, job.house, pack_of(job.house.plugins).rules)
    return Done(tallied, (done.findings, done.failures, done.let_stand))


def written(done: Done) -> str | None:
    """What came of it as JSON; None where a rule gave something that JSON cannot hold."""
    try:
        return json.dumps(to_plain(tuple(done)), separators=(",", ":"))
    except (TypeError, RecursionError):
        return None


def taken_up(text: str, source: Source, own: OwnWords = NO_WORDS) -> Done:
    """What came of a job, from what was written.

    Raises ValueError where it is not as it was written.
    """
    done = from_plain(json.loads(text), source, own)
    if not (isinstance(done, tuple) and len(done) == 2 and isinstance(done[0], Tally)):
        raise ValueError("not the outcome of a job")
    return Done(*done)


def words_of(plugins: tuple[str, ...]) -> OwnWords:
    """The words that these plug-ins bring."""
    return pack_of(plugins).words if plugins else NO_WORDS


@lru_cache(maxsize=16)
def pack_of(plugins: tuple[str, ...]) -> Pack:
    """What these plug-ins bring, loaded once in a process."""
    from proofhook.proofing.plugins import load

    return load(plugins)
