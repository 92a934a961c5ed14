"""Words of a row -> tokens: each with the one word the grammar knows it by.

"Work 1 single crochet in each of the next 29 stitches" becomes ``# S in each next # st``;
the figures and the stitches stay with the tokens.  The grammar then sees few different
lines, which are parsed once and remembered.
"""

from __future__ import annotations

import re
from functools import cache
from itertools import count

from proofhook import expressions as rx
from proofhook.expressions import expression
from proofhook.pattern import Amount, Stitch, Work
from proofhook.reading.lexicon import DROPPED, SHORT_PROSE, TELLING, phrases
from proofhook.reading.words import (
    NUMBER_WORDS,
    ORDINAL_WORDS,
    SIZED_FILL,
    TENS,
    forget_sized,
    sized,
    sized_crowded,
)
from proofhook.records import NamedTuple, replace
from proofhook.text import Span
from proofhook.trade.stitches import StitchName, around, basics, manners, named, parse_stitch


class Token(NamedTuple):
    """A word (or a few) of a row: the grammar's word for it, where it stands, what it holds."""

    kind: str
    start: int
    end: int
    number: Amount | None = None
    stitch: Stitch | None = None
    text: str = ""


#: One alternative for each kind of thing in a row; tried in this order.
TOKEN = expression(
    r"""(?P<tog>(?!(?:next|first|last|work|join|close|over|the|of|in|foll|and|then|those|these|rem|other|all|same|both)\b)[A-Za-z]{2,6}[-\ ]?\d[-\ ]?(?:st[s]?[-\ ])?tog(?:ether)?\b|(?:dc|tr|htr|sc|hdc)[2-4]inc\b)
      | (?P<rowref>\bR(?=\d{1,3}\b)|(?:(?<=ep\ )|(?<=pt\ )|(?<=eat\ )|(?<=\bas\ )|(?<=\d\ and\ ))R(?=\ \d{1,3}\b)|(?:(?<=rep\ )|(?<=eat\ )|(?<=\bas\ )|(?<=\d\ and\ )|(?<=\d-))r(?=\d{1,3}\b))
      | (?P<sized>[\U000f0000-\U000ff000]\U0010fffd*)
      | (?P<measure>\d[\d.,/\ ]{0,12}[\u00bc-\u00be\u2150-\u215e]?\s?(?:-\s?\d[\d.,/]{0,10}\s?)?(?:cm|mm|inch(?:es)?|in\.(?!\s*[a-z(])|(?<!,)(?<!,\ )in(?=\s*[)\]])|"|yds?|yards?|met(?:er|re)s?|grams?|ozs?|mins?|minutes?|hours?|%)(?![\w]))
      | (?P<ordinal>\d{1,2}\.(?=\ (?:ch|chain|st|stitch|sc|dc|hdc|sp|loop)\b(?!\ ?\d))|\d{1,3}(?:st|\ ?(?:nd|rd|th)|ND|RD|TH|ST(?=\ (?:CH|ST|SC|DC|SP|HDC|H?TR|DTR)))\b(?!\s*(?:tog|\())|\d{1,2}d\b)
      | (?P<withs>\b[wW]/)
      | (?P<number>\d+(?:\.\d+)?)
      | (?P<dotted>(?:(?:s|d|h\.?\s?d|tr|d\.?\s?tr)\.\s?c\.|(?:b|f)\.\s?l\.\s?o\.|[hd]\.\s?tr\.?|t\.\s?r\.|sl\.\s?st\.?|s\.\s?s\.|f\.\s?o\.|inv\.\s?dec\.?)(?![a-z]))
      | (?P<word>(?:[Ii]nc|[Dd]ec|INC|DEC)\+(?!\w)|(?i:inc|dec|sc|hdc|dc)(?=x\d)|[A-Za-z\u00c0-\u024f]+(?:(?:['-]|\U0010fffd+)[A-Za-z\u00c0-\u024f]+)*(?:\((?:s|es)\)(?![\w]))?(?:(?<=[a-z]{2})/[a-z]{2,4}\b)?)
      | (?P<mark>\*+|\u2020+|\u2021+|\u00a7+|\#+|\+|@|~|\^)
      | (?P<open>[(\[{<])
      | (?P<close>[)\]}>])
      | (?P<stop>[.!?](?=\s|$|[)\]}*"']|[A-Z(\[*])|\.)
      | (?P<sep>[,;:|/])
      | (?P<range>(?<=\d)\u2013(?=\d))
      | (?P<dash>\s[-\u2013\u2014]+(?=\s|\d|$)|(?<=[^\s\d])[-\u2013\u2014]+(?=\s|$)|[\u2013\u2014]+|=+>?|->|(?<=\))-|--+)
      | (?P<hyphen>-)
      | (?P<other>[^\s])
    """,
    re.X,
)

