"""The command that shows a house: every setting in force for a file, and where it came from."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterator
from typing import TYPE_CHECKING

from proofhook.desk import Desk
from proofhook.showing.rule_page import as_toml

if TYPE_CHECKING:
    from proofhook.proofing.house import House
    from proofhook.proofing.rule import Rule

USUAL = "usual"


def show_house(path: str) -> bool:
    """Write the settings in force for the file at ``path``; False where there are none."""
    desk = Desk()
    if not os.path.exists(path):
        desk.tell(f"{path}: there is no such file or folder.")
        return False
    inside = os.path.join(path, "pattern.txt") if os.path.isdir(path) else path
    held = desk.house_of(inside)
    if held is None:
        return False
    house, rules = held
    print("\n".join(house_lines(house, rules, inside)))
    return not desk.trouble


def house_lines(house: House, rules: tuple[Rule, ...], path: str) -> Iterator[str]:
    """Each setting as a style sheet would write it, with its place after a #."""
    left_out = house.leaves_out(path)
    house = house.in_folder_of(path)
    place = _places(house)
    if left_out:
        yield f"# This file is left out.  # {place('leave-out')}"
    for sheet in house.sheets:
        yield f"# style sheet: {_from_here(sheet)}"
    if not house.sheets:
        yield "# no style sheet: everything is as usual"
    yield f"failing = {as_toml(house.failing.word)}  # {place('failing')}"
    modules = tuple(name for name in house.plugins if not name.endswith(".py"))
    yield f"plugins = {as_toml(modules)}  # {place('plugins')}"
    for name in house.plugins:
        if name not in modules:
            yield f"# rule file: {_from_here(name)}  # {place('rule-folders')}"
    yield f"sections = {as_toml(house.sections)}  # {place('sections')}"
    names = tuple(name for each in house.left_out for name in each.names)
    yield f"leave-out = {as_toml(names)}  # {place('leave-out')}"
    for pair in house.wording:
        unless = f", except = {as_toml(pair.unless)}" if pair.unless else ""
        words = f"write = {as_toml(pair.write)}, not = {as_toml(pair.instead_of)}{unless}"
        yield f"wording: {words}  # {_from_here(pair.place)}"
    yield from _tidy_lines(house, place)
    for rule in rules:
        yield ""
        yield f"[rules.{rule.name}]"
        grade = house.grade_of(rule)
        word = grade.word if grade else "off"
        yield f"grade = {as_toml(word)}  # {place(f'rules.{rule.name}.grade')}"
        for name, value in house.options_of(rule).items():
            yield f"{name} = {as_toml(value)}  # {place(f'rules.{rule.name}.{name}')}"


def _tidy_lines(house: House, place: Callable[[str], str]) -> Iterator[str]:
    from proofhook.tidying.settings import SETTINGS, WIDTH, style_of

    style = style_of(house)
    yield ""
    yield "[tidy]"
    for name in SETTINGS:
        yield f"{name} = {as_toml(style.choices[name])}  # {place(f'tidy.{name}')}"
    yield f"{WIDTH} = {as_toml(style.width)}  # {place(f'tidy.{WIDTH}')}"


def _places(house: House) -> Callable[[str], str]:
    return lambda key: _from_here(house.places.get(key, USUAL))


def _from_here(place: str) -> str:
    """A place as it is called from where the command runs, if that is shorter."""
    path, colon, line = place.rpartition(":")
    if not os.path.isabs(path if line.isdigit() else place):
        return place
    path = path if line.isdigit() else place
    near = os.path.relpath(path)
    shorter = near if len(near) < len(path) else path
    return f"{shorter}{colon}{line}" if path != place else shorter
