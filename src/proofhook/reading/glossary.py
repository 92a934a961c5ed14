"""The pattern's own words: its abbreviation list, special stitches, and what its chains count as."""

from __future__ import annotations

import re
from bisect import bisect_right
from collections.abc import Sequence
from functools import lru_cache

from proofhook import expressions as rx
from proofhook.expressions import expression
from proofhook.passages import kept
from proofhook.pattern import (
    NO_WORDS,
    Chain,
    ChainCustom,
    Definition,
    Group,
    Note,
    OwnWords,
    Piece,
    Repeat,
    Skip,
    Step,
    Stitch,
    Unread,
    Which,
    Work,
)
from proofhook.reading.lexer import MADE_CORNER, Token, Vocabulary, lex, trade_stitch
from proofhook.reading.lexicon import phrases
from proofhook.reading.structure import read_row
from proofhook.records import replace
from proofhook.text import Span
from proofhook.trade.headings import NO_HEADINGS, OwnHeadings, leading_heading

_NAME = r"[A-Za-z\u00c0-\u024f0-9][\w'./+()-]*(?:\s[\s-]*[\w'./()+-]+){0,3}?"
ENTRY = expression(
    rf"[\s>\u2022\u00b7*-]*(?:\*\*)?(?P<name>{_NAME})(?:\*\*)?\s*(?:\((?P<aside>[^()]{{1,24}})\)\s*)?(?::|=|\s[-\u2013\u2014\u00b7]+\s|\u2013|\.{{2,}}|\t|\s{{2,}}|-\s(?=\S))(?:\*\*)?\s*(?P<meaning>\S.*)$"
)
INLINE = expression(
    rf"(?<!\w)(?P<name>{_NAME})\s*(?::|=|\s[-\u2013\u2014]\s|\u2013)\s*(?P<meaning>[^:=;]+?)(?=[;.,]\s+{_NAME}\s*(?::|=|\s[-\u2013\u2014]\s)|[;.,]?\s*$)"
)
IN_A_ROW = expression(
    r"\b(?P<name>(?:shell|fan|v-?\s?st(?:itch)?|scallop|cluster|picot))\s+(?:of|=|made of|consists of)\s+(?P<meaning>[(\[][^()\[\]\n]{3,80}[)\]])",
    re.I,
)
REVERSED = expression(
    r"[\s>\u2022*-]*(?P<meaning>[A-Za-z][A-Za-z -]{3,40}?)\s*\((?P<name>[A-Za-z][\w -]{0,10})\)\s*[;,.]?"
)

#: "BLO (back loop only); ch (chain); st/sts (stitch/stitches)", several in a line.
ASIDES = expression(
    r"(?<![\w(])(?P<name>[A-Za-z][\w/ ()-]{0,11}?)\s*\((?P<meaning>[A-Za-z][^()]{3,60})\)\s*(?:[;,.]|$)"
)

#: "ch chain; dc double crochet", "ch, chain; dc, double crochet", "RS \u2013 right side \u00b7 st \u2013 stitch".
BARE = expression(
    r"(?:(?<=[;\u00b7|])|^)[\s>*-]*(?P<name>sl[ -]st|[A-Za-z]{1,8}(?:\d?tog)?(?:\((?:e?s)\))?)(?:,\s+|\s+[\u2013\u2014-]\s+|\s+(?!st\s+-))"
    r"(?P<meaning>[A-Za-z][A-Za-z ()-]{2,40}?)\s*(?=[;\u00b7|.]|$)"
)

#: A row of a table: "| sc | single crochet |".
IN_A_TABLE = expression(
    rf"\s*\|\s*(?:\*\*|`)?(?P<name>{_NAME})(?:\*\*|`)?\s*\|\s*(?P<meaning>[^|]*\w[^|]*?)\s*\|?\s*$",
    re.I,
)

