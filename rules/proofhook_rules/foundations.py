"""Foundations: the first chain, the multiple it is made for, and circles that lie flat."""

from __future__ import annotations

import re
from collections.abc import Iterator

from proofhook.counting.result import RowTally
from proofhook.expressions import expression
from proofhook.passages import found_in
from proofhook.pattern import Each, Group, Piece, Repeat, Ring, Step, Which, Work
from proofhook.proofing import Finding, Grade, Mend, ProofContext, rule
from proofhook.records import NamedTuple
from proofhook.text import Span
from proofhook.trade.turning_chains import Circle, TurningChain, chains_needed, circle, first_row
from proofhook.trade.turning_chains import turning_chain as usual_chain
from proofhook_rules.wording import joined, sentence, shown

ORDINALS = {1: "1st", 2: "2nd", 3: "3rd"}
#: A chain more or less than usual is a matter of taste, from so many chains on below too.
TALL = 5


def ordinal(number: int) -> str:
    """``2nd``, ``4th``."""
    return ORDINALS.get(number, f"{number}th")


class Start(NamedTuple):
    """A first row worked into a chain: its row, the first stitch, and the chains there are."""

    row: RowTally
    work: Work | Group
    chains: int

    @property
    def into(self) -> int:
        """Which chain from the hook the first stitch goes into."""
        return self.work.place.nth if self.work.place else 0


def starts(context: ProofContext) -> Iterator[Start]:
    """Every row that begins "... in 4th ch from hook", where the chains are known."""
    for row in context.tally.rows:
        for step in row.row.steps:
            if isinstance(step, (Work, Group)) and step.place and step.place.which is Which.HOOK:
                if row.below and step.place.nth:
                    yield Start(row, step, row.below[0])
                break


@rule("start-chain", Grade.QUERY)
def start_chain(context: ProofContext) -> Iterator[Finding]:
    """The first stitch goes into a chain that is usual for its height.

    "Dc in 2nd ch from hook" leaves a taller stitch than the skipped chains can reach; it is
    mostly a slip for sc, or for the 4th chain.  Only first rows of one stitch in every chain
    are looked at, since lace begins where it will, and a chain more than usual is let pass.

    Flagged:

        US terms.

        Row 1: Ch 12, dc in 2nd ch from hook and in each ch across. (11)

    Passes:

        US terms.

        Row 1: Ch 12, dc in 4th ch from hook and in each ch across. (10)
    """
    for start in starts(context):
        if not isinstance(start.work, Work) or start.work.stitch.uses != 1:
            continue
        usual = _usual(context, start.work.stitch.base)
        if not usual or not _is_plain(start, start.work.stitch.base):
            continue
        if _LEAVES_A_HOLE.search(context.quote(start.row.row.span)):
            continue
        into = sorted({number for each in usual for number in each.into})
        least = into[0] - (1 if into[0] >= TALL else 0)
        if least <= start.into <= into[-1] + 1:
            continue
        first = usual[0].into[0]
        span = start.work.span.moved(start.row.row.body.start)
        stitch = start.work.stitch.name
        counts = bool(usual[0].counts)
        stitches = first_row(start.chains, first, counts=counts) if first <= start.chains else 0
        wanted = (start.row.stated or start.row.worked or (0,))[0]
        needed = chains_needed(wanted, first, counts=counts)
        places = joined([ordinal(each) for each in into], "or")
        yield context.finding(
            span,
            sentence(
                f"the first {stitch} goes into the {ordinal(start.into)} ch from the hook; "
                f"usual is the {places}"
            ),
            row=start.row,
            working=(
                f"{start.chains} chains with the first {stitch} in the {ordinal(first)} "
                f"make {stitches} sts; for {wanted} sts {needed} chains are needed."
            ),
            mends=[Mend("Check the stitch, the chain it goes into and the number of chains.")],
        )


#: More chains are skipped on purpose where they make a hole.
_LEAVES_A_HOLE = expression(r"\b(?:button\s?-?)?(?:hole|loop)s?\b|\beyelets?\b", re.IGNORECASE)


