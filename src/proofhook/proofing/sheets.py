"""Reading style sheets: what may stand in one, and the ones it builds on."""

from __future__ import annotations

import os
import re
from collections.abc import Callable, Iterator, Mapping
from typing import TYPE_CHECKING, Any

from proofhook import expressions as rx
from proofhook.files import repository_of
from proofhook.proofing.finding import GRADES
from proofhook.proofing.house import (
    KINDS,
    OFF,
    House,
    HouseError,
    LeftOut,
    RuleSetting,
    Wording,
    is_among,
    listed,
    nearest,
)
from proofhook.records import NamedTuple

if TYPE_CHECKING:
    from typing import TypeAlias


#: How the name of a style sheet that others build on ends.
ENDING = ".toml"


def read_house(path: str) -> House:
    """The house that the style sheet at ``path`` describes, with all it builds on.

    Raises HouseError.
    """
    house = House()
    for sheet in _chain(path):
        house = _under(house, sheet)
    return house


def house_of(text: str, path: str = "housestyle.toml") -> House:
    """The house that the text of a style sheet describes; it may not build on another.

    Raises HouseError, and tomli.TOMLDecodeError where the text is not TOML.
    """
    import tomli

    return _under(House(), Sheet(path, text, tomli.loads(text)))


class Sheet(NamedTuple):
    """One style sheet as it stands: where it is, its text and its table."""

    path: str
    text: str
    table: dict[str, Any]
    line: int | None = None

    def place(self, *keys: str) -> str:
        """File and line where a key stands, or its table; the file alone where neither is found.

        A part of a sheet (``line``) stands where it begins.
        """
        nearest_first = (keys[:length] for length in range(len(keys), 0, -1))
        lines = (_line_of(self.text, each) for each in nearest_first)
        line = self.line or next((line for line in lines if line), None)
        return f"{self.path}:{line}" if line else self.path


def _chain(path: str) -> list[Sheet]:
    """The sheet at ``path`` and the ones it builds on, the foundation first.

    Sheets in a git repository build on sheets of the same repository: what governs the
    patterns in it, and names the rule files that are run, is part of it.
    """
    chain: list[Sheet] = []
    seen: dict[str, str] = {}
    bounds = repository_of(os.path.dirname(path) or os.curdir)
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
        _check_base(sheet, path, bounds)


def _check_base(sheet: Sheet, path: str, bounds: str | None) -> None:
    """Raise HouseError unless ``path`` is a sheet that ``sheet`` may build on.

    ``bounds`` is the folder that holds the repository, None where there is none.
    """
    place = sheet.place("extends")
    if not path.endswith(ENDING):
        raise HouseError(f"{place}: {path} is no style sheet: the name of one ends in {ENDING}.")
    if os.path.exists(path) and not os.path.isfile(path):
        raise HouseError(f"{place}: {path} is no file, and so no style sheet.")
    real = os.path.realpath(path)
    if bounds is not None and os.path.commonpath((bounds, real)) != bounds:
        raise HouseError(
            f"{place}: {path} lies outside of the git repository, and a sheet builds on sheets of "
            "its own repository alone; put a copy of it there."
        )


def _read_sheet(path: str, asked_by: Sheet | None) -> Sheet:
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
        return Sheet(path, text, tomli.loads(text))
    except tomli.TOMLDecodeError as error:
        raise HouseError(
            f"{path}:{error.lineno}:{error.colno}: not TOML: {error.msg}; settings are written as "
            'failing = "error", with texts in quotes.'
        ) from None
    except RecursionError:
        raise HouseError(f"{path}: nested too deeply to be a style sheet.") from None


def _under(house: House, sheet: Sheet) -> House:
    """What is left of ``house`` once ``sheet`` has had its say."""
    house = house._replace(sheets=(*house.sheets, sheet.path))
    return _with_keys(house, sheet, KEYS)


def _with_keys(house: House, sheet: Sheet, keys: Mapping[str, Reader]) -> House:
    for key, value in sheet.table.items():
        if key not in keys:
            raise HouseError(f"{sheet.place(key)}: there is no setting {key!r}{nearest(key, keys)}")
        house = keys[key](house, sheet, value)
        if key not in ("rules", "tidy"):
            house = house._replace(places={**house.places, key: sheet.place(key)})
    return house


def _extends(house: House, _sheet: Sheet, _value: Any) -> House:
    return house  # _chain has followed it already


def _failing(house: House, sheet: Sheet, value: Any) -> House:
    if not isinstance(value, str) or value not in GRADES:
        raise HouseError(
            f"{sheet.place('failing')}: 'failing' is one of {listed(GRADES)}, "
            f"not {value!r}{nearest(value, GRADES)}"
        )
    return house._replace(failing=GRADES[value])


