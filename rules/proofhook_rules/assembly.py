"""Putting together: pieces that are never sewn on, and pieces that nobody made."""

from __future__ import annotations

import re
from collections.abc import Iterator

from proofhook import expressions as rx
from proofhook.expressions import expression, lowered_alike
from proofhook.passages import Found, kept, passages
from proofhook.pattern import Pattern, Piece
from proofhook.proofing import Finding, Grade, Mend, ProofContext, rule
from proofhook.text import Span
from proofhook.trade.headings import is_piece_name
from proofhook_rules.around import (
    blanked,
    instructions,
    noun_counts,
    nouns_in,
    nouns_of,
    sentences,
    singular,
    starts_anew,
)
from proofhook_rules.wording import sentence, shown

_ATTACH = expression(
    r"\b(?:sew\w*|sewn|stitch(?:ed)?\s+(?:the|on|each|both|it)|attach\w*|whip\s?stitch\w*|glu\w+|seam\w*|tack\w*"
    r"|pin\s+(?:the|each|both))\b",
    re.IGNORECASE,
)
_ALL = expression(
    r"\b(?:pieces|parts|everything|them\s+all|all\s+(?:the\s+)?(?:bits|limbs)|bits|limbs|features)\b",
    re.I,
)


#: The end of the yarn, not the tail of an animal.
_YARN_TAIL = expression(
    r"\b(?:an?|long|yarn|sewing|starting|beginning|\d+\s*-?(?:cm|in\b|inch\w*|\"))\)?\s+(?:\w+\s+)?tails?\b"
    r"(?:\s+(?:for\s+(?:sewing|closing|attaching)|to\s+(?:sew|attach)\s+(?:\w+\s+)?(?:with|on)))?"
    r"|\btails?\s+(?:of\s+\d|of\s+about|for\s+(?:sewing|closing|attaching)|to\s+sew|long\s+enough)"
    r"|\b(?:with|using)\s+(?:the|its|their)\s+(?:long\s+|yarn\s+)?tails?\b|\byarn\s+tails?\b",
    re.IGNORECASE,
)


def _blank(found: re.Match[str]) -> str:
    return rx.sub(r"[^\n]", " ", found[0])


@rule("piece-unattached", Grade.QUERY)
def piece_unattached(context: ProofContext) -> Iterator[Finding]:
    """Every piece that is made is sewn on or joined, where the others are.

    A piece that the making up never speaks of lies on the table when all is
    done: it was forgotten there, or has no use.

    Flagged:

        BODY
        Rnd 1: 6 sc in a magic ring. (6)
        Rnd 2: 2 sc in each st around. (12)
        Fasten off.

        EARS (make 2)
        Rnd 1: 6 sc in a magic ring. (6)
        Fasten off, leaving a tail.

        NOSE
        Rnd 1: 6 sc in a magic ring. (6)
        Fasten off, leaving a tail.

        FINISHING
        Sew the ears to the body.

    Passes:

        BODY
        Rnd 1: 6 sc in a magic ring. (6)
        Rnd 2: 2 sc in each st around. (12)
        Fasten off.

        EARS (make 2)
        Rnd 1: 6 sc in a magic ring. (6)
        Fasten off, leaving a tail.

        NOSE
        Rnd 1: 6 sc in a magic ring. (6)
        Fasten off, leaving a tail.

        FINISHING
        Sew the ears to the body, and the nose between them.
    """
    pattern = context.pattern
    every = [piece for piece in pattern.pieces if piece.rows]
    pieces = [piece for piece in every if nouns_of(piece)]
    if len(every) < 3 or not pieces:
        return
    text = "".join(_without_tails(each.words) for each in passages(instructions(pattern)))
    attached = [
        Found(passage.start, said)
        for passage in passages(text)
        for said in _attached(passage.words)
    ]
    attaching = [said[0] for said in attached]
    together = " ".join(attaching)
    named = [piece for piece in pieces if nouns_of(piece) & nouns_in(together)]
    # what a caution before the rows says of all parts puts none of them in its place
    making_up = [said[0] for said in attached if said.start() >= every[0].span.start]
    seamed = any(re.search(r"\b(?:shoulder|side)\s+seams?\b", words, re.I) for words in attaching)
    if not (named or seamed) or any(map(_ALL.search, making_up)):
        return
    main = max(every, key=lambda piece: piece.span.end - piece.span.start)
    counts = noun_counts(text[every[0].span.start :])
    for piece in pieces:
        if (
            piece is every[0]
            or (piece is main and not piece.make)
            or piece in named
            or not starts_anew(pattern, piece)
        ):
            continue
        own = text[piece.span.start : piece.span.end]
        here = noun_counts(own)
        elsewhere = any(counts[noun] > here[noun] for noun in nouns_of(piece))
        if elsewhere or _ATTACH.search(own):
            continue
        yield context.finding(
            piece.heading or piece.rows[0].span,
            sentence(f"{shown(piece.name)} is made and never sewn on or joined"),
            mends=[Mend("Say where this piece goes, in the finishing.")],
        )._replace(piece=piece.name)


