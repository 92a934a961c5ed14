"""Variants: one form of an abbreviation in one pattern."""

from __future__ import annotations

import re
from collections.abc import Iterator

from proofhook import expressions as rx
from proofhook.counting.result import RowTally
from proofhook.expressions import Sought, expression
from proofhook.passages import kept
from proofhook.proofing import Finding, Grade, Mend, Option, ProofContext, rule
from proofhook.text import Edit, Span
from proofhook_rules.chain_spaces import chain_space_forms
from proofhook_rules.colours import colours_of_two_names
from proofhook_rules.lists import abbreviation_list, names_of
from proofhook_rules.wording import joined, often, sentence, shown

#: Each family: what it is called, and its forms as an expression without the plural.
FAMILIES: dict[str, dict[str, str]] = {
    "round": {
        "rnd": r"rnd",
        "round": r"round(?!\s+(?:the\s+|each\s+|next\s+|post\b))",
        "rd": r"rd(?=s?\.?\s*\d)",
    },
    "slip stitch": {"sl st": r"sl[ ]st", "slst": r"slst", "ss": r"ss(?!s)", "sl-st": r"sl-st"},
    "repeat": {"rep": r"rep", "rpt": r"rpt", "repeat": r"repeat"},
    "space": {"sp": r"sp", "space": r"space"},
    "back loop only": {"BLO": r"(?-i:BLO)", "blo": r"(?-i:blo)"},
    "front loop only": {"FLO": r"(?-i:FLO)", "flo": r"(?-i:flo)"},
    "yarn over": {"yo": r"(?-i:yo)", "YO": r"(?-i:YO)", "yoh": r"yoh"},
    "stitch": {"st": r"(?<!sl )(?<!sl-)(?<!v-)(?<!v )(?<!fan )(?<!shell )st", "stitch": r"stitch"},
}
EXPRESSIONS = {
    form: Sought(rf"(?<![\w-]){words}(?:e?s)?(?![\w-])", re.IGNORECASE, begins=form.lower())
    for forms in FAMILIES.values()
    for form, words in forms.items()
}
PLURALS = {"stitch": "stitches"}
#: "stitch" is compared only where "st" could stand: not in "slip stitch" or "stitch marker".
BEFORE_STITCH = expression(
    r"(?:\b(?:next|each|same|last|first|every|remaining|rem)\s+|\d\s+)$", re.I
)
AFTER_STITCH = expression(r"\s*(?:markers?|holders?|counters?|pattern)\b", re.I)

PREFER = Option("prefer", (), "forms that the house uses: 'rnd', 'sl st', 'ch-2 sp' and so on")


@rule("abbreviation-variants", Grade.STYLE, PREFER)
def abbreviation_variants(context: ProofContext) -> Iterator[Finding]:
    """An abbreviation has one form throughout the rows.

    A maker who meets "rnd" and "round", or "sl st" and "ss", in one pattern wonders
    whether two things are meant.  The form of the house goes first, then the one that
    the rows use most, then the one that the list explains.  A chain space has one form as
    well ("ch-2 sp", "ch2 sp" or "2-ch sp"), and a colour that the materials call "A (Rust)"
    goes by its letter or by its name, not now by the one and now by the other.

    Flagged:

        Rnd 1: 6 sc in a magic ring. (6)
        Rnd 2: 2 sc in each st around. (12)
        Round 3: Sc in each st around. (12)

    Passes:

        Rnd 1: 6 sc in a magic ring. (6)
        Rnd 2: 2 sc in each st around. (12)
        Rnd 3: Sc in each st around. (12)
    """
    prefer = context.options["prefer"]
    marks = context.house.rules.get("house-marks")
    label = str(marks.options.get("round-label", "")) if marks else ""
    wanted = (*(prefer if isinstance(prefer, tuple) else ()), label.lower())
    every = _uses(context)
    for family, forms in FAMILIES.items():
        uses = {form: every[form] for form in forms}
        form = _chosen(context, uses, [form for form in forms if form in wanted])
        others = {name: found for name, found in uses.items() if found and name != form}
        if form and others:
            yield _finding(context, family, form, uses, others)
    spaces = chain_space_forms(context, wanted)
    if spaces is not None:
        yield spaces
    yield from colours_of_two_names(context)


Use = tuple[RowTally, Span]


def _uses(context: ProofContext) -> dict[str, list[Use]]:
    """Where each form stands in the rows, whatever its capitals, singular and plural."""
    uses: dict[str, list[Use]] = {form: [] for form in EXPRESSIONS}
    for row in context.tally.rows:
        start = row.row.span.start
        for form, found in _forms_in(context.quote(row.row.span)):
            uses[form] += [(row, span.moved(start)) for span in found]
    return uses


@kept
def _forms_in(words: str) -> tuple[tuple[str, tuple[Span, ...]], ...]:
    """Where each form of any family stands in the words of a row; those that do."""
    lowered = words.lower()
    found = {
        form: tuple(
            Span(*match.span())
            for match in sought.each(words)
            if form != "stitch" or _stands_for_st(words, match)
        )
        for form, sought in EXPRESSIONS.items()
        if form.lower() in lowered
    }
    return tuple((form, spans) for form, spans in found.items() if spans)


def _stands_for_st(words: str, match: re.Match[str]) -> bool:
    before = words[max(0, match.start() - 12) : match.start()]
    return bool(BEFORE_STITCH.search(before)) and not AFTER_STITCH.match(words, match.end())


def _chosen(context: ProofContext, uses: dict[str, list[Use]], wanted: list[str]) -> str:
    """The form to use; "" where no form is used at all."""
    if not any(uses.values()):
        return ""
    if wanted:
        return wanted[0]
    listed = {
        rx.sub(r"\(.*", "", name.lower()).strip()
        for entry in abbreviation_list(context.pattern).entries
        for name in names_of(entry)
    }
    return max(uses, key=lambda form: (len(uses[form]), form in listed))


def _finding(
    context: ProofContext,
    family: str,
    form: str,
    uses: dict[str, list[Use]],
    others: dict[str, list[Use]],
) -> Finding:
    places = sorted(span for found in others.values() for _, span in found)
    row = next(row for found in others.values() for row, span in found if span == places[0])
    edits = tuple(
        Edit(span.start, span.end, _like(context.quote(span), form))
        for found in others.values()
        for _, span in found
    )
    counts = [f"{shown(name)} {often(len(found))}" for name, found in uses.items() if found]
    message = (
        f"{family} is written in more than one way: {joined(counts)}"
        if uses[form]
        else f"{family} is written {joined(map(shown, others))}; the house writes {shown(form)}"
    )
    return context.finding(
        places[0],
        sentence(message),
        row=row,
        mends=[Mend(f"Write {shown(form)} throughout the rows.", True, edits)],
    )


def _like(found: str, form: str) -> str:
    """The form with the capitals and the plural of the word it replaces."""
    if found.lower().endswith("s") and found.lower() != "ss":
        form = PLURALS.get(form, form + "s")
    if form.lower() == found.lower():
        return form
    if found.isupper() and len(found) > 2:
        return form.upper()
    return form[:1].upper() + form[1:] if found[:1].isupper() else form


RULES = (abbreviation_variants,)
