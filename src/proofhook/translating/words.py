"""The other words that differ: skip and miss, gauge and tension, yarns and spellings.

Source: the rows ``[[word]]``, ``[[yarn_name]]`` and ``[spelling]`` of ``terms.toml``.  Each
finder gives the edits that put the words of the other side into those of ``to``; a word
that is right on both sides stays.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from functools import cache

from proofhook import expressions as rx
from proofhook.expressions import expression
from proofhook.pattern import Pattern
from proofhook.records import NamedTuple
from proofhook.text import Edit
from proofhook.trade import table
from proofhook.trade.ladder import cased
from proofhook.trade.terms import statements
from proofhook.translating.places import Places, Spans


class Word(NamedTuple):
    """An edit of a word that is not a stitch's name; ``doubtful`` asks a person instead."""

    edit: Edit
    doubtful: str = ""


Finder = Callable[[Pattern, Places, str], Iterator[Word]]


def words_in(pattern: Pattern, places: Places, to: str) -> Iterator[Word]:
    """Every word that is not a stitch's name and has another form in the terms ``to``."""
    for finder in (_statement, _skips, _gauges, _yarns_over, _yarn_names, _spellings):
        yield from finder(pattern, places, to)


def _replaced(found: re.Match[str], new: str, group: str | int = 0) -> Edit:
    start, end = found.span(group)
    return Edit(start, end, _broken_as(cased(new, found[group]), found[group]))


def _broken_as(new: str, old: str) -> str:
    """The new words with the line breaks of the old ones, where those are broken over lines."""
    gaps = [gap for gap in rx.findall(r"\s+", old) if "\n" in gap or "\r" in gap]
    if not gaps:
        return new
    words = new.split(" ")
    if len(words) == 1:
        return new + "".join(gaps)
    return words[0] + "".join(gaps) + " ".join(words[1:])


# --- the statement of terms -----------------------------------------------------------

_SIDE_WORD = {
    "us": {"uk": "US", "u.k.": "U.S.", "british": "American", "australian": "American"},
    "uk": {"us": "UK", "u.s.": "U.K.", "usa": "UK", "u.s.a.": "U.K.", "american": "British"},
}
_SIDE = expression(r"(?<![\w.])(?:U\.S\.A\.|U\.S\.|U\.K\.|USA|US|UK|American|British|Australian)",
                   re.IGNORECASE)  # fmt: skip


def _statement(pattern: Pattern, _places: Places, to: str) -> Iterator[Word]:
    text = pattern.source.text
    for sign in statements(text):
        for span in sign.spans if sign.side != to else ():
            for found in _SIDE.finditer(text, span.start, span.end):
                new = _SIDE_WORD[to].get(found[0].lower())
                if new is not None:
                    yield Word(Edit(*found.span(), new.lower() if found[0].islower() else new))


# --- skip, miss -----------------------------------------------------------------------

_SKIPS = {"skip": "miss", "skips": "misses", "skipped": "missed", "skipping": "missing"}
_MISSES = {new: old for old, new in _SKIPS.items()}
_OVER_STITCHES = (
    r"(?=\s+(?:over\s+|out\s+)?(?:the\s+|each\s+|these\s+|those\s+|your\s+)?(?:same\s+)?"
    r"(?:(?:next|first|last|following|other|remaining|cent(?:re|er)|middle|marked|corner|one|two|three|four|five|six|seven|eight|\d+)\b"
    r"[\s-]*)*(?:\d*(?:chs?|chains?|sts?|stitch(?:es)?|[sd]cs?|hdcs?|h?trs?|d?trs?|ss|sps?|spaces?|"
    r"loops?|lps?|doubles?|trebles?|singles?|rows?|rounds?|half|double|treble|single)\b"
    r"|\d|one\b|two\b|three\b|four\b|five\b))"
)
_US_SKIP = expression(
    r"(?<![\w-])(?P<word>skip(?:s|ped|ping)?|sk)(?![\w-])(?P<over>\s+over\b)?", re.I
)
_UK_MISS = expression(
    r"(?<![\w-])(?P<word>miss(?:es|ed|ing)?|ms)(?![\w'\u2019-])(?P<out>\s+out\b)?", re.I
)
_STITCHES_NEXT = expression(_OVER_STITCHES, re.IGNORECASE)


