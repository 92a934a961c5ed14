"""How fast the command starts and works, and what it holds: tables of Markdown for a page.

    python tests/benchmark/run.py                 everything
    python tests/benchmark/run.py --quick         fewer runs, smaller libraries
    python tests/benchmark/run.py --grow 10000    growth up to so many files

It judges nothing.  What is printed is what ``docs/performance.md`` shows, with the date and
the machine.  "CPU" is the time of the processor, which other work on the machine disturbs
less than the time by the clock; let nothing else run all the same.

- cold start: the whole command on one pattern of 100 lines, in a new process, beside a bare
  Python that does nothing; bytecode and what is remembered are there from a run before, as
  they are on a machine where the command was used, and once without the latter;
- stages: what each costs over a library of different patterns (``library.py``);
- commands: lines a second over it, in one process, start-up counted in, with two processes,
  filling the cache and from it; tidying in a house that wants nearly every file changed, and
  second editions of those patterns that are in US terms;
- growth: from 1 file on, ten times as many each time; what is linear keeps its pace;
- others: checkers of other kinds of text, where they are installed.
"""

from __future__ import annotations

import argparse
import json
import os
import platform
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from datetime import datetime, timezone
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
sys.path[:0] = [str(ROOT / "tests"), str(ROOT / "src")]

from benchmark.library import pattern_text, write_library  # noqa: E402
from benchmark.measuring import COMMAND, ENVIRONMENT, Measured, median, run, table  # noqa: E402
from benchmark.others import installed, write_for  # noqa: E402

KEPT = "proof --jobs 1 --cache on --format lines"
RUNS = {
    "`tally --format json`": "tally --jobs 1 --format json",
    "`proof --format lines`": "proof --jobs 1 --format lines",
    "`proof --format page`": "proof --jobs 1 --format page",
    "`proof`, two processes": "proof --jobs 2 --format lines",
    "`proof`, filling the cache": KEPT,
    "`proof`, from the cache": KEPT,
    "`proof --format page`, made of what the cache has": KEPT.replace("lines", "page"),
    "`proof --format page`, from the cache": KEPT.replace("lines", "page"),
    "`tidy --show`": "tidy --show",
}
#: Tidying where nearly every file has to be changed, read again and proofed again.
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


def machine() -> None:
    """Where and when it was measured."""
    when = datetime.now(timezone.utc).date().isoformat()
    python = f"{platform.python_implementation()} {platform.python_version()}"
    load = f", load {os.getloadavg()[0]:.1f} at the beginning" if hasattr(os, "getloadavg") else ""
    print(
        f"Measured on {when}: {platform.system()} on {platform.machine()}, "
        f"{os.cpu_count()} cores, {python}{load}."
    )


def cold_start(folder: Path, runs: int) -> None:
    """A pattern of 100 lines, start to end, beside a Python that does nothing."""
    pattern = folder / "hundred-lines.txt"
    pattern.write_text(pattern_text(1, lines=100), "utf-8")
    bare = median(runs, sys.executable, "-c", "pass")

    def row(name: str, took: Measured) -> tuple[str, ...]:
        times = f"{took.worked / bare.worked:.1f}"
        return name, f"{1000 * took.worked:.0f} ms", f"{1000 * took.seconds:.0f} ms", times

    def rows() -> Iterator[tuple[str, ...]]:
        yield row("`python -c pass`", bare)
        for words in ("--version", "tally", "proof", "proof, nothing remembered"):
            command, _, without = words.partition(",")
            files = [] if command == "--version" else [str(pattern)]
            took = median(runs, *COMMAND, command, *files, cache=not without)
            name = f"`proofhook {command}`" + (", 100 lines" if files else "")
            yield row(name + (f",{without}" if without else ""), took)

    print(f"\nCold start, median of {runs} runs.")
    table("|CPU|clock|times a bare start", rows())


def stages(library: Path, lines: int) -> None:
    """What each stage costs, in one process that has started already."""
    command = (sys.executable, str(ROOT / "tests" / "benchmark" / "stages.py"), str(library))
    said = subprocess.run(command, capture_output=True, check=True, env=ENVIRONMENT, text=True)
    took: dict[str, float] = json.loads(said.stdout)
    whole = sum(took.values())
    print("\nStages, start-up left out.")
    table(
        "stage|CPU|a line|share|lines/s",
        (
            (
                name,
                f"{seconds:.1f} s",
                f"{1e6 * seconds / lines:.0f} µs",
                f"{100 * seconds / whole:.0f} %",
                f"{lines / seconds:,.0f}",
            )
            for name, seconds in (*took.items(), ("all", whole))
        ),
    )


