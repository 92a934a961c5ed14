"""The sheet in a real browser: on a desk and in the hand, in the light and in the dark, printed.

What machines can tell of accessibility is told by axe-core, whose rules follow the Web
Content Accessibility Guidelines.
"""

from __future__ import annotations

import os
import re
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest

from browser import launched, needs_browser, opened
from golden import PATTERNS
from made_garment import garment
from proofhook.cli import main

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page

pytestmark = needs_browser

KINDS: dict[str, dict[str, bool]] = {
    "desk": {},
    "desk, dark": {"dark": True},
    "phone": {"phone": True},
    "print": {"printed": True},
}
ALL = pytest.mark.parametrize("kind", KINDS)

UNREAD = "SHAWL\n\nCh 11.\nRow 1: Sc in 2nd ch from hook and in each ch across, turn. (10)\n"
UNREAD += "Row 2: Follow chart B. (12)\nRow 3: Ch 1, sc in each st across, turn. (12)\n"


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    with launched() as running:
        yield running


@pytest.fixture(scope="module")
def sheets(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Sheets of the shipped patterns and of two more, with their index."""
    folder = tmp_path_factory.mktemp("patterns")
    for pattern in PATTERNS.iterdir():
        (folder / pattern.name).write_bytes(pattern.read_bytes())
    (folder / "unread.txt").write_text(UNREAD, "utf-8")
    (folder / "coat.txt").write_text(garment(24, 6), "utf-8")
    (folder / "bad.txt").write_bytes(b"\xff\xfe\xff")
    os.environ["SOURCE_DATE_EPOCH"] = "1767225600"
    try:
        assert main(["sheet", "--all", str(folder), "-o", str(folder / "out")]) == 2
    finally:
        del os.environ["SOURCE_DATE_EPOCH"]
    return folder / "out"


def box(page: Page, selector: str) -> dict[str, float]:
    found = page.locator(selector).first.bounding_box()
    assert found is not None, selector
    return {side: float(found[side]) for side in ("x", "y", "width", "height")}


@ALL
def test_the_wrong_row_its_note_its_picture_and_its_count_are_seen(
    kind: str, browser: Browser, sheets: Path
) -> None:
    with opened(browser, sheets / "cottage-loaf.html", **KINDS[kind]) as page:
        row, note = box(page, "#l39"), box(page, "#n1")
        assert page.locator("#l39 del").is_visible()
        assert page.locator("#l39 .sign").inner_text() == "≠"
        assert page.locator("#l38 .sign").inner_text() == "✓"
        beside = note["x"] > row["x"] + row["width"] and abs(note["y"] - row["y"]) < 8
        below = note["y"] >= row["y"] + row["height"] and note["x"] > row["x"]
        assert below if "phone" in kind else beside
        picture = page.locator("svg[role=img]").nth(1)
        assert picture.is_visible()
        shown = picture.locator("path.bad").first.bounding_box()
        assert shown is not None
        assert shown["width"] > 50
        assert page.locator("svg circle.bad").count() == 2
        thick = page.locator("svg circle.bad").first.evaluate(
            "c => getComputedStyle(c).strokeWidth"
        )
        assert float(thick.removesuffix("px")) > 5
        cells = page.locator("table.counts tr.differs").first.locator("td").all_inner_texts()
        assert cells[1:3] == ["26", "24"]


#: Notes that lie on each other, and words that stick out of the margin.
OVERLAPS = """() => {
  const boxes = [...document.querySelectorAll('.note')].map(n => n.getBoundingClientRect());
  return boxes.filter((b, i) => boxes.some((c, j) => j > i &&
    b.top < c.bottom - 1 && c.top < b.bottom - 1 && b.left < c.right && c.left < b.right)).length;
}"""


@ALL
@pytest.mark.parametrize("name", ["cottage-loaf", "unread", "coat", "index"])
def test_nothing_runs_over_the_edge_and_axe_finds_nothing(
    kind: str, name: str, browser: Browser, sheets: Path
) -> None:
    """Source: axe-core, all of its rules, those for best practice too."""
    with opened(browser, sheets / f"{name}.html", **KINDS[kind]) as page:
        assert page.evaluate("document.documentElement.scrollWidth - innerWidth") <= 0
        assert page.evaluate(OVERLAPS) == 0
        found = axe(page)
    told = [(v["id"], v["help"], v["nodes"][0]["html"][:200]) for v in found["violations"]]
    assert told == []
    assert {"color-contrast", "heading-order", "region"} <= {r["id"] for r in found["passes"]}
    assert list(doubts(found)) == []


#: What axe-core leaves to a person although it can be told: a sign that is no letter (its word
#: stands beside it), one letter alone, and what a table that is scrolled holds beyond its edge.
LEFT_OPEN = {"nonBmp", "shortTextContent", "elmPartiallyObscured", "outsideViewport"}


def doubts(found: dict[str, Any]) -> Iterator[tuple[str, str, Any]]:
    """What axe-core could not decide, but for ``LEFT_OPEN``: rule, element and reason."""
    for rule in found["incomplete"]:
        for node in rule["nodes"]:
            data = [check.get("data") for check in node["any"]]
            keys = {each.get("messageKey") for each in data if isinstance(each, dict)}
            if not keys or keys - LEFT_OPEN:
                yield rule["id"], node["html"][:120], keys


def axe(page: Page) -> dict[str, Any]:
    """What axe-core finds on a page."""
    from axe_playwright_python.sync_playwright import Axe

    found: dict[str, Any] = Axe().run(page).response
    return found


def test_axe_would_find_something(browser: Browser, tmp_path: Path, sheets: Path) -> None:
    """The check can fail: a sheet spoiled on purpose does not pass."""
    text = (sheets / "cottage-loaf.html").read_text("utf-8")
    spoiled = text.replace('lang="en-GB"', "").replace("--quiet: #655c4e", "--quiet: #d0cabe")
    (tmp_path / "spoiled.html").write_text(spoiled, "utf-8")
    with opened(browser, tmp_path / "spoiled.html") as page:
        ids = {each["id"] for each in axe(page)["violations"]}
    assert {"html-has-lang", "color-contrast"} <= ids


def test_the_dark_is_dark_and_paper_is_white(browser: Browser, sheets: Path) -> None:
    grounds: dict[str, int] = {}
    for kind in ("desk", "desk, dark", "print"):
        with opened(browser, sheets / "cottage-loaf.html", **KINDS[kind]) as page:
            colour = page.locator(".paper").evaluate("p => getComputedStyle(p).backgroundColor")
            grounds[kind] = sum(map(int, re.findall(r"\d+", colour)[:3]))
    assert grounds["print"] == 3 * 255
    assert grounds["desk"] > 700
    assert grounds["desk, dark"] < 120


@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_it_prints(paper: str, browser: Browser, sheets: Path) -> None:
    """On each paper as many pages as a garment of its length needs, and not one blank."""
    with opened(browser, sheets / "cottage-loaf.html") as page:
        data = page.pdf(format=paper)
    pages = len(re.findall(rb"/Type\s*/Page\b", data))
    assert 3 <= pages <= 6


def test_it_is_used_by_keyboard_alone(browser: Browser, sheets: Path) -> None:
    with opened(browser, sheets / "cottage-loaf.html") as page:
        page.keyboard.press("Tab")
        assert page.evaluate("document.activeElement.className") == "skip"
        assert box(page, ".skip")["x"] >= 0
        page.keyboard.press("Enter")
        assert page.evaluate("document.activeElement.id") == "main"
        page.locator("a.ref[href='#n1']").first.focus()
        page.keyboard.press("Enter")
        assert page.evaluate("location.hash") == "#n1"
        width = page.locator("#n1 a").evaluate(
            "a => { a.focus(); return getComputedStyle(a).outlineStyle }"
        )
        assert width != "none"
        table = page.locator(".wide").first
        table.focus()
        assert page.evaluate("document.activeElement.getAttribute('role')") == "region"


def test_a_wide_table_is_scrolled_and_not_the_page(browser: Browser, sheets: Path) -> None:
    with opened(browser, sheets / "coat.html", phone=True) as page:
        wide = page.locator(".wide").first
        assert wide.evaluate("w => w.scrollWidth > w.clientWidth")
        wide.focus()
        page.keyboard.press("ArrowRight")
        scrolled = "w => new Promise(told => setTimeout(() => told(w.scrollLeft), 100))"
        assert any(wide.evaluate(scrolled) > 0 for _ in range(30))


def test_a_screen_reader_is_told_what_is_struck_and_what_is_drawn(
    browser: Browser, sheets: Path
) -> None:
    with opened(browser, sheets / "cottage-loaf.html") as page:
        told = page.locator("main").aria_snapshot()
    assert "struck out: 26" in told
    assert re.search(r'img "Rings of LOWER LOAF', told)
    assert 'table "Counts of LOWER LOAF"' in told
    assert 'list "Notes to line 39"' in told


def test_the_index_leads_to_every_sheet_and_back(browser: Browser, sheets: Path) -> None:
    context = browser.new_context()
    page = context.new_page()
    page.goto((sheets / "index.html").as_uri())
    assert "bad.txt" in page.locator("main").inner_text()
    links = page.locator("table.sheets a")
    count = links.count()
    assert count == len(list(sheets.glob("*.html"))) - 1
    for number in range(count):
        title = links.nth(number).inner_text()
        links.nth(number).click()
        assert page.locator("h1").inner_text() == title
        page.get_by_role("link", name="All sheets").click()
        assert page.locator("h1").inner_text() == "What needs work"
    context.close()