@kept
def _without_tails(words: str) -> str:
    """A passage with the tails of yarn blanked out."""
    return _YARN_TAIL.sub(_blank, words) if "tail" in lowered_alike(words) else words


@kept
def _attached(words: str) -> tuple[re.Match[str], ...]:
    """The sentences of a passage that put something in its place."""
    return tuple(said for said in sentences(words) if _ATTACH.search(said[0]))


_NUMBERS = {
    "both": 2, "two": 2, "three": 3, "four": 4, "five": 5, "six": 6, "seven": 7, "eight": 8,
    "nine": 9, "ten": 10, "eleven": 11, "twelve": 12,
    **{str(n): n for n in range(2, 100)},
}  # fmt: skip
#: "Sew three legs to each side": twice as many.
_EACH_SIDE = re.compile(r"\s+(?:to|on|at|along|down)\s+(?:each|either|both)\s+sides?\b", re.I)


def _sides(words: str, found: re.Match[str]) -> int:
    """2 where a counted piece goes to each of two sides."""
    return 2 if _EACH_SIDE.search(words, found.start("noun"), found.end() + 15) else 1


_COUNTED = expression(
    rf"\b(?P<number>{'|'.join(_NUMBERS)})\s+(?P<noun>(?:[a-z]+\s+)?[a-z]{{3,}})\b", re.IGNORECASE
)
_SEWN_ON = expression(
    r"\b(?:sew|attach|whip\s?stitch)\s+(?:on\s+)?(?P<many>the|both|two|three|four|all\s+the)\s+(?P<noun>[a-z]{3,})\s+"
    r"(?:(?:on)?to|on|over|between|at|in\s+place|around|along)\b",
    re.IGNORECASE,
)


_AND_SEWN_ON = expression(
    r"\b(?:sew|attach|whip\s?stitch)\s+(?:on\s+)?(?:the|both)\s+(?:\w+\s+){1,3}and\s+(?P<many>the|both)\s+(?:two\s+|three\s+|four\s+)?"
    r"(?P<noun>[a-z]{3,})\s+(?:(?:on)?to|on|over|between|at|in\s+place|around|along)\b",
    re.IGNORECASE,
)


