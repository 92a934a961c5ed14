"""Whether the tests notice when the counter is changed: a sample of small changes, one by one.

    python tests/mutants.py                        300 changes, the same ones every time
    python tests/mutants.py --sample 100 --seed 2 --room reading

The changes are those that mutmut knows (``pip install -e '.[mutants]'``): another operator, a
figure one higher, an argument less ...  Each is made to a function in memory, in a process of its
own, in which those quick tests of the counter that come to the changed line run, the quickest
first, until one fails.  What no test notices is shown.  Patterns are read once, since only the
counter is changed (not where the room is ``reading``).
"""

from __future__ import annotations

import argparse
import os
import random
import resource
import sys
import time
from collections.abc import Callable, Iterator
from difflib import SequenceMatcher, unified_diff
from importlib import import_module
from pathlib import Path
from types import CodeType, FrameType, FunctionType, ModuleType
from typing import Any, NamedTuple

import libcst
import pytest
from mutmut.mutation.file_mutation import Mutation, create_mutations, deep_replace

ROOT = Path(__file__).resolve().parents[1]
sys.path[:0] = [str(ROOT / "tests"), str(ROOT / "src"), str(ROOT / "rules")]

#: The tests that look at the counter most closely.
TESTS = (
    "constructs",
    "effort",
    "found_by_counting",
    "kept",
    "labelled",
    "naive_counter",
    "notation",
    "rows_told",
    "rules_totals",
    "widths",
    "wordings",
)
#: Seconds that one test may compute: slower ones are left out.
SLOW = 1.5
#: Seconds that the tests may compute for one change; what takes longer was noticed.
MOST_SECONDS = 120


class Change(NamedTuple):
    """A change of one function: the module, its source as a tree, and what is another in it."""

    module: str
    tree: libcst.Module
    mutation: Mutation

    def sources(self) -> tuple[str, str]:
        """The source before and after."""
        after = deep_replace(self.tree, self.mutation.original_node, self.mutation.mutated_node)
        assert isinstance(after, libcst.Module)
        return self.tree.code, after.code

    def lines(self) -> set[int]:
        """The lines of the source before that are changed, from 1."""
        before, after = (source.splitlines() for source in self.sources())
        parts = SequenceMatcher(None, before, after, autojunk=False).get_opcodes()
        return {line + 1 for kind, a, b, _, _ in parts if kind != "equal" for line in range(a, b)}

    def shown(self) -> str:
        """The lines that differ."""
        before, after = (source.splitlines() for source in self.sources())
        lines = [*unified_diff(before, after, n=0, lineterm="")][2:]
        return "\n".join([f"{self.module}:", *lines])


def changes(room: str, count: int, seed: int) -> tuple[int, list[Change]]:
    """How many changes of functions there are in a room, and a sample of them."""
    known = []
    for path in sorted((ROOT / "src" / "proofhook" / room).glob("*.py")):
        module, mutations, _, _ = create_mutations(str(path), path.read_text("utf-8"))
        inside = [one for one in mutations if one.contained_by_top_level_function is not None]
        known += [(f"proofhook.{room}.{path.stem}", module, one) for one in inside]
    chosen = random.Random(seed).sample(known, min(count, len(known)))
    return len(known), [Change(*each) for each in chosen]


def changed(change: Change) -> list[tuple[FunctionType, CodeType]]:
    """The functions that the change is about, with their new code."""
    module = import_module(change.module)
    old, new = (
        dict(functions_in(compile(source, str(module.__file__), "exec")))
        for source in change.sources()
    )
    return [
        (function, new[function.__qualname__])
        for function in live(module)
        if new.get(function.__qualname__) != old.get(function.__qualname__)
    ]


def functions_in(code: CodeType, within: str = "") -> Iterator[tuple[str, CodeType]]:
    """The code of the functions and methods of a module, by their full names."""
    for part in code.co_consts:
        if isinstance(part, CodeType):
            name = f"{within}{part.co_name}"
            yield name, part
            yield from functions_in(part, f"{name}.")


def live(module: ModuleType) -> Iterator[FunctionType]:
    """The functions of a module that the program calls, those of its classes as well."""
    for value in vars(module).values():
        for held in vars(value).values() if isinstance(value, type) else (value,):
            function = getattr(held, "fget", None) or getattr(held, "__wrapped__", held)
            if isinstance(function, FunctionType) and function.__module__ == module.__name__:
                yield function


