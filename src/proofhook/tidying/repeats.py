"""Repeats: in brackets, or between stars, where both say the same."""

from __future__ import annotations

import re
from collections import Counter
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
_SAYS_REPEAT = expression(r"(?<![\w-])(?:rep|rpt|repeat)(?![\w-])", re.IGNORECASE)
_BRACKETS = expression(
    rf"{_START}(?P<mark>[(\[]){_BODY}[)\]][ \t]+"
    rf"(?:(?P<times>\d+)[ \t]+times|(?P<twice>twice)|(?P<all>around|across)){_END}",
    re.IGNORECASE,
)


def marked_repeats(page: Page) -> Iterator[Edit]:
    """Repeats are marked as the house wants, in rows that have one repeat and no other mark.

    Where the list of abbreviations explains "rep", and the rows would not use it any more,
    they stay as they are: an entry for nothing would be left.
    """
    rows = [row for row in page.rows if _has_one(row)]
    if page.style.wish("repeat") == "stars":
        word = _word_of(page)
        for row in rows:
            yield from _with_stars(page, row, word)
        return
    edits = [edit for row in rows for edit in _in_brackets(page, row)]
    if not _leaves_an_entry(page, edits):
        yield from edits


def _uses(page: Page) -> Counter[str]:
    """How often the rows say "rep" and "repeat"."""
    return Counter(
        found[0].lower()
        for row in page.rows
        for found in _SAYS_REPEAT.finditer(page.text, row.body.start, row.body.end)
    )


def _listed(page: Page) -> set[str]:
    names = {each.abbreviation.lower().strip(" .") for each in page.pattern.definitions}
    return names & {"rep", "rpt"}


def _word_of(page: Page) -> str:
    """The word for repeating that the rows use, or that the pattern explains."""
    uses = _uses(page)
    if uses:
        return max(uses, key=lambda word: (uses[word], word in _listed(page)))
    return "repeat" if page.pattern.definitions and "rep" not in _listed(page) else "rep"


def _leaves_an_entry(page: Page, edits: list[Edit]) -> bool:
    listed = _listed(page)
    if not (listed and edits):
        return False
    gone = Counter(
        found[0].lower()
        for edit in edits
        for found in _SAYS_REPEAT.finditer(page.text, edit.start, edit.end)
    )
    return not (_uses(page) - gone)


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


def _with_stars(page: Page, row: Row, word: str) -> Iterator[Edit]:
    words = page.quote(row.body)
    found = None if "*" in words else _BRACKETS.search(words)
    if not found:
        return
    times = 2 if found["twice"] else int(found["times"] or 0)
    if times == 1 or (times == 0 and not found["all"]):
        return
    more = "once more" if times == 2 else f"{times - 1} more times"
    often = found["all"].lower() if found["all"] else more
    new = f"*{found['body'].strip()}; {word} from * {often}"
    yield Edit(row.body.start + found.start(), row.body.start + found.end(), new)
