"""US or UK terms: what a text says, and what its words and structure prove.

An explicit statement goes before strong words, strong words before structure, structure
before weak words.  Strong words of both sides are a conflict, which is reported and never
decided here.  Sources: ``terms.toml``, row by row.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from functools import cache, lru_cache

from proofhook.expressions import Sought, beginnings, expression, lowered_alike, words_of
from proofhook.passages import found_in, is_in
from proofhook.records import dataclass
from proofhook.text import Span
from proofhook.trade import table

#: From the heaviest weight to the lightest.
WEIGHTS = ("stated", "strong", "structure", "weak")

#: So many different weak words, and none on the other side, are taken as proof.
WEAK_WORDS_NEEDED = 2

_SIDES = {
    "us": "us",
    "usa": "us",
    "american": "us",
    "uk": "uk",
    "british": "uk",
    "australian": "uk",
}
_SIDES_BEGIN = "us|u.s|uk|u.k|american|british|australian"
_SIDE = r"(?:U\.?S\.?A?\.?|U\.?K\.?|American|British|Australian)"
_STATEMENT = Sought(
    rf"""(?<![\w/])(?P<side>{_SIDE})(?:\s*\([A-Za-z.]+\))?[\s-]+(?:standard\s+|crochet\s+|stitch\s+|pattern\s+)*
         (?:terms|terminology|term|notation|abbreviations|stitch\s+names)\b(?!\s+of\b)
       |\b(?:terms|terminology)(?:\s+used)?[\s*_]*(?::|=|-|\u2013|\s)[\s*_]*(?P<side2>{_SIDE})\b
         (?!\s*(?:/|&|and\b|or\b))
       |\b(?:abbreviations|stitch(?:es|\s+(?:guide|key|list|names)))(?:\s+used)?\s*\((?P<side3>{_SIDE})\)
       |\blanguage\s*[:\u2013-]\s*(?:English[\s,(\u2013-]*)?(?P<side4>{_SIDE})\b""",
    re.VERBOSE | re.IGNORECASE,
    begins=f"{_SIDES_BEGIN}|term|abbreviations|stitch|language",
)
# "for UK terms see", "not US terms", "US and UK terms", "UK terms in brackets": no statement.
_NOT_STATED_BEFORE = expression(
    rf"(?:\b(?:for|see|not|into|to|from|unlike|equivalents?|between|also\s+in|available\s+in|than)"
    rf"\s+(?:the\s+)?|{_SIDE}\s*(?:/|&|\+|and|or)\s*)$",
    re.IGNORECASE,
)
_NOT_STATED_AFTER = expression(
    rf"\s*(?:(?:are|is|given|shown|also)\s+)*(?:(?:in|within)\s+(?:\w+\s+)?(?:brackets|parenthes)"
    rf"|equivalents?\b|conversion|available|\(?{_SIDE}\s+\w+\s*=|(?:/|&|and|or)\s*{_SIDE})",
    re.IGNORECASE,
)
# "sc (UK dc)", "US single crochet": the word is quoted from a side, not used.
_QUOTED_SIDE = Sought(
    rf"(?<![\w.]){_SIDE}[\s:=]*(?:term\s+)?[\"'\u2018\u201c]?",
    re.IGNORECASE,
    begins=_SIDES_BEGIN,
)


@dataclass(frozen=True, slots=True)
class Sign:
    """A word or a turn of structure that points to one side, and every place of it.

    ``side`` is "us" or "uk", ``weight`` one of WEIGHTS; ``words`` is what was found, in
    lower case, or for structure the finding in words.
    """

    side: str
    weight: str
    words: str
    spans: tuple[Span, ...]


@dataclass(frozen=True, slots=True)
class Evidence:
    """All signs of a text, and what follows from them.

    ``terms`` is "us", "uk" or "" where nothing decides; ``decided_by`` is the weight that
    decided, or "".  ``conflict`` tells that statements or strong words point both ways;
    only a statement still decides then.
    """

    signs: tuple[Sign, ...]
    terms: str
    decided_by: str
    conflict: bool

    def of(self, side: str, weight: str) -> tuple[Sign, ...]:
        """The signs of one weight that point to one side."""
        return tuple(sign for sign in self.signs if sign.side == side and sign.weight == weight)


@dataclass(frozen=True, slots=True)
class _Row:
    side: str
    weight: str
    unless: re.Pattern[str] | None
    needs: tuple[str, ...]
    expression: re.Pattern[str] | None


@lru_cache(maxsize=4)
def evidence(text: str) -> Evidence:
    """Weigh everything in a text that points to US or to UK terms.

    Structure is looked at only where no strong word tells what dc and tr stand for.
    """
    lowered = text.lower()
    if len(lowered) != len(text):  # a few letters lower to two: keep the offsets true
        lowered = "".join(c.lower() if len(c.lower()) == 1 else c for c in text)
    quoted = frozenset(match.end() for match in found_in(_QUOTED_SIDE, text))
    signs = [
        *statements(text),
        *_word_signs(lowered, quoted),
        *_expression_signs(lowered, quoted),
    ]
    if not any(sign.weight == "strong" for sign in signs):
        signs += _structure_signs(lowered)
    return _weigh(tuple(signs))


@lru_cache(maxsize=4)
def statements(text: str) -> tuple[Sign, ...]:
    """Where the text says which terms it is written in ("US terms", "Terms: UK")."""
    found: dict[str, list[Span]] = {}
    for match in found_in(_STATEMENT, text):
        group = match.lastgroup or "side"
        before = text[max(0, match.start() - 40) : match.start()]
        if group == "side" and _NOT_STATED_BEFORE.search(before):
            continue
        if _NOT_STATED_AFTER.match(text, match.end()):
            continue
        side = _SIDES[match[group].lower().replace(".", "")]
        found.setdefault(side, []).append(Span(*match.span()))
    return tuple(Sign(side, "stated", f"{side} terms", tuple(at)) for side, at in found.items())


def may_conflict(text: str) -> bool:
    """Whether any words in a text could prove the one side, and any the other.

    Few texts have such words, and only these have to be weighed.
    """
    lowered, words = lowered_alike(text), words_of(text)
    sides = {sign.side for sign in statements(text)}
    for side, (whole, letters) in _strong_words().items():
        if not whole.isdisjoint(words) or any(each in lowered for each in letters):
            sides.add(side)
    return len(sides) > 1


def other(side: str) -> str:
    """The other of the two sides."""
    return "uk" if side == "us" else "us"


def _weigh(signs: tuple[Sign, ...]) -> Evidence:
    sides = {weight: {s.side for s in signs if s.weight == weight} for weight in WEIGHTS}
    conflict = len(sides["stated"] | sides["strong"]) > 1
    for weight in WEIGHTS:
        found = sides[weight]
        if not found:
            continue
        words = sum(sign.weight == weight for sign in signs)
        if len(found) > 1 or (weight == "weak" and words < WEAK_WORDS_NEEDED):
            break
        return Evidence(signs, min(found), weight, conflict)
    return Evidence(signs, "", "", conflict)


def _word_signs(lowered: str, quoted: frozenset[int]) -> Iterator[Sign]:
    """Signs that are whole words, each with all its places."""
    found: dict[str, list[Span]] = {}
    for match in found_in(_words_expression(), lowered):
        found.setdefault(match[0], []).append(Span(*match.span()))
    for words, spans in found.items():
        row = _words()[words]
        yield from _sign(row, words, spans, lowered, quoted)


def _expression_signs(lowered: str, quoted: frozenset[int]) -> Iterator[Sign]:
    """Signs that need a look at the words around them."""
    for row in _rows():
        if row.expression is None or not any(need in lowered for need in row.needs):
            continue
        found: dict[str, list[Span]] = {}
        for match in found_in(row.expression, lowered):
            group = match.lastgroup or "hit"
            found.setdefault(match[group], []).append(Span(*match.span(group)))
        for words, spans in found.items():
            yield from _sign(row, words, spans, lowered, quoted)


def _sign(
    row: _Row, words: str, spans: list[Span], lowered: str, quoted: frozenset[int]
) -> Iterator[Sign]:
    """The sign, unless the text itself says that the word proves nothing."""
    used = tuple(span for span in spans if span.start not in quoted)
    if used and not (row.unless and is_in(row.unless, lowered)):
        yield Sign(row.side, row.weight, words, used)


def _structure_signs(lowered: str) -> Iterator[Sign]:
    for side, words, structure in _structures():
        spans = tuple(Span(*match.span()) for match in structure.finditer(lowered))
        if spans:
            yield Sign(side, "structure", words, spans)


@cache
def _rows() -> tuple[_Row, ...]:
    return tuple(
        _Row(
            row["side"],
            row["weight"],
            _compiled(row.get("unless")),
            tuple(row.get("needs", ())),
            _compiled(row.get("expression")),
        )
        for row in table("terms")["evidence"]
    )


@cache
def _words() -> dict[str, _Row]:
    """Each single word that proves something -> its row."""
    rows = zip(table("terms")["evidence"], _rows(), strict=True)
    return {word: row for entry, row in rows for word in entry.get("words", ())}


@cache
def _strong_words() -> dict[str, tuple[frozenset[str], tuple[str, ...]]]:
    """For each side whole words and letters, some of which are in every text with a strong sign."""
    strong = [row for row in table("terms")["evidence"] if row["weight"] == "strong"]
    found = {}
    for side in ("us", "uk"):
        of_side = [row for row in strong if row["side"] == side]
        words = [word for row in of_side for word in row.get("words", ())]
        letters = [need for row in of_side if "words" not in row for need in row["needs"]]
        letters += [word for word in words if not (word.isascii() and word.isalpha())]
        found[side] = (frozenset(words), beginnings(letters))
    return found


@cache
def _words_expression() -> Sought:
    longest_first = sorted(_words(), key=len, reverse=True)
    words = "|".join(re.escape(word).replace(r"\ ", " ") for word in longest_first)
    begins = "|".join(beginnings(longest_first))
    return Sought(rf"(?<![a-z'\u2019.])(?:{words})(?![a-z'])", begins=begins)


@cache
def _structures() -> tuple[tuple[str, str, re.Pattern[str]], ...]:
    return tuple(
        (row["side"], row["words"], expression(row["expression"], re.MULTILINE))
        for row in table("terms")["structure"]
    )


def _compiled(written: str | None) -> re.Pattern[str] | None:
    return expression(written, re.MULTILINE) if written else None
