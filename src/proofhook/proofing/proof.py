"""Proofing one pattern: every rule has its look, the findings come out in order."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING

from proofhook.faults import one_line
from proofhook.proofing.finding import Finding, place_order
from proofhook.proofing.rule import ProofContext, Rule
from proofhook.records import NamedTuple

if TYPE_CHECKING:
    from proofhook.counting.result import Tally
    from proofhook.pattern import Pattern
    from proofhook.proofing.house import House


class Proof(NamedTuple):
    """The outcome of proofing one pattern.

    ``failures`` holds a sentence for each rule that could not do its work; where there
    is one, the pattern was not checked whole.  ``let_stand`` are the findings that the
    editor lets stand; they are not among the others.  ``rules`` are those that had their
    look.
    """

    pattern: Pattern
    tally: Tally
    house: House
    findings: tuple[Finding, ...]
    failures: tuple[str, ...] = ()
    let_stand: tuple[Finding, ...] = ()
    rules: tuple[Rule, ...] = ()

    @property
    def failing(self) -> int:
        """How many findings fail the run in this house."""
        return sum(self.house.fails(finding.grade) for finding in self.findings)


def proof(pattern: Pattern, tally: Tally, house: House, rules: Iterable[Rule]) -> Proof:
    """What the rules find in a pattern, sorted by place and rule.

    A rule that raises spoils nothing but its own findings: the others go on, and the
    proof says which one failed.
    """
    findings: dict[Finding, None] = {}
    failures: list[str] = []
    looked: list[Rule] = []
    for rule in rules:
        grade = house.grade_of(rule)
        if grade is None:
            continue
        looked.append(rule)
        context = ProofContext(pattern, tally, house, rule, grade, house.options_of(rule))
        try:
            found = [_checked(finding, pattern) for finding in rule.check(context)]
        except Exception as error:
            failures.append(
                f"{pattern.source.path}: the rule {rule.name} of the plug-in "
                f"{rule.plugin or rule.check.__module__} failed ({one_line(error)}); "
                "the other rules went on."
            )
        else:
            findings.update(dict.fromkeys(found))
    standing = _standing(findings, tally, house)
    marked = sorted((f for f in findings if f not in standing), key=place_order)
    return Proof(
        pattern, tally, house, tuple(marked), tuple(failures), tuple(standing), tuple(looked)
    )


def _standing(findings: Iterable[Finding], tally: Tally, house: House) -> dict[Finding, None]:
    """The findings that the editor lets stand."""
    if not house.stets:
        return {}
    from proofhook.proofing.stet import standing

    return standing(findings, tally, house.stets)


def _checked(finding: Finding, pattern: Pattern) -> Finding:
    """The finding, if it is one and lies in the text.

    Raises TypeError or ValueError otherwise.
    """
    if not isinstance(finding, Finding):
        raise TypeError(f"it gave {one_line(finding)} where a finding belongs")
    size = len(pattern.source.text)
    places = [(finding.span.start, finding.span.end)]
    places += [(edit.start, edit.end) for mend in finding.mends for edit in mend.edits]
    for start, end in places:
        if not 0 <= start <= end <= size:
            raise ValueError(f"it pointed outside the text, at {start} to {end}")
    return finding