#: "Inc here means 2 hdc in one stitch.": a sentence of the notes that explains a word.
IN_A_SENTENCE = expression(
    r"(?:^|(?<=[.!?] ))[\s>*-]*[\"']?(?:an? )?(?P<name>[A-Za-z][A-Za-z-]{0,11}(?: (?:st|stitch|group))?)[\"']?"
    r"(?: here| below| throughout)? ?(?:means|is|=) ?"
    r"(?P<meaning>(?:work )?(?:\d ?[a-z]{2,4}|[(\[][^()\[\]]{5,60}[)\]]) (?:all |worked )?in(?:to)? (?:the )?(?:same|one|next|corner|a)\b[^.;]{0,30})",
    re.I,
)

#: "mdc = dc in the front loop two rows below": a stitch named after the one that it is.
NAMED_AFTER = expression(
    r"(?<!\w)(?P<name>[a-z]{1,3}(?P<base>sc|hdc|dc|htr|tr)) ?= ?(?P<meaning>(?:an? )?(?P=base) (?:in|into|around|through|worked)\b[^.;]{3,120})"
)

_LISTS = ("abbreviations", "special", "notes")


def definitions_of(
    text: str, lines: Sequence[tuple[int, int]], own: OwnHeadings = NO_HEADINGS
) -> tuple[Definition, ...]:
    """The entries of abbreviation lists and special stitches in an evened text.

    ``lines`` are the start and end of each physical line.  "Shell of (2 dc, ch 1, 2 dc)"
    among the rows is an entry as well.
    """
    found: list[Definition] = [_definition(m, 0, True) for m in IN_A_ROW.finditer(text)]
    kind = ""
    begun = False
    for number, (start, end) in enumerate(lines):
        line = text[start:end]
        if not line.strip():
            continue
        if line.lstrip().startswith("|") and _is_rule(text, lines[number + 1 : number + 2]):
            continue  # the head of a table
        begun = begun or bool(_ROW.match(line))
        heading = leading_heading(line, own)
        if heading is not None:
            kind = heading.kind if heading.kind in _LISTS else ""
            if kind == "notes":
                kind = ""
            if kind and line[heading.rest :].strip():
                found += _entries(text, start + heading.rest, end, kind == "special")
            continue
        if kind and _ENDS_A_LIST.match(line):
            kind = ""
        marked = ":" in line or "=" in line or "\u2013" in line
        if (
            marked
            and not kind
            and not begun
            and (_LETTERS.match(line) or _LETTERS_ON_END.match(line))
        ):
            found += _entries(text, start, end, False)
            continue
        row = _ROW_WORD.match(line)
        told = None if kind or row else _told(line)
        if told is not None:
            found.append(_definition(told, start, True))
            continue
        if marked and not kind and (_MADE_IN_ONE.match(line) or _SAID_IN_ONE.match(line)):
            found += _entries(text, start, end, True)
            continue
        if kind and not (line[:1].isalpha() and line.strip().isupper() and " " not in line.strip()):
            found += _entries(text, start, end, kind == "special")
    return tuple(found)


@kept
def _told(line: str) -> re.Match[str] | None:
    """What a line explains in a sentence."""
    return IN_A_SENTENCE.search(line) or NAMED_AFTER.search(line)


def _is_rule(text: str, lines: Sequence[tuple[int, int]]) -> bool:
    """Whether a line of dashes stands under the head of a table: "|---|---|"."""
    return any("-" in text[a:b] and not text[a:b].strip(" \t|:-") for a, b in lines)


