"""A second edition that is proved: read again, counted again and translated back."""

from __future__ import annotations

from proofhook.counting.result import Tally
from proofhook.counting.tally import tally
from proofhook.pattern import Pattern
from proofhook.reading import read
from proofhook.records import NamedTuple
from proofhook.sameness import same_model, same_steps, same_stitches
from proofhook.text import Source
from proofhook.trade.terms import Evidence, Sign, evidence
from proofhook.translating.edition import Left, Translation, translated, undone
from proofhook.translating.entries import with_new_entries

SIDES = {"us": "US", "uk": "UK"}

#: What decides which terms a pattern is in; weak words only suggest it.
_DECIDING = ("stated", "strong", "structure")


_NOT_THE_SAME = "the edition would not make the same. "
_ROWLESS = "no rows or rounds were found in it"


class Edition(NamedTuple):
    """A second edition.  ``changed`` is False for a pattern that is in these terms already.

    ``left`` is for a person to look at; ``unstated`` tells that the text does not say
    which terms it uses, so that a reader of the edition cannot know.
    """

    text: str
    changed: bool
    left: tuple[Left, ...] = ()
    unstated: bool = False


class Refusal(NamedTuple):
    """Why there is no second edition, and where: the place in the text, or -1.

    ``asks`` tells that it is for a person to say which terms the text is in, ``rowless``
    that nothing in it is a pattern.
    """

    why: str
    at: int = -1
    asks: bool = False
    rowless: bool = False


def second_edition(source: Source, to: str, side: str = "") -> Edition | Refusal:
    """The text of a pattern in the terms ``to`` ("us" or "uk"), proved to make the same.

    ``side`` says which terms it is in; where it is "" the text has to tell.  An edition
    has the same stitches and the same tally in every size as the pattern, and translated
    back it says what the pattern said.  Where this is not so there is a Refusal.
    """
    weighed = evidence(source.text)
    asked = side or _told(weighed)
    if isinstance(asked, Refusal):
        return asked if read(source).rows else Refusal(_ROWLESS, rowless=True)
    if side and weighed.decided_by == "stated" and weighed.terms != side:
        [stated, *_] = weighed.of(weighed.terms, "stated")
        return Refusal(
            f"it says “{source.quote(stated.spans[0])}”, so it is not in {SIDES[side]} terms",
            stated.spans[0].start,
        )
    if asked == to:
        return Edition(source.text, changed=False)
    before = read(source, asked)
    if not before.rows:
        return Refusal(_ROWLESS, rowless=True)
    made = translated(before, asked, to)
    if made.bars:
        bar = made.bars[0]
        words = source.quote(bar.span)
        return Refusal(f"“{words}” cannot be translated, since {bar.why}", bar.span.start)
    tallied = tally(before)
    after = read(Source(source.path, made.text), to)
    why = _does_not_come_back(before, tallied, after, made, asked, to)
    if why:
        return Refusal(why)
    unstated = not any(sign.weight == "stated" for sign in weighed.signs)
    explained = with_new_entries(after, made.edits, to)
    if explained != made.text:
        edition = read(Source(source.path, explained), to)
        if not same_stitches(before, edition, tallied):
            return Edition(explained, True, made.left, unstated)
    why = same_stitches(before, after, tallied)
    return (
        Refusal(_NOT_THE_SAME + why.rstrip("."))
        if why
        else Edition(made.text, True, made.left, unstated)
    )


def _told(weighed: Evidence) -> str | Refusal:
    """The terms that the text tells, or the question for a person."""
    if not weighed.conflict and weighed.decided_by in _DECIDING:
        return weighed.terms
    strong = {side: [*weighed.of(side, "stated"), *weighed.of(side, "strong")] for side in SIDES}
    if all(strong.values()):
        us, uk = (_shown(strong[side][0]) for side in SIDES)
        odd = _odd(strong)
        return Refusal(f"which terms is this in? {us} is US, {uk} is UK", odd.spans[0].start, True)
    weak = [sign for side in SIDES for sign in weighed.of(side, "weak")]
    hint = f"only {_shown(weak[0])} points to {SIDES[weak[0].side]} terms" if weak else ""
    return Refusal(f"which terms is this in? {hint or 'nothing in the text tells'}", asks=True)


def _odd(strong: dict[str, list[Sign]]) -> Sign:
    """The first sign of the side with fewer of them."""
    side = min(strong, key=lambda each: sum(len(sign.spans) for sign in strong[each]))
    return min(strong[side], key=lambda sign: sign.spans[0])


def _shown(sign: Sign) -> str:
    return f"“{sign.words}”"


def _does_not_come_back(
    before: Pattern, tallied: Tally, after: Pattern, made: Translation, side: str, to: str
) -> str | None:
    """What the edition has otherwise, or does not say any more translated back; or None.

    What its rows come out with is left to be compared.
    """
    path = before.source.path
    why = same_steps(before, after)
    if why:
        return _NOT_THE_SAME + why.rstrip(".")
    again = translated(after, to, side)
    if again.bars:
        words = after.source.quote(again.bars[0].span)
        return f"“{words}” would stand in a row of it, which is no word of {SIDES[to]} terms"
    back = undone(made, again)
    if back == before.source.text:
        return None
    why = same_model(before, read(Source(path, back), side))
    if why:
        # Other words for the same ("trc", "hfdc", UK "skip") come back as the usual ones.
        usual = read(Source(path, translated(before, side, side).text), side)
        returned = read(Source(path, again.text), side)
        why = same_model(usual, returned) or same_stitches(before, usual, tallied)
    return f"translated back it would not say the same. {why}".rstrip(".") if why else None
