"""The hooks a plug-in may implement; each is called once a run."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING

from pluggy import HookimplMarker, HookspecMarker

if TYPE_CHECKING:
    from proofhook.proofing.rule import Rule

PROJECT = "proofhook"

hookspec = HookspecMarker(PROJECT)

#: Marks a plug-in's function as the implementation of the hook of its name.
hookimpl = HookimplMarker(PROJECT)


@hookspec
def proofhook_rules() -> Iterable[Rule]:  # type: ignore[empty-body]
    """The rules that the plug-in brings, in any order."""