#: How far before a word others are looked for that belong to it.
NEAR = 60

#: After these a full stop before a small letter belongs to the abbreviation.
ABBREVIATED = expression(
    r"\b(?:rep|rnd|rnds|sp|sps|st|sts|ch|chs|inc|dec|incl|rem|foll|beg|approx|sl|inv|tog|sk|lp|lps|"
    r"no|nos|col|ss|sc|dc|tr|hdc|htr|dtr|patt|cont|ea|prev|rpt)$",
    re.I,
)


#: "Hdc in the 3rd loop of each st": the loop behind the two upper ones.
_THIRD_LOOP = expression(r"3rd\s+(?:loops?|lps?)(?=\s+(?:only|of\b|around|across))", re.I)
#: Words that go on with what was abbreviated, and no new sentence.
_GOES_ON = expression(
    r"\s*(?:in|into|to|of|on|tog|together|around|across|and|from|at|over|under|between|each|ea|"
    r"every|nxt|next|last|first|same|sts?|sps?|lps?|loops?|chs?|for|with|rem|remain|until|till|times|"
    r"more|made|turn|join|rep|repeat|sk|skip|end|ending|work|then|all|along|through|thru|by|or|but|as|"
    r"only|before|after|long|off|cm|beg|prev|foll|[a-z]+\.)(?![a-z])"
)


#: The numbers of vocabularies, by the number of the one before and what was learnt since.
_numbers: dict[object, int] = {}
_next_number = count()
MOST_NUMBERS = 50_000


def make_room() -> None:
    """Before a pattern is read: forget the names and size lists of many others.

    What was lexed is kept by the numbers of vocabularies, and these never come again: no
    stand-in for a size list is taken for one that it stood for before.
    """
    if sized_crowded() or len(_numbers) > MOST_NUMBERS:
        forget_sized()
        _numbers.clear()


def _number(key: object) -> int:
    number = _numbers.get(key)
    if number is None:
        number = _numbers[key] = next(_next_number)
    return number


class Vocabulary:
    """The names a pattern gives to stitches of its own, over those of the trade."""

    def __init__(self, terms: str = "", local: dict[str, Stitch] | None = None) -> None:
        self.terms = terms
        self.local: dict[str, Stitch] = {}
        #: A number that vocabularies with the same names share.
        self.number = _number(terms)
        self.plain = Stitch("dc" if terms == "uk" else "sc", "dc" if terms == "uk" else "sc")
        self.longest: dict[str, int] = {}
        for name, stitch in sorted((local or {}).items(), key=lambda item: item[0]):
            self.learn(name, stitch)

    def learn(self, name: str, stitch: Stitch) -> None:
        """Take up a name of the pattern's own."""
        self.local[name] = stitch
        self.number = _number((self.number, name, stitch))
        words = name.split()
        self.longest[words[0]] = max(self.longest.get(words[0], 1), len(words))


_PLAIN_UK = {"sc": "dc", "single": "double"}
_PLAIN_US = expression(r"\b(?:sc|single)\b")


@cache
def _table(terms: str) -> tuple[dict[str, str], dict[str, int]]:
    """The lexicon together with the stitches of the trade and the manners of working them.

    In UK terms the plain stitch is the dc, so that "dc inc" is to them what "sc inc" is to US.
    """
    forms, longest = phrases()
    forms, longest = dict(forms), dict(longest)
    if terms == "uk":
        for form, kind in tuple(forms.items()):
            of_dc = _PLAIN_US.sub(lambda plain: _PLAIN_UK[plain.group()], form)
            if kind in ("inc", "dec") and of_dc != form:
                forms[of_dc] = kind
                first = of_dc.split()[0]
                longest[first] = max(longest.get(first, 1), len(of_dc.split()))
    before, _ = manners()
    entries = [(word, "S") for word in (*basics(), *named()) if word != "p"]
    entries += [(word, "manner") for word in before if len(word) > 2 and word not in ("beg", "rev")]
    entries += [
        (f"{start}{base}{end}", "S")
        for start, end, _ in around()
        if " " in end
        for base in basics()
    ]
    for word, kind in entries:
        for form in (word, word + "s", word + "es") if kind == "S" else (word,):
            if form not in forms:
                forms[form] = kind
                first = form.split()[0]
                longest[first] = max(longest.get(first, 1), len(form.split()))
    return forms, longest


