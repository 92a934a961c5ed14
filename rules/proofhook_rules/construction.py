"""Construction: rows and rounds, joins, markers, slips of the pen."""

from __future__ import annotations

import re
from collections.abc import Iterator
from functools import cache

from proofhook import expressions as rx
from proofhook.counting.result import RowTally
from proofhook.expressions import Sought, expression
from proofhook.passages import found_in, is_in, kept, passages
from proofhook.pattern import Join, Pattern, Piece, Row, Turn
from proofhook.proofing import Finding, Grade, Mend, ProofContext, rule
from proofhook.text import Edit, Span
from proofhook.trade.abbreviations import meanings
from proofhook.trade.stitches import parse_stitch
from proofhook_rules.around import LISTS, blanked, instructions
from proofhook_rules.lists import is_explained, outside_the_rows
from proofhook_rules.wording import kind_of, sentence, shown


def _has(row: Row, kind: type) -> bool:
    return any(isinstance(step, kind) for step in row.steps)


def _joins(row: Row) -> bool:
    return any(isinstance(s, Join) and not s.new_yarn and not s.ring for s in row.steps)


@rule("row-or-round", Grade.QUERY)
def row_or_round(context: ProofContext) -> Iterator[Finding]:
    """What is joined is called a round, what is turned and not joined a row.

    A maker tells from the word whether the work goes round or to and fro.  Rounds that are
    joined and then turned are rounds.

    Flagged:

        Row 1: 6 sc in a magic ring, join with sl st to first sc. (6)
        Row 2: Ch 1, 2 sc in each st around, join with sl st to first sc. (12)
        Row 3: Ch 1, sc in each st around, join with sl st to first sc. (12)

    Passes:

        Rnd 1: 6 sc in a magic ring, join with sl st to first sc. (6)
        Rnd 2: Ch 1, 2 sc in each st around, join with sl st to first sc. (12)
        Rnd 3: Ch 1, sc in each st around, join with sl st to first sc. (12)
    """
    for piece in context.pattern.pieces:
        rows = [row for row in piece.rows if row.label and row.label.kind == "row"]
        rounds = [row for row in piece.rows if row.label and row.label.kind == "round"]
        joined = [row for row in rows if _joins(row) and not _has(row, Turn)]
        if len(joined) > 1 and len(joined) * 2 > len(rows):
            yield _misnamed(context, piece, joined[0], "row", "joined like a round")
        odd = _odd_one(piece)
        if odd is not None and odd.label is not None:
            others = "rounds" if odd.label.kind == "row" else "rows"
            yield _misnamed(context, piece, odd, odd.label.kind, f"numbered among {others}")
        turned = [row for row in rounds if _has(row, Turn) and not _joins(row)]
        text = context.pattern.source.quote(piece.span)
        if (
            len(turned) > 1
            and len(turned) * 2 > len(rounds)
            and not rx.search(r"\bjoin", text, re.I)
        ):
            yield _misnamed(context, piece, turned[0], "round", "turned, and not joined")


def _odd_one(piece: Piece) -> Row | None:
    """A row between two rounds, or a round between two rows, whose numbers run on."""
    labelled = [row for row in piece.rows if row.label and row.label.kind and row.label.first]
    kinds = [row.label.kind for row in labelled if row.label]
    if len(set(kinds)) != 2 or min(kinds.count("row"), kinds.count("round")) != 1:
        return None
    for before, row, after in zip(labelled, labelled[1:], labelled[2:], strict=False):
        if not (before.label and row.label and after.label):
            continue
        ends, first = before.label.last or before.label.first, row.label.first
        last, begins = row.label.last or row.label.first, after.label.first
        if not (ends and first and last and begins):
            continue
        odd = before.label.kind == after.label.kind != row.label.kind
        if odd and ends[0] + 1 == first[0] and last[0] + 1 == begins[0]:
            return row
    return None


def _misnamed(context: ProofContext, piece: Piece, row: Row, word: str, done: str) -> Finding:
    other = "round" if word == "row" else "row"
    return context.finding(
        row.label.span if row.label else row.span,
        f"This is called a {word}, but {done}.",
        mends=[Mend(f"Call it a {other}, or say how it is worked.")],
    )._replace(piece=piece.name, row=row.name)


#: Said in any part of the text, be it the abbreviations.
_SAYS_SO = Sought(
    r"\bspiral\w*|\bcontinuous\w*|\bwithout\s+join\w*|\bjoin\w*",
    re.IGNORECASE,
    begins="spiral|continuous|without|join",
)
#: "Sl st in next st and fasten off" ends a spiral and says nothing of the rounds before.
_LAST_ST = expression(
    r"\bsl(?:ip)?\.?\s*st\w*\s+(?:in|to|into)\s+(?:the\s+)?(?:next|first)\s+(?:\w+\s*){0,2}"
    r"[,.]?\s*(?:and\s+)?(?:then\s+)?fasten",
    re.IGNORECASE,
)
_HOW_ROUND = Sought(
    r"\bjoin\w*|\bspiral\w*|\bcontinuous\w*|\bround\s+and\s+round|\bsl(?:ip)?\.?\s*st\w*|\bss\b|\bslst\b"
    r"|\bclose\s+the\s+round|\bmarker\b",
    re.IGNORECASE,
    begins="join|spiral|continuous|round|sl|ss|close|marker",
)


