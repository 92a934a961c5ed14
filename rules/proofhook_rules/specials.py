"""Special stitches: puffs, shells and others that a pattern must explain."""

from __future__ import annotations

import re
from collections.abc import Iterator

from proofhook import expressions as rx
from proofhook.counting.result import RowTally
from proofhook.expressions import expression
from proofhook.passages import matches_in
from proofhook.pattern import Total
from proofhook.proofing import Finding, Grade, Mend, Option, ProofContext, rule
from proofhook.text import Span
from proofhook.trade.stitches import parse_stitch
from proofhook_rules.around import blanked
from proofhook_rules.lists import is_explained, outside_the_rows
from proofhook_rules.wording import sentence, shown

_SPECIAL = expression(
    r"\b(?:puffs?(?:\s+st\w*)?|pops?(?:corns?)?(?:\s+st\w*)?|bobbles?|clusters?|cl|shells?|sh|v-?\s?sts?|picots?|bullions?"
    r"|crocodile\s+st\w*|star\s+st\w*|spike\s+(?:sc|dc|st)\w*|crab\s+st\w*)\b(?![-'])",
    re.IGNORECASE,
)
_KEYS = (
    ("puff", r"\bpuff"), ("pop", r"\bpop|\bpc\b"), ("bobble", r"\bbobble|\bbo\b"),
    ("cl", r"\bcl(?:uster)?s?\b"), ("sh", r"\bshells?\b|\bsh\b"),
    ("v", r"\bv-?\s?sts?\b|\bv-?stitch"),
    ("picot", r"\bpicots?\b|\bpic?\b"), ("bullion", r"\bbullion"), ("crocodile", r"\bcrocodile"),
    ("star", r"\bstar\b"), ("spike", r"\bspike"), ("crab", r"\bcrab\s+st|\breverse\s+s?d?c"),
)  # fmt: skip


POSTS = Option("post-stitches", False, "whether post stitches need a method, not only a name")


@rule("special-unexplained", Grade.QUERY, POSTS)
def special_unexplained(context: ProofContext) -> Iterator[Finding]:
    """A stitch beyond the basic ones is explained.

    Puffs, popcorns, bobbles, clusters, shells and V-stitches are made of other numbers of
    loops with every designer, so that the name alone does not say how.  A stitch round the
    post passes by its name, unless its counterpart has a method or the house wants one.

    Flagged:

        Row 1: Ch 7, sc in 2nd ch from hook and in each ch across, turn. (6)
        Row 2: Ch 1, sc in next 5 sts, puff st in last st.

    Passes:

        Puff st: (yo, insert hook, draw up a long loop) 4 times, yo, draw through all loops.

        Row 1: Ch 7, sc in 2nd ch from hook and in each ch across, turn. (6)
        Row 2: Ch 1, sc in next 5 sts, puff st in last st.
    """
    pattern = context.pattern
    outside = outside_the_rows(pattern)
    told: set[str] = set()
    for row in pattern.rows:
        text = pattern.source.quote(row.body)
        specials = matches_in(_SPECIAL, text)
        totals = [step.span for step in row.steps if isinstance(step, Total)] if specials else []
        for found in specials:
            key, words = next((k, w) for k, w in _KEYS if found[0].lower().startswith(k))
            if key in told or (found[0].isupper() and len(found[0]) > 3):
                continue
            if any(total.start <= found.start() < total.end for total in totals):
                continue
            explained = re.search(
                rf"(?:{words})[^\n\d]{{0,30}}[:=(\u2013\u2014]|(?:{words})[^\n]{{0,20}}\s-\s"
                rf"|\b(?:is|makes|counts\s+as)\s+(?:1|one|a)\s+(?:{words})",
                outside,
                re.IGNORECASE,
            )
            # A method in brackets right behind the name, or the group it is the name of.
            aside = text[found.end() : found.end() + 12].lstrip().startswith(("(", "[", "="))
            before = rx.search(
                r"[)\]]\s*(?:for\s+(?:a\s+)?)?$|\bmade\b|\bforms?\s+a?$", text[: found.start()]
            )
            made = rx.match(r"[^.]{0,12}\bmade\b|[^.;]*[)\]]\s*$", text[found.end() :])
            if aside or before or made:
                told.add(key)
                continue
            if explained or is_explained(pattern, found[0]):
                continue  # in the list at least, perhaps by no more than its name
            told.add(key)
            start = row.body.start + found.start()
            yield context.finding(
                Span(start, start + len(found[0])),
                sentence(f"{shown(found[0])} is not explained"),
                mends=[Mend("Say under special stitches how it is worked.")],
            )
    yield from _named_only(context, told)
    yield from _by_its_name(context)
    yield from _posts(context)


