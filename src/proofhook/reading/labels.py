"""Row labels: "Rnd 4:", "Rows 2-9 (RS)", "4th round:", "R3 -", "12.", "Next row:"."""

from __future__ import annotations

import itertools
import re

from proofhook import expressions as rx
from proofhook.expressions import expression
from proofhook.pattern import Amount, Label
from proofhook.reading.words import NUMBER_WORDS, ORDINAL_WORDS, sized
from proofhook.records import NamedTuple
from proofhook.text import Span

_SIZED = "[\U000f0000-\U000ff000]\U0010fffd*"
_NUM = rf"(?:\d{{1,4}}|{_SIZED})"
_KIND = r"(?:steps?|rounds?|rnds?|rows?|rds?|rws?|rnd\(s\)|row\(s\)|r)"
_JOIN = r"(?:\s*(?:->|-|\u2013|\u2014|to|thru|through|t/m|and|&|\+|,|/|until)\s*)"
_ORD = rf"(?:\d{{1,3}}\s?(?:st|nd|rd|th|d)|{'|'.join(ORDINAL_WORDS)})"
_WORDNUM = "|".join(
    w for w in sorted(NUMBER_WORDS, key=len)[::-1] if w not in ("no", "none", "zero")
)

#: Bullets, quotation marks, list numbers before a label, heading and bold marks.
DECORATION = expression(
    r"[\s>|\u2022\u00b7\u25cf\u25e6\u2023\u2013_~\"'-]*(?:\*(?=\s)\s*)?(?:\#{1,6}\s*)?(?:\*\*|__|\*(?=[A-Z]))?"
    rf"(?:\d{{1,3}}[.)]\s+(?=(?:{_KIND}\.?\s*\d|{_ORD}\s+{_KIND})))?(?:\*\*|__)?[\s\u2022]*",
    re.I,
)
_ASIDE = r"(?:\s*[(\[](?![^)\]]*[)\]]\s*(?:x\s*\d|\d+\s*(?:x|times)|\*|in\b|around))(?:[^()\[\]0-9]{1,40}|[^()\[\]]{1,40}\sonly|\d{1,3}\s*(?:rnds?|rounds?|rows?|times|x|r)\b\.?|(?:rounds?|rnds?|rows?)\s*\d+[^()\[\]]{0,12})[)\]])"
_END = r"(?P<end>\s*(?:\*\s*\*(?=\s|[:.)])|\*\*|__)?\s*(?:[:.)]+(?:\*\*|__)?|[\u2013\u2014]|-+(?=\s|\d|[A-Za-z(*\[])|,(?=\s)|=)?\s*(?:\*\*(?=\s)|__)?)"