@rule("join-unsaid", Grade.QUERY)
def join_unsaid(context: ProofContext) -> Iterator[Finding]:
    """Rounds are said to be joined, or to go on in a spiral.

    The two look different and end at different places; where nothing is said, one maker
    joins and the next does not.

    Flagged:

        A little mat to put a cup on. It is quickly made, and quickly washed, and the pattern
        can be worked in any thickness of yarn that you have at hand.

        Rnd 1: 6 sc in a magic ring. (6)
        Rnd 2: 2 sc in each st around. (12)
        Rnd 3: *Sc in next st, 2 sc in next st; rep from * around. (18)

    Passes:

        A little mat to put a cup on. It is quickly made, and quickly washed, and the pattern
        can be worked in any thickness of yarn that you have at hand. Work in a spiral.

        Rnd 1: 6 sc in a magic ring. (6)
        Rnd 2: 2 sc in each st around. (12)
        Rnd 3: *Sc in next st, 2 sc in next st; rep from * around. (18)
    """
    pattern = context.pattern
    if len(outside_the_rows(pattern).split()) < 25:
        return
    if is_in(_SAYS_SO, pattern.source.text):
        return
    if any(_says_how(each.words) for each in passages(_of_rounds(pattern))):
        return
    rounds = [row for row, kind in _kinds(pattern) if kind == "round"]
    if len(rounds) > 2:
        row = rounds[0]
        yield context.finding(
            row.label.span if row.label else row.span,
            "Nothing says whether the rounds are joined or go on in a spiral.",
            mends=[Mend("Say in the notes how the rounds are worked.")],
        )


#: A slip stitch that makes the ring closes no round.
_RING_ST = expression(
    r"\b(?:sl(?:ip)?\.?\s*st\w*|ss)\s+(?:in|to|into)\s+(?:the\s+)?(?:first|1st|2nd|second)\s+ch\w*",
    re.IGNORECASE,
)


def _of_rounds(pattern: Pattern) -> str:
    """What is to be done, but for rows that go to and fro."""
    hidden = [s.body for s in pattern.sections if s.kind in LISTS]
    hidden += [row.span for row, kind in _kinds(pattern) if kind == "row"]
    return blanked(pattern, hidden)


@kept
def _says_how(words: str) -> bool:
    """Whether a passage says how rounds end; chains that are closed to a ring are none."""
    return _HOW_ROUND.first(_LAST_ST.sub("", _RING_ST.sub("", words))) is not None


def _kinds(pattern: Pattern) -> list[tuple[Row, str]]:
    return [(row, kind_of(row, piece)) for piece in pattern.pieces for row in piece.rows]


_PLACED = Sought(
    r"\b(?:plac(?:e|ing)|put|insert|add)\s+(?:a\s+|the\s+|your\s+)?(?:stitch\s+)?marker\b|\bpm\b",
    re.I,
    begins="plac|put|insert|add|pm",
)
_MARKER = expression(r"\b(?:markers?|marked|marking|pm|sm|rm|mark)\b", re.IGNORECASE)


@rule("marker-forgotten", Grade.QUERY)
def marker_forgotten(context: ProofContext) -> Iterator[Finding]:
    """A marker that is placed is moved, used or taken out again.

    A marker that is never heard of again either has no use or is missing where it was
    meant to be used.

    Flagged:

        Rnd 1: 6 sc in a magic ring. (6)
        Rnd 2: 2 sc in each st around, place marker in last st. (12)
        Rnd 3: Sc in each st around. (12)

    Passes:

        Rnd 1: 6 sc in a magic ring. (6)
        Rnd 2: 2 sc in each st around, place marker in last st. (12)
        Rnd 3: Sc in each st around to the marker. (12)
    """
    told = instructions(context.pattern)
    placed = list(found_in(_PLACED, told))
    if len(placed) != 1 or len(list(found_in(_MARKER, told))) != 1:
        return
    line = context.pattern.source.line_span(context.pattern.source.line_of(placed[0].start()))
    words = told[placed[0].end() : line.end]
    if rx.search(
        r"\b(?:(?:each|every)\s+(?:rnd|round|row)|first|beginning|start|beg|move)\b", words, re.I
    ):
        return
    yield context.finding(
        Span(*placed[0].span()),
        "The marker is placed and never used or taken out.",
        mends=[Mend("Say what the marker is for, and where it comes out.")],
    )


_TOKEN = expression(r"[A-Za-z]{1,14}")
_PARTED = expression(r"\b([shdt]) (d?c|tr)\b", re.IGNORECASE)
#: The same two words apart so often are no slip but a way to write.
SLIPS = 3
_COMMON = (
    "sc", "dc", "hdc", "tr", "dtr", "htr", "inc", "dec", "rep", "repeat", "rnd", "turn", "skip",
    "join",    "chain", "stitch", "next", "each", "last", "first", "across", "around",
)  # fmt: skip


