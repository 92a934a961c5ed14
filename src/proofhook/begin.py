"""The command that begins a house: a style sheet with remarks, and the pre-commit entry.

The patterns that are there are looked at first, so that the sheet asks for what they
mostly do already.
"""

from __future__ import annotations

import os
import re
from collections import Counter
from collections.abc import Iterable, Iterator
from typing import TYPE_CHECKING

from proofhook.desk import Desk
from proofhook.files import SHEET
from proofhook.pattern import Repeat, Total
from proofhook.records import NamedTuple
from proofhook.showing.ink import counted
from proofhook.showing.rule_page import as_toml
from proofhook.tidying.settings import BRACKETS, DASH
from proofhook.trade.headings import OwnHeadings, leading_heading

if TYPE_CHECKING:
    from proofhook.pattern import Pattern

HOOKS = ".pre-commit-config.yaml"
SHAPES = {pair[0]: shape for shape, pair in BRACKETS.items()}
SHARED = frozenset({"materials", "gauge", "abbreviations", "notes", "size"})
#: A habit is asked for where so great a share of the places has it.
MOSTLY = 0.8

ENTRY = """\
  - repo: local
    hooks:
      - id: proofhook
        name: proofhook
        entry: proofhook proof --pass-over
        language: system
        files: \\.(txt|md)$
        require_serial: true
"""


class Habits(NamedTuple):
    """What the patterns of a folder do, each with how often."""

    files: int
    totals: Counter[str]
    repeats: Counter[str]
    rounds: Counter[str]
    rows: Counter[str]
    sections: Counter[str]


def begin(folder: str) -> bool:
    """Write the style sheet and the pre-commit entry into a folder; False after saying why not."""
    desk = Desk()
    if not os.path.isdir(folder):
        desk.tell(f"{folder}: there is no such folder.")
        return False
    sheet = os.path.normpath(os.path.join(folder, SHEET))
    habits = habits_of(tally.pattern for tally in desk.tallies([folder], pass_over=True))
    try:
        with open(sheet, "x", encoding="utf-8", newline="\n") as file:
            file.write(starter_sheet(habits))
    except FileExistsError:
        desk.tell(f"{sheet}: there is a style sheet already; it was left as it is.")
        return False
    looked = f"after a look at {counted(habits.files, 'pattern')}" if habits.files else ""
    print(f"Wrote {sheet}{looked and ', '}{looked}.")
    print(_enter_hook(folder))
    print(f"Read through {SHEET} first, then see what `proofhook proof {folder}` finds.")
    return True


def _enter_hook(folder: str) -> str:
    """Write the pre-commit entry, or say what to add where there is a file already.

    pre-commit looks in the root of a repository, so that is where it goes; the entry then
    asks for the files of the folder alone.
    """
    root = _root_above(folder)
    path = os.path.normpath(os.path.join(root or folder, HOOKS))
    inside = os.path.relpath(os.path.abspath(folder), os.path.abspath(root or folder))
    only = "" if inside == "." else f"^{re.escape(inside.replace(os.sep, '/'))}/.*"
    entry = ENTRY.replace("files: ", f"files: {only}")
    try:
        with open(path, "x", encoding="utf-8", newline="\n") as file:
            file.write("repos:\n" + entry)
    except FileExistsError:
        with open(path, encoding="utf-8", errors="replace") as file:
            if "id: proofhook" in file.read():
                return f"{path} has the entry for proofhook already."
        return f"{path} is there already; add this under 'repos:' in it:\n\n{entry}"
    return f"Wrote {path}; `pre-commit install` puts it to use."


def _root_above(folder: str) -> str | None:
    """The root of the git repository that a folder lies in, as seen from here; None without."""
    here = os.path.abspath(folder)
    while not os.path.exists(os.path.join(here, ".git")):
        above = os.path.dirname(here)
        if above == here:
            return None
        here = above
    return folder if here == os.path.abspath(folder) else os.path.relpath(here)


