"""House: what the style sheet of a house wants otherwise: words, sections, marks."""

from __future__ import annotations

import re
from collections.abc import Iterator
from itertools import pairwise

from proofhook import expressions as rx
from proofhook.counting.result import RowTally
from proofhook.pattern import Repeat, Total
from proofhook.proofing import Finding, Grade, Mend, Option, ProofContext, rule
from proofhook.proofing.house import Wording
from proofhook.records import NamedTuple
from proofhook.text import Edit, Span
from proofhook.tidying.settings import BRACKETS, DASH
from proofhook.trade.headings import OwnHeadings, heading_kind, leading_heading, plain
from proofhook_rules.marks_of_rows import label_forms, turning_chains
from proofhook_rules.wording import joined, sentence, shown


@rule("house-wording", Grade.STYLE)
def house_wording(context: ProofContext) -> Iterator[Finding]:
    """The words are those that the house writes.

    The pairs stand in the style sheet, each as a table [[wording]] with what to write,
    what not, and the phrases in which the other words may stay.

    House:

        [[wording]]
        write = "magic ring"
        not = ["magic circle", "adjustable ring"]
        except = ["magic circle method"]

    Flagged:

        Rnd 1: 6 sc in a magic circle. (6)

    Passes:

        See our page on the magic circle method.

        Rnd 1: 6 sc in a magic ring. (6)
    """
    rows = context.tally.rows
    for pair in context.house.wording:
        for span in _unwanted(context.pattern.source.text, pair):
            found = context.quote(span)
            better = _with_capitals_of(found, pair.write)
            reason = f": {pair.because}" if pair.because else ""
            row = next((r for r in rows if r.row.span.start <= span.start < r.row.span.end), None)
            yield context.finding(
                span,
                sentence(f"the house writes {shown(pair.write)}, not {shown(found)}{reason}"),
                row=row,
                mends=[
                    Mend(
                        f"Write {shown(better)}.", pair.sure, (Edit(span.start, span.end, better),)
                    )
                ],
            )


def _unwanted(text: str, pair: Wording) -> Iterator[Span]:
    """Where the words stand that the house does not write, outside its exceptions."""
    kept = [m.span() for phrase in pair.unless for m in _words(phrase).finditer(text)]
    for words in pair.instead_of:
        for match in _words(words).finditer(text):
            start, end = match.span()
            if not any(first <= start and end <= last for first, last in kept):
                yield Span(start, end)


def _words(phrase: str) -> re.Pattern[str]:
    """The phrase as whole words, whatever its capitals and the blanks in it."""
    words = r"\s+".join(map(re.escape, phrase.split()))
    return re.compile(rf"(?<![\w]){words}(?![\w])", re.IGNORECASE)


def _with_capitals_of(found: str, words: str) -> str:
    if len(found) > 1 and found.isupper():
        return words.upper()
    return words[:1].upper() + words[1:] if found[:1].isupper() else words


class Heading(NamedTuple):
    """A heading of the text: its words, where they stand, and the kind of its section."""

    words: str
    span: Span
    kind: str


OPTIONAL = Option("optional", (), "sections of the house's list that may be missing")
ORDER = Option("in-order", True, "the sections stand in the order of the house's list")
NAMES = Option("by-name", True, "the headings have the very words of the house's list")


@rule("house-section", Grade.STYLE, OPTIONAL, ORDER, NAMES)
def house_section(context: ProofContext) -> Iterator[Finding]:
    """The sections of the house are there, under its names and in its order.

    The list stands in the style sheet as ``sections``.  A maker who has several patterns
    of one house then finds the hook and the gauge in the same place in each.

    House:

        sections = ["Materials", "Gauge"]

    Flagged:

        Gauge
        18 sts to 10 cm

        What you need
        Hook: 4 mm

        Rnd 1: 6 sc in a magic ring. (6)

    Passes:

        Materials
        Hook: 4 mm

        Gauge
        18 sts to 10 cm

        Rnd 1: 6 sc in a magic ring. (6)
    """
    wanted = context.house.sections
    if not wanted:
        return
    headings = _headings(context)
    own = context.pattern.own.headings
    found = {name: _found(name, headings, own) for name in wanted}
    optional = context.options[OPTIONAL.name]
    needed = [name for name in wanted if not (isinstance(optional, tuple) and name in optional)]
    missing = [name for name in needed if found[name] is None]
    if missing:
        yield _missing(context, missing)
    if context.options[NAMES.name]:
        yield from _misnamed(context, found)
    if context.options[ORDER.name]:
        yield from _out_of_order(context, found)


