"""What a house may choose for the layout of its patterns: the settings of ``[tidy]``.

Tidying lays patterns out so, and the rule ``house-print`` marks what departs from it.  How
totals are set off, how repeats are marked and with which words rows are labelled is chosen
for the rule ``house-marks``; tidying takes these choices from there.  No choice stands in two
places.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

from proofhook.records import NamedTuple

if TYPE_CHECKING:
    from proofhook.proofing.house import House

AS_WRITTEN = "as-written"

#: The rule whose options are choices of layout too, and these options.
MARKS = "house-marks"
OF_MARKS = ("total", "repeat", "round-label", "row-label")
#: The choices for totals: brackets of a shape, or a dash before the figure.
BRACKETS = {"round": "()", "square": "[]", "curly": "{}"}
DASH = "dash"
DASHES = {"hyphen": "-", "en-dash": "\u2013", "em-dash": "\u2014"}


class Setting(NamedTuple):
    """A choice: its values besides "as-written", the usual one, and what it is about."""

    choices: tuple[str, ...]
    usual: str
    meaning: str


SETTINGS: dict[str, Setting] = {
    "line-ends": Setting(("trimmed",), "trimmed", "blanks at the ends of lines"),
    "last-line": Setting(("ended",), "ended", "one newline at the end of the file"),
    "blank-lines": Setting(("one", "two"), "two", "the most blank lines that follow one another"),
    "blanks": Setting(("single",), "single", "blanks in rows: between words, before marks"),
    "commas": Setting(("spaced",), "spaced", "a blank after each comma and semicolon in rows"),
    "range": Setting(
        ("hyphen", "en-dash", "to"), AS_WRITTEN, "labels: Rnds 4-6, Rnds 4–6, Rnds 4 to 6"
    ),
    "label-end": Setting(("colon", "full-stop"), AS_WRITTEN, "labels: Rnd 4: or Rnd 4."),
    "after-label": Setting(("capital", "small"), AS_WRITTEN, "the first letter after a label"),
    "row-end": Setting(
        ("full-stop", "none", "after-words"),
        AS_WRITTEN,
        "the end of a row: a full stop, none, or one after a word in full only",
    ),
    "total-place": Setting(("before-turn", "after-turn"), AS_WRITTEN, "totals beside “turn”"),
    "chains": Setting(("ch 3", "3ch"), AS_WRITTEN, "how chains are counted"),
    "chain-space": Setting(
        ("ch-2 sp", "ch 2 sp", "ch-2-sp"), AS_WRITTEN, "how chain spaces are written"
    ),
    "repeat-counts": Setting(("figures", "words"), AS_WRITTEN, "6 times, or six times"),
    "times": Setting(("x", "×"), AS_WRITTEN, "the sign of multiplication"),
    "counts": Setting(("before", "after"), AS_WRITTEN, "6 sc, or sc 6"),
    "units": Setting(("spaced", "joined"), AS_WRITTEN, "measures in lists: 5.5 mm, or 5.5mm"),
    "inches": Setting(
        ("in", "in.", '"', "inches"), AS_WRITTEN, "sizes, gauge and lists: how inches are written"
    ),
    "fractions": Setting(("signs", "figures"), AS_WRITTEN, "measures in lists: 3½, or 3 1/2"),
    "quotes": Setting(("straight", "curly"), AS_WRITTEN, "quotation marks in rows and lists"),
    "dashes": Setting(
        ("hyphen", "en-dash", "em-dash"), AS_WRITTEN, "dashes between blanks, in rows and lists"
    ),
    "headings": Setting(("capitals", "capitalised"), AS_WRITTEN, "the letters of headings"),
    "heading-end": Setting(("plain", "colon"), AS_WRITTEN, "a colon after a heading"),
    "list-marks": Setting(
        ("hyphen", "star", "bullet", "none"), AS_WRITTEN, "the marks before entries of lists"
    ),
    "abbreviations": Setting(
        ("equals", "hyphen", "en-dash", "colon", "columns"),
        AS_WRITTEN,
        "what parts an abbreviation from its meaning",
    ),
    "abbreviation-order": Setting(("alphabetical",), AS_WRITTEN, "the order of abbreviations"),
    "materials": Setting(("colon", "dash"), AS_WRITTEN, "materials: Hook: 4 mm, or Hook - 4 mm"),
    "row-lines": Setting(("joined", "wrapped"), AS_WRITTEN, "rows in one line, or wrapped"),
}

#: The one setting that is a number: how wide wrapped rows may be.
WIDTH, USUAL_WIDTH = "row-width", 80
LEAST_WIDTH, MOST_WIDTH = 30, 1000


def fault_of(name: str, value: object) -> str:
    """What is wrong with a value for a setting, in a sentence; "" where nothing is."""
    if name == WIDTH:
        fits = type(value) is int and LEAST_WIDTH <= value <= MOST_WIDTH
        wanted = f"{name} is a whole number from {LEAST_WIDTH} to {MOST_WIDTH}"
    else:
        choices = (*SETTINGS[name].choices, AS_WRITTEN)
        fits = value in choices
        wanted = f"{name} is one of {', '.join(choices[:-1])} or {AS_WRITTEN}"
    return "" if fits else f"{wanted}, not {value!r}."


class Style(NamedTuple):
    """Every choice of a house for layout; what it leaves open is "as-written"."""

    choices: Mapping[str, str]
    width: int = USUAL_WIDTH

    def wish(self, name: str) -> str:
        """The choice for a setting, "" where it stays as written."""
        chosen = self.choices.get(name, AS_WRITTEN)
        return "" if chosen == AS_WRITTEN else chosen

    @property
    def dash(self) -> str:
        """The dash of the house, a hyphen where it has none."""
        return DASHES.get(self.wish("dashes"), "-")


def style_of(house: House) -> Style:
    """The choices of a house, with the usual ones where it says nothing."""
    choices = {name: setting.usual for name, setting in SETTINGS.items()}
    choices.update({k: v for k, v in house.tidy.items() if isinstance(v, str)})
    width = house.tidy.get(WIDTH, USUAL_WIDTH)
    marks = house.rules.get(MARKS)
    if marks is not None and not marks.off:
        given = {name: marks.options.get(name) for name in OF_MARKS}
        choices.update({k: v for k, v in given.items() if isinstance(v, str) and v})
    return Style(choices, width if isinstance(width, int) else USUAL_WIDTH)
