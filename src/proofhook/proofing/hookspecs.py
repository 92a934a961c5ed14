"""The hooks a plug-in may implement; each is called once a run."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from typing import TYPE_CHECKING, Any, TypeVar, overload

if TYPE_CHECKING:
    from proofhook.proofing.pack import Writer
    from proofhook.proofing.rule import Rule

PROJECT = "proofhook"

F = TypeVar("F", bound=Callable[..., Any])


@overload
def hookimpl(function: F) -> F: ...
@overload
def hookimpl(*, specname: str | None = None) -> Callable[[F], F]: ...
def hookimpl(function: F | None = None, *, specname: str | None = None) -> F | Callable[[F], F]:
    """Mark a plug-in's function as the implementation of the hook of its name, or of ``specname``.

    The mark is pluggy's, as its ``HookimplMarker("proofhook")`` sets it.  It is set here because
    most runs have no plug-in but the built-in pack, and pluggy takes a while to import.
    """

    def marked(function: F) -> F:
        setattr(function, f"{PROJECT}_impl", {"specname": specname})
        return function

    return marked if function is None else marked(function)


def proofhook_rules() -> Iterable[Rule]:  # type: ignore[empty-body]
    """The rules that the plug-in brings, in any order."""


def proofhook_stitches() -> Mapping[str, Any]:  # type: ignore[empty-body]
    """Stitches of the house, in the tables of ``trade/stitches.toml``.

    ``basic``, ``manner``, ``named`` and ``group`` each hold a list of entries with ``name``
    and ``words``.  An entry of ``named`` or ``group`` may have ``meaning``, the words in
    which a pattern would explain it ("5 dc in the same st").
    """


def proofhook_headings() -> Mapping[str, Any]:  # type: ignore[empty-body]
    """Headings of the house, in the tables of ``trade/headings.toml``.

    ``heading`` holds entries with ``kind`` and ``words``, ``piece`` entries with ``words``.
    """


def proofhook_forms() -> Mapping[str, Writer]:  # type: ignore[empty-body]
    """Forms of output: the name that ``--format`` takes, and the function that writes it.

    A writer is given the proofs one by one and gives the text part by part; it must not
    keep them all.
    """
