"""docs/notation.md: every example on the page is worked.

A table line holds the words of a row, the stitches below it (a dash where it begins a
piece) and what it makes; a ``pattern`` block says how many rows it has, and states the
right total of each.
"""

from __future__ import annotations

import re
from pathlib import Path
from typing import NamedTuple

import pytest

from proofhook import read, tally
from proofhook.counting.result import RowTally, Verdict

PAGE = (Path(__file__).parents[1] / "docs" / "notation.md").read_text("utf-8")
LINE = re.compile(r"^\| `(?P<words>.+)` \| (?P<below>\d+|-) \| (?P<makes>\d+|unread) \|$", re.M)
BLOCK = re.compile(r"^```pattern rows=(?P<rows>\d+)\n(?P<text>.*?)^```$", re.M | re.S)
STATED = re.compile(r"\((\d+)\)$")


class Example(NamedTuple):
    words: str
    below: str
    makes: str

    @property
    def pattern(self) -> str:
        """The words as a row with its total, on a first round of so many stitches."""
        stated = "" if self.makes == "unread" or STATED.search(self.words) else f" ({self.makes})"
        if self.below == "-":
            return f"Row 1: {self.words}.{stated}\n"
        first = f"Rnd 1: {self.below} sc in a magic ring. ({self.below})\n"
        return f"{first}Rnd 2: {self.words}.{stated}\n"


EXAMPLES = [Example(**match.groupdict()) for match in LINE.finditer(PAGE)]
PATTERNS = [(int(match["rows"]), match["text"]) for match in BLOCK.finditer(PAGE)]


def rows_of(text: str) -> tuple[RowTally, ...]:
    return tally(read(text)).rows


@pytest.mark.parametrize("example", EXAMPLES, ids=lambda example: example.words)
def test_a_row_makes_what_the_page_says(example: Example) -> None:
    row = rows_of(example.pattern)[-1]
    if example.makes == "unread":
        assert (row.verdict, row.worked) == (Verdict.UNREAD, None)
    else:
        assert (row.verdict, row.worked) == (Verdict.AGREES, (int(example.makes),)), row.working
        assert not row.problems


@pytest.mark.parametrize(("count", "text"), PATTERNS, ids=lambda value: str(value)[:30])
def test_every_row_of_a_pattern_agrees(count: int, text: str) -> None:
    rows = rows_of(text)
    said = {row.row.name: (row.verdict.value, row.stated, row.working) for row in rows}
    assert all(row.verdict is Verdict.AGREES and not row.problems for row in rows), said
    assert len(rows) == count, said


def test_every_line_and_block_of_the_page_is_run() -> None:
    lines = [line for line in PAGE.splitlines() if line.startswith("| `")]
    assert len(EXAMPLES) == len(lines) > 100
    assert len(PATTERNS) == len(re.findall(r"^```pattern", PAGE, re.M)) > 15
