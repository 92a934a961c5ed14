"""Names that a text says to be those of one side: "sc (UK dc)", "US dc = UK tr".

In a second edition side and name change together, so that what is said stays true.
"""

from __future__ import annotations

from collections.abc import Iterator

from proofhook.expressions import expression
from proofhook.records import NamedTuple
from proofhook.text import Edit, Span
from proofhook.translating.names import names_in

_SIDE = expression(
    r"(?<![\w.])(?P<side>U\.S\.A\.|U\.S\.|USA|US|U\.K\.|UK|American|British)[\s:=]{1,3}"
    r"(?:terms?[\s:]{1,2})?[\"'\u2018\u201c(]?(?=[A-Za-z])"
)
_OTHER = {
    "us": "UK", "usa": "UK", "u.s.": "U.K.", "u.s.a.": "U.K.", "american": "British",
    "uk": "US", "u.k.": "U.S.", "british": "American",
}  # fmt: skip
#: Longer than any stitch name.
_LONGEST = 60


class Said(NamedTuple):
    """A name with the side it is said to be of, and the edits that change both."""

    name: Span
    edits: tuple[Edit, ...]


def said_of_a_side(text: str) -> Iterator[Said]:
    """Every stitch name that follows the word US or UK, or another word for one of them."""
    for found in _SIDE.finditer(text):
        at = found.end()
        old = found["side"]
        new = _OTHER[old.lower()]
        side = "uk" if new in ("US", "U.S.", "American") else "us"
        to = "us" if side == "uk" else "uk"
        named = next(names_in(text[at : at + _LONGEST], side, to), None)
        if named is None or named.start != 0 or named.foreign:
            continue
        moved = tuple(Edit(at + e.start, at + e.end, e.text) for e in named.edits)
        side_edit = Edit(found.start("side"), found.end("side"), new)
        yield Said(Span(at, at + named.end), (side_edit, *moved))
