"""Worker processes, and jobs handed to them in batches.

Each worker has a thread that hands it jobs and takes the outcomes.  Where a worker ends in
the middle of a job, another is started and the job is tried once more; only where that
ends too is there no outcome.
"""

from __future__ import annotations

import os
import pickle
import subprocess
import sys
from collections import deque
from contextlib import suppress
from queue import SimpleQueue
from threading import Event, Thread

from proofhook.catalogue.job import EndedError, FaultError, Job
from proofhook.catalogue.worker import DONE, FAULT, receive, send

#: A worker looks for modules where this process does, and nowhere else: not even, before
#: that is set, in the folder it is started in.
BOOT = (
    "import sys; sys.path[:] = sys.argv[1:]; from proofhook.catalogue.worker import serve; serve()"
)
TRIES = 2


class Slot:
    """The place for the outcome of one job."""

    __slots__ = ("_answer", "_ready", "error", "job", "tries")

    def __init__(self, job: Job) -> None:
        self.job = job
        self.tries = 0
        self.error: Exception | None = None
        self._answer = b""
        self._ready = Event()

    def fill(self, answer: bytes, error: Exception | None = None) -> None:
        """Put the answer of a worker here, or why there is none."""
        self._answer, self.error = answer, error
        self._ready.set()

    def outcome(self) -> tuple[bytes, bool]:
        """What came of the job, once it is done, and whether JSON can hold it whole.

        Raises FaultError or EndedError where nothing came of it.
        """
        while not self._ready.wait(1):
            pass  # with a limit, so that Ctrl-C is heard on every system
        if self.error:
            raise self.error
        kind, text = self._answer[:1], self._answer[1:]
        if kind == FAULT:
            raise FaultError(text.decode("utf-8", "surrogateescape"))
        return text, kind == DONE


class Workers:
    """So many workers; they are there until :meth:`close`."""

    def __init__(self, count: int) -> None:
        self._queue: SimpleQueue[list[Slot] | None] = SimpleQueue()
        self._processes: dict[int, subprocess.Popen[bytes]] = {}
        self._closed = False
        self._threads = [
            Thread(target=self._keep_busy, args=(number,), daemon=True) for number in range(count)
        ]
        for thread in self._threads:
            thread.start()

    def hand_out(self, batch: list[Slot]) -> None:
        """Give a batch to the next worker that is free."""
        self._queue.put(batch)

    def close(self) -> None:
        """End all workers, whatever they are at."""
        self._closed = True
        for process in list(self._processes.values()):
            process.kill()
        for _ in self._threads:
            self._queue.put(None)
        for thread in self._threads:
            thread.join()

    def _keep_busy(self, number: int) -> None:
        while (batch := self._queue.get()) is not None:
            left = deque(batch)
            while left and not self._closed:
                self._do(number, left)
        self._end(number)

    def _do(self, number: int, left: deque[Slot]) -> None:
        """Have a worker do what is left of a batch, as far as it comes."""
        try:
            process = self._processes.get(number) or self._start(number)
            assert process.stdin
            assert process.stdout
            send(process.stdin, pickle.dumps([slot.job for slot in left]))
            while left:
                left[0].fill(receive(process.stdout))
                left.popleft()
        except (OSError, EOFError):
            how = self._end(number)
            slot = left[0]
            slot.tries += 1
            if slot.tries == TRIES:
                left.popleft()
                sentence = (
                    f"{slot.job.path}: it could not be worked on: "
                    f"the process at it ended {TRIES} times ({how})."
                )
                slot.fill(b"", EndedError(sentence))
        except Exception as error:  # a job that cannot be sent
            while left:
                left.popleft().fill(b"", error)

    def _start(self, number: int) -> subprocess.Popen[bytes]:
        # In a session of its own, so that Ctrl-C reaches this process alone, which ends them.
        apart = getattr(subprocess, "CREATE_NEW_PROCESS_GROUP", 0)
        self._processes[number] = process = subprocess.Popen(
            [sys.executable, "-c", BOOT, *(path or os.getcwd() for path in sys.path)],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            start_new_session=True,
            creationflags=apart,
        )
        if self._closed:
            process.kill()
        return process

    def _end(self, number: int) -> str:
        """End a worker, if it is there; how it ended."""
        process = self._processes.pop(number, None)
        if process is None:
            return "it could not be started"
        for stream in (process.stdin, process.stdout):
            with suppress(OSError):  # what was on the way to a worker that has ended
                if stream:
                    stream.close()
        try:
            status = process.wait(5)
        except subprocess.TimeoutExpired:
            process.kill()
            status = process.wait()
        return f"signal {-status}" if status < 0 else f"status {status}"
