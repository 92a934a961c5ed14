"""Chain spaces: one way to write "ch-2 sp" in one pattern."""

from __future__ import annotations

import re

from proofhook.counting.result import RowTally
from proofhook.expressions import expression
from proofhook.proofing import Finding, Mend, ProofContext
from proofhook.records import NamedTuple
from proofhook.text import Edit, Span
from proofhook_rules.wording import joined, often, sentence, shown

#: "ch-2 sp", "ch2-sp", "ch 2 space", "2-ch sp", "2ch-sp": the chains, a link and "sp".  "2 ch sps"
#: may be two spaces, and is left out; so is "ch 2" without a place to work into before it.
_SPACE = expression(
    r"(?<![\w-])(?:(?P<ch>ch)(?P<link>-|(?<=(?<![\w-])ch) ?)(?P<n>\d{1,2})"
    r"|(?P<m>\d{1,2})(?P<unlink>-?)(?P<hc>ch))(?P<to>-| )(?=sps?\b|spaces?\b|lps?\b|loops?\b)",
    re.IGNORECASE,
)
#: "In next", "each" and the like, or the number of a total: the words after it name a place.
_PLACED = expression(
    r"(?:\b(?:next|each|every|first|last|same|that|this|the|corner|in|into|of|to|a)|\d|[*(])\s+$",
    re.IGNORECASE,
)


class Form(NamedTuple):
    """How a chain space is written: the number first or last, and what links the parts."""

    number_first: bool
    link: str
    to: str

    def words(self, number: str, ch: str = "ch") -> str:
        """A space of so many chains, up to the word for the space."""
        parts = (number, self.link, ch) if self.number_first else (ch, self.link, number)
        return "".join(parts) + self.to


class Use(NamedTuple):
    """A chain space in the rows: its words up to "sp", and the form that they have."""

    row: RowTally
    span: Span
    form: Form
    number: str
    ch: str


def chain_space_forms(context: ProofContext, preferred: tuple[str, ...]) -> Finding | None:
    """The finding for a pattern whose rows write chain spaces in more than one way.

    The form of the house ("ch-2 sp" among the ``preferred``) goes first, then the one that
    the rows use most.
    """
    uses = _uses(context)
    house = [form for words in preferred if (form := _form_of(words)) is not None]
    counts: dict[Form, int] = {}
    for use in uses:
        counts[use.form] = counts.get(use.form, 0) + 1
    wanted = house[0] if house else max(counts, key=lambda form: counts[form], default=None)
    others = [use for use in uses if use.form != wanted]
    if wanted is None or not others:
        return None
    return _finding(context, wanted, counts, others)


def _uses(context: ProofContext) -> list[Use]:
    text = context.pattern.source.text
    if "ch" not in text and "CH" not in text and "Ch" not in text:
        return []
    found: list[Use] = []
    for row in context.tally.rows:
        for match in _SPACE.finditer(text, row.row.span.start, row.row.span.end):
            loose = match["ch"] is not None and match["link"] == " "
            if loose and not _PLACED.search(text, max(0, match.start() - 12), match.start()):
                continue
            span = Span(*match.span())
            number, ch = match["n"] or match["m"], match["ch"] or match["hc"]
            found.append(Use(row, span, _form(match), number, ch))
    return found


def _form(match: re.Match[str]) -> Form:
    first = match["m"] is not None
    return Form(first, match["unlink"] if first else match["link"], match["to"])


def _form_of(words: str) -> Form | None:
    """The form that an example of it has: "ch-2 sp"; None for other words."""
    match = _SPACE.match(words)
    return _form(match) if match else None


def _finding(
    context: ProofContext, wanted: Form, counts: dict[Form, int], others: list[Use]
) -> Finding:
    edits = tuple(
        Edit(use.span.start, use.span.end, wanted.words(use.number, use.ch)) for use in others
    )
    number = others[0].number
    told = {form: shown(form.words(number) + "sp") for form in (wanted, *counts)}
    counted = [f"{told[form]} {often(count)}" for form, count in counts.items()]
    message = (
        f"the chain space is written in more than one way: {joined(counted)}"
        if wanted in counts
        else f"the chain space is written {joined([told[form] for form in counts])}; "
        f"the house writes {told[wanted]}"
    )
    return context.finding(
        others[0].span,
        sentence(message),
        row=others[0].row,
        mends=[Mend(f"Write {told[wanted]} throughout the rows.", True, edits)],
    )