def commands(library: Path, lines: int) -> None:
    """Every command over the library."""

    def row(name: str, took: Measured, over: int) -> tuple[str, ...]:
        return (
            name, f"{took.worked:.1f} s", f"{took.seconds:.1f} s", f"{over / took.worked:,.0f}",
            f"{over / took.seconds:,.0f}", f"{took.memory:.0f} MB",
        )  # fmt: skip

    def rows() -> Iterator[tuple[str, ...]]:
        for name, words in RUNS.items():
            yield row(name, run(*COMMAND, *words.split(), str(library)), lines)
        (library / "housestyle.toml").write_text(WISHES, "utf-8")
        took = run(*COMMAND, "tidy", "--show", str(library))
        (library / "housestyle.toml").unlink()
        yield row("`tidy --show`, all changed", took, lines)
        over = american(library)
        took = run(*COMMAND, *RUNS["`proof --format lines`"].split(), str(library))
        yield row(f"`proof`, {over:,} lines in US terms", took, over)
        into = str(library.parent / "editions")
        took = run(*COMMAND, "translate", "--to", "uk", "--into", into, str(library))
        yield row("`translate --to uk`, the same", took, over)

    table("command|CPU|clock|lines/s of CPU|lines/s by the clock|memory", rows())


def american(folder: Path) -> int:
    """Leave the patterns that are plainly in US terms in a library, and count their lines."""
    from proofhook.trade.terms import evidence

    lines = 0
    for path in folder.glob("*.txt"):
        text = path.read_text("utf-8")
        weighed = evidence(text)
        if weighed.terms == "us" and not weighed.conflict:
            lines += len(text.splitlines())
        else:
            path.unlink()
    return lines


def growth(folder: Path, most: int) -> None:
    """One file, ten, a hundred and so on: worked on, and then from the cache."""

    def rows() -> Iterator[tuple[str, ...]]:
        count = 1
        while count <= most:
            library = folder / f"grown-{count}"
            lines = write_library(library, count, seed=2)
            yield f"{count:,} files, {lines:,} lines", *_twice(str(library), lines)
            shutil.rmtree(library)
            count *= 10

    print(f"\nGrowth, `{KEPT}`: filling the cache, and from it.")
    table(
        "|CPU|a line|lines/s of CPU|memory|from the cache: CPU|a line|lines/s of CPU|memory", rows()
    )


def _twice(library: str, lines: int) -> Iterator[str]:
    for _ in range(2):
        took = run(*COMMAND, *KEPT.split(), library)
        yield f"{took.worked:.2f} s"
        yield f"{1e6 * took.worked / lines:,.0f} µs"
        yield f"{lines / took.worked:,.0f}"
        yield f"{took.memory:.0f} MB"


def others(folder: Path, files: int, runs: int) -> None:
    """Checkers of other kinds of text."""
    library = folder / "ours"
    ours = write_library(library, files)
    one = write_library(folder / "one", 1)
    print(f"\nBeside others: one file, and {files} files in one run.")

    def rows() -> Iterator[tuple[str, ...]]:
        command = (*COMMAND, "proof", "--jobs", "1", "--format", "lines")
        start = median(runs, *command, str(folder / "one"))
        many = run(*command, str(library))
        yield _beside("`proofhook proof`", start, many, one, ours)
        for other in installed():
            place = folder / other.module
            name, lines = write_for(other, folder / "one", place / "one")
            start = median(runs, *other.command, *name)
            names, all_lines = write_for(other, library, place / "many")
            yield _beside(other.kind, start, run(*other.command, *names), lines, all_lines)

    table("|one file, CPU|its lines|all, CPU|all lines|lines/s of CPU|memory", rows())


def _beside(
    name: str, one: Measured, many: Measured, lines: int, all_lines: int
) -> tuple[str, ...]:
    return (
        name, f"{1000 * one.worked:.0f} ms", f"{lines}", f"{many.worked:.1f} s", f"{all_lines:,}",
        f"{all_lines / many.worked:,.0f}", f"{many.memory:.0f} MB",
    )  # fmt: skip


def main() -> None:
    """Measure and print."""
    ask = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    ask.add_argument("--quick", action="store_true", help="fewer runs and smaller libraries")
    ask.add_argument("--files", type=int, default=0, help="how many patterns in the library")
    ask.add_argument("--grow", type=int, default=0, help="growth up to so many files")
    asked = ask.parse_args()
    runs, files = (7, asked.files or 100) if asked.quick else (21, asked.files or 1000)
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        ENVIRONMENT["PROOFHOOK_CACHE"] = str(folder / "cache")
        ENVIRONMENT["PYTHONPYCACHEPREFIX"] = str(folder / "bytecode")
        machine()
        cold_start(folder, runs)
        library = folder / "library"
        lines = write_library(library, files)
        print(f"\nA library of {files:,} different patterns, {lines:,} lines, one core.")
        stages(library, lines)
        commands(library, lines)
        growth(folder, asked.grow or files)
        others(folder, max(files // 10, 1), runs)


if __name__ == "__main__":
    main()
