"""The figures of rows, as hints in the text."""

from __future__ import annotations

from collections.abc import Iterator

from lsprotocol import types

from proofhook.counting.result import RowTally, Verdict
from proofhook.editor.document import Document
from proofhook.showing.tally_page import amount
from proofhook.text import Span


def hints(document: Document, span: Span) -> Iterator[types.InlayHint]:
    """What rows make, at the end of each that states no total or another one."""
    for tallied in document.tally.rows:
        end = tallied.row.span.end
        words = _hint(tallied)
        if words and span.start <= end <= span.end:
            yield types.InlayHint(
                document.places.position(end),
                words,
                tooltip=tallied.working or None,
                padding_left=True,
            )


def _hint(tallied: RowTally) -> str:
    if tallied.verdict is Verdict.UNSTATED and tallied.worked:
        return f"= {made(tallied)}"
    if tallied.verdict is Verdict.DIFFERS:
        return f"\u2260 {made(tallied)}"
    return ""


def made(tallied: RowTally) -> str:
    """What a row makes: every unit of its total."""
    return ", ".join(f"{amount(unit.worked)} {unit.unit}".strip() for unit in tallied.units)


def stated(tallied: RowTally) -> str:
    """What a row states."""
    return ", ".join(f"{amount(unit.stated)} {unit.unit}".strip() for unit in tallied.units)


def row_words(document: Document, tallied: RowTally) -> str:
    """A row in words: what it makes, what it states, and how that was worked out."""
    name = tallied.row.name or "This row"
    if tallied.verdict is Verdict.UNREAD:
        quoted = [" ".join(document.source.quote(span).split()) for span in tallied.unread]
        not_read = "; ".join(f"\u201c{words}\u201d" for words in quoted)
        why = f"{not_read} is not understood" if not_read else tallied.reason
        return f"{name} is not worked out: {why}." if why else f"{name} is not worked out."
    if not tallied.worked:
        return ""
    if tallied.verdict is Verdict.DIFFERS:
        said = f"{name} makes {made(tallied)}, but states {stated(tallied)}."
    elif tallied.verdict is Verdict.AGREES:
        said = f"{name} makes {made(tallied)}, as it states."
    else:
        said = f"{name} makes {made(tallied)}."
    return f"{said}\n{tallied.working}" if tallied.working else said
