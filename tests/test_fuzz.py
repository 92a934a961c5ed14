"""The laws of fuzz/laws.py on the shipped patterns, and on whatever a fuzzer has found once."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

from fuzz.laws import LAWS, held
from fuzz.seeds import FOUND, seeds

RUN = Path(__file__).parent / "fuzz" / "run.py"
ONCE_FOUND = sorted(path for path in FOUND.rglob("*") if path.is_file())


@pytest.mark.parametrize("law", LAWS)
def test_the_law_holds_for_what_is_shipped(law: str) -> None:
    tried = list(seeds(law))[:: 1 if law == "style-sheet" else 25]
    assert len(tried) > 10
    for data in tried:
        held(law, data)


@pytest.mark.parametrize("path", ONCE_FOUND, ids=[path.stem for path in ONCE_FOUND])
def test_what_was_found_once_is_mended(path: Path) -> None:
    held(path.parent.name, path.read_bytes())


def test_what_was_found_belongs_to_a_law() -> None:
    assert ONCE_FOUND
    assert {path.parent.name for path in ONCE_FOUND} <= set(LAWS)


def test_the_fuzzer_runs(tmp_path: Path) -> None:
    pytest.importorskip("atheris", reason="pip install -e '.[fuzz]' brings the fuzzer")
    done = subprocess.run(
        [sys.executable, RUN, "style-sheet", "--runs", "30", "--work", tmp_path],
        capture_output=True,
        encoding="utf-8",
        timeout=300,
        check=False,
    )
    assert done.returncode == 0, done.stderr[-2000:]
    assert "Done " in done.stderr
    assert (tmp_path / "inputs").is_dir()
