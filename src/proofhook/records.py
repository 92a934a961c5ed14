"""Records: small classes that hold values and little else.

A program that reads one short file spends more time on making its classes than on the
file.  To a type checker the records here are the dataclasses and the named tuples of the
standard library, and they are declared in the same words; when the program runs they are
made in a third of the time, without the modules that the library needs for it:

- a ``NamedTuple`` is a tuple with names;
- a frozen record is one as well.  Two are equal where they are of one kind and hold equal
  values: a turn is no ring, though both are nothing but a place in the text;
- an open record is a class with slots, whose attributes may be set.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from dataclasses import dataclass, field, replace
    from typing import NamedTuple
else:
    from operator import itemgetter

    try:
        from _collections import _tuplegetter
    except ImportError:

        def _tuplegetter(index, doc):
            return property(itemgetter(index), doc=doc)

    _new_tuple = tuple.__new__

    class _Named(tuple):
        """What all named tuples can do."""

        __slots__ = ()
        _fields = ()

        @classmethod
        def _make(cls, values):
            return cls(*values)

        def _replace(self, /, **changes):
            made = _new_tuple(type(self), map(changes.pop, self._fields, self))
            if changes:
                raise ValueError(f"{type(self).__name__} has no {', '.join(changes)}")
            return made

        def _asdict(self):
            return dict(zip(self._fields, self, strict=True))

        def __repr__(self):
            values = map("{}={!r}".format, self._fields, self)
            return f"{type(self).__name__}({', '.join(values)})"

        def __getnewargs__(self):
            return tuple(self)

    class _Declared(type):
        """Makes a named tuple of a class that is declared with annotations."""

        def __new__(kind, name, bases, given):
            if not bases:
                return type.__new__(kind, name, bases, given)
            return _named(name, given)

    class NamedTuple(metaclass=_Declared):
        """A tuple with names; the class below it is one."""

    #: The same frozen record with other values in some places.
    replace = _Named._replace

    def _named(name, given):
        """The class of a named tuple with this name, and with what stands in its body."""
        names = tuple(given.get("__annotations__", ()))
        held = {key: value for key, value in given.items() if key not in _OF_THE_CLASS}
        defaults = tuple(held.pop(key) for key in names if key in held)
        for at, key in enumerate(names):
            held[key] = _tuplegetter(at, None)
        asked = ", ".join(names)
        new = eval(f"lambda _cls, {asked}: _new_tuple(_cls, ({asked},))", _MAKING)
        new.__defaults__ = defaults
        held |= {"__slots__": (), "__new__": new, "_fields": names, "__match_args__": names}
        return type(name, (_Named,), held)

    _MAKING = {"_new_tuple": _new_tuple, "__builtins__": {}}
    #: What a class has of itself, which is not handed on.
    _OF_THE_CLASS = frozenset(("__dict__", "__weakref__", "__match_args__"))

    class field:  # noqa: N801 - its name to a type checker
        """A default that is made anew for each record."""

        __slots__ = ("make",)

        def __init__(self, *, default_factory):
            self.make = default_factory

    def dataclass(*, frozen=False, slots=True):
        """Make the class that is decorated a record, frozen or open."""
        assert slots
        return _frozen if frozen else _open

    def _frozen(cls):
        made = _named(cls.__name__, vars(cls))
        made.__eq__, made.__ne__, made.__hash__ = _equal, _unequal, tuple.__hash__
        return made

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


__all__ = ["NamedTuple", "dataclass", "field", "names_of", "replace"]
