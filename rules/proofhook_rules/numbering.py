"""Numbering: rows follow one another without a gap and without a double."""

from __future__ import annotations

import re
from collections.abc import Iterator
from itertools import pairwise

from proofhook.pattern import Label, Piece, Row, RowsReference, at_size
from proofhook.proofing import Finding, Grade, Mend, ProofContext, rule
from proofhook.records import NamedTuple
from proofhook.text import Span
from proofhook_rules.wording import sentence

#: How far back the words before a row are looked at.
NEAR = 40

# These are needed only where a number does not follow on, so ``re`` compiles them then.

#: Words that make one row stand for many: "all even rows", "every other round".
SCATTERED = (
    r"(?i)\b(?:(?<!work )even|odd|alt\w*|every\s+(?:other|2nd|second))\b"
    r"[^.\n]{0,20}\b(?:row|rnd|round)s?\b"
    r"|\b(?:row|rnd|round)s?\b[^.\n]{0,20}\b(?:even|odd|alt\w*)\b"
)
#: A row begun after these words is no row: "repeat the 4th and / 5th rows".
UNENDED = r"(?i)(?:,|\b(?:and|or|to|of|the|in|from|rows?|rnds?|rounds?))\s*\Z"
#: A range that says how many rows it is.
HOW_MANY = (
    r"(?i)^[^()\n]*[(\[]\s*(?P<n>\d{1,3})\s*(?:rows|rnds|rounds)\s*(?:in\s+(?:all|total)\s*)?[)\]]"
)
#: What looks like the label of a row that was not taken for one.
LABEL_LIKE = (
    r"(?im)^[^\w\n]{0,6}"
    r"(?:(?:rows?|rnds?|rounds?|r)\b\.?\s*\w|r\d|\d+(?:st|nd|rd|th)\b|\d+\s*[.):–-])"
)


@rule("row-order", Grade.QUERY)
def row_order(context: ProofContext) -> Iterator[Finding]:
    """The numbers of the rows run on, each there once.

    A number that is left out or given twice makes a maker search for a row that is
    missing.  Numbering may start again with each part, count down, and lead on from rows
    that have no number.

    Flagged:

        Rnd 1: 6 sc in a magic ring. (6)
        Rnd 2: 2 sc in each st around. (12)
        Rnd 4: Sc in each st around. (12)

    Passes:

        Rnd 1: 6 sc in a magic ring. (6)
        Rnd 2: 2 sc in each st around. (12)
        Rnd 3: Sc in each st around. (12)
    """
    for piece in context.pattern.pieces:
        sizes = _size_count(piece)
        told: set[int] = set()
        for size in range(sizes):
            for row, before, message in _slips(context, piece, size):
                if row.span.start in told:
                    continue
                told.add(row.span.start)
                yield _finding(context, piece, row, before, message)
        for row in piece.rows:
            yield from _miscounted(context, piece, row)


def _miscounted(context: ProofContext, piece: Piece, row: Row) -> Iterator[Finding]:
    """A finding where a range says how many rows it is, "Rnds 7-12 (5 rounds)", and is not."""
    label = row.label
    if label is None or not label.first or not label.last or len(label.first + label.last) != 2:
        return
    words = context.quote(Span(label.span.start, row.span.end))
    found = re.search(HOW_MANY, words[: len(label.text) + NEAR])
    count = label.last[0] - label.first[0] + 1
    if found and count > 1 and int(found["n"]) != count:
        at = label.span.start + found.start("n")
        yield context.finding(
            Span(at, at + len(found["n"])),
            sentence(f"{label.text.partition(' (')[0]} are {count}, not {found['n']}"),
            mends=[Mend("Put the numbers or the count right.")],
        )._replace(piece=piece.name, row=row.name)


def _finding(context: ProofContext, piece: Piece, row: Row, before: Row, message: str) -> Finding:
    assert row.label
    line = context.pattern.source.line_of(before.span.start)
    found = context.finding(
        row.label.span,
        sentence(message.format(line=line)),
        mends=[Mend("Put in what is missing, or number the rows anew.")],
    )
    return found._replace(piece=piece.name, row=row.name)


def _size_count(piece: Piece) -> int:
    amounts = [
        len(amount)
        for row in piece.rows
        if row.label
        for amount in (row.label.first, row.label.last, row.label.rows)
        if amount
    ]
    return max([1, *amounts])


class Numbers(NamedTuple):
    """A numbered row and the numbers it stands for in one size."""

    row: Row
    first: int
    last: int
    #: Numbers that rows without one have used up since; None where nobody can say.
    unnumbered: int | None = 0
    #: Whether something with a name of its own, an edging perhaps, has begun since.
    begun: bool = False