NUMBERED = expression(
    rf"(?P<kind>{_KIND})(?:\.?\s*|-(?=\d))(?:no\.?\s*|\#\s*|\[\s*)?(?P<a>{_NUM}|(?:{_WORDNUM})\b)(?![\w/%\"])\]?"
    rf"(?P<more>(?:{_JOIN}(?:{_KIND}(?:\.?\s*|-(?=\d)))?(?:\#\s*)?(?:{_NUM}|end|n\b|(?:{_WORDNUM})\b))*)(?P<plus>\+)?(?:\s*(?:incl(?:usive)?\b\.?))?"
    rf"(?P<evens>\s*(?:&|and)\s+all\s+(?:even|odd|following)[^:.]{{0,30}})?(?:\s*\*\s?\*)?(?P<aside>{_ASIDE}*){_END}",
    re.I,
)
ORDINAL_FIRST = expression(
    rf"(?P<a>{_ORD})(?P<more>(?:{_JOIN}(?:{_ORD}|{_SIZED}))*)\.?\s*(?P<kind>{_KIND})(?![A-Za-z])(?:\s*(?:incl(?:usive)?\b\.?))?(?P<aside>{_ASIDE}*){_END}",
    re.I,
)
NUMBER_THEN_KIND = expression(
    rf"(?P<a>{_NUM})\.?\s*(?:(?:rows?|rnds?|rounds?)\s*)?(?P<more>(?:{_JOIN}\d{{1,3}}\.?\s*){{0,6}})(?P<kind>rows?|rnds?|rounds?|r(?=\s*[:.)\u2013-]))\s*(?P<end>[:.)\u2013-])\s*",
    re.I,
)
BARE = expression(
    rf"(?P<a>\d{{1,3}})(?P<more>(?:\.?\s*(?:-|\u2013|\u2014|&|\+|,|and|to|t/m)\s*\d{{1,3}})*)(?P<aside>{_ASIDE}?)(?P<end>\s*[.):]\s*|\s*[\u2013\u2014-]\s+|\s+[\u2013\u2014-]\s*)(?!\d*\s*(?:cm|mm|g\b|m\b|%))",
    re.I,
)
NAMED = expression(
    rf"(?P<words>(?:(?:next|following|foundation|starting|start|set[\s-]*up|base|final|last|first|beginning|edging|"
    rf"border|trim|increase|decrease|inc|dec|joining|even|odd|buttonhole|ribbing|neck|plain|setup|finishing|closing|"
    rf"shell|pattern|turning|bottom|top|edge|picot|mesh|division|dividing|body|eyelet|all\s+(?:even|odd|other))\s+)+(?:(?P<n>{_NUM}|(?:{_WORDNUM}))\s+)?(?P<kind>rows?|rounds?|rnds?)(?:\s+\d{{1,3}}(?=\s*[:.]))?)(?P<aside>{_ASIDE}*){_END}"
    rf"|(?P<words2>[A-Z][\w'-]*(?:\s+[\w'-]+){{0,2}}\s+(?P<kind2>rows?|rounds?|rnds?)(?:\s+\d{{1,3}})?)(?P<aside2>{_ASIDE}*)(?P<end2>\s*:\s*)",
    re.I,
)
NEXT_COUNTED = expression(
    rf"(?P<words>(?:work\s+)?(?:the\s+)?(?:next|following|last)\s+(?P<n>{_NUM}|(?:{_WORDNUM}))\s+(?P<kind>rows?|rounds?|rnds?))(?P<aside>{_ASIDE}*){_END}",
    re.I,
)
#: "Border.", "First shoulder:", "Edging (RS):", a few words and a mark; the body must then be read.
FREE = expression(
    rf"(?P<words>\d(?:st|nd|rd|th) [a-z]+(?:, [a-z]+)?(?=:)|(?![Rr](?:ow|ound|nd)s?\b|ROW|RND|ROUND)[A-Z][A-Za-z'\u2019-]*(?:\s+[A-Za-z'\u2019-]+){{0,3}}(?:\s\d{{1,2}})?)(?P<aside>{_ASIDE}*)(?P<end>\s*(?:\*\*)?\s*[:.](?:\*\*)?\s+|\s+[\u2013\u2014-]\s+)",
)
_PROSE_NEXT = expression(
    r"(?:is|are|was|were|will|of|should|worked|shows?|leaves?|has|have|only|can|may|measures?|forms?|"
    r"makes?|from|counts?|begins?|and|or|in|on|for|with|at|onwards?|gauge|sets?|completes?|does|do\s+not|to|"
    r"would|looks?|gives?|establish\w*|being|through|until|above|below|again|before|after|here|using|pattern|we|you|sew|attach)\b",
    re.I,
)
#: "R3 = 6x (sc, inc) = 18": instructions, and no measure.
_TOLD = expression(r"[a-z]{2}.*(?:=|[)\]]\s*$|[)\]]\s*=)", re.I)
#: Words before a label: "Fill. Rd 19:", "next R18 - R22:".
LEAD = expression(
    r"(?:(?:fill|then|now|stuff(?:ing)?(?: firmly| well| lightly)?)[.,:]?\s+(?=(?:Rd|Rnd|Rnds|Round|Rounds|Row|Rows)\.?\s\d))"
    r"|(?:next|fill|then|now|stuff)[.,:]?\s+(?=R\d|\d{1,3}(?:\s?-\s?\d{1,3})? r\b)",
    re.I,
)
#: "Rnds 2-3 - 1 sc ...": after a range a dash ends the label, and the figure is none of it.
_BEYOND_RANGE = expression(
    r"\s*(?:[-\u2013\u2014]|to|thru|through)\s*(?P<last>\d{1,3})(?P<dash>\s+[-\u2013\u2014]\s*|\s*[-\u2013\u2014]\s+)(?=\d{1,3}\b)"
)
_RANGE_WORD = expression(r"-|\u2013|\u2014|\bto\b|thru|through|t/m|until", re.I)


