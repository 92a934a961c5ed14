"""Written out: abbreviations and repeats that cost a maker more than they save."""

from __future__ import annotations

import re
from collections.abc import Iterator

from proofhook.counting.result import RowTally
from proofhook.expressions import expression
from proofhook.pattern import Definition, Each, Group, Repeat, Step
from proofhook.proofing import Finding, Grade, Mend, Option, ProofContext, rule
from proofhook.text import Edit, Span
from proofhook.trade.stitches import parse_stitch
from proofhook_rules.lists import abbreviation_list, alone_on_its_line, line_cut, names_of
from proofhook_rules.wording import often, sentence, shown

USES = Option("least", 2, "the fewest uses that make an abbreviation worth explaining")
#: In so few rows most words come once.
FEWEST_ROWS = 6
#: Abbreviations that every maker reads like words, and a word that lists explain.
_LIKE_WORDS = frozenset(
    "ch st sts sp sps ss rnd rnds lp lps yo yoh yrh tch tog inc dec miss".split()
)
_PLAIN_NAME = expression(r"[a-z]{2,8}")
_PLAIN_MEANING = expression(r"[A-Za-z]+(?:[ -][A-Za-z]+){0,2}")


@rule("abbreviation-once", Grade.STYLE, USES)
def abbreviation_once(context: ProofContext) -> Iterator[Finding]:
    """An abbreviation that is explained is used more than once.

    A maker who meets "foll" once in the whole pattern goes to the list for it; the word
    itself takes no more room.  Stitches are abbreviated everywhere and are let be, as are
    names in capitals (RS, MC) and short patterns, in which most things come once.

    Flagged:

        Abbreviations
        ch: chain
        foll: following
        sc: single crochet

        Row 1: Ch 7, sc in 2nd ch from hook and in each ch across, turn. (6)
        Row 2: Ch 1, sc in each st across, turn. (6)
        Row 3: Ch 1, sc in each of the foll 6 sts, turn. (6)
        Row 4: Ch 1, sc in each st across, turn. (6)
        Row 5: Ch 1, sc in each st across, turn. (6)
        Row 6: Ch 1, sc in each st across. (6)

    Passes:

        Abbreviations
        ch: chain
        sc: single crochet
        st: stitch

        Row 1: Ch 7, sc in 2nd ch from hook and in each ch across, turn. (6)
        Row 2: Ch 1, sc in each st across, turn. (6)
        Row 3: Ch 1, sc in each of the following 6 sts, turn. (6)
        Row 4: Ch 1, sc in each st across, turn. (6)
        Row 5: Ch 1, sc in each st across, turn. (6)
        Row 6: Ch 1, sc in each st across. (6)
    """
    if len(context.pattern.rows) < FEWEST_ROWS:
        return
    least = context.options[USES.name]
    for entry in abbreviation_list(context.pattern).entries:
        name = next(iter(names_of(entry)), "")
        if not _PLAIN_NAME.fullmatch(name) or name in _LIKE_WORDS or parse_stitch(name):
            continue
        if len(names_of(entry)) > 1 or not _PLAIN_MEANING.fullmatch(entry.meaning):
            continue  # what takes a sentence to say is not written out
        uses = _uses(context, entry, name)
        if uses and isinstance(least, int) and len(uses) < least:
            times = often(len(uses))
            rows = context.tally.rows
            at = uses[0].start
            row = next((r for r in rows if r.row.span.start <= at < r.row.span.end), None)
            yield context.finding(
                uses[0],
                sentence(f"{shown(name)} is explained in the list and used only {times}"),
                row=row,
                mends=[_written_out(context, entry, name, uses)],
            )


def _uses(context: ProofContext, entry: Definition, name: str) -> list[Span]:
    """Where a name stands outside its own entry, with a plural or a full stop or without."""
    words = re.compile(rf"(?<![\w-]){re.escape(name)}(?:e?s)?(?![\w-])", re.IGNORECASE)
    return [
        Span(*found.span())
        for found in words.finditer(context.pattern.source.text)
        if not entry.span.start <= found.start() < entry.span.end
    ]


def _written_out(context: ProofContext, entry: Definition, name: str, uses: list[Span]) -> Mend:
    title = f"Write {shown(entry.meaning)} there, and take {shown(name)} off the list."
    plain = all(context.quote(use).lower() == name for use in uses)
    if not plain or not alone_on_its_line(context.pattern, entry):
        return Mend(title)
    cut = line_cut(context.pattern, entry.span)
    meaning = entry.meaning[:1].lower() + entry.meaning[1:]
    edits = [Edit(use.start, use.end, meaning) for use in uses]
    return Mend(title, False, tuple(sorted([*edits, Edit(cut.start, cut.end, "")])))


LEAST = Option("least", 3, "the fewest times that a repeat of its own is worth its marks")
LONGEST = Option("longest", 1, "the most steps that a repeat worked less often may have")


@rule("repeat-short", Grade.STYLE, LEAST, LONGEST)
def repeat_short(context: ProofContext) -> Iterator[Finding]:
    """A single stitch that comes twice is written twice.

    "(Sc in next st) twice" makes a maker look for the end of the bracket and for the count
    behind it; "sc in next st, sc in next st" is read as it is worked.  A house may want the
    same of longer repeats that are worked fewer than three times.

    Flagged:

        Rnd 1: 6 sc in a magic ring. (6)
        Rnd 2: (2 sc in next st) twice, sc in next 4 sts. (8)

    Passes:

        Rnd 1: 6 sc in a magic ring. (6)
        Rnd 2: 2 sc in next st, 2 sc in next st, sc in next 4 sts. (8)
    """
    for row in context.tally.rows:
        for repeat in _repeats(row.row.steps):
            yield from _too_short(context, row, repeat)


def _repeats(steps: tuple[Step, ...]) -> Iterator[Repeat]:
    for step in steps:
        if isinstance(step, Repeat):
            yield step
        if isinstance(step, (Repeat, Group)):
            yield from _repeats(step.steps)
        elif isinstance(step, Each):
            yield from _repeats(tuple(step.works))


#: A bracketed repeat: what is in it, and how often.
_BRACKETED = expression(r"(?P<open>[(\[{])\s*(?P<body>[^()\[\]{}*]+?)\s*[)\]}][^()\[\]{}*]*")


def _too_short(context: ProofContext, row: RowTally, repeat: Repeat) -> Iterator[Finding]:
    least, longest = context.options[LEAST.name], context.options[LONGEST.name]
    if repeat.times is None or repeat.implied or repeat.doubtful or repeat.cut is not None:
        return
    every = {times + bool(repeat.more) for times in repeat.times}
    if not (isinstance(least, int) and isinstance(longest, int)) or len(every) != 1:
        return
    (times,) = every
    span = repeat.span.moved(row.row.body.start)
    found = _BRACKETED.fullmatch(context.pattern.source.text, span.start, span.end)
    if not 1 < times < least or len(repeat.steps) > longest or not found:
        return
    body = found["body"]
    words = ", ".join([body, *[body[:1].lower() + body[1:]] * (times - 1)])
    sure = "," not in body and "\n" not in body
    what = "one stitch" if len(repeat.steps) == 1 else f"{len(repeat.steps)} steps"
    worked = "twice" if times == 2 else f"{times} times"
    yield context.finding(
        span,
        sentence(f"{shown(found[0])} marks as a repeat what is {what}, worked {worked}"),
        row=row,
        mends=[Mend(f"Write it out: {shown(words)}.", sure, (Edit(span.start, span.end, words),))],
    )


RULES = (abbreviation_once, repeat_short)
