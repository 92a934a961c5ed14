"""What the outcome for a pattern depends on, in one number: the key it is kept under.

That is the text and its name, every setting in force, the sources of the plug-ins that
the house names, and the sources of proofhook itself.  What cannot be told from these (a
plug-in that comes without sources) is not kept.
"""

from __future__ import annotations

import json
import os
import sys
from collections.abc import Iterator, Mapping
from enum import Enum
from functools import lru_cache
from hashlib import sha256
from importlib.util import find_spec
from typing import TYPE_CHECKING, Any

from proofhook import __version__
from proofhook.catalogue.plain import names_of

if TYPE_CHECKING:
    from proofhook.catalogue.job import Job

#: Goes up where what is kept changes its form.
FORM = 1
OWN = ("proofhook", "proofhook_rules")
#: The libraries that take part in reading and in loading rules.
BESIDE = ("pyparsing", "pluggy", "tomli")


def key_of(job: Job) -> str | None:
    """The key of a job; None where its outcome must not be kept."""
    try:
        plugins = _sources((*job.plugins, *(job.house.plugins if job.house else ())))
        house = _settled(job.house)
    except (LookupError, TypeError, OSError):
        return None
    parts = [
        FORM, __version__, sys.version, _sources(OWN), plugins, house, job.plugins,
        job.path, os.path.abspath(job.path), job.bom, job.text,
    ]  # fmt: skip
    return sha256(json.dumps(parts).encode("ascii")).hexdigest()


def _settled(value: Any) -> Any:
    """A setting as JSON can hold it, such that two that differ at all are told apart.

    Raises TypeError for what is no setting.
    """
    if value is None or type(value) in (bool, int, float, str):
        return value
    if isinstance(value, Enum):
        return {type(value).__name__: value.value}
    if isinstance(value, Mapping):
        return {"": [[_settled(key), _settled(each)] for key, each in value.items()]}
    names = names_of(type(value))
    if names:
        return {type(value).__name__: [_settled(getattr(value, name)) for name in names]}
    if isinstance(value, (tuple, list)):
        return [_settled(each) for each in value]
    if type(value).__module__ == "datetime":  # a date in a style sheet
        return {type(value).__name__: str(value)}
    raise TypeError(f"{type(value).__name__} is no setting")


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
    spec = find_spec(name.partition(".")[0])
    for folder in (spec and spec.submodule_search_locations) or ():
        yield from _in_folder(folder)
    if spec and spec.has_location and spec.origin and not spec.submodule_search_locations:
        yield spec.origin


def _in_folder(folder: str) -> Iterator[str]:
    for here, folders, files in os.walk(folder):
        folders[:] = [each for each in folders if each != "__pycache__"]
        yield from (os.path.join(here, name) for name in files)
