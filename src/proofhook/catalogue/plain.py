"""Proofs and tallies as plain values, to be sent, kept as JSON and made again.

The records of a proof are a closed set of small frozen classes.  A value is a table of
them, each after those it holds, so that what was one object is one again.  Making it
again calls nothing but these classes: a text from anywhere can be wrong, but cannot do
anything.  The text of the pattern and
the words of its house are not in it.
"""

from __future__ import annotations

from enum import Enum
from types import ModuleType
from typing import TYPE_CHECKING, Any

from proofhook import pattern as pattern_module
from proofhook.counting import result as result_module
from proofhook.pattern import OwnWords
from proofhook.proofing import finding as finding_module
from proofhook.text import Edit, Source, Span

if TYPE_CHECKING:
    from typing import TypeAlias

    #: What JSON can hold.
    Plain: TypeAlias = Any

#: What the first item of a list says it is; any other is the number of a record.
TUPLE, ENUM, SPAN, SOURCE, OWN = -1, -2, -3, -4, -5


def _classes(*modules: ModuleType) -> list[type]:
    return [
        value
        for module in modules
        for _, value in sorted(vars(module).items())
        if isinstance(value, type) and value.__module__ == module.__name__
    ]


_ALL = [*_classes(pattern_module, result_module, finding_module), Edit]
_NAMES = {kind: kind._fields for kind in _ALL if hasattr(kind, "_fields")}
_RECORDS = [*_NAMES]
_ENUMS = [kind for kind in _ALL if issubclass(kind, Enum)]
_NUMBERS = {kind: number for number, kind in enumerate(_RECORDS)}
_ENUM_NUMBERS = {kind: number for number, kind in enumerate(_ENUMS)}
_MADE = [(kind, len(_NAMES[kind])) for kind in _RECORDS]
_MEMBERS = [{member.value: member for member in kind} for kind in _ENUMS]
_AS_THEY_ARE = frozenset((int, str, bool, type(None), float))


def to_plain(value: object) -> Plain:
    """A value made of these records, tuples, texts and numbers, as JSON can hold it.

    Raises TypeError where there is anything else in it.
    """
    table: list[list[Plain]] = []
    numbers: dict[int, int] = {}

    def put(each: Any) -> Plain:
        kind = type(each)
        if kind in _AS_THEY_ARE:
            return each
        if kind is Span:
            return [SPAN, each.start, each.end]
        if kind is tuple:
            return [TUPLE, *map(put, each)]
        if kind in _ENUM_NUMBERS:
            return [ENUM, _ENUM_NUMBERS[kind], each.value]
        if kind is Source:
            return [SOURCE]
        if kind is OwnWords:
            return [OWN]
        if kind not in _NUMBERS:
            raise TypeError(f"a {kind.__name__} is no part of a proof or a tally")
        number = numbers.get(id(each))
        if number is None:
            row = [_NUMBERS[kind], *map(put, each)]
            number = numbers[id(each)] = len(table)
            table.append(row)
        return [number]

    root = put(value)
    return [table, root]


def from_plain(plain: Plain, source: Source, own: OwnWords) -> Any:
    """The value again, with the text that it is about and the words of its house.

    Raises ValueError where ``plain`` is not what :func:`to_plain` gives.
    """
    made: list[Any] = []
    new = tuple.__new__  # a call of the class would only look at the names: there are many

    def take(each: list[Plain]) -> Any:
        number = each[0]
        if number >= 0:
            return made[number]
        if number == SPAN:
            _, start, end = each
            return new(Span, (start, end))
        if number == TUPLE:
            return tuple([take(item) if type(item) is list else item for item in each[1:]])
        if number == ENUM:
            return _MEMBERS[each[1]][each[2]]
        return source if number == SOURCE else own

    try:
        table, root = plain
        for number, *held in table:
            kind, length = _MADE[number]
            if len(held) != length:
                raise ValueError(f"a {kind.__name__} with {len(held)} values")
            values = [take(each) if type(each) is list else each for each in held]
            made.append(new(kind, values))
        return take(root) if type(root) is list else root
    except (TypeError, IndexError, KeyError, ValueError, RecursionError) as error:
        raise ValueError(f"not the plain form of a proof ({error})") from None
