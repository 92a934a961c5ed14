"""The house style sheet: what a house checks, how strictly, and with which plug-ins.

``housestyle.toml`` is looked for beside the pattern and in every folder above it; the
nearest one holds.  It may build on another with ``extends``, named relative to itself.
"""

from __future__ import annotations

import os
from collections.abc import Iterable, Mapping
from typing import TYPE_CHECKING, Protocol

from proofhook.files import SHEET, find_upward
from proofhook.proofing.finding import Grade
from proofhook.records import NamedTuple

if TYPE_CHECKING:
    from proofhook.proofing.rule import Option, Rule, Value
    from proofhook.proofing.stet import Stet

OFF = "off"


class HouseError(Exception):
    """A style sheet that cannot be used; the message is one sentence with the place."""


class RuleSetting(NamedTuple):
    """What a house says about one rule.

    ``grade`` is None where the house leaves it as it is.  ``place`` is the file and
    line that say so, for messages.
    """

    grade: Grade | None = None
    off: bool = False
    options: Mapping[str, Value] = {}
    place: str = ""


class Wording(NamedTuple):
    """A pair of the house: ``write`` this, not any of ``instead_of``.

    ``unless`` are phrases in which the other words may stay.  ``sure`` says that the
    words mean the same in every pattern, so that they may be put right without asking.
    """

    write: str
    instead_of: tuple[str, ...]
    unless: tuple[str, ...] = ()
    because: str = ""
    sure: bool = False
    place: str = ""


class FolderPart(Protocol):
    """The part of a style sheet that holds for some folders only."""

    def covers(self, path: str) -> bool:
        """Whether the file at ``path`` lies in one of the folders."""

    def over(self, house: House) -> House:
        """What is left of the house once this part has had its say."""


class LeftOut(NamedTuple):
    """Files that are not proofed: ``names`` as written, relative to ``folder``."""

    folder: str
    names: tuple[str, ...]


class House(NamedTuple):
    """The wishes of a house, as far as they differ from none at all.

    A run fails where a finding has the grade ``failing`` or a graver one.  ``sheets``
    are the style sheets that were read, the one that builds on the others last;
    ``places`` tells for each setting in force ("failing", "rules.row-order.grade") where
    it was made; ``stets`` are the findings that stand in the pattern at hand.  ``tidy`` are
    the choices of layout, as :mod:`proofhook.tidying.settings` lists them.
    """

    failing: Grade = Grade.ERROR
    rules: Mapping[str, RuleSetting] = {}
    plugins: tuple[str, ...] = ()
    sheets: tuple[str, ...] = ()
    wording: tuple[Wording, ...] = ()
    sections: tuple[str, ...] = ()
    left_out: tuple[LeftOut, ...] = ()
    folders: tuple[FolderPart, ...] = ()
    places: Mapping[str, str] = {}
    stets: tuple[Stet, ...] = ()
    tidy: Mapping[str, str | int] = {}

    def in_folder_of(self, path: str) -> House:
        """The house as it is for the file at ``path``."""
        house = self
        for part in self.folders:
            if part.covers(path):
                house = part.over(house)
        return house

    def leaves_out(self, path: str) -> bool:
        """Whether the file at ``path`` is not to be proofed."""
        return any(is_among(path, *left_out) for left_out in self.left_out)

    def grade_of(self, rule: Rule) -> Grade | None:
        """The grade a rule has in this house, None where it is off."""
        setting = self.rules.get(rule.name)
        if setting is None:
            return rule.grade
        return None if setting.off else setting.grade or rule.grade

    def options_of(self, rule: Rule) -> dict[str, Value]:
        """Every option of a rule with the value it has in this house."""
        setting = self.rules.get(rule.name)
        return {**rule.defaults(), **(setting.options if setting else {})}

    def fails(self, grade: Grade) -> bool:
        """Whether a finding of this grade fails the run."""
        return grade >= self.failing


def find_sheet(folder: str) -> str | None:
    """The path of the nearest style sheet in ``folder`` or above it, None without one."""
    return find_upward(folder, SHEET)


def is_among(path: str, folder: str, names: Iterable[str]) -> bool:
    """Whether a file is meant by one of the names, which are relative to ``folder``.

    A name is that of a file or of a folder with all in it; ``*`` stands for anything.  A
    name without a stroke is looked for in every folder.
    """
    from fnmatch import fnmatchcase

    inside = os.path.relpath(os.path.abspath(path), os.path.abspath(folder)).replace(os.sep, "/")
    if inside.startswith("../"):
        return False
    parts = inside.split("/")
    starts = ["/".join(parts[: count + 1]) for count in range(len(parts))]
    return any(
        fnmatchcase(each, name.strip("/").removesuffix("/**"))
        for name in names
        for each in (starts if "/" in name.rstrip("/") else (*starts, *parts))
    )


def read_house(path: str) -> House:
    """The house that the style sheet at ``path`` describes, with all it builds on.

    Raises HouseError.  Names of rules and options are checked by
    :func:`check_house`, once the plug-ins are there.
    """
    from proofhook.proofing import sheets

    return sheets.read_house(path)


def check_house(house: House, rules: Iterable[Rule], *, all_there: bool = True) -> None:
    """Raise HouseError for a rule or an option that does not exist, or a value it cannot take.

    Where a plug-in could not bring all its rules (``all_there`` is false), a rule that is
    not there may be one of those, and is passed over.
    """
    known = {rule.name: rule for rule in rules}
    for each in (house, *(part.over(house) for part in house.folders)):
        _check_rules(each, known, all_there)


def _check_rules(house: House, known: Mapping[str, Rule], all_there: bool) -> None:
    for name, setting in house.rules.items():
        if name not in known and not all_there:
            continue
        if name not in known:
            raise HouseError(f"{setting.place}: there is no rule {name!r}{nearest(name, known)}")
        options = {option.name: option for option in known[name].options}
        for given, value in setting.options.items():
            place = house.places.get(f"rules.{name}.{given}", setting.place)
            if given not in options:
                raise HouseError(
                    f"{place}: the rule {name} has no option {given!r}{nearest(given, options)}"
                )
            _check_value(f"{place}: {given} of {name}", options[given], value)


def _check_value(what: str, option: Option, value: Value) -> None:
    """Raise HouseError unless ``value`` is of the option's kind and among its choices."""
    kind = type(option.default)
    fits = type(value) is kind or (kind is float and type(value) is int)
    if fits and isinstance(value, tuple):
        fits = all(isinstance(item, str) for item in value)
    if not fits:
        given = list(value) if isinstance(value, tuple) else value
        raise HouseError(f"{what} takes {KINDS[kind]}, not {given!r}.")
    if option.choices and value not in option.choices:
        choices = [each or '""' for each in option.choices]
        raise HouseError(
            f"{what} is one of {listed(choices)}, not {value!r}{nearest(value, option.choices)}"
        )


KINDS: dict[type, str] = {
    bool: "true or false",
    int: "a whole number",
    float: "a number",
    str: "a text in quotes",
    tuple: "a list of texts in quotes",
}


def listed(words: Iterable[str]) -> str:
    """The words in a sentence: "a, b or c"."""
    *most, last = words
    return f"{', '.join(most)} or {last}" if most else last


def nearest(word: object, words: Iterable[str]) -> str:
    """The end of a sentence about a name that does not exist: the nearest one that does."""
    from difflib import get_close_matches

    near = get_close_matches(str(word), list(words), n=1, cutoff=0.6)
    return f"; did you mean {near[0]!r}?" if near else "."
