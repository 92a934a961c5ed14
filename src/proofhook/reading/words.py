"""The small words of the trade: numbers, places, and characters that look alike.

Everything here keeps lengths: a word found in the evened text stands at the same
offset in the text as found.
"""

from __future__ import annotations

import re

from proofhook.expressions import expression
from proofhook.pattern import Amount
from proofhook.reading.own_marks import with_own_marks_evened

# --- characters -------------------------------------------------------------------

LOOKALIKES = str.maketrans(
    {
        "\u2018": "'", "\u2019": "'", "\u201b": "'", "\u2032": "'",
        "\u201c": '"', "\u201d": '"', "\u2033": '"',
        "\u2212": "\u2013", "\u2015": "\u2013", "\u2012": "\u2013",
        "\u2010": "-", "\u2011": "-",
        "\u00d7": "x", "\u0445": "x", "\u0425": "x", "\u2715": "x", "\u2716": "x",
        "\u0441": "c", "\u0421": "C", "\u0430": "a", "\u0435": "e", "\u043e": "o",
        "\u00a0": " ", "\u2009": " ", "\u202f": " ", "\u2007": " ", "\u3000": " ",
        "\u200b": " ", "\u00ad": " ", "\ufeff": " ",
        "\t": " ", "\r": " ", "\n": " ", "\v": " ", "\f": " ",
        "\u0130": "I", "\u0131": "i", "\u2217": "*", "\u2731": "*", "\u204e": "*",
        "\uff0a": "*", "\u2026": ".", "\u2192": "=", "\u27a1": "=", "\u2794": "=", "\u279c": "=", "\ufe0f": " ","\u00bb": "=", "\u0060": "'", "\u00b4": "'",
    }
)  # fmt: skip

#: Hearts, coloured dots and the like; stars may be marks of repeats, and arrows of totals.
PICTURES = expression(
    "[\u2600-\u2604\u2607-\u26ff\u2700-\u2714\u2717-\u271f\u274c-\u2767\u2b1b\u2b1c\u2b24\u25a0-\u25ff\U0001f300-\U0001faff]"
)
#: UTF-8 read as Windows-1252, markup left over from web pages, escapes.
DEBRIS = expression(
    r"\u00e2\u20ac[\u201c\u201d\u2013\u2014]|\u00e2\u20ac[\u2122\u0153\u009d]|\u00c3[\u2014\u0097]"
    r"|\u00c2(?=[\u00a0\u00bd\u00bc\u00be\s])|&(?:nbsp|amp|quot|lt|gt|ndash|mdash|times|\#\d+);"
    r"|</?(?:br|p|b|i|em|strong|li|ul|ol|div|span|h\d)\b[^>]{0,80}>|\\-|\\(?=[*_#\[\]().+!])"
)
DEBRIS_MEANING = {
    "\u00e2\u20ac\u201c": "\u2013", "\u00e2\u20ac\u201d": "\u2013", "\u00e2\u20ac\u2013": "\u2013",
    "\u00e2\u20ac\u2014": "\u2013", "\u00e2\u20ac\u2122": "'", "\u00e2\u20ac\u0153": '"',
    "\u00e2\u20ac\u009d": '"', "\u00c3\u2014": "x", "\u00c3\u0097": "x", "&ndash;": "\u2013",
    "&mdash;": "\u2013", "&times;": "x", "&quot;": '"', "&amp;": "&",
}  # fmt: skip