@cache
def trade_stitch(words: str) -> Stitch | None:
    """The stitch of the trade that the words name, as the counter uses it."""
    found = parse_stitch(words)
    return _as_stitch(found) if found else None


def _as_stitch(found: StitchName) -> Stitch:
    makes = 0 if found.role == "picot" else 1
    uses = 0 if found.role in ("foundation", "picot") else found.uses
    return Stitch(found.name, found.base, uses, makes, role=found.role)


#: Where a row may be cut in two without changing what either part is read as: no token
#: but a measure ("3, 5 cm") reaches over a comma, and none is read by what stands beyond it.
_CUT = expression(r"[,;] (?=[A-Za-z0-9(\[*])")
_MAY_MEASURE = expression(r"[cm]m|in[.)\]c]|[\"%]|yd|yard|met|gram|oz|min|hour")

#: Parts of rows read so far, by vocabulary: rows differ, but they are made of the same parts.
_parts: dict[tuple[int, str, bool], list[Token]] = {}
MAX_PARTS_KEPT = 20_000


#: Makes a token of its parts without looking at their names: there are many.
_new = tuple.__new__


def lex(text: str, vocabulary: Vocabulary) -> list[Token]:
    """The tokens of a row's evened text, in order."""
    tokens: list[Token] = []
    at = 0
    cuts = [] if _MAY_MEASURE.search(text) else [cut.end() for cut in _CUT.finditer(text)]
    for end in (*cuts, len(text)):
        key = (vocabulary.number, text[at:end], at == 0)
        part = _parts.get(key)
        if part is None:
            if len(_parts) >= MAX_PARTS_KEPT:
                _parts.clear()
            part = _parts[key] = _lex_part(text[at:end], vocabulary, at == 0)
        if at:
            tokens += [
                _new(Token, (kind, start + at, end + at, number, stitch, text))
                for kind, start, end, number, stitch, text in part
            ]
        else:
            tokens += part
        at = end
    return tokens


def _lex_part(text: str, vocabulary: Vocabulary, begins: bool) -> list[Token]:
    """The tokens of a part of a row; ``begins`` tells that it is the first."""
    forms, longest = _table(vocabulary.terms)
    raw = [(m.lastgroup or "", *m.span(), m.group()) for m in TOKEN.finditer(text)]
    if SIZED_FILL in text:  # within words that are broken at the end of a line
        raw = [(k, a, b, w.replace(SIZED_FILL, "") if k == "word" else w) for k, a, b, w in raw]
    if "-" in text or "/" in text:
        raw = _split_hyphens(raw, forms, vocabulary)
    tokens: list[Token] = []
    at = 0
    while at < len(raw):
        kind, start, end, word = raw[at]
        if kind == "word":
            token, used = _word(raw, at, forms, longest, vocabulary, text)
            at += used
            if token is not None:
                tokens.append(token)
            continue
        if kind == "ordinal" and (third := _THIRD_LOOP.match(text, start)) is not None:
            tokens.append(Token("blo", start, third.end(), text=third.group().lower()))
            while at < len(raw) and raw[at][1] < third.end():
                at += 1
            continue
        if kind == "number" and vocabulary.local and at + 1 < len(raw):
            beside = raw[at + 1]  # "2inc", where the pattern explains it
            own = vocabulary.local.get(word + beside[3].lower()) if beside[1] == end else None
            if own is not None and beside[0] == "word" and not beside[3].lower().endswith("tog"):
                tokens.append(Token("S", start, beside[2], stitch=own, text=beside[3].lower()))
                at += 2
                continue
        at += 1
        made = _other(kind, start, end, word, text)
        if made is not None:
            tokens.append(made)
    return _merged(tokens, vocabulary, text, begins)


def _split_hyphens(
    raw: list[tuple[str, int, int, str]],
    forms: dict[str, str],
    vocabulary: Vocabulary,
) -> list[tuple[str, int, int, str]]:
    """Words joined by hyphens that are no word together, taken apart."""
    out: list[tuple[str, int, int, str]] = []
    for entry in raw:
        kind, start, _, word = entry
        if kind == "word" and ("-" in word or "/" in word):
            low = word.lower()
            tens, _, ones = low.partition("-")
            if tens in TENS and ones in NUMBER_WORDS:
                out.append(entry)
                continue
            if low not in forms and low not in vocabulary.local and not trade_stitch(low):
                out += [
                    ("word", start + part.start(), start + part.end(), part.group())
                    for part in rx.finditer(r"[^-/]+", word)
                ]
                continue
        out.append(entry)
    return out


