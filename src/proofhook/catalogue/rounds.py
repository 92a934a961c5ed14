"""A round through many files: read ahead, worked on side by side, given out in order.

What is given out of each file is what came of it, whole, or only what a form shows of it.
The latter is what most runs need.  It is little to keep and to send, so that a file which
the cache knows costs no more than reading it, one look into the cache, and writing.
"""

from __future__ import annotations

import zlib
from collections import deque
from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING, Generic, TypeVar

from proofhook.catalogue.job import Done, Job
from proofhook.catalogue.work import (
    shown,
    shown_again,
    shown_written,
    taken_up,
    words_of,
    work,
    written,
)
from proofhook.files import FileError, Named, read_bytes
from proofhook.records import NamedTuple
from proofhook.showing.sums import Shown
from proofhook.text import TextError, decode

if TYPE_CHECKING:
    from proofhook.catalogue.cache import Cache
    from proofhook.catalogue.key import Keys
    from proofhook.catalogue.workers import Slot, Workers
    from proofhook.proofing.house import House
    from proofhook.showing.forms import Form

#: The most files that a worker is given at once.
BATCH = 8
#: How hard zlib presses what is kept: not hard, which is nearly as good and much quicker.
PRESSED = 1

Made = TypeVar("Made")


class Ahead(Generic[Made]):
    """A file that was read ahead, or why it cannot be; ``made`` is what the cache had of it.

    ``empty`` tells that there is nothing in it but blanks.
    """

    __slots__ = ("empty", "error", "job", "key", "made", "path", "shown_key", "slot")

    def __init__(self, path: str, error: Exception | None = None) -> None:
        self.path = path
        self.error = error
        self.empty = False
        self.job: Job | None = None
        self.key: str | None = None
        self.shown_key: str | None = None
        self.made: Made | None = None
        self.slot: Slot | None = None


class Asked(NamedTuple):
    """What a round asks of whoever goes through the files.

    ``words_from`` gives the plug-ins that a file is read with, ``house_for`` its house, None
    where only its tally is wanted; both before its turn.  ``at_turn`` is called when a file
    that could be read has its turn, ``remark`` with what is to be said beside the outcome.
    ``before_work`` is called before a file is worked on; it tells whether all is there that
    its house wants, so that what comes of it may be kept.
    """

    words_from: Callable[[str], tuple[str, ...]]
    house_for: Callable[[str], House | None]
    at_turn: Callable[[str], object]
    remark: Callable[[str], None]
    before_work: Callable[[str], bool]


