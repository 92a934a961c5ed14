"""Marks: brackets and stars that come in pairs."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping

from proofhook import expressions as rx
from proofhook.counting.result import RowTally
from proofhook.expressions import expression
from proofhook.passages import kept
from proofhook.proofing import Finding, Grade, Mend, ProofContext, rule
from proofhook.text import Span
from proofhook_rules.around import blanked
from proofhook_rules.wording import row_word, sentence

PAIRS = {"(": ")", "[": "]", "{": "}"}
OPENING = {closing: opening for opening, closing in PAIRS.items()}
NAMES = {
    "(": "round bracket",
    "[": "square bracket",
    "{": "curly bracket",
    "*": "star",
    "†": "dagger",
    "‡": "double dagger",
}
#: How far a mark's surroundings are looked at, and how many slips a row is told of.
NEAR, FAR, MOST_TOLD = 40, 600, 3

BRACKET = expression(r"[()\[\]{}]")
STAR = expression(r"\\?(?:\*\*?|†|‡)")

# What follows is seldom needed, so it is kept as text and compiled by ``re`` at first use.

#: A face, or the number of a list: closing brackets that nothing opened.
NO_BRACKET = r"(?i)(?:[:;]-?|(?:\A\W*|[\n.;]\s*)(?:\d{1,3}|[a-z]|\d+\s*-\s*\w+))\Z"
#: "rep from *", "between * and *", "from * to *", "at **": the star is spoken of.
SPOKEN_OF = r"""(?ix)
    \b(?:from|fr|between|bet|btw|to|until|at|the|these|single|double|repeat|rep|rpt)
    \s*[“"']?(?:\\?[*†‡]{1,2}\s*(?:to|and|-|–|&)\s*)?\Z"""
ELSEWHERE = (
    r"(?i)\b(?:of|as|in)\s+(?:for\s+)?(?:the\s+)?"
    r"(?:prev\w*|last(?=\s*(?:[.,;:)]|\Z|row|rnd|round|motif|pattern|rep|time))|row|rnd|round|r)\b"
)
REPEATED = r"(?i)\b(?:rep\w*|rpt|around|across|times|to\s+(?:the\s+)?end)\b"
FOOTNOTE = r"(?m)^[ \t]*\\?\*(?!\*)\s*\S"


@rule("marks-unpaired", Grade.ERROR)
def marks_unpaired(context: ProofContext) -> Iterator[Finding]:
    """Every bracket that opens is closed, and every star that is spoken of is there.

    Brackets and stars say what is repeated.  Where one of a pair is missing the maker
    must guess where the repeat begins or ends.  Stars that are bullets, bold type,
    footnotes or multiplication signs are left alone.

    Flagged:

        Rnd 1: 6 sc in a magic ring. (6)
        Rnd 2: (Sc in next st, 2 sc in next st 3 times. (9)

    Passes:

        Rnd 1: 6 sc in a magic ring. (6)
        Rnd 2: (Sc in next st, 2 sc in next st) 3 times. (9)
    """
    before: RowTally | None = None
    for row in context.tally.rows:
        if _in_order(context.quote(row.row.body)):
            before = row
            continue
        for mark, span, message, mend in (
            *_brackets(context, row),
            *_stars(context, row, before),
        ):
            yield context.finding(
                span, sentence(message.format(mark=mark, row=row_word(row))), row=row, mends=[mend]
            )
        before = row
    for span in _spoken_outside(context):
        yield context.finding(
            span,
            "The words speak of *, and no * stands before them.",
            mends=[Mend("Put * where the repeat begins.")],
        )


#: "Repeat from *" in instructions that are no numbered row.
REPEAT_FROM = expression(r"\brep(?:eat)?\s+from\s+(?P<mark>\*)(?!\*)", re.IGNORECASE)


def _spoken_outside(context: ProofContext) -> Iterator[Span]:
    """Stars that are spoken of outside of the rows, and stand nowhere in the text before."""
    told = blanked(context.pattern, (row.span for row in context.pattern.rows))
    for found in REPEAT_FROM.finditer(told):
        before = context.pattern.source.text[max(0, found.start() - FAR) : found.start()]
        if "*" not in before:
            yield Span(*found.span("mark"))


@kept
def _in_order(body: str) -> bool:
    """Whether the words of a row have no stars, and each bracket has its partner."""
    if STAR.search(body):
        return False
    open_ones = ""
    for match in BRACKET.finditer(body):
        if match[0] in PAIRS:
            open_ones += match[0]
        elif open_ones[-1:] == OPENING[match[0]]:
            open_ones = open_ones[:-1]
        else:
            return False
    return not open_ones


Slip = tuple[str, Span, str, Mend]


def _brackets(context: ProofContext, row: RowTally) -> Iterator[Slip]:
    """Brackets of a row without a partner."""
    body, start = context.quote(row.row.body), row.row.body.start
    open_ones: list[tuple[str, int]] = []
    for match in BRACKET.finditer(body):
        mark, at = match[0], match.start()
        if mark in PAIRS:
            open_ones.append((mark, at))
        elif open_ones and open_ones[-1][0] == OPENING[mark]:
            open_ones.pop()
        elif open_ones or not _opened_elsewhere(context, row, mark, body[max(0, at - NEAR) : at]):
            yield _unpaired(mark, OPENING[mark], start + at, "closes", "opens")
            return
    for mark, at in open_ones[:MOST_TOLD]:
        if not _closed_later(context, row, mark):
            yield _unpaired(mark, mark, start + at, "opens", "closes")


def _unpaired(mark: str, opening: str, at: int, does: str, lacks: str) -> Slip:
    where = "before" if lacks == "opens" else "after"
    return (
        mark,
        Span(at, at + 1),
        f"a {NAMES[opening]} {{mark}} {does} here, and none {lacks} it in this {{row}}",
        Mend(f"Put in its partner {where} it, or take it out."),
    )


def _opened_elsewhere(context: ProofContext, row: RowTally, mark: str, before: str) -> bool:
    """Whether a closing bracket needs no partner, or has it before the row."""
    if re.search(NO_BRACKET, before):
        return True
    text, label = context.pattern.source.text, row.row.label
    if label and text.startswith(")", label.span.end) and before[-1:].isdigit():
        return True  # "before you get to 18)", where the labels are written so
    paragraph = _paragraph_before(text, row.row.span.start)
    return paragraph.count(OPENING[mark]) > paragraph.count(mark)


def _paragraph_before(text: str, end: int) -> str:
    """The words of the paragraph that stand before a place, as far as they may matter."""
    before = text[max(0, end - FAR) : end]
    return rx.split(r"\n[ \t\r]*\n", before)[-1]


def _closed_later(context: ProofContext, row: RowTally, mark: str) -> bool:
    """Whether an aside that opens in the row is closed in the words that follow it."""
    text, end = context.pattern.source.text, row.row.span.end
    following = text[end : end + FAR]
    closing, opening = following.find(PAIRS[mark]), following.find(mark)
    return closing >= 0 and (opening < 0 or closing < opening)


def _stars(context: ProofContext, row: RowTally, before: RowTally | None) -> Iterator[Slip]:
    """Stars that are spoken of and not there, or that open a repeat without an end."""
    body, start = context.quote(row.row.body), row.row.body.start
    spoken, there = _stars_in(body)
    for mark, at in spoken.items():
        if not _is_there(mark, there) and not _from_elsewhere(context, row, before, mark):
            yield (
                mark,
                Span(start + at, start + at + len(mark)),
                "the {row} speaks of {mark}, and no {mark} stands before it",
                Mend(f"Put {mark} where the repeat begins."),
            )
    lone = there.get("*", [])
    if len(lone) == 1 and not spoken and _is_open(context, body, lone[0]):
        at = lone[0]
        yield (
            "*",
            Span(start + at, start + at + 1),
            "a star {mark} opens a repeat here, and nothing says where it ends",
            Mend("Close the repeat with a second *, or say “rep from * around”."),
        )


@kept
def _stars_in(body: str) -> tuple[Mapping[str, int], Mapping[str, list[int]]]:
    """Where each mark is first spoken of in the words of a row, and where it stands."""
    spoken: dict[str, int] = {}
    there: dict[str, list[int]] = {}
    for match in STAR.finditer(body):
        mark, at = match[0].lstrip("\\"), match.start()
        if re.search(SPOKEN_OF, body[max(0, at - NEAR) : at]):
            spoken.setdefault(mark, at)
        elif not _is_times(body, match):
            there.setdefault(mark, []).append(at)
    return spoken, there


def _is_times(body: str, match: re.Match[str]) -> bool:
    """Whether the star is a multiplication sign: ``(sc, inc) * 6``."""
    before = body[max(0, match.start() - NEAR) : match.start()].rstrip()
    after = body[match.end() : match.end() + NEAR].lstrip()
    return before.endswith((")", "]", "}")) and after[:1].isdigit()


def _is_there(mark: str, there: Mapping[str, list[int]]) -> bool:
    """Whether the row has the mark; ``**`` may mean two single stars, "repeat ** twice"."""
    if mark == "*":
        return bool(there.get("*") or there.get("**"))
    return mark in there or (mark == "**" and len(there.get("*", ())) > 1)


def _from_elsewhere(
    context: ProofContext, row: RowTally, before: RowTally | None, mark: str
) -> bool:
    """Whether the mark spoken of may stand in an earlier row or outside the rows.

    Where it is not certain that a row begins here, nothing is certain about its stars.
    """
    if (
        row.row.label is None
        or not (row.row.label.kind or row.row.label.text[:1] in "Rr")
        or re.search(ELSEWHERE, context.quote(row.row.body))
    ):
        return True
    here = before is not None and before.piece is row.piece
    if before is not None and here and before.row.label is None:
        return True
    since = before.row.span.end if before is not None and here else row.piece.span.start
    return mark in context.pattern.source.text[since : row.row.span.start]


def _is_open(context: ProofContext, body: str, at: int) -> bool:
    """Whether a lone star surely opens a repeat that nothing ends."""
    before, after = body[:at], body[at + 1 :]
    if not rx.match(r"[\w(\[{]", after) or (
        before and not (before[-1].isspace() or before[-1] in ",;.:(")
    ):
        return False
    footnotes = re.search(FOOTNOTE, context.pattern.source.text)
    return not re.search(REPEATED, after) and not footnotes


RULES = (marks_unpaired,)
