"""What the outcome for a pattern depends on, in one number: the key it is kept under.

That is its bytes and its name, the form it is shown in, every setting in force, the sources
of the plug-ins that the house names, and the sources of proofhook itself.  What cannot be
told from these (a plug-in that comes without sources) is not kept.
"""

from __future__ import annotations

import os
import sys
from collections.abc import Iterator, Mapping
from enum import Enum
from functools import lru_cache
from hashlib import sha256
from typing import TYPE_CHECKING, Any

from proofhook import __version__
from proofhook.records import names_of

if TYPE_CHECKING:
    from proofhook.proofing.house import House
    from proofhook.showing.forms import Form

#: Goes up where what is kept changes its form.
FORM = 2
#: So many settings are held in mind; few houses have more.
MOST_SEEN = 256
OWN = ("proofhook", "proofhook_rules")
#: The libraries that take part in reading and in loading rules.
BESIDE = ("pyparsing", "pluggy", "tomli")


class Keys:
    """The keys of one run; what many files have in common is looked at once.

    ``plugins`` are those whose words a pattern is read with, ``form`` is what it is shown in,
    None where what comes of it is kept whole.
    """

    __slots__ = ("_seen",)

    def __init__(self) -> None:
        #: Digests by the identity of what they are of, which is held so that it stays its own.
        self._seen: dict[int, tuple[object, bytes]] = {}

    def of(
        self,
        path: str,
        data: bytes,
        house: House | None,
        plugins: tuple[str, ...] = (),
        form: Form | None = None,
    ) -> str | None:
        """The key for the bytes of a file; None where what comes of them must not be kept."""
        try:
            named = (*plugins, *(house.plugins if house else ()))
            base = _base(named) + self._digest(plugins) + self._digest(form) + self._of_house(house)
        except (LookupError, TypeError, OSError):
            return None
        names = "\0".join((path, os.path.abspath(path)))
        found = sha256(base + names.encode("utf-8", "surrogatepass") + b"\0")
        found.update(data)
        return found.hexdigest()

    def _of_house(self, house: House | None) -> bytes:
        if house is None:
            return self._digest(None)
        seen = self._seen.get(id(house))
        if seen is None:
            # House sheets differ from file to file in what stands in each, and in no more.
            digest = sha256(b"".join(map(self._digest, house))).digest()
            seen = self._keep(house, digest)
        return seen[1]

    def _digest(self, value: object) -> bytes:
        seen = self._seen.get(id(value))
        if seen is None:
            text = repr(_settled(value))
            digest = sha256(text.encode("utf-8", "surrogatepass")).digest()
            seen = self._keep(value, digest)
        return seen[1]

    def _keep(self, value: object, digest: bytes) -> tuple[object, bytes]:
        if len(self._seen) >= MOST_SEEN:
            self._seen.clear()
        self._seen[id(value)] = seen = (value, digest)
        return seen


def _settled(value: Any) -> Any:
    """A setting in plain values, such that two that differ at all are told apart.

    Raises TypeError for what is no setting.
    """
    if value is None or type(value) in (bool, int, float, str):
        return value
    if isinstance(value, Enum):
        return {type(value).__name__: value.value}
    if isinstance(value, Mapping):
        return {"": [[_settled(key), _settled(each)] for key, each in value.items()]}
    names = names_of(value)
    if names:
        return {type(value).__name__: [_settled(getattr(value, name)) for name in names]}
    if isinstance(value, (tuple, list)):
        return [_settled(each) for each in value]
    if type(value).__module__ == "datetime":  # a date in a style sheet
        return {type(value).__name__: str(value)}
    raise TypeError(f"{type(value).__name__} is no setting")


@lru_cache(maxsize=64)
def _base(named: tuple[str, ...]) -> bytes:
    """A digest of all programs that work on a file in a house with these plug-ins."""
    parts = (FORM, __version__, sys.version, _sources(OWN), _sources(named))
    return sha256(repr(parts).encode("utf-8", "surrogatepass")).digest()


@lru_cache(maxsize=64)
def _sources(names: tuple[str, ...]) -> str:
    """A number for all that stands in these modules, packages and rule files.

    Raises LookupError where one has no sources.
    """
    found = sha256()
    for name in names:
        files = sorted(set(_files_of(name)))
        if not files:
            raise LookupError(name)
        for path in files:
            with open(path, "rb") as file:
                found.update(f"{name} {path} {sha256(file.read()).hexdigest()}\n".encode())
    if names == OWN:
        versions = [getattr(sys.modules.get(each), "__version__", "") for each in BESIDE]
        found.update(repr(versions).encode())
    return found.hexdigest()


def _files_of(name: str) -> Iterator[str]:
    """The files of a plug-in: with a rule file all of its folder, with a module its package."""
    if name.endswith(".py"):
        yield from _in_folder(os.path.dirname(os.path.abspath(name)))
        return
    from importlib.util import find_spec

    spec = find_spec(name.partition(".")[0])
    for folder in (spec and spec.submodule_search_locations) or ():
        yield from _in_folder(folder)
    if spec and spec.has_location and spec.origin and not spec.submodule_search_locations:
        yield spec.origin


def _in_folder(folder: str) -> Iterator[str]:
    for here, folders, files in os.walk(folder):
        folders[:] = [each for each in folders if each != "__pycache__"]
        yield from (os.path.join(here, name) for name in files)