class Round(Generic[Made]):
    """One round through files, in their order; in this process alone where ``jobs`` is 1."""

    form: Form | None = None
    """What is shown of each file; None where what came of it is given out whole."""

    def __init__(self, files: Sequence[Named], asked: Asked, jobs: int, cached: bool) -> None:
        self._asked = asked
        self._workers: Workers | None = None
        self._cache: Cache | None = None
        if jobs > 1:
            from proofhook.catalogue.workers import Workers

            self._workers = Workers(jobs)
        self._keys: Keys | None = None
        if cached:
            from proofhook.catalogue.cache import Cache, cache_folder
            from proofhook.catalogue.key import Keys

            self._cache, self._keys = Cache(cache_folder()), Keys()
        self._size = max(1, min(BATCH, len(files) // (2 * jobs))) if jobs > 1 else 1
        self._most = 3 * self._size * jobs if jobs > 1 else 1
        self._ahead: deque[Ahead[Made]] = deque()
        self._batch: list[Slot] = []
        self._left = iter(files)

    def __enter__(self) -> Callable[[Named], tuple[Made, bool]]:
        return self.take

    def __exit__(self, *_: object) -> None:
        """End the workers, whatever they are at."""
        if self._workers:
            self._workers.close()
        if self._cache and self._cache.fault:
            self._asked.remark(f"{self._cache.fault}; nothing more was kept.")

    def take(self, _: Named) -> tuple[Made, bool]:
        """What came of the next file, which is this one, and whether the file is empty.

        Raises what reading and working on it raised, FaultError or EndedError.
        """
        if len(self._ahead) <= self._most - self._size:
            while len(self._ahead) < self._most and (file := next(self._left, None)):
                self._ahead.append(self._read(file.path))
            self._hand_out()
        each = self._ahead.popleft()
        if each.error:
            raise each.error
        self._asked.at_turn(each.path)
        return self._worked(each) if each.made is None else each.made, each.empty

    def _read(self, path: str) -> Ahead[Made]:
        """Read a file; the work on it is begun if there are workers and nothing is kept of it."""
        each: Ahead[Made] = Ahead(path)
        try:
            data = read_bytes(path)
            house, words = self._asked.house_for(path), self._asked.words_from(path)
            if self.form and self._kept_shown(each, data, house, words):
                return each
            source = decode(data, path)
        except (FileError, TextError) as error:
            each.error = error
            return each
        each.empty = not source.text.strip()
        if self._asked.before_work(path) and self._keys:
            each.key = self._keys.of(path, data, house, words)
        kept = each.key is not None
        each.job = job = Job(path, source.text, source.bom, house, words, self.form, kept)
        each.made = self._kept(each, job)
        if each.made is None and self._workers:
            from proofhook.catalogue.workers import Slot

            each.slot = Slot(job)
            self._batch.append(each.slot)
            if len(self._batch) >= self._size:
                self._hand_out()
        return each

    def _hand_out(self) -> None:
        if self._workers and self._batch:
            self._workers.hand_out(self._batch)
            self._batch = []

    def _kept_shown(
        self, each: Ahead[Made], data: bytes, house: House | None, words: tuple[str, ...]
    ) -> bool:
        """Take up what a form shows of a file, if it is kept; whether it was."""
        raise NotImplementedError

    def _keep_shown(self, each: Ahead[Made], made: Made) -> None:
        """Keep what is shown of a file, if that is all that is asked for."""

    def _shaped(self, done: Done, job: Job) -> Made:
        """What is asked for, of what came of a job in this process."""
        raise NotImplementedError

    def _answered(self, answer: bytes, whole: bool, job: Job) -> tuple[Made, bytes | None]:
        """What is asked for, of the answer of a worker, and the outcome, if it was sent."""
        raise NotImplementedError

    def _failures(self, made: Made) -> tuple[str, ...]:
        """The sentences about rules that could not do their work."""
        raise NotImplementedError

    def _kept(self, each: Ahead[Made], job: Job) -> Made | None:
        """What is asked for, made of the outcome that the cache has."""
        data = self._cache.get(each.key) if self._cache and each.key else None
        if data is None:
            return None
        try:
            done = taken_up(zlib.decompress(data), job.source(), words_of(job.plugins))
        except (ValueError, TypeError, zlib.error):
            return None
        made = self._shaped(done, job)
        self._keep_shown(each, made)
        return made

    def _worked(self, each: Ahead[Made]) -> Made:
        """What comes of a file that the cache has nothing about; what can be is kept."""
        assert each.job
        if each.slot:
            made, outcome = self._answered(*each.slot.outcome(), each.job)
        else:
            done = work(each.job)
            text = written(done) if each.key else None
            made, outcome = self._shaped(done, each.job), text.encode("ascii") if text else None
        # What a rule could not do is not kept: it may be able to next time.
        if self._cache and each.key and outcome and not self._failures(made):
            self._cache.put(each.key, zlib.compress(outcome, PRESSED))
            self._keep_shown(each, made)
        return made


class WholeRound(Round[Done]):
    """A round that gives out what came of each file whole."""

    def _shaped(self, done: Done, _: Job) -> Done:
        return done

    def _answered(self, answer: bytes, whole: bool, job: Job) -> tuple[Done, bytes | None]:
        if not whole:
            return work(job), None
        return taken_up(answer, job.source(), words_of(job.plugins)), answer

    def _failures(self, made: Done) -> tuple[str, ...]:
        return made.found[1] if made.found else ()


class ShownRound(Round[Shown]):
    """A round that gives out what a form shows of each file."""

    def __init__(
        self, files: Sequence[Named], asked: Asked, jobs: int, cached: bool, form: Form
    ) -> None:
        super().__init__(files, asked, jobs, cached)
        self.form = self._form = form

    def _kept_shown(
        self, each: Ahead[Shown], data: bytes, house: House | None, words: tuple[str, ...]
    ) -> bool:
        if not (self._cache and self._keys):
            return False
        each.shown_key = self._keys.of(each.path, data, house, words, self._form)
        kept = self._cache.get(each.shown_key) if each.shown_key else None
        if kept is None:
            return False
        try:
            each.made = made = shown_again(kept, each.path)
        except (ValueError, TypeError):
            return False
        each.empty = not (made.sums.rows or decode(data, each.path).text.strip())
        return True

    def _keep_shown(self, each: Ahead[Shown], made: Shown) -> None:
        if self._cache and each.shown_key:
            self._cache.put(each.shown_key, shown_written(made))

    def _shaped(self, done: Done, job: Job) -> Shown:
        return shown(done, job, self._form)

    def _answered(self, answer: bytes, whole: bool, job: Job) -> tuple[Shown, bytes | None]:
        from proofhook.catalogue.worker import parted

        data, failures, outcome = parted(answer)
        made = shown_again(data, job.path)._replace(failures=failures)
        return made, outcome if whole else None

    def _failures(self, made: Shown) -> tuple[str, ...]:
        return made.failures