def _plugins(house: House, sheet: Sheet, value: Any) -> House:
    if not isinstance(value, list):
        raise HouseError(f"{sheet.place('plugins')}: 'plugins' is a list of module names.")
    for name in value:
        if not isinstance(name, str) or not _is_module_name(name):
            raise HouseError(f"{sheet.place('plugins')}: {name!r} is not the name of a module.")
    return house._replace(plugins=tuple(dict.fromkeys((*house.plugins, *value))))


def _rule_folders(house: House, sheet: Sheet, value: Any) -> House:
    """The rule files of folders named in the sheet, relative to it, in the order of their names."""
    files: list[str] = []
    for name in _texts(sheet, "rule-folders", value):
        folder = os.path.join(os.path.dirname(os.path.abspath(sheet.path)), name)
        try:
            names = sorted(os.listdir(folder))
        except OSError as error:
            raise HouseError(
                f"{sheet.place('rule-folders')}: the folder {name!r} cannot be listed "
                f"({error.strerror or error})."
            ) from None
        files += [
            os.path.normpath(os.path.join(folder, each))
            for each in names
            if each.endswith(".py") and not each.startswith(("_", "."))
        ]
    return house._replace(plugins=tuple(dict.fromkeys((*house.plugins, *files))))


def _is_module_name(name: str) -> bool:
    return all(part.isidentifier() for part in name.split("."))


def _rules(house: House, sheet: Sheet, value: Any) -> House:
    if not isinstance(value, dict):
        raise HouseError(f"{sheet.place('rules')}: 'rules' is a table, [rules].")
    rules, places = dict(house.rules), dict(house.places)
    for name, wish in value.items():
        rules[name] = _setting(rules.get(name, RuleSetting()), sheet, name, wish)
        for key in wish if isinstance(wish, dict) else ("grade",):
            places[f"rules.{name}.{key}"] = (
                sheet.place("rules", name, key)
                if isinstance(wish, dict)
                else sheet.place("rules", name)
            )
    return house._replace(rules=rules, places=places)


def _setting(before: RuleSetting, sheet: Sheet, name: str, wish: Any) -> RuleSetting:
    """One rule's entry: the name of a grade, or a table of the grade and the options."""
    options = dict(wish) if isinstance(wish, dict) else {"grade": wish}
    grade = options.pop("grade", None)
    place = sheet.place("rules", name)
    words = [*GRADES, OFF]
    if grade is not None and (not isinstance(grade, str) or grade not in words):
        raise HouseError(
            f"{place}: the grade of {name} is one of {listed(words)}, "
            f"not {grade!r}{nearest(grade, words)}"
        )
    values = {k: tuple(v) if isinstance(v, list) else v for k, v in options.items()}
    return RuleSetting(
        grade=GRADES.get(grade, before.grade) if grade else before.grade,
        off=grade == OFF if grade else before.off,
        options={**before.options, **values},
        place=place,
    )


def _sections(house: House, sheet: Sheet, value: Any) -> House:
    return house._replace(sections=_texts(sheet, "sections", value))


def _leave_out(house: House, sheet: Sheet, value: Any) -> House:
    names = _texts(sheet, "leave-out", value)
    left_out = LeftOut(os.path.dirname(sheet.path), names)
    return house._replace(left_out=(*house.left_out, left_out))


def _stets(house: House, sheet: Sheet, value: Any) -> House:
    from proofhook.proofing.stet import stets_of

    return house._replace(stets=(*house.stets, *stets_of(value, sheet.place("stet"))))


def _texts(sheet: Sheet, key: str, value: Any) -> tuple[str, ...]:
    """A list of texts, none of them empty."""
    if not isinstance(value, list) or not all(isinstance(v, str) and v.strip() for v in value):
        raise HouseError(f"{sheet.place(key)}: {key!r} takes a list of texts in quotes.")
    return tuple(value)


def _tables(sheet: Sheet, key: str, value: Any) -> Iterator[tuple[dict[str, Any], Sheet]]:
    """The tables [[key]] of a sheet, each with the sheet as seen from its line."""
    if not isinstance(value, list) or not all(isinstance(each, dict) for each in value):
        raise HouseError(f"{sheet.place(key)}: {key!r} is written as tables, [[{key}]].")
    header = re.compile(rf"(?m)^[ \t]*\[\[[ \t]*{re.escape(key)}[ \t]*\]\]")
    lines = [sheet.text.count("\n", 0, m.start()) + 1 for m in header.finditer(sheet.text)]
    lines = lines if len(lines) == len(value) else [0] * len(value)
    for each, line in zip(value, lines, strict=True):
        yield each, sheet._replace(table=each, line=sheet.line or line or None)


