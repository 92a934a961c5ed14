"""Tidying one pattern: the edits are made, read again, and kept only where nothing else changed."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Sequence
from typing import TYPE_CHECKING, TypeAlias

from proofhook.counting.kept import Kept
from proofhook.counting.tally import tally
from proofhook.proofing.finding import Finding, Grade
from proofhook.proofing.mending import Key, keys_of
from proofhook.proofing.proof import proof
from proofhook.reading import read
from proofhook.records import NamedTuple
from proofhook.sameness import said, same_model
from proofhook.text import Source, apply_edits
from proofhook.tidying.families import FAMILIES, Family, edits_of
from proofhook.tidying.measures import inches_alike
from proofhook.tidying.page import Page
from proofhook.tidying.settings import Style, style_of

if TYPE_CHECKING:
    from proofhook.pattern import Pattern
    from proofhook.proofing.house import House
    from proofhook.proofing.rule import Rule

#: Edits that touch take turns; after so many turns the text would never come to rest.
MOST_TURNS = 8


class Tidied(NamedTuple):
    """The outcome: the pattern as it is laid out now, or as it was, and why it stayed so.

    ``reason`` is a sentence where the pattern could not be tidied; ``after`` is then the
    pattern as it was.
    """

    before: Pattern
    after: Pattern
    reason: str = ""

    @property
    def changed(self) -> bool:
        """Whether the layout is another now."""
        return self.after is not self.before


def tidied(before: Pattern, house: House, rules: Sequence[Rule] | None = None) -> Tidied:
    """A pattern in the layout of its house.

    The outcome says the same as the pattern did, word for word outside the rows, and would
    not be changed by tidying it again; where ``rules`` are given, they find nothing in it
    that they did not find before.  Otherwise the pattern is given back with the reason.
    """
    style = style_of(house)
    after, reason = _laid_out(before, style, FAMILIES)
    if after is before:
        return Tidied(before, before)
    reason = reason or _difference(before, after)
    if reason:
        return Tidied(before, before, _with_setting(before, style, reason))
    if rules is not None:
        reason = _new_finding(before, after, house, rules)
    return Tidied(before, before if reason else after, reason)


def _laid_out(before: Pattern, style: Style, families: Iterable[Family]) -> tuple[Pattern, str]:
    """The pattern with all edits made, until there are none, and a reason where that fails."""
    families = list(families)
    pattern = before
    for _ in range(MOST_TURNS):
        edits = edits_of(Page(pattern, style), families)
        if not edits:
            return pattern, ""
        source = pattern.source
        text = apply_edits(source.text, edits)
        pattern = read(Source(source.path, text, bom=source.bom), own=before.own)
    return pattern, "Its rows are read otherwise each time they are laid out."


def _difference(before: Pattern, after: Pattern) -> str:
    """What would be said otherwise, in a sentence; "" where nothing would."""
    difference = same_model(before, after)
    if difference:
        return difference
    words, kept = _words_outside(before), _words_outside(after)
    lost = next(iter((words - kept) or (kept - words)), None)
    return f"Outside the rows, the word “{lost}” would be lost or doubled." if lost else ""


def _words_outside(pattern: Pattern) -> Counter[str]:
    """The words and figures outside the rows, each as often as it is there."""
    text = pattern.source.text
    words: Counter[str] = Counter()
    at = 0
    for row in sorted(pattern.rows, key=lambda row: row.span):
        words.update(said(inches_alike(text[at : row.span.start])))
        at = max(at, row.span.end)
    words.update(said(inches_alike(text[at:])))
    return words


def _with_setting(before: Pattern, style: Style, reason: str) -> str:
    """The reason, with the setting that alone would do this, where there is one."""
    for family in FAMILIES:
        after, fault = _laid_out(before, style, [family])
        alone = fault or _difference(before, after)
        if alone:
            return f"{family.setting}: {alone}"
    return reason


def _new_finding(before: Pattern, after: Pattern, house: House, rules: Sequence[Rule]) -> str:
    """A finding that would come with the new layout, in a sentence; "" without one."""
    kept = Kept()
    new = proof(after, tally(after, kept), house, rules)
    if not new.failures and not new.findings:
        return ""
    telling = {finding.rule for finding in new.findings}
    again = rules if new.failures else [rule for rule in rules if rule.name in telling]
    old = proof(before, tally(before, kept), house, again)
    if new.failures and new.failures != old.failures:
        return new.failures[0]
    left = list(zip(old.findings, keys_of(old), strict=True))
    come = list(zip(new.findings, keys_of(new), strict=True))
    for alike in (_by_words, _by_row, _by_rule):
        left, come = _unmatched(left, come, alike)
    if not come:
        return ""
    finding, _ = come[0]
    where = ", ".join(name for name in (finding.piece, finding.row) if name)
    return f"{where + ': ' if where else ''}{finding.message} ({finding.rule})"


#: A finding, and the rule and row it is known by.
_Keyed: TypeAlias = tuple[Finding, Key]


def _by_words(each: _Keyed) -> object:
    return (each[1], each[0].message)


def _by_row(each: _Keyed) -> object:
    return each[1]


def _by_rule(each: _Keyed) -> object:
    """A remark on style may be made at another row: it names the first of several places."""
    return each[0].rule if each[0].grade is Grade.STYLE else each


def _unmatched(
    left: list[_Keyed], come: list[_Keyed], alike: Callable[[_Keyed], object]
) -> tuple[list[_Keyed], list[_Keyed]]:
    """Both lists without what they have in common by ``alike``."""
    both = Counter(map(alike, left)) & Counter(map(alike, come))
    return _without(left, both, alike), _without(come, both, alike)


def _without(
    given: list[_Keyed], common: Counter[object], alike: Callable[[_Keyed], object]
) -> list[_Keyed]:
    taken, rest = Counter(common), []
    for each in given:
        if taken[alike(each)] > 0:
            taken[alike(each)] -= 1
        else:
            rest.append(each)
    return rest
