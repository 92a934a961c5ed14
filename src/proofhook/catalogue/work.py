"""The work on one pattern: a function from its text and its house to what was found.

It is the same in this process, in another one and on another machine.
"""

from __future__ import annotations

from functools import lru_cache
from typing import TYPE_CHECKING

from proofhook.catalogue.job import Done, Job
from proofhook.showing.forms import TALLY
from proofhook.showing.sums import Shown, Sums, sums_of_tally

if TYPE_CHECKING:
    from proofhook.pattern import OwnWords
    from proofhook.proofing.pack import Pack
    from proofhook.showing.forms import Form
    from proofhook.text import Source


def work(job: Job) -> Done:
    """Read a pattern, work its rows and let the rules of its house look at it."""
    from proofhook.counting.tally import tally
    from proofhook.pattern import NO_WORDS
    from proofhook.reading import read

    own = words_of(job.plugins)
    source = job.source()
    tallied = tally(read(source) if own is NO_WORDS else read(source, own=own))
    if job.house is None or not tallied.rows:
        return Done(tallied)
    from proofhook.proofing.proof import proof

    done = proof(tallied.pattern, tallied, job.house, pack_of(job.house.plugins).rules)
    return Done(tallied, (done.findings, done.failures, done.let_stand))


def shown(done: Done, job: Job, form: Form) -> Shown:
    """What a form shows of what came of a job; nothing where it has no rows or no house."""
    if not done.tally.rows:
        return Shown(job.path, "", Sums())
    if form.what == TALLY:
        return form.of_tally(done.tally)
    if job.house is None or done.found is None:
        return Shown(job.path, "", sums_of_tally(done.tally))
    from proofhook.proofing.proof import Proof

    return form.of_proof(Proof(done.tally.pattern, done.tally, job.house, *done.found))


def written(done: Done) -> str | None:
    """What came of it as JSON; None where a rule gave something that JSON cannot hold."""
    import json

    from proofhook.catalogue.plain import to_plain

    try:
        return json.dumps(to_plain(tuple(done)), separators=(",", ":"))
    except (TypeError, RecursionError):
        return None


def shown_written(shown: Shown) -> bytes:
    """What is shown of a file, to be kept."""
    return f"{' '.join(map(str, shown.sums))}\n{shown.text}".encode("utf-8", "surrogatepass")


def shown_again(data: bytes, path: str) -> Shown:
    """What is shown of a file, from what was written.

    Raises ValueError or TypeError where it is not as it was written.
    """
    figures, _, text = data.partition(b"\n")
    sums = Sums(*map(int, figures.split()))
    if len(figures.split()) != len(sums):
        raise ValueError("figures are missing")
    return Shown(path, text.decode("utf-8", "surrogatepass"), sums)


def taken_up(text: str | bytes, source: Source, own: OwnWords | None = None) -> Done:
    """What came of a job, from what was written.

    Raises ValueError where it is not as it was written.
    """
    import json

    from proofhook.catalogue.plain import from_plain
    from proofhook.counting.result import Tally
    from proofhook.pattern import NO_WORDS

    done = from_plain(json.loads(text), source, NO_WORDS if own is None else own)
    if not (isinstance(done, tuple) and len(done) == 2 and isinstance(done[0], Tally)):
        raise ValueError("not the outcome of a job")
    return Done(*done)


def words_of(plugins: tuple[str, ...]) -> OwnWords:
    """The words that these plug-ins bring."""
    from proofhook.pattern import NO_WORDS

    return pack_of(plugins).words if plugins else NO_WORDS


@lru_cache(maxsize=16)
def pack_of(plugins: tuple[str, ...]) -> Pack:
    """What these plug-ins bring, loaded once in a process."""
    from proofhook.proofing.plugins import load

    return load(plugins)