#: "X: single crochet" before the first row: letters that stand for stitches.
_LETTERS = expression(r"\s*(?:[-*\u2022]\s+)?[A-Z]{1,3}\s*[:=\u2013]\s*[^:=]{3,60}$")
#: Several of them on one line: "X = single crochet, V = increase, A = decrease".
_LETTERS_ON_END = expression(
    r"\s*(?:[A-Za-z ]{2,12}:\s+)?(?:[A-Z]{1,3}\s?[=:\u2013](?=\s?[^:=,;]{2})[^:=,;]{2,61}[,;]\s+){2,}[A-Z]{1,3}\s?[=:\u2013]\s?[^:=,;]{2,60}$"
)
_ROW_WORD = expression(r"[\s*#]*(?:rows?|rnds?|rounds?|r)\b\.?\s?#?\d", re.I)
_ROW = expression(r"[\s*#]*(?:rows?|rnds?|rounds?|r)\.?\s?\d|\s*\d{1,3}[.):]", re.I)
#: "Corner: (1 tr, 2 ch, 1 tr) in one place.", wherever it stands.
_MADE_IN_ONE = expression(
    r"\s*(?:[-*\u2022]\s+)?(?!(?:row|rnd|round|r)\b)[A-Za-z][A-Za-z -]{1,20}\s*[:=\u2013]\s*[(\[][^()\[\]]+[)\]]\s+(?:all\s+|worked\s+)?in",
    re.I,
)
_SAID_IN_ONE = expression(
    r"\s*(?:[-*\u2022]\s+)?(?!(?:row|rnd|round|r)\b)[A-Za-z][A-Za-z -]{1,20}\s*[:=\u2013]\s*(?:work\s+)?\d+ ?[a-z]{2,4} (?:all )?in(?:to)? (?:the )?(?:same|one|next|indicated|specified) (?:sts?|stitch|sp|space|place)\b[^,;]{0,40}$",
    re.I,
)
_ENDS_A_LIST = expression(
    r"\s*(?:[-*\u2022#]+\s*)?(?:\d+[.)]\s+)?(?:[Rr]ows?|ROWS?|[Rr]nds?|RNDS?|[Rr]ounds?|ROUNDS?|R|[Rr]d)\.?\s*\d|\s*\d+(?:st|nd|rd|th)?\s+(?:row|rnd|round)"
    r"|\s*(?i:first|second|third|fourth|fifth|sixth|foundation|set-?up|base)\s+(?i:row|rnd|round)s?\s*[:.\u2013-]"
    r"|\s*[A-Z][A-Z ()\d]{3,40}:?\s*$|\s*#",
)


#: "BL - back loop / ch - chain / dc - double crochet", "beg = beginning | ch = chain".
_PARTED = expression(r"\s[/|]\s")


def _entries(text: str, start: int, end: int, special: bool) -> list[Definition]:
    """The entries of one line: one as a rule, several in a run-on list."""
    line = text[start:end]
    inline = (
        list(INLINE.finditer(line))
        if line.count(":") + line.count("=") + line.count(";") > 2
        else []
    )
    if len(inline) > 2:
        return [_definition(m, start, special) for m in inline]
    parts = _PARTED.split(line) if line.count(" / ") + line.count(" | ") > 1 else []
    if len(parts) > 2 and not line.lstrip().startswith("|"):
        at, told = start, []
        for part in parts:
            at = text.index(part, at)
            told.append((ENTRY.match(part), at))
            at += len(part)
        if all(found for found, _ in told):
            return [_definition(found, at, special) for found, at in told if found]
    asides = [m for m in ASIDES.finditer(line) if len(m["name"].strip()) < len(m["meaning"])]
    if len(asides) > 2:
        return [_definition(m, start, special) for m in asides]
    bare = [m for m in BARE.finditer(line) if _explains(m)] if not special else []
    listed = _with_commas(line) if not special else []
    if len(listed) > len(bare):
        return [_definition(m, start, special) for m in listed]
    if len(bare) > 2:
        bare += _GROUP_IN_A_LIST.finditer(line)
    if len(bare) > 2 or (len(bare) == 1 and bare[0].end() == len(line.rstrip())):
        return [_definition(m, start, special) for m in bare]
    found = IN_A_TABLE.match(line) or ENTRY.match(line)
    if found is not None:
        return [_definition(found, start, special)]
    backwards = [
        m
        for m in REVERSED.finditer(line)
        if trade_stitch(m["name"].lower()) or m["name"].lower() in phrases()[0]
    ]
    return [_definition(m, start, special) for m in backwards]


#: "ch, chain; dc, double crochet; shell, 5tr worked in one st.", one after another.
_AFTER_A_COMMA = expression(
    r"(?:^|(?<=; ))(?P<name>[A-Za-z][\w-]{0,8}(?: st)?(?:\(e?s\))?), (?P<meaning>[^;]{3,80}?)(?=;|\.?\s*$)"
)


