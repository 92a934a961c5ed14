"""A round through many files: read ahead, worked on side by side, given out in order."""

from __future__ import annotations

from collections import deque
from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING

from proofhook.catalogue.cache import Cache, cache_folder
from proofhook.catalogue.job import Done, Job
from proofhook.catalogue.work import taken_up, words_of, work, written
from proofhook.catalogue.workers import Slot, Workers
from proofhook.files import FileError, Named, read_source
from proofhook.records import NamedTuple
from proofhook.text import TextError

if TYPE_CHECKING:
    from proofhook.proofing.house import House
    from proofhook.text import Source

#: The most files that a worker is given at once.
BATCH = 8


class Ahead(NamedTuple):
    """A file that was read ahead, or why it cannot be; ``kept`` is what the cache had."""

    source: Source | None = None
    error: Exception | None = None
    job: Job | None = None
    key: str | None = None
    kept: Done | None = None
    slot: Slot | None = None


class Asked(NamedTuple):
    """What a round asks of whoever goes through the files.

    ``words_from`` gives the plug-ins that a file is read with, ``house_for`` its house, None
    where only its tally is wanted; both before its turn.  ``at_turn`` is called when a file
    that could be read has its turn, ``remark`` with what is to be said beside the outcome.
    """

    words_from: Callable[[str], tuple[str, ...]]
    house_for: Callable[[str], House | None]
    at_turn: Callable[[str], object]
    remark: Callable[[str], None]


class Round:
    """One round through files, in their order."""

    def __init__(
        self,
        files: Sequence[Named],
        asked: Asked,
        jobs: int,
        cached: bool,
    ) -> None:
        self._asked = asked
        self._workers = Workers(jobs) if jobs > 1 else None
        self._cache = Cache(cache_folder()) if cached else None
        self._size = max(1, min(BATCH, len(files) // (2 * jobs))) if jobs > 1 else 1
        self._most = 3 * self._size * jobs if jobs > 1 else 1
        self._ahead: deque[Ahead] = deque()
        self._batch: list[Slot] = []
        self._left = iter(files)

    def __enter__(self) -> Callable[[Named], tuple[Source, Done]]:
        return self.take

    def __exit__(self, *_: object) -> None:
        """End the workers, whatever they are at."""
        if self._workers:
            self._workers.close()
        if self._cache and self._cache.fault:
            self._asked.remark(f"{self._cache.fault}; nothing more was kept.")

    def take(self, _: Named) -> tuple[Source, Done]:
        """The next file, which is this one, and what came of it.

        Raises what reading and working on it raised, FaultError or EndedError.
        """
        if len(self._ahead) <= self._most - self._size:
            while len(self._ahead) < self._most and (file := next(self._left, None)):
                self._ahead.append(self._read(file))
            self._hand_out()
        each = self._ahead.popleft()
        if each.error:
            raise each.error
        assert each.source
        assert each.job
        self._asked.at_turn(each.job.path)
        return each.source, each.kept or self._done(each, each.source, each.job)

    def _read(self, file: Named) -> Ahead:
        try:
            source = read_source(file.path)
        except (FileError, TextError) as error:
            return Ahead(error=error)
        job = Job(
            source.path,
            source.text,
            source.bom,
            self._asked.house_for(file.path),
            self._asked.words_from(file.path),
        )
        key = None
        if self._cache:
            from proofhook.catalogue.key import key_of

            key = key_of(job)
            kept = self._kept(key, job) if key else None
            if kept:
                return Ahead(source, job=job, kept=kept)
        if not self._workers:
            return Ahead(source, job=job, key=key)
        slot = Slot(job)
        self._batch.append(slot)
        if len(self._batch) >= self._size:
            self._hand_out()
        return Ahead(source, job=job, key=key, slot=slot)

    def _hand_out(self) -> None:
        if self._workers and self._batch:
            self._workers.hand_out(self._batch)
            self._batch = []

    def _kept(self, key: str, job: Job) -> Done | None:
        text = self._cache.get(key) if self._cache else None
        try:
            return taken_up(text, job.source(), words_of(job.plugins)) if text is not None else None
        except (ValueError, TypeError):
            return None

    def _done(self, each: Ahead, source: Source, job: Job) -> Done:
        """What comes of a file that the cache has nothing about."""
        if each.slot:
            text = each.slot.outcome()
            done = work(job) if text is None else taken_up(text, source, words_of(job.plugins))
        else:
            done = work(job)
            text = written(done) if each.key else None
        # What a rule could not do is not kept: it may be able to next time.
        if self._cache and each.key and text is not None and not (done.found and done.found[1]):
            self._cache.put(each.key, text)
        return done