#: A total in bold: "**(24 sts)**".
BOLD_TOTAL = expression(r"\*\*([(\[{=][^*()\[\]\n]{1,60}[)\]}])\*\*")
#: "turn...... 34 dc": dots that lead to a total.
LEADERS = expression(r"(?<=[\w)\].])\s?(?:\u2026+|\.{3,})(?=\s?\d{1,4}[ -]?[a-z]{2})")
#: "5 tr into one st", which are not worked together.
INTO_ONE = expression(r"\binto(?= one (?:sts?|stitch|sp|space|place|ch|chain|loop)\b)")
#: A word of a sentence in bold: "does **not** count".
BOLD_WORD = expression(r"(?<=[\w,] )\*\*([A-Za-z]{2,12})\*\*(?= [a-z])")
#: The same in italics, at the end of a line: "*(12 dc)*".
ITALIC_TOTAL = expression(
    r"(?m)(?<![*\\\w)\]])\*([(\[]\d{1,4}(?: ?[a-z-]{2,10})?(?:, \d{1,4} [a-z]{2}[\w -]{1,12})*[)\]])\*(?=[ .]*$)"
)
#: "... in each st around. *16 hdc*", without brackets.
ITALIC_FIGURES = expression(
    r"(?m)(?<=[.)\]!] )\*(\d{1,4} [a-z][a-z -]{1,12}(?:(?:,| and) \d{1,4} [a-z][\w -]{1,12})*)\*(?=[ .]*$)"
)
#: "*Total sts: 8*", "**Turn. (32 dc)**" at the end of a line.
MARKED_END = expression(
    r"(?m)(?<![*\\])(\*{1,2})((?:Total|Stitch|Sts?|Turn|Join)\b[^*\n]{0,40}\d[^*\n]{0,14})\1(?=[ .]*$)",
    re.I,
)
#: "Base chain: 20", "**Chain:** 34".
CHAIN_COLON = expression(
    r"(?im)^([ \t*_#-]*(?:(?:foundation|base|starting|beginning) )?)(ch(?:ain)?)([*_ ]{0,3}:[*_ ]{0,3})(\d{1,3}\b)"
)
#: "Ch 25 + 1 for turning".
CHAIN_PLUS = expression(
    r"(?i)\b(?P<lead>ch |chain )(?P<first>\d{1,3}) ?,? ?(?:\+|plus) ?(?P<more>\d)"
    r"(?: (?:more )?(?:for|as) (?:the |your |a )?(?:turn(?:ing)?(?: ch(?:ain)?)?|t-?ch))?"
    r"(?=[ ]*[.,;(\n]|[ ]*$)"
)
#: A row of a table: "| 4 | (2 sc, inc) x 6 | 24 |".
TABLE_ROW = expression(
    r"(?m)^([ \t]*)\|([^|\n]*\d[^|\n]*)\|([^|\n]*[A-Za-z][^|\n]*)\|([ \t*_]*\d[^|\n]*)\|?([ \t]*)$"
)


def _debris(match: re.Match[str]) -> str:
    found = match.group()
    if found == "\\-":
        return "- " if match.string[match.start() - 1 : match.start()].isdigit() else "  "
    return DEBRIS_MEANING.get(found, "").ljust(len(found))


def _summed(match: re.Match[str]) -> str:
    """Both chains as one number."""
    both = int(match["first"]) + int(match["more"])
    return f"{match['lead']}{both}".ljust(len(match.group()))


def _table_row(match: re.Match[str]) -> str:
    """A row of a table as a row of words: its first cell a label, its last a total."""
    lead, label, body, total, rest = match.groups()
    closing = " " * (len(match.group()) - len(lead + label + body + total + rest) - 3)
    return f"{lead} {label}:{body}={total}{closing}{rest}"


#: Longer lines are not read: no row is so long, and reading one would take its time.
LONGEST_LINE = 4_000
_KEPT_OF_LINE = 200


#: Characters without a meaning of their own, some of which stand for size lists later on.
_PRIVATE = expression("[\U000f0000-\U0010ffff]")


def _overlong_masked(text: str) -> str:
    """The text with all but the beginning of overlong lines made one word that nobody knows."""
    if len(text) <= LONGEST_LINE:
        return text
    return re.sub(
        rf"(?m)(?<=\n)(.{{{_KEPT_OF_LINE}}})(.{{{LONGEST_LINE - _KEPT_OF_LINE},}})"
        rf"|\A(.{{{_KEPT_OF_LINE}}})(.{{{LONGEST_LINE - _KEPT_OF_LINE},}})",
        lambda m: (m[1] or m[3]) + "z" * len(m[2] or m[4]),
        text,
    )


#: A word broken at the end of a line: "bp-" and "dc" on the next.
_BROKEN = expression(r"(?<![\w-])([a-z]{1,12})(-\r?\n)([a-z]{1,12})(?![\w-])", re.I)
_BROKEN_LINES = 3