@rule("piece-number", Grade.ERROR)
def piece_number(context: ProofContext) -> Iterator[Finding]:
    """As many pieces are put together as were made.

    Where two wings are made and three are sewn on, or a beak is sewn on that nobody was
    told to make, the maker cannot finish.

    Flagged:

        BODY
        Rnd 1: 6 sc in a magic ring. (6)
        Fasten off.

        WINGS (make 2)
        Rnd 1: 6 sc in a magic ring. (6)
        Fasten off, leaving a tail.

        FINISHING
        Sew the three wings to the body.

    Passes:

        BODY
        Rnd 1: 6 sc in a magic ring. (6)
        Fasten off.

        WINGS (make 2)
        Rnd 1: 6 sc in a magic ring. (6)
        Fasten off, leaving a tail.

        FINISHING
        Sew the two wings to the body.
    """
    pattern = context.pattern
    pieces = [piece for piece in pattern.pieces if piece.rows]
    if not any(piece.make for piece in pieces):
        return
    after = min(piece.span.end for piece in pieces)
    text = instructions(pattern)
    blank = blanked(pattern, (row.span for row in pattern.rows))
    for said in sentences(text):
        if said.start() < after or not (_ATTACH.search(said[0]) or _LAID.search(said[0])):
            continue
        if not blank[said.start() : said.end()].strip():
            continue
        yield from _too_many(context, said, pieces)
        yield from _never_made(context, said, pieces)
        yield from _too_few(context, said, pieces, blank[after:])
    for said in _ALL_OF.finditer(text, after):
        yield from _too_many(context, said, pieces)
    for said in _BY_COLOUR.finditer(pattern.source.text):
        yield from _not_in_all(context, said, pieces)


#: "Make 5 flags in A and 4 in B", "Make 3 squares with Red, 2 with Blue and 4 with Cream".
_BY_COLOUR = expression(
    r"\bmake\s+(?P<first>\d{1,2})\s+(?P<noun>[a-z]{3,})\s+(?:in|with)\s+(?:colou?r\s+)?\w{1,12}"
    r"(?P<more>(?:,\s*\d{1,2}\s+(?:in|with)\s+(?:colou?r\s+)?\w{1,12}){0,6},?\s+and\s+\d{1,2}\s+(?:in|with)\b)",
    re.IGNORECASE,
)


def _not_in_all(
    context: ProofContext, said: re.Match[str], pieces: list[Piece]
) -> Iterator[Finding]:
    """A finding where the pieces told by their colours are not as many as are to be made."""
    same = [piece for piece in pieces if singular(said["noun"].lower()) in nouns_of(piece)]
    told = int(said["first"]) + sum(map(int, re.findall(r"\d+", said["more"])))
    if len(same) == 1 and same[0].make not in (None, told):
        yield context.finding(
            Span(*said.span()),
            sentence(f"these are {told} in all, but {shown(same[0].name)} says {same[0].make}"),
            mends=[Mend("Say the same number in both places.")],
        )


#: "Lay the 20 squares out 4 by 5."
_LAID = expression(r"\b(?:lay|arrange|set\s+out|join)\s+(?:out\s+)?the\s+\d", re.IGNORECASE)
#: "... for all 10 flags": that many there must be, be it in a row or in the making up.
_ALL_OF = expression(
    r"\ball\s+(?:the\s+|of\s+the\s+)?(?:\d{1,2}|[a-z]{3,6})\s+[a-z]{3,}\b", re.IGNORECASE
)
_OF_THE_MADE = expression(
    r"\b(?:the|both)\s+(?P<number>two|three|four|five|six|[2-9]|[1-9]\d)?\s*(?P<noun>[a-z]{3,})\b",
    re.IGNORECASE,
)
#: Words for a part of what was made, or for more that comes elsewhere: "two to the front".
_A_PART = expression(
    r"\b(?:other|remaining|rest|more|each|every|another|first|second|third|last|next|of\s+the)\b"
    r"|\b(?:left|right|front|back)\s+(?!of\b|of\s|over\b|and\b|between\b|at\b|with\b|in\b|on\b)[a-z]{3,}"
    r"|\b(?:one|two|three|four|five|six|\d)\s+(?:to|on|at|between|along|in|for)\b",
    re.IGNORECASE,
)


