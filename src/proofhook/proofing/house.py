"""The house style sheet: what a house checks, how strictly, and with which plug-ins.

``housestyle.toml`` is looked for beside the pattern and in every folder above it; the
nearest one holds.  It may build on another with ``extends``, named relative to itself.
"""

from __future__ import annotations

import os
import re
from collections.abc import Callable, Iterable, Mapping
from typing import TYPE_CHECKING, Any, NamedTuple

from proofhook.proofing.finding import GRADES, Grade

if TYPE_CHECKING:
    from proofhook.proofing.rule import Option, Rule, Value

SHEET = "housestyle.toml"
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


class House(NamedTuple):
    """The wishes of a house, as far as they differ from none at all.

    A run fails where a finding has the grade ``failing`` or a graver one.  ``sheets``
    are the style sheets that were read, the one that builds on the others last.
    """

    failing: Grade = Grade.ERROR
    rules: Mapping[str, RuleSetting] = {}
    plugins: tuple[str, ...] = ()
    sheets: tuple[str, ...] = ()

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
    folder = os.path.abspath(folder)
    while True:
        sheet = os.path.join(folder, SHEET)
        if os.path.isfile(sheet):
            return sheet
        above = os.path.dirname(folder)
        if above == folder:
            return None
        folder = above


def read_house(path: str) -> House:
    """The house that the style sheet at ``path`` describes, with all it builds on.

    Raises HouseError.  Names of rules and options are checked by
    :func:`check_house`, once the plug-ins are there.
    """
    house = House()
    for sheet in _chain(path):
        house = _under(house, sheet)
    return house


def check_house(house: House, rules: Iterable[Rule]) -> None:
    """Raise HouseError for a rule or an option that does not exist, or a value it cannot take."""
    known = {rule.name: rule for rule in rules}
    for name, setting in house.rules.items():
        if name not in known:
            raise HouseError(f"{setting.place}: there is no rule {name!r}{_nearest(name, known)}")
        options = {option.name: option for option in known[name].options}
        for given, value in setting.options.items():
            if given not in options:
                raise HouseError(
                    f"{setting.place}: the rule {name} has no option {given!r}"
                    f"{_nearest(given, options)}"
                )
            _check_value(f"{setting.place}: {given} of {name}", options[given], value)


class _Sheet(NamedTuple):
    """One style sheet as it stands: where it is, its text and its table."""

    path: str
    text: str
    table: dict[str, Any]

    def place(self, *keys: str) -> str:
        """File and line where a key stands, the file alone where it cannot be found."""
        line = _line_of(self.text, keys)
        return f"{self.path}:{line}" if line else self.path


def _chain(path: str) -> list[_Sheet]:
    """The sheet at ``path`` and the ones it builds on, the foundation first."""
    chain: list[_Sheet] = []
    seen: dict[str, str] = {}
    while True:
        sheet = _read_sheet(path, chain[-1] if chain else None)
        real = os.path.realpath(path)
        if real in seen:
            raise HouseError(
                f"{chain[-1].place('extends')}: the style sheets build on each other in a "
                f"circle ({' > '.join([*(s.path for s in chain), path])}); take out one 'extends'."
            )
        seen[real] = path
        chain.append(sheet)
        base = sheet.table.get("extends")
        if base is None:
            return chain[::-1]
        if not isinstance(base, str) or not base:
            raise HouseError(f"{sheet.place('extends')}: 'extends' takes the path of a sheet.")
        path = os.path.normpath(os.path.join(os.path.dirname(path), base))


def _read_sheet(path: str, asked_by: _Sheet | None) -> _Sheet:
    import tomli

    place = asked_by.place("extends") if asked_by else path
    try:
        with open(path, "rb") as file:
            text = file.read().decode("utf-8-sig")
    except OSError as error:
        reason = error.strerror or str(error)
        raise HouseError(f"{place}: the style sheet {path} cannot be read ({reason}).") from None
    except UnicodeDecodeError:
        raise HouseError(f"{path}: not UTF-8; save the style sheet as UTF-8 text.") from None
    try:
        return _Sheet(path, text, tomli.loads(text))
    except tomli.TOMLDecodeError as error:
        raise HouseError(f"{path}:{error.lineno}:{error.colno}: not TOML: {error.msg}.") from None
    except RecursionError:
        raise HouseError(f"{path}: nested too deeply to be a style sheet.") from None