#: "...; V-st (1tr, 1ch, 1tr) in same place; ..."
_GROUP_IN_A_LIST = expression(
    r"(?<=; )(?P<name>[A-Za-z][A-Za-z-]{1,11}) (?P<meaning>\([^();]{5,60}\) (?:all )?in(?:to)? [^;.]{3,40})"
)


def _with_commas(line: str) -> list[re.Match[str]]:
    """The entries of a list whose names stand before commas; none where few are known."""
    found = list(_AFTER_A_COMMA.finditer(line)) if line.count(";") >= 2 else []
    return found if sum(map(_explains, found)) >= 3 else []


def _explains(found: re.Match[str]) -> bool:
    """Whether bare words are an abbreviation and what it stands for: "ch chain"."""
    name = rx.sub(r"\(e?s\)", "", found["name"].lower())
    said = found["meaning"].lower()
    known = trade_stitch(name) is not None or name in phrases()[0] or name.upper() in _SIDES
    initial = said.lstrip("(")[:1] == name[:1]
    return known and len(name) < len(said) and (initial or trade_stitch(said) is not None)


_SIDES = frozenset({"RS", "WS", "BLO", "FLO", "MC", "CC"})


def _definition(found: re.Match[str], offset: int, special: bool) -> Definition:
    name, meaning = found.span("name"), found.span("meaning")
    return Definition(
        Span(offset + found.start(), offset + found.end()),
        found["name"].strip(" *"),
        found["meaning"].strip(),
        Span(offset + name[0], offset + name[1]),
        Span(offset + meaning[0], offset + meaning[1]),
        special,
        _shown_beside(found) if special else "",
    )


_SHORT = expression(
    r"(?:(?:beg|end|inc|dec|open|closed|corner|double|half|lg|sm) )?[A-Za-z][A-Za-z-]{0,11}(?: (?:st|sp))?",
    re.I,
)


def _shown_beside(found: re.Match[str]) -> str:
    """The short name beside the full one: "Shell (sh): ..." is "sh"."""
    aside = found.groupdict().get("aside") or ""
    return aside if _SHORT.fullmatch(aside) else ""


# --- definitions the counter can use ------------------------------------------------

_PARTS = expression(r"\s[-\u2013\u2014]+\s|[:;(\[]|\.\s|(?<=crease),|\]|\)")
_METHOD = expression(
    r"\b(?:yo|yarn over|yoh|yrh|yarn round hook|insert hook|loops? on (?:the )?hook|draw (?:up|through|it through)|pull (?:up|through)|hook from|hook out|remove (?:the )?hook|drop (?:the )?loop|catch the loop)\b",
    re.I,
)
_OVER = expression(
    r"\b(?:over|next)\s+(?:the\s+)?(?:next\s+)?(\d)\s+(?:sts?|stitches|sc|dc|ch)", re.I
)
#: Words of the lexicon that a list explains and that keep their meaning.
_KEPT = frozenset(
    "st sp ch ring tch row rep blo skip join fasten slst each next first last in around tog rem hook x times turn".split()
)


def local_stitches(
    definitions: tuple[Definition, ...], vocabulary: Vocabulary, own: OwnWords = NO_WORDS
) -> dict[str, Stitch]:
    """The stitches that a pattern defines, by their name in small letters.

    Those that the house brings (``own``) are there too, where the pattern does not define
    the name itself.
    """
    entries = tuple((d.abbreviation, d.meaning) for d in definitions)
    short = tuple((d.abbreviation.lower(), d.short.lower()) for d in definitions if d.short)
    found = dict(_local((*entries, *own.meanings), vocabulary.terms, own.stitches))
    return found | {
        short: found[full] for full, short in short if full in found and not _is_one(full)
    }


