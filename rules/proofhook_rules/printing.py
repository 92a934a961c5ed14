"""Printing: capitals, full stops, ranges and inches as the house sets them."""

from __future__ import annotations

from collections.abc import Iterator

from proofhook import expressions as rx
from proofhook.counting.result import RowTally
from proofhook.expressions import expression
from proofhook.proofing import Finding, Grade, Mend, Option, ProofContext, rule
from proofhook.text import Edit, Span
from proofhook.trade.units import measures, unit_of
from proofhook_rules.wording import sentence, shown

CAPITAL = Option("capital", "", "how a row begins after its label", ("", "capital", "small"))
STOP = Option("stop", "", "whether a row ends with a full stop", ("", "always", "never"))
RANGES = {"en dash": "\u2013", "hyphen": "-", "to": " to "}
RANGE = Option("range", "", "how the rows of a range are joined", ("", *RANGES))
INCH = Option("inch", "", "how inches are written", ("", "in", "in.", '"', "inches"))
_RANGE = expression(r"(?<=\d)(?P<mark>\s*[-\u2013\u2014]\s*|\s+to\s+)(?=\d)")


@rule("house-print", Grade.STYLE, CAPITAL, STOP, RANGE, INCH)
def house_print(context: ProofContext) -> Iterator[Finding]:
    """Rows begin and end, and ranges and inches are written, as the house sets them.

    Nothing is wanted unless the style sheet says so.  Each wish gives one finding for the
    whole pattern, and one mend for all places.

    House:

        [rules.house-print]
        capital = "capital"
        stop = "always"
        range = "en dash"
        inch = "in"

    Flagged:

        It is 4 inches across.

        Rnd 1: 6 sc in a magic ring (6)
        Rnds 2-3: sc in each st around (6)

    Passes:

        It is 4 in across.

        Rnd 1: 6 sc in a magic ring (6).
        Rnds 2–3: Sc in each st around (6).
    """
    wishes = (
        ("capital", "begins a row with a {wish} letter", _capitals),
        ("stop", "{wish} ends a row with a full stop", _stops),
        ("range", "joins the rows of a range with {wish}", _ranges),
    )
    for option, words, edits_of in wishes:
        wish = str(context.options[option])
        rows = context.tally.rows if wish else ()
        edits = [(row, edit) for row in rows for edit in edits_of(context, row, wish)]
        if edits:
            yield _finding(context, edits[0][0], words, wish, [edit for _, edit in edits])
    wish = str(context.options["inch"])
    inches = list(_inches(context, wish)) if wish else []
    if inches:
        yield _finding(context, None, "writes inches {wish}", shown(wish), inches)


def _finding(
    context: ProofContext, row: RowTally | None, words: str, wish: str, edits: list[Edit]
) -> Finding:
    first = Span(edits[0].start, max(edits[0].end, edits[0].start))
    times = f" ({len(edits)} places)" if len(edits) > 1 else ""
    told = words.format(wish="an en dash" if wish == "en dash" else wish)
    return context.finding(
        first,
        sentence(f"the house {told}{times}"),
        row=row,
        mends=[Mend("Write it so throughout.", True, tuple(edits))],
    )


def _capitals(context: ProofContext, row: RowTally, wish: str) -> Iterator[Edit]:
    """The first letter of the words after a label; capitals that belong to a name stay."""
    body = context.quote(row.row.body)
    found = rx.match(r"\W*([A-Za-z])([a-z]*)", body)
    if row.row.label is None or not found or (wish == "small" and body[: found.end(1)].isdigit()):
        return
    if rx.match(r"\W*\d", body):
        return
    letter = found[1].upper() if wish == "capital" else found[1].lower()
    if letter != found[1] and (wish == "capital" or found[2]):
        start = row.row.body.start + found.start(1)
        yield Edit(start, start + 1, letter)


def _stops(context: ProofContext, row: RowTally, wish: str) -> Iterator[Edit]:
    words = context.quote(row.row.span).rstrip()
    end = row.row.span.start + len(words)
    if wish == "always" and words[-1:] not in ".!?*:;":
        yield Edit(end, end, ".")
    elif (
        wish == "never"
        and rx.search(r"[\w)\]}]\.$", words)
        and not words.endswith((" st.", " sts."))
    ):
        yield Edit(end - 1, end, "")


def _ranges(context: ProofContext, row: RowTally, wish: str) -> Iterator[Edit]:
    if row.row.label is None:
        return
    label = row.row.label.span
    for found in _RANGE.finditer(context.pattern.source.text, label.start, label.end):
        if found["mark"] != RANGES[wish]:
            yield Edit(found.start(), found.end(), RANGES[wish])


def _inches(context: ProofContext, wish: str) -> Iterator[Edit]:
    """The unit of every measure in inches outside the rows."""
    rows = [row.row.span for row in context.tally.rows]
    text = context.pattern.source.text
    for measure in measures(text):
        found = rx.search(r'[A-Za-z]+\.?$|["\u2033\u201d]$', context.quote(measure.span))
        if measure.unit != "in" or not found:
            continue
        if any(row.start <= measure.span.start < row.end for row in rows):
            continue
        start, end = measure.span.start + found.start(), measure.span.end
        dotted = text[end : end + 1] == "." and rx.match(
            r"\.\s*(?:[a-z(,;]|$)", text[end : end + 3]
        )
        end += 1 if dotted and unit_of(found[0]) == "in" else 0
        if text[start:end] != wish:
            space = "" if wish == '"' or text[start - 1 : start].isspace() else " "
            cut = start
            while wish == '"' and text[cut - 1 : cut] == " ":
                cut -= 1
            yield Edit(cut, end, f"{space}{wish}")


RULES = (house_print,)
