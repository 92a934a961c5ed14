"""Endings: pieces that are never fastened off, ends left loose, tails to sew with."""

from __future__ import annotations

import re
from collections.abc import Iterator

from proofhook import expressions as rx
from proofhook.expressions import Sought, expression
from proofhook.passages import is_in, kept, passages
from proofhook.pattern import Pattern, Piece
from proofhook.proofing import Finding, Grade, Mend, ProofContext, rule
from proofhook.text import Span
from proofhook_rules.around import (
    blanked,
    is_whole,
    nouns_in,
    nouns_of,
    sections_of,
    sentences,
    starts_anew,
)
from proofhook_rules.wording import joined, sentence, shown

_END = Sought(
    r"\b(?:fasten(?:ed|ing)?\s*-?\s*off|fasten\b|finish\s+off|tie\s+off|bind\s+off|end\s+off|cast\s+off|(?-i:FO)\b|f\.o\b"
    r"|break(?:ing)?\s+(?:off\b|(?:the\s+)?(?:yarn|thread|cotton|wool))|cut(?:ting)?\b|snip\b|trim\b"
    r"|leav\w+\s+(?:a\s+|an\s+|the\s+)?(?:\w+[\s-]+){0,6}(?:tails?|ends?)\b|tail\b"
    r"|secure|knot\b|close\b|closed\b|pull\s+(?:\w+\s+){0,5}(?:tight|through)|(?:draw|gather)\s+(?:\w+\s+){0,4}(?:up|tight|together)|gather\b"
    r"|pull\s+(?:it\s+)?up\b|(?:run|thread|weave|draw)\s+(?:the\s+)?(?:\w+\s+){0,2}through\b"
    r"|invisible\s+(?:finish|fasten|join)|needle\s+join|drop\s+the\s+(?:yarn|loop)|done\b|tie\b)",
    re.IGNORECASE,
    begins="fasten|finish|tie|bind|end|cast|fo|f.o|break|cut|snip|trim|leav|tail|secure|knot|clos"
    "|pull|draw|gather|run|thread|weave|invisible|needle|drop|done",
)
_GOES_ON = Sought(
    r"\b(?:do\s+not|don't|don\u2019t|never|without)\s+(?:\w+\s+){0,2}(?:fasten|break|cut|finish|tie|join)\w*"
    r"|\bcontinu\w+|\bcarry(?:ing)?\s+on|\bgo(?:es|ing)?\s+(?:straight\s+)?on\b|\balong\s+the\b|\bsame\s+as\b|\bkeep\b"
    r"|\bas\s+(?:for\s+)?(?:the\s+)?(?:first|other|one|front|back|left|right|side)\b|\bas\s+for\b",
    re.IGNORECASE,
    begins="do|never|without|continu|carry|go|along|same|keep|as",
)


#: What the next piece is worked like says nothing of the end of this one.
_ALONG = expression(r"\balong\s+the\b", re.IGNORECASE)
_AS_ANOTHER = expression(r"\b(?:same\s+)?as\s+(?:for\s+)?(?:the\s+)?\w+", re.IGNORECASE)


