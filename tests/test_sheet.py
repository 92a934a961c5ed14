"""The proof sheet: what stands on it, and that it is a page that everybody can read."""

from __future__ import annotations

import re
from itertools import pairwise
from pathlib import Path
from time import process_time
from xml.etree.ElementTree import Element

import pytest

import proofhook
from golden import PATTERNS, ROOT
from made_garment import SIZES, garment
from proofhook.proofing.finding import Grade
from proofhook.proofing.house import House, RuleSetting, Wording
from proofhook.proofing.plugins import load_rules
from proofhook.proofing.proof import Proof, proof
from proofhook.proofing.stet import Stet
from proofhook.showing.sheet import sheet
from reading_html import name_of, one, parsed, words

LOAF = (PATTERNS / "cottage-loaf.txt").read_text("utf-8")
WAISTCOAT = (PATTERNS / "early-shift-waistcoat.txt").read_text("utf-8")
CSS = Path(next(iter(__import__("proofhook.showing.sheet").__path__))) / (
    "showing/sheet/templates/sheet.css"
)


def made(text: str, house: House | None = None, path: str = "loaf.txt") -> Proof:
    tally = proofhook.tally(proofhook.read(text, path))
    return proof(tally.pattern, tally, house or House(), load_rules())


def page(text: str, house: House | None = None, path: str = "loaf.txt") -> Element:
    return parsed(sheet(made(text, house, path), load_rules(), date="1 May 2026"))


def by_id(root: Element, name: str) -> Element:
    return one(root, f".//*[@id='{name}']")


def rows_of(table: Element) -> list[list[str]]:
    return [[words(cell) for cell in row] for row in table.iter("tr")]


@pytest.fixture(scope="module")
def loaf() -> Element:
    return page(LOAF)


def test_the_text_is_there_as_it_stands(loaf: Element) -> None:
    lines = LOAF.splitlines()
    for number, line in enumerate(lines, 1):
        shown = by_id(loaf, f"l{number}")
        spoken = {id(each) for each in shown.iter() if "hide" in each.get("class", "").split()}
        refs = {id(each) for each in shown.iter("a")}
        kept: list[str] = []

        def gather(
            element: Element, kept: list[str] = kept, left: set[int] = spoken | refs
        ) -> None:
            if id(element) in left or element.get("aria-hidden"):
                return
            kept.append(element.text or "")
            for child in element:
                gather(child)
                kept.append(child.tail or "")

        gather(shown)
        assert "".join(kept) == line


def test_a_wrong_total_is_struck_and_the_note_stands_beside_it(loaf: Element) -> None:
    row = by_id(loaf, "l39")
    assert words(one(row, ".//del")) == "struck out: 26 end of striking"
    [ref] = one(row, ".//p").findall("a")
    note = by_id(loaf, (ref.get("href") or "").removeprefix("#"))
    assert "The round makes 24 sts, but the total says 26." in words(note)
    assert "worked 18 sts below; 6 × 4 = 24" in words(note)
    assert "24 /" in words(note)
    block = next(each for each in loaf.iter("div") if row in [*each, *(g for c in each for g in c)])
    assert note in list(block.iter("li"))


def test_every_note_has_a_mark_and_every_link_a_place(loaf: Element) -> None:
    ids = [each.get("id") for each in loaf.iter() if each.get("id")]
    assert len(ids) == len(set(ids))
    links = [each.get("href") or "" for each in loaf.iter("a")]
    assert links
    assert all(link.startswith("#") and link[1:] in ids for link in links)
    notes = [each for each in ids if each and re.fullmatch(r"n\d+", each)]
    assert notes == [f"n{number}" for number in range(1, 6)]
    text = by_id(loaf, "text")
    refs = {a.get("href") for p in text.iter("p") if p.get("class") == "words" for a in p.iter("a")}
    assert refs == {f"#{note}" for note in notes}


def test_the_counts_have_what_is_stated_worked_and_how(loaf: Element) -> None:
    table = next(table for table in loaf.iter("table") if "LOWER" in words(table[0]))
    head, *rows = rows_of(table)
    assert head == ["Row", "Unit", "Stated", "Makes", "Verdict", "Working"]
    assert rows[3] == ["Rnd 4", "sts", "26", "24", "≠ differs", "18 sts below; 6 × 4 = 24"]
    assert rows[4] == ["Rnd 5", "sts", "30", "30", "✓ agrees", "24 sts below; 6 × 5 = 30"]
    assert len(rows) == 11


