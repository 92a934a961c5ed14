"""Hooks: their labels, whether they are said in full, and whether each is taken up."""

from __future__ import annotations

import re
from collections.abc import Iterator

from proofhook import expressions as rx
from proofhook.expressions import expression
from proofhook.passages import is_in
from proofhook.pattern import Pattern
from proofhook.proofing import Finding, Grade, Mend, Option, ProofContext, rule
from proofhook.text import Span
from proofhook.trade import hooks
from proofhook.trade.hook_sizes import Size, sizes_in
from proofhook_rules.around import instructions, sections_of, singular, text_of
from proofhook_rules.wording import joined, sentence, shown

_HALF = r"(?:[.,]5|\s?\u00bd|[ -]1/2)?"


@rule("hook-size", Grade.ERROR)
def hook_size(context: ProofContext) -> Iterator[Finding]:
    """The millimetres of a hook go with its US letter and its UK number.

    Makers buy by the label they know; a wrong one gives them another gauge.  Labels
    differ between makers and over the years, so whatever some printed table gives for a
    size is accepted, a bare letter stands for a range, and steel sizes are left room.

    Flagged:

        Materials: yarn needle, hook size G-6 (4.5 mm)

        Rnd 1: 6 sc in a magic ring. (6)

    Passes:

        Materials: yarn needle, hook size G-6 (4 mm)

        Rnd 1: 6 sc in a magic ring. (6)
    """
    for size in sizes_in(context.pattern.source.text):
        wrong = [f"US {label}" for label in size.us if _us_differs(size, label)]
        wrong += [f"UK {label}" for label in size.uk if hooks.uk_agrees(size.mm, label) is False]
        if wrong:
            yield context.finding(
                size.span,
                sentence(f"a hook of {size.mm:g} mm is not {joined(wrong, 'or')}"),
                working=_known(size, wrong),
                mends=[Mend("Check the hook that was used, and give the size that it has.")],
            )


def _us_differs(size: Size, label: str) -> bool:
    read = hooks.read_label(label)
    if read and not read.letters and (size.steel or size.mm < 2):
        return hooks.steel_agrees(size.mm, read.number) is False
    if hooks.us_agrees(size.mm, label) is not False:
        return False
    number_only = read is not None and not read.letters
    return not (number_only and hooks.steel_agrees(size.mm, label))


def _known(size: Size, wrong: list[str]) -> str:
    """What the tables give for the millimetres and for the labels."""
    told = [f"US {label}" for label in hooks.us_labels(size.mm)]
    told += [f"UK {number}" for number in hooks.uk_numbers(size.mm)[:1]]
    parts = [f"{size.mm:g} mm is {' and '.join(told)}"] if told else []
    for label in wrong:
        scale, _, words = label.partition(" ")
        found = hooks.us_sizes(words) if scale == "US" else hooks.uk_sizes(words)
        if found:
            parts.append(f"{label} is {joined([f'{mm:g}' for mm in found], 'or')} mm")
    return "; ".join(parts)


_HOOK_LABEL = expression(
    rf"\b(?P<word>(?:US\s+)?(?:size\s+)?(?P<label>[B-Q](?:/[B-Q])?(?:\s?[-/]\s?\d{{1,2}}{_HALF})?|\d{{1,2}}{_HALF}))"
    r"\s+(?:crochet\s+|steel\s+)?hook\b"
    rf"|\b(?i:hook)\s*[:,|-]?\s*(?:size\s+|US\s+|[Nn]o\.?\s*|[Nn]umber\s+|\#\s*)+(?P<late>[B-Q](?:/[B-Q])?(?:\s?[-/]\s?\d{{1,2}}{_HALF})?|\d{{1,2}}{_HALF})(?!\s?mm|[\w.])"
)


