"""Terms: whether US or UK stitch names are meant, and readings that differ between makers."""

from __future__ import annotations

import re
from collections.abc import Iterator

from proofhook.counting.result import RowTally, Verdict
from proofhook.expressions import expression
from proofhook.pattern import Each, Group, Repeat, Step
from proofhook.proofing import Finding, Grade, Mend, Option, ProofContext, rule
from proofhook.text import Edit, Span
from proofhook.trade.terms import Evidence, Sign, evidence
from proofhook_rules.wording import joined, sentence, shown

#: Stitch names that stand for one stitch in US and another in UK terms, or for one side only.
TELLS_SIDES = expression(
    r"(?<![A-Za-z])(?:\d\s?)?(?:[ds]c|hdc|h?d?tr|trtr|double crochet|(?:half )?treble)"
    r"s?(?:\d?tog)?(?![A-Za-z])",
    re.IGNORECASE,
)
SIDES = {"us": "US", "uk": "UK"}


ALWAYS = Option("even-where-clear", False, "ask too where a word such as 'sc' shows which it is")


@rule("terms-unstated", Grade.QUERY, ALWAYS)
def terms_unstated(context: ProofContext) -> Iterator[Finding]:
    """The pattern says whether it uses US or UK terms.

    "dc" and "tr" are different stitches in the two; a maker used to the other set makes
    another fabric in another size.  A pattern with a stitch in it that only one set has
    ("sc", "htr") is not asked about, unless the house wants that.

    Flagged:

        Row 1: Ch 12, dc in 4th ch from hook and in each ch across. (10)

    Passes:

        UK terms are used.

        Row 1: Ch 12, tr in 4th ch from hook and in each ch across. (10)
    """
    if context.pattern.terms_stated is not None:
        return
    for row in context.tally.rows:
        found = TELLS_SIDES.search(
            context.pattern.source.text, row.row.body.start, row.row.body.end
        )
        if found:
            weighed = evidence(context.pattern.source.text)
            if weighed.of("us", "stated") or weighed.of("uk", "stated") or weighed.conflict:
                return
            if weighed.decided_by == "strong" and not context.options[ALWAYS.name]:
                return
            yield context.finding(
                Span(*found.span()),
                f"The pattern does not say whether {shown(found[0])} is a US or a UK term.",
                row=row,
                working=_reasons(weighed),
                mends=[Mend(f"Say it before the rows: “{_guess(weighed)}”.")],
            )
            return


def _guess(weighed: Evidence) -> str:
    return f"{SIDES[weighed.terms]} terms" if weighed.terms else "US terms” or “UK terms"


def _reasons(weighed: Evidence) -> str:
    """What the words point to, where they do."""
    signs = [s for s in weighed.signs if s.side == weighed.terms and s.weight == weighed.decided_by]
    if not signs:
        return "Nothing else in the text decides it."
    words = joined([shown(sign.words) for sign in signs[:3]])
    return f"{words} {'points' if len(signs) == 1 else 'point'} to {SIDES[weighed.terms]} terms."


@rule("terms-mixed", Grade.ERROR)
def terms_mixed(context: ProofContext) -> Iterator[Finding]:
    """Words of US and of UK terms do not stand side by side.

    A pattern with "sc" and "htr" in it belongs to no set of terms: the maker cannot know
    which stitch any "dc" is.  Only words that prove a side are weighed; which side is
    meant, the designer decides.

    Flagged:

        US terms are used.

        Row 1: Ch 12, sc in 2nd ch from hook and in each ch across. (11)
        Row 2: Ch 2 (does not count as a st), htr in each st across. (11)

    Passes:

        US terms are used.

        Row 1: Ch 12, sc in 2nd ch from hook and in each ch across. (11)
        Row 2: Ch 2 (does not count as a st), hdc in each st across. (11)
    """
    weighed = evidence(context.pattern.source.text)
    if not weighed.conflict or _gives_both(weighed):
        return
    stated = {side for side in SIDES if weighed.of(side, "stated")}
    strong = {
        side: [s for s in weighed.of(side, "strong") if _rows_with(context, s)] for side in SIDES
    }
    if len(stated) > 1:
        return  # a text that names both sets explains itself
    side = _odd_side(stated, strong)
    if not side:
        return
    sign = min(strong[side], key=lambda each: each.spans[0])
    row, span = _rows_with(context, sign)[0]
    against = _against(stated, strong, side)
    yield context.finding(
        span,
        sentence(f"{shown(context.quote(span))} is a word of {SIDES[side]} terms, but {against}"),
        row=row,
        working=_weights(strong),
        mends=[Mend("Decide which terms are meant, and put every stitch name in them.")],
    )


