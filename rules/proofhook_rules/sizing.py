"""Sizes: lists of as many values as there are sizes, in order, and what the gauge gives."""

from __future__ import annotations

import re
from collections.abc import Iterator
from fractions import Fraction
from itertools import pairwise

from proofhook import expressions as rx
from proofhook.expressions import expression
from proofhook.passages import found_in
from proofhook.pattern import Pattern
from proofhook.proofing import Finding, Grade, Mend, ProofContext, rule
from proofhook.text import Span
from proofhook.trade import units
from proofhook_rules.around import once, sections_of
from proofhook_rules.wording import sentence, shown

_FIGURE = r"(?:\d{1,4}(?:\.\d{1,2})?(?:\s?[\u00bc-\u00be]|[ -]\d/\d)?|[\u00bc-\u00be])"
_SLOT = rf"(?:{_FIGURE}|[-\u2013\u2014])"
_LIST = expression(
    rf"(?<![\w.,/:-])(?P<first>{_SLOT})\s?[(\[]\s*(?P<rest>{_SLOT}(?:\s*[,;/:]\s*{_SLOT}){{1,15}})\s*[)\]]"
)


#: "12 (14) sts", one figure in brackets before what is counted: a list that is cut short.
_SHORT = expression(
    r"(?<![\w.,/:-])(?P<first>\d{1,3}(?:\.\d)?)\s?[(\[]\s*(?P<rest>\d{1,3}(?:\.\d)?)\s*[)\]]"
    r"(?=\s+(?:more\s+times|yds?|yards|sts?|stitches|ch|chains?|rows?|rnds?|rounds?|times|sc|hdc|dc|htr|tr|cm|in|inches|g|balls?|skeins?)\b)"
)


@once
def _lists(pattern: Pattern) -> tuple[tuple[Span, tuple[str, ...]], ...]:
    """Every list of figures for sizes in the text: its span and its values."""
    return tuple(
        (
            Span(*found.span()),
            (
                found["first"],
                *(part.strip() for part in rx.split(r"[,;/:]", found["rest"])),
            ),
        )
        for found in sorted(
            (*found_in(_LIST, pattern.source.text), *found_in(_SHORT, pattern.source.text)),
            key=lambda found: found.start(),
        )
        if not ("/" in found["rest"] and rx.search(r"\d/\d", found["rest"]))
    )


@rule("size-values", Grade.ERROR)
def size_values(context: ProofContext) -> Iterator[Finding]:
    """A list of figures for sizes has one figure for each size.

    With one too few or too many, nobody knows which figure is theirs.  A dash or a 0
    stands for a size that works nothing here.

    Flagged:

        Sizes: S (M, L, XL)

        Ch 13 (15, 17, 19).
        Row 1: Sc in 2nd ch from hook and in each ch across, turn. (12 (14, 16, 18))
        Row 2: Ch 1, sc in next 12 (14, 16) sts, turn.

    Passes:

        Sizes: S (M, L, XL)

        Ch 13 (15, 17, 19).
        Row 1: Sc in 2nd ch from hook and in each ch across, turn. (12 (14, 16, 18))
        Row 2: Ch 1, sc in next 12 (14, 16, 18) sts, turn.
    """
    sizes = context.pattern.sizes
    lists = _lists(context.pattern)
    right = [span for span, values in lists if len(values) == len(sizes)]
    if len(sizes) < 3 or not right:
        return
    some = [(row.span, len(row.sizes)) for row in context.pattern.rows if row.sizes]
    text = context.pattern.source.text
    for span, values in lists:
        line = context.pattern.source.line_span(context.pattern.source.line_of(span.start))
        above = text[max(0, line.start - 80) : line.start].rstrip().rpartition("\n")[2]
        heads = rx.search(r"\bonly\W{0,4}$", above, re.IGNORECASE)
        near = (above if heads else "") + text[line.start : line.end]
        fits_some = any(
            where.start <= span.start < where.end and count == len(values) for where, count in some
        )
        after_dash = values[0] in "-\u2013\u2014" and len(values) - 1 == len(sizes)
        if (
            len(values) == len(sizes)
            or fits_some
            or after_dash
            or rx.search(r"\bonly\b", near, re.IGNORECASE)
        ):
            continue
        what = "few" if len(values) < len(sizes) else "many"
        yield context.finding(
            span,
            sentence(f"{shown(context.quote(span))} has too {what} figures"),
            working=f"{len(values)} figures for {len(sizes)} sizes: {', '.join(sizes)}.",
            mends=[Mend("Give one figure for each size, with a dash where there is none.")],
        )


@rule("size-order", Grade.QUERY)
def size_order(context: ProofContext) -> Iterator[Finding]:
    """Measurements and amounts do not go down where the sizes go up.

    A larger size that is narrower, or takes less yarn, is mostly two figures that have
    changed places.

    Flagged:

        Sizes: S (M, L)
        Chest: 80 (96, 88) cm

        Ch 13 (15, 17).
        Row 1: Sc in 2nd ch from hook and in each ch across, turn. (12 (14, 16))

    Passes:

        Sizes: S (M, L)
        Chest: 80 (88, 96) cm

        Ch 13 (15, 17).
        Row 1: Sc in 2nd ch from hook and in each ch across, turn. (12 (14, 16))
    """
    pattern = context.pattern
    if len(pattern.sizes) < 2:
        return
    spans = (*sections_of(pattern, "size"), *sections_of(pattern, "materials"))
    for span, values in _lists(pattern):
        if len(values) != len(pattern.sizes):
            continue
        if not any(each.start <= span.start < each.end for each in spans):
            continue
        figures = [value for value in map(_value, values) if value]
        if any(more < less for less, more in pairwise(figures)):
            yield context.finding(
                span,
                sentence(f"{shown(context.quote(span))} goes down from one size to the next"),
                mends=[Mend("Check the order of the figures.")],
            )


def _value(words: str) -> Fraction | None:
    """The value of a slot, None for a dash."""
    try:
        return units.exact(words)
    except ValueError:
        return None


RULES = (size_values, size_order)