@lru_cache(maxsize=256)
def _local(
    entries: tuple[tuple[str, str], ...], terms: str, own: tuple[tuple[str, Stitch], ...]
) -> tuple[tuple[str, Stitch], ...]:
    vocabulary = Vocabulary(terms, dict(own))
    defined: set[str] = set()
    known = phrases()[0]
    named = {abbreviation.lower() for abbreviation, _ in entries}
    # "sh = shell" in the list means what is said further down, under "Shell"
    late = [
        (name, meaning)
        for name, meaning in entries
        if (full := meaning.lower().strip(" .")) in named - {name.lower()} and not _is_one(full)
    ]
    for abbreviation, meaning in (*(each for each in entries if each not in late), *late):
        for name in rx.split(r"\s*(?:/|,|\bor\b)\s*", abbreviation.lower()):
            name = rx.sub(r"\(s\)|\(es\)", "", name).strip(" .*")
            if not name or len(name) > 30 or name in defined:
                continue
            trade = trade_stitch(name) if name != "p" else None
            word = known.get(name)
            if word in ("noun", "corner"):
                word = None  # "Petal: (sl st, ch 3, 2 dc) in next st"
            letter = word == "x" and trade_stitch(meaning.lower().strip(" .")) is not None
            if (word in _KEPT and not letter) or (
                trade is not None and trade.role in ("", "tog", "foundation")
            ):
                continue
            meaning = _OR_SPACE.sub(r"\1", meaning)
            stitch = _stitch(name, meaning, "" if letter else word or "", trade, vocabulary)
            if stitch is not None and not (stitch.role == "group" and not stitch.steps):
                vocabulary.learn(MADE_CORNER if name == "corner" else name, stitch)
                defined.add(name)
    return tuple(sorted(vocabulary.local.items()))


#: "decrease (2 X together)".
_DECREASE = expression(
    r"(?:an? )?(?:inv(?:isible)? )?dec(?:rease)?s?\s*[(\[,:-]\s*(?:(?P<uses>[2-5]) ?[A-Za-z]{1,6} (?:sts )?tog(?:ether)?|[A-Za-z]{1,6} ?(?:the )?(?:next )?[2-5])",
    re.I,
)


def _is_one(name: str) -> bool:
    """Whether the trade counts a stitch of this name as one, however it is made: a bobble."""
    known = trade_stitch(name)
    return known is not None and known.role == "named"


#: "in the stitch or space named": wherever it is worked, it is one place.
_OR_SPACE = expression(r"\b(st|stitch)\s+or\s+(?:ch-)?(?:sp|space)\b", re.I)


def _stitch(
    name: str, meaning: str, word: str, trade: Stitch | None, vocabulary: Vocabulary
) -> Stitch | None:
    """What a definition makes of a name, or None where it leaves the name as it is."""
    after = NAMED_AFTER.match(f"{name} = {meaning}") if trade is None and not word else None
    if after is not None:
        return Stitch(name, after["base"], 1, 1, role="named")
    called = trade_stitch(meaning.partition(":")[0].strip().lower()) if ":" in meaning else None
    if trade is None and not word and called is not None and called.role == "named":
        return Stitch(name, called.base, called.uses, 1, role="named")  # "pc: popcorn: 4 tr ..."
    lessening = _DECREASE.match(meaning) if word in ("", "dec") and trade is None else None
    if lessening is not None:
        uses = int(lessening["uses"] or 2)
        return Stitch(name, vocabulary.plain.base, uses, 1, role="dec")
    sentences = [s for s in rx.split(r"(?<=[a-z)\]])\.\s+", meaning) if s.strip()]
    for part in (*sentences[:1], meaning, *(p for p in _PARTS.split(meaning) if p.strip())):
        steps = tuple(s for s in read_row(part.strip(), vocabulary) if not isinstance(s, Note))
        works = [s for s in steps if isinstance(s, Work)]
        if word in ("inc", "dec") or (word == "" and trade is None):
            shaped = _shaping(name, word, steps, works, vocabulary)
            if shaped is not None:
                return shaped
        grouped = works or any(isinstance(s, (Group, Repeat)) for s in steps)
        if word or any(isinstance(s, Unread) for s in steps) or not grouped:
            continue
        if (
            trade is None
            and len(steps) == 1
            and works
            and works[0].count is None
            and works[0].place is None
        ):
            return works[0].stitch
        if _METHOD.search(meaning):
            break
        return _group(name, steps, trade)
    if word:
        return None
    if trade is not None and trade.role in ("named", "picot"):
        return None
    if _METHOD.search(meaning) or rx.search(r"\btog(?:ether)?\b", meaning):
        over = _OVER.search(meaning)
        if over is None and not _METHOD.search(meaning):
            return Stitch(name, name, 1, 1, role="unknown")  # of how many it makes one is not said
        uses = int(over.group(1)) if over and "tog" in meaning else 1
        return Stitch(name, name, uses, 1, role="named")
    if trade is not None:
        return None
    return _alias(name, meaning)


