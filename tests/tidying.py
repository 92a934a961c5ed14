"""Houses to tidy patterns in, for the tests: every choice there is, alone and together."""

from __future__ import annotations

from collections.abc import Mapping

from proofhook.pattern import Pattern
from proofhook.proofing.house import House, RuleSetting
from proofhook.reading import read
from proofhook.text import Source
from proofhook.tidying.settings import BRACKETS, DASH, MARKS, SETTINGS, WIDTH
from proofhook.tidying.tidy import tidied

#: The choices that the rule house-marks has for layout.
MARK_CHOICES: dict[str, tuple[str, ...]] = {
    "total": (*BRACKETS, DASH),
    "repeat": ("brackets", "stars"),
    "round-label": ("Rnd", "Round"),
    "row-label": ("Row",),
}

#: Every setting with each of its values.
CHOICES: list[tuple[str, str]] = [
    *((name, value) for name, setting in SETTINGS.items() for value in setting.choices),
    *((name, value) for name, values in MARK_CHOICES.items() for value in values),
]


def house_with(choices: Mapping[str, str], width: int = 80) -> House:
    """A house that has made these choices and no other."""
    layout: dict[str, str | int] = {k: v for k, v in choices.items() if k not in MARK_CHOICES}
    marks = {k: v for k, v in choices.items() if k in MARK_CHOICES}
    rules = {MARKS: RuleSetting(options=marks)} if marks else {}
    return House(tidy={**layout, WIDTH: width}, rules=rules)


def read_text(text: str, path: str = "leek.txt") -> Pattern:
    """The pattern of a text."""
    return read(Source(path, text))


def tidy(
    text: str, choices: Mapping[str, str] | None = None, width: int = 80, path: str = "leek.txt"
) -> str:
    """A text as it is laid out in a house with these choices; fails where it is refused."""
    done = tidied(read_text(text, path), house_with(choices or {}, width))
    assert done.reason == ""
    return done.after.source.text