def _skips(pattern: Pattern, places: Places, to: str) -> Iterator[Word]:
    text = pattern.source.text
    expression = _US_SKIP if to == "uk" else _UK_MISS
    if not expression.search(text):
        return
    names, kept = _skip_entries(pattern, to)
    for found in expression.finditer(text):
        start, end = found.span("word")
        word = found["word"].lower()
        if start in kept:
            continue
        instructs = places.rows.touch(start, end) or start in names
        if not instructs and not _STITCHES_NEXT.match(text, end):
            continue
        if to == "uk":
            yield Word(_replaced(found, _SKIPS.get(word, "miss"), "word"))
        elif word == "ms" or (word == "miss" and names):
            yield Word(_replaced(found, "sk", "word"))
        else:
            new = cased(_MISSES[word], found["word"])
            yield Word(Edit(start, found.end() if found["out"] else end, new))


#: "sk = skip", "| sk | skip |", "sk skip": an entry, in whatever kind of list.
_EXPLAINED = {
    to: expression(
        rf"(?<![\w-])(?P<short>{short})(?:[ \t]*[=:|,\u2013\u2014-]+[ \t]*|[ \t]+)(?P<long>skip)\b",
        re.IGNORECASE,
    )
    for to, short in (("uk", "sk"), ("us", "miss"))
}


def _skip_entries(pattern: Pattern, to: str) -> tuple[set[int], set[int]]:
    """Where the list names the abbreviation, and where "skip" explains it and is kept.

    "sk = skip" is "miss = skip" in UK terms: that is what a maker must be told.
    """
    short, long = ("sk", "skip") if to == "uk" else ("miss", "skip")
    names, kept = set(), set()
    for found in _EXPLAINED[to].finditer(pattern.source.text):
        names.add(found.start("short"))
        kept.add(found.start("long"))
    for entry in pattern.definitions:
        if entry.abbreviation.lower() in (short, *(("ms",) if to == "us" else ())):
            names.add(entry.abbreviation_span.start)
            if entry.meaning.lower().startswith(long):
                kept.add(entry.meaning_span.start)
    return names, kept


# --- gauge, tension -------------------------------------------------------------------

_GAUGE = expression(r"(?<![\w-])(?<!\d )gauge(?:s)?(?![\w-])", re.IGNORECASE)
_BOTH = expression(
    r"gauge\s*(?:/|\(|\bor\b|\band\b|&)\s*tension|tension\s*(?:/|\(|\bor\b|\band\b|&)\s*gauge",
    re.IGNORECASE,
)
_GAUGE_VERB = expression(r"\bto\s+$", re.IGNORECASE)
_VERB_AFTER = expression(r"\s+(?:how|whether|the|your|it)\b", re.IGNORECASE)
_TENSION = expression(r"(?<![\w-])tensions?(?![\w-])", re.IGNORECASE)
_HEADING = expression(r"^[\s#*_>~=-]*$", re.MULTILINE)
_HEADS = expression(
    r"(?:\s+(?:square|swatch|sample))?[\s*_]*(?::|$|[ \t]{2}|\s+[\u2013\u2014-]\s)", re.M
)
_IS_MEASURE_BEFORE = expression(
    r"\b(?:obtain|get|match|check|achieve|meet|given|stated|correct|right|recommended|required|same|"
    r"for|this|that|to)\s+(?:the\s+|a\s+|this\s+|your\s+|correct\s+|stated\s+)*$",
    re.IGNORECASE,
)
_IS_MEASURE_AFTER = expression(
    r"\s+(?:(?:is|isn't|isn\u2019t|was|does|doesn't|should|will)\b|square|swatch|sample|of\s+\d|is\s+not)"
    r"|[^\n]{0,30}?\d+(?:\.\d+)?\s*(?:sts?|stitches|tr|dc|htr|rows|rounds|rnds|cm)\b",
    re.IGNORECASE,
)
_OF_YARN = expression(
    r"\b(?:even|yarn|thread|loose|tight|firm|under|some|light|more|less|good|keep\s+(?:the|your))\s+$",
    re.IGNORECASE,
)


