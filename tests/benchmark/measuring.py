"""Running commands and telling how long they took, in tables of Markdown."""

from __future__ import annotations

import os
import statistics
import subprocess
import sys
import time
from collections.abc import Iterable
from pathlib import Path
from typing import NamedTuple

ROOT = Path(__file__).resolve().parents[2]
COMMAND = (sys.executable, "-m", "proofhook")
ENVIRONMENT = {
    **os.environ,
    "PYTHONPATH": os.pathsep.join([str(ROOT / "src"), str(ROOT / "rules")]),
    "PYTHONDONTWRITEBYTECODE": "",  # what is installed has its bytecode beside it
}


class Measured(NamedTuple):
    """A run of a process: seconds by the clock and of the processor, and the most it held in MB."""

    seconds: float
    worked: float
    memory: float


def run(*arguments: str, cache: bool = True) -> Measured:
    """Run a command to its end; its output goes nowhere.

    Without ``cache`` nothing is remembered from run to run.  Raises RuntimeError where the
    command could not do what it was asked.
    """
    environment = ENVIRONMENT if cache else {**ENVIRONMENT, "PROOFHOOK_CACHE": ""}
    began = time.perf_counter()
    process = subprocess.Popen(
        arguments, stdout=subprocess.DEVNULL, stderr=subprocess.PIPE, env=environment
    )
    assert process.stderr
    said = process.stderr.read()
    _, status, usage = os.wait4(process.pid, 0)
    seconds = time.perf_counter() - began
    process.returncode = os.waitstatus_to_exitcode(status)
    if process.returncode not in (0, 1):
        raise RuntimeError(f"{' '.join(arguments)}: {said.decode(errors='replace')[:300]}")
    memory = usage.ru_maxrss / (1024 * 1024 if sys.platform == "darwin" else 1024)
    return Measured(seconds, usage.ru_utime + usage.ru_stime, memory)


def median(runs: int, *arguments: str, cache: bool = True) -> Measured:
    """The medians of so many runs, after one that warms the disk and what is remembered."""
    run(*arguments, cache=cache)
    several = [run(*arguments, cache=cache) for _ in range(runs)]
    return Measured(*(statistics.median(values) for values in zip(*several, strict=True)))


def table(head: str, rows: Iterable[Iterable[str]]) -> None:
    """Print a table as its rows come; the first column is of words, the others of figures."""
    columns = head.split("|")
    print(f"\n| {' | '.join(columns)} |")
    print(f"|---|{'---:|' * (len(columns) - 1)}", flush=True)
    for row in rows:
        print(f"| {' | '.join(row)} |", flush=True)


__all__ = ["COMMAND", "ENVIRONMENT", "ROOT", "Measured", "median", "run", "table"]
