"""Heading words: what a heading opens, and what is no heading."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from proofhook.trade import table
from proofhook.trade.headings import (
    heading_kind,
    is_piece_name,
    leading_heading,
    plain,
)

# Every heading word that a count over published patterns found (CORPUS in sources.toml).
FOUND = {
    "materials": "Materials, Materials Needed, Materials Used, Materials Required, "
    "Materials & Tools, Supplies, Supply List, You will need, You'll need, What you need, "
    "What you'll need, Things you'll need, Requirements, Equipment, Notions, Tools, Yarn, Hook",
    "gauge": "Gauge, Tension, Gauge/Tension, Gauge Square, Gauge Swatch",
    "abbreviations": "Abbreviations, Abbreviations Used, Stitches used, "
    "Stitches/Abbreviations, Stitches and Abbreviations, Stitches you need to know, Legend, "
    "Key, Key Symbols, Key to terms, Stitch Key, Pattern Key, Stitch Glossary, Glossary, "
    "Terminology, UK terms used, Crochet terms",
    "special": "Special Stitches, Special Terms, Special Abbreviations, Special stitch "
    "instructions, Stitch Explanation, Stitch Explanations, Pattern Stitch, Pattern Stitch "
    "(Patt), Specialty stitches",
    "notes": "Note, Notes, Pattern Notes, Special sts/notes, Handy tips, Crochet info, "
    "General Instructions, Before you start",
    "size": "Size, Sizes, Finished Size, Finished Measurements, Measurements, To fit bust, "
    "Approximate size, Sizing information",
    "instructions": "Pattern, Instructions, Directions, Method, Pattern Instructions, Written "
    "Pattern, Row instructions, Execution",
    "finishing": "Finishing, Finishing off, Assembly, Assembling, To finish, Make up, "
    "Making up, Joining, To join, Blocking",
    "edging": "Edging, Border",
}
CASES = [(words.strip(), kind) for kind, line in FOUND.items() for words in line.split(",")]


@pytest.mark.parametrize(("words", "kind"), CASES)
def test_words_that_patterns_use(words: str, kind: str) -> None:
    for written in (words, words.upper(), words.lower(), f"## {words}", f"**{words}:**"):
        assert heading_kind(written) == kind


@pytest.mark.parametrize(
    ("words", "kind"),
    [
        ("Materials (for both sizes)", "materials"),
        ("What you\u2019ll need", "materials"),
        ("Materials for the owl", "materials"),
        ("Size & Gauge", "size"),
        ("Tension (gauge)", "gauge"),
        ("Notes:", "notes"),
        ("SKILL LEVEL", "level"),
        ("Terms", "terms"),
        ("Safety note", "caution"),
        ("Care instructions", "care"),
        ("Copyright", "copyright"),
        ("Chart key", "chart"),
        ("Head", None),
        ("Row 1", None),
        ("Materials are listed on the next page", None),
        ("", None),
        ("Gauge and everything else", None),
        ("m" * 5000, None),
    ],
)
def test_other_words(words: str, kind: str | None) -> None:
    assert heading_kind(words) == kind


@pytest.mark.parametrize(
    ("line", "kind", "words", "rest"),
    [
        ("**Materials:** wool", "materials", "Materials", "wool"),
        ("SIZE: 18 cm (9 in) tall.", "size", "SIZE", "18 cm (9 in) tall."),
        ("LEVEL  Easy", "level", "LEVEL", "Easy"),
        ("Gauge. 5 sc = 1 inch", "gauge", "Gauge", "5 sc = 1 inch"),
        ("* Hook - 4 mm", "materials", "Hook", "4 mm"),
        ("Pattern notes \u2014 read these", "notes", "Pattern notes", "read these"),
        ("  _Notes_", "notes", "Notes", ""),
        ("Materials ======", "materials", "Materials", ""),
        ("Materials for the owl", "materials", "Materials for the owl", ""),
    ],
)
def test_a_heading_at_the_start_of_a_line(line: str, kind: str, words: str, rest: str) -> None:
    found = leading_heading(line)
    assert found is not None
    assert (found.kind, line[found.start : found.end], line[found.rest :]) == (kind, words, rest)


@pytest.mark.parametrize(
    "line",
    [
        "Row 1: sc in 2nd ch from hook",
        "Hook the yarn and draw it through",
        "Note that ch 1 does not count",
        "Join. 3rd rnd: ch 1",
        "Size up as you like",
        "Yarn needle",
        "Rep Rows 2 and 3 for pattern: 12 times",
        "=====",
        "",
    ],
)
def test_lines_without_a_heading(line: str) -> None:
    assert leading_heading(line) is None


@given(st.text(max_size=200))
def test_any_line_can_be_asked_about(line: str) -> None:
    found = leading_heading(line)
    if found:
        assert heading_kind(line[found.start : found.end]) == found.kind
        assert found.end <= found.rest <= len(line)


@pytest.mark.parametrize(
    "line", ["*" * 200_000, "Notes " * 40_000, "a" * 200_000, "Note: " + " " * 99_999]
)
def test_long_lines_are_no_trouble(line: str) -> None:
    found = leading_heading(line)
    assert found is None or found.kind == "notes"


def test_no_heading_has_two_kinds_and_all_are_written_plainly() -> None:
    kinds: dict[str, set[str]] = {}
    for row in table("headings")["heading"]:
        for words in row["words"]:
            kinds.setdefault(words, set()).add(row["kind"])
            assert plain(words) == words
    assert {words: kind for words, kind in kinds.items() if len(kind) > 1} == {}


@pytest.mark.parametrize(
    ("words", "expected"),
    [
        ("HEAD", True),
        ("Ears (make 2)", True),
        ("**Left sleeve:**", True),
        ("Materials", False),
        ("The lighthouse", False),
    ],
)
def test_names_of_pieces(words: str, expected: bool) -> None:
    assert is_piece_name(words) is expected
