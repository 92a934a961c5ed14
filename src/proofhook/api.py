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


def read(text: str, path: str = "", house: House | None = None) -> Pattern:
    """The model of a pattern's text; ``path`` is only kept for messages.

    With a house, its plug-ins' words for stitches and headings are known.
    """
    if house is None or not house.plugins:
        return read_source(Source(path, text))
    from proofhook.proofing.plugins import load

    return read_source(Source(path, text), own=load(house.plugins).words)


def tally(pattern: Pattern) -> Tally:
    """What every row of the pattern makes, beside what it states."""
    return counting.tally(pattern)


def proof(pattern: Pattern, house: House | None = None) -> Proof:
    """What the rules of a house find in the pattern; by default a house without wishes.

    A plug-in that cannot be used is told of in the proof's ``failures``; the other rules
    go on.  Raises HouseError where the settings of the house cannot be used.
    """
    from proofhook.proofing.house import House, check_house
    from proofhook.proofing.plugins import load
    from proofhook.proofing.proof import proof as proofed

    house = house or House()
    pack = load(house.plugins)
    check_house(house, pack.rules, all_there=not pack.troubles)
    done = proofed(pattern, counting.tally(pattern), house, pack.rules)
    return done._replace(failures=(*pack.troubles, *done.failures))