def _word(
    raw: list[tuple[str, int, int, str]],
    at: int,
    forms: dict[str, str],
    longest: dict[str, int],
    vocabulary: Vocabulary,
    text: str,
) -> tuple[Token | None, int]:
    """The token of the longest known phrase that starts here, and how many words it takes."""
    _, start, end, word = raw[at]
    first = word.lower()
    local = vocabulary.local
    most = longest.get(first, 1)
    if local:
        most = max(most, vocabulary.longest.get(first, 1))
    if most > 1:
        following = raw[at + 1] if at + 1 < len(raw) else None
        if (
            following is None
            or following[0] not in _IN_PHRASES
            or (
                first not in vocabulary.longest
                and (first, following[3].lower()) not in _pairs(vocabulary.terms)
            )
        ):
            most = 1
    if local and at + 1 < len(raw) and raw[at + 1][0] == "number" and raw[at + 1][1] == end:
        numbered = local.get(first + raw[at + 1][3])  # "Cl3", where the pattern explains it
        if numbered is not None:
            return Token("S", start, raw[at + 1][2], stitch=numbered, text=first), 2
    if most == 1:
        stitch = local.get(first) if local else None
        if word == "x" and stitch is not None and _OFTEN_AFTER.match(text, end):
            if text[max(start - 3, 0) : start].rstrip()[-1:] in (")", "]"):
                stitch = None  # "(X, V) x 6" where X is a stitch
        if stitch is None and local and first[-1] == "s" and len(first) > 2:
            stitch = local.get(first[:-1])
        kind = "S" if stitch is not None else forms.get(first)
        if kind is None:
            return _single(word, start, end, text), 1
        return _known(kind, start, end, first, text, stitch), 1
    run = [first]
    ends = [end]
    step = at + 1
    while len(run) < most and step < len(raw) and raw[step][0] in ("word", "number", "ordinal"):
        run.append(raw[step][3].lower())
        ends.append(raw[step][2])
        step += 1
    for length in range(len(run), 0, -1):
        key = " ".join(run[:length])
        stitch = vocabulary.local.get(key)
        if stitch is None and key.endswith("s"):
            stitch = vocabulary.local.get(key[:-1]) if len(key) > 2 else None
        kind = "S" if stitch is not None else forms.get(key)
        if kind is None:
            continue
        used = _raw_used(raw, at, ends[length - 1])
        token = _known(kind, start, ends[length - 1], key, text, stitch)
        if token is not None or length == 1:
            return token, used
    return _single(word, start, end, text), 1


_OFTEN_AFTER = expression(r" ?\d")

_IN_PHRASES = ("word", "number", "ordinal")


@cache
def _pairs(terms: str) -> frozenset[tuple[str, str]]:
    """The first two words of every phrase of several words."""
    pairs = (form.split()[:2] for form in _table(terms)[0] if " " in form)
    return frozenset((first, second) for first, second in pairs)


def _raw_used(raw: list[tuple[str, int, int, str]], at: int, end: int) -> int:
    used = 1
    while at + used < len(raw) and raw[at + used][1] < end:
        used += 1
    return used


def _known(
    kind: str, start: int, end: int, key: str, text: str, stitch: Stitch | None
) -> Token | None:
    if kind == "S":
        return Token("S", start, end, stitch=stitch or trade_stitch(key), text=key)
    if kind == "ring" and key in ("mc", "ml", "ka", "mr") and _after_colour_word(text, start):
        return Token("yarn", start, end, text=key)
    return Token(kind, start, end, text=key)


_COLOUR_BEFORE = expression(
    r"(?:\b(?:with|join|in|to|colou?r|yarn|off|col|attach|using|change|drop|switch|cut|and|w/)\.?\s*)$",
    re.I,
)


def _after_colour_word(text: str, start: int) -> bool:
    found = _COLOUR_BEFORE.search(text, max(0, start - NEAR), start)
    return bool(found) and found.group().strip().lower() not in ("in", "and")  # type: ignore[union-attr]


_STAR_BEFORE = expression(r"\b(?:from|between|at|to)\s+(?:the\s+)?(?:first\s+)?$", re.I)


