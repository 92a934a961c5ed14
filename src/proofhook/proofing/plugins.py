"""Plug-ins: the modules that bring rules, loaded by name and by name only.

The built-in pack is a plug-in like any other and is always there.  Nothing is
scanned: what runs is what the house has named.
"""

from __future__ import annotations

import os
import re
from collections.abc import Iterable, Iterator
from importlib import import_module
from types import ModuleType
from typing import TYPE_CHECKING

from pluggy import PluginManager

from proofhook.faults import one_line
from proofhook.proofing import hookspecs
from proofhook.proofing.rule import Rule

if TYPE_CHECKING:
    from pluggy import HookImpl

BUILT_IN = "proofhook_rules"
PREFIX = "proofhook_"
#: A plug-in named so is a rule file at this path, any other a module.
FILE = ".py"
HOOKS = tuple(sorted(name for name in vars(hookspecs) if name.startswith(PREFIX)))


class PluginError(Exception):
    """A plug-in that cannot be used; the message is one sentence that names it."""


def load_rules(names: Iterable[str] = ()) -> tuple[Rule, ...]:
    """The rules of the built-in pack and of the plug-ins named, sorted by name.

    Raises PluginError for a plug-in that does not load, a hook that does not exist,
    a hook that fails or brings no rules, and a rule name that is there twice.
    """
    manager = PluginManager(hookspecs.PROJECT)
    manager.add_hookspecs(hookspecs)
    for name in dict.fromkeys((BUILT_IN, *names)):
        module = _imported(name)
        _check_hooks(name, module)
        manager.register(module, name)
    rules: dict[str, Rule] = {}
    for implementation in manager.hook.proofhook_rules.get_hookimpls():
        for brought in _rules_of(implementation):
            other = rules.setdefault(brought.name, brought)
            if other is not brought:
                raise PluginError(_doubled(brought, other))
    return tuple(rules[name] for name in sorted(rules))


def _imported(name: str) -> ModuleType:
    try:
        return _from_file(name) if name.endswith(FILE) else import_module(name)
    except ModuleNotFoundError as error:
        if error.name and (name == error.name or name.startswith(error.name + ".")):
            raise PluginError(
                f"The plug-in {name} is not installed; install it where proofhook is "
                "installed, or take it off the house style sheet."
            ) from None
        raise PluginError(f"The plug-in {name} cannot be loaded: {one_line(error)}.") from None
    except (Exception, SystemExit) as error:
        raise PluginError(f"The plug-in {name} cannot be loaded: {one_line(error)}.") from None


def _from_file(path: str) -> ModuleType:
    """The module in a rule file, kept apart from all modules that are installed."""
    from importlib.util import module_from_spec, spec_from_file_location

    stem = re.sub(r"\W", "_", os.path.basename(path).removesuffix(FILE))
    spec = spec_from_file_location(f"house_rules_{stem}", path)
    if spec is None or spec.loader is None:
        raise ImportError("it is no Python file")
    module = module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


def _check_hooks(name: str, module: ModuleType) -> None:
    """Refuse names that look like hooks and are none: pluggy would pass them over."""
    for given in sorted(vars(module)):
        value = getattr(module, given)
        marked = getattr(value, f"{hookspecs.PROJECT}_impl", None) is not None
        if not (marked or (given.startswith(PREFIX) and callable(value))):
            continue
        hook = (marked and getattr(value, f"{hookspecs.PROJECT}_impl").get("specname")) or given
        if hook not in HOOKS:
            raise PluginError(
                f"The plug-in {name} has a hook {hook}, which does not exist; "
                f"there is {' and '.join(HOOKS)}."
            )
        if not marked:
            raise PluginError(
                f"The plug-in {name} defines {given} without marking it; put @hookimpl above it."
            )
        if getattr(getattr(value, "__code__", None), "co_argcount", 0):
            raise PluginError(f"The hook {given} of the plug-in {name} must take no arguments.")


def _rules_of(implementation: HookImpl) -> Iterator[Rule]:
    owner = implementation.plugin_name
    try:
        brought = list(implementation.function())  # type: ignore[call-overload]
    except Exception as error:
        raise PluginError(
            f"The plug-in {owner} failed to bring its rules: {one_line(error)}."
        ) from None
    for each in brought:
        if not isinstance(each, Rule):
            raise PluginError(
                f"The plug-in {owner} brings {type(each).__name__} {one_line(each)} "
                "where a rule belongs; declare it with @rule."
            )
        yield each._replace(plugin=owner)


def _doubled(one: Rule, other: Rule) -> str:
    if one.plugin == other.plugin:
        return f"The plug-in {one.plugin} brings two rules called {one.name}; rename one."
    first, second = sorted((one.plugin, other.plugin))
    return f"The plug-ins {first} and {second} both bring a rule called {one.name}; rename one."
