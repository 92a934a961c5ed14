"""Plug-ins: the modules that bring rules, words and forms, loaded by name and by name only.

The built-in pack is a plug-in like any other and is always there.  Nothing is
scanned: what runs is what the house has named.
"""

from __future__ import annotations

import os
from collections.abc import Callable, Iterable, Iterator, Mapping
from functools import partial
from importlib import import_module
from types import ModuleType
from typing import TYPE_CHECKING, Any

from proofhook import expressions as rx
from proofhook.faults import one_line
from proofhook.pattern import NO_WORDS
from proofhook.proofing import hookspecs
from proofhook.proofing.pack import Pack
from proofhook.proofing.rule import Rule

if TYPE_CHECKING:
    from typing import TypeAlias

    from proofhook.proofing.pack import Writer

    Tell: TypeAlias = Callable[[str], None]
    Bringing: TypeAlias = Callable[[str], list[tuple[str, Any]]]
    Implementations: TypeAlias = Callable[[str], list[tuple[str, Callable[[], Any]]]]

BUILT_IN = "proofhook_rules"
PREFIX = "proofhook_"
#: A plug-in named so is a rule file at this path, any other a module.
FILE = ".py"
HOOKS = tuple(sorted(name for name in vars(hookspecs) if name.startswith(PREFIX)))


class PluginError(Exception):
    """A plug-in that cannot be used; the message is one sentence that names it."""


def load(names: Iterable[str] = ()) -> Pack:
    """What the built-in pack and the plug-ins named bring together.

    Nothing a plug-in does wrong keeps the others from bringing what they have: each fault
    is a sentence among the troubles of the pack.
    """
    troubles: dict[str, None] = {}

    def tell(sentence: str) -> None:
        troubles[sentence] = None

    # By name, so that of two that clash the same one is kept, whatever the order.
    modules: dict[str, ModuleType] = {}
    for name in dict.fromkeys((BUILT_IN, *sorted(names))):
        try:
            modules[name] = _imported(name)
        except PluginError as error:
            tell(str(error))
            continue
        for fault in _wrong_hooks(name, modules[name]):
            tell(fault)
    brought = partial(_brought, _implementations(modules), tell)
    rules, (forms, owners) = _rules(brought, tell), _forms(brought, tell)
    stitches, headings = brought("proofhook_stitches"), brought("proofhook_headings")
    words = NO_WORDS
    if stitches or headings:  # the reader is asked only where there is something to tell it
        from proofhook.proofing.own_words import own_words

        words = own_words(stitches, headings, tell)
    return Pack(rules, words, forms, tuple(troubles), owners)


def load_rules(names: Iterable[str] = ()) -> tuple[Rule, ...]:
    """The rules of the built-in pack and of the plug-ins named, sorted by name.

    Raises PluginError with the first trouble, where there is one.
    """
    pack = load(names)
    if pack.troubles:
        raise PluginError(pack.troubles[0])
    return pack.rules


class _Hooks:
    """The hooks of a module that can be called; no others are looked for."""

    def __init__(self, name: str, module: ModuleType) -> None:
        self.__name__ = name
        for given, value in vars(module).items():
            marked = getattr(value, f"{hookspecs.PROJECT}_impl", None) is not None
            if marked and not _wrong_hook(name, given, value):
                setattr(self, given, value)


def _implementations(modules: Mapping[str, ModuleType]) -> Implementations:
    """Who implements a hook, and with what: the built-in pack first, then by name."""
    if list(modules) == [BUILT_IN]:
        alone = _Hooks(BUILT_IN, modules[BUILT_IN])
        return lambda hook: [(BUILT_IN, getattr(alone, hook))] if hasattr(alone, hook) else []
    from pluggy import HookspecMarker, PluginManager

    manager = PluginManager(hookspecs.PROJECT)
    for hook in HOOKS:
        HookspecMarker(hookspecs.PROJECT)(getattr(hookspecs, hook))
    manager.add_hookspecs(hookspecs)
    for name, module in modules.items():
        manager.register(_Hooks(name, module), name)

    def implementations(hook: str) -> list[tuple[str, Callable[[], Any]]]:
        found = [
            (each.plugin_name, each.function)
            for each in getattr(manager.hook, hook).get_hookimpls()
        ]
        return sorted(found, key=lambda each: (each[0] != BUILT_IN, each[0]))

    return implementations


