"""Records: small classes that hold values and little else.

A program that reads one short file spends more time on making its classes than on the
file.  To a type checker the records here are the dataclasses of the standard library, and
they are declared in the same words; when the program runs they are made in a tenth of the
time, without the modules that the library needs for it:

- a frozen record is a tuple with names.  Two are equal where they are of one kind and
  hold equal values: a turn is no ring, though both are nothing but a place in the text;
- an open record is a class with slots, whose attributes may be set.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from dataclasses import dataclass, field, replace
else:
    from collections import namedtuple

    class field:  # noqa: N801 - its name to a type checker
        """A default that is made anew for each record."""

        __slots__ = ("make",)

        def __init__(self, *, default_factory):
            self.make = default_factory

    def dataclass(*, frozen=False, slots=True):
        """Make the class that is decorated a record, frozen or open."""
        assert slots
        return _frozen if frozen else _open

    def replace(record, /, **changes):
        """The same frozen record with other values in some places."""
        return record._replace(**changes)

    def _frozen(cls):
        given = vars(cls)
        names = tuple(given["__annotations__"])
        defaults = [given[name] for name in names if name in given]
        made = namedtuple(cls.__name__, names, defaults=defaults, module=cls.__module__)
        for name, value in given.items():
            if name not in names and name not in _OF_THE_CLASS:
                setattr(made, name, value)
        made.__eq__, made.__ne__, made.__hash__ = _equal, _unequal, tuple.__hash__
        return made

    #: What a class has of itself, which is not handed on.
    _OF_THE_CLASS = frozenset(("__dict__", "__weakref__", "__module__", "__match_args__"))

    def _equal(self, other):
        return type(self) is type(other) and tuple.__eq__(self, other)

    def _unequal(self, other):
        return not _equal(self, other)

    def _open(cls):
        given = vars(cls)
        names = tuple(given["__annotations__"])
        held = {name: value for name, value in given.items() if name not in _OF_THE_CLASS}
        defaults = {name: held.pop(name) for name in names if name in held}
        values = {f"_{name}": value for name, value in defaults.items()}
        asked = ", ".join(f"{name}=_{name}" if name in defaults else name for name in names)
        lines = [
            f" self.{name} = _{name}.make() if {name} is _{name} else {name}"
            if isinstance(defaults.get(name), field)
            else f" self.{name} = {name}"
            for name in names
        ]
        exec("\n".join([f"def __init__(self, {asked}):", *lines]), values)
        held |= {"__slots__": names, "__init__": values["__init__"], "__repr__": _shown}
        return type(cls.__name__, cls.__bases__, held)

    def _shown(self):
        values = (f"{name}={getattr(self, name)!r}" for name in self.__slots__)
        return f"{type(self).__name__}({', '.join(values)})"


def names_of(record: object) -> tuple[str, ...]:
    """The names under which a frozen record holds its values; none where it is no record."""
    names: tuple[str, ...] = getattr(type(record), "_fields", ())
    return names


__all__ = ["dataclass", "field", "names_of", "replace"]
