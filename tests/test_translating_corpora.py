"""Second editions of whole patterns, there and back: the shipped ones, open ones, made-up ones.

Every pattern is put into the other terms and back.  What comes back says the same, or there
was no edition; how many have none, and why, stands in ``NO_EDITION``.
"""

from __future__ import annotations

import os
import re
from dataclasses import replace
from functools import cache
from pathlib import Path

import pytest
from hypothesis import given

from choosing import some
from made_words import written
from proofhook.counting.tally import tally
from proofhook.pattern import Pattern
from proofhook.reading import read
from proofhook.sameness import same_model, same_stitches
from proofhook.text import Source, decode
from proofhook.trade.terms import evidence, other
from proofhook.translating import Edition, Refusal, second_edition, translated
from test_naive_counter import OFTEN, Made, patterns

FIXTURES = Path(__file__).parents[1] / "fixtures"
OPEN = os.environ.get("PROOFHOOK_OPEN_PATTERNS", "")
SHIPPED = sorted((FIXTURES / "patterns").iterdir())
HANDMADE = sorted((FIXTURES / "translated").iterdir())
#: What lies in the folder of open patterns, the folders beside it named likewise.
FURTHER = sorted(Path(OPEN).glob("*.txt")) if OPEN else []

#: The labelled patterns without an edition: US words beside a UK heading.
NO_EDITION = {
    "footplate-slippers.txt": "which terms is this in?",
    "linesmans-beanie.txt": "which terms is this in?",
}

LABELLED = some(sorted((FIXTURES / "labelled").glob("*/*.txt")), {name[:-4] for name in NO_EDITION})

#: Labels that hooks gain, and that stay there on the way back.
GAINED = re.compile(
    r" \((?:US|UK) [\w/.-]+(?:, (?:US|UK) [\w/.-]+)?\)|(?:, (?:US|UK) [\w/.-]+)+(?=[)\]])"
)

#: What the other terms have one word for where these have two, so that a pattern that uses
#: the rarer one comes back with the usual one.
OTHER_WORDS = {
    "flour-sack-cosy.md": {"metres": "meters"},
    "bread-board-cloth.txt": {},
}


def there(source: Source) -> tuple[str, str, Edition | Refusal]:
    """The terms of a text and the other ones, and its edition in these."""
    side = evidence(source.text).terms or "us"
    return side, other(side), second_edition(source, other(side))


@cache
def source_of(path: Path) -> Source:
    return decode(path.read_bytes(), path.name)


@pytest.mark.parametrize("path", [*SHIPPED, *LABELLED], ids=lambda path: path.name)
def test_there_and_back_says_the_same(path: Path) -> None:
    source = source_of(path)
    side, to, made = there(source)
    if isinstance(made, Refusal):
        assert made.why.startswith(NO_EDITION[path.name])
        return
    assert path.name not in NO_EDITION, "there is an edition now: take it off the list"
    before, after = read(source), read(Source(path.name, made.text), to)
    assert same_stitches(before, after) is None
    worked = [
        [(row.stated, row.worked, row.verdict) for row in tally(p).rows] for p in (before, after)
    ]
    assert worked[0] == worked[1]
    back = second_edition(Source(path.name, made.text), side, to)
    assert isinstance(back, Edition), back
    usual = read(Source("", translated(before, side, side).text), side)
    assert same_model(usual, read(Source("", without_new_entries(back.text, usual)), side)) is None


def without_new_entries(text: str, before: Pattern) -> str:
    """The text of a pattern that came back, without the entries that its list gained."""
    known = {each.abbreviation for each in before.definitions}
    pattern = read(Source("", text), before.terms)
    for each in reversed(pattern.definitions):
        if each.abbreviation not in known:
            start = text.rfind("\n", 0, each.span.start) + 1
            end = text.find("\n", each.span.end) + 1
            text = text[:start] + text[end:]
    return text


@pytest.mark.parametrize("path", SHIPPED, ids=lambda path: path.name)
def test_shipped_patterns_come_back_byte_for_byte_but_for_gained_labels(path: Path) -> None:
    source = source_of(path)
    side, to, made = there(source)
    assert isinstance(made, Edition)
    back = second_edition(Source("", made.text), side, to)
    assert isinstance(back, Edition)
    text = source.text
    for rarer, usual in OTHER_WORDS.get(path.name, {}).items():
        assert rarer in text
        text = text.replace(rarer, usual)
    assert GAINED.sub("", back.text) == GAINED.sub("", text)
    once_more = second_edition(Source("", back.text), to, side)
    assert isinstance(once_more, Edition)
    again = second_edition(Source("", once_more.text), side, to)
    assert isinstance(again, Edition)
    assert again.text == back.text


@pytest.mark.parametrize("path", HANDMADE, ids=lambda path: path.name)
def test_editions_made_by_hand_are_those_of_the_command(path: Path) -> None:
    stem, to, suffix = path.name.split(".")
    name = f"{stem}.{suffix}"
    [pattern] = (path for path in (*SHIPPED, *FIXTURES.glob("labelled/*/*")) if path.name == name)
    made = second_edition(source_of(pattern), to)
    assert isinstance(made, Edition)
    assert made.text == path.read_text("utf-8")


def test_a_toy_a_lace_and_a_sized_garment_were_translated_by_hand() -> None:
    stems = {path.name.split(".")[0] for path in HANDMADE}
    assert {"cottage-loaf", "vine-row-scarf", "early-shift-waistcoat"} <= stems


@pytest.mark.skipif(not FURTHER, reason="PROOFHOOK_OPEN_PATTERNS names no folder with patterns")
@pytest.mark.parametrize("path", FURTHER, ids=lambda path: path.name)
def test_open_patterns_come_back_or_are_refused_with_a_reason(path: Path) -> None:
    source = source_of(path)
    side, to, made = there(source)
    if isinstance(made, Refusal):
        assert made.why
        return
    assert same_stitches(read(source, side), read(Source("", made.text), to)) is None
    back = second_edition(Source("", made.text), side, to)
    assert isinstance(back, Edition), back


# --- made-up patterns -----------------------------------------------------------------


def in_uk_words(made: Made) -> Made:
    """The same pattern in a UK hand."""
    skip = re.sub(r"^(?:skip|sk)", "miss", made.hand.skip)
    return made._replace(hand=replace(made.hand, terms="uk", skip=skip))


def in_us_words(made: Made) -> Made:
    skip = re.sub(r"^(?:miss|sk)\b", "skip", made.hand.skip)
    return made._replace(hand=replace(made.hand, terms="us", skip=skip))


@OFTEN
@given(patterns())
def test_an_edition_is_what_a_designer_of_the_other_side_would_write(made: Made) -> None:
    """Written by the same hand in US and in UK terms, a pattern differs by its edition only."""
    us = written(*in_us_words(made))
    uk = written(*in_uk_words(made)).replace("skipped chs", "missed chs")
    assert edition_of(us, "us", "uk") == uk
    assert edition_of(uk, "uk", "us") == us


def edition_of(text: str, side: str, to: str) -> str:
    found = second_edition(Source("made.txt", text), to, side)
    assert isinstance(found, Edition), f"{found}\n{text}"
    assert found.left == ()
    return found.text