def _gives_both(weighed: Evidence) -> bool:
    """Whether the words of the text are those of a conversion table: each side has many."""
    return all(len(weighed.of(side, "strong")) >= 4 for side in SIDES)


def _rows_with(context: ProofContext, sign: Sign) -> list[tuple[RowTally, Span]]:
    """Where a word stands in the rows."""
    return [
        (row, span)
        for span in sign.spans
        for row in context.tally.rows
        if row.row.span.start <= span.start < row.row.span.end
    ]


def _odd_side(stated: set[str], strong: dict[str, list[Sign]]) -> str:
    """The side whose words do not belong: not the stated one, else the one with fewer words."""
    if stated:
        (side,) = stated
        other = "uk" if side == "us" else "us"
        return other if strong[other] else ""
    if not all(strong.values()):
        return ""
    return min(strong, key=lambda side: sum(len(sign.spans) for sign in strong[side]))


def _against(stated: set[str], strong: dict[str, list[Sign]], side: str) -> str:
    other = "uk" if side == "us" else "us"
    if stated:
        return f"the pattern says that it uses {SIDES[other]} terms"
    return f"{shown(strong[other][0].words)} is one of {SIDES[other]} terms"


def _weights(strong: dict[str, list[Sign]]) -> str:
    return "; ".join(
        f"{SIDES[side]}: " + ", ".join(f"{shown(s.words)} {len(s.spans)} ×" for s in signs[:4])
        for side, signs in strong.items()
        if signs
    )


#: "5 times" after "rep from *": one pass is done already, so it may mean 5 or 6 in all.
TIMES = expression(r"[\s*]*(?P<count>\d+)\s*(?P<times>times|x|\u00d7)", re.IGNORECASE)


@rule("count-ambiguous", Grade.QUERY)
def count_ambiguous(context: ProofContext) -> Iterator[Finding]:
    """No wording is left that makers count in two ways.

    "Rep from * 5 times" comes after one pass that is worked already: some makers then
    work five more, some stop at five in all.  A total settles it; without one the row
    needs "more" or "in all".

    Flagged:

        Rnd 1: 6 sc in a magic ring. (6)
        Rnd 2: *2 sc in next st; rep from * 5 times.

    Passes:

        Rnd 1: 6 sc in a magic ring. (6)
        Rnd 2: *2 sc in next st; rep from * 5 more times. (12)
    """
    for row in context.tally.rows:
        for problem in row.problems:
            if problem.kind == "reading":
                yield context.finding(problem.span, sentence(problem.message), row=row)
        if row.verdict is Verdict.UNSTATED and not any(p.kind == "reading" for p in row.problems):
            for repeat in _doubtful(row.row.steps):
                yield from _two_ways(context, row, repeat)


def _doubtful(steps: tuple[Step, ...]) -> Iterator[Repeat]:
    for step in steps:
        if isinstance(step, Repeat) and step.doubtful:
            yield step
        if isinstance(step, (Repeat, Group)):
            yield from _doubtful(step.steps)
        elif isinstance(step, Each):
            yield from _doubtful(tuple(step.works))


def _two_ways(context: ProofContext, row: RowTally, repeat: Repeat) -> Iterator[Finding]:
    span = repeat.span.moved(row.row.body.start)
    found = TIMES.match(context.pattern.source.text, span.end, row.row.span.end)
    if not found:
        return
    count = int(found["count"])
    at = found.end("count")
    yield context.finding(
        Span(span.end - 1 if span.end else 0, found.end()),
        sentence(
            f"{shown(found[0].strip(' *'))} after the first time may mean {count} or {count + 1} "
            "times in all, and no total settles it"
        ),
        row=row,
        mends=[
            Mend(
                f"Say “{count} more times”, if {count + 1} times in all are meant.",
                False,
                (Edit(at, found.end("times"), " more times"),),
            ),
            Mend(f"Say “{count} times in all”, if that is meant."),
        ],
    )


RULES = (terms_unstated, terms_mixed, count_ambiguous)
