"""The calls for other programs: a text in, a model, a tally or findings out."""

from __future__ import annotations

from typing import TYPE_CHECKING

from proofhook.counting import tally as counting
from proofhook.reading import read as read_source
from proofhook.text import Source

if TYPE_CHECKING:
    from proofhook.counting.result import Tally
    from proofhook.pattern import Pattern
    from proofhook.proofing.house import House
    from proofhook.proofing.proof import Proof


def read(text: str, path: str = "") -> Pattern:
    """The model of a pattern's text; ``path`` is only kept for messages."""
    return read_source(Source(path, text))


def tally(pattern: Pattern) -> Tally:
    """What every row of the pattern makes, beside what it states."""
    return counting.tally(pattern)


def proof(pattern: Pattern, house: House | None = None) -> Proof:
    """What the rules of a house find in the pattern; by default a house without wishes.

    Raises PluginError or HouseError where the plug-ins or settings of the house
    cannot be used.
    """
    from proofhook.proofing.house import House, check_house
    from proofhook.proofing.plugins import load_rules
    from proofhook.proofing.proof import proof as proofed

    house = house or House()
    rules = load_rules(house.plugins)
    check_house(house, rules)
    return proofed(pattern, counting.tally(pattern), house, rules)