def habits_of(patterns: Iterable[Pattern]) -> Habits:
    """What the patterns mostly do."""
    habits = Habits(0, Counter(), Counter(), Counter(), Counter(), Counter())
    for pattern in patterns:
        habits = habits._replace(files=habits.files + 1)
        for row in pattern.rows:
            if row.label and row.label.kind in ("round", "row"):
                words = row.label.text.split()[0].rstrip("s.:").title()
                labels = habits.rounds if row.label.kind == "round" else habits.rows
                labels[words] += words.isalpha()
            for step in row.steps:
                words = pattern.source.quote(step.span.moved(row.body.start))
                if isinstance(step, Total):
                    habits.totals[SHAPES.get(words[:1], DASH)] += 1
                elif isinstance(step, Repeat) and not step.implied:
                    habits.repeats["brackets" if words[:1] in SHAPES else "stars"] += 1
        habits.sections.update(set(_section_names(pattern, pattern.own.headings)))
    return habits


def _section_names(pattern: Pattern, own: OwnHeadings) -> Iterator[str]:
    """The names of the sections that patterns share, the first heading of each kind."""
    kinds = set()
    for section in pattern.sections:
        line = pattern.source.quote(section.heading) if section.heading else ""
        heading = leading_heading(line, own)
        if heading and heading.kind in SHARED and heading.kind not in kinds:
            kinds.add(heading.kind)
            yield line[heading.start : heading.end].strip().capitalize()


def starter_sheet(habits: Habits) -> str:
    """A style sheet with remarks that asks for what the patterns mostly do."""
    wishes = [
        _wish(
            "total", _mostly(habits.totals), "how totals are set off: round, square, curly, dash"
        ),
        _wish("repeat", _mostly(habits.repeats), "how repeats are marked: brackets, stars"),
        _wish("round-label", _mostly(habits.rounds), "the word that labels rounds"),
        _wish("row-label", _mostly(habits.rows), "the word that labels rows"),
    ]
    common = [name for name, count in habits.sections.items() if count >= MOSTLY * habits.files]
    sections = f"{'' if common else '# '}sections = {as_toml(tuple(common))}"
    return STARTER.format(sections=sections, wishes="\n".join(wishes), layout="\n".join(_layout()))


def _layout() -> Iterator[str]:
    """The usual choices of layout, as remarks, with the others that there are."""
    from proofhook.tidying.settings import AS_WRITTEN, SETTINGS, USUAL_WIDTH, WIDTH

    for name, setting in SETTINGS.items():
        choices = ", ".join((*setting.choices, AS_WRITTEN))
        yield f"# {name} = {as_toml(setting.usual)}  # {setting.meaning}: {choices}"
    yield f"# {WIDTH} = {USUAL_WIDTH}  # how wide wrapped rows may be"


def _mostly(seen: Counter[str]) -> str:
    """What is done in most places; "" where opinions are divided."""
    (habit, count), *_ = seen.most_common(1) or [("", 0)]
    return habit if count and count >= MOSTLY * sum(seen.values()) else ""


def _wish(option: str, habit: str, meaning: str) -> str:
    return f"{'' if habit else '# '}{option} = {as_toml(habit)}  # {meaning}"


STARTER = """\
# The house style sheet: what is checked in the patterns of this folder and below it.
# `proofhook house FILE` shows what is in force for a file and where it comes from;
# `proofhook why --list` lists the rules.

# A run fails where a finding has this grade or a graver one: error, query or style.
failing = "error"

# Another sheet that this one builds on, relative to this file.
# extends = "../housestyle.toml"

# Files and folders that are not proofed.
# leave-out = ["drafts"]

# Modules that bring rules of your own.
# plugins = ["our_rules"]
# Folders of rule files of your own, relative to this file.
# rule-folders = ["house_rules"]

# The sections that patterns have, in their order.
{sections}

# A rule's grade may be error, query, style or off; a table sets its options as well.
[rules]
# total-missing = "query"

[rules.house-marks]
{wishes}

# How `proofhook tidy` lays patterns out; "as-written" leaves a thing as it is.
[tidy]
{layout}

# Words that the house writes, and those that it does not.
# [[wording]]
# write = "magic ring"
# not = ["magic circle"]
# except = ["magic circle method"]

# What holds for some folders only.
# [[folders]]
# in = ["toys"]
# failing = "query"
"""