class Found(NamedTuple):
    """A label at the start of a line: the Label, and where the body begins."""

    label: Label
    body: int
    bare: bool
    marked: bool


def label_at(text: str, at: int, end: int) -> Found | None:
    """The row label that begins at ``at`` (decoration skipped), or None.

    ``text`` is evened and folded; bare numbers are reported as such, for the caller to
    believe or not.
    """
    decoration = DECORATION.match(text, at, end)
    start = decoration.end() if decoration else at
    lead = LEAD.match(text, start, end) if _begins(text, start) in "fnst" else None
    start = lead.end() if lead else start
    begins = _begins(text, start)
    for pattern, beginnings in _NUMBERED:
        found = pattern.match(text, start, end) if begins in beginnings else None
        if found is not None:
            return _label(text, start, end, found, pattern)
    if begins.isalpha() and _ROW.search(text, start, end):
        for pattern in (NEXT_COUNTED, NAMED):
            found = pattern.match(text, start, end)
            if found is not None:
                return _label(text, start, end, found, pattern)
    found = BARE.match(text, start, end) if begins == "0" else None
    if found is not None and found.end() <= end:
        return _bare(text, start, found)
    return None


#: Labels with a number, in the order in which they are tried, and what each may begin with:
#: small letters, or 0 for a figure.  The first letter tells most lines to have no label.
_NUMBERED = ((NUMBERED, "rs"), (ORDINAL_FIRST, "0efnst"), (NUMBER_THEN_KIND, "0"))
_ROW = expression("row|rnd|round", re.I)


def _begins(text: str, start: int) -> str:
    """The first letter, made small; 0 for a figure, "-" for anything else."""
    first = text[start : start + 1].lower()
    if first.isdecimal() or first >= "\U000f0000":
        return "0"
    return first if "a" <= first <= "z" else "-"


def free_label_at(text: str, at: int, end: int) -> Found | None:
    """A label without a number and without the word row, for a line whose body is read."""
    decoration = DECORATION.match(text, at, end)
    start = decoration.end() if decoration else at
    found = FREE.match(text, start, end)
    if found is None:
        return None
    span = Span(start, found.end("words"))
    label = Label(span, text[span.start : span.end].strip(), "free")
    return Found(label, found.end(), False, True)


def _value(word: str) -> Amount:
    if ord(word[0]) >= 0xF0000:
        return sized(word[0])
    digits = rx.match(r"\d+", word)
    if digits:
        return (int(digits.group()),)
    low = word.lower()
    return (ORDINAL_WORDS.get(low) or NUMBER_WORDS.get(low, 0),)