def test_every_size_has_its_columns() -> None:
    root = page(WAISTCOAT)
    table = next(table for table in root.iter("table") if "FRONT" in words(table[0]))
    groups, sizes, *rows = rows_of(table)
    assert groups == ["Row", "Unit", "Stated", "Makes", "Verdict", "Working"]
    assert sizes == ["S", "M", "L", "XL"] * 2
    assert rows[2][:11] == (
        ["Row 21", "hdc", "26", "29", "32", "36", "26", "29", "32", "35", "≠ differs"]
    )
    wrong = [words(cell) for cell in table.iter("td") if "makes" in cell.get("class", "").split()]
    assert wrong == ["35"]


def test_a_size_in_which_a_row_is_not_worked_has_no_figures() -> None:
    text = (ROOT / "fixtures" / "labelled" / "sizes" / "herding-mitts.txt").read_text("utf-8")
    rows = [row for table in page(text).iter("table") for row in rows_of(table)]
    [row] = [row for row in rows if row[:2] == ["Next 2 rounds", "dc"]]
    assert row[2:9] == ["–", "48", "52", "–", "48", "52", "✓ agrees"]


def test_further_units_have_lines_of_their_own() -> None:
    text = (PATTERNS / "oven-window-square.txt").read_text("utf-8")
    table = next(table for table in page(text).iter("table") if "SQUARE" in words(table[0]))
    assert ["Rnd 2", "ch 2 sps", "4", "4", "", ""] in rows_of(table)


def test_the_summary_adds_up(loaf: Element) -> None:
    rows, found = (dict(rows_of(table)) for table in by_id(loaf, "summary").iter("table"))
    assert rows == {
        "Read": "20 of 20", "✓ Agree": "18", "≠ Differ": "2", "– State no total": "0",
        "? Unread": "0",
    }  # fmt: skip
    assert found == {"Errors": "3", "Queries": "2", "Points of style": "0", "Let stand": "0"}
    assert "Fails: errors have to go" in words(by_id(loaf, "summary"))


def test_what_is_unread_is_said_to_be() -> None:
    root = page("Rnd 1: 6 sc in a magic ring. (6)\nRnd 2: Follow the chart. (12)\n")
    summary = words(by_id(root, "summary"))
    assert "1 row could not be read" in summary
    assert "nothing is claimed about it" in summary
    [row] = [row for row in rows_of(list(root.iter("table"))[2]) if row[0] == "Rnd 2"]
    assert row[2:] == ["12", "–", "? unread", "not understood: “Follow the chart”"]


def test_the_house_style_and_what_stands_are_told() -> None:
    stet = Stet("stitch-total", "(Sc in next 2 sts, inc) 6 times. (26)", "the chart decides",
                date="2026-03-01")  # fmt: skip
    house = House(
        failing=Grade.QUERY,
        rules={"row-order": RuleSetting(off=True), "ends-loose": RuleSetting(grade=Grade.ERROR)},
        wording=(Wording("magic ring", ("magic circle",), because="our tutorial says so"),),
        sheets=("/somebody/private/housestyle.toml",),
        places={"failing": "/somebody/private/housestyle.toml:1"},
        stets=(stet,),
    )
    done = made(LOAF, house)
    text = sheet(done, load_rules())
    root = parsed(text)
    [table] = by_id(root, "house").iter("table")
    told = rows_of(table)
    assert ["A run fails on", "query or graver", "housestyle.toml:1"] in told
    assert ["row-order", "off", ""] in told
    assert ["ends-loose", "error", ""] in told
    assert ["Wording", "“magic ring”, not “magic circle”: our tutorial says so", ""] in told
    assert "somebody" not in text
    stands = words(by_id(root, "stet"))
    assert "The round makes 24 sts, but the total says 26. stitch-total" in stands
    assert "stet: the chart decides 2026-03-01" in stands
    assert "line 39" in stands


def test_a_rule_that_failed_is_told() -> None:
    done = made(LOAF)._replace(failures=("loaf.txt: the rule x of the plug-in y failed.",))
    assert "Not checked whole: loaf.txt: the rule x" in words(parsed(sheet(done)))