@rule("ending-missing", Grade.QUERY)
def ending_missing(context: ProofContext) -> Iterator[Finding]:
    """Every piece that is begun is fastened off, or said to go on.

    A maker who has come to the last row wants to know whether to cut the yarn: the next
    piece may carry on from this one.

    Flagged:

        Materials: wool, 1 ball; 4 mm hook

        LEAF (make 2)
        Rnd 1: 6 sc in a magic ring. (6)
        Rnd 2: 2 sc in each st around. (12)

        STALK
        Ch 7.
        Row 1: Sc in 2nd ch from hook and in each ch across. (6)
        Fasten off.

    Passes:

        Materials: wool, 1 ball; 4 mm hook

        LEAF (make 2)
        Rnd 1: 6 sc in a magic ring. (6)
        Rnd 2: 2 sc in each st around. (12)
        Fasten off.

        STALK
        Ch 7.
        Row 1: Sc in 2nd ch from hook and in each ch across. (6)
        Fasten off.
    """
    pattern = context.pattern
    if not is_whole(pattern):
        return
    text = pattern.source.text
    pieces = [piece for piece in pattern.pieces if piece.rows]
    open_ones: list[Piece] = []
    for at, piece in enumerate(pieces):
        last = at + 1 == len(pieces)
        end = len(text) if last else pieces[at + 1].span.start
        if not last and not _needs_an_end(pattern, piece, pieces[at + 1]):
            continue
        region = text[piece.span.start : end]
        if last and starts_anew(pattern, piece) and len(pieces) > 1:
            region = text[piece.span.start : _end_of_piece(pattern, piece)]
        ahead = "" if last else text[end : pieces[at + 1].rows[0].span.end]
        ahead = _ALONG.sub("", _AS_ANOTHER.sub("", ahead))
        if not is_in(_END, region) and not is_in(_GOES_ON, region + ahead):
            open_ones.append(piece)
    if len(open_ones) > 2 and len(open_ones) == len(pieces):
        names = joined([shown(piece.name) for piece in open_ones])
        yield _open(context, open_ones[-1], f"no piece is ever fastened off: {names}")
        return
    for piece in open_ones:
        name = f"{shown(piece.name)} is" if len(pieces) > 1 and piece.name else "the work is"
        yield _open(context, piece, f"{name} never fastened off")


#: "Join A with a sl st in any corner": yarn that is joined was fastened off before.
_JOINED_ANEW = expression(
    r"[^.;:]{0,40}\b(?:re-?)?join(?:ing)?\s+(?:the\s+|new\s+)?(?:yarn|wool|cotton|thread|colou?r\s+\w+|(?-i:[A-H]|MC|CC))"
    r"\s+(?:with|to|in|at)\b",
    re.IGNORECASE,
)


def _needs_an_end(pattern: Pattern, piece: Piece, following: Piece) -> bool:
    """Whether the next piece does not go on from this one: it is begun, or yarn joined for it."""
    start = following.heading.end if following.heading else following.span.start
    if _JOINED_ANEW.match(pattern.source.text, start):
        return True
    return starts_anew(pattern, following) and not _counts_on(piece, following)


def _counts_on(piece: Piece, following: Piece) -> bool:
    """Whether the rows of the next piece go on from the number of this one's last row."""
    last = next((r.label for r in reversed(piece.rows) if r.label and r.label.last), None)
    first = next((r.label for r in following.rows if r.label and r.label.first), None)
    if last is None or first is None or not last.last or not first.first:
        return False
    return first.first[0] == last.last[0] + 1


def _open(context: ProofContext, piece: Piece, words: str) -> Finding:
    mend = Mend("Say “Fasten off”, or that the work goes on in the next part.")
    return context.finding(piece.rows[-1].span, sentence(words), mends=[mend])._replace(
        piece=piece.name
    )


def _end_of_piece(pattern: Pattern, piece: Piece) -> int:
    """Where the text of the last piece ends: at the next heading, or at the end."""
    after = [s.body.start for s in pattern.sections if s.heading and s.body.start >= piece.span.end]
    return min(after, default=len(pattern.source.text))


_WOVEN = Sought(
    r"\bweav\w+|\bwoven\b|\bdarn\w*\s+in|\bdarn\s+(?:the\s+|all\s+|your\s+)*ends"
    r"|\b(?:sew|work|run|tuck|hid|hide|hiding|crochet|secur\w*|bury|trim|tidy|finish|neaten|thread|deal)"
    r"\w*\s+(?:(?!with\b|using\b|by\b)\w+\s+){0,4}(?:ends?|tails?)\b"
    r"|\bends?\s+(?:\w+\s+){0,3}(?:in|away|hidden|inside|under|secured?)\b",
    re.IGNORECASE,
    begins="weav|woven|darn|sew|work|run|tuck|hid|crochet|secur|bury|trim|tidy|finish|neaten|thread"
    "|deal|end",
)


