"""Skill levels: the words of the Craft Yarn Council's current and older set.

Sources: ``levels.toml``, row by row.
"""

from __future__ import annotations

from functools import cache

from proofhook.trade import table


def level_sets(words: str) -> tuple[str, ...]:
    """The sets that have a level of this name: "current", "older" or both; empty for none."""
    return _sets().get(words.strip().lower(), ())


def is_other_level(words: str) -> bool:
    """Whether the words are a level in common use that stands in neither set ("Advanced")."""
    return any(words.strip().lower() in row["words"] for row in table("levels")["other"])


def level_names(of: str) -> tuple[str, ...]:
    """The levels of the "current" or the "older" set, the easiest first."""
    rows = [row for row in table("levels")["level"] if row["set"] == of]
    return tuple(row["name"] for row in sorted(rows, key=lambda row: int(row["step"])))


@cache
def _sets() -> dict[str, tuple[str, ...]]:
    sets: dict[str, tuple[str, ...]] = {}
    for row in table("levels")["level"]:
        name = row["name"].lower()
        sets[name] = (*sets.get(name, ()), row["set"])
    return sets