def _alias(name: str, meaning: str) -> Stitch | None:
    """A name for a stitch of the trade: "V = increase", "kr: single crochet"."""
    plain = rx.split(r"\s[-\u2013\u2014]\s|[:(,;.]", meaning)[0].strip().lower()
    stitch = trade_stitch(plain)
    if stitch is not None:
        return stitch
    if rx.fullmatch(r"\w+", name) and rx.search(
        r"\b(?:stitch|st|cluster|bobble|popcorn|puff)\b", plain
    ):
        return Stitch(name, name, 1, 1, role="unknown")
    return None


def _shaping(
    name: str, word: str, steps: tuple[Step, ...], works: list[Work], vocabulary: Vocabulary
) -> Stitch | None:
    """An increase or decrease as the pattern defines it."""
    if len(works) != 1 or any(isinstance(s, (Chain, Group, Repeat)) for s in steps):
        return None
    work = works[0]
    if work.stitch.role in ("tog", "dec") and word in ("dec", ""):
        if word == "" and work.stitch.role == "tog" and work.count not in (None, (1,)):
            return None
        return Stitch(
            name, work.stitch.base or vocabulary.plain.base, work.stitch.uses, 1, role="dec"
        )
    if work.stitch.role == "inc" and word == "":
        return work.stitch
    count = work.count[0] if work.count else 1
    if word != "dec" and count >= 2 and work.place is not None and work.place.count == (1,):
        if work.stitch.steps or work.stitch.role in ("group", "picot"):
            return None
        role = "inc" if word == "inc" or "inc" in name else "group"
        if role == "group":
            return Stitch(name, name, 1, 1, (_unplaced(work),), role="group")
        return Stitch(name, work.stitch.base, 1, count, role="inc")
    return None


def _unplaced(step: Step) -> Step:
    return replace(step, place=None) if isinstance(step, (Work, Group)) else step


_FIRST_OF = expression(r"\A(?:beg|beginning|begin|starting|start|first) ", re.I)


def _is_method(steps: tuple[Step, ...]) -> bool:
    """Whether steps go over several places, or name the space they go into.

    "Open mesh: ch 1, skip 1, dc in next dc" is worked as it stands, wherever it is called for;
    "shell: 5 dc in next st" is a group, and the row says where it goes.
    """
    if not steps or not all(isinstance(s, (Work, Chain, Skip)) for s in steps):
        return False
    if any(isinstance(s, Work) and s.stitch.role in ("tog", "group", "named") for s in steps):
        return False
    places = [s.place for s in steps if isinstance(s, (Work, Skip)) and s.place is not None]
    known = (Which.NEXT, Which.SAME, Which.HOOK, Which.ELSEWHERE)
    if any(p.which not in known or p.until is not None for p in places):
        return False
    moving = [p for p in places if p.which is not Which.SAME]
    if any(p.which is Which.HOOK or p.count != (1,) for p in moving) or len(moving) > 1:
        return any(isinstance(s, Work) and s.place is not None for s in steps)
    into_space = len(moving) == 1 and any("sp" in what.name for what in moving[0].whats)
    return into_space and any(p.which is Which.SAME for p in places)


def _group(name: str, steps: tuple[Step, ...], trade: Stitch | None) -> Stitch | None:
    """A group of stitches that the pattern defines: a shell, a V-stitch, a picot."""
    if trade is None and _is_method(steps):
        return Stitch(name, name, 1, 1, steps, role="method")
    steps = tuple(s for s in steps if not (isinstance(s, Chain) and s.count == (0,)))
    body: tuple[Step, ...] = tuple(s for s in steps if isinstance(s, (Work, Chain, Group, Repeat)))
    if len(body) != len(steps) or not body:
        return None
    if trade is not None and trade.role == "picot":
        return None
    if isinstance(body[0], Group) and len(body) == 1:
        body = body[0].steps
    if any(isinstance(s, Work) and s.stitch.role == "group" and not s.stitch.steps for s in body):
        return None
    if all(isinstance(s, Work) and s.stitch.role == "tog" for s in body):
        return Stitch(name, name, 1, 1, role="named")
    as_one = _FIRST_OF.sub("", name)  # the one that begins a row counts as one of the others
    return Stitch(as_one, as_one, 1, 1, tuple(_unplaced(s) for s in body), role="group")