def _hyphens_joined(text: str) -> str:
    """Words that are broken at the ends of several lines made one, with a filler between."""
    if sum(1 for _ in _BROKEN.finditer(text)) < _BROKEN_LINES:
        return text
    return _BROKEN.sub(lambda m: m[1] + SIZED_FILL * len(m[2]) + m[3], text)


def evened(text: str) -> str:
    """The text with characters that look alike made one, of the same length.

    Of a line of more than ``LONGEST_LINE`` characters only the beginning is kept; the rest
    becomes a word that is not understood.
    """
    text = _PRIVATE.sub("\ufffd", _overlong_masked(text))
    if "**" in text:
        text = BOLD_TOTAL.sub(r"  \1  ", text)
        text = ITALIC_TOTAL.sub(r" \1 ", text)
        text = BOLD_WORD.sub(r"  \1  ", text)
    elif "*(" in text or "*[" in text:
        text = ITALIC_TOTAL.sub(r" \1 ", text)
    if "*" in text:
        text = ITALIC_FIGURES.sub(r"=\1 ", text)
        text = MARKED_END.sub(lambda m: " " * len(m[1]) + m[2] + ".".ljust(len(m[1])), text)
    if ":" in text:
        text = CHAIN_COLON.sub(lambda m: " " * len(m[1]) + m[2] + " " * len(m[3]) + m[4], text)
    if "+" in text or "plus" in text:
        text = CHAIN_PLUS.sub(_summed, text)
    if "|" in text:
        text = TABLE_ROW.sub(_table_row, text)
    if not text.isascii() or "<" in text or "&" in text or "\\" in text:
        text = DEBRIS.sub(_debris, text)
    if not text.isascii() or "..." in text:
        text = LEADERS.sub(lambda m: "=".ljust(len(m.group())), text)
    if not text.isascii():
        text = PICTURES.sub(" ", text)
    if "into one" in text:
        text = INTO_ONE.sub("in  ", text)
    if "-\n" in text or "-\r" in text:
        text = _hyphens_joined(text)
    return with_own_marks_evened(text).translate(LOOKALIKES)


# --- numbers ----------------------------------------------------------------------

NUMBER_WORDS = {
    word: value
    for value, word in enumerate(
        "zero one two three four five six seven eight nine ten eleven twelve thirteen fourteen "
        "fifteen sixteen seventeen eighteen nineteen twenty".split()
    )
}
NUMBER_WORDS |= {
    "thirty": 30,
    "forty": 40,
    "fifty": 50,
    "sixty": 60,
    "seventy": 70,
    "eighty": 80,
    "ninety": 90,
    "none": 0,
    "no": 0,
}
TENS = {
    "twenty": 20,
    "thirty": 30,
    "forty": 40,
    "fifty": 50,
    "sixty": 60,
    "seventy": 70,
    "eighty": 80,
    "ninety": 90,
}
ORDINAL_WORDS = {
    word: value
    for value, word in enumerate(
        "first second third fourth fifth sixth seventh eighth ninth tenth eleventh twelfth "
        "thirteenth fourteenth fifteenth sixteenth seventeenth eighteenth nineteenth "
        "twentieth".split(),
        1,
    )
}

#: Size lists are folded into one character each before the grammar sees them.
SIZED_FIRST, SIZED_FILL = 0xF0000, "\U0010fffd"
#: Different lists of one pattern that are folded; as many again may be left from others.
MOST_SIZED = 20_000
_sized: list[Amount] = []
_sized_index: dict[Amount, int] = {}


def sized_crowded() -> bool:
    """Whether there is no room for the size lists of one more pattern."""
    return len(_sized) > MOST_SIZED


def forget_sized() -> None:
    """Forget all size lists; stand-ins handed out before have no meaning any more."""
    _sized.clear()
    _sized_index.clear()


def folded(amount: Amount, width: int) -> str:
    """The stand-in for a size list, ``width`` characters wide."""
    index = _sized_index.get(amount)
    if index is None:
        index = len(_sized)
        _sized.append(amount)
        _sized_index[amount] = index
    return chr(SIZED_FIRST + index) + SIZED_FILL * (width - 1)


def sized(character: str) -> Amount:
    """The size list that a stand-in character stands for."""
    return _sized[ord(character) - SIZED_FIRST]