#: Words further back on the line tell nothing.
_NEAR = 80


def _gauges(pattern: Pattern, _places: Places, to: str) -> Iterator[Word]:
    text = pattern.source.text
    both = Spans(found.span() for found in _BOTH.finditer(text))
    for found in (_GAUGE if to == "uk" else _TENSION).finditer(text):
        start, end = found.span()
        if both.touch(start, end):
            continue
        near = max(0, start - _NEAR)
        before = text[max(near, text.rfind("\n", near, start) + 1) : start]
        plural = found[0].lower().endswith("s")
        if to == "uk":
            if not (_GAUGE_VERB.search(before) and _VERB_AFTER.match(text, end)):
                yield Word(_replaced(found, "tensions" if plural else "tension"))
            continue
        edit = _replaced(found, "gauges" if plural else "gauge")
        if _HEADING.fullmatch(before) and _HEADS.match(text, end):
            yield Word(edit)
        elif _OF_YARN.search(before):
            continue
        elif _IS_MEASURE_BEFORE.search(before) or _IS_MEASURE_AFTER.match(text, end):
            yield Word(edit)
        else:
            yield Word(edit, "it may be the tension of the yarn")


# --- yarn over, yarn round hook -------------------------------------------------------

_OVER = expression(
    r"(?<![\w-])(?:(?P<long>yarn(?P<gap>[\s-]+)over(?P<many>s)?)(?P<rest>\s+(?:(?:the|your|a|an)\b|(?:hook|needle|front|top|back)\b))?"
    r"|(?P<short>y\.?o\b\.?))(?![\w-])",
    re.IGNORECASE,
)
_ROUND = expression(
    r"(?<![\w-])(?:(?P<long>(?:yarn|wool)(?P<many>s)?\s+(?:over|round|around)\s+hook)|(?P<short>yrh|yoh|wrh|y\.o\.h\.))(?![\w-])",
    re.IGNORECASE,
)


def _yarns_over(pattern: Pattern, _places: Places, to: str) -> Iterator[Word]:
    text = pattern.source.text
    for found in (_OVER if to == "uk" else _ROUND).finditer(text):
        if found["short"]:
            short = found["short"]
            stop = short.endswith(".") and short.count(".") == 1
            new = "yrh" if to == "uk" else "yo"
            yield Word(_replaced(found, new + ("." if stop else "")))
        elif to == "us":
            yield Word(_replaced(found, "yarn overs" if found["many"] else "yarn over"))
        elif not found["rest"]:
            new = "yarns round hook" if found["many"] else "yarn round hook"
            yield Word(_replaced(found, new, "long"))


# --- yarns ----------------------------------------------------------------------------

_WEIGHT_AFTER = expression(
    r"[\s-]+(?:weight|yarns?|wool|cotton|acrylic|thread)\b|\s*\(\s*[0-7]\s*\)", re.IGNORECASE
)
_NAME_NEAR = expression(r"[A-Z][a-z\u2019']+[ \t]+$")
_NAME_GOES_ON = expression(r"[ \t]+(?!Weight|Yarn|Wool|Cotton)[A-Z][a-z]+")
_LINE_BEGINS = expression(r"(?:^|\n)[\s>*\u2022-]*$")


