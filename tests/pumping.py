"""Words that make a regular expression go back and forth, from the expression itself.

For each part of it that may repeat: what leads there, the part again and again, and an end
that fits nowhere.
"""

from __future__ import annotations

import re
import sys
from collections.abc import Iterator
from typing import Any

if sys.version_info >= (3, 11):
    from re import _constants as sre
    from re import _parser as parser
else:
    import sre_constants as sre
    import sre_parse as parser

#: A character of each class, the first that a class of characters may hold or must not.
_OF_CLASS = {
    sre.CATEGORY_DIGIT: "1",
    sre.CATEGORY_NOT_DIGIT: "a",
    sre.CATEGORY_SPACE: " ",
    sre.CATEGORY_NOT_SPACE: "a",
    sre.CATEGORY_WORD: "a",
    sre.CATEGORY_NOT_WORD: " ",
}
_ANY = "a1 ,-.(\n"
_REPEATS = (sre.MAX_REPEAT, sre.MIN_REPEAT, *filter(None, [getattr(sre, "POSSESSIVE_REPEAT", 0)]))

Parsed = Any  # a parsed expression: pairs of a word for the construct and what it holds


def pumped(found: re.Pattern[str], length: int) -> Iterator[str]:
    """Texts of about that length in which one part of the expression repeats."""
    for lead, part in dict.fromkeys(_parts(parser.parse(found.pattern, found.flags), "")):
        yield lead + (part * length)[:length] + "\0"


def _parts(parsed: Parsed, lead: str) -> Iterator[tuple[str, str]]:
    """Each part that may repeat, in full and in short, after what leads to it."""
    for kind, held in parsed:
        if kind in _REPEATS and held[1] > 1:
            for part in (_sample(held[2]), _sample(held[2], full=False)):
                if part:
                    yield lead, part
        for inner in _inside(kind, held):
            yield from _parts(inner, lead)
        lead += _sample([(kind, held)])


def _inside(kind: Parsed, held: Parsed) -> Iterator[Parsed]:
    """What a construct holds, as parsed expressions."""
    if kind in _REPEATS:
        yield held[2]
    elif kind is sre.SUBPATTERN:
        yield held[-1]
    elif kind is sre.BRANCH:
        yield from held[1]
    elif kind in (sre.ASSERT, sre.ASSERT_NOT):
        yield held[1]


def _sample(parsed: Parsed, full: bool = True) -> str:
    """A text that the expression takes, more or less; with what may be left out, or without."""
    return "".join(_one(kind, held, full) for kind, held in parsed)


def _one(kind: Parsed, held: Parsed, full: bool) -> str:
    if kind is sre.LITERAL:
        return str(chr(held))
    if kind is sre.NOT_LITERAL:
        return next(each for each in _ANY if ord(each) != held)
    if kind is sre.ANY:
        return "a"
    if kind is sre.IN:
        return _of_set(held)
    if kind is sre.BRANCH:
        ways = [_sample(branch, full) for branch in held[1]]
        return max(ways, key=len) if full else min(ways, key=len)
    if kind in _REPEATS:
        times: int = max(int(full), held[0])
        return _sample(held[2], full) * times
    if kind is sre.SUBPATTERN:
        return _sample(held[-1], full)
    return ""  # places, and what lies ahead or behind


def _of_set(held: Parsed) -> str:
    """A character of a set."""
    if held[0][0] is sre.NEGATE:
        taken = "".join(map(_member, held[1:]))
        return next((each for each in _ANY if each not in taken), "é")
    return _member(held[0])


def _member(one: Parsed) -> str:
    kind, held = one
    if kind is sre.RANGE:
        return chr(held[0])
    return str(_OF_CLASS.get(held, "a")) if kind is sre.CATEGORY else chr(held)