def _single(word: str, start: int, end: int, text: str) -> Token | None:
    """A word that stands in no table: a number, a stitch in one word, prose or an unknown."""
    low = word.lower()
    if low in NUMBER_WORDS and low not in ("no", "none"):
        return Token("#", start, end, number=(NUMBER_WORDS[low],))
    if low in ORDINAL_WORDS:
        return Token("#th", start, end, number=(ORDINAL_WORDS[low],))
    tens, _, ones = low.partition("-")
    if tens in TENS and ones in NUMBER_WORDS:
        return Token("#", start, end, number=(TENS[tens] + NUMBER_WORDS[ones],))
    if (
        len(word) == 1
        and word.isupper()
        and rx.match(r"[-+*\u2212]\s?\d|\s?[-+]\s?\d+\b(?!\s*(?:st|ch|sc|dc))", text[end:])
    ):
        return Token("!", start, end, text=word)
    if len(word) == 1 and word.isupper() and (word not in "AI" or _after_colour_word(text, start)):
        return Token("yarn", start, end, text=word)
    if word == "A" and text[end : end + 1] == " " and text[end + 1 : end + 2].isdecimal():
        if text[max(0, start - 3) : start].lower() == "in ":
            return Token("yarn", start, end, text=word)
    if low in ("a", "an"):
        return Token("a", start, end, number=(1,))
    if low in ("star", "asterisk", "asterisks", "stars") and _STAR_BEFORE.search(
        text, max(0, start - NEAR), start
    ):
        return Token("mark", start, end, text="*")
    if low in DROPPED:
        return None
    stitch = trade_stitch(low) if low != "p" else None
    if stitch is None and low.endswith("ing") and len(low) < 8:
        stitch = trade_stitch(low[:-3])
    if stitch is not None:
        return Token("S", start, end, stitch=stitch, text=low)
    return Token("!" if may_change_a_count(word) else "?", start, end, text=low)


def may_change_a_count(word: str) -> bool:
    """Whether a word that stands in no table could be a stitch or an instruction."""
    low = word.lower()
    if low in TELLING:
        return True
    if low in SHORT_PROSE:
        return False
    if not rx.search(r"[aeiouy\u00c0-\u024f]", low):
        return True
    return len(low) <= 3 or low.endswith("sts") or bool(rx.search(r"[a-z][A-Z]{1,}|\d", word))


def _other(kind: str, start: int, end: int, word: str, text: str) -> Token | None:
    if kind == "tog":
        several = rx.fullmatch(r"([a-z]+)(\d)inc", word.lower())
        if several is not None and (base := trade_stitch(several[1])) is not None:
            made = Stitch(word.lower(), base.base, 1, int(several[2]), role="inc")
            return Token("S", start, end, stitch=made, text=word.lower())
        stitch = trade_stitch(word)
        if stitch is not None:
            return Token("S", start, end, stitch=stitch, text=word.lower())
        return Token("!", start, end, text=word)
    if kind == "rowref":
        return Token("row", start, end, text="row")
    if kind == "sized":
        return Token("#", start, end, number=sized(word[0]))
    if kind == "measure":
        return Token("measure", start, end, text=word)
    if kind == "ordinal":
        digits = rx.match(r"\d+", word)
        return Token("#th", start, end, number=(int(digits.group()),)) if digits else None
    if kind == "number":
        if "." in word:
            return Token("measure", start, end, text=word)
        return Token(
            "#" if len(word) < 10 else "!", start, end, number=(int(word[:10]),), text=word
        )
    if kind == "dotted":
        plain = rx.sub(r"[.\s]", "", word.lower())
        forms, _ = phrases()
        if plain in forms:
            return Token(forms[plain], start, end, text=plain)
        if plain in ("invdec",):
            return Token("dec", start, end, text=plain)
        return Token("S", start, end, stitch=trade_stitch(plain), text=plain)
    if kind == "stop":
        abbreviated = word == "." and ABBREVIATED.search(text, max(0, start - NEAR), start)
        after = text[end : end + 2].lstrip()
        if abbreviated and text[end : end + 1].isdigit():
            return None
        if abbreviated and after and (after[:1] in "*(,;" or _GOES_ON.match(text, end)):
            return None
        return Token(".", start, end)
    if kind == "sep":
        return Token(word, start, end)
    if kind == "withs":
        return Token("with", start, end, text="with")
    if kind == "dash":
        return Token("=" if "=" in word or ">" in word else "--", start, end)
    if kind == "range":
        return Token("-", start, end)
    if kind == "hyphen":
        near = (
            text[max(0, start - 1) : start].isdigit() and text[end : end + 2].lstrip()[:1].isdigit()
        )
        return Token("-", start, end) if near else None
    if kind == "mark":
        return Token("mark", start, end, text=word)
    if kind == "open":
        return Token("(", start, end, text=word)
    if kind == "close":
        return Token(")", start, end, text=word)
    if word in "\"'":
        return None
    if word == "&":
        return Token("and", start, end, text=word)
    return Token("?", start, end, text=word)


