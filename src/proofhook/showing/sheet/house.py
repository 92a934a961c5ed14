"""The house style in force: what the house wants otherwise than usual, and what it lets stand."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

from proofhook.expressions import expression
from proofhook.proofing.stet import Stet, identities, lets_stand
from proofhook.records import NamedTuple
from proofhook.showing.rule_page import as_toml

if TYPE_CHECKING:
    from proofhook.proofing.finding import Finding
    from proofhook.proofing.house import House
    from proofhook.proofing.proof import Proof
    from proofhook.proofing.rule import Rule

#: A place without the folders that the style sheet lies in: they are nobody else's business.
FOLDERS = expression(r"^.*[/\\]")


class Setting(NamedTuple):
    """A wish of the house, in words, and the place of the style sheet that says so."""

    name: str
    value: str
    place: str


class Standing(NamedTuple):
    """A finding that is let stand, the words it is about, and why."""

    finding: Finding
    line: int
    quote: str
    because: str
    date: str


def settings(house: House, rules: Sequence[Rule]) -> Iterator[Setting]:
    """What holds for this pattern: what fails a run, then all that is not as usual."""

    def place(key: str) -> str:
        return FOLDERS.sub("", house.places.get(key, ""))

    yield Setting("A run fails on", f"{house.failing.word} or graver", place("failing") or "usual")
    if house.sections:
        yield Setting("Sections wanted", ", ".join(house.sections), place("sections"))
    for pair in house.wording:
        words = f"“{pair.write}”, not {_quoted(pair.instead_of)}"
        words += f", but in {_quoted(pair.unless)}" if pair.unless else ""
        words += f": {pair.because}" if pair.because else ""
        yield Setting("Wording", words, FOLDERS.sub("", pair.place))
    for rule in rules:
        grade = house.grade_of(rule)
        if grade is not rule.grade:
            value = grade.word if grade else "off"
            yield Setting(f"{rule.name}", value, place(f"rules.{rule.name}.grade"))
        usual = rule.defaults()
        for name, wanted in house.options_of(rule).items():
            if wanted != usual.get(name):
                key = f"rules.{rule.name}.{name}"
                yield Setting(f"{rule.name}, {name}", as_toml(wanted), place(key))


def _quoted(words: Sequence[str]) -> str:
    return ", ".join(f"“{each}”" for each in words)


def standing(proof: Proof) -> Iterator[Standing]:
    """The findings that are let stand, each with the editor's reason."""
    source = proof.pattern.source
    stood = sorted(proof.let_stand, key=lambda each: each.span)
    for finding, identity in zip(stood, identities(stood, proof.tally), strict=True):
        about = (stet for stet in proof.house.stets if lets_stand(stet, identity))
        stet = next(about, Stet(finding.rule, "", "it was said to stand"))
        line = source.line_of(finding.span.start)
        yield Standing(finding, line, identity.quote, stet.because, stet.date)