@rule("word-slip", Grade.QUERY)
def word_slip(context: ProofContext) -> Iterator[Finding]:
    """A word that nobody knows is not one letter away from one that everybody knows.

    "doc" for "dc" and "s c" for "sc" are slips of the fingers, and often not seen until a
    maker asks.  Only words of the rows that are nothing else are looked at.

    Flagged:

        Row 1: Ch 7, sc in 2nd ch from hook and in each ch across, turn. (6)
        Row 2: Ch 1, s c in each st across. (6)

    Passes:

        Row 1: Ch 7, sc in 2nd ch from hook and in each ch across, turn. (6)
        Row 2: Ch 1, sc in each st across. (6)
    """
    slips: dict[str, list[tuple[RowTally, Span, str]]] = {}
    for row in context.tally.rows:
        body = row.row.body
        for start, end, meant in _slips(context.quote(body)):
            place = Span(body.start + start, body.start + end)
            if end - start < 3 and is_explained(context.pattern, context.quote(place)):
                continue
            slips.setdefault(context.quote(place).lower(), []).append((row, place, meant))
    for places in slips.values():
        row, place, meant = places[0]
        if len(places) > SLIPS and " " in context.quote(place):
            continue  # old patterns write "d c" throughout
        times = f", {len(places)} times" if len(places) > 1 else ""
        edits = tuple(
            Edit(each.start, each.end, _like(context.quote(each), meant))
            for _, each, meant in places
        )
        yield context.finding(
            place,
            sentence(f"{shown(context.quote(place))} may be a slip for “{meant}”{times}"),
            row=row,
            mends=[Mend(f"Write “{meant}”{' each time' if times else ''}.", edits=edits)],
        )


def _like(written: str, meant: str) -> str:
    """The word that is meant, with the capital of the one that is written."""
    return meant.capitalize() if written[0].isupper() else meant


#: Two letters changed about that are no word and no abbreviation of the trade.
#: So are those with the key beside the right one.
_CHANGED_ABOUT = {
    "cs": "sc", "cd": "dc", "ts": "st", "hc": "ch", "ks": "sk",
    "sx": "sc", "sv": "sc", "dx": "dc", "dv": "dc", "xc": "sc",
}  # fmt: skip
#: What stands before a stitch or a place.
_SHORT_BEFORE = expression(
    r"(?:\d|\b(?:each|next|same|first|last|in|the|then|and)|[,:;*(\[]|^)\s*$", re.IGNORECASE
)


@kept
def _slips(text: str) -> tuple[tuple[int, int, str], ...]:
    """The words of a text that look like slips: where they lie, and what may be meant."""
    return tuple(_slips_in(text))


def _slips_in(text: str) -> Iterator[tuple[int, int, str]]:
    """The words of a text that look like slips: where they lie, and what may be meant."""
    for found in rx.finditer(r"(?<![A-Za-z_'-])(cs|cd|ts|hc|ks|sx|sv|dx|dv|xc)s?(?![\w'-])", text):
        if _SHORT_BEFORE.search(text[max(0, found.start() - 12) : found.start()]):
            yield (*found.span(), _CHANGED_ABOUT[found[1]] + found[0][2:])
    for found in _PARTED.finditer(text):
        whole = (found[1] + found[2]).lower()
        if whole in _COMMON:
            yield (*found.span(), whole)
    if any(_meant(word.lower()) for word in set(_TOKEN.findall(text))):
        for found in _TOKEN.finditer(text):
            meant = _meant(found[0].lower())
            if meant:
                yield (*found.span(), meant)


@cache
def _meant(word: str) -> str:
    """The common word that this one is a slip for, "" where it is none or a word itself."""
    if len(word) < 3 or word in _COMMON or word in _WORDS or word.rstrip("s") in _COMMON:
        return ""
    if parse_stitch(word) or meanings(word):
        return ""
    near = [known for known in _COMMON if _one_apart(word, known)]
    return near[0] if len(near) == 1 else ""


_WORDS = frozenset(
    """the and for round rounds inch ink die dry try tri tree her his hers test text nest neat reach
    teach beach tech fast list lost past lasts firsts step stitches skin chin ship coin turns torn
    burn sip slip
    deck net cast cross coast lost decide rest ring trip trim tier dot doe add arc ace are see sac
    sack sock sick""".split()
)


def _one_apart(one: str, other: str) -> bool:
    """Whether one letter more, less, other, or two changed about, make one word the other."""
    if abs(len(one) - len(other)) > 1 or one == other:
        return False
    if len(one) == len(other):
        unlike = [at for at, (a, b) in enumerate(zip(one, other, strict=True)) if a != b]
        if len(unlike) == 1:
            return len(one) > 3
        return (
            len(unlike) == 2
            and one[unlike[0]] == other[unlike[1]]
            and one[unlike[1]] == other[unlike[0]]
        )
    longer, shorter = (one, other) if len(one) > len(other) else (other, one)
    return any(longer[:at] + longer[at + 1 :] == shorter for at in range(len(longer)))


RULES = (row_or_round, join_unsaid, marker_forgotten, word_slip)