@rule(
    "hook-incomplete",
    Grade.QUERY,
    Option("labels", False, "whether a hook in millimetres must have its US label as well"),
)
def hook_incomplete(context: ProofContext) -> Iterator[Finding]:
    """A hook is given in millimetres.

    Letters and numbers mean other sizes with other makers: "size 7" is a hook of 4.5 mm,
    a steel hook or 7 mm.  Millimetres are understood by everybody.

    Flagged:

        Materials: wool, 1 ball; size 7 hook

        Rnd 1: 6 sc in a magic ring. (6)

    Passes:

        Materials: wool, 1 ball; 4.5 mm hook (US 7)

        Rnd 1: 6 sc in a magic ring. (6)
    """
    source = context.pattern.source
    given = list(sizes_in(source.text))
    if context.options["labels"]:
        for size in given:
            if not size.us and hooks.us_labels(size.mm):
                label = joined(hooks.us_labels(size.mm), "or")
                yield context.finding(size.span, sentence(f"the hook lacks its US label, {label}"))
    yield from _without_a_size(context)
    for section in sections_of(context.pattern, "materials"):
        for found in _HOOK_LABEL.finditer(source.text, section.start, section.end):
            line = source.line_span(source.line_of(found.end()))
            before = rx.split(r";", source.text[line.start : found.start()])[-1]
            after = rx.split(r";", source.text[found.end() : line.end])[0]
            if "mm" in before or "mm" in after:
                continue
            label = found["label"] or found["late"]
            meanings = sorted({meaning.mm for meaning in hooks.meanings(label)})
            if meanings:
                told = joined([f"{mm:g}" for mm in meanings], "or")
                yield context.finding(
                    Span(*found.span()),
                    sentence(f"{shown(found[0])} does not say the millimetres"),
                    working=f"It may be {told} mm.",
                    mends=[Mend("Give the size of the hook in millimetres too.")],
                )


_OTHER_MM = expression(
    r"[^\n]*\b(?:eyes?|buttons?|beads?|zips?|zippers?|needles?|rings?)\b[^\n]*", re.IGNORECASE
)
_A_HOOK = expression(r"\bhook\b(?!\s*(?:and|&)\s*eye)", re.IGNORECASE)
#: Words that leave the hook to the maker, and any size there might be.
_ANY_HOOK = expression(
    r"\d\s?mm\b|\bsize\s+[A-Z\d]|\b(?:US|UK|no\.?|number)\s*\d|\b[B-Q]\s?[-/]\s?\d"
    r"|\b(?:any|suit\w*|match\w*|right|appropriate|your\s+own|needed|required|recommended|obtain)\b",
    re.IGNORECASE,
)


def _without_a_size(context: ProofContext) -> Iterator[Finding]:
    """A finding where the materials list a hook, and nothing anywhere tells its size."""
    source = context.pattern.source
    whole = any(s.kind in ("gauge", "abbreviations") for s in context.pattern.sections)
    for section in sections_of(context.pattern, "materials"):
        found = _A_HOOK.search(source.text, section.start, section.end)
        line = source.line_span(source.line_of(found.start())) if found else None
        if not found or not line or not whole:
            continue
        if _HOOK_LABEL.search(source.text) or next(sizes_in(source.text), None):
            return
        if _OTHER_MM.sub("", text_of(context.pattern, "materials")).count("mm"):
            return  # "HOOK", and the size on the next line
        if not _ANY_HOOK.search(source.text, line.start, line.end):
            yield context.finding(
                Span(*found.span()),
                "The size of the hook is not given.",
                mends=[Mend("Give the size of the hook, in millimetres.")],
            )
            return