_WORKED = frozenset(("S", "inc", "dec", "st"))


def _coloured_count(before: list[Token]) -> bool:
    """ "with A 10" before a stitch: the figure is of the stitches, not of the colour."""
    return [t.kind for t in before[-3:]] in (["with", "yarn", "#"], ["in", "yarn", "#"])


def _merged(tokens: list[Token], vocabulary: Vocabulary, text: str, begins: bool) -> list[Token]:
    """Tokens that make one stitch together, made one: "front post" "dc"; "sc" "2" "tog"."""
    out: list[Token] = []
    for token in _hundreds(tokens):
        if not out or token.kind not in _GOES_WITH_OTHERS:
            out.append(token)
            continue
        if token.kind == "S" and out[-1].kind == "manner" and token.stitch is not None:
            manner = out.pop()
            stitch = trade_stitch(f"{manner.text} {token.text}") or token.stitch
            token = token._replace(start=manner.start, stitch=stitch)
        elif token.kind == "S" and _counts_its_legs(out[-1], token):
            token = _of_legs(token, out.pop())
        elif token.kind == "S" and _before_its_name(out[-1]) and _is_plain(token):
            before_name = out.pop()
            if before_name.text == "foundation" and token.stitch is not None:
                stitch = trade_stitch(f"f{token.stitch.base}") or token.stitch
                token = token._replace(start=before_name.start, stitch=stitch)
        elif token.kind in ("inc", "dec") and _shapes(out, token, text):
            start, before = out[-1].start, out.pop().stitch
            assert before is not None
            grows = token.kind == "inc"
            uses, makes = (1, 2) if grows else (2, 1)
            made = Stitch(f"{before.base} {token.kind}", before.base, uses, makes, role=token.kind)
            token = token._replace(start=start, stitch=made)
        elif token.kind in _WORKED and _coloured_count(out):
            out.insert(len(out) - 1, Token(",", out[-1].start, out[-1].start))
        elif (
            _names_group(token)
            and out[-1].kind == "S"
            and _is_plain(out[-1])
            and not text[out[-1].end : token.start].strip(" -")
        ):
            token = _with_its_size(token._replace(start=out[-1].start), out.pop(), out, text)
        elif token.kind == "evenly" and out[-1].stitch is not None:
            role = out[-1].stitch.role
            out[-1] = out[-1]._replace(kind=role if role in ("inc", "dec") else out[-1].kind)
        elif token.kind == "tog" and _closes_stitches(out):
            out[-3], out[-1] = out[-3]._replace(kind="do"), out[-1]._replace(kind="st")
        elif token.kind == "tog" and len(out) >= 2 and token.text in ("tog", "together"):
            stitch_at = _together(out)
            if stitch_at is not None:
                base, number = stitch_at
                del out[base[0] :]
                name = base[1].stitch.base if base[1].stitch else vocabulary.plain.name
                made = Stitch(f"{name}{number}tog", name, number, 1, role="tog")
                token = Token("S", base[1].start, token.end, stitch=made, text=made.name)
        out.append(token)
    corner = vocabulary.local.get(MADE_CORNER)
    if corner is not None:
        out = [_as_made(out, at, corner) for at in range(len(out))]
    out = [
        _in_context(out, index, begins)
        if token.kind in _OF_TWO_MEANINGS or token.text in _OF_TWO_USES
        else token
        for index, token in enumerate(out)
    ]
    return [token if token.kind != "manner" else token._replace(kind="?") for token in out]


#: What a pattern calls a corner and explains, by a name that no row writes so: most corners in
#: rows are places, and this one is "corner in next ch-2 sp", which is worked.
MADE_CORNER = " corner"


