"""Marks of a designer's own around labels and totals: "R3 // (sc, inc) x 6 // 18", "-> 18 sts".

No list of marks is ever complete, and a total that is not known for one is worked as if it
were stitches.  A mark shows what it is by coming again: where several rows of a pattern end
with the same mark and a figure, it announces the total.
"""

from __future__ import annotations

import re

from proofhook import expressions as rx
from proofhook.expressions import expression
from proofhook.passages import kept
from proofhook.records import NamedTuple

#: So many rows must show a mark, with so many different figures or labels beside it.
ROWS, FIGURES = 3, 2

_LABELLED = expression(
    r"[\s>*_#\u2022\u00b7-]*(?:(?:rounds?|rows?|rnds?|rds?|r)\b\.?[ ]?\#?(?:\d|[A-Z]\b)|r\d|\d{1,3}(?!\d)"
    r"|(?:next|last)[ ](?:rnd|row|round)\b)",
    re.I,
)
#: What is read as it stands: hyphens and dashes, points and commas, stars, brackets.
_MARK = r"(?:[ ]*\t[ \t]*|[ ]{3,}|[ ]*(?:->|>>|=>>|~>|\u203a|\u00bb|//|/|\||>|\\|\^|\u00a6|#|\u00b7|\u2022)[ ]*)"
#: A figure, or one for each size: "72-80-88", "18 (20, 22)", "64/72/80", "26 [30]".
_FIGURE = r"\d{1,4}(?:(?:[-/]\d{1,4})+|(?:[ ]?[(\[]\d{1,4}(?:[,:;][ ]?\d{1,4})*[)\]]){1,6})?"
_UNIT = r"(?:[ ]?[A-Za-z][A-Za-z-]*(?:\d[a-z]*)?(?:[ ][A-Za-z][A-Za-z-]*(?:\d[a-z]*)?){0,2})?"
_AT_THE_END = expression(
    rf"(?<=[\w)\]*.,;])(?P<mark>{_MARK})(?<!\d/)(?P<figure>{_FIGURE})(?P<unit>{_UNIT}(?:(?:,|[ ]and|[ ]\+)[ ]{_FIGURE}{_UNIT}){{0,3}})"
    r"(?P<aside>[ ]?\([^()\n]{1,30}\))?(?P<closing>[ ]*[|/\\>]{0,2}[ .\r]*)$"
)
_AFTER_A_LABEL = expression(
    r"(?P<label>[\s>*_#\u2022\u00b7-]*(?:(?:rounds?|rows?|rnds?|rds?|r)\.?[ ]?(?:\d{1,3}(?:[ ]?[\u2013-][ ]?\d{1,3})?"
    rf"|[A-Z](?![A-Za-z]))|\d{{1,3}}(?:[ ]?[\u2013-][ ]?\d{{1,3}})?))(?P<mark>{_MARK})(?=[^\s\d]|\d+[ ]?[^\W\d]|\d+[ ]?,)",
    re.I,
)
#: "(N=24)", "[M: 24]", "(24 N)": a letter or a word of the designer's for stitches.
_IN_BRACKETS = expression(
    r"(?P<open>[(\[{<])[ ]?(?:(?P<before>[A-Za-z]{1,12})[ ]?[=:][ ]?(?P<figure>\d{1,4})|(?P<other>\d{1,4})[ ]?(?P<after>[A-Z]))[ ]?[)\]}>][ .\r]*$"
)


class _Shown(NamedTuple):
    """A mark that a line shows, the figure or label beside it, and the line without it."""

    mark: str
    beside: str
    evened: str


def with_own_marks_evened(text: str) -> str:
    """The text with its own marks before totals as "=", and after labels as ":".

    ``text`` has its lines still; what is given back is as long as it is.
    """
    text = _steps_listed(text)
    if not _MAY_HAVE_OWN.search(text):
        return text
    lines = text.split("\n")
    labelled = [number for number, line in enumerate(lines) if _LABELLED.match(line)]
    if len(labelled) < ROWS:
        return text
    for look in (_total, _bracketed, _label, _bare):
        of_rows = [look(lines[number]) for number in labelled]
        kept = _kept(of_rows)
        if not kept or (look is _bare and not _mostly(of_rows)):
            continue
        shown = map(look, lines)
        lines = [
            found.evened if found is not None and found.mark in kept else line
            for found, line in zip(shown, lines, strict=True)
        ]
    return "\n".join(lines)


_MAY_HAVE_OWN = expression(
    r"[\t|/>\\^#\u00b7\u2022\u203a\u00bb\u00a6]|[ ]{3}\d|(?m:[\w)\]}*][ ]{1,2}\d{1,4}[ .\r]*$)|[=:][ ]?\d{1,4}[ ]?[)\]}>]|\d [A-Z][)\]}>]"
)


