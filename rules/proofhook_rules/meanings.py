"""Meanings: a stitch is what its name says."""

from __future__ import annotations

import re
from collections.abc import Iterator

from proofhook import expressions as rx
from proofhook.expressions import expression
from proofhook.pattern import Definition
from proofhook.proofing import Finding, Grade, Mend, ProofContext, rule
from proofhook.reading.words import NUMBER_WORDS
from proofhook.trade.stitches import StitchName, parse_stitch
from proofhook_rules.wording import sentence, shown

_PLAIN = frozenset({"", "tog"})
_IN_FULL = expression(r"\b(?:crochets?|trebles?|triples?|together|tog)\b", re.IGNORECASE)
_CUT = expression(r"[(;,.:/\[]|\s[-\u2013\u2014]\s|\b(?:or|in\s+(?:UK|US)|UK|US)\b")
_COUNT_IN_NAME = expression(
    r"\b(?P<n>\d|two|three|four|five|six|seven|eight|nine)[ -](?P<st>sc|hdc|dc|htr|tr|dtr)\b",
    re.IGNORECASE,
)
_SO_MANY = expression(
    r"(?:^|\bwork\s+|\bmake\s+|[(\[])\s*(?P<n>\d{1,2}|two|three|four|five|six|seven|eight|nine)\s+"
    r"(?P<st>sc|hdc|dc|htr|tr|dtr|double\s+crochets?|trebles?)\s+(?:all\s+)?(?:in|into|worked)\b",
    re.IGNORECASE,
)
_PASSES = expression(
    r"[)\]*]\s*,?\s*(?:rep(?:eat)?\s+(?:from\s+)?\*?\s*)?"
    r"(?P<n>\d|two|three|four|five|six|twice)\s*(?P<more>more\s+)?(?:times|x\b|(?<=twice))",
    re.IGNORECASE,
)


@rule("stitch-meaning", Grade.QUERY)
def stitch_meaning(context: ProofContext) -> Iterator[Finding]:
    """A stitch is explained as what its name says.

    "dtr: treble crochet" in the list, or a "5-dc shell" of six, gives every row that uses
    it a second meaning.  Names are compared with explanations in full words, stitches to
    the group by their number; what cannot be compared is let be.

    Flagged:

        US terms.

        Abbreviations
        ch: chain
        hdc: double crochet
        st: stitch

        Row 1: Ch 12, hdc in 3rd ch from hook and in each ch across. (10)

    Passes:

        US terms.

        Abbreviations
        ch: chain
        hdc: half double crochet
        st: stitch

        Row 1: Ch 12, hdc in 3rd ch from hook and in each ch across. (10)
    """
    for entry in context.pattern.definitions:
        told = _otherwise(entry) or _miscounted(entry)
        if told:
            yield context.finding(
                entry.meaning_span,
                sentence(f"{shown(entry.abbreviation)} is explained as {told}"),
                mends=[Mend("Put the name or the explanation right, then look at the rows.")],
            )


def _otherwise(entry: Definition) -> str:
    """The stitch that an entry in full words explains, where that is another one."""
    words = _CUT.split(entry.meaning)[0].strip(" *_|")
    if not _IN_FULL.search(words):
        return ""
    name = rx.sub(r"\s*\(.*", "", entry.abbreviation).strip(" *_|")
    one, other = parse_stitch(name), parse_stitch(words)
    if not (one and other) or _same(one, other) or not {one.role, other.role} <= _PLAIN:
        return ""
    if _IN_FULL.search(name) and one.role == other.role == "":
        return ""  # "treble crochet = double crochet" is a table of two sets of terms
    return shown(words)


def _same(one: StitchName, other: StitchName) -> bool:
    return (one.base, one.uses, one.role) == (other.base, other.uses, other.role)


def _miscounted(entry: Definition) -> str:
    """How many stitches an entry makes, where its name gives another number."""
    named = _COUNT_IN_NAME.search(entry.abbreviation)
    if not named:
        return ""
    wanted = _number(named["n"])
    for found in _SO_MANY.finditer(entry.meaning):
        if found["st"].lower() == named["st"].lower():
            made = _number(found["n"])
            return f"{made} {found['st']}" if made != wanted else ""
    passes = list(_PASSES.finditer(entry.meaning))
    if len(passes) == 1:
        made = _number(passes[0]["n"]) + bool(passes[0]["more"])
        return f"one of {made}" if made not in (wanted, wanted - 1) else ""
    return ""


def _number(words: str) -> int:
    if words.isdigit():
        return int(words)
    return 2 if words.lower() == "twice" else NUMBER_WORDS[words.lower()]


RULES = (stitch_meaning,)
