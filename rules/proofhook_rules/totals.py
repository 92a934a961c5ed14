"""Totals: the figure at the end of a row."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator, Sequence
from functools import lru_cache
from itertools import pairwise

from proofhook import expressions as rx
from proofhook.counting.result import RowTally, UnitCount, Verdict
from proofhook.expressions import expression
from proofhook.pattern import RowsReference, Total, Unit
from proofhook.proofing import Finding, Grade, Mend, ProofContext, rule
from proofhook.records import NamedTuple
from proofhook.text import Edit, Span
from proofhook_rules.around import is_loop
from proofhook_rules.wording import counted, figures, joined, row_word, sentence, size_names

NUMBER = expression(r"\d+")
#: How far before a total its dash or stop may stand.
NEAR = 12


@rule("stitch-total", Grade.ERROR)
def stitch_total(context: ProofContext) -> Iterator[Finding]:
    """A stated total is what the row makes.

    The total is the maker's only check that a row went right.  Where the text says one
    figure and the work gives another, the maker takes out good work and looks for a
    slip that is not there, and every later row stands on the wrong count.  Each kind of
    stitch or space that the total names is checked on its own, size by size.

    Flagged:

        Rnd 1: 6 sc in a magic ring. (6)
        Rnd 2: 2 sc in each st around. (12)
        Rnd 3: (sc in next st, 2 sc in next st) 6 times. (20)

    Passes:

        Rnd 1: 6 sc in a magic ring. (6)
        Rnd 2: 2 sc in each st around. (12)
        Rnd 3: (sc in next st, 2 sc in next st) 6 times. (18)
    """
    for row in context.tally.rows:
        problems = [problem for problem in row.problems if problem.kind == "total"]
        if not problems:
            continue
        wrong = [unit for unit in row.units if _wrong_sizes(unit)]
        if wrong:
            yield _wrong_total(context, row, wrong)
        else:
            yield from (
                context.finding(
                    problem.span, sentence(problem.message), row=row, working=row.working
                )
                for problem in problems
            )


def _wrong_sizes(unit: UnitCount) -> list[int]:
    """The sizes for which the stated figure is not the worked one."""
    if unit.stated is None or unit.worked is None:
        return []
    sizes = range(max(len(unit.stated), len(unit.worked)))
    return [n for n in sizes if _at(unit.stated, n) != _at(unit.worked, n)]


def _at(amount: Sequence[int], size: int) -> int:
    return amount[min(size, len(amount) - 1)]


def _wrong_total(context: ProofContext, row: RowTally, wrong: list[UnitCount]) -> Finding:
    sizes = sorted({size for unit in wrong for size in _wrong_sizes(unit)})
    every = max(len(amount) for unit in wrong for amount in (unit.stated or (), unit.worked or ()))
    where = "" if len(sizes) == every else f"in {size_names(context, sizes)} "
    made = joined(counted(unit, [_at(unit.worked or (), n) for n in sizes]) for unit in wrong)
    said = joined(figures([_at(unit.stated or (), n) for n in sizes]) for unit in wrong)
    problem = next(problem for problem in row.problems if problem.kind == "total")
    edits = [edit for unit in wrong for edit in _write_worked(context, unit)]
    spans = [unit.span for unit in wrong if unit.span]
    worked = " and ".join(figures(unit.worked or ()) for unit in wrong)
    name = row_word(row)
    return context.finding(
        spans[0] if spans else problem.span,
        sentence(f"{where}the {name} makes {made}, but the total says {said}"),
        row=row,
        working=row.working,
        mends=(
            Mend(f"Write {worked} in the total, if the {name} is right.", False, tuple(edits)),
            Mend("Change the stitches, if the total is right."),
        ),
    )


def _write_worked(context: ProofContext, unit: UnitCount) -> list[Edit]:
    """Edits that put the worked figures where the stated ones stand; none where that is unsure."""
    if unit.span is None or unit.stated is None or unit.worked is None:
        return []
    found = list(NUMBER.finditer(context.quote(unit.span)))
    values = [int(match[0]) for match in found]
    stated = list(unit.stated)
    for first in range(len(values) - len(stated) + 1):
        if values[first : first + len(stated)] == stated and len(unit.worked) <= len(stated):
            return [
                _replace(unit.span, match, str(_at(unit.worked, size)))
                for size, match in enumerate(found[first : first + len(stated)])
                if int(match[0]) != _at(unit.worked, size)
            ]
    if len(set(stated)) == 1 and values[:1] == stated[:1]:
        return [_replace(unit.span, found[0], figures(unit.worked))]
    if not values and context.quote(unit.span).isalpha():
        return [Edit(unit.span.start, unit.span.end, figures(unit.worked))]
    return []


def _replace(span: Span, match: re.Match[str], text: str) -> Edit:
    return Edit(span.start + match.start(), span.start + match.end(), text)


@rule("total-missing", Grade.STYLE)
def total_missing(context: ProofContext) -> Iterator[Finding]:
    """A row that changes the number of stitches says how many there are after it.

    A maker who has lost count in an increase row finds the way back only by the total.
    Rows that keep the number may go without.

    Flagged:

        Rnd 1: 6 sc in a magic ring. (6)
        Rnd 2: 2 sc in each st around.
        Rnd 3: Sc in each st around. (12)

    Passes:

        Rnd 1: 6 sc in a magic ring. (6)
        Rnd 2: 2 sc in each st around. (12)
        Rnd 3: Sc in each st around.
    """
    missing = [
        row
        for before, row in pairwise((None, *context.tally.rows))
        if row and _states_none(row) and not _repeats(row, before)
    ]
    if not missing:
        return
    form = usual_form(context)
    for row in missing:
        amount = row.worked or ()
        unit = row.units[0] if row.units else UnitCount("", None, amount)
        edit = form.added(context, row, unit)
        yield context.finding(
            row.row.span,
            sentence(
                f"the {row_word(row)} changes the number of stitches to {figures(amount)} "
                "and states no total"
            ),
            row=row,
            working=row.working,
            mends=[Mend(f"Add the total: {edit.text.strip(' .,;')}", False, (edit,))],
        )


def _states_none(row: RowTally) -> bool:
    stated = row.verdict is not Verdict.UNSTATED or not any(row.worked or ())
    return row.changes_count and not stated and not is_loop(row.row)


def _repeats(row: RowTally, before: RowTally | None) -> bool:
    """Whether a row only works earlier rows again and ends with the number of the last of them."""
    if before is None or before.piece is not row.piece or row.worked != before.worked:
        return False
    return any(isinstance(step, RowsReference) for step in row.row.steps)


class Form(NamedTuple):
    """How a pattern writes its totals: what stands before, the total itself, what follows.

    ``total`` holds ``{}`` where the figure goes.  Where it names a stitch, ``stitch``
    holds the name and ``plain`` is the same total for a row of other stitches.
    """

    before: str
    total: str
    after: str
    stitch: str = ""
    plain: str = ""

    def added(self, context: ProofContext, row: RowTally, unit: UnitCount) -> Edit:
        """The edit that adds a total of this form to the end of a row."""
        words = context.quote(row.row.span)
        body = words.rstrip().rstrip(".;,").rstrip()
        end = row.row.span.start + len(words.rstrip())
        total = self.plain if self.stitch and self.stitch != unit.unit else self.total
        amount = total.format(figures(unit.worked or row.worked or ()))
        text = f"{self.before}{amount}{self.after}"
        return _smallest(context, Edit(row.row.span.start + len(body), end, text))


def _smallest(context: ProofContext, edit: Edit) -> Edit:
    """The same change with the characters that stay left out."""
    old = context.pattern.source.text[edit.start : edit.end]
    same = 0
    while same < len(old) and same < len(edit.text) and old[same] == edit.text[same]:
        same += 1
    rest, text = old[same:], edit.text[same:]
    tail = 0
    while tail < len(rest) and tail < len(text) and rest[-1 - tail] == text[-1 - tail]:
        tail += 1
    return Edit(edit.start + same, edit.end - tail, text[: len(text) - tail])


#: For a pattern without a single total.
PLAIN = Form(". ", "({} sts)", "")


def usual_form(context: ProofContext) -> Form:
    """The form of total that the pattern mostly uses."""
    forms = Counter(
        form for row in context.tally.rows if (form := _form_of(context, row)) is not None
    )
    return max(forms, key=lambda form: (forms[form], form)) if forms else PLAIN


def _form_of(context: ProofContext, row: RowTally) -> Form | None:
    """The form of a row's total; None where it has none, or one not worth imitating."""
    totals = [step for step in row.row.steps if isinstance(step, Total)]
    if len(totals) != 1 or len(totals[0].units) != 1 or totals[0].change:
        return None
    start = row.row.body.start
    return _form_in(
        context.quote(Span(start, row.row.span.end)), totals[0].span, totals[0].units[0]
    )


@lru_cache(maxsize=2_048)
def _form_in(text: str, span: Span, unit: Unit) -> Form | None:
    """The form of a total that stands so in the words of a row."""
    figure = NUMBER.search(text, span.start, span.end)
    near = text[max(0, span.start - NEAR) : span.start]
    before = rx.search(r"[\s.,;:–—=-]*\Z", near)
    after = text[span.end :].rstrip()
    if not figure or not before or "\n" in before[0] or "\n" in text[span.start : span.end]:
        return None
    rest = text[figure.end() : span.end]
    rest = rx.sub(r"\A\s*[(\[][\d, ]+[)\]]", "", rest)
    if NUMBER.search(rest):
        return None
    shape = f"{_literal(text[span.start : figure.start()])}{{}}{_literal(rest)}"
    tail = after if after in (".", ";", ",") else ""
    if unit.what in ("", "st") or not unit.words:
        return Form(before[0], shape, tail)
    return Form(before[0], shape, tail, unit.words, shape.replace(unit.words, "sts"))


def _literal(text: str) -> str:
    return text.replace("{", "{{").replace("}", "}}")


RULES = (stitch_total, total_missing)
