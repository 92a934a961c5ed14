"""Heading words: which kind of section a heading opens, and which words name pieces.

The kinds are those of ``headings.toml``: materials, gauge, abbreviations, special, notes,
size, instructions, finishing, edging, level, terms, caution, care, copyright, contact,
chart, description.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from functools import cache
from types import MappingProxyType

from proofhook.expressions import expression
from proofhook.records import dataclass
from proofhook.trade import table

#: Longer than any heading, so that prose is not looked up at length.
MAX_HEADING = 60

_MARKS = expression(r"[#*_~=`]+|\\(?=\W)")
_BRACKET = expression(r"\s*[(\[{][^()\[\]{}]*[)\]}]\s*$")
_AND = expression(r"\s*[&+]\s*")
_FIRST_WORD_OF = expression(r"[^\w']")
_BLANKS = expression(r"\s+")
_APOSTROPHES = str.maketrans({"\u2019": "'", "\u2018": "'", "\u02bc": "'", "\u00a0": " "})

_DECORATION = r"[ \t>\#*_~\-\u2022\u00b7\u2013\u2014]*"

# "**Materials:** wool", "SIZE  18 cm", "- Hook - 4 mm", "Gauge. 5 sc = 1 inch": decoration,
# the words, then a mark that parts the heading from what follows.
_LEADING = expression(
    _DECORATION
    + r"""
        (?P<words>[^\W\d_][^:\n\t\u2013\u2014]{0,58}?)
        (?P<end>[*_ ]*:[*_]*(?=\s|$)|[*_]*\t|[*_]*\ {2,}(?=\S)|[*_]*\ [-\u2013\u2014](?=\ )
        |[*_]*\.[*_]*(?=\s+\S)|[*_#=\- ]*$)""",
    re.VERBOSE,
)
_FIRST_WORD = expression(_DECORATION + r"([^\W\d_][\w'\u2019]*)")


@dataclass(frozen=True, slots=True)
class OwnHeadings:
    """Heading words of a house over those of the table: plain words -> kind, and piece names.

    ``first_words`` are the words that these headings begin with.
    """

    kinds: Mapping[str, str] = MappingProxyType({})
    pieces: frozenset[str] = frozenset()
    first_words: frozenset[str] = frozenset()


#: The headings of a house that has none of its own.
NO_HEADINGS = OwnHeadings()


def own_headings(kinds: Mapping[str, str], pieces: Iterable[str] = ()) -> OwnHeadings:
    """Headings of a house from its words, each with the kind of section it opens."""
    known = {plain(words): kind for words, kind in kinds.items()}
    first = frozenset(_FIRST_WORD_OF.split(words, 1)[0] for words in known)
    return OwnHeadings(known, frozenset(map(plain, pieces)), first)


def kinds_of_headings() -> frozenset[str]:
    """Every kind of section that a heading may open."""
    return frozenset(row["kind"] for row in table("headings")["heading"])


@dataclass(frozen=True, slots=True)
class LeadingHeading:
    """A heading at the start of a line: its kind, and where its words lie in the line.

    ``rest`` is where what follows begins; it equals the length of the line where the
    heading stands alone.
    """

    kind: str
    start: int
    end: int
    rest: int


def plain(words: str) -> str:
    """The words as the tables write them: lower case, no Markdown, no end punctuation."""
    text = _MARKS.sub("", words.translate(_APOSTROPHES))
    text = _AND.sub(" and ", text)
    return _BLANKS.sub(" ", text).strip(" \t:.-\u2013\u2014;,!").casefold()


def heading_kind(words: str, own: OwnHeadings = NO_HEADINGS) -> str | None:
    """The kind of section that a heading of these words opens, or None.

    ``own`` are the headings of a house, which go before those of the table.

    A bracket after the words does not matter ("Materials (for one)"); of two headings in
    one ("Size & Gauge", "Gauge/Size") the first decides.
    """
    if len(words) > MAX_HEADING:
        return None
    text = plain(words)
    known = _kinds()
    kind = own.kinds.get(text) if own.kinds else None
    kind = kind or known.get(text) or known.get(_BRACKET.sub("", text))
    if kind:
        return kind
    if " for " in text or " in " in text or " on " in text or " about " in text or " the " in text:
        kind = next((kind for opening, kind in _openings() if text.startswith(opening)), None)
        if kind:
            return kind
    if _TERMS_USED.fullmatch(text):
        return "abbreviations"
    return _kind_of_pair(text)


_TERMS_BEGIN = ("uk", "us", "american", "british", "english", "i", "written", "worked", "pattern")
#: "UK crochet terms are used:", "I write in American terms:", before the list of them.
_TERMS_USED = expression(
    r"(?:(?:i write|written|worked|pattern) (?:is )?(?:in|with) )?(?:standard )?"
    r"(?:uk|us|american|british|english)(?: crochet)? (?:terms|terminology|abbreviations)"
    r"(?: (?:is|are))?(?: used)?(?: in this pattern| throughout)?"
)


def leading_heading(line: str, own: OwnHeadings = NO_HEADINGS) -> LeadingHeading | None:
    """The heading that begins this line, alone or followed by text, or None.

    A heading that is followed by text is parted from it by a colon, a dash, a full stop,
    a tab or two blanks: "Hook: 4 mm" has one, "Hook the yarn" has none.
    """
    word = _FIRST_WORD.match(line)
    if word is None:
        return None
    first = plain(word[1])
    if first not in _first_words() and first not in own.first_words:
        return None
    match = _LEADING.match(line)
    if match is None:
        return None
    kind = heading_kind(match["words"], own)
    if kind is None:
        return None
    start, end = match.span("words")
    rest = match.end()
    while rest < len(line) and line[rest].isspace():
        rest += 1
    return LeadingHeading(kind, start, end, rest)


def is_piece_name(words: str, own: OwnHeadings = NO_HEADINGS) -> bool:
    """Whether the words are a name that pieces commonly carry ("Left sleeve", "Ears (make 2)")."""
    name = _BRACKET.sub("", plain(words)) if len(words) <= MAX_HEADING else ""
    return name in _pieces() or name in own.pieces


def _kind_of_pair(text: str) -> str | None:
    """The kind of "A and B" or "A/B", where both are headings: that of A."""
    for mark in (" and ", "/", ", "):
        first, found, second = text.partition(mark)
        if found:
            known = _kinds()
            kind = known.get(first.strip())
            return kind if kind and second.strip() in known else None
    return None


@cache
def _kinds() -> dict[str, str]:
    return {word: row["kind"] for row in table("headings")["heading"] for word in row["words"]}


@cache
def _openings() -> tuple[tuple[str, str], ...]:
    rows = table("headings")["heading"]
    return tuple((words + " ", row["kind"]) for row in rows for words in row.get("opens", ()))


@cache
def _pieces() -> frozenset[str]:
    return frozenset(word for row in table("headings")["piece"] for word in row["words"])


@cache
def _first_words() -> frozenset[str]:
    """The words that headings begin with: most lines are told from headings by these."""
    begins = (*_kinds(), *(opening for opening, _ in _openings()), *_TERMS_BEGIN)
    return frozenset(_FIRST_WORD_OF.split(words, 1)[0] for words in begins)
