"""A worker: a process that takes jobs from its standard input and gives outcomes back.

It ends when its input does, so none is left when the run that started it is gone.  The
jobs come from that run alone; the outcomes are JSON.
"""

from __future__ import annotations

import os
import pickle
import struct
import sys
from typing import IO

from proofhook.catalogue.job import Job
from proofhook.catalogue.work import work, written
from proofhook.faults import one_line
from proofhook.garbage import look_seldom
from proofhook.remembered import recall

SIZE = struct.Struct(">Q")
#: What an answer begins with: an outcome, a fault, or an outcome that JSON cannot hold.
DONE, FAULT, UNKEPT = b"D", b"F", b"N"


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
    """What came of a job, behind a letter: JSON, or in words why there is none."""
    try:
        text = written(work(job))
        return UNKEPT if text is None else DONE + text.encode("ascii")
    except Exception as error:
        return FAULT + one_line(error).encode("utf-8", "surrogateescape")


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
