"""Repeats: in brackets, or between stars, where both say the same."""

from __future__ import annotations

import re
from collections.abc import Iterator

from proofhook.expressions import expression
from proofhook.pattern import Note, Repeat, Row
from proofhook.text import Edit
from proofhook.tidying.page import Page

_BODY = r"(?P<body>[^*()\[\]{}:;.\r\n]+?)"
_END = r"(?=\s*(?:[.,;(\[{]|\Z))"
_START = r"(?:(?<=\A)|(?<=[,.;] )|(?<=, then ))"
_AGAIN = r"[,;.]?[ \t]+rep(?:eat)?[ \t]+from[ \t]+\*[ \t]+"
_STARS = expression(
    rf"{_START}\*[ \t]?{_BODY}(?:"
    rf"{_AGAIN}(?:(?P<fill>around|across)"
    r"|(?P<more>\d+)[ \t]+more[ \t]+times|(?P<once>once[ \t]+more))"
    rf"|\*[ \t]+(?:(?P<times>\d+)[ \t]+times|(?P<all>around|across))){_END}",
    re.IGNORECASE,
)
_BRACKETS = expression(
    rf"{_START}(?P<mark>[(\[]){_BODY}[)\]][ \t]+"
    rf"(?:(?P<times>\d+)[ \t]+times|(?P<twice>twice)|(?P<all>around|across)){_END}",
    re.IGNORECASE,
)


def marked_repeats(page: Page) -> Iterator[Edit]:
    """Repeats are marked as the house wants, in rows that have one repeat and no other mark."""
    stars = page.style.wish("repeat") == "stars"
    for row in page.rows:
        if _has_one(row):
            yield from _with_stars(page, row) if stars else _in_brackets(page, row)


def _has_one(row: Row) -> bool:
    """Whether a row has one repeat, with nothing before it that might swallow its brackets."""
    at = [n for n, step in enumerate(row.steps) if isinstance(step, Repeat)]
    repeat = row.steps[at[0]] if len(at) == 1 else None
    return (
        isinstance(repeat, Repeat)
        and not repeat.implied
        and not repeat.doubtful
        and not (at[0] and isinstance(row.steps[at[0] - 1], Note))
    )


def _in_brackets(page: Page, row: Row) -> Iterator[Edit]:
    words = page.quote(row.body)
    found = _STARS.search(words) if words.count("*") == 2 else None
    if not found:
        return
    fill = found["fill"] or found["all"]
    often = fill.lower() if fill else f"{_times(found)} times"
    new = f"({found['body'].strip()}) {often}"
    yield Edit(row.body.start + found.start(), row.body.start + found.end(), new)


def _times(found: re.Match[str]) -> int:
    if found["once"]:
        return 2
    return int(found["more"]) + 1 if found["more"] else int(found["times"])


def _with_stars(page: Page, row: Row) -> Iterator[Edit]:
    words = page.quote(row.body)
    found = None if "*" in words else _BRACKETS.search(words)
    if not found:
        return
    times = 2 if found["twice"] else int(found["times"] or 0)
    if times == 1 or (times == 0 and not found["all"]):
        return
    more = "once more" if times == 2 else f"{times - 1} more times"
    often = found["all"].lower() if found["all"] else more
    new = f"*{found['body'].strip()}; rep from * {often}"
    yield Edit(row.body.start + found.start(), row.body.start + found.end(), new)