@pytest.mark.parametrize("text", [LOAF, WAISTCOAT, "Rnd 1: follow the chart. (6)\n", ""])
def test_headings_landmarks_tables_and_pictures_have_what_readers_need(text: str) -> None:
    root = page(text)
    assert root.get("lang") == "en-GB"
    levels = [int(name_of(each)[1]) for each in root.iter() if name_of(each) in ("h1", "h2", "h3")]
    assert levels[0] == 1
    assert levels.count(1) == 1
    assert all(after <= before + 1 for before, after in pairwise(levels))
    assert all(words(each) for each in root.iter() if re.fullmatch(r"h\d", name_of(each)))
    assert [len(list(root.iter(name))) for name in ("header", "main", "footer")] == [1, 1, 1]
    skip = next(iter(root.iter("a")))
    assert skip.get("href") == "#main"
    ids = {each.get("id"): each for each in root.iter() if each.get("id")}
    for table in root.iter("table"):
        assert name_of(table[0]) == "caption"
        assert words(table[0])
        assert all(head.get("scope") for head in table.iter("th"))
    for each in root.iter():
        for name in (each.get("aria-labelledby") or "").split():
            assert words(ids[name])
        if name_of(each) == "svg" and not each.get("aria-hidden"):
            assert each.get("role") == "img"
            assert each.get("aria-labelledby")


def test_nothing_is_fetched_and_nothing_runs(loaf: Element) -> None:
    assert not {"script", "link", "img", "iframe", "object", "form"} & {
        name_of(each) for each in loaf.iter()
    }
    assert not [key for each in loaf.iter() for key in each.attrib if key.startswith("on")]
    assert "url(" not in CSS.read_text("utf-8")
    assert "@import" not in CSS.read_text("utf-8")


def test_the_same_proof_gives_the_same_sheet() -> None:
    assert sheet(made(WAISTCOAT), load_rules()) == sheet(made(WAISTCOAT), load_rules())


def test_a_long_garment_in_six_sizes_is_a_small_page_and_soon_made() -> None:
    """400 rows in 6 sizes: under 1 MB, and in a second of this machine's time."""
    done = made(garment(400))
    begun = process_time()
    text = sheet(done, load_rules())
    assert process_time() - begun < 1
    assert len(text.encode()) < 1_000_000
    root = parsed(text)
    differ = [row for row in rows_of(list(root.iter("table"))[2]) if "≠ differs" in row]
    assert len(differ) == 20
    assert [words(each) for each in root.iter("ul") if each.get("class") == "key"] == (
        [" ".join(SIZES)]
    )


# --- colours ------------------------------------------------------------------------


def palettes() -> dict[str, dict[str, str]]:
    """The colours of the style sheet by light: named variables and their values."""
    css = CSS.read_text("utf-8")
    blocks = re.findall(r":root \{([^}]*)\}", css)
    found = [dict(re.findall(r"--(\w+): (#[0-9a-f]{3,6});", block)) for block in blocks]
    return dict(zip(("light", "dark", "print"), found, strict=True))


def luminance(colour: str) -> float:
    """Source: WCAG 2.2, definition of relative luminance."""
    digits = colour[1:] if len(colour) == 7 else "".join(2 * digit for digit in colour[1:])
    parts = [int(digits[at : at + 2], 16) / 255 for at in (0, 2, 4)]
    linear = [
        part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts
    ]
    return sum(weight * part for weight, part in zip((0.2126, 0.7152, 0.0722), linear, strict=True))


def contrast(one: str, other: str) -> float:
    """Source: WCAG 2.2, definition of contrast ratio."""
    low, high = sorted((luminance(one), luminance(other)))
    return (high + 0.05) / (low + 0.05)


def test_the_measure_of_contrast_is_that_of_the_standard() -> None:
    """Black on white is 21:1 by the standard; #767676 is the lightest grey that passes on white."""
    assert contrast("#000", "#ffffff") == pytest.approx(21)
    assert contrast("#767676", "#fff") >= 4.5 > contrast("#777777", "#fff")


@pytest.mark.parametrize("light", ["light", "dark", "print"])
def test_words_stand_out_from_the_paper(light: str) -> None:
    """Source: WCAG 2.2, success criterion 1.4.3, level AA: 4.5:1 for text."""
    colours = palettes()[light]
    for ink in ("ink", "quiet", "red", "blue", "green"):
        for ground in ("paper", "tint"):
            assert contrast(colours[ink], colours[ground]) >= 4.5, (ink, ground)


@pytest.mark.parametrize("light", ["light", "dark", "print"])
def test_pictures_stand_out_from_the_paper(light: str) -> None:
    """Source: WCAG 2.2, success criterion 1.4.11, level AA: 3:1 for what must be seen."""
    colours = palettes()[light]
    for ink in ("edge", "red", "blue"):
        assert contrast(colours[ink], colours["paper"]) >= 3, ink