def _slips(context: ProofContext, piece: Piece, size: int) -> Iterator[tuple[Row, Row, str]]:
    """Rows whose number does not follow on, with the row before and what is wrong."""
    numbered = list(_numbered(piece, size))
    step = _direction(numbered)
    for before, now in pairwise(numbered):
        if before.unnumbered is None or _starts_again(context, before, now, step):
            continue
        gap = (now.first - before.last) * step
        if gap in (1, 1 + before.unnumbered) or _is_unsure(context, before, now, gap, step):
            continue
        if gap in (2, 3) and re.search(SCATTERED, context.quote(piece.span)):
            continue
        yield now.row, before.row, _message(before, now, gap, step)


def _numbered(piece: Piece, size: int) -> Iterator[Numbers]:
    """The numbered rows of a piece in one size."""
    held: Numbers | None = None
    for row in piece.rows:
        if row.sizes is not None and size not in row.sizes:
            continue
        label = row.label
        if label is None or label.first is None:
            if held:
                begun = held.begun or bool(label and label.kind == "free")
                held = held._replace(unnumbered=_more(held, row, size), begun=begun)
            continue
        if held:
            yield held
        first = at_size(label.first, size)
        last = at_size(label.last, size) if label.last else first
        plural = label.text.partition(" ")[0].lower() in ("rows", "rnds", "rounds")
        is_open = label.open_end or last < first or (plural and last == first)
        held = Numbers(row, first, last, None if is_open else 0)
    if held:
        yield held


def _more(held: Numbers, row: Row, size: int) -> int | None:
    """How many numbers are used up with an unnumbered row; None where it is open."""
    if held.unnumbered is None or any(isinstance(step, RowsReference) for step in row.steps):
        return None
    rows = row.label.rows if row.label else None
    if rows is None and (row.label is None or row.label.kind == "free"):
        return held.unnumbered
    return held.unnumbered + (at_size(rows, size) if rows else 1)


def _direction(numbered: list[Numbers]) -> int:
    """-1 where the numbers of a piece mostly count down, otherwise 1."""
    steps = [now.first - before.last for before, now in pairwise(numbered)]
    return -1 if steps.count(-1) > steps.count(1) else 1


def _starts_again(context: ProofContext, before: Numbers, now: Numbers, step: int) -> bool:
    """Whether the numbering begins anew here: from 1, or from an earlier row under new words."""
    between = context.pattern.source.text[before.row.span.end : now.row.span.start].strip()
    if step == 1 and now.first <= 1:
        return before.first > 1 or bool(between)
    return (now.first - before.first) * step < 0 and bool(between)


def _is_unsure(context: ProofContext, before: Numbers, now: Numbers, gap: int, step: int) -> bool:
    """Whether the numbers may be meant, or a row between was not taken for one."""
    one, other = before.row, now.row
    if gap < 1 and before.begun:
        return True
    if one.sizes != other.sizes or (
        one.label and other.label and _are_unlike(one.label, other.label)
    ):
        return True
    text = context.pattern.source.text
    starts = (one.span.start, other.span.start)
    if any(re.search(UNENDED, text[max(0, start - NEAR) : start]) for start in starts):
        return True
    newline = text.find("\n", one.body.start, other.span.start)
    if newline >= 0 and re.search(LABEL_LIKE, text[newline + 1 : other.span.start]):
        return True
    missing = before.last + step
    spoken_of = rf"(?i)(?<!\d){missing}(?:st|nd|rd|th)\b|\br(?:ow|nd|ound)?s?\.?\s*{missing}\b"
    return gap > 1 and bool(re.search(spoken_of, text[one.body.start : other.span.start]))


def _are_unlike(one: Label, other: Label) -> bool:
    """Whether only one of two labels is a bare number: the other list has its own numbers."""
    return bool(one.kind) != bool(other.kind)


def _message(before: Numbers, now: Numbers, gap: int, step: int) -> str:
    """What is wrong, in a clause; ``{line}`` is yet to come."""
    label, earlier = (each.row.name.replace("{", "{{").replace("}", "}}") for each in (now, before))
    if (now.first, now.last) == (before.first, before.last):
        return f"{label} is there twice, on line {{line}} too"
    if gap > 1:
        kind = "round" if now.row.label and now.row.label.kind == "round" else "row"
        low, high = sorted((before.last + step, now.first - step))
        missing = f"{kind} {low} is" if low == high else f"{kind}s {low} to {high} are"
        return f"{label} follows {earlier} (line {{line}}); {missing} missing"
    if before.first <= now.first <= before.last:
        return f"{label} is already part of {earlier} (line {{line}})"
    return f"{label} comes after {earlier} (line {{line}})"


RULES = (row_order,)