def _as_made(tokens: list[Token], at: int, corner: Stitch) -> Token:
    """A corner that is worked somewhere, as the stitches that it is made of."""
    token = tokens[at]
    before = tokens[at - 1].kind if at else ","
    after = tokens[at + 1].kind if at + 1 < len(tokens) else ""
    if token.kind != "corner" or after != "in" or before not in (",", ";", "a", "do", "and", "("):
        return token
    return token._replace(kind="S", stitch=corner)


#: Kinds of tokens that may make one stitch with those before.
_GOES_WITH_OTHERS = frozenset(("S", "inc", "dec", "st", "tog", "evenly"))
#: Kinds and words of tokens that ``_in_context`` may make something else.
_OF_TWO_MEANINGS = frozenset(("to", "form", "remain", "around", "next"))
_OF_TWO_USES = frozenset(("in", "alternate", "double", "triple"))


def _names_group(token: Token) -> bool:
    """ "Cluster", "shell": a name that may tell of what stitches it is made."""
    return (
        token.kind == "S" and token.stitch is not None and token.stitch.role in ("named", "group")
    )


def _with_its_size(group: Token, member: Token, out: list[Token], text: str) -> Token:
    """ "5-dc shell": the number tells how many stitches the group has, not how many groups."""
    if not out or out[-1].kind != "#" or out[-1].number is None or len(out[-1].number) > 1:
        return group
    joined = text[out[-1].end : member.start] == "-"
    if not joined and (text[group.end - 1] in "sS" or text[out[-1].end : member.start].strip()):
        return group
    sized = out.pop()
    stitch, base = group.stitch, member.stitch
    assert stitch is not None and base is not None
    if stitch.role == "group" and not stitch.steps:
        steps = (Work(Span(0, 0), base, sized.number),)
        stitch = replace(stitch, steps=steps)
    return group._replace(start=sized.start, stitch=stitch)


def _shapes(before: list[Token], token: Token, text: str) -> bool:
    """ "Hdc inc": an increase in that stitch, where no figure says that the stitch is worked too."""
    last = before[-1]
    counted = len(before) > 1 and before[-2].kind in ("#", "a", "each")
    beside = not text[last.end : token.start].strip()
    return last.kind == "S" and _is_plain(last) and beside and not counted


def _before_its_name(token: Token) -> bool:
    """ "Foundation" before a stitch, or the country whose name it is: "6 US single crochet"."""
    return token.text in ("foundation", "us", "uk") and token.kind in ("foundation", "?")


def _is_plain(token: Token) -> bool:
    return token.stitch is not None and token.stitch.role == "" and not token.stitch.steps


def _hundreds(tokens: list[Token]) -> list[Token]:
    """ "One hundred and eighty-six" made one number."""
    if not any(token.text == "hundred" for token in tokens):
        return tokens
    out: list[Token] = []
    at = 0
    while at < len(tokens):
        token = tokens[at]
        if token.text == "hundred" and out and out[-1].number:
            value, end = out[-1].number[0] * 100, token.end
            step = at + 2 if at + 1 < len(tokens) and tokens[at + 1].kind == "and" else at + 1
            more = tokens[step].number if step < len(tokens) and tokens[step].kind == "#" else None
            if more:
                value, end, at = value + more[0], tokens[step].end, step
            out[-1] = Token("#", out[-1].start, end, number=(value,))
        else:
            out.append(token)
        at += 1
    return out


_NUMBERED_BY = frozenset("#th last first next same as asrow rep each other in between".split())


#: "From the previous round".
ROUND_BEFORE = frozenset("previous prior preceding prev current".split())


def _is_of_yarn(tokens: list[Token], index: int) -> bool:
    """ "Folded double", "with yarn held double", "double thickness": no stitch."""
    before = tokens[index - 1].text if index else ""
    after = tokens[index + 1].text if index + 1 < len(tokens) else ""
    return before in _HELD or after in _LAYERS


_HELD = frozenset("folded fold held hold holding yarn used thread strand strands".split())
_LAYERS = frozenset("thickness strand strands layer layers sided knot".split())