def _headings(context: ProofContext) -> list[Heading]:
    """Every heading, and every short line that could be one of the house's own."""
    source, found = context.pattern.source, []
    rows = [row.row.span for row in context.tally.rows]
    own = {plain(name) for name in context.house.sections}
    for number in range(1, len(source.line_starts()) + 1):
        line = source.line_span(number)
        if any(row.start <= line.start < row.end for row in rows):
            continue
        words = source.quote(line)
        heading = leading_heading(words, context.pattern.own.headings)
        if heading:
            span = Span(line.start + heading.start, line.start + heading.end)
            found.append(Heading(source.quote(span), span, heading.kind))
        elif plain(words) in own:
            found.append(Heading(words.strip(), line, ""))
    return found


def _found(name: str, headings: list[Heading], own: OwnHeadings) -> Heading | None:
    """The heading of a section: by its very name, else by its kind."""
    kind = heading_kind(name, own)
    return next(
        (each for each in headings if plain(each.words) == plain(name)),
        next((each for each in headings if kind and each.kind == kind), None),
    )


def _missing(context: ProofContext, missing: list[str]) -> Finding:
    first = context.pattern.source.line_span(1)
    names = joined(map(shown, missing))
    verb = "is" if len(missing) == 1 else "are"
    return context.finding(
        Span(first.start, first.end),
        sentence(f"{names} {verb} missing from the sections that the house wants"),
        mends=[Mend(f"Add {names}.")],
    )


def _misnamed(context: ProofContext, found: dict[str, Heading | None]) -> Iterator[Finding]:
    for name, heading in found.items():
        if heading and plain(heading.words) != plain(name):
            better = name.upper() if heading.words.isupper() else name
            edit = Edit(heading.span.start, heading.span.end, better)
            yield context.finding(
                heading.span,
                sentence(f"the house calls the section {shown(heading.words)} {shown(name)}"),
                mends=[Mend(f"Call it {shown(better)}.", False, (edit,))],
            )


def _out_of_order(context: ProofContext, found: dict[str, Heading | None]) -> Iterator[Finding]:
    """The first section that stands before one that the house puts before it."""
    there = [(name, heading) for name, heading in found.items() if heading]
    for (before, first), (name, heading) in pairwise(there):
        if heading.span.start < first.span.start:
            yield context.finding(
                heading.span,
                sentence(f"the house puts {shown(before)} before {shown(name)}"),
                working=f"Its order is {', '.join(name for name, _ in there)}.",
                mends=[Mend(f"Move {shown(name)} behind {shown(before)}.")],
            )
            return


TOTAL = Option("total", "", "how totals are set off", ("", *BRACKETS, DASH))
REPEAT = Option("repeat", "", "how repeats are marked", ("", "brackets", "stars"))
ROUND = Option("round-label", "", "the word that rounds are labelled with, such as 'Rnd'")
ROW = Option("row-label", "", "the word that rows are labelled with, such as 'Row'")


NESTED = Option("nested", False, "whether brackets inside brackets must be of another kind")


LABEL = Option(
    "label-form", "", "whether the word or the number goes first", ("", "word", "number")
)
CHAINS = Option(
    "turning-chain", "", "where turning chains are told: in the row they begin, or before the turn",
    ("", "start", "end"),
)  # fmt: skip


