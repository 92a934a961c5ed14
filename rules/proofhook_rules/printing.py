"""Printing: rows, lists and measures laid out as the house has chosen."""

from __future__ import annotations

from collections.abc import Iterator

from proofhook.expressions import expression
from proofhook.proofing import Finding, Grade, Mend, ProofContext, rule
from proofhook.text import Edit, Span
from proofhook_rules.wording import sentence, shown

#: The words around a change that are shown with it.
_BEFORE, _AFTER = expression(r"(?:\b[A-Za-z]+[ \t]+)?\S*\Z"), expression(r"\S*")


@rule("house-print", Grade.STYLE)
def house_print(context: ProofContext) -> Iterator[Finding]:
    """Rows, lists and measures are laid out as the house has chosen.

    The choices are those of the table [tidy] in the style sheet, so that what is marked here
    is what `proofhook tidy` puts right.  What the sheet does not mention is let be.  Each
    choice gives one finding for the whole pattern, and one mend for all places.

    House:

        [tidy]
        after-label = "capital"
        row-end = "full-stop"
        range = "en-dash"
        inches = "in"

    Flagged:

        Materials
        A strap 4 inches long

        Rnd 1: 6 sc in a magic ring (6)
        Rnds 2-3: sc in each st around (6)

    Passes:

        Materials
        A strap 4 in long

        Rnd 1: 6 sc in a magic ring (6).
        Rnds 2–3: Sc in each st around (6).
    """
    if not context.house.tidy:
        return
    from proofhook.tidying.families import FAMILIES, edits_of
    from proofhook.tidying.page import Page
    from proofhook.tidying.settings import style_of

    page = Page(context.pattern, style_of(context.house))
    for family in FAMILIES:
        wish = context.house.tidy.get(family.setting, "")
        edits = edits_of(page, [family]) if isinstance(wish, str) and wish else []
        if edits:
            yield _finding(context, family.setting, wish, edits)


def _finding(context: ProofContext, setting: str, wish: object, edits: list[Edit]) -> Finding:
    first = edits[0]
    times = f", in {len(edits)} places" if len(edits) > 1 else ""
    old, new = _around(context, first)
    wanted = f"lays out {setting} otherwise"
    if old.split() != new.split():
        wanted = f"writes {shown(new)}, not {shown(old)}"
    row = next(
        (r for r in context.tally.rows if r.row.span.start <= first.start <= r.row.span.end), None
    )
    return context.finding(
        Span(first.start, max(first.end, first.start)),
        sentence(f"the house {wanted}{times}"),
        row=row,
        working=f"Its style sheet has {setting} = “{wish}”.",
        mends=[Mend("Write it so throughout.", True, tuple(edits))],
    )


def _around(context: ProofContext, edit: Edit) -> tuple[str, str]:
    """The words around a change as they are and as they would be."""
    source = context.pattern.source
    line = source.line_span(source.line_of(edit.start))
    before = _BEFORE.search(source.text[line.start : edit.start])
    after = _AFTER.match(source.text, edit.end)
    head, tail = before[0] if before else "", after[0] if after else ""
    return f"{head}{source.text[edit.start : edit.end]}{tail}", f"{head}{edit.text}{tail}"


RULES = (house_print,)