def _in_context(tokens: list[Token], index: int, begins: bool) -> Token:
    """Words that mean two things: "round" (a row where it is numbered), "left" (a side)."""
    token = tokens[index]
    if token.text == "in" and index and _says_in_all(tokens, index):
        return token._replace(kind="total")
    if token.kind == "to" and index == 1 and _goes_to_space(tokens, begins):
        return token._replace(kind="in")
    if token.text == "alternate" and index + 1 < len(tokens) and tokens[index + 1].kind == "row":
        return token._replace(kind="rep")
    if token.kind == "next" and index and tokens[index - 1].kind == "each":
        if token.text.startswith("st"):
            return token._replace(kind="st")  # "in every st after it"
    if token.kind == "form" and token.text.startswith("in") and index:
        worked = tokens[index - 2 if tokens[index - 1].kind == "#" and index > 1 else index - 1]
        return token._replace(kind="ring") if worked.kind == "S" else token
    if token.text == "double" and _doubles(tokens, index):
        return token._replace(kind="inc", stitch=None)  # "double every st", two in each
    if token.kind == "S" and token.text in ("double", "triple"):
        return token._replace(kind="?", stitch=None) if _is_of_yarn(tokens, index) else token
    if token.kind == "remain" and token.text == "left":
        after_left = tokens[index + 1] if index + 1 < len(tokens) else None
        side = after_left is not None and after_left.kind in ("edge", "noun", "?")
        return token._replace(kind="?") if side else token
    if token.kind != "around" or token.text not in ("round", "all round"):
        return token
    after = tokens[index + 1] if index + 1 < len(tokens) else None
    before = tokens[index - 1] if index else None
    numbered = after is not None and after.kind == "#"
    if before is not None and before.text in ROUND_BEFORE:
        return token._replace(kind="row")
    if begins if before is None else before.kind == ".":
        return token._replace(kind="row")
    if numbered or (before is not None and before.kind in _NUMBERED_BY):
        return token._replace(kind="row")
    return token


def _doubles(tokens: list[Token], index: int) -> bool:
    """ "Double every st", "double the next st": worked twice each, and no double crochet."""
    before = tokens[index - 1].kind if index else ","
    after = tokens[index + 1].kind if index + 1 < len(tokens) else ""
    return before in (",", ";", ".", ":", "mark", "and", "(", "#") and after in ("each", "next")


def _goes_to_space(tokens: list[Token], begins: bool) -> bool:
    """ "Sl st to next ch-2 sp", where the row starts or goes on: no joining of its end."""
    if tokens[0].kind != "slst" or not (begins or any(t.kind == "next" for t in tokens[2:4])):
        return False
    after = tokens[2:7]
    space = next((at for at, t in enumerate(after) if t.kind == "sp"), None)
    if space is None and [t.kind for t in after[:3]] == ["ch", "#", ","]:
        space = 2  # "sl st to ch-1, ..."
    between = {t.kind for t in tokens[2 : 2 + (space or 0)]}
    return space is not None and between <= {"next", "first", "ch", "#", "corner", "centre"}


def _says_in_all(tokens: list[Token], index: int) -> bool:
    """ "36 in all", at the end of what is said."""
    following = tokens[index + 1 : index + 3]
    ends = len(following) == 1 or (
        len(following) == 2 and following[1].kind in (".", ",", ")", ";")
    )
    counted = tokens[index - 1].kind in ("#", "st", "S")
    return counted and bool(following) and following[0].text == "all" and ends


def _counts_its_legs(number: Token, token: Token) -> bool:
    """ "3dctog": three stitches together, and not three decreases."""
    if number.kind != "#" or number.number is None or not 2 <= number.number[0] <= 6:
        return False
    stitch = token.stitch
    unsaid = rx.fullmatch(r"[a-z]+", token.text) is not None
    return stitch is not None and stitch.role == "tog" and unsaid


def _of_legs(token: Token, number: Token) -> Token:
    """The stitch with the number of its legs."""
    assert token.stitch is not None and number.number is not None
    base, legs = token.stitch.base, number.number[0]
    made = Stitch(f"{base}{legs}tog", base, legs, 1, role="tog")
    return token._replace(start=number.start, stitch=made)


def _closes_stitches(out: list[Token]) -> bool:
    """ "Join 2 stitches together", "close 2 points together": a decrease, and no joining."""
    if len(out) < 3 or out[-3].kind != "join" or out[-2].kind != "#":
        return False
    return out[-1].kind == "st" or out[-1].text in ("points", "loops")


def _together(out: list[Token]) -> tuple[tuple[int, Token], int] | None:
    """ "sc 2 tog", "single crochet 2 stitches together": the stitch and how many."""
    back = len(out) - 1
    if out[back].kind == "st" and back >= 2:
        back -= 1
    number = out[back].number
    if out[back].kind == "#" and back >= 1 and out[back - 1].kind == "S" and number:
        return (back - 1, out[back - 1]), number[0]
    return None
