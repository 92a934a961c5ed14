"""Whether the tests notice when the counter is changed: a sample of small changes, one by one.

    python tests/mutants.py                        350 changes, the same ones every time
    python tests/mutants.py --sample 100 --seed 2 --room reading

The changes are those that mutmut knows (``pip install -e '.[mutants]'``): another operator, a
figure one higher, an argument less ...  Each is made to a function in memory, in a process of its
own, in which those quick tests of the counter that come to this function run until one fails.
What no test notices is shown.
"""

from __future__ import annotations

import argparse
import os
import random
import resource
import sys
import time
from collections.abc import Callable, Iterator
from difflib import unified_diff
from importlib import import_module
from pathlib import Path
from types import CodeType, FrameType, FunctionType, ModuleType
from typing import NamedTuple

import libcst
import pytest
from mutmut.mutation.file_mutation import Mutation, create_mutations, deep_replace

ROOT = Path(__file__).resolve().parents[1]
sys.path[:0] = [str(ROOT / "tests"), str(ROOT / "src"), str(ROOT / "rules")]

#: The tests that look at the counter most closely, the quickest first.
TESTS = (
    "constructs",
    "found_by_counting",
    "notation",
    "effort",
    "widths",
    "rules_totals",
    "labelled",
    "naive_counter",
)
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

    def __init__(self, sample: list[Change]) -> None:
        self.sample = sample
        self.unnoticed: list[Change] = []
        self.noticed = 0
        self.reached: dict[pytest.Item, set[CodeType]] = {}

    def pytest_runtestloop(self, session: pytest.Session) -> bool:
        """Try all changes with the tests that were found."""
        self.run_once(session)
        for number, change in enumerate(self.sample, 1):
            began = time.monotonic()
            status = self.tried(session, change)
            if status == 0:
                self.unnoticed.append(change)
            elif status is not None:
                self.noticed += 1
            said = {None: "no change", 0: "UNNOTICED"}.get(status, "noticed")
            print(f"{number}/{len(self.sample)} {said} {time.monotonic() - began:.1f} s")
            print(change.shown() if status == 0 else change.module, flush=True)
        return True

    def run_once(self, session: pytest.Session) -> None:
        """Run all tests as they are, and note what they reach; the quickest come first then."""
        took: dict[pytest.Item, float] = {}
        for item in session.items:
            sys.setprofile(noting(self.reached.setdefault(item, set())))
            began = time.process_time()
            item.ihook.pytest_runtest_protocol(item=item, nextitem=None)
            sys.setprofile(None)
            took[item] = time.process_time() - began
        assert not session.testsfailed, "the tests fail without any change"
        session.items.sort(key=took.__getitem__)

    def tried(self, session: pytest.Session, change: Change) -> int | None:
        """0 where no test notices the change; None where it changes nothing."""
        functions = changed(change)
        if not functions:
            return None
        items = [
            item
            for item in session.items
            if any(function.__code__ in self.reached[item] for function, _ in functions)
        ]
        child = os.fork()
        if child:
            return os.waitstatus_to_exitcode(os.waitpid(child, 0)[1])
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


def noting(reached: set[CodeType]) -> Callable[[FrameType, str, object], None]:
    """What notes the functions that are called."""

    def note(frame: FrameType, _event: str, _given: object) -> None:
        reached.add(frame.f_code)

    return note


def fails(session: pytest.Session, item: pytest.Item) -> bool:
    """Whether a test fails now."""
    item.ihook.pytest_runtest_protocol(item=item, nextitem=None)
    return session.testsfailed > 0


def main() -> int:
    """Try a sample of changes and tell how many were noticed."""
    parser = argparse.ArgumentParser(description="Whether the tests notice changes.")
    parser.add_argument("--room", default="counting")
    parser.add_argument("--sample", type=int, default=350)
    parser.add_argument("--seed", type=int, default=1)
    asked = parser.parse_args()
    os.environ.setdefault("PROOFHOOK_TRIES", "25")
    known, sample = changes(asked.room, asked.sample, asked.seed)
    trial = Trial(sample)
    tests = [str(ROOT / "tests" / f"test_{name}.py") for name in TESTS]
    pytest.main(["-q", "-s", "-p", "no:xdist", "-p", "no:cacheprovider", *tests], [trial])
    tried = trial.noticed + len(trial.unnoticed)
    print(
        f"{known} changes of {asked.room} in all; of {tried} tried {trial.noticed} "
        f"were noticed ({trial.noticed / max(tried, 1):.1%})."
    )
    return 0


if __name__ == "__main__":
    sys.exit(main())
