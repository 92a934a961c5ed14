"""Stitch names in a text and the edits that put them into the other terms.

Short names ("sc", "FPdc", "dc2tog"), names in words ("half double crochet", "trebles",
"single and double crochet") and names with full stops ("d.c.").  All are looked for in one
pass over the text as found, so that no edit is made of what another edit wrote.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from functools import cache

from proofhook import expressions as rx
from proofhook.expressions import expression
from proofhook.records import NamedTuple
from proofhook.text import Edit
from proofhook.trade.ladder import (
    Foreign,
    cased,
    foreign_leads,
    lead_of,
    leads,
    usual_short,
    word_in,
)

#: Two words of instruction that make a lone "double" or "treble" a stitch.
_BEFORE = expression(
    r"(?:(?<![\w.])(?:\d+|one|two|three|four|five|six|seven|eight|nine|ten|twelve|each|every|next|"
    r"first|last|foll(?:owing)?|work|same|extended|foundation|post)|[(*,])\s*$"
    # "sc = single", "tr treble": the word explains a short name.
    r"|(?<![A-Za-z])(?:sc|h?dc|d?tr|htr)s?\s*[=:,(\u2013-]?\s*$"
    # "half doubles and trebles"
    r"|\b(?:(?:single|double|treble|triple)s|crochets?)\s*(?:,|\band\b|\bor\b|&)\s*$",
    re.IGNORECASE,
)
_AFTER = expression(
    r"\s*(?:in(?:to)?\b|around\b|round\b|between\b|st(?:s|itch(?:es)?)?\b|across\b|together\b|"
    r"tog\b|of\b|and\b|to\b|[,.;:)\]\u2013-]|$)",
    re.IGNORECASE | re.MULTILINE,
)
_THE_PLURAL = expression(r"\b(?:the|these|those|your|all|both|between|of|more)\s+$", re.IGNORECASE)

_WORK = r"(?:extended|foundation|front[ -]post|back[ -]post|linked|long|standing|crossed)"
_NUMBER = r"(?:two|three|four|five|six|\d{1,2})"
_TOGETHER = rf"(?=\s+{_NUMBER}\s+(?:(?:stitches|sts?)\s+)?tog(?:ether)?\b)"


class Named(NamedTuple):
    """A stitch name: where it stands, and the edits that translate it.

    ``bare`` marks a lone word that may be no stitch; ``foreign`` a name of the other side.
    """

    start: int
    end: int
    words: str
    edits: tuple[Edit, ...]
    bare: bool = False
    foreign: bool = False


def names_in(text: str, side: str, to: str) -> Iterator[Named]:
    """Every stitch name in a text, in order, with what it becomes."""
    for found in _expression(side).finditer(text):
        kind = found.lastgroup
        if kind == "short":
            named = _short(found, side, to)
        elif kind == "dotted":
            named = _dotted(found, side, to)
        elif kind in ("spaced", "two"):
            named = _spaced(found, side, to, kind)
        elif kind == "around":
            named = _around(found, side, to)
        else:
            named = _long(found, text, side, to)
        if named is not None:
            yield named


def is_stitch(text: str, start: int, end: int) -> bool:
    """Whether a lone "treble" or "doubles" is a stitch by the words around it."""
    before = text[max(0, start - 20) : start]
    plural = text[end - 1 : end].lower() == "s"
    if _BEFORE.search(before):
        return plural or bool(_AFTER.match(text, end))
    return plural and bool(_THE_PLURAL.search(before)) and bool(_AFTER.match(text, end))


@cache
def _expression(side: str) -> re.Pattern[str]:
    words = sorted({*leads(side), *foreign_leads(side)}, key=len, reverse=True)
    lead = "|".join(map(_broken, words))
    around = (
        r"|(?P<around>\braised\s+(?:half[\s-]treble|double[\s-]treble|treble|double)(?:\s+crochet)?"
        r"\s+(?:front|back)\b|\btreble\s+round\s+the\s+(?:front|back)\b)"
        if side == "uk"
        else r"|(?P<around>\braised\s+double\s+crochet(?!\s+(?:front|back))\b"
        r"|\bdouble\s+single\s+crochet\b|\bElmore\s+stitch\b|\bchainless\s+foundation\b"
        r"(?=\s*(?:[:=)\u2013-]|stitch|st\b|$))|\bchainless\s+single\s+crochet\b)"
    )
    return re.compile(
        rf"""(?<![A-Za-z\u00c0-\u024f'\u2019])(?:
              (?P<dotted>(?:s|h\.\s?d|d|tr|d\.\s?tr)\.\s?c\.(?![a-z])|[hd]\.\s?tr\b\.?|t\.\s?r\.(?![a-z]))
            {around}
            | (?P<two>(?:dbl|trip|tr|quad|quin)[ ]tr)(?![A-Za-z])
            | (?P<spaced>(?:h[ ]d|s|d|tr|d[ ]tr)[ ]c|[hd][ ]tr|t[ ]r)(?![A-Za-z])
            | (?P<long>(?:(?P<work>{_WORK})\s+)?(?P<lead>{lead})
                (?:(?P<crochet>[\s-]+crochet(?:s|ed|ing|\(s\))?)|(?P<plural>s|\(s\))|)(?![A-Za-z-])
                (?P<together>{_TOGETHER})?)
            | (?P<short>[A-Za-z]*(?:sc|dc|tr|tc)[A-Za-z]*(?:\d{{1,2}}tog|/r[fb])?
                (?![A-Za-z\u00c0-\u024f]))
            )""",
        re.VERBOSE | re.IGNORECASE,
    )


def _broken(words: str) -> str:
    """An expression for words with any blanks, or a hyphen, between them."""
    return r"[\s-]+".join(map(re.escape, words.split(" ")))


def _short(found: re.Match[str], side: str, to: str) -> Named | None:
    start, end = found.span("short")
    word = found["short"]
    new = word_in(word, side, to)
    if new is None:
        return None
    if isinstance(new, Foreign):
        return Named(start, end, word, (), foreign=True)
    edits = (Edit(start, end, new),) if new != word else ()
    return Named(start, end, word, edits)


_DOTS = {"sc": "s.c.", "hdc": "h.d.c.", "dc": "d.c.", "tr": "t.r.", "htr": "h.tr.", "dtr": "d.tr."}


def _dotted(found: re.Match[str], side: str, to: str) -> Named | None:
    start, end = found.span("dotted")
    word = found["dotted"]
    plain = rx.sub(r"[.\s]", "", word).lower()
    new = word_in({"trc": "tr", "dtrc": "dtr"}.get(plain, plain), side, to)
    if new is None:
        return None
    if isinstance(new, Foreign):
        return Named(start, end, word, (), foreign=True)
    made = _DOTS.get(new, f"{new}.")
    if to == "us" and new == "tr":
        made = "tr.c."
    if not word.endswith(".") and made.endswith("tr."):
        made = made.removesuffix(".")
    made = cased(made, word)
    return Named(start, end, word, (Edit(start, end, made),) if made != word else ())


_SPACES = {"sc": "s c", "hdc": "h d c", "dc": "d c", "tr": "t r", "htr": "h tr", "dtr": "d tr"}
_PLAIN = {"trc": "tr", "dtrc": "dtr", "dbltr": "dtr", "triptr": "trtr", "quadtr": "qtr"}


def _spaced(found: re.Match[str], side: str, to: str, kind: str) -> Named | None:
    """ "d c", as old leaflets print it, and "dbl tr".

    Elsewhere than in rows the single letters may be anything.
    """
    start, end = found.span(kind)
    word, bare = found[kind], kind == "spaced"
    plain = word.replace(" ", "").lower()
    new = word_in(_PLAIN.get(plain, plain), side, to)
    if new is None:
        return None
    if isinstance(new, Foreign):
        return Named(start, end, word, (), bare=bare, foreign=True)
    made = new
    if bare:
        made = "tr c" if to == "us" and new == "tr" else _SPACES.get(new, new)
    made = cased(made, word)
    return Named(start, end, word, (Edit(start, end, made),) if made != word else (), bare=bare)


#: Names of their own for stitches that the other side calls otherwise.
_OWN = {
    "raised double crochet": "raised treble front",
    "double single crochet": "extended double crochet",
    "elmore stitch": "extended double crochet",
    "chainless foundation": "foundation treble",
    "chainless single crochet": "foundation double crochet",
}


def _around(found: re.Match[str], side: str, to: str) -> Named | None:
    start, end = found.span("around")
    words = found["around"]
    if side == to:
        return Named(start, end, words, ())
    plain = rx.sub(r"[\s-]+", " ", words.lower())
    if plain in _OWN:
        new = _OWN[plain]
    else:
        post = "front" if plain.endswith("front") else "back"
        lead = rx.sub(r"^raised | crochet| (?:round the )?(?:front|back)$", "", plain)
        new = f"{post} post {lead_of(leads(side)[lead], to)} crochet"
    return Named(start, end, words, (Edit(start, end, cased(new, words)),))


def _long(found: re.Match[str], text: str, side: str, to: str) -> Named | None:
    start, end = found.span("long")
    lead = rx.sub(r"[\s-]+", " ", found["lead"].lower())
    crochet = found["crochet"]
    if lead in foreign_leads(side):
        bare = not crochet and " " not in lead
        return Named(start, end, found["long"].strip(), (), bare=bare, foreign=True)
    key = leads(side)[lead]
    new = lead_of(key, to)
    listed = not crochet and _goes_on_to_crochet(text, found.end("lead"), side)
    combined = bool(found["work"]) or found["together"] is not None
    bare = not crochet and not listed and " " not in lead and not combined
    plural = bool(found["plural"] or (crochet and crochet.lower().rstrip(")").endswith("s")))
    edits = [_lead_edit(found, new)]
    full = _takes_crochet(key, side, to, combined, plural)
    if crochet and full is False:
        edits.append(Edit(*found.span("crochet"), "s" if plural else ""))
    elif full and not crochet and not listed:
        word = " CROCHET" if found["lead"].isupper() else " crochet"
        edits.append(Edit(found.end("lead"), found.end("lead"), word))
    made = tuple(edit for edit in edits if text[edit.start : edit.end] != edit.text)
    return Named(start, end, found["long"].strip(), made, bare=bare)


def _takes_crochet(key: str, side: str, to: str, combined: bool, plural: bool) -> bool | None:
    """Whether the full name has "crochet" in it, does not, or has it where it was there.

    US terms say "half double crochet", "front post double crochet"; UK terms "half treble",
    "front post treble", "trebles", but "double crochet".  Where ``side`` and ``to`` are the
    same, a name takes the form in which it would come back from the other side.
    """
    if to == "us":
        return True if combined or key in ("sc", "hdc", "dc") else None
    if key == "sc":
        return True
    if combined or (key == "dc" and plural):
        return False
    return True if side == "uk" and key in ("hdc", "dc") else None


def _goes_on_to_crochet(text: str, at: int, side: str) -> bool:
    """ "Single, half double and double crochet": the word stands for all of them."""
    return _series(side).match(text, at) is not None


@cache
def _series(side: str) -> re.Pattern[str]:
    lead = "|".join(map(_broken, sorted(leads(side), key=len)[::-1]))
    between = r"(?:\s*,\s*(?:and\s+|or\s+)?|\s+(?:and|or|&)\s+|\s*/\s*)"
    return re.compile(rf"(?:{between}(?:{lead})){{1,6}}[\s-]+crochet", re.IGNORECASE)


def _lead_edit(found: re.Match[str], new: str) -> Edit:
    """The lead in the other terms; a break of the line in it stays where it was."""
    old = found["lead"]
    start, end = found.span("lead")
    blanks = rx.findall(r"[\s-]+", old)
    words = cased(new, old).split(" ")
    made = words[0]
    for at, word in enumerate(words[1:]):
        made += (blanks[at] if at < len(blanks) else " ") + word
    first, rest = old.split()[0], old.split()[1:]
    if rest and first[:1].isupper() and not rest[0][:1].isupper() and len(words) > 1:
        made = made[:1] + made[1:].lower() if not old.isupper() else made
    return Edit(start, end, made)


def lone_abbreviations(side: str) -> frozenset[str]:
    """Short names in capitals that may as well be something else outside the rows."""
    return frozenset({"SC", "DC", "TR", "TC", *(name.upper() for name in _two_letters(side))})


def _two_letters(side: str) -> Iterator[str]:
    yield from (name for name in usual_short(side).values() if len(name) == 2)
