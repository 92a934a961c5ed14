"""Changes of a whole document: tidied, or put into the other terms."""

from __future__ import annotations

from proofhook.editor.document import Document
from proofhook.editor.places import difference
from proofhook.records import NamedTuple
from proofhook.text import Edit
from proofhook.tidying.tidy import tidied
from proofhook.translating import Refusal, second_edition


class Change(NamedTuple):
    """The edits, and sentences on what a person has to know."""

    edits: list[Edit]
    remarks: list[str]


def formatted(document: Document) -> Change:
    """A document in the layout of its house; one that cannot be tidied stays as it is.

    What no rule has had a look at, since it is no pattern, is left out by its house, or has a
    house that cannot be used, is not tidied either.
    """
    if not document.rules:
        return Change([], list(document.troubles))
    done = tidied(document.pattern, document.house, document.rules)
    if done.reason:
        return Change([], [f"Left as it was. {done.reason}"])
    return Change(difference(document.source.text, done.after.source.text), [])


def translated(document: Document, to: str) -> Change:
    """A document in the terms ``to`` ("us" or "uk"); without edits where that cannot be."""
    source = document.source
    made = second_edition(source, to)
    if isinstance(made, Refusal):
        line = f"Line {source.line_of(made.at)}: n" if made.at >= 0 else "N"
        return Change([], [f"{line}ot translated: {made.why}."])
    if not made.changed:
        return Change([], [f"The pattern is in {to.upper()} terms already."])
    remarks = [
        f"Line {source.line_of(left.span.start)}: "
        f"\u201c{' '.join(source.quote(left.span).split())}\u201d is left as it is, "
        f"since {left.why}."
        for left in made.left
    ]
    return Change(difference(source.text, made.text), remarks)
