"""The shipped patterns give what their golden files hold.

Where a change is meant, ``python tests/renew.py`` writes the files anew.
"""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from golden import GOLDEN, KINDS, golden_file, golden_outputs, pattern_names


@pytest.mark.parametrize("pattern", pattern_names())
def test_the_commands_print_what_the_golden_files_hold(pattern: str, tmp_path: Path) -> None:
    for kind, output in golden_outputs(pattern, tmp_path).items():
        assert output == golden_file(pattern, kind).read_text("utf-8"), f"{pattern}: {kind}"


def test_there_is_no_golden_file_without_its_pattern() -> None:
    wanted = {golden_file(pattern, kind) for pattern in pattern_names() for kind in KINDS}
    assert set(GOLDEN.iterdir()) == wanted


def differing(pattern: str) -> list[tuple[str, list[int], list[int]]]:
    """The rows that differ by the golden tally, with the figures stated and worked."""
    [file] = json.loads(golden_file(pattern, "tally.json").read_text("utf-8"))["files"]
    return [
        (f"{row['piece']}, {row['label']}", row["stated"], row["worked"])
        for row in file["rows"]
        if row["verdict"] != "agrees"
    ]


def test_the_mistakes_made_on_purpose_are_the_only_ones_found() -> None:
    found = {pattern: differing(pattern) for pattern in pattern_names()}
    assert {pattern: rows for pattern, rows in found.items() if rows} == {
        "cottage-loaf.txt": [
            ("LOWER LOAF, Rnd 4", [26], [24]),
            ("LOWER LOAF, Rnd 13", [30], [25]),
        ],
        "early-shift-waistcoat.txt": [
            ("FRONT (make 2), Row 21", [26, 29, 32, 36], [26, 29, 32, 35]),
        ],
    }
