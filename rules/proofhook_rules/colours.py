"""Colours: those that the instructions take up, and those that the materials list."""

from __future__ import annotations

import re
from collections.abc import Iterator

from proofhook import expressions as rx
from proofhook.expressions import expression
from proofhook.passages import found_in
from proofhook.proofing import Finding, Mend, ProofContext
from proofhook.text import Span
from proofhook.trade.headings import is_piece_name
from proofhook_rules.around import instructions, sections_of
from proofhook_rules.wording import joined, often, sentence, shown

_COLOURS = (
    "white|cream|ivory|black|gr[ea]y|silver|red|crimson|scarlet|orange|yellow|gold|green|olive|teal"
    "|turquoise|aqua|blue|navy|purple|lilac|lavender|violet|pink|rose|brown|tan|beige|rust|mustard"
)
_TAKEN = expression(
    rf"\b(?:with|in|using|join|change\s+to|switch\s+to|to|off|attach)\s+(?P<colour>{_COLOURS})(?=\s*(?:yarn|wool|cotton)?\s*[,.:;)\n]|\s+(?:yarn|with))"
    rf"|[(,]\s*(?P<aside>{_COLOURS})\s*[),:]",
    re.IGNORECASE,
)
_A_COLOUR = expression(rf"\b(?P<colour>{_COLOURS})\b", re.IGNORECASE)


_LETTER = r"(?:[A-H]|MC|CC\d?)"
#: "A: 50 g brass", "20 g in A (moss)", "Colour B - rust", "slate (C)".
_LETTER_LISTED = expression(
    rf"(?<![\w-])(?:(?:[Cc]olou?r|[Yy]arn|[Ss]hade)\s+)?(?P<letter>{_LETTER})\s*(?:[:=(\u2013\u2014]|-\s)"
    rf"|\(\s*(?:[Cc]olou?r\s+)?(?P<aside>{_LETTER})\s*\)|\b(?:[Cc]olou?r|[Yy]arn|[Ss]hade)\s+(?P<named>{_LETTER})\b"
)
_LETTER_USED = expression(
    rf"\b(?:[Ww]ith|[Ii]n|[Jj]oin(?:ing)?|[Uu]sing|[Cc]hang(?:e|ing)\s+to|[Ss]witch\s+to|[Tt]o|[Dd]rop|[Aa]ttach"
    rf"|[Ff]asten\s+off|[Bb]reak(?:\s+off)?|[Cc]ut|[Aa]nd)\s+(?:(?:colou?r|yarn)\s+)?(?P<letter>{_LETTER})(?![\w'-]|\s+(?:hook|st\b))"
)


def letters_listed(context: ProofContext) -> dict[str, Span]:
    """The letters by which the materials name their colours; empty for fewer than two."""
    found: dict[str, Span] = {}
    for section in sections_of(context.pattern, "materials"):
        for line in rx.finditer(r"[^\n]+", context.quote(section)):
            before_hook = rx.sub(r"[Hh]ook.*", "", line[0])  # "hook (G-6)" names no colour
            for match in _LETTER_LISTED.finditer(before_hook):
                group = match.lastgroup or "letter"
                start = section.start + line.start() + match.start(group)
                found.setdefault(match[group], Span(start, start + len(match[group])))
    return found if len(found) > 1 else {}


def letters_missing(context: ProofContext, told: str) -> Iterator[Finding]:
    """Findings for colours that the rows call by a letter which the materials do not have."""
    have = dict.fromkeys(letters_listed(context))
    if not have:
        return
    for found in found_in(_LETTER_USED, told):
        if found["letter"] not in have:
            have[found["letter"]] = None
            known = joined(sorted(set(have) - {found["letter"]}))
            yield context.finding(
                Span(*found.span("letter")),
                sentence(f"colour {found['letter']} is not in the materials"),
                working=f"There are {known}.",
                mends=[Mend("List the colour, or use the letter that the materials give it.")],
            )


def colours_missing(context: ProofContext, listed: str, told: str) -> Iterator[Finding]:
    have = {_colour(m["colour"]) for m in _A_COLOUR.finditer(listed)}
    if not have or rx.search(r"\b(?:scraps?|oddments?|any\s+colou?rs?|leftovers?)\b", listed, re.I):
        return
    for found in found_in(_TAKEN, told):
        group = "colour" if found["colour"] else "aside"
        name = _colour(found[group])
        if name not in have:
            have.add(name)
            yield context.finding(
                Span(*found.span(group)),
                sentence(f"{shown(found[group])} is not among the colours in the materials"),
                working=f"There are {joined(sorted(have - {name}))}.",
                mends=[Mend("List the colour, or call it what the materials call it.")],
            )


#: "With Poppy,", "In Ink" and "Change to Oat": a yarn by a name of its own.
_NAME_TAKEN = expression(
    r"(?:(?m:^)[ \t*-]{0,6}|[.,;:(]\s)"
    r"(?:[Ww]ith|[Ii]n|[Uu]sing|[Jj]oin|(?:[Ss]tart|[Bb]egin)(?:n?ing)?\s(?:with|in)"
    r"|(?:[Cc]hange|[Cc]hanging|[Ss]witch|[Ss]witching)\sto)\s(?P<name>[A-Z][a-z]{2,}(?:\s[A-Z][a-z]+)?)"
    r"(?=\s*(?:[,.:;)\n]|\Z)|\sand\b|\s(?:yarn|wool|cotton)\b)"
)