# --- what the chains count as -------------------------------------------------------

SENTENCE = expression(r"[^.;!?\n]+(?:\.(?=\d)[^.;!?\n]+)*")
_HINT = expression(
    r"\bcount|\bacts?\b|\bstands? for|\breplac|\bch(?:ain)?[ -]?\d[^.;\n]{0,30}(?:=|\b(?:is|are)\b)"
    r"|\d[ -]?ch\b[^.;\n]{0,40}\b(?:is|are)\s+(?:the\s+first|an?|one)\b",
    re.I,
)


def chain_customs(
    text: str,
    lines: Sequence[tuple[int, int]],
    vocabulary: Vocabulary,
    pieces: tuple[Piece, ...],
) -> tuple[ChainCustom, ...]:
    """What the prose between the rows says about turning chains.

    A sentence among the rows of a piece holds for that piece; one that names pieces
    holds for them; any other for the whole pattern.
    """
    if not _HINT.search(text):
        return ()
    rows = sorted(row.span for piece in pieces for row in piece.rows)
    ends = [span.end for span in rows]
    found: list[ChainCustom] = []
    lengths: list[int] = []
    for start, end in _paragraphs(text, lines):
        after = bisect_right(ends, start)
        if (after < len(rows) and rows[after].start < end) or not _HINT.search(text, start, end):
            continue
        for sentence in SENTENCE.finditer(text, start, end):
            said, lengths = _said(sentence.group(), vocabulary, lengths)
            names = _pieces_named(sentence.group(), sentence.start(), pieces)
            span = Span(sentence.start(), sentence.end())
            for length, counts, stitch, space in said:
                found += [
                    ChainCustom(span, length, counts, stitch, space, piece)
                    for piece in names or ("",)
                ]
    return tuple(found)


def _paragraphs(text: str, lines: Sequence[tuple[int, int]]) -> list[tuple[int, int]]:
    """Lines that go on with a sentence, put together."""
    out: list[tuple[int, int]] = []
    for start, end in lines:
        words = text[start:end].strip()
        if (
            out
            and words
            and words[0].islower()
            and text[out[-1][0] : out[-1][1]].rstrip()[-1:] not in ("", ".", ":")
        ):
            out[-1] = (out[-1][0], end)
        else:
            out.append((start, end))
    return out


def _pieces_named(sentence: str, at: int, pieces: tuple[Piece, ...]) -> tuple[str, ...]:
    named = tuple(
        piece.name
        for piece in pieces
        if piece.name and re.search(rf"\b{re.escape(_short(piece.name))}\b", sentence, re.I)
    )
    if named:
        return named
    for piece in pieces:
        if piece.span.start <= at < piece.span.end:
            return (piece.name,) if piece.name else ()
    return ()


def _short(name: str) -> str:
    return rx.split(r"[\s(:,-]", name.strip())[0].lower()


