"""How fast the command starts and how fast it reads, by the clock.

    python tests/benchmark/run.py            everything, a minute or two
    python tests/benchmark/run.py --quick    fewer runs, smaller library

Prints a table and judges nothing:

- cold start: the whole command on one pattern of 100 lines, in a new process, beside a
  bare Python that does nothing, and beside ``--version``; bytecode and shapes are there from
  a run before, as they are on a machine where the command was used;
- throughput: lines a second over a library of 1,000 different patterns (library.py), in
  one process with start-up counted in, for each command and form, for tidying in a house
  that wants nearly every file changed, and for second editions of those patterns that are
  in US terms, beside the proof of the same;
- growth: the same for 100 and 1,000 files; what is linear takes ten times as long;
- memory: the most that the process held.

The figures hold for the machine they were measured on; let nothing else run.
"""

from __future__ import annotations

import argparse
import os
import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path
from typing import NamedTuple

ROOT = Path(__file__).resolve().parents[2]
sys.path[:0] = [str(ROOT / "tests"), str(ROOT / "src")]

from benchmark.library import pattern_text, write_library  # noqa: E402

COMMAND = [sys.executable, "-m", "proofhook"]
ENVIRONMENT = {
    **os.environ,
    "PYTHONPATH": os.pathsep.join([str(ROOT / "src"), str(ROOT / "rules")]),
    "PYTHONDONTWRITEBYTECODE": "",  # what is installed has its bytecode beside it
}


RUNS = (
    "tally --jobs 1 --format json",
    "proof --jobs 1 --format lines",
    "proof --jobs 1 --format page",
    "tidy --show",
)
#: A back catalogue: in two processes, and with a cache that has been filled.
AT_ONCE, KEPT = "proof --jobs 2 --format lines", "proof --jobs 1 --cache on --format lines"
#: Tidying where nearly every file has to be changed, read again and proofed again.
WISHFUL = "tidy, all changed"
WISHES = """\
[rules.house-marks]
total = "square"

[tidy]
blank-lines = "one"
after-label = "small"
label-end = "colon"
abbreviations = "columns"
heading-end = "colon"
"""


class Measured(NamedTuple):
    """A run of a process: how long it took, in seconds, and the most it held, in kB."""

    seconds: float
    memory: int


def run(*arguments: str) -> Measured:
    """Run a command to its end; its output goes nowhere.

    Raises RuntimeError where it could not do what it was asked.
    """
    began = time.perf_counter()
    process = subprocess.Popen(
        arguments, stdout=subprocess.DEVNULL, stderr=subprocess.PIPE, env=ENVIRONMENT
    )
    assert process.stderr
    said = process.stderr.read()
    _, status, usage = os.wait4(process.pid, 0)
    seconds = time.perf_counter() - began
    process.returncode = os.waitstatus_to_exitcode(status)
    if process.returncode not in (0, 1):
        raise RuntimeError(f"{' '.join(arguments)}: {said.decode(errors='replace')[:300]}")
    return Measured(seconds, usage.ru_maxrss // (1024 if sys.platform == "darwin" else 1))


def median(runs: int, *arguments: str) -> float:
    """The median of so many runs in milliseconds, after one that warms the disk."""
    run(*arguments)
    return 1000 * statistics.median(run(*arguments).seconds for _ in range(runs))


def cold_start(folder: Path, runs: int) -> None:
    """A pattern of 100 lines, start to end, beside a Python that does nothing."""
    pattern = folder / "hundred-lines.txt"
    pattern.write_text(pattern_text(1, lines=100), "utf-8")
    bare = median(runs, sys.executable, "-c", "pass")
    print(f"Cold start, median of {runs} runs")
    print(f"  {'python -c pass':28}{bare:8.0f} ms")
    for words in (["--version"], ["tally"], ["proof"]):
        files = [] if words == ["--version"] else [str(pattern)]
        took = median(runs, *COMMAND, *words, *files)
        name = f"proofhook {' '.join(words)}" + (", 100 lines" if files else "")
        print(f"  {name:28}{took:8.0f} ms{took / bare:8.1f} x bare")


def throughput(folder: Path, files: int) -> None:
    """Lines a second over the library, growth and memory."""
    small, large = folder / "small", folder / "large"
    few = max(files // 10, 1)
    lines = {small: write_library(small, few), large: write_library(large, files)}
    print(f"\nLibrary of {files:,} different patterns, {lines[large]:,} lines, one process")
    print(f"  {'':24}{'lines/s':>10}{'seconds':>10}{f'{few} files':>12}{'growth':>9}{'memory':>9}")
    for words in RUNS:
        table_row(words, small, large, lines)
    table_row(AT_ONCE, small, large, lines, "proof, two processes")
    for each in (small, large):
        run(*COMMAND, *KEPT.split(), str(each))
    table_row(KEPT, small, large, lines, "proof, from the cache")
    for each in (small, large):
        (each / "housestyle.toml").write_text(WISHES, "utf-8")
    table_row("tidy --show", small, large, lines, WISHFUL)
    for each in (small, large):
        (each / "housestyle.toml").unlink()
    print(f"\nThose of them that are in US terms, {american(small, lines):,} lines and ", end="")
    print(f"{american(large, lines):,} lines")
    table_row("proof --jobs 1 --format lines", small, large, lines)
    table_row(f"translate --to uk --into {folder / 'editions'}", small, large, lines)
    print("  growth: time a line in the large library by that in the small one; 1 is linear")


def table_row(words: str, small: Path, large: Path, lines: dict[Path, int], name: str = "") -> None:
    """Measure a command over both libraries and print a line of the table."""
    command = [*COMMAND, *words.split()]
    fewer, more = run(*command, str(small)), run(*command, str(large))
    growth = more.seconds / fewer.seconds * lines[small] / lines[large]
    print(
        f"  {name or words.partition(' --into')[0]:24}{lines[large] / more.seconds:10,.0f}"
        f"{more.seconds:10.2f}{fewer.seconds:12.2f}{growth:9.2f}{more.memory / 1024:6.0f} MB"
    )


def american(folder: Path, lines: dict[Path, int]) -> int:
    """Leave the patterns that are plainly in US terms in a library, and count their lines."""
    from proofhook.trade.terms import evidence

    lines[folder] = 0
    for path in folder.iterdir():
        text = path.read_text("utf-8")
        weighed = evidence(text)
        if weighed.terms == "us" and not weighed.conflict:
            lines[folder] += len(text.splitlines())
        else:
            path.unlink()
    return lines[folder]


def main() -> None:
    """Measure and print."""
    ask = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    ask.add_argument("--quick", action="store_true", help="fewer runs and a smaller library")
    ask.add_argument("--files", type=int, default=0, help="how many patterns in the library")
    asked = ask.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        ENVIRONMENT["PROOFHOOK_CACHE"] = os.path.join(folder, "cache")
        ENVIRONMENT["PYTHONPYCACHEPREFIX"] = os.path.join(folder, "bytecode")
        ENVIRONMENT["PROOFHOOK_CACHE"] = os.path.join(folder, "cache")
        cold_start(Path(folder), 7 if asked.quick else 21)
        throughput(Path(folder), asked.files or (200 if asked.quick else 1000))


if __name__ == "__main__":
    main()