@rule("ends-loose", Grade.QUERY)
def ends_loose(context: ProofContext) -> Iterator[Finding]:
    """The pattern says what becomes of the yarn ends.

    Ends that are only cut come out in the first wash.  One sentence in the finishing is
    enough.

    Flagged:

        Materials: 4 mm hook, 1 ball of cotton, yarn needle

        Ch 7.
        Row 1: Sc in 2nd ch from hook and in each ch across. (6)
        Fasten off.

    Passes:

        Materials: 4 mm hook, 1 ball of cotton, yarn needle

        Ch 7.
        Row 1: Sc in 2nd ch from hook and in each ch across. (6)
        Fasten off and weave in the ends.
    """
    pattern = context.pattern
    if not pattern.rows or not is_whole(pattern) or _WOVEN.first(_all_but_materials(pattern)):
        return  # "a needle to weave in the ends" lists a needle, and tells nobody to do it
    source = pattern.source
    finishing = [s.body for s in pattern.sections if s.kind == "finishing"]
    span = (
        source.line_span(source.line_of(finishing[-1].start)) if finishing else _last_row(pattern)
    )
    yield context.finding(
        span,
        "Nothing says to weave in the ends.",
        mends=[Mend("Say where the ends are woven in, in the finishing.")],
    )


def _all_but_materials(pattern: Pattern) -> str:
    return blanked(pattern, sections_of(pattern, "materials"))


def _last_row(pattern: Pattern) -> Span:
    return pattern.rows[-1].span


_SEWN_WITH_TAIL = expression(
    r"\b(?:with|using|use)\s+(?:the\s+|its\s+|their\s+|each\s+|your\s+|long\s+|left\s*over\s+|yarn\s+|remaining\s+)*"
    r"(?:tails?|ends?)\b",
    re.IGNORECASE,
)
_SEWN = expression(r"\b(?:sew|stitch|attach|whip\s?stitch)\w*\b", re.IGNORECASE)
_TAIL_LEFT = expression(
    r"\b(?:leav\w+|left|keep\w*|with|cut\w*|tie\s+off)\b[^.;\n]{0,60}?\b(?:tails?|ends?|lengths?|\d+\s*(?:cm|in|inch(?:es)?)\b)|\blong\s+tail",
    re.IGNORECASE,
)