@rule("hook-unused", Grade.QUERY)
def hook_unused(context: ProofContext) -> Iterator[Finding]:
    """Every hook listed is taken up, and every hook taken up is listed.

    Where two hooks are listed, the instructions say where the second begins; a hook
    that is changed to is one that the maker must have at hand.

    Flagged:

        Materials: cotton; 4 mm hook; 5 mm hook

        Ch 7.
        Row 1: Sc in 2nd ch from hook and in each ch across, turn. (6)

    Passes:

        Materials: cotton; 4 mm hook; 5 mm hook

        Row 1: With 5 mm hook, ch 7, sc in 2nd ch from hook and in each ch across, turn. (6)
        Row 2: With 4 mm hook, ch 1, sc in each st across. (6)
    """
    listed = _listed(context.pattern)
    told = instructions(context.pattern)
    taken = list(sizes_in(told))
    if not is_in(_RELATIVE, told):
        named = {size.mm for size in (*taken, *sizes_in(text_of(context.pattern, "gauge")))}
        # One hook may go without saying: it is the one for all the rest, unless that is said.
        rest = [size for size in listed if size.mm not in named]
        begins = min((row.span.start for row in context.pattern.rows), default=0)
        said = any(_before_row_one(context.pattern, size.at.start, begins) for size in taken)
        said = said or bool(named & {size.mm for size in listed} and not taken)
        for size in rest[0 if said else 1 :]:
            yield context.finding(
                size.span,
                f"Nothing is said of where the {size.mm:g} mm hook is used.",
                mends=[Mend("Say which part each hook is for, or leave the hook out.")],
            )
    yield from _for_nothing(context, told)
    have = {size.mm for size in listed}
    for size in taken:
        if have and size.mm not in have:
            have.add(size.mm)
            yield context.finding(
                size.span,
                f"The {size.mm:g} mm hook is not in the materials.",
                mends=[Mend("Put the hook into the materials.")],
            )


#: "4.5 mm hook for the ribbing": what a hook is listed for.
_HOOK_FOR = expression(
    r"(?P<hook>\d{1,2}(?:[.,]\d{1,2})?\s?mm[^\n;.]{0,40}?)\bfor\s+(?:the\s+|all\s+)?(?P<part>[a-z]{4,})\b",
    re.I,
)
#: Words that name a way to work, or all of the piece, and need not come again.
_ANY_PART = frozenset(
    """main rest body whole everything crochet pattern your this gauge work size lace tension
    working""".split()
)


def _for_nothing(context: ProofContext, told: str) -> Iterator[Finding]:
    """Findings for a hook that is listed for a part of which the instructions know nothing."""
    words: set[str] = set()
    for section in sections_of(context.pattern, "materials"):
        text = context.pattern.source.text
        for found in _HOOK_FOR.finditer(text, section.start, section.end):
            line = context.pattern.source.line_span(context.pattern.source.line_of(found.start()))
            part = singular(found["part"].lower())
            stem = part.removesuffix("ing").removesuffix("b")
            if "hook" not in text[line.start : line.end].lower() or part in _ANY_PART:
                continue
            words = words or {singular(word) for word in re.findall(r"[a-z]{3,}", told.lower())}
            if not any(word.startswith(stem) for word in words):
                yield context.finding(
                    Span(*found.span()),
                    sentence(f"{shown(found[0])}: nothing else speaks of {shown(found['part'])}"),
                    mends=[Mend("Say where the hook is taken up, or leave it out.")],
                )


_RELATIVE = expression(r"\b(?:smaller|larger|bigger|small|large|second|other|first)\s+hook", re.I)


def _before_row_one(pattern: Pattern, at: int, begins: int) -> bool:
    """Whether a hook is named where the first piece begins: "With the 5 mm hook, ch 26"."""
    line = pattern.source.line_of(begins)
    return line - 1 <= pattern.source.line_of(at) <= line


def _listed(pattern: Pattern) -> list[Size]:
    """The hooks of the materials, each size once, none that is only named for one part."""
    text = pattern.source.text
    found: dict[float, Size] = {}
    for section in sections_of(pattern, "materials"):
        for size in sizes_in(text[section.start : section.end]):
            moved = Span(size.span.start + section.start, size.span.end + section.start)
            found.setdefault(size.mm, size._replace(span=moved))
    parts = r"\bhooks?\s+for\b|\(for\b|\bif\s+needed|\bor\s+(?:the\s+)?size|\bor\b"
    lines = [text[s.start : s.end] for s in sections_of(pattern, "materials")]
    hook_lines = [line for part in lines for line in part.splitlines() if "hook" in line.lower()]
    if any(re.search(parts, line, re.IGNORECASE) for line in hook_lines):
        return list(found.values())[:1] if len(found) < 2 else []
    return list(found.values())


RULES = (hook_size, hook_incomplete, hook_unused)
