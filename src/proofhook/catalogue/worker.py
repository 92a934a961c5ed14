"""A worker: a process that takes jobs from its standard input and gives outcomes back.

It ends when its input does, so none is left when the run that started it is gone.  The
jobs come from that run alone; the outcomes are JSON.
"""

from __future__ import annotations

import json
import os
import pickle
import struct
import sys
from typing import IO, TYPE_CHECKING

from proofhook.catalogue.job import Job
from proofhook.catalogue.work import shown, shown_written, work, written
from proofhook.faults import one_line
from proofhook.garbage import look_seldom
from proofhook.remembered import recall

if TYPE_CHECKING:
    from proofhook.showing.sums import Shown

SIZE = struct.Struct(">Q")
#: What an answer begins with: an outcome, a fault, or an outcome that JSON cannot hold.
DONE, FAULT, UNKEPT = b"D", b"F", b"N"
#: Where it is to be shown: what is shown, in two parts of these sizes, before the outcome.
PARTS = struct.Struct(">QQ")


def send(stream: IO[bytes], data: bytes) -> None:
    """Write a message: its size, then its bytes."""
    stream.write(SIZE.pack(len(data)) + data)
    stream.flush()


def receive(stream: IO[bytes]) -> bytes:
    """The next message.  Raises EOFError where there is none, or only a part of one."""
    head = stream.read(SIZE.size)
    if len(head) < SIZE.size:
        raise EOFError
    (size,) = SIZE.unpack(head)
    data = stream.read(size)
    if len(data) < size:
        raise EOFError
    return data


def outcome(job: Job) -> bytes:
    """What came of a job, behind a letter: what was asked for, or in words why there is none."""
    try:
        done = work(job)
        head = b"" if job.form is None else _head(shown(done, job, job.form))
        text = written(done) if job.kept or job.form is None else None
        return UNKEPT + head if text is None else DONE + head + text.encode("ascii")
    except Exception as error:
        return FAULT + one_line(error).encode("utf-8", "surrogateescape")


def _head(shown: Shown) -> bytes:
    """What is shown of a file and the sentences about what was not done, each after its size."""
    data, failures = shown_written(shown), json.dumps(shown.failures).encode("ascii")
    return PARTS.pack(len(data), len(failures)) + data + failures


def parted(answer: bytes) -> tuple[bytes, tuple[str, ...], bytes]:
    """The parts of an answer without its letter: what is shown, failures, the outcome."""
    size, more = PARTS.unpack(answer[: PARTS.size])
    data, rest = answer[PARTS.size : PARTS.size + size], answer[PARTS.size + size :]
    return data, tuple(json.loads(rest[:more])), rest[more:]


def serve() -> None:
    """Take batches of jobs until there are no more."""
    # What a rule prints must not get among the outcomes.
    back = os.fdopen(os.dup(1), "wb")
    os.dup2(2, 1)
    sys.stdout = sys.stderr
    jobs = sys.stdin.buffer
    look_seldom()
    recall()
    while True:
        try:
            batch: list[Job] = pickle.loads(receive(jobs))
        except EOFError:
            return
        try:
            for job in batch:
                send(back, outcome(job))
        except BrokenPipeError:
            return