@rule("house-marks", Grade.STYLE, TOTAL, REPEAT, ROUND, ROW, NESTED, LABEL, CHAINS)
def house_marks(context: ProofContext) -> Iterator[Finding]:
    """Totals, repeats and labels have the form that the house uses.

    Patterns of one house are read side by side; a total that stands in brackets in one and
    after a dash in the next is looked for twice.  Nothing is wanted unless the style sheet
    says so.

    House:

        [rules.house-marks]
        total = "square"
        repeat = "brackets"
        round-label = "Rnd"

    Flagged:

        Round 1: 6 sc in a magic ring. (6)
        Round 2: *Inc; rep from * around. (12)

    Passes:

        Rnd 1: 6 sc in a magic ring. [6]
        Rnd 2: (Inc) 6 times. [12]
    """
    for kind in ("round", "row"):
        yield from _labels(context, kind)
    yield from label_forms(context)
    yield from turning_chains(context)
    wanted = context.options[TOTAL.name] or context.options[REPEAT.name]
    for row in context.tally.rows if wanted or context.options[NESTED.name] else ():
        if context.options[NESTED.name]:
            yield from _nested(context, row)
        for step in row.row.steps if wanted else ():
            if isinstance(step, Total):
                yield from _total(context, row, step.span.moved(row.row.body.start))
            elif isinstance(step, Repeat) and not step.implied:
                yield from _repeat(context, row, step.span.moved(row.row.body.start))


def _nested(context: ProofContext, row: RowTally) -> Iterator[Finding]:
    """Findings for brackets that open inside brackets of the same kind."""
    open_ones: list[str] = []
    for found in rx.finditer(r"[()\[\]{}]", context.quote(row.row.body)):
        if found[0] in ")]}":
            open_ones = open_ones[:-1]
            continue
        if found[0] in open_ones[-1:]:
            start = row.row.body.start + found.start()
            yield context.finding(
                Span(start, start + 1),
                f"This bracket opens inside another {found[0]}, so that their ends look alike.",
                row=row,
                mends=[Mend("Write the outer pair as square brackets.")],
            )
        open_ones.append(found[0])


def _labels(context: ProofContext, kind: str) -> Iterator[Finding]:
    """One finding for all labels of a kind: to change some of them would help nobody."""
    wanted = context.options[f"{kind}-label"]
    if not isinstance(wanted, str) or not wanted:
        return
    from proofhook.tidying.labels import label_word

    edits: list[Edit] = []
    first: RowTally | None = None
    for row in context.tally.rows:
        edit = label_word(context.pattern.source.text, row.row, kind, wanted)
        if edit:
            first, edits = first or row, [*edits, edit]
    if first:
        span = Span(edits[0].start, edits[0].end)
        better = edits[0].text
        yield context.finding(
            span,
            sentence(
                f"the house labels a {kind} {shown(better)}, not {shown(context.quote(span))}"
            ),
            row=first,
            mends=[Mend(f"Write {shown(better)} in all labels.", True, tuple(edits))],
        )


def _total(context: ProofContext, row: RowTally, span: Span) -> Iterator[Finding]:
    wanted, found = context.options["total"], context.quote(span)
    pair = next((p for p in BRACKETS.values() if found[:1] == p[0] and found[-1:] == p[1]), "")
    if not wanted or pair == BRACKETS.get(str(wanted), ""):
        return
    if wanted == DASH:
        yield _wants_total(context, row, span, Mend("Set it off with a dash, without brackets."))
        return
    from proofhook.tidying.totals import total_in_brackets

    edit = total_in_brackets(context.pattern.source.text, row.row, span, BRACKETS[str(wanted)])
    mend = Mend(f"Write it in {wanted} brackets.", bool(pair), (edit,) if edit else ())
    yield _wants_total(context, row, span, mend)


def _wants_total(context: ProofContext, row: RowTally, span: Span, mend: Mend) -> Finding:
    wanted = context.options["total"]
    form = "after a dash" if wanted == DASH else f"in {wanted} brackets"
    return context.finding(
        span, f"The house writes totals {form}, not {shown(context.quote(span))}.", row=row,
        mends=[mend],
    )  # fmt: skip


def _repeat(context: ProofContext, row: RowTally, span: Span) -> Iterator[Finding]:
    wanted, found = context.options["repeat"], context.quote(span)
    before = context.pattern.source.text[max(0, span.start - 1) : span.start]
    stars = "*" in (found[:1], before) or rx.search(r"\brep(?:eat)?\b[^;]*\*", found)
    form = "stars" if stars else "brackets" if found[:1] in "([{" else ""
    if wanted and form and form != wanted:
        yield context.finding(
            span,
            f"The house marks repeats with {wanted}, not with {form}.",
            row=row,
            mends=[Mend(f"Write the repeat with {wanted}.")],
        )


RULES = (house_wording, house_section, house_marks)
