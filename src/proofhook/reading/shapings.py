"""Shaping told in prose: "Dec 1 st at each end of next and foll 3 alt rows. 58 sts."

Such a sentence stands for several rows, of which it says by how many stitches each is wider or
narrower; how the rest of the rows is worked it leaves to the pattern (common practice of
garment patterns).
"""

from __future__ import annotations

import re

from proofhook.expressions import expression
from proofhook.pattern import (
    IN_PATTERN,
    Amount,
    Evenly,
    Step,
    every_stitch,
)
from proofhook.reading.words import NUMBER_WORDS, SIZED_FILL, sized
from proofhook.text import Span

_WORDS = "|".join(sorted(NUMBER_WORDS, key=len)[::-1])
_N = rf"(?:\d{{1,3}}|[\U000f0000-\U000ff000]{SIZED_FILL}*|(?:{_WORDS})\b)"
_EVERY = r"(?:alt(?:ernate)?|other|\d{1,2}(?:st|nd|rd|th)|second|third|fourth|sixth)"
_SENTENCE = expression(
    rf"\s*(?:then )?(?P<way>dec(?:rease)?|inc(?:rease)?) (?P<each>{_N}) ?(?:sts?|stitch(?:es)?)(?: (?:in this way|in this manner|as before|as set|as given|in same way))?"
    r" (?:at|on) (?:the )?(?P<ends>(?:each|both) (?:ends?|sides?|edges?)|(?:beg|beginning|end|start)|(?:neck|armhole|side|front|inner|outer|same|this|shaped|centre|center)(?: neck)? edges?(?: only)?)"
    r"(?: as before)?,? (?:of|on|in) (?:the )?(?:following )?"
    rf"(?:(?P<once>next(?: and)?) (?:the )?(?:every )?(?:foll(?:owing)?|every) (?:(?P<more>{_N}) )?(?:{_EVERY} )?rows?(?: (?P<more2>{_N}) times)?"
    rf"|(?:each of )?(?:the )?next (?P<rows>{_N}) (?:{_EVERY} |foll )?rows?"
    rf"|(?:every|each|foll(?:owing)?) (?:foll )?(?:(?P<rows2>{_N}) )?(?:{_EVERY} )?rows?(?: (?:another |a further )?(?P<rows3>{_N}) (?:more )?times)?"
    r"|(?P<one>next|this|following) row)"
    rf"(?:,? (?:and )?(?:then )?(?:on|at|of) (?:the )?foll(?:owing)? (?P<then>{_N}) (?:{_EVERY} )?rows?)?"
    r"(?P<end>[.,;:]?\s*)",
    re.I,
)


_ANY = r"(?:[^.;]|\.(?=\d))"
#: "The 2nd row forms htr patt.", before it.
_FORMS = expression(rf"\s*{_ANY}{{3,60}}?\bforms?\b{_ANY}{{0,40}}\.\s+", re.I)
_STRAIGHT = expression(
    rf"\s*(?P<even>(?:cont(?:inue)?|work)(?: on)?(?: straight| even(?:ly)?| in [a-z]{{0,4}} ?patt(?:ern)?| in pattern| without shaping| in rows| as set| in (?:dc|sc|htr|hdc|tr))+ (?:until|till|for) {_ANY}{{3,120}}?)(?:\.(?!\d)|\s[-\u2013\u2014=]+(?=\s+[\d\U000f0000-\U000ff000]))\s*",
    re.I,
)


def even_steps(text: str) -> tuple[Step, int] | None:
    """ "Cont in patt until work measures 38 cm. 79 sts.": rows that change nothing.

    The step that takes every stitch once, and where the sentence ends; None for other words.
    """
    before = _FORMS.match(text)
    found = _STRAIGHT.match(text, before.end() if before else 0)
    if found is None:
        return None
    return every_stitch(Span(*found.span("even")), IN_PATTERN), found.end()


def shaping_steps(text: str) -> tuple[Step, int] | None:
    """The change that a sentence of evened text tells, and where it ends; None where it tells none.

    A sentence that does not say how many rows it is for ("every 6th row until 40 sts remain")
    is none.
    """
    found = _SENTENCE.match(text)
    if found is None:
        return None
    rows = next((found[name] for name in ("rows", "rows2", "rows3") if found[name]), None)
    first = 0
    if found["one"]:
        rows = "1"
    elif found["once"]:
        if found["more2"] or (not found["more"] and "every" in found["once"].lower()):
            return None  # "every foll 4th row 6 times": with the first of them, or besides?
        rows, first = found["more"] or "1", 1
    if rows is None:
        return None
    then = _amount(found["then"]) if found["then"] else (0,)
    ends = 2 if found["ends"].lower().startswith(("each", "both")) else 1
    sign = -1 if found["way"].lower().startswith("dec") else 1
    each, times = _amount(found["each"]), _amount(rows)
    size = max(len(each), len(times), len(then))
    change = tuple(
        sign * ends * each[at % len(each)] * (times[at % len(times)] + then[at % len(then)] + first)
        for at in range(size)
    )
    return Evenly(Span(found.start("way"), found.start("end")), change), found.end()


#: How such a sentence begins, though its rest may stand on the next line.
BEGINS = expression(
    rf"\s*(?:then )?(?:dec(?:rease)?|inc(?:rease)?) {_N} ?(?:sts?|stitch(?:es)?)\b[^.;]{{0,30}}? (?:at|on) (?!.*\buntil\b)",
    re.I,
)
#: The same of rows that change nothing.
_EVEN_BEGINS = expression(
    r"\s*(?:cont(?:inue)?|work)(?: on)?"
    r"(?: straight| even(?:ly)?| in [a-z]{0,4} ?patt(?:ern)?| in pattern| without shaping| as set)+ (?:until|till|for) ",
    re.I,
)


def begins_even(text: str, at: int) -> bool:
    """Whether a sentence of rows that change nothing begins here."""
    before = _FORMS.match(text, at)
    return _EVEN_BEGINS.match(text, before.end() if before else at) is not None


def _amount(words: str) -> Amount:
    if words.isdecimal():
        return (int(words),)
    return (NUMBER_WORDS[words.lower()],) if words.lower() in NUMBER_WORDS else sized(words[0])