PAIR = {"write": str, "not": list, "except": list, "because": str, "sure": bool}


def _wording(house: House, sheet: Sheet, value: Any) -> House:
    pairs = [_pair(table, at) for table, at in _tables(sheet, "wording", value)]
    return house._replace(wording=(*house.wording, *pairs))


def _pair(table: dict[str, Any], sheet: Sheet) -> Wording:
    """One pair of words; "not" and "except" may be one text instead of a list."""
    place = sheet.place("wording")
    for key in table:
        if key not in PAIR:
            raise HouseError(f"{place}: a pair of words has no {key!r}{nearest(key, PAIR)}")
    given: dict[str, Any] = {
        k: [v] if PAIR[k] is list and isinstance(v, str) else v for k, v in table.items()
    }
    for key in ("write", "not"):
        if not given.get(key):
            raise HouseError(f"{place}: a pair of words needs {key!r}.")
    for key, kind in PAIR.items():
        if kind is list:
            _texts(sheet, key, given.get(key, []))
        elif key in given and type(given[key]) is not kind:
            raise HouseError(f"{place}: {key!r} takes {KINDS[kind]}.")
    return Wording(
        given["write"],
        tuple(given["not"]),
        tuple(given.get("except", ())),
        given.get("because", ""),
        given.get("sure", False),
        place,
    )


class Part(NamedTuple):
    """What a sheet says for some folders: the names of these, and the settings."""

    names: tuple[str, ...]
    sheet: Sheet

    def covers(self, path: str) -> bool:
        """Whether the file at ``path`` lies in one of the folders."""
        return is_among(path, os.path.dirname(self.sheet.path), self.names)

    def over(self, house: House) -> House:
        """What is left of the house once this part has had its say."""
        return _with_keys(house, self.sheet, IN_FOLDERS)


def _folders(house: House, sheet: Sheet, value: Any) -> House:
    parts = []
    for table, at in _tables(sheet, "folders", value):
        settings = dict(table)
        if "in" not in settings:
            raise HouseError(f'{at.place("folders")}: say which folders it is for, in = ["toys"].')
        names = _texts(at, "in", settings.pop("in"))
        part = Part(names, at._replace(table=settings))
        part.over(House())  # so that a mistake is told whether or not a file is there
        parts.append(part)
    return house._replace(folders=(*house.folders, *parts))


def _tidy(house: House, sheet: Sheet, value: Any) -> House:
    """The choices of layout, each checked against those there are."""
    from proofhook.tidying.settings import SETTINGS, WIDTH, fault_of

    if not isinstance(value, dict):
        raise HouseError(f"{sheet.place('tidy')}: 'tidy' is a table, [tidy].")
    choices, places = dict(house.tidy), dict(house.places)
    names = (*SETTINGS, WIDTH)
    for name, wish in value.items():
        place = sheet.place("tidy", name)
        if name not in names:
            raise HouseError(f"{place}: tidy has no setting {name!r}{nearest(name, names)}")
        fault = fault_of(name, wish)
        if fault:
            raise HouseError(f"{place}: {fault}")
        choices[name], places[f"tidy.{name}"] = wish, place
    return house._replace(tidy=choices, places=places)


Reader: TypeAlias = "Callable[[House, Sheet, Any], House]"

#: What a style sheet may say for some folders, and what becomes of it.
IN_FOLDERS: dict[str, Reader] = {
    "failing": _failing,
    "rules": _rules,
    "sections": _sections,
    "tidy": _tidy,
    "wording": _wording,
}

#: What a style sheet may say at all.
KEYS: dict[str, Reader] = {
    **IN_FOLDERS,
    "extends": _extends,
    "folders": _folders,
    "leave-out": _leave_out,
    "plugins": _plugins,
    "rule-folders": _rule_folders,
    "stet": _stets,
}


def _line_of(text: str, keys: tuple[str, ...]) -> int | None:
    """The line on which the last of ``keys`` is set; None where it is written unusually."""
    *tables, key = keys
    here: list[str] = []
    for number, line in enumerate(text.splitlines(), 1):
        header = rx.match(r"\s*\[\s*([^\[\]]+?)\s*\]", line)
        if header:
            here = [part.strip(" \"'") for part in header[1].split(".")]
            if here == list(keys):
                return number
            continue
        name = rx.match(r"""\s*["']?([\w.-]+)["']?\s*(=|\.)""", line)
        if name and (
            (here == tables and name[1] == key) or [*here, *name[1].split(".")] == list(keys)
        ):
            return number
    return None
