"""The conversion table against the correspondences that shops, books and magazines publish.

Each row below was copied from the source it names, not from ``terms.toml``; the sources are
those of ``sources.toml``.  What no printed source gives is marked as from memory there.
"""

from __future__ import annotations

import re

import pytest

from proofhook.text import apply_edits
from proofhook.trade import table
from proofhook.trade.ladder import Foreign, cased, word_in
from proofhook.translating.names import names_in

#: (source, US name, UK name), as the source pairs them.
PUBLISHED = [
    ("UKPDF", "single crochet", "double crochet"),
    ("UKPDF", "half double crochet", "half treble crochet"),
    ("UKPDF", "double crochet", "treble crochet"),
    ("UKPDF", "treble crochet", "double treble crochet"),
    ("UKPDF", "triple crochet", "double treble crochet"),
    ("UKPDF", "double treble crochet", "triple treble crochet"),
    ("FCD", "sc", "dc"),
    ("FCD", "hdc", "htr"),
    ("FCD", "dc", "tr"),
    ("FCD", "tr", "dtr"),
    ("TRANSL", "dtr", "trtr"),
    ("TRANSL", "sc", "dc"),
    ("TRANSL", "hdc", "htr"),
    ("SP2015", "FPdc", "FPtr"),
    ("SP2015", "sc2tog", "dc2tog"),
    ("ROWE2020", "hdc2tog", "htr2tog"),
    ("ROWE2020", "dc2tog", "tr2tog"),
    ("DORA", "esc", "edc"),
    ("DORA", "extended single crochet", "extended double crochet"),
]

#: From the UK name only: another form of it that the source prints.
PUBLISHED_UK = [
    ("UKPDF", "ttr", "dtr"),
    ("FCD", "ttr", "dtr"),
    ("SPOT", "ttr", "dtr"),
    ("SP2023", "RtrF", "FPdc"),
]

STITCHES = [row for row in table("terms")["stitch"] if row["key"] not in ("ch", "sl st")]

#: Forms of several words or with marks that are no names for a text: decreases that a
#: pattern writes with a word of its own.
_DECREASE = re.compile(r" dec$")


def into(words: str, side: str, to: str) -> str:
    """A stitch's name in the other terms, found in a text as in a pattern."""
    edits = [edit for named in names_in(words, side, to) for edit in named.edits]
    return apply_edits(words, edits)


@pytest.mark.parametrize(("source", "us", "uk"), PUBLISHED)
def test_published_pairs_both_ways(source: str, us: str, uk: str) -> None:
    assert source in table("sources")
    assert into(us, "us", "uk") == uk
    back = {"triple crochet": "treble crochet"}.get(us, us)
    assert into(uk, "uk", "us") == back


@pytest.mark.parametrize(("source", "uk", "us"), PUBLISHED_UK)
def test_published_forms_from_uk(source: str, uk: str, us: str) -> None:
    assert source in table("sources")
    assert into(uk, "uk", "us") == us


def forms() -> list[tuple[str, str, str]]:
    """Every name of the table: (its side, the name, the key of its row)."""
    return [
        (side, form, row["key"])
        for row in STITCHES
        for side in ("us", "uk")
        for form in (*row[side], *row[f"{side}_short"])
        if not _DECREASE.search(form)
    ]


def plain(form: str) -> str:
    """A name without what printers differ in: capitals, stops, hyphens, blanks."""
    return re.sub(r"[\s.-]", "", form.lower())


@pytest.mark.parametrize(("side", "form", "key"), forms())
def test_every_form_becomes_one_of_the_other_side_of_its_row(
    side: str, form: str, key: str
) -> None:
    to = "uk" if side == "us" else "us"
    [row] = [row for row in STITCHES if row["key"] == key]
    wanted = {plain(name) for name in (*row[to], *row[f"{to}_short"])}
    assert plain(into(form, side, to)) in wanted


@pytest.mark.parametrize(("side", "form", "key"), forms())
def test_every_form_comes_back_to_its_row(side: str, form: str, key: str) -> None:
    to = "uk" if side == "us" else "us"
    [row] = [row for row in STITCHES if row["key"] == key]
    back = plain(into(into(form, side, to), to, side))
    own = {plain(name) for name in (*row[side], *row[f"{side}_short"])}
    assert back in own


@pytest.mark.parametrize(
    ("us", "uk"),
    [
        ("Sc", "Dc"),
        ("SC", "DC"),
        ("HDC", "HTR"),
        ("scs", "dcs"),
        ("Hdcs", "Htrs"),
        ("FPDC", "FPTR"),
        ("fpdc", "fptr"),
        ("Fdc", "Ftr"),
        ("SC2TOG", "DC2TOG"),
        ("Dc3tog", "Tr3tog"),
        ("bptr", "bpdtr"),
        ("standing dc", "standing tr"),
        ("dctbl", "trtbl"),
        ("Single crochet", "Double crochet"),
        ("Half Double Crochet", "Half Treble Crochet"),
        ("HALF DOUBLE CROCHET", "HALF TREBLE CROCHET"),
        ("double crochets", "trebles"),
        ("Treble crochet", "Double treble crochet"),
        ("double crochet two together", "treble two together"),
        ("Single crochet 2 together", "Double crochet 2 together"),
        ("front post half double crochet", "front post half treble"),
        ("h.d.c.", "h.tr."),
        ("d.c.", "t.r."),
        ("tr.c.", "d.tr."),
        ("single, half double and double crochet", "double, half treble and treble crochet"),
    ],
)
def test_capitals_plurals_and_combinations_both_ways(us: str, uk: str) -> None:
    assert into(us, "us", "uk") == uk
    assert into(uk, "uk", "us") == us


def test_a_line_may_break_within_a_name() -> None:
    assert into("half double\ncrochet", "us", "uk") == "half treble\ncrochet"
    assert into("half\ndouble crochet", "us", "uk") == "half\ntreble crochet"


@pytest.mark.parametrize("word", ["htr", "FPhtr", "htr2tog", "fhtr"])
def test_a_name_of_the_other_side_is_foreign(word: str) -> None:
    assert word_in(word, "us", "uk") == Foreign(word)


@pytest.mark.parametrize("word", ["stretch", "tricks", "scarf", "centre", "disc", "stitch", "trim"])
def test_a_word_is_no_stitch(word: str) -> None:
    assert word_in(word, "us", "uk") is None
    assert word_in(word, "uk", "us") is None


def test_no_name_is_translated_twice() -> None:
    """What dc becomes is not what sc becomes and then becomes again."""
    text = "sc, hdc, dc, tr, dtr, trtr"
    assert into(text, "us", "uk") == "dc, htr, tr, dtr, trtr, qtr"
    assert into("dc, htr, tr, dtr, trtr, qtr", "uk", "us") == text


def test_capitals_are_those_of_the_old_words() -> None:
    assert cased("htr", "HDC") == "HTR"
    assert cased("double treble", "Treble") == "Double treble"
    assert cased("half treble", "half double") == "half treble"