def _label(
    text: str, start: int, end: int, found: re.Match[str], pattern: re.Pattern[str]
) -> Found | None:
    groups = found.groupdict()
    if groups.get("kind2"):
        groups |= {"kind": groups["kind2"], "end": groups["end2"], "aside": groups["aside2"]}
    end_at = found.start("end2") if groups.get("kind2") else found.start("end")
    mark = (groups.get("end") or "").strip(" *_")
    marked = bool(mark) or bool(groups.get("aside"))
    rest = text[found.end() : end]
    if groups.get("kind2") and not rest.strip():
        return None
    if not mark and rest.strip() and not (groups.get("end") or "").startswith("  "):
        if _PROSE_NEXT.match(rest) and not rest[:1].isupper():
            return None
        if pattern is NAMED and rest[:1].islower() and not marked:
            return None
    if rx.match(r"\s*(?:=|measures?\b|gauge|per\b)", rest):
        return None
    if mark == "=" and (pattern is not NUMBERED or not _TOLD.search(rest)):
        return None
    kind_word = groups["kind"].lower()
    kind = "row" if kind_word.startswith(("row", "rw")) else "round"
    if kind_word == "r" or kind_word.startswith("step"):
        kind = ""
    label_end = end_at
    span = Span(start, max(start + 1, label_end))
    words = text[start:label_end].strip(" *_[")
    words = rx.sub(r"[\U000f0000-\U000ff000]\U0010fffd*", lambda m: _unfold(m.group()), words)
    if pattern is NAMED or pattern is NEXT_COUNTED:
        number = groups.get("n")
        rows = _value(number) if number else None
        return Found(Label(span, words, kind, rows=rows), found.end(), False, marked)
    first = _value(groups["a"])
    spaced = re.match(
        rf"\s+[-\u2013\u2014]\s*(?={_NUM}|(?:{_WORDNUM})\b)|\s*[-\u2013\u2014]\s+(?={_NUM}|(?:{_WORDNUM})\b)",
        groups.get("more") or "",
        re.I,
    )
    if (
        spaced
        and not mark
        and not kind_word.endswith("s")
        and not groups.get("aside")
        and pattern is NUMBERED
    ):
        begin = found.start("more")
        words = text[start:begin].strip(" *_[")
        label = Label(Span(start, begin), words, kind, first, first)
        return Found(label, begin + spaced.end(), False, True)
    last, rows, open_end = first, None, False
    more = groups.get("more") or ""
    beyond = _BEYOND_RANGE.match(more) if not mark else None
    if beyond:
        begin = found.start("more") + beyond.start("dash")
        words = text[start:begin].strip(" *_[")
        label = Label(Span(start, begin), words, kind, first, _value(beyond["last"]))
        return Found(label, found.start("more") + beyond.end(), False, True)
    if more:
        tail = re.findall(rf"{_ORD}|{_NUM}|\bend\b|\bn\b|\b(?:{_WORDNUM})\b", more, re.I)
        if tail and tail[-1].lower() in ("end", "n"):
            open_end = True
        elif tail:
            last = _value(tail[-1])
            listed = [*first[:1], *(_value(word)[0] for word in tail)]
            gaps = any(b - a != 1 for a, b in itertools.pairwise(listed))
            open_end = gaps and not _RANGE_WORD.search(more)
    if groups.get("plus"):
        open_end = True
    return Found(
        Label(span, words, kind, first, last, rows, open_end),
        found.end(),
        kind_word.startswith("step"),
        marked,
    )


def _unfold(word: str) -> str:
    values = sized(word[0])
    return f"{values[0]} ({', '.join(map(str, values[1:]))})"


def _bare(text: str, start: int, found: re.Match[str]) -> Found | None:
    more = rx.findall(r"\d+", found["more"] or "")
    first: Amount = (int(found["a"]),)
    last: Amount = (int(more[-1]),) if more else first
    if last[0] < first[0]:
        return None
    span = Span(start, found.start("end"))
    return Found(
        Label(span, text[start : span.end].strip(), "", first, last), found.end(), True, True
    )


#: A label inside a run-on paragraph, after the end of a sentence.
RUN_ON = expression(
    rf"(?<=[.;)\]!\"])\s+(?=(?:{_ORD}\s+(?:row|rnd|round)s?\b|R\d{{1,3}}(?=\s?:)|(?:Row|Rnd|Round|ROW|RND|ROUND|Rows|Rnds|Rounds)\.?\s+(?:\d+|One|Two|Three|Four|Five|Six|Seven|Eight|Nine|Ten))"
    rf"(?:{_JOIN}(?:(?:Row|Rnd|Round)\s+)?(?:{_ORD}|\d+))*(?:\s+(?:row|rnd|round)s?)?(?:\s*incl\.?)?(?:\s*\([^()\d]{{1,30}}\))?\s*(?:[:.\u2013\u2014]|-\s))",
)