def names_missing(context: ProofContext, listed: str, told: str) -> Iterator[Finding]:
    """Findings for yarns called by names of their own, of which the materials lack one.

    Only where the materials name others that are called so, or two colours that everybody knows.
    """
    taken: dict[str, Span] = {}
    for found in found_in(_NAME_TAKEN, told):
        if not _A_COLOUR.search(found["name"]):
            taken.setdefault(found["name"], Span(*found.span("name")))
    low = listed.lower()
    there = [name for name in taken if name.lower() in low]
    if not there and len({_colour(m["colour"]) for m in _A_COLOUR.finditer(listed)}) < 2:
        return
    if rx.search(r"\b(?:scraps?|oddments?|any\s+colou?rs?|leftovers?)\b", listed, re.I):
        return
    # "Oat" on a line by itself is taken for a heading where the materials do not have it
    pieces = " ".join(p.name.lower() for p in context.pattern.pieces if p.name not in taken)
    for name, span in taken.items():
        known = name.lower() in low or name.lower() in pieces or is_piece_name(name)
        if known or rx.match(r"(?:Row|Rnd|Round|Right|Wrong|Front|Back|Order|This|Each)", name):
            continue
        yield context.finding(
            span,
            sentence(f"{shown(name)} is not among the colours in the materials"),
            mends=[Mend("List the colour, or call it what the materials call it.")],
        )


def _colour(word: str) -> str:
    return "grey" if word.lower() == "gray" else word.lower()


#: "Ink: 45 yd", "Milk (20 g)": a yarn with an amount, on a line of its own.
_NAME_LISTED = expression(
    r"(?m)^[ \t*\u2022-]{0,8}(?P<name>[A-Z][a-z]{2,}(?:\s[A-Z][a-z]+)?)\s*(?:[:(\u2013-]|,)\s*\d"
    r"[^\n]*\b(?:yds?|yards?|m|met(?:re|er)s?|g|grams?|balls?|skeins?)\b"
)
#: "50 g each of Plum, Straw and Rust".
_NAMES_LISTED = expression(
    r"\beach\s+(?:of|in)\s+(?P<names>[A-Z][a-z]{2,}(?:,\s[A-Z][a-z]{2,}){0,8},?\sand\s[A-Z][a-z]{2,})\b"
)


def names_unused(context: ProofContext, told: str) -> Iterator[Span]:
    """The yarns in a list of names that nothing takes up, where the others are called so."""
    text = context.pattern.source.text
    for section in sections_of(context.pattern, "materials"):
        lines = [
            Span(*m.span("name")) for m in _NAME_LISTED.finditer(text, section.start, section.end)
        ]
        lists = [
            [
                Span(m.start("names") + n.start(), m.start("names") + n.end())
                for n in rx.finditer(r"[A-Z][a-z]+", m["names"])
            ]
            for m in _NAMES_LISTED.finditer(text, section.start, section.end)
        ]
        for names in (lines, *lists):
            words = {span: context.quote(span) for span in names}
            idle = [s for s in names if not re.search(rf"\b{re.escape(words[s])}\b", told, re.I)]
            if 0 < len(idle) < len(names) and len(idle) * 2 <= len(names):
                yield from idle


#: "A (Rust)", "Color B - Chalk", "MC: Lamp": a letter and the name that goes with it.
_LETTER_AND_NAME = expression(
    rf"(?m)^[ \t*\u2022-]{{0,8}}(?:(?:[Cc]olou?r|[Yy]arn|[Ss]hade)\s+)?(?P<letter>{_LETTER})"
    r"\s*(?:[:=,\u2013\u2014-]\s*|\s\()(?P<name>[A-Z][a-z]{2,})(?=\s*(?:[,;:.)\n]|\s[-\u2013\u2014]\s|\Z))"
)


def colours_of_two_names(context: ProofContext) -> Iterator[Finding]:
    """Findings for colours that the instructions call by their letter here and by name there.

    "A (Rust)" in the materials gives a colour both.  Only words that take a yarn up count
    ("with A", "change to Rust"), and only where no row speaks of both together.
    """
    pattern = context.pattern
    told = instructions(pattern)
    pairs = {
        found["letter"]: found["name"]
        for section in sections_of(pattern, "materials")
        for found in _LETTER_AND_NAME.finditer(context.quote(section))
    }
    if not pairs or len(set(pairs.values())) < len(pairs):
        return
    by_letter: dict[str, int] = {}
    for found in _LETTER_USED.finditer(told):
        by_letter[found["letter"]] = by_letter.get(found["letter"], 0) + 1
    by_name: dict[str, list[Span]] = {}
    for found in _NAME_TAKEN.finditer(told):
        by_name.setdefault(found["name"], []).append(Span(*found.span("name")))
    for letter, name in pairs.items():
        beside = re.search(rf"\b{letter}\s*\(\s*{name}|\b{name}\s*\(\s*{letter}\b", told)
        if letter not in by_letter or name not in by_name or beside:
            continue
        yield context.finding(
            by_name[name][0],
            sentence(f"colour {letter} is called {shown(letter)} and {shown(name)} in turn"),
            working=f"{shown(letter)} {often(by_letter[letter])}, "
            f"{shown(name)} {often(len(by_name[name]))}.",
            mends=[Mend("Call it by its letter or by its name throughout.")],
        )
