"""Patterns that may be used openly, read from the folder that PROOFHOOK_OPEN_PATTERNS names.

Lessons under CC0 and MIT, and handbooks in the public domain; none of them lies in this
repository.  The slips that the lessons contain are found; nothing else is called wrong.
"""

from __future__ import annotations

import os
from functools import cache
from pathlib import Path

import pytest

from proofhook.counting.result import RowTally, Verdict
from proofhook.counting.tally import tally
from proofhook.reading import read
from proofhook.text import decode

FOLDER = os.environ.get("PROOFHOOK_OPEN_PATTERNS", "")
FILES = sorted(path.name for path in Path(FOLDER).glob("*.txt")) if FOLDER else []

pytestmark = pytest.mark.skipif(
    not FILES, reason="PROOFHOOK_OPEN_PATTERNS names no folder with open patterns"
)

#: Slips that the texts contain: the file, and the lines of the rows.  In cc0-054 a double
#: crochet stands for a decrease; in cc0-056, twice, twenty-one stitches are asked of 21
#: chains of which the first is passed over, and twenty stated.
SLIPS = {"cc0-054.txt": [23], "cc0-056.txt": [24, 38]}

#: Rows whose row below the text gives as a formula only.
NOT_TO_BE_KNOWN = {"mit-049.txt": ["Round 4"]}

LESSONS = [name for name in FILES if name.startswith(("cc0-", "mit-"))]


@cache
def rows_of(name: str) -> tuple[tuple[int, RowTally], ...]:
    """The rows of a file, each with its line."""
    source = decode((Path(FOLDER) / name).read_bytes(), name)
    return tuple((source.line_of(row.row.span.start), row) for row in tally(read(source)).rows)


def lines_that(name: str, verdict: Verdict) -> list[int]:
    return [line for line, row in rows_of(name) if row.verdict is verdict]


@pytest.mark.parametrize("name", FILES)
def test_every_file_is_read_and_says_what_it_could_not(name: str) -> None:
    for _, row in rows_of(name):
        if row.verdict is Verdict.UNREAD:
            assert row.unread or row.reason
            assert row.worked is None
        else:
            assert row.worked is not None


@pytest.mark.parametrize("name", FILES)
def test_the_slips_are_found_and_nothing_else_is_called_wrong(name: str) -> None:
    assert lines_that(name, Verdict.DIFFERS) == SLIPS.get(name, [])


def but_for(name: str, reason: str) -> list[object]:
    """The lessons, one of which does not come out yet."""
    mark = pytest.mark.xfail(reason=reason, strict=True)
    return [pytest.param(each, marks=mark) if each == name else each for each in LESSONS]


@pytest.mark.parametrize("name", but_for("cc0-055.txt", 'a label "3-n" is not known'))
def test_all_other_totals_of_the_lessons_agree(name: str) -> None:
    unknown = [
        (line, row.row.name, row.reason)
        for line, row in rows_of(name)
        if row.stated is not None and row.verdict is Verdict.UNREAD
    ]
    assert [label for _, label, _ in unknown] == NOT_TO_BE_KNOWN.get(name, []), unknown


@pytest.mark.parametrize("name", FILES)
def test_a_heading_of_a_lesson_is_no_row(name: str) -> None:
    source = decode((Path(FOLDER) / name).read_bytes(), name)
    for line, row in rows_of(name):
        assert not source.quote(source.line_span(line)).startswith("#"), row.row.name


@pytest.mark.skipif(not LESSONS, reason="no lessons in the folder")
def test_the_lessons_state_totals_that_were_worked_out() -> None:
    """Guards against a folder, or a reader, in which there is nothing to agree."""
    agreeing = sum(len(lines_that(name, Verdict.AGREES)) for name in LESSONS)
    assert agreeing >= 25