#: "**Round 2**" on a line of its own, and under it a list of what is done.
_LISTED = expression(
    r"(?m)^[ \t]*(?:\*\*|__)?(?:round|row|rnd|rd|r)\b\.?[ ]?\d[^\n*_]{0,30}(?:\*\*|__)?:?[ \t]*\n(?:[ \t]*\n)?"
    r"(?P<steps>(?:[ \t]*[*\u2022-][ \t]+\S[^\n]*(?:\n|$)){2,})",
    re.I,
)
_BULLET = expression(r"(?m)^([ \t]*)[*\u2022-](?=[ \t]+\S)")
#: "**Stitch count:** 12".
_BOLD_WORDS = expression(r"\*\*([A-Za-z ]{2,24}:?)\*\*(?=\s*:?\s*\d)")


def _steps_listed(text: str) -> str:
    """Bullets before the steps of a row made full stops, and bold words before figures plain."""
    if "**" in text:
        text = _BOLD_WORDS.sub(r"  \1  ", text)
    if not _LISTED.search(text):
        return text
    return _LISTED.sub(_steps_as_sentences, text)


def _steps_as_sentences(found: re.Match[str]) -> str:
    label = found.group()[: found.start("steps") - found.start()]
    first, *others = found["steps"].splitlines(keepends=True)
    after = (_BULLET.sub(r"\1.", line) for line in others)
    return label + _BULLET.sub(r"\1 ", first) + "".join(after)


def _kept(shown: list[_Shown | None]) -> frozenset[str]:
    """The marks that enough of the lines show, beside enough that differs."""
    beside: dict[str, list[str]] = {}
    for found in shown:
        if found is not None:
            beside.setdefault(found.mark, []).append(found.beside)
    return frozenset(
        mark for mark, each in beside.items() if len(each) >= ROWS and len(set(each)) >= FIGURES
    )


def _name(mark: str) -> str:
    """How a mark is known: by its sign, or as a gap."""
    return mark.strip(" ") or "   "


@kept
def _total(line: str) -> _Shown | None:
    """ "... // 24 sts" at the end of a line."""
    found = _AT_THE_END.search(line)
    if found is None:
        return None
    mark = found["mark"]
    evened = (
        line[: found.start("mark")]
        + "=".rjust(len(mark) - 1).ljust(len(mark))
        + line[found.start("figure") : found.start("closing")]
        + rx.sub(r"[^.\r]", " ", found["closing"])
    )
    return _Shown(_name(mark), found["figure"], evened)


#: "6x (sc, inc) 18", "24 sc 24": a figure that can only be a total.
_LAST_FIGURE = expression(
    r"(?:[)\]}*.;]|(?<!\d)x ?\d{1,2}|(?<![\w.])\d{1,4} ?[a-z]{2,4}|\b(?:around|each|even|all|ring|circle|loop|mr|mc))(?P<gap>[ ]{1,2})(?P<figure>\d{1,4})[ .\r]*$"
)


@kept
def _bare(line: str) -> _Shown | None:
    """ "(sc, inc)x6 18": a last figure with nothing before it."""
    found = _LAST_FIGURE.search(line)
    if found is None:
        return None
    at = found.start("gap")
    return _Shown("", found["figure"], line[:at] + "=" + line[at + 1 :])


def _mostly(shown: list[_Shown | None]) -> bool:
    """Whether more than half of the rows show it, with more figures than repeats have."""
    figures = [int(found.beside) for found in shown if found is not None]
    different = len(set(figures))
    as_totals = different > FIGURES + 1 or (different > FIGURES and max(figures) > 9)
    return len(figures) * 2 > len(shown) and as_totals


@kept
def _bracketed(line: str) -> _Shown | None:
    """ "(N=24)" at the end of a line."""
    found = _IN_BRACKETS.search(line)
    if found is None:
        return None
    mark = f"{found['open']}{found['before'] or ''}N{found['after'] or ''}"
    inside = found.start("open") + 1
    evened = line[:inside] + rx.sub(r"[A-Za-z=:]", " ", line[inside:])
    return _Shown(mark, found["figure"] or found["other"], evened)


@kept
def _label(line: str) -> _Shown | None:
    """ "R3 // ..." at its beginning."""
    found = _AFTER_A_LABEL.match(line)
    if found is None:
        return None
    mark = found["mark"]
    evened = line[: found.end("label")] + ":".ljust(len(mark)) + line[found.end("mark") :]
    return _Shown(_name(mark), found["label"], evened)