@rule("tail-missing", Grade.QUERY)
def tail_missing(context: ProofContext) -> Iterator[Finding]:
    """A piece that is sewn on with its tail was given a tail.

    Where some pieces are told to leave a tail for sewing and another is not, its yarn is
    cut short before the maker comes to the making up.

    Flagged:

        BODY
        Rnd 1: 6 sc in a magic ring. (6)
        Fasten off.

        EARS (make 2)
        Rnd 1: 6 sc in a magic ring. (6)
        Fasten off.

        FINISHING
        Sew the ears to the body with their tails.

    Passes:

        BODY
        Rnd 1: 6 sc in a magic ring. (6)
        Fasten off.

        EARS (make 2)
        Rnd 1: 6 sc in a magic ring. (6)
        Fasten off, leaving a 20 cm tail.

        FINISHING
        Sew the ears to the body with their tails.
    """
    pattern = context.pattern
    text = pattern.source.text
    pieces = [piece for piece in pattern.pieces if piece.rows]
    if pieces and not any(_leaves_tail(each.words) for each in passages(text)):
        yield from _no_tail_at_all(context, pieces)
        return
    if len(pieces) < 2:
        return
    begins = [*(piece.span.start for piece in pieces[1:]), _end_of_piece(pattern, pieces[-1])]
    regions = {id(p): text[p.span.start : end] for p, end in zip(pieces, begins, strict=True)}
    tails = [piece for piece in pieces if is_in(_TAIL_LEFT, regions[id(piece)])]
    rest = text[pieces[-1].span.end :]
    for said in sentences(rest):
        sewn = _SEWN.search(said[0])
        if not sewn or not (tails or _SEWN_WITH_TAIL.search(said[0])):
            continue
        what = nouns_in(
            rx.split(
                r"\b(?:to|on|onto|over|between|at|in|across|into|inside|under|behind|around|along|with)\b",
                said[0][sewn.end() :],
            )[0]
        )
        what |= nouns_in(" ".join(m["noun"] for m in _AND_ANOTHER.finditer(said[0], sewn.end())))
        if what <= {"it", "them", "each"}:  # "Fill the handle and sew it to the float"
            what = nouns_in(said[0][: sewn.start()])
        for piece in pieces:
            if piece in tails or not nouns_of(piece) & what or not starts_anew(pattern, piece):
                continue
            if nouns_of(piece) & _SEAMED and not _SEWN_WITH_TAIL.search(said[0]):
                continue
            others = [p for p in tails if nouns_of(p) & nouns_in(said[0])]
            with_tail = _SEWN_WITH_TAIL.search(said[0]) is not None
            single = (piece.make or 1) == 1 and any(
                p in others and nouns_of(p) & _target(said[0][sewn.end() :]) for p in tails
            )
            if (
                single
                or (others and with_tail)
                or not rx.search(r"fasten|FO\b", regions[id(piece)], re.I)
            ):
                continue
            yield context.finding(
                piece.rows[-1].span,
                sentence(f"{shown(piece.name)} is sewn on, but no tail is left to sew it with"),
                working=shown(" ".join(said[0].split())),
                mends=[Mend("Say “Fasten off, leaving a long tail for sewing.”")],
            )._replace(piece=piece.name)
            tails.append(piece)  # one word of it will do


@kept
def _leaves_tail(words: str) -> bool:
    """Whether a passage tells to leave a tail, and not only to sew with it."""
    return _TAIL_LEFT.search(_SEWN_WITH_TAIL.sub("", words)) is not None


def _no_tail_at_all(context: ProofContext, pieces: list[Piece]) -> Iterator[Finding]:
    """A finding where something is sewn with a tail, and no piece is told to leave one."""
    text = context.pattern.source.text
    if not re.search(r"fasten|(?-i:FO)\b", text, re.I):
        return
    for said in sentences(text[pieces[-1].span.end :]):
        if _SEWN.search(said[0]) and _SEWN_WITH_TAIL.search(said[0]):
            here = nouns_in(said[0])
            named = next((each for each in pieces if nouns_of(each) & here), None)
            piece = named or pieces[-1]
            what = f"{shown(named.name)} is sewn on" if named else "the work is sewn up"
            yield context.finding(
                piece.rows[-1].span,
                sentence(f"{what} with its tail, but no tail is left to sew with"),
                working=shown(" ".join(said[0].split())),
                mends=[Mend("Say “Fasten off, leaving a long tail for sewing.”")],
            )._replace(piece=piece.name)
            return


#: Pieces that are joined along seams, with yarn of their own.
_SEAMED = frozenset({"sleeve", "panel", "square", "motif", "block", "strip"})

#: "... and the two feet underneath": a further piece that is sewn on in the same sentence.
_AND_ANOTHER = expression(
    r"(?:\band|,)\s+(?:the|both)\s+(?:two\s+|three\s+|four\s+|\d\s+)?(?P<noun>\w+)\s+"
    r"(?:to|onto|on|over|under\w*|between|at|in|behind|along|around|opposite|above|below)\b",
    re.IGNORECASE,
)


def _target(words: str) -> frozenset[str]:
    """What a piece is sewn to: its tail does for a piece of which there is one."""
    found = rx.search(r"\b(?:to|onto)\s+(?:the\s+)?(?P<what>\w+)", words)
    return nouns_in(found["what"]) if found else frozenset()


RULES = (ending_missing, ends_loose, tail_missing)