def _too_few(
    context: ProofContext, said: re.Match[str], pieces: list[Piece], rest: str
) -> Iterator[Finding]:
    """Findings for "the two feet" where three were made, and nothing is said of the third."""
    for found in _OF_THE_MADE.finditer(said[0]):
        noun = singular(found["noun"].lower())
        same = [piece for piece in pieces if noun in nouns_of(piece)]
        number = _NUMBERS.get((found["number"] or "both").lower(), 0)
        number *= _sides(said[0], found)
        if not found["number"] and not found[0].lower().startswith("both"):
            continue
        made = sum(piece.make or 0 for piece in same)
        if not same or any(piece.make is None for piece in same) or not number < made:
            continue
        spoken = [s[0] for s in sentences(rest) if noun in nouns_in(s[0])]
        often = sum(noun_counts(words)[noun] for words in spoken)
        if often > 1 + sum(noun in nouns_in(piece.name.lower()) for piece in same) or any(
            _A_PART.search(words) for words in spoken if _ATTACH.search(words)
        ):
            continue
        start = said.start() + found.start()
        yield context.finding(
            Span(start, said.start() + found.end()),
            sentence(f"{shown(found[0])}: {made} are made"),
            working=", ".join(f"{shown(piece.name)}: {piece.make}" for piece in same),
            mends=[Mend("Say the same number where the piece is made and where it is sewn on.")],
        )


def _too_many(context: ProofContext, said: re.Match[str], pieces: list[Piece]) -> Iterator[Finding]:
    """Findings for a number in a sentence of the making up that is larger than was made."""
    for found in _COUNTED.finditer(said[0]):
        words = [singular(word) for word in found["noun"].lower().split()]
        noun = next((word for word in words if any(word in nouns_of(p) for p in pieces)), "")
        same = [piece for piece in pieces if noun in nouns_of(piece)]
        if not same or any(piece.make is None for piece in same):
            continue
        made = sum(piece.make or 0 for piece in same)
        number = _NUMBERS[found["number"].lower()]
        number *= _sides(said[0], found)
        if number > made and made > 0 and _last_noun(same, noun):
            start = said.start() + found.start()
            yield context.finding(
                Span(start, said.start() + found.end()),
                sentence(f"{shown(found[0])}: {made} {'is' if made == 1 else 'are'} made"),
                working=", ".join(f"{shown(piece.name)}: {piece.make}" for piece in same),
                mends=[
                    Mend("Say the same number where the piece is made and where it is sewn on.")
                ],
            )


def _last_noun(pieces: list[Piece], word: str) -> bool:
    """Whether the word is what the pieces are, not what they belong to ("eye stalks")."""
    return all(
        word in map(singular, re.findall(r"[a-z]+(?=\W*(?:$|[(:,\u2013-]|x\s?\d|make\b))", name))
        for name in (piece.name.lower() for piece in pieces)
    )


def _never_made(
    context: ProofContext, said: re.Match[str], pieces: list[Piece]
) -> Iterator[Finding]:
    """Findings for a piece that is sewn on and that the text names nowhere else."""
    pattern = context.pattern
    made = frozenset().union(*(nouns_of(piece) for piece in pieces))
    for found in (*_SEWN_ON.finditer(said[0]), *_AND_SEWN_ON.finditer(said[0])):
        noun = singular(found["noun"].lower())
        own = pattern.own.headings
        if noun in made or not (is_piece_name(noun, own) or is_piece_name(found["noun"], own)):
            continue
        start = said.start() + found.start("noun")
        if noun in nouns_in(_elsewhere(pattern, said)):
            continue
        yield context.finding(
            Span(start, start + len(found["noun"])),
            sentence(f"{shown(found['noun'])} is sewn on, but nothing says how to make it"),
            mends=[Mend("Give the rows of this piece, or take it out of the making up.")],
        )


def _elsewhere(pattern: Pattern, said: re.Match[str]) -> str:
    """All the text before a sentence of the making up."""
    return pattern.source.text[: said.start()]


RULES = (piece_unattached, piece_number)
