"""Rows in UK terms are read as those in US terms: posts, decreases, old leaflets."""

from __future__ import annotations

import pytest

from proofhook.pattern import Stitch, Work
from proofhook.reading import read
from proofhook.reading.lexer import Vocabulary
from proofhook.reading.structure import read_row
from proofhook.text import Source
from proofhook.trade.stitches import parse_stitch


def stitches(words: str, terms: str) -> list[Stitch]:
    steps = read_row(words, Vocabulary(terms))
    assert all(isinstance(step, Work) for step in steps), steps
    return [step.stitch for step in steps if isinstance(step, Work)]


@pytest.mark.parametrize(
    ("words", "name", "base"),
    [
        ("RtrF", "fp tr", "tr"),
        ("RtrB", "bp tr", "tr"),
        ("RdcF", "fp dc", "dc"),
        ("RhtrB", "bp htr", "htr"),
        ("trF", "fp tr", "tr"),
        ("raised treble front", "fp tr", "tr"),
        ("raised half treble back", "bp htr", "htr"),
        ("quintr", "quintr", "quintr"),
        ("edtr", "edtr", "edtr"),
        ("dsc", "esc", "esc"),
    ],
)
def test_names_of_uk_terms(words: str, name: str, base: str) -> None:
    found = parse_stitch(words)
    assert found is not None
    assert (found.name, found.base, found.role) == (name, base, "")


@pytest.mark.parametrize("words", ["rf", "trim", "raised", "raised front", "bf"])
def test_what_is_no_stitch(words: str) -> None:
    assert parse_stitch(words) is None


def test_a_post_in_words_is_one_stitch() -> None:
    [post] = stitches("1 raised treble front round next st", "uk")
    assert post.name == "fp tr"


def test_an_increase_named_for_the_plain_stitch_of_either_side() -> None:
    [us] = stitches("sc inc in next st", "us")
    [uk] = stitches("dc inc in next st", "uk")
    assert (us.role, us.makes, us.base) == ("inc", 2, "sc")
    assert (uk.role, uk.makes, uk.base) == ("inc", 2, "dc")
    [less] = stitches("double crochet decrease", "uk")
    assert (less.role, less.uses, less.base) == ("dec", 2, "dc")


@pytest.mark.parametrize(
    ("words", "base"), [("t.r. in next st", "tr"), ("d.tr. in next st", "dtr")]
)
def test_names_with_stops(words: str, base: str) -> None:
    [found] = stitches(words, "uk")
    assert found.base == base


@pytest.mark.parametrize("words", ["with yarn held double", "folded double", "double thickness"])
def test_what_is_held_double_is_no_stitch(words: str) -> None:
    assert not any(isinstance(step, Work) for step in read_row(words, Vocabulary("us")))


def test_a_double_is_a_stitch_all_the_same() -> None:
    [found] = stitches("1 double in next st", "us")
    assert found.base == "dc"


def test_terms_that_are_told_go_before_those_of_the_text() -> None:
    text = "UK terms\n\nRnd 1: 6 dc in a magic ring. (6)\n"
    assert read(Source("", text)).terms == "uk"
    assert read(Source("", text), "us").terms == "us"
