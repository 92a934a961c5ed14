"""The index of many sheets: what needs work stands first."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from proofhook.records import NamedTuple
from proofhook.showing.sheet.rendering import rendered
from proofhook.showing.sums import Sums


class Listed(NamedTuple):
    """A sheet as the index lists it: the pattern's title and file, its sheet, its sums."""

    title: str
    name: str
    href: str
    sums: Sums


def index(listed: Iterable[Listed], troubles: Sequence[str] = (), *, date: str = "") -> str:
    """The index page of the sheets; ``troubles`` are sentences about what was not proofed.

    Raises ExtraError where Jinja2 is not installed.
    """
    entries = sorted(listed, key=_worst_first)
    waiting = [entry for entry in entries if needs_work(entry.sums)]
    return rendered(
        "index.html.jinja",
        entries=entries,
        waiting=len(waiting),
        troubles=troubles,
        date=date,
    )


def needs_work(sums: Sums) -> bool:
    """Whether anything is left to do or to look up in a pattern."""
    return bool(sums.errors or sums.queries or sums.style or sums.differ or sums.unread)


def _worst_first(entry: Listed) -> tuple[object, ...]:
    sums = entry.sums
    worst = (sums.errors, sums.differ, sums.unread, sums.queries, sums.style)
    return (*(-count for count in worst), entry.name.casefold(), entry.name)
