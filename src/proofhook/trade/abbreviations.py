"""Standard abbreviations and their meanings, and the ones that mean two things.

Sources: ``abbreviations.toml``, row by row; the Craft Yarn Council's list is from memory.
"""

from __future__ import annotations

from functools import cache

from proofhook.expressions import expression
from proofhook.records import dataclass
from proofhook.trade import table

_BLANKS = expression(r"\s+")


@dataclass(frozen=True, slots=True)
class Abbreviation:
    """A standard abbreviation.

    ``short`` is its usual form, ``listed`` "cyc" for the Craft Yarn Council's list or
    "seen" for what other lists print.
    """

    short: str
    meaning: str
    listed: str


def meanings(short: str) -> tuple[Abbreviation, ...]:
    """What an abbreviation usually stands for, whatever its capitals; empty if unknown.

    Where capitals tell two apart ("PS", "ps"), those written so come first.
    """
    found = _by_form().get(_plain(short), ())
    return tuple(sorted(found, key=lambda each: each.short != short.strip()))


def is_standard(short: str) -> bool:
    """Whether the abbreviation stands in the Craft Yarn Council's list (from memory)."""
    return any(each.listed == "cyc" for each in meanings(short))


def clashes(short: str) -> tuple[str, ...]:
    """The meanings that an abbreviation has in different patterns, where it has several."""
    return _clashes().get(_plain(short), ())


@cache
def _by_form() -> dict[str, tuple[Abbreviation, ...]]:
    forms: dict[str, tuple[Abbreviation, ...]] = {}
    for row in table("abbreviations")["abbreviation"]:
        entry = Abbreviation(row["short"], row["meaning"], row["listed"])
        for form in dict.fromkeys(map(_plain, (row["short"], *row.get("also", ())))):
            forms[form] = (*forms.get(form, ()), entry)
    return forms


@cache
def _clashes() -> dict[str, tuple[str, ...]]:
    return {
        _plain(row["short"]): tuple(row["meanings"]) for row in table("abbreviations")["collision"]
    }


def _plain(short: str) -> str:
    return _BLANKS.sub(" ", short.strip()).removesuffix(".").lower()