def _usual(context: ProofContext, stitch: str) -> list[TurningChain]:
    """The usual chains of a stitch; on both sides where the terms are not known."""
    sides = (context.pattern.terms,) if context.pattern.terms else ("us", "uk")
    return [found for side in sides if (found := usual_chain(stitch, side))]


def _is_plain(start: Start, base: str) -> bool:
    """Whether the row goes on with the same stitch in each chain to the end."""
    works = [step for step in start.row.row.steps if isinstance(step, (Work, Group, Repeat))]
    if len(works) != 2 or not isinstance(works[1], Work):
        return False
    place = works[1].place
    return (
        works[1].stitch.base == base
        and place is not None
        and (place.each or place.until is not None)
    )


_MULTIPLE = expression(
    r"\bmultiples?\s+of\s+(?P<of>\d{1,2})\b(?:\s*(?:sts?|stitches|chs?|chains?))?"
    r"(?P<plus>(?:[^.\n]{0,24}?(?:\+|\bplus\b)\s*\d{1,2})?)(?P<rest>[^.\n]{0,80})",
    re.IGNORECASE,
)
_FIGURE = expression(r"\d{1,2}")


@rule("stitch-multiple", Grade.QUERY)
def stitch_multiple(context: ProofContext) -> Iterator[Finding]:
    """The first chain is of the multiple that the pattern names.

    Whoever makes the piece wider goes by "multiple of 6 plus 1"; where the pattern's own
    chain is none of that, one of the two is wrong.  The figures may mean chains or
    stitches, with or without what is added for turning: it is enough that one of these fits.

    Flagged:

        Notes: the stitch pattern is a multiple of 6 + 1.

        Row 1: Ch 24, sc in 2nd ch from hook and in each ch across. (23)

    Passes:

        Notes: the stitch pattern is a multiple of 6 + 1.

        Row 1: Ch 25, sc in 2nd ch from hook and in each ch across. (24)
    """
    begun = list(starts(context))
    if not begun:
        return
    for found in found_in(_MULTIPLE, context.pattern.source.text):
        of = int(found["of"])
        added = [int(each) for each in _FIGURE.findall(found["plus"] + found["rest"])]
        if of < 2:
            continue
        rests = {0 if not found["plus"] else added[0], *(sum(added[:n]) for n in (1, 2) if added)}
        if not any(_fits(start, of, rests) for start in begun):
            first = begun[0]
            made = first.row.worked[0] if first.row.worked else None
            yield context.finding(
                Span(found.start(), found.end("plus")),
                sentence(
                    f"{shown(context.quote(Span(found.start(), found.end('plus'))))} does not fit "
                    f"the {first.chains} chains that the work begins with"
                ),
                working=_remainders(first.chains, made, of),
                mends=[Mend("Check the multiple and the number of chains.")],
            )


def _fits(start: Start, of: int, rests: set[int]) -> bool:
    """Whether the chains or the stitches of a first row leave one of these remainders."""
    amounts = {*(start.row.below or ()), *(start.row.stated or ())}
    if not start.row.problems:
        amounts |= set(start.row.worked or ())
    return any((amount - rest) % of == 0 for amount in amounts for rest in rests)


def _remainders(chains: int, made: int | None, of: int) -> str:
    told = f"{chains} chains are {chains // of} × {of} + {chains % of}"
    return f"{told}; {made} sts are {made // of} × {of} + {made % of}." if made else f"{told}."


_FLAT = expression(
    r"\b(?:coasters?|mats?|placemats?|rugs?|trivets?|pot\s?holders?|bases?|bottoms?|soles?|disc|disk|circles?"
    r"|flat|brim|lid|hot\s+pads?)\b",
    re.IGNORECASE,
)
#: From this round on a count that is out of range shows; so many rounds must be.
FROM_ROUND, ROUNDS_OUT = 3, 2


