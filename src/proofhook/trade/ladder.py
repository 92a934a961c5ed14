"""One stitch, two names: what a stitch of US terms is called in UK terms, and the other way.

Source: the rows ``[[stitch]]`` of ``terms.toml``, row by row.  Every name the rows list has
its partner; names that no row lists (``FPdc3tog``, ``standing dc``) are put together from
the basic stitch in them, which stands one step further up in UK terms (IWV2017).
"""

from __future__ import annotations

import re
from functools import cache

from proofhook.records import NamedTuple
from proofhook.trade import table
from proofhook.trade.stitches import basics, parse_stitch

SIDES = ("us", "uk")

#: The basic stitches by their names without "crochet", each with the next one up.
_STEPS = ("sc", "hdc", "dc", "tr", "dtr", "trtr", "qtr")
_WORDS = {
    "us": ("single", "half double", "double", "treble", "double treble", "triple treble",
           "quadruple treble"),
    "uk": ("double", "half treble", "treble", "double treble", "triple treble",
           "quadruple treble", "quintuple treble"),
}  # fmt: skip
#: Other words for the same; "half triple" is no UK stitch.
_ALSO = {
    "us": {
        "triple": "treble",
        "treble (triple)": "treble",
        "triple (treble)": "treble",
        "double triple": "double treble",
        "triple triple": "triple treble",
    },
    "uk": {},
}

#: What is joined to the short name of a basic stitch to say how it is worked, and what to
#: say how many or what of.
_BEFORE = "fp|bp|rf|rb|lnk|lk|beg|sp|st|ext|ex|e|f|r|l|c|x|"
_AFTER = r"s|\(s\)|ing|fp|bp|rf|rb|blo|flo|tbl|bl|fl|cl|cls|sh|(?:\d{1,2})?tog|"


class Foreign(NamedTuple):
    """A stitch name that is not one of the side that is translated from."""

    words: str


@cache
def short_names(side: str) -> dict[str, str]:
    """The short basic names of a side in lower case, other forms of them too -> the key."""
    rows = {row["key"]: row for row in table("terms")["stitch"] if row["key"] in _STEPS}
    normal = basics()
    names: dict[str, str] = {}
    for key in _STEPS:
        for form in rows[key][f"{side}_short"]:
            if form.isalpha():
                names[form.lower()] = key
    for form, name in normal.items():
        if form.isalpha() and name in names and len(form) < 7:
            names.setdefault(form, names[name])
    plurals = {form for form in names if form[:-1] in names and form[-1] == "s"}
    return {form: key for form, key in names.items() if form not in _FULL_WORDS | plurals}


_FULL_WORDS = frozenset({"single", "double", "treble", "triple", "singles", "doubles", "trebles"})


@cache
def usual_short(side: str) -> dict[str, str]:
    """Key -> the short name a side usually gives the basic stitch."""
    rows = {row["key"]: row for row in table("terms")["stitch"]}
    return {key: rows[key][f"{side}_short"][0].lower() for key in _STEPS}


@cache
def leads(side: str) -> dict[str, str]:
    """The words before "crochet" in the full names of a side -> the key."""
    names = dict(zip(_WORDS[side], _STEPS, strict=True))
    return names | {form: names[usual] for form, usual in _ALSO[side].items()}


@cache
def foreign_leads(side: str) -> frozenset[str]:
    """Words before "crochet" that only the other side has, or that only a few know."""
    other = "uk" if side == "us" else "us"
    also = {"half triple"} if side == "us" else set()
    return frozenset(leads(other)) - frozenset(leads(side)) - {"triple"} | also


def lead_of(key: str, side: str) -> str:
    """The words before "crochet" in the full name that a side gives the basic stitch."""
    return _WORDS[side][_STEPS.index(key)]


_NAMED = {"fp": "front post ", "bp": "back post "}


def full_name(short: str, side: str) -> str:
    """The full name of a basic stitch, of one round a post, or of some worked together.

    "" for any other short name.
    """
    found = re.fullmatch(r"(?P<post>fp|bp|)(?P<base>[a-z]+?)(?:(?P<many>\d{1,2})tog)?", short)
    key = next(
        (k for k, usual in usual_short(side).items() if found and usual == found["base"]), ""
    )
    if not found or not key:
        return ""
    combined = found["post"] or found["many"]
    crochet = "" if combined and side == "uk" and key != "sc" else " crochet"
    together = f" {found['many']} stitches together" if found["many"] else ""
    return f"{_NAMED.get(found['post'], '')}{lead_of(key, side)}{crochet}{together}"


@cache
def word_in(word: str, side: str, to: str) -> str | Foreign | None:
    """A short stitch name, one word as written, in the other terms.

    None where the word is no stitch name at all, Foreign where it is one that ``side``
    does not have.
    """
    listed = _listed(side, to).get(word.lower())
    if listed is not None:
        return _dressed(listed, word)
    found = _parts(side).fullmatch(word)
    if found is None:
        other = _parts("uk" if side == "us" else "us").fullmatch(word)
        return Foreign(word) if other and parse_stitch(_without_end(other)) else None
    if found["before"] and parse_stitch(_without_end(found)) is None:
        return None
    key = short_names(side)[found["base"].lower()]
    base = usual_short(to)[key]
    return f"{found['before']}{cased(base, found['base'])}{found['after']}"


def _without_end(found: re.Match[str]) -> str:
    return f"{found['before']}{found['base']}".lower()


@cache
def _parts(side: str) -> re.Pattern[str]:
    bases = "|".join(sorted(short_names(side), key=len, reverse=True))
    return re.compile(rf"(?P<before>{_BEFORE})(?P<base>{bases})(?P<after>{_AFTER})", re.IGNORECASE)


@cache
def _listed(side: str, to: str) -> dict[str, str]:
    """Names of one word whose partner in the table is not put together from its parts."""
    pairs: dict[str, str] = {}
    if side == to:
        return pairs
    for row in table("terms")["stitch"]:
        if row["key"] in ("ch", "sl st"):
            continue
        of_side, of_other = row[f"{side}_short"], row[f"{to}_short"]
        partners = {form.lower() for form in of_other}
        for form in of_side:
            if not form.replace("/", "").isalpha() or form.lower() in pairs:
                continue
            made = _made(form, side, to)
            if made is None or made.lower() not in partners:
                pairs[form.lower()] = _first_word(of_other)
    return pairs


def _made(form: str, side: str, to: str) -> str | None:
    found = _parts(side).fullmatch(form)
    if found is None:
        return None
    key = short_names(side)[found["base"].lower()]
    return f"{found['before']}{usual_short(to)[key]}{found['after']}"


def _first_word(forms: list[str]) -> str:
    """The form to take of several: one that is put together from its parts, where there is."""
    words = [form for form in forms if form.isalpha()]
    return next((form for form in words if parse_stitch(form) and form[-1:] not in "FB"), words[0])


def _dressed(listed: str, word: str) -> str:
    return listed.upper() if word.isupper() and len(word) > 1 else listed


def cased(new: str, old: str) -> str:
    """New words with the capitals of the old: none, the first letter's, each word's or all."""
    letters = [char for char in old if char.isalpha()]
    if len(letters) > 1 and all(char.isupper() for char in letters):
        return new.upper()
    if not letters or not letters[0].isupper():
        return new
    words = old.split()
    if len(words) > 1 and all(word[0].isupper() for word in words):
        return " ".join(word[:1].upper() + word[1:] for word in new.split(" "))
    return new[:1].upper() + new[1:]
