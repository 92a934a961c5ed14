"""The short and the labelled patterns come out as the files of ``fixtures/told`` hold.

Where a change is meant, ``python tests/renew.py`` writes them anew.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from rows_told import BETWEEN, LABELLED, SHORT_PATTERNS, TOLD, not_agreeing, told, wordings

SHORT = [
    pytest.param(text, name, number, id=f"{name} {number}")
    for name in SHORT_PATTERNS
    for number, text in enumerate(wordings(name))
]
LONG = sorted(LABELLED.glob("*/*.txt"))


@pytest.mark.parametrize(("text", "name", "number"), SHORT)
def test_a_short_pattern_is_worked_as_before(text: str, name: str, number: int) -> None:
    held = (TOLD / name).read_text("utf-8").strip("\n").split(BETWEEN)
    assert len(held) == len(wordings(name))
    assert told(text) == held[number]


@pytest.mark.parametrize("path", LONG, ids=lambda path: path.stem)
def test_the_rows_that_do_not_agree_are_those_of_before(path: Path) -> None:
    held = (TOLD / f"{path.parent.name}.txt").read_text("utf-8").splitlines(keepends=True)
    assert not_agreeing(path) == "".join(line for line in held if line.startswith(f"{path.name}:"))


def test_each_file_is_of_patterns_that_are_there() -> None:
    corpora = {f"{folder.name}.txt" for folder in LABELLED.iterdir()}
    assert {path.name for path in TOLD.iterdir()} == {*SHORT_PATTERNS, *corpora}
    names = {path.name for path in LONG}
    for corpus in corpora:
        lines = (TOLD / corpus).read_text("utf-8").splitlines()
        assert {line.partition(":")[0] for line in lines} <= names