def _brought(implementations: Implementations, tell: Tell, hook: str) -> list[tuple[str, Any]]:
    """What the plug-ins bring to a hook, each with its owner."""
    found = []
    for owner, implementation in implementations(hook):
        what = hook.removeprefix(PREFIX)
        try:
            value = implementation()
            found.append((owner, list(value) if hook == "proofhook_rules" else value))
        except Exception as error:
            tell(f"The plug-in {owner} failed to bring its {what}: {one_line(error)}.")
    return found


def _rules(brought: Bringing, tell: Tell) -> tuple[Rule, ...]:
    rules: dict[str, Rule] = {}
    for owner, values in brought("proofhook_rules"):
        for value in values:
            if not isinstance(value, Rule):
                tell(
                    f"The plug-in {owner} brings {type(value).__name__} {one_line(value)} "
                    "where a rule belongs; declare it with @rule."
                )
                continue
            each = value._replace(plugin=owner)
            other = rules.setdefault(each.name, each)
            if other is not each:
                tell(_doubled(each, other))
    return tuple(rules[name] for name in sorted(rules))


def _forms(brought: Bringing, tell: Tell) -> tuple[dict[str, Writer], dict[str, str]]:
    """The forms, and the plug-in that brings each."""
    forms: dict[str, Writer] = {}
    owners: dict[str, str] = {}
    for owner, table in brought("proofhook_forms"):
        if not isinstance(table, Mapping):
            what = f"{type(table).__name__} {one_line(table)}"
            tell(f"The plug-in {owner} brings {what} where a table of forms belongs.")
            continue
        for name, writer in table.items():
            if not (isinstance(name, str) and rx.fullmatch(r"[a-z][a-z0-9-]*", name)):
                tell(f"The plug-in {owner} names a form {name!r}; use small letters.")
            elif not callable(writer):
                tell(f"The plug-in {owner} brings no function for the form {name}.")
            elif name in forms:
                first = owners[name]
                tell(f"The plug-ins {first} and {owner} both bring a form {name}; rename one.")
            else:
                forms[name], owners[name] = writer, owner
    return forms, owners


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

    stem = rx.sub(r"\W", "_", os.path.basename(path).removesuffix(FILE))
    spec = spec_from_file_location(f"house_rules_{stem}", path)
    if spec is None or spec.loader is None:
        raise ImportError("it is no Python file")
    module = module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


def _wrong_hooks(name: str, module: ModuleType) -> Iterator[str]:
    """A sentence for each name that looks like a hook and cannot be one."""
    for given in sorted(vars(module)):
        fault = _wrong_hook(name, given, getattr(module, given))
        if fault:
            yield fault


def _wrong_hook(name: str, given: str, value: object) -> str:
    """What is wrong with something that looks like a hook: pluggy would pass it over."""
    mark = getattr(value, f"{hookspecs.PROJECT}_impl", None)
    if mark is None and not (given.startswith(PREFIX) and callable(value)):
        return ""
    hook = (mark and mark.get("specname")) or given
    if hook not in HOOKS:
        there = f"{', '.join(HOOKS[:-1])} and {HOOKS[-1]}"
        return f"The plug-in {name} has a hook {hook}, which does not exist; there are {there}."
    if mark is None:
        return f"The plug-in {name} defines {given} without marking it; put @hookimpl above it."
    if getattr(getattr(value, "__code__", None), "co_argcount", 0):
        return f"The hook {given} of the plug-in {name} must take no arguments."
    return ""


def _doubled(one: Rule, other: Rule) -> str:
    if one.plugin == other.plugin:
        return f"The plug-in {one.plugin} brings two rules called {one.name}; rename one."
    first, second = sorted((one.plugin, other.plugin))
    return f"The plug-ins {first} and {second} both bring a rule called {one.name}; rename one."
