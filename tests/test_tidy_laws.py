"""The laws of tidying, on every pattern there is and in every house.

What a pattern says stays; tidying it twice is tidying it once.  None of ours is refused.
PROOFHOOK_OPEN_PATTERNS and PROOFHOOK_EXAMPLES may name folders with further patterns.
"""

from __future__ import annotations

import os
import re
import sys
from collections.abc import Mapping, Sequence
from functools import cache
from pathlib import Path
from typing import TypeVar

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from benchmark.library import pattern_text
from choosing import some, tried
from made_hands import make_hand
from made_patterns import make_pattern
from made_words import written
from proofhook.pattern import Pattern, Unread
from proofhook.proofing.house import House
from proofhook.proofing.plugins import load_rules
from proofhook.reading import read
from proofhook.sameness import same_model
from proofhook.text import Source, decode
from proofhook.tidying.page import all_steps
from proofhook.tidying.settings import AS_WRITTEN, SETTINGS
from proofhook.tidying.tidy import Tidied, tidied
from tidying import CHOICES, MARK_CHOICES, house_with, read_text

T = TypeVar("T")
FIXTURES = Path(__file__).parents[1] / "fixtures"
FOLDERS = [os.environ.get(f"PROOFHOOK_{name}", "") for name in ("OPEN_PATTERNS", "EXAMPLES")]
FURTHER = sorted(path for folder in FOLDERS if folder for path in Path(folder).glob("*.txt"))

SHIPPED = sorted([*FIXTURES.glob("patterns/*.txt"), *FIXTURES.glob("labelled/*/*.txt")])
OWN = some(SHIPPED)
#: How many of the further patterns may be left as they were in one house: they hold
#: handbooks in long paragraphs, which are read otherwise when their lines are broken anew.
MOST_REFUSED = 16


@cache
def pattern_of(path: Path) -> Pattern:
    return read(decode(path.read_bytes(), path.name))


def unread_words(pattern: Pattern) -> list[str]:
    return [
        pattern.source.quote(step.span.moved(row.body.start))
        for row in pattern.rows
        for step in all_steps(row.steps)
        if isinstance(step, Unread)
    ]


def checked(before: Pattern, house: House) -> Tidied:
    """The pattern tidied, after a look at what holds for every outcome."""
    done = tidied(before, house)
    text = done.after.source.text
    if not done.changed:
        assert done.after is before
        return done
    after = read(Source(before.source.path, text))
    assert same_model(before, after) is None
    assert same_model(after, before) is None
    assert unread_words(after) == unread_words(before)
    again = tidied(after, house)
    assert again.reason == ""
    assert again.after.source.text == text
    return done


@pytest.mark.parametrize(("setting", "value"), CHOICES)
def test_each_choice_keeps_every_pattern_of_ours(setting: str, value: str) -> None:
    house = house_with({setting: value})
    done = {path.stem: checked(pattern_of(path), house) for path in OWN}
    refused = {stem: each.reason for stem, each in done.items() if each.reason}
    assert refused == {}
    if value not in ("Row",):
        changed = any(each.changed for each in done.values())
        others = (tidied(pattern_of(path), house) for path in SHIPPED if path.stem not in done)
        assert changed or any(each.changed for each in others), "this choice is not tried at all"


@pytest.mark.parametrize("width", [30, 40, 60, 200])
def test_rows_may_be_wrapped_at_any_width(width: int) -> None:
    house = house_with({"row-lines": "wrapped"}, width)
    done = {path.stem: checked(pattern_of(path), house).reason for path in OWN}
    assert {stem: reason for stem, reason in done.items() if reason} == {}


@pytest.mark.skipif(not FURTHER, reason="the environment names no folder with further patterns")
@pytest.mark.parametrize(("setting", "value"), CHOICES)
def test_each_choice_keeps_every_further_pattern(setting: str, value: str) -> None:
    house = house_with({setting: value})
    refused = {path.stem for path in FURTHER if checked(pattern_of(path), house).reason}
    assert len(refused) <= MOST_REFUSED


def together(last: int) -> dict[str, str]:
    """A house that has chosen something for everything: the first values, or the last."""
    choices = {name: setting.choices[last] for name, setting in SETTINGS.items()}
    return choices | {name: values[last] for name, values in MARK_CHOICES.items()}


@pytest.mark.parametrize("last", [0, -1])
def test_all_choices_together_keep_every_pattern(last: int) -> None:
    house = house_with(together(last))
    done = {path.stem: checked(pattern_of(path), house).reason for path in OWN}
    assert {stem: why for stem, why in done.items() if why} == {}


@pytest.mark.parametrize("path", OWN, ids=lambda path: path.stem)
def test_the_usual_choices_bring_no_finding(path: Path) -> None:
    done = tidied(pattern_of(path), House(), load_rules())
    assert done.reason == ""


# --- patterns made up at random ---------------------------------------------------------

HOUSES = st.fixed_dictionaries(
    {name: st.sampled_from((AS_WRITTEN, *setting.choices)) for name, setting in SETTINGS.items()},
    optional={name: st.sampled_from(values) for name, values in MARK_CHOICES.items()},
)
OFTEN = tried(150)


@st.composite
def made(draw: st.DrawFn) -> str:
    """A pattern in the hand of some designer."""

    def choose(options: Sequence[T], /) -> T:
        return draw(st.sampled_from(options))

    return written(make_pattern(choose), make_hand(choose))


@OFTEN
@given(made(), HOUSES, st.integers(30, 120))
def test_any_pattern_in_any_house(text: str, choices: Mapping[str, str], width: int) -> None:
    checked(read_text(text), house_with(choices, width))


@OFTEN
@given(st.integers(1, 10_000), HOUSES)
def test_any_pattern_of_the_library_in_any_house(number: int, choices: Mapping[str, str]) -> None:
    checked(read_text(pattern_text(number)), house_with(choices))


@OFTEN
@given(made(), st.data())
def test_blanks_between_words_make_no_difference(text: str, data: st.DataObject) -> None:
    """The same pattern with more blanks, at ends and between words, is laid out the same."""
    rows = {text.count("\n", 0, row.span.start) for row in read_text(text).rows}
    lines = []
    for number, line in enumerate(text.split("\n")):
        gap = " " * data.draw(st.integers(1, 3)) if number in rows else " "
        label, mark, body = line.partition(": ")
        more = label + mark + re.sub(r"(?<=\w) (?=\w)", gap, body) if mark else line
        lines.append(more + " " * data.draw(st.integers(0, 2)))
    patterns = [read_text(each) for each in (text, "\n".join(lines))]
    assume(unread_words(patterns[0]) == unread_words(patterns[1]))
    outcomes = [tidied(pattern, House()) for pattern in patterns]
    assert [each.reason for each in outcomes] == ["", ""]
    assert outcomes[0].after.source.text == outcomes[1].after.source.text


@OFTEN
@given(
    st.text(
        alphabet=st.sampled_from(list("Rnd1 2:.,;()[]{}*–-×x\n\t ascinch“'½#=\\")), max_size=200
    )
)
def test_any_text_at_all(text: str) -> None:
    """What is no pattern at all is laid out too, or left as it was; it never fails."""
    for choices in (together(0), together(-1)):
        checked(read_text(text), house_with(choices))


def test_the_folder_of_tests_is_on_the_path() -> None:
    assert str(Path(__file__).parent) in map(os.path.abspath, sys.path)
