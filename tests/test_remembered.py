"""What is remembered from run to run changes how long a run takes, and nothing else."""

from __future__ import annotations

import re
import subprocess
import sys
from pathlib import Path

import pytest

from proofhook import programs, remembered, trade
from proofhook.reading import read, shapes, structure
from proofhook.text import decode

ROOT = Path(__file__).parent.parent
PATTERN = ROOT / "fixtures" / "patterns"
LIST = "import sys; from proofhook.cli import main; main(); print('pyparsing' in sys.modules)"


@pytest.fixture
def cache(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A cache that is empty, and a reader that knows neither shapes, rows nor programs."""
    monkeypatch.setenv("PROOFHOOK_CACHE", str(tmp_path / "cache"))
    monkeypatch.setattr(structure, "_rows", {})
    monkeypatch.setattr(shapes, "known", {})
    monkeypatch.setattr(shapes, "remembered", {})
    monkeypatch.setattr(programs, "made", {})
    monkeypatch.setattr(programs, "remembered", {})
    monkeypatch.setattr(trade, "read", {})
    monkeypatch.setattr(trade, "remembered", {})
    return tmp_path / "cache"


def ran() -> tuple[str, bool]:
    """What a run prints of all shipped patterns, and whether it needed the parser."""
    done = subprocess.run(
        [sys.executable, "-c", LIST, "tally", "--format", "json", str(PATTERN)],
        capture_output=True, encoding="utf-8", check=True,
    )  # fmt: skip
    assert done.stderr == ""
    said, _, parsed = done.stdout.rstrip().rpartition("\n")
    return said, parsed == "True"


def test_a_second_run_says_the_same_and_parses_nothing(cache: Path) -> None:
    first, parsed = ran()
    assert parsed
    assert ran() == (first, False)


@pytest.mark.parametrize("harm", ["cut off", "other grammar", "rubbish", "empty", "a folder"])
def test_a_file_that_is_not_as_it_should_be_is_as_good_as_none(cache: Path, harm: str) -> None:
    first, _ = ran()
    (file,) = cache.iterdir()
    whole = file.read_bytes()
    if harm == "a folder":
        file.unlink()
        file.mkdir()
    else:
        file.write_bytes(
            {
                "cut off": whole[:-20],
                "other grammar": b"x" + whole,
                "rubbish": bytes(range(256)) * 9,
                "empty": b"",
            }[harm]
        )
    assert ran() == (first, True)


def test_nothing_is_kept_where_it_is_not_wanted_or_cannot_be(
    cache: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    said, _ = ran()
    cache.joinpath(next(cache.iterdir())).unlink()
    cache.rmdir()
    cache.write_text("no folder", "utf-8")
    assert ran() == (said, True)
    monkeypatch.setenv("PROOFHOOK_CACHE", "")
    assert ran() == (said, True)


def test_shapes_come_back_as_they_were(cache: Path) -> None:
    for path in PATTERN.glob("*.txt"):
        read(decode(path.read_bytes(), str(path)))
    remembered.keep()
    before = dict(shapes.known)
    assert before
    shapes.known.clear()
    remembered.recall()
    assert {each: shapes.shape_of(*each) for each in before} == before


def test_the_file_does_not_grow_without_bound(cache: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(remembered, "MOST_KEPT", 5)
    for stitch in ("sc", "dc", "2 sc", "ch 2", "inc", "dec", "sc in next 2 sts", "skip 2"):
        read(decode(f"Rnd 1: {stitch}, turn. (6)".encode(), "a.txt"))
    remembered.keep()
    remembered.recall()
    assert len(shapes.remembered) == 5


def test_nothing_of_the_text_is_kept(cache: Path) -> None:
    read(decode(b"Rnd 1: Sc in next Zanzibar, quince the marmalade. (6)\n", "a.txt"))
    remembered.keep()
    (file,) = cache.iterdir()
    assert b"zanzibar" not in file.read_bytes().lower()
    assert b"marmalade" not in file.read_bytes().lower()


COMPILED = "import sys; from proofhook.cli import main; main(); import proofhook.programs as p; "


def test_a_second_run_compiles_nothing_that_the_first_did(cache: Path) -> None:
    code = f"{COMPILED} print(len(p.made))"
    command = [sys.executable, "-c", code, "proof", "--format", "json", str(PATTERN)]
    first, second = (
        subprocess.run(command, capture_output=True, encoding="utf-8", check=False).stdout
        for _ in range(2)
    )
    said, _, number = first.rstrip().rpartition("\n")
    assert int(number) > 50
    assert second.rstrip() == f"{said}\n0"


def test_tables_come_back_as_they_were(cache: Path) -> None:
    before = trade.table.__wrapped__("hooks")
    remembered.keep()
    assert not trade.read
    trade.remembered.clear()
    programs.remembered.clear()
    remembered.recall()
    assert trade.table.__wrapped__("hooks") == before
    assert not trade.read
    number, written = trade.remembered["hooks"]
    trade.remembered["hooks"] = number + 1, written[:-9]
    assert trade.table.__wrapped__("hooks") == before


HARD = [
    (r"", 0), (r"(?P<a>x)(y)(?P<b>z)?", re.I), (r"(?im)^a.b$", 0),
    (r"[\U000f0000-\U000ff000]+", 0), (r"(a)\1", re.A),
    (r"(?x) a  b # c", re.S), (r"(?<!\w)(?:one|two)(?=\s)(?!x){1,3}?", re.I | re.M),
]  # fmt: skip


@pytest.mark.parametrize(("pattern", "flags"), HARD)
def test_programs_come_back_as_what_they_were(cache: Path, pattern: str, flags: int) -> None:
    expected = re.compile(pattern, flags)
    assert programs.compiled(pattern, flags) == expected
    remembered.keep()
    kept = dict(programs.made)
    programs.made.clear()
    programs.remembered.clear()
    shapes.remembered.clear()
    remembered.recall()
    assert programs.remembered == kept
    found = programs.compiled(pattern, flags)
    assert not programs.made
    assert (found, found.groups, found.groupindex, found.flags) == (
        expected, expected.groups, expected.groupindex, expected.flags,
    )  # fmt: skip


@pytest.mark.parametrize(
    "program",
    [
        (0, b"", 0, {}),
        (0, b"abc", 0, {}),
        (0, b"\xff" * 40, 1, {"a": 1}),
        (0, b"", 0, {"a": 7}),
        (),
    ],
)
def test_a_wrong_program_is_refused(
    cache: Path, monkeypatch: pytest.MonkeyPatch, program: programs.Program
) -> None:
    monkeypatch.setattr(programs, "remembered", {("a+(b)", 0): program})
    assert programs.compiled("a+(b)") == re.compile("a+(b)")


def test_another_kind_of_re_is_compiled_as_ever(
    cache: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    programs.compiled("a+(b)")
    monkeypatch.setattr(programs, "_engine", None)
    assert programs.compiled("a+(b)") == re.compile("a+(b)")
    monkeypatch.setattr(programs, "_part", lambda *names: None)
    assert programs.compiled("c+(d)") == re.compile("c+(d)")
    with pytest.raises(re.error):
        programs.compiled("(")


def test_a_second_edition_parses_nothing_that_was_parsed_before(
    cache: Path, tmp_path: Path
) -> None:
    text = tmp_path / "mat.txt"
    text.write_text("US terms\n\nRnd 1: 6 sc in a magic ring. (6)\nRnd 2: Inc around. (12)\n")
    said = []
    for _ in range(2):
        done = subprocess.run(
            [sys.executable, "-c", LIST, "translate", "--to", "uk", str(text)],
            capture_output=True, encoding="utf-8", check=True,
        )  # fmt: skip
        said.append(done.stdout.rstrip().rpartition("\n"))
    assert [parsed for _, _, parsed in said] == ["True", "False"]
    assert said[0][0] == said[1][0]