class Trial:
    """Runs the tests once for each change instead of once."""

    def __init__(self, room: str, sample: list[Change]) -> None:
        self.folder = f"{os.sep}{room}{os.sep}"
        self.sample = sample
        self.said: dict[str, int] = {}
        self.reached: dict[tuple[str, int], list[pytest.Item]] = {}

    def pytest_runtestloop(self, session: pytest.Session) -> bool:
        """Try all changes with the tests that were found."""
        self.run_once(session)
        for number, change in enumerate(self.sample, 1):
            began = time.monotonic()
            said = self.tried(session, change)
            self.said[said] = self.said.get(said, 0) + 1
            print(f"{number}/{len(self.sample)} {said} {time.monotonic() - began:.1f} s")
            print(change.shown() if said in SHOWN else change.module, flush=True)
        return True

    def run_once(self, session: pytest.Session) -> None:
        """Run all tests as they are, and note the lines they reach; the quickest come first."""
        took: dict[pytest.Item, float] = {}
        lines: dict[pytest.Item, set[tuple[str, int]]] = {}
        for item in session.items:
            if fails(session, item):  # what is read and compiled is there after this
                print(f"\nleft out, since it fails where patterns are read once: {item.name}")
                session.testsfailed = 0
                continue
            began = time.process_time()
            fails(session, item)
            took[item] = time.process_time() - began
            if took[item] <= SLOW:
                reached = lines.setdefault(item, set())
                sys.settrace(noting(self.folder, reached))
                fails(session, item)
                sys.settrace(None)
        for item in sorted(lines, key=took.__getitem__):
            for line in lines[item]:
                self.reached.setdefault(line, []).append(item)
        all_of_it = sum(took[item] for item in lines)
        print(f"{len(lines)} of {len(took)} tests are used; all take {all_of_it:.1f} s", flush=True)

    def tried(self, session: pytest.Session, change: Change) -> str:
        """What became of a change."""
        functions = changed(change)
        if not functions:
            return "no change"
        file = functions[0][0].__code__.co_filename
        items = dict.fromkeys(
            item for line in sorted(change.lines()) for item in self.reached.get((file, line), ())
        )
        if not items:
            return "NOT REACHED"
        child = os.fork()
        if child:
            status = os.waitstatus_to_exitcode(os.waitpid(child, 0)[1])
            return "noticed" if status else "UNNOTICED"
        resource.setrlimit(resource.RLIMIT_CPU, (MOST_SECONDS, MOST_SECONDS))
        null = os.open(os.devnull, os.O_WRONLY)
        os.dup2(null, 1)
        os.dup2(null, 2)
        status = 3
        try:
            for function, code in functions:
                function.__code__ = code
            status = int(any(fails(session, item) for item in items))
        finally:
            os._exit(status)


#: What is shown with its lines.
SHOWN = ("UNNOTICED", "NOT REACHED")


def noting(folder: str, reached: set[tuple[str, int]]) -> Callable[..., Any]:
    """What notes the lines of a folder that are run."""

    def lines(frame: FrameType, event: str, _given: object) -> Callable[..., Any]:
        reached.add((frame.f_code.co_filename, frame.f_lineno))
        return lines

    def calls(frame: FrameType, _event: str, _given: object) -> Callable[..., Any] | None:
        return lines if folder in frame.f_code.co_filename else None

    return calls


def read_once() -> None:
    """Remember what is read, for all tests that are imported after this."""
    from proofhook import reading

    whole = reading.read
    known: dict[tuple[str, str], object] = {}

    def read(source: Any) -> object:
        key = (source.path, source.text)
        if key not in known:
            known[key] = whole(source)
        return known[key]

    reading.read = read  # type: ignore[assignment]


def fails(session: pytest.Session, item: pytest.Item) -> bool:
    """Whether a test fails now."""
    item.ihook.pytest_runtest_protocol(item=item, nextitem=None)
    return session.testsfailed > 0


def main() -> int:
    """Try a sample of changes and tell how many were noticed."""
    parser = argparse.ArgumentParser(description="Whether the tests notice changes.")
    parser.add_argument("--room", default="counting")
    parser.add_argument("--sample", type=int, default=300)
    parser.add_argument("--seed", type=int, default=1)
    asked = parser.parse_args()
    os.environ.setdefault("PROOFHOOK_TRIES", "25")
    known, sample = changes(asked.room, asked.sample, asked.seed)
    if asked.room == "counting":
        read_once()
    trial = Trial(asked.room, sample)
    tests = [str(ROOT / "tests" / f"test_{name}.py") for name in TESTS]
    pytest.main(["-q", "-s", "-p", "no:xdist", "-p", "no:cacheprovider", *tests], [trial])
    noticed = trial.said.get("noticed", 0)
    tried = sum(trial.said.values()) - trial.said.get("no change", 0)
    print(
        f"{known} changes of {asked.room} in all; of {tried} tried {noticed} "
        f"were noticed ({noticed / max(tried, 1):.1%}), "
        f"{trial.said.get('NOT REACHED', 0)} are in lines that no test comes to."
    )
    return 0


if __name__ == "__main__":
    sys.exit(main())
