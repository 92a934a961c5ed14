"""The recipes of DEVELOPERS.md, followed to the letter in a copy of the source."""

from __future__ import annotations

import json
import os
import re
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[1]
GUIDE = (ROOT / "DEVELOPERS.md").read_text("utf-8")
EXAMPLE = re.compile(r"^Example line: ``\| `(.+)` \| (\d+) \| (\d+) \|``$", re.MULTILINE)

HEAD = """\
from collections.abc import Iterator

from proofhook.proofing import Finding, Grade, Option, ProofContext, rule


"""


def recipe(title: str) -> str:
    """The text of one recipe."""
    [text] = re.findall(rf"^### {title}\n(.*?)(?=^##)", GUIDE, re.MULTILINE | re.DOTALL)
    assert isinstance(text, str)
    return text


def blocks(title: str, kind: str) -> list[str]:
    return re.findall(rf"^```{kind}\n(.*?)^```$", recipe(title), re.MULTILINE | re.DOTALL)


@pytest.fixture
def copy(tmp_path: Path) -> Path:
    for name in ("src", "rules"):
        ignored = shutil.ignore_patterns("__pycache__")
        shutil.copytree(ROOT / name, tmp_path / name, ignore=ignored)
    return tmp_path


def run(copy: Path, *words: str, text: str = "") -> str:
    done = subprocess.run(
        [sys.executable, *words],
        cwd=copy,
        input=text,
        capture_output=True,
        encoding="utf-8",
        env={**os.environ, "PYTHONPATH": os.pathsep.join(["src", "rules"]), "PYTHONUTF8": "1"},
        check=False,
        timeout=60,
    )
    assert done.returncode in (0, 1), done.stderr
    return done.stdout


def verdict(copy: Path, title: str) -> str:
    """What the tally in the copy says of the example line of a recipe."""
    [(words, below, makes)] = EXAMPLE.findall(recipe(title))
    text = f"Rnd 1: {below} sc in a magic ring. ({below})\nRnd 2: {words}. ({makes})\n"
    tally = json.loads(run(copy, "-m", "proofhook", "tally", "--format", "json", "-", text=text))
    found = tally["files"][0]["rows"][1]["verdict"]
    assert isinstance(found, str)
    return found


def edit(copy: Path, name: str, before: str, after: str) -> None:
    path = copy / "src" / "proofhook" / name
    text = path.read_text("utf-8")
    assert text.count(before) == 1, f"{name} has no single {before!r}"
    path.write_text(text.replace(before, after), "utf-8")


def test_a_stitch(copy: Path) -> None:
    assert verdict(copy, "A stitch") != "agrees"
    [entry] = blocks("A stitch", "toml")
    edit(copy, "trade/stitches.toml", "[shaping]\n", f"{entry}\n[shaping]\n")
    assert verdict(copy, "A stitch") == "agrees"


def test_a_word(copy: Path) -> None:
    assert verdict(copy, "A word") != "agrees"
    [line] = blocks("A word", "python")
    new = line.rstrip().rstrip('",').rpartition("|")[2]
    edit(copy, "reading/lexicon.py", '    "skip": (\n', f'    "skip": (\n        "{new}|"\n')
    assert verdict(copy, "A word") == "agrees"


def test_a_construct(copy: Path) -> None:
    assert verdict(copy, "A construct") != "agrees"
    [show] = blocks("A construct", "sh")
    head, maker = blocks("A construct", "python")
    words = re.findall(r'`("\w+": "[\w ]+")`', recipe("A construct"))
    edit(copy, "reading/lexicon.py", '    "next": "', f'    {", ".join(words)},\n    "next": "')
    edit(copy, "reading/grammar.py", "\nHEADS = {\n", f"\nHEADS = {{\n    {head}")
    edit(copy, "reading/grammar.py", "\n_ORDER = (\n", '\n_ORDER = (\n    "passing",\n')
    edit(copy, "reading/build.py", '    "skip": _skip,\n', f'    "skip": _skip,\n    {maker}')
    assert run(copy, "-c", show.split('"\n', 1)[1].rsplit('"', 1)[0]) == "let N st goby\n"
    assert verdict(copy, "A construct") == "agrees"


def test_a_rule(copy: Path) -> None:
    [source] = blocks("A rule", "python")
    family = copy / "rules" / "proofhook_rules" / "lengths.py"
    family.write_text(f"{HEAD}{source}\n\nRULES = (row_long,)\n", "utf-8")
    pack = family.with_name("__init__.py")
    text = pack.read_text("utf-8")
    assert text.count("        *totals.RULES,\n") == 1
    text = text.replace(
        "        *totals.RULES,\n", "        *lengths.RULES,\n        *totals.RULES,\n"
    )
    pack.write_text(text.replace("import (\n", "import (\n        lengths,\n", 1), "utf-8")
    (copy / "tests").mkdir()
    shutil.copy(ROOT / "tests" / "test_rule_examples.py", copy / "tests")
    said = run(copy, "-m", "pytest", "-q", "-p", "no:cacheprovider", "tests", "-k", "row-long")
    assert re.search(r"^[3-9] passed", said, re.MULTILINE), said
    assert "failed" not in said
