"""Terms: whether US or UK stitch names are meant, and readings that differ between makers."""

from __future__ import annotations

import re
from bisect import bisect_right
from collections.abc import Iterator

from proofhook.counting.result import RowTally, Verdict
from proofhook.expressions import expression
from proofhook.pattern import Each, Group, Repeat, Step, Total, Which, Work
from proofhook.proofing import Finding, Grade, Mend, Option, ProofContext, rule
from proofhook.text import Edit, Span
from proofhook.trade.terms import Evidence, Sign, evidence, may_conflict
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
            proved = weighed.decided_by == "strong" and _by_a_stitch(weighed)
            if proved and not context.options[ALWAYS.name]:
                return
            start = found.end() - len(found[0].lstrip("0123456789 "))
            yield context.finding(
                Span(start, found.end()),
                f"The pattern does not say whether {shown(found[0][start - found.end() :])} is "
                "a US or a UK term.",
                row=row,
                working=_reasons(weighed),
                mends=[Mend(f"Say it before the rows: “{_guess(weighed)}”.")],
            )
            return


def _by_a_stitch(weighed: Evidence) -> bool:
    """Whether a stitch of one side only is among the words that decide; "tension" is none."""
    return any(
        sign.words not in ("tension", "miss", "missing", "gauge")
        for sign in weighed.of(weighed.terms, "strong")
    )


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
    if not may_conflict(context.pattern.source.text):
        return
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
    rows = context.tally.rows
    starts = [row.row.span.start for row in rows]
    beside = ((bisect_right(starts, span.start) - 1, span) for span in sign.spans)
    return [
        (rows[at], span) for at, span in beside if at >= 0 and span.start < rows[at].row.span.end
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


PLAINLY = Option("even-with-total", False, "ask too where the total settles it")
BARE = Option("bare", False, "ask about “2 sc” without a place, in one stitch or in two")


@rule("count-ambiguous", Grade.QUERY, PLAINLY, BARE)
def count_ambiguous(context: ProofContext) -> Iterator[Finding]:
    """No wording is left that makers count in two ways.

    "Rep from * 5 times" comes after one pass that is worked already: some makers then
    work five more, some stop at five in all.  "3 sc in next 3 sts" is one in each to some,
    and three in each to others.  A total settles it; without one the row needs "more" or
    "in all", or "each".  A house may want plain wording in any case, and every "2 sc" to say
    whether it goes into one stitch or over two.

    Flagged:

        Rnd 1: 6 sc in a magic ring. (6)
        Rnd 2: *2 sc in next st; rep from * 5 times.

    Passes:

        Rnd 1: 6 sc in a magic ring. (6)
        Rnd 2: *2 sc in next st; rep from * 5 more times. (12)
    """
    for row in context.tally.rows:
        if row.verdict is Verdict.UNSTATED or context.options[PLAINLY.name]:
            for repeat in _doubtful(row.row.steps):
                yield from _two_ways(context, row, repeat)
            for work in _each_or_all(row.row.steps):
                yield from _each_or_in_all(context, row, work)
        if context.options[BARE.name]:
            yield from _bare(context, row)


def _each_or_all(steps: tuple[Step, ...]) -> Iterator[Work]:
    """Every "3 sc in next 3 sts": as many stitches as places, and no "each"."""
    for step in steps:
        if isinstance(step, Work):
            place, count = step.place, step.count
            several = place is not None and place.which is Which.NEXT and min(place.count) > 1
            if place and several and not place.each and count == place.count:
                yield step
        elif isinstance(step, (Repeat, Group)):
            yield from _each_or_all(step.steps)


#: "2 sc" as a step by itself, with nothing that says where.
_BARE_COUNT = re.compile(
    r"(?<![\w-])(?P<n>[2-9]|\d\d)\s?(?P<st>sc|hdc|dc|htr|tr|dtr)(?=\s*(?:[,;.*)\]]|and\b|$))", re.I
)


def _bare(context: ProofContext, row: RowTally) -> Iterator[Finding]:
    """A finding for the first bare count of a row, outside its totals and groups."""
    held = [step.span.moved(row.row.body.start) for step in _with_a_place(row.row.steps)]
    body = row.row.body
    for found in _BARE_COUNT.finditer(context.pattern.source.text, body.start, body.end):
        if any(span.start <= found.start() < span.end for span in held):
            continue
        count, stitch = found["n"], found["st"]
        yield context.finding(
            Span(*found.span()),
            sentence(f"{shown(found[0])} may mean one in each of {count} sts or {count} in one"),
            row=row,
            mends=[
                Mend(f"Say “{stitch} in next {count} sts”, if one in each is meant."),
                Mend(f"Say “{count} {stitch} in next st”, if that is meant."),
            ],
        )
        return


def _with_a_place(steps: tuple[Step, ...]) -> Iterator[Step]:
    """The steps that say where they go, and totals; a repeat is looked into."""
    for step in steps:
        if isinstance(step, Repeat):
            yield from _with_a_place(step.steps)
        elif isinstance(step, Group | Each | Total) or (isinstance(step, Work) and step.place):
            yield step


#: "3 sc in next 3 sts", in the parts that a mend puts together anew.
EACH = expression(
    r"(?P<n>\d+)\s+(?P<st>[a-z][\w ]*?)\s+(?P<into>in(?:to)?)\s+(?:the\s+)?"
    r"(?P<next>next|following|foll)\s+(?P<places>\d+\s+[a-z]+)",
    re.IGNORECASE,
)


def _each_or_in_all(context: ProofContext, row: RowTally, work: Work) -> Iterator[Finding]:
    span = work.span.moved(row.row.body.start)
    found = EACH.match(context.pattern.source.text, span.start, row.row.span.end)
    if not found or found.end() < span.end:
        return
    count = int(found["n"])
    rest = f"{found['into']} each of {found['next']} {found['places']}"
    place = Span(*found.span())
    one, many = f"{found['st']} {rest}", f"{found['n']} {found['st']} {rest}"
    yield context.finding(
        place,
        sentence(
            f"{shown(found[0])} may mean {count} sts in all or {count} in each, {count * count} "
            "in all"
        ),
        row=row,
        mends=[
            Mend(f"Say “{one}”, if one in each is meant.",
                 edits=(Edit(place.start, place.end, one),)),
            Mend(f"Say “{many}”, if {count} in each are meant.",
                 edits=(Edit(place.start, place.end, many),)),
        ],
    )  # fmt: skip


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
            "times in all"
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