def _yarn_names(pattern: Pattern, places: Places, to: str) -> Iterator[Word]:
    text = pattern.source.text
    names = _names(to)
    for found in _names_expression().finditer(text):
        start, end = found.span()
        name = rx.sub(r"\s+", " ", found[0].lower())
        if name not in names:
            continue
        weight = _WEIGHT_AFTER.match(text, end)
        listed = places.materials.touch(start, end) and name not in ("sport",)
        if not weight and not listed:
            continue
        new = _yarn_cased(names[name], found[0])
        if found[0][0].isdigit() and _LINE_BEGINS.search(text[max(0, start - 12) : start]):
            new = new[:1].upper() + new[1:]
        edit = Edit(start, end, new)
        if edit.text == found[0]:
            continue
        if found[0][0].isupper() and _is_a_name(text, start, end):
            yield Word(edit, "it may be the name of a yarn")
        else:
            yield Word(edit)


def _yarn_cased(new: str, old: str) -> str:
    if new == "DK" or old.isdigit():
        return new
    letters = rx.sub(r"[^A-Za-z]", "", old)
    if letters.isupper() and len(letters) > 3:
        return new.upper()
    return new[:1].upper() + new[1:] if old[:1].isupper() else new


def _is_a_name(text: str, start: int, end: int) -> bool:
    """Whether a weight in capitals stands in a yarn's name: "Harbour Mist Aran"."""
    if _NAME_NEAR.search(text[max(0, start - 25) : start]):
        return True
    return _NAME_GOES_ON.match(text, end) is not None


@cache
def _names(to: str) -> dict[str, str]:
    """Names of yarns that are not used in the terms ``to``, each with the name that is."""
    other = "uk" if to == "us" else "us"
    names: dict[str, str] = {}
    for row in table("terms")["yarn_name"]:
        usual = {name.lower() for name in row[to]}
        for name in row[other]:
            if name.lower() not in usual:
                names[name.lower()] = row[to][0]
    return names


@cache
def _names_expression() -> re.Pattern[str]:
    rows = table("terms")["yarn_name"]
    names = {name for row in rows for side in ("us", "uk") for name in row[side]}
    words = "|".join(
        re.escape(name).replace(r"\ ", r"[\s]+") for name in sorted(names, key=len, reverse=True)
    )
    return re.compile(rf"(?<![\w-])(?:{words})(?![\w])(?!-(?!weight))", re.IGNORECASE)


# --- spellings ------------------------------------------------------------------------


def _spellings(pattern: Pattern, places: Places, to: str) -> Iterator[Word]:
    text = pattern.source.text
    expression, stems, whole = _spelling(to)
    for found in expression.finditer(text):
        start, end = found.span()
        word = found[0]
        low = word.lower()
        new = whole.get(low)
        if new is None:
            stem = next(stem for stem in stems if low.startswith(stem))
            new = stems[stem] + low[len(stem) :]
        edit = Edit(start, end, cased(new, word))
        if _may_be_a_name(text, start, end, places, low):
            yield Word(edit, "it may be a name")
        else:
            yield Word(edit)


def _may_be_a_name(text: str, start: int, end: int, places: Places, low: str) -> bool:
    """A word with a capital that stands beside another one, in the materials or as a shade."""
    if not text[start].isupper() or text[start:end].isupper():
        return False
    if low in ("gray", "grey", "grays", "greys"):
        return True
    if not places.materials.touch(start, end):
        return False
    beside = _NAME_NEAR.search(text[max(0, start - 25) : start])
    return bool(beside) or rx.match(r"[ \t]+[A-Z][a-z]+", text[end : end + 20]) is not None


@cache
def _spelling(to: str) -> tuple[re.Pattern[str], dict[str, str], dict[str, str]]:
    other = "uk" if to == "us" else "us"
    spelling = table("terms")["spelling"]
    stems = {row[other]: row[to] for row in spelling["stem"]}
    whole = {row[other]: row[to] for row in spelling["whole"]}
    words = "|".join([*(rf"{stem}[a-z]*" for stem in stems), *sorted(whole, key=len, reverse=True)])
    return re.compile(rf"(?<![A-Za-z])(?:{words})(?![A-Za-z])", re.IGNORECASE), stems, whole