def _named_only(context: ProofContext, told: set[str]) -> Iterator[Finding]:
    """Findings for an abbreviation whose entry gives the name of a special stitch and no more."""
    pattern = context.pattern
    for entry in pattern.definitions:
        name = re.fullmatch(
            rf"(?:{_SPECIAL.pattern}|v-?\s?stitch(?:es)?)(?:\s+st\w*)?",
            entry.meaning.strip(" .*_|"),
            re.I,
        )
        if entry.special or not name:
            continue
        key, words = next((k, w) for k, w in _KEYS if name[0].lower().startswith(k))
        short = re.escape(entry.abbreviation)
        entry_line = pattern.source.line_span(pattern.source.line_of(entry.span.start))
        elsewhere = blanked(pattern, [entry_line, *(row.span for row in pattern.rows)])
        explained = re.search(
            rf"(?:{words}|\b{short}\b)[^\n\d]{{0,30}}[:=(\u2013\u2014]", elsewhere, re.I
        )
        use = re.compile(rf"\b{short}s?\b")
        used = any(use.search(pattern.source.quote(row.body)) for row in pattern.rows)
        if key in told or explained or not used:
            continue
        told.add(key)
        yield context.finding(
            entry.meaning_span,
            sentence(f"{shown(entry.abbreviation)} has a name in the list but is not explained"),
            mends=[Mend("Say under special stitches how it is worked.")],
        )


#: "bead stitch in next st", at the head of words that the reader knows nothing of.
_OWN_STITCH = expression(
    r"(?:\d+\s+)?(?P<name>(?![a-z]+ing\b|(?:one|two|three|four|five|six|more|every|each|same)\b)[a-z]{3,}(?:\s[a-z]{3,})?\s(?:stitch|st))(?:es|s)?\s+in\b",
    re.IGNORECASE,
)


def _by_its_name(context: ProofContext) -> Iterator[Finding]:
    """Findings for stitches by names of the pattern's own that it never explains."""
    told: set[str] = set()
    for row in context.tally.rows:
        for span in row.unread:
            found = _OWN_STITCH.match(context.quote(span))
            name = found["name"].lower() if found else ""
            if found is None or name in told or _SPECIAL.match(name) or parse_stitch(name):
                continue
            told.add(name)
            elsewhere = outside_the_rows(context.pattern).lower()
            if re.search(rf"\b{re.escape(name)}\b[^\n]{{0,20}}[:=(\u2013\u2014]", elsewhere):
                continue
            yield context.finding(
                Span(span.start + found.start("name"), span.start + found.end("name")),
                sentence(f"{shown(found['name'])} is not explained"),
                row=row,
                mends=[Mend("Say under special stitches how it is worked.")],
            )


_POST = expression(
    r"(?<![A-Za-z])(?P<side>[FB])P(?P<base>sc|hdc|dc|htr|d?tr)\b|(?<![A-Za-z])R(?P<late>d?tr|htr|dc)(?P<way>[FB])\b",
    re.IGNORECASE,
)
#: What a method has and a name has not.
_METHOD = expression(
    r"\b(?:insert|yarn\s+over|yo|around\s+the|round\s+the|from\s+(?:the\s+)?(?:front|back|behind)|behind\s+the)\b",
    re.I,
)


def _posts(context: ProofContext) -> Iterator[Finding]:
    """Findings for stitches round the post without a method, where the other side has one."""
    used: dict[str, tuple[RowTally, Span]] = {}
    for row in context.tally.rows:
        start = row.row.body.start
        for found in matches_in(_POST, context.quote(row.row.body)):
            used.setdefault(found[0].upper(), (row, Span(*found.span()).moved(start)))
    told = {
        name
        for entry in context.pattern.definitions
        if _METHOD.search(entry.meaning)
        for name in map(str.upper, re.findall(r"[A-Za-z]+", entry.abbreviation))
    }
    for name, (row, span) in used.items():
        turned = str.maketrans("FB", "BF")
        other = (
            name[0].translate(turned) + name[1:]
            if name[1] == "P"
            else name[:-1] + name[-1].translate(turned)
        )
        if name not in told and (other in told or context.options[POSTS.name]):
            yield context.finding(
                span,
                sentence(f"{shown(context.quote(span))} has no method")
                if other not in told
                else sentence(
                    f"{shown(context.quote(span))} has no method, though its counterpart has one"
                ),
                row=row,
                mends=[Mend("Say under special stitches how it is worked.")],
            )


RULES = (special_unexplained,)
