"""JUnit XML, the form in which pages of continuous integration take the outcome of tests.

A pattern is a suite and each of its rows a test, which fails where a finding in it fails
the run; so a page shows how many rows there are and which do not come out.  In the form
that the XML schema ``junit-10.xsd`` of the xUnit plug-in of Jenkins gives.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from typing import TYPE_CHECKING

from proofhook.counting.result import Verdict
from proofhook.expressions import expression
from proofhook.showing.ink import counted, sentences, shown_path
from proofhook.showing.rows import OUTSIDE, basis, rows_and_findings

if TYPE_CHECKING:
    from proofhook.counting.result import RowTally
    from proofhook.proofing.finding import Finding
    from proofhook.proofing.proof import Proof
    from proofhook.showing.forms import Run
    from proofhook.showing.ink import Paper
    from proofhook.showing.sums import Shown

#: What XML 1.0 has no way to write (https://www.w3.org/TR/xml/#charsets).
UNWRITABLE = expression("[^\t\n\r\x20-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")
SPECIAL = expression('[&<>"\r]|[^\x00-\x7f]')
#: These would become blanks in an attribute.
WHITE = expression("[\t\n]")
NOT_PROOFED = "What could not be done"


def proof_text(proof: Proof, _: Paper) -> str:
    """The suite of one pattern."""
    return "".join(_suite(proof))


def write_proofs(run: Run[Shown]) -> Iterator[str]:
    """The text of the XML, a suite a pattern."""
    yield '<?xml version="1.0" encoding="UTF-8"?>\n<testsuites name="proofhook">\n'
    for shown in run:
        yield shown.text
    told = run.outcome.told
    if told:
        yield from _not_done(told)
    yield "</testsuites>\n"


def _suite(proof: Proof) -> Iterator[str]:
    cases: list[str] = []
    failed = skipped = 0
    names: dict[str, int] = {}
    path = shown_path(proof.pattern.source.path)
    for tallied, findings in rows_and_findings(proof):
        name = _name(tallied)
        names[name] = names.get(name, 0) + 1
        if names[name] > 1:
            name = f"{name} ({names[name]})"
        failing = [each for each in findings if proof.house.fails(each.grade)]
        others = [each for each in findings if not proof.house.fails(each.grade)]
        unread = tallied is not None and tallied.verdict is Verdict.UNREAD and not failing
        failed += bool(failing)
        skipped += unread
        cases.append(f"<testcase {_attributes(classname=path, name=name, time='0')}>")
        if failing:
            cases.append(_failure(proof, tallied, failing))
        if unread:
            cases.append(f"<skipped {_attributes(message='This row could not be read.')}/>")
        if others:
            cases.append(f"<system-out>{escaped(_told(proof, tallied, others))}</system-out>")
        cases.append("</testcase>\n")
    counts = _attributes(
        name=path,
        tests=str(sum(names.values())),
        failures=str(failed),
        errors="0",
        skipped=str(skipped),
        time="0",
        file=proof.pattern.source.path,
    )
    yield f"<testsuite {counts}>\n"
    yield "".join(cases)
    yield "</testsuite>\n"


def _name(tallied: RowTally | None) -> str:
    """The name of a row, which stays the same when lines are put in above it."""
    if tallied is None:
        return OUTSIDE
    named = filter(None, (tallied.piece.name, tallied.row.name))
    return " ".join(", ".join(named).split()) or "A row without a name"


def _failure(proof: Proof, tallied: RowTally | None, findings: list[Finding]) -> str:
    first, *more = findings
    message = sentences(first.message)
    if more:
        message = f"{message} And {counted(len(more), 'finding')} more."
    head = _attributes(type=first.rule, message=message)
    return f"<failure {head}>{escaped(_told(proof, tallied, findings))}</failure>"


def _told(proof: Proof, tallied: RowTally | None, findings: Iterable[Finding]) -> str:
    """Findings as text: place, what is wrong, how that was worked out, what would mend it."""
    source = proof.pattern.source
    lines: list[str] = []
    for finding in findings:
        line, column = source.position(finding.span.start)
        place = f"{source.path}:{line}:{column}: {finding.grade.word}"
        lines.append(f"{place}: {finding.message} ({finding.rule})")
        if finding.working:
            lines.append(f"  {basis(finding, tallied)}: {finding.working}")
        lines += [f"  to mend: {mend.title}" for mend in finding.mends]
    return "\n".join(lines)


def _not_done(told: Iterable[str]) -> Iterator[str]:
    """A suite of its own for what could not be read or proofed."""
    cases = [
        f"<testcase {_attributes(classname='proofhook', name=f'{NOT_PROOFED} ({number})')}>"
        f"<error {_attributes(type='not-done', message=words)}/></testcase>\n"
        for number, words in enumerate(told, 1)
    ]
    counts = _attributes(
        name=NOT_PROOFED, tests=str(len(cases)), failures="0", errors=str(len(cases))
    )
    yield f"<testsuite {counts}>\n{''.join(cases)}</testsuite>\n"


def _attributes(**given: str) -> str:
    return " ".join(
        f'{name}="{WHITE.sub(_reference, escaped(value))}"' for name, value in given.items()
    )


def escaped(text: str) -> str:
    """A text as XML, in ASCII, as it may stand between tags.

    Characters that XML cannot hold are replaced.
    """
    text = UNWRITABLE.sub("\N{REPLACEMENT CHARACTER}", text)
    return SPECIAL.sub(_reference, text)


def _reference(found: re.Match[str]) -> str:
    return f"&#{ord(found[0])};"