def _under(house: House, sheet: _Sheet) -> House:
    """What is left of ``house`` once ``sheet`` has had its say."""
    house = house._replace(sheets=(*house.sheets, sheet.path))
    for key, value in sheet.table.items():
        if key not in KEYS:
            raise HouseError(
                f"{sheet.place(key)}: there is no setting {key!r}{_nearest(key, KEYS)}"
            )
        house = KEYS[key](house, sheet, value)
    return house


def _extends(house: House, _sheet: _Sheet, _value: Any) -> House:
    return house  # _chain has followed it already


def _failing(house: House, sheet: _Sheet, value: Any) -> House:
    if not isinstance(value, str) or value not in GRADES:
        raise HouseError(
            f"{sheet.place('failing')}: 'failing' is one of {_listed(GRADES)}, "
            f"not {value!r}{_nearest(value, GRADES)}"
        )
    return house._replace(failing=GRADES[value])


def _plugins(house: House, sheet: _Sheet, value: Any) -> House:
    if not isinstance(value, list):
        raise HouseError(f"{sheet.place('plugins')}: 'plugins' is a list of module names.")
    for name in value:
        if not isinstance(name, str) or not _is_module_name(name):
            raise HouseError(f"{sheet.place('plugins')}: {name!r} is not the name of a module.")
    return house._replace(plugins=tuple(dict.fromkeys((*house.plugins, *value))))


def _is_module_name(name: str) -> bool:
    return all(part.isidentifier() for part in name.split("."))


def _rules(house: House, sheet: _Sheet, value: Any) -> House:
    if not isinstance(value, dict):
        raise HouseError(f"{sheet.place('rules')}: 'rules' is a table, [rules].")
    rules = dict(house.rules)
    for name, wish in value.items():
        rules[name] = _setting(rules.get(name, RuleSetting()), sheet, name, wish)
    return house._replace(rules=rules)


def _setting(before: RuleSetting, sheet: _Sheet, name: str, wish: Any) -> RuleSetting:
    """One rule's entry: the name of a grade, or a table of the grade and the options."""
    options = dict(wish) if isinstance(wish, dict) else {"grade": wish}
    grade = options.pop("grade", None)
    place = sheet.place("rules", name)
    words = [*GRADES, OFF]
    if grade is not None and (not isinstance(grade, str) or grade not in words):
        raise HouseError(
            f"{place}: the grade of {name} is one of {_listed(words)}, "
            f"not {grade!r}{_nearest(grade, words)}"
        )
    values = {k: tuple(v) if isinstance(v, list) else v for k, v in options.items()}
    return RuleSetting(
        grade=GRADES.get(grade, before.grade) if grade else before.grade,
        off=grade == OFF if grade else before.off,
        options={**before.options, **values},
        place=place,
    )


#: What a style sheet may say, and what becomes of it.
KEYS: dict[str, Callable[[House, _Sheet, Any], House]] = {
    "extends": _extends,
    "failing": _failing,
    "plugins": _plugins,
    "rules": _rules,
}


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
        raise HouseError(
            f"{what} is one of {_listed(option.choices)}, "
            f"not {value!r}{_nearest(value, option.choices)}"
        )


KINDS: dict[type, str] = {
    bool: "true or false",
    int: "a whole number",
    float: "a number",
    str: "a text in quotes",
    tuple: "a list of texts in quotes",
}


def _listed(words: Iterable[str]) -> str:
    *most, last = words
    return f"{', '.join(most)} or {last}" if most else last


def _nearest(word: object, words: Iterable[str]) -> str:
    """The end of a sentence about a name that does not exist: the nearest one that does."""
    from difflib import get_close_matches

    near = get_close_matches(str(word), list(words), n=1, cutoff=0.6)
    return f"; did you mean {near[0]!r}?" if near else "."


def _line_of(text: str, keys: tuple[str, ...]) -> int | None:
    """The line on which the last of ``keys`` is set; None where it is written unusually."""
    *tables, key = keys
    here: list[str] = []
    for number, line in enumerate(text.splitlines(), 1):
        header = re.match(r"\s*\[\s*([^\[\]]+?)\s*\]", line)
        if header:
            here = [part.strip(" \"'") for part in header[1].split(".")]
            if here == list(keys):
                return number
            continue
        name = re.match(r"""\s*["']?([\w.-]+)["']?\s*(=|\.)""", line)
        if name and (
            (here == tables and name[1] == key) or [*here, *name[1].split(".")] == list(keys)
        ):
            return number
    return None
