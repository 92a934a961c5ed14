"""Abbreviations: every one explained, every one used, one form and one meaning each."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator
from functools import cache

from proofhook import expressions as rx
from proofhook.counting.result import RowTally
from proofhook.expressions import expression
from proofhook.passages import kept, matches_in, passages
from proofhook.pattern import Definition, Pattern
from proofhook.proofing import Finding, Grade, Mend, Option, ProofContext, rule
from proofhook.text import Edit, Span
from proofhook.trade.abbreviations import clashes, is_standard, meanings
from proofhook.trade.stitches import parse_stitch
from proofhook_rules.around import once
from proofhook_rules.lists import (
    abbreviation_list,
    alone_on_its_line,
    is_explained,
    line_cut,
    names_of,
    newline_of,
    plain_form,
)
from proofhook_rules.wording import joined, sentence, shown

#: Abbreviations of common practice that rows use and lists explain; stitches come on top.
#: Words that are plain English as well ("in", "alt", "cl") are not looked for.
USUAL = (
    "beg bet blo btwn ch dc dec dtr esc exsc flo fol foll hdc htr inc invdec lp prev rem rep rnd "
    "rpt sc sk slst sp ss st tbl tch tr trtr yo yoh yrh"
).split()
#: Only written so: in small letters they are words or other abbreviations.
CAPITALS = "BL FL BP FP CC FO MC MR RS WS".split()
WORD = expression(
    r"(?:(?<![\w.'\u2019-])|(?:(?<=(?<![\w.])\d)|(?<=(?<![\w.])\d\d))(?!(?:st|nd|rd|th)\b))"
    r"(?:sl[ -]?st|t-ch|[A-Za-z]+(?:\d(?:tog|tr))?)(?:s\b|\b)(?!['\u2019])"
)
#: Entries that can be looked for; "1 st" and "X sts" explain figures instead.
ABLE = expression(r"(?![Xx]\b)[^\W\d_].{0,11}")
UNITS = frozenset("cm mm kg ml yd yds pt dk ww".split())
BARE = expression(r"[b-df-hj-np-tv-xz]{2,5}", re.IGNORECASE)

KNOWN = Option(
    "known",
    ("st", "sp", "rep", "rnd"),
    "abbreviations that makers know without a list; the usual ones need no stitch to be known",
)


STANDARD = Option(
    "standard-known", False, "whether the Craft Yarn Council's abbreviations pass without an entry"
)


@rule("abbreviation-unexplained", Grade.ERROR, KNOWN, STANDARD)
def abbreviation_unexplained(context: ProofContext) -> Iterator[Finding]:
    """Every abbreviation used in the rows is in the pattern's list.

    A maker looks an abbreviation up in the list of the pattern in hand.  One that is
    missing there stops the work, all the more as the same letters mean different
    stitches in different countries.  A pattern that has no list at all is only told of
    abbreviations that are no standard ones.  Each is reported once, where it is first used;
    "st", "sp", "rep" and "rnd" pass without an entry, unless the house says otherwise.

    Flagged:

        Abbreviations
        ch: chain
        dc: double crochet
        st(s): stitch(es)

        Row 1: Ch 10, dc in 4th ch from hook and in each ch across. (8)
        Row 2: Ch 3 (counts as dc), sk first st, dc in each st across. (8)

    Passes:

        Abbreviations
        ch: chain
        dc: double crochet
        sk: skip
        st(s): stitch(es)

        Row 1: Ch 10, dc in 4th ch from hook and in each ch across. (8)
        Row 2: Ch 3 (counts as dc), sk first st, dc in each st across. (8)
    """
    known = {plain_form(word) for word in _texts(context, "known")}
    found = _used_of_the_trade if abbreviation_list(context.pattern) else _unread_abbreviations
    told: set[str] = set()
    for row, form, span in found(context):
        plain = plain_form(form)
        if plain in told or plain in known:
            continue
        told.add(plain)
        if context.options[STANDARD.name] and is_standard(form) and not clashes(form):
            continue
        if not _explained(context, form):
            yield _unexplained(context, row, form, span)


def _texts(context: ProofContext, option: str) -> tuple[str, ...]:
    value = context.options[option]
    return value if isinstance(value, tuple) else ()


def _used_of_the_trade(context: ProofContext) -> Iterator[tuple[RowTally, str, Span]]:
    """Each abbreviation of the trade in the rows, and each unread word that looks like one."""
    seen: set[str] = set()
    for row in context.tally.rows:
        for match in matches_in(WORD, context.quote(row.row.body)):
            if match[0] not in seen:
                seen.add(match[0])
                if _is_abbreviation(match[0]):
                    span = Span(*match.span()).moved(row.row.body.start)
                    yield row, _singular(match[0]), span
    yield from _sides_in_labels(context)
    yield from _unread_abbreviations(context)


_SIDE = expression(r"[(\[]\s*(?P<side>RS|WS)\b")


def _sides_in_labels(context: ProofContext) -> Iterator[tuple[RowTally, str, Span]]:
    """ "Row 1 (RS):", where the list explains the one side and not the other."""
    listed = abbreviation_list(context.pattern).names
    if not listed & {"rs", "ws"}:
        return
    for row in context.tally.rows:
        start, end = row.row.span.start, row.row.body.start
        for match in _SIDE.finditer(context.pattern.source.text, start, end):
            yield row, match["side"], Span(*match.span("side"))


def _unread_abbreviations(context: ProofContext) -> Iterator[tuple[RowTally, str, Span]]:
    """Words that were not understood, have no vowel and are no word of the trade."""
    for row in context.tally.rows:
        for unread in row.unread:
            for match in WORD.finditer(context.pattern.source.text, unread.start, unread.end):
                if _is_strange(match[0]):
                    yield row, match[0], Span(*match.span())


def _is_strange(word: str) -> bool:
    """Whether a word looks like an abbreviation and is none of the trade, nor a unit."""
    if not BARE.fullmatch(word) or word.lower() in UNITS or meanings(word):
        return False
    return parse_stitch(word) is None and plain_form(word) == word.lower()


def uses_abbreviations(pattern: Pattern) -> bool:
    """Whether the rows hold any abbreviation, so that a maker needs a list."""
    text = pattern.source.text
    words = {
        m[0] for row in pattern.rows for m in WORD.finditer(text, row.body.start, row.body.end)
    }
    return any(_is_abbreviation(word) for word in words)


def _singular(word: str) -> str:
    return word[:-1] if word.endswith("s") and word.lower() != "ss" and len(word) > 2 else word


@cache
def _is_abbreviation(word: str) -> bool:
    if word in CAPITALS:
        return True
    single = _singular(word)
    lower = single.lower()
    if lower in USUAL or lower in ("sl st", "sl-st", "t-ch"):
        return True
    stitch = parse_stitch(single)
    return bool(stitch and BARE.match(lower) and (stitch.role == "tog" or " " in stitch.name))


def _explained(context: ProofContext, form: str) -> bool:
    if is_explained(context.pattern, form):
        return True
    stitch = parse_stitch(form)
    if stitch is None:
        return False
    said = abbreviation_list(context.pattern)
    if stitch.role == "tog":
        return bool(rx.search(r"tog\b|together|decrease", said.text, re.IGNORECASE))
    if " " in stitch.name:  # a manner before a stitch, each of which may be explained alone
        head = form[: len(form) - len(stitch.base)]
        return bool(head.strip()) and is_explained(context.pattern, head.strip(" -"))
    return False


def _unexplained(context: ProofContext, row: RowTally, form: str, span: Span) -> Finding:
    where = (
        "is used here but is not in the list of abbreviations"
        if abbreviation_list(context.pattern)
        else "is no standard abbreviation, and the pattern does not explain it"
    )
    meant = clashes(form)
    return context.finding(
        span,
        sentence(f"{shown(form)} {where}"),
        row=row,
        working=sentence(f"it stands for {joined(meant, 'or')}") if meant else "",
        mends=[_entry_mend(context, form)],
    )


def _entry_mend(context: ProofContext, form: str) -> Mend:
    """An entry for the list, in the form of its last one."""
    said = abbreviation_list(context.pattern)
    known = meanings(form)
    advice = Mend(f"Explain {shown(form)} in the list of abbreviations.")
    if not (said and known) or len({each.meaning for each in known}) > 1:
        return advice
    last = said.entries[-1]
    text = context.pattern.source.text
    between = text[last.abbreviation_span.end : last.meaning_span.start]
    line = context.pattern.source.line_span(context.pattern.source.line_of(last.span.start))
    if not alone_on_its_line(context.pattern, last) or line.end < last.span.end:
        return advice
    lead = text[line.start : last.abbreviation_span.start]
    if "  " in between:  # a column of meanings
        width = last.meaning_span.start - last.abbreviation_span.start
        between = " " * max(1, width - len(form))
    words = f"{newline_of(text)}{lead}{form}{between}{known[0].meaning}"
    return Mend(
        f"Add “{form}: {known[0].meaning}” to the list.", False, (Edit(line.end, line.end, words),)
    )


@rule("abbreviation-unused", Grade.QUERY)
def abbreviation_unused(context: ProofContext) -> Iterator[Finding]:
    """Every abbreviation in the list is used in the pattern.

    An entry that nothing uses is mostly left over from another pattern or an earlier
    version; now and then it shows that a part of the pattern is missing.

    Flagged:

        Abbreviations
        ch: chain
        hdc: half double crochet
        sc: single crochet

        Row 1: Ch 10, sc in 2nd ch from hook and in each ch across. (9)

    Passes:

        Abbreviations
        ch: chain
        sc: single crochet
        st: stitch

        Row 1: Ch 10, sc in 2nd ch from hook and in each ch across. (9 sts)
    """
    listed = abbreviation_list(context.pattern)
    if not listed:
        return
    for entry in listed.entries:
        names = [name for name in names_of(entry) if ABLE.fullmatch(name)]
        if names and not any(_is_used(context, entry, name) for name in names):
            yield context.finding(
                entry.abbreviation_span,
                sentence(f"{shown(entry.abbreviation)} is in the list but is not used"),
                mends=[_taken_out(context, entry)],
            )


def _is_used(context: ProofContext, entry: Definition, name: str) -> bool:
    """Whether a name stands anywhere else, in any of its forms or as a part of another stitch."""
    single = rx.sub(r"\((?:e?s)\)", "", name).strip()
    short, tokens = single.lower(), _tokens_of(context.pattern)
    own = _tokens(context.pattern.source.quote(entry.span))
    plain = plain_form(single)
    if " " in short or not short.isalpha():
        pattern = re.escape(short).replace(r"\ ", r"[\s-]*").replace("\\-", r"[\s-]*")
        everywhere = len(re.findall(pattern, _lowered(context.pattern)))
        if everywhere > len(re.findall(pattern, context.pattern.source.quote(entry.span).lower())):
            return True
    alike = {short, *_plain_tokens_of(context.pattern).get(plain, ())}
    if any(tokens.get(token, 0) > own.get(token, 0) for token in alike):
        return True
    return len(short) > 1 and any(
        (token.startswith(short) or token.endswith(short))
        and count > own.get(token, 0)
        and (parse_stitch(token) or token.removesuffix("s") == short)
        for token, count in tokens.items()
    )


@once
def _lowered(pattern: Pattern) -> str:
    return pattern.source.text.lower()


@once
def _tokens_of(pattern: Pattern) -> dict[str, int]:
    return _tokens(pattern.source.text)


@once
def _plain_tokens_of(pattern: Pattern) -> dict[str, list[str]]:
    """The words of a pattern by their plain form."""
    plain: dict[str, list[str]] = {}
    for token in _tokens_of(pattern):
        plain.setdefault(plain_form(token), []).append(token)
    return plain


def _tokens(text: str) -> dict[str, int]:
    """Every word of a text in small letters, and how often it stands there."""
    counts: dict[str, int] = {}
    for passage in passages(text.lower()):
        for token, count in _tokens_of_passage(passage.words):
            counts[token] = counts.get(token, 0) + count
    return counts


@kept
def _tokens_of_passage(words: str) -> tuple[tuple[str, int], ...]:
    return tuple(Counter(rx.findall(r"sl[ -]?sts?\b|[^\W\d_]+(?:\d(?:tog|tr))?", words)).items())


def _taken_out(context: ProofContext, entry: Definition) -> Mend:
    title = f"Take {shown(entry.abbreviation)} out of the list."
    if not alone_on_its_line(context.pattern, entry):
        return Mend(title)
    cut = line_cut(context.pattern, entry.span)
    if "\n" in context.pattern.source.quote(entry.span).strip("\r\n"):
        return Mend(title)
    return Mend(title, False, (Edit(cut.start, cut.end, ""),))


@rule("abbreviation-clash", Grade.ERROR)
def abbreviation_clash(context: ProofContext) -> Iterator[Finding]:
    """No abbreviation is explained in two ways.

    Where a list gives the same letters to two things, a maker has to guess at each use
    which is meant.

    Flagged:

        Abbreviations
        ch: chain
        pc: popcorn
        pc: picot
        sc: single crochet

        Row 1: Ch 10, sc in 2nd ch from hook and in each ch across. (9)

    Passes:

        Abbreviations
        ch: chain
        pc: popcorn
        sc: single crochet

        Row 1: Ch 10, sc in 2nd ch from hook and in each ch across. (9)
    """
    first: dict[str, Definition] = {}
    for entry in abbreviation_list(context.pattern).entries:
        for name in dict.fromkeys(rx.sub(r"\(s\)", "", name).strip() for name in names_of(entry)):
            before = first.setdefault(name, entry)
            if before is not entry and _differ(before.meaning, entry.meaning):
                line = context.pattern.source.line_of(before.span.start)
                yield context.finding(
                    entry.abbreviation_span,
                    sentence(
                        f"{shown(name)} is explained twice: as {shown(before.meaning)} "
                        f"(line {line}) and as {shown(entry.meaning)}"
                    ),
                    mends=[Mend("Give one of the two an abbreviation of its own.")],
                )
                break


def _differ(one: str, other: str) -> bool:
    """Whether two meanings have no word in common, so that they cannot be one put two ways."""
    first, second = (set(rx.findall(r"[a-z]{2,}", text.lower())) for text in (one, other))
    common = first & second - _OF_ANY_MEANING
    return bool(first and second and not common)


#: Words that two meanings may share and be two things all the same.
_OF_ANY_MEANING = frozenset("the and or in of to st stitch next crochet".split())


RULES = (abbreviation_unexplained, abbreviation_unused, abbreviation_clash)
