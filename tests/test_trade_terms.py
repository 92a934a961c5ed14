"""US or UK terms: evidence is weighed, and what is in doubt is left in doubt."""

from __future__ import annotations

from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from proofhook.trade import table
from proofhook.trade.terms import evidence, other, statements


@pytest.mark.parametrize(
    ("text", "side"),
    [
        ("These instructions use US terms.", "us"),
        ("Written in UK crochet terms", "uk"),
        ("Terms: UK", "uk"),
        ("TERMS  US crochet terms", "us"),
        ("American (US) terminology", "us"),
        ("British terminology throughout", "uk"),
        ("Abbreviations (UK)", "uk"),
        ("Written using U.S. crochet terminology", "us"),
        ("US terms are used throughout (UK terms in brackets).", "us"),
        ("UK terms throughout (US equivalents in the key)", "uk"),
    ],
)
def test_statements(text: str, side: str) -> None:
    found = statements(text)
    assert [sign.side for sign in found] == [side]
    weighed = evidence(text)
    assert (weighed.terms, weighed.decided_by) == (side, "stated")


@pytest.mark.parametrize(
    "text",
    [
        "For UK terms see the table at the end.",
        "Available in both US and UK terms.",
        "This is not US terms",
        "Contact us. Terms of use apply.",
        "US terms of sale",
        "Convert to UK terms with the chart",
    ],
)
def test_what_is_no_statement(text: str) -> None:
    assert statements(text) == ()


@pytest.mark.parametrize(
    ("text", "terms", "decided_by"),
    [
        ("Row 1: sc in next st, hdc in next", "us", "strong"),
        ("Row 1: 1 htr in next st", "uk", "strong"),
        ("Row 1: miss 2 sts, 3 tr in next st", "uk", "strong"),
        ("Rnd 2: RtrF round next tr", "uk", "strong"),
        ("TENSION\n16 tr to 10 cm", "uk", "strong"),
        ("Keep to a tension of 16 tr to 10 cm", "uk", "strong"),
        ("Row 1: dc in 4th ch from hook", "us", "structure"),
        ("Row 2: ch 3 (counts as first dc), dc in next", "us", "structure"),
        ("Row 2: 1ch, 1 dc in each st", "uk", "structure"),
        ("Row 2: 3 ch (counts as 1 tr), 1 tr in next", "uk", "structure"),
        (
            "Rnd 1: 6 dc in ring (6)\nRnd 2: 2 dc in each (12)\nRnd 3: (1 dc, inc) 6 times (18)",
            "uk",
            "structure",
        ),
        (
            "Rnd 1: 12 dc in ring (12)\nRnd 2: 2 dc in each (24)\nRnd 3: around (36)",
            "us",
            "structure",
        ),
        ("worsted yarn; skip 2 dc", "us", "weak"),
        ("aran yarn; 1 ss in next", "uk", "weak"),
    ],
)
def test_what_words_and_structure_prove(text: str, terms: str, decided_by: str) -> None:
    found = evidence(text)
    assert (found.terms, found.decided_by, found.conflict) == (terms, decided_by, False)


@pytest.mark.parametrize(
    "text",
    [
        "1 dc in next st, tr, dtr, trtr, dc2tog, edc, FPdc",  # both sides have these
        "colour A, dtr in next",  # spelling proves nothing
        "chunky yarn",  # one weak word is not enough
        "worsted yarn, 1 ss",  # weak words both ways
        "Do not miss the next post! Keep an even tension. Stitches may be missing.",
        "Gauge/Tension: 12 sts to 10 cm",
        "tr in next, yoh",
        "Row 1: dc in 2nd ch from hook. Row 2: ch 3 (counts as dc)",  # structure both ways
    ],
)
def test_what_proves_nothing(text: str) -> None:
    found = evidence(text)
    assert (found.terms, found.decided_by, found.conflict) == ("", "", False)


def test_strong_words_of_both_sides_are_a_conflict_and_undecided() -> None:
    text = "Row 1: sc in next st, htr in next"
    found = evidence(text)
    assert found.conflict
    assert found.terms == ""
    assert [sign.words for sign in found.of("us", "strong")] == ["sc"]
    assert [sign.words for sign in found.of("uk", "strong")] == ["htr"]


def test_a_statement_decides_but_the_conflict_is_still_told() -> None:
    found = evidence("UK terms. Row 1: sc in next st")
    assert (found.terms, found.decided_by, found.conflict) == ("uk", "stated", True)
    (sign,) = found.of(other(found.terms), "strong")
    assert sign.words == "sc"


@pytest.mark.parametrize(
    ("text", "terms"),
    [
        # htr beside an explained hdc is the rare US half triple
        ("hdc: half double crochet\nhtr: half treble\nRow 1: hdc, htr", "us"),
        # the old British single crochet is a slip stitch
        ("single crochet = slip stitch\nRow 1: htr in next", "uk"),
        # SC as a secondary colour
        ("SC: secondary colour\nRow 1: htr in next", "uk"),
        # words quoted from the other side
        ("sc (UK dc), hdc (UK htr)", "us"),
    ],
)
def test_traps(text: str, terms: str) -> None:
    found = evidence(text)
    assert (found.terms, found.conflict) == (terms, False)


def test_letters_inside_other_words_are_no_evidence() -> None:
    assert evidence("The disc rests on its scallops; describe the escape.").signs == ()


@given(
    st.lists(st.sampled_from(["sc", "htr", "İ", "miss 2 sts", "US terms", "\n", "dc", "ß", ";"]))
)
def test_the_places_of_words_are_true(words: list[str]) -> None:
    text = " ".join(words)
    for sign in evidence(text).signs:
        for span in sign.spans:
            found = text[span.start : span.end].lower()
            assert found == sign.words or sign.weight in ("stated", "structure")


@given(st.text(max_size=300))
def test_any_text_can_be_weighed(text: str) -> None:
    found = evidence(text)
    assert (found.terms == "") == (found.decided_by == "")


def test_the_uk_name_is_one_step_above_the_us_name() -> None:
    """The mnemonic of IWV2017 (sources.toml), over the whole ladder."""
    rows = {row["key"]: row for row in table("terms")["stitch"]}
    ladder = ["sc", "dc", "tr", "dtr", "trtr", "qtr"]
    for lower, upper in pairwise(ladder):
        assert set(rows[lower]["uk"]) & set(rows[upper]["us"]), (lower, upper)
        assert set(rows[lower]["uk_short"]) & set(rows[upper]["us_short"]), (lower, upper)


def test_ambiguous_words_are_on_neither_list() -> None:
    """Words that stand on both sides, by notes on UKPDF, FCD and TRANSL (sources.toml)."""
    words = {word for row in table("terms")["evidence"] for word in row.get("words", ())}
    ambiguous = {"dc", "double crochet", "tr", "treble", "treble crochet", "dtr", "trtr"}
    ambiguous |= {"dc2tog", "tr2tog", "edc", "etr", "fdc", "fpdc", "bpdc", "fptr", "bptr", "qtr"}
    ambiguous |= {"ch", "sl st", "inc", "dec", "mr", "blo", "flo", "rnd", "st", "colour", "color"}
    assert words
    assert words & ambiguous == set()
