"""The pages of docs/: their commands do what is shown, their links lead somewhere.

Where a change is meant, ``python tests/renew.py`` writes the outputs anew.
"""

from __future__ import annotations

import doctest
import re
import runpy
from pathlib import Path
from xml.etree import ElementTree as ET

import pytest
from pre_commit.clientlib import load_config  # type: ignore[import-untyped]

from golden import BLOCK, CONSOLE, ROOT, WALKS, walked

DOCS = ROOT / "docs"
PAGES = sorted(path.relative_to(ROOT).as_posix() for path in DOCS.glob("*.md"))
#: Pages whose commands tests of their own run.
ELSEWHERE = {"docs/house-style.md", "docs/plugins.md"}


def text_of(page: str) -> str:
    return (ROOT / page).read_text("utf-8")


@pytest.mark.parametrize("page", WALKS)
def test_the_page_can_be_followed_from_top_to_bottom(page: str, tmp_path: Path) -> None:
    text = text_of(page)
    assert walked(text, tmp_path, tmp_path / "walk") == text


def test_a_page_that_shows_something_else_is_found_out(tmp_path: Path) -> None:
    page = "```text a.txt\nRnd 1: 6 sc in a magic ring. (6)\n```\n\n```console\n$ cat a.txt\n```\n"
    now = walked(page, tmp_path, tmp_path / "walk")
    assert now != page
    assert now.count("Rnd 1: 6 sc in a magic ring. (6)\n") == 2
    assert walked(now, tmp_path, tmp_path / "again") == now


@pytest.mark.parametrize("page", PAGES)
def test_no_page_has_commands_that_nothing_runs(page: str) -> None:
    if CONSOLE.search(text_of(page)) and page not in WALKS:
        told = (ROOT / "tests").glob("test_docs_*.py")
        assert page in ELSEWHERE or any(Path(page).name in t.read_text("utf-8") for t in told)


@pytest.mark.parametrize("page", PAGES)
def test_its_links_lead_somewhere(page: str) -> None:
    for link in re.findall(r"\]\((?!http)([^)#]+)(?:#[\w-]*)?\)", text_of(page)):
        assert (DOCS / link).exists(), link


def test_the_index_leads_to_every_page() -> None:
    index = text_of("docs/README.md")
    missing = [page for page in PAGES if f"]({Path(page).name})" not in index]
    assert missing == ["docs/README.md"], "docs/README.md does not name every page"


def test_the_examples_for_programs_hold() -> None:
    examples = [m["body"] for m in BLOCK.finditer(text_of("docs/api.md")) if m["kind"] == "python"]
    assert len(examples) >= 4
    # A file that is executed has no prompt; an example has.
    told = "\n".join(body for body in examples if body.startswith(">>>"))
    test = doctest.DocTestParser().get_doctest(told, {}, "docs/api.md", None, None)
    assert len(test.examples) >= 12
    assert doctest.DocTestRunner().run(test).failed == 0


def test_the_pictures_are_what_the_model_says() -> None:
    drawn = runpy.run_path(str(DOCS / "renew_pictures.py"))["pictures"]()
    there = {path.name: path.read_text("utf-8") for path in (DOCS / "pictures").glob("*.svg")}
    assert there == drawn, "run python docs/renew_pictures.py"
    page = text_of("docs/how-it-works.md")
    for name, picture in drawn.items():
        assert ET.fromstring(picture).tag.endswith("svg")
        assert f"](pictures/{name})" in page


def test_a_picture_that_is_not_what_is_counted_is_refused() -> None:
    draw = runpy.run_path(str(DOCS / "renew_pictures.py"))["picture"]
    with pytest.raises(ValueError, match="where the tally has"):
        draw("Rnd 1: 6 sc in a magic ring.\nRnd 2: Sc in each st around, 1 dc in last st.\n", "")


def test_the_texts_of_the_pictures_are_on_the_page() -> None:
    drawn = runpy.run_path(str(DOCS / "renew_pictures.py"))
    page = text_of("docs/how-it-works.md")
    for name, text in (("growing.txt", drawn["GROWING"]), ("slip.txt", drawn["SLIP"])):
        assert f"```text {name}\n{text}```" in page


def test_the_hook_of_the_page_is_one_that_can_be_used(tmp_path: Path) -> None:
    shown = {m["name"]: m["body"] for m in BLOCK.finditer(text_of("docs/ci.md"))}
    config = tmp_path / ".pre-commit-config.yaml"
    config.write_text(shown[".pre-commit-config.yaml"], "utf-8")
    [repo] = load_config(str(config))["repos"]
    [hook] = repo["hooks"]
    assert f"- id: {hook['id']}\n" in (ROOT / ".pre-commit-hooks.yaml").read_text("utf-8")