@rule("circle-flat", Grade.QUERY)
def circle_flat(context: ProofContext) -> Iterator[Finding]:
    """A circle that is to lie flat grows by as many stitches as its stitch needs.

    Rounds of single crochet (US) lie flat with six to eight more in every round, of
    double crochet with ten to twelve; with more the edge ruffles, with fewer it cups.  Only
    a part that is named as something flat, a base or a mat, is looked at, and of that the
    rounds of one stitch from the ring on.

    Flagged:

        US terms.

        COASTER
        Rnd 1: 12 sc in a magic ring. (12)
        Rnd 2: 2 sc in each st around. (24)
        Rnd 3: (Sc in next st, 2 sc in next st) 12 times. (36)
        Rnd 4: (Sc in next 2 sts, 2 sc in next st) 12 times. (48)

    Passes:

        US terms.

        COASTER
        Rnd 1: 6 sc in a magic ring. (6)
        Rnd 2: 2 sc in each st around. (12)
        Rnd 3: (Sc in next st, 2 sc in next st) 6 times. (18)
        Rnd 4: (Sc in next 2 sts, 2 sc in next st) 6 times. (24)
    """
    pieces = [piece for piece in context.pattern.pieces if piece.rows]
    for piece in pieces:
        named = piece.name or (context.pattern.title if len(pieces) == 1 else "")
        if not _FLAT.search(named):
            continue
        growing = list(_growing(context, piece))
        stitch = _stitch_of(growing)
        range_of = circle(stitch, context.pattern.terms) if stitch else None
        if range_of is None:
            continue
        out = [
            (number, row)
            for number, row in enumerate(growing, 1)
            if number >= FROM_ROUND and not range_of.is_flat((row.worked or (0,))[0], number)
        ]
        far = [each for each in out if (each[1].worked or (0,))[0] > FAR * range_of.most * each[0]]
        if len(out) >= ROUNDS_OUT or far:
            yield _not_flat(context, out[0], stitch, range_of)


#: One round by itself ruffles that has so many times the most it may have.
FAR = 1.3


def _growing(context: ProofContext, piece: Piece) -> Iterator[RowTally]:
    """The rounds of a piece from its ring on, as long as each has more stitches."""
    before = 0
    for number, row in enumerate((r for r in context.tally.rows if r.piece is piece), 1):
        label, worked = row.row.label, row.worked
        if label is None or not worked or {label.first, label.last or label.first} != {(number,)}:
            return
        if len(row.units) > 1 or worked[0] <= before:
            return
        if number == 1 and not any(_in_a_ring(step) for step in row.row.steps):
            return
        before = worked[0]
        yield row


def _in_a_ring(step: Step) -> bool:
    place = step.place if isinstance(step, (Work, Group)) else None
    return isinstance(step, Ring) or (place is not None and place.which is Which.RING)


def _stitch_of(rows: list[RowTally]) -> str:
    """The one stitch that the rounds are of, "" where there are several."""
    bases = {base for row in rows for base in _bases(row.row.steps)}
    return bases.pop() if len(bases) == 1 else ""


def _bases(steps: tuple[Step, ...]) -> Iterator[str]:
    for step in steps:
        if isinstance(step, Work) and step.stitch.role != "slip":
            yield step.stitch.base
        elif isinstance(step, (Group, Repeat)):
            yield from _bases(step.steps)
        elif isinstance(step, Each):
            yield from _bases(tuple(step.works))


def _not_flat(
    context: ProofContext, out: tuple[int, RowTally], stitch: str, range_of: Circle
) -> Finding:
    number, row = out
    worked = (row.worked or (0,))[0]
    does = "ruffles" if worked > range_of.most * number else "cups"
    return context.finding(
        row.row.span,
        sentence(f"with {worked} {stitch} in round {number} the circle {does}"),
        row=row,
        working=(
            f"Flat are {range_of.least * number} to {range_of.most * number}: "
            f"{range_of.least} to {range_of.most} more in every round."
        ),
        mends=[Mend("Check the increases, or call the piece something that is not flat.")],
    )


RULES = (start_chain, stitch_multiple, circle_flat)