def _said(
    sentence: str, vocabulary: Vocabulary, before: list[int]
) -> tuple[list[tuple[int, bool, str, int]], list[int]]:
    """(chains, counts, stitch, space) for each chain the sentence speaks of."""
    tokens = lex(sentence, vocabulary)
    said: list[tuple[int, bool, str, int]] = []
    lengths: list[int] = []
    at = 0
    spoken = False
    fresh = True
    while at < len(tokens):
        kind = tokens[at].kind
        number = tokens[at].number
        after = tokens[at + 1] if at + 1 < len(tokens) else None
        if kind == "and" and after is not None and after.kind == "S" and not fresh:
            lengths, fresh = [], True
        if kind == "ch" and after is not None and after.number and after.kind == "#":
            lengths = lengths if not fresh else []
            lengths.append(after.number[0])
            fresh = False
            at += 2
            continue
        beyond = tokens[at + 2].kind if at + 2 < len(tokens) else ""
        if kind == "#" and after is not None and after.kind == "ch" and number and beyond != "#":
            lengths = lengths if not fresh else []
            lengths.append(number[0])
            fresh = False
            at += 2
            continue
        if kind == "ch" and fresh and _AT_THE_START.search(sentence):
            lengths, fresh = [0], False  # "the ch at the start of a row", however long
        elif kind == "tch":
            lengths = lengths if not fresh else []
            lengths.append(after.number[0] if after and after.kind == "#" and after.number else 0)
            fresh = False
        elif (
            kind in ("counts", "countsno", "countsyes")
            or (kind == "as" and spoken)
            or (lengths and not fresh and _is_a_stitch(tokens, at))
        ):
            spoken = kind != "countsno"
            of_others = any(t.stitch or t.kind in _COUNTED_TOO for t in tokens[:at])
            told = tokens[at].text.startswith("replac")  # "replace the last 3ch with 1ch"
            carried = kind != "countsyes" and not of_others and not told
            chosen = lengths or (before if carried else [])
            if kind == "countsno":
                said += [(length, False, "", 0) for length in chosen]
            else:
                stitch, space, at = _counted_as(tokens, at + 1)
                said += [(length, True, stitch, space) for length in chosen]
                fresh = True
                continue
            fresh = True
        at += 1
    if _EACH_CHAIN.search(sentence):
        said = []  # of the chains within rows, not of those that begin them
    if _NEVER.search(sentence):
        said = [(length, False, "", 0) for length, *_ in said] or [(0, False, "", 0)]
    return said, lengths or before


#: "Picots are not counted" is said of no chain.
_COUNTED_TOO = frozenset("noun sp inc dec slst st".split())


def _is_a_stitch(tokens: Sequence[Token], at: int) -> bool:
    """ "= 1 dc", "is the first dc", of a chain that was named."""
    if tokens[at].kind != "=" and tokens[at].text not in ("is", "are"):
        return False
    one = False
    for token in tokens[at + 1 : at + 6]:
        if token.stitch is not None:
            return one and token.stitch.role == ""
        one = one or token.kind in ("first", "a", "one") or token.number == (1,)
        if token.kind not in ("first", "a", "one", "#", "?", "edge"):
            return False
    return False


_EACH_CHAIN = expression(
    r"\b(?:each|every|all)\s+(?:the\s+)?(?:ch(?:ain)?s?[ -]?\d|\d[ -]?ch)(?!\w)(?!.{0,12}\b(?:beg|start|turn))",
    re.I,
)
_AT_THE_START = expression(
    r"\bch(?:ain)?(?:s|\(s\))?\s+(?:at|from)\s+the\s+(?:start|beginning|beg)\b", re.I
)
_NEVER = expression(r"\b(?:no|never)\b[^.]*\bcount(?:s|ed)?\b", re.I)


def _counted_as(tokens: Sequence[Token], at: int) -> tuple[str, int, int]:
    """The stitch and the space after "counts as", and where the words end."""
    stitch, space = "", 0
    while at < len(tokens) and tokens[at].kind in (
        "a",
        "first",
        "#",
        "?",
        "one",
        "in",
        "do",
        "last",
    ):
        at += 1
    if at < len(tokens) and tokens[at].stitch is not None:
        found = tokens[at].stitch
        assert found is not None
        stitch = found.base if found.role not in ("named", "group") else found.name
        at += 1
    elif at < len(tokens) and tokens[at].kind in ("st", "sp"):
        at += 1
    step = at
    while step < len(tokens) and tokens[step].kind in ("and", "a", "+", "first", "with"):
        step += 1
    if step > at and step < len(tokens):
        token = tokens[step]
        after = tokens[step + 1] if step + 1 < len(tokens) else None
        if token.kind == "ch" and after is not None and after.number and after.kind == "#":
            return stitch, after.number[0], step + 2
        if token.kind == "#" and token.number and after is not None and after.kind == "ch":
            return stitch, token.number[0], step + 2
    return stitch, space, at
