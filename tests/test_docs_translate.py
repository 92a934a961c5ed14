"""docs/translate.md shows what proofhook really writes and says.

Where a change is meant, ``python tests/renew.py`` writes the outputs anew.
"""

from __future__ import annotations

import re
import shlex
import shutil
import subprocess
from pathlib import Path

import pytest

from golden import ROOT, environment, printed, samples
from proofhook.counting.result import Verdict
from proofhook.counting.tally import tally
from proofhook.reading import read
from proofhook.text import Source
from proofhook.translating import Edition, second_edition

PAGE = (ROOT / "docs" / "translate.md").read_text("utf-8")


def example(kind: str) -> str:
    [block] = re.findall(rf"^```text {kind}\n(.*?)^```$", PAGE, re.MULTILINE | re.DOTALL)
    assert isinstance(block, str)
    return block


def test_after_is_the_edition_of_before() -> None:
    made = second_edition(Source("fern-mat.txt", example("before")), "uk")
    assert isinstance(made, Edition), made
    assert made.text == example("after")
    assert [left.why for left in made.left] == ["it stands in a quotation"]
    assert all(row.verdict is Verdict.AGREES for row in tally(read(Source("", made.text))).rows)


def test_every_command_prints_what_is_shown(tmp_path: Path) -> None:
    shown = list(samples(PAGE))
    assert len(shown) >= 4
    outputs = printed([command for command, _ in shown], tmp_path)
    for (command, sample), output in zip(shown, outputs, strict=True):
        assert output == sample, command


def test_the_command_for_a_folder_does_what_is_said(tmp_path: Path) -> None:
    [command] = re.findall(r"^```sh\n(.*)\n```$", PAGE, re.MULTILINE)
    tools = tmp_path / "tools"
    tools.mkdir()
    shutil.copytree(ROOT / "fixtures" / "patterns", tmp_path / "patterns")
    done = subprocess.run(
        shlex.split(command), cwd=tmp_path, env=environment(tools), capture_output=True, check=False
    )
    assert done.returncode == 0, done.stderr
    names = sorted(path.name for path in (tmp_path / "british").iterdir())
    assert names == sorted(
        f"{path.stem}-british{path.suffix}" for path in (tmp_path / "patterns").iterdir()
    )


ROWS = re.findall(r"^\| (.+?) \| (.+?) \| (.+?) \|$", PAGE, re.MULTILINE)

#: What a word of the table needs around it to be more than a word.
FRAMES = {
    "stitches in words": "{} crochet",
    "passing over": "Then {} 2 sts.",
    "yarns": "MATERIALS\n{} weight yarn",
    "hooks": "MATERIALS\nHook: {}",
}


@pytest.mark.parametrize(("what", "us", "uk"), ROWS)
def test_each_us_word_of_the_table_becomes_the_uk_word_beside_it(
    what: str, us: str, uk: str
) -> None:
    frame = FRAMES.get(what, "{}")
    pairs = [(us, uk)]
    if what != "hooks":
        one, other = (cell.replace(" crochet", "").split(", ") for cell in (us, uk))
        pairs = list(zip(one, other if len(other) > 1 else other * len(one), strict=True))
    for word, becomes in pairs:
        text = f"MAT\n\nUS terms\n\n{frame.format(word)}\n\nRnd 1: 6 sc in a magic ring. (6)\n"
        made = second_edition(Source("", text), "uk", "us")
        assert isinstance(made, Edition)
        assert frame.format(becomes) in made.text


def test_the_table_has_a_row_for_each_kind_of_word() -> None:
    assert len(ROWS) == 10
