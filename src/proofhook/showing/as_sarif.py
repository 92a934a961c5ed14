"""SARIF 2.1.0, the OASIS standard for what programs find in texts, for pages that show it.

Findings are written as they come, the rules they are of at the end.  After "Static Analysis
Results Interchange Format (SARIF) Version 2.1.0", OASIS Standard, 2020; the numbers are
those of its sections.
"""

from __future__ import annotations

import json
import os
from collections.abc import Iterable, Iterator
from typing import TYPE_CHECKING, Any

from proofhook import __version__
from proofhook.proofing.finding import Grade
from proofhook.showing.ink import sentences
from proofhook.showing.rows import basis, findings_and_rows

if TYPE_CHECKING:
    from proofhook.counting.result import RowTally
    from proofhook.proofing.finding import Finding, Mend
    from proofhook.proofing.proof import Proof
    from proofhook.proofing.rule import Rule
    from proofhook.showing.forms import Run
    from proofhook.showing.ink import Paper
    from proofhook.showing.sums import Shown
    from proofhook.text import Edit, Source, Span

SCHEMA = "https://docs.oasis-open.org/sarif/sarif/v2.1.0/os/schemas/sarif-schema-2.1.0.json"
#: 3.27.10: what the grades are called there.
LEVELS = {Grade.ERROR: "error", Grade.QUERY: "warning", Grade.STYLE: "note"}
#: 3.27.17: the name of the fingerprint, with the version of how it is made.
FINGERPRINT = "findingQuoted/v1"
LONGEST_SNIPPET = 1000


def proof_text(proof: Proof, _: Paper) -> str:
    """The results of one pattern, one a line: its rule, a tab, and all that follows."""
    return "".join([f"{_text(rule)}\t{_text(result)[1:]}\n" for rule, result in _results(proof)])


def write_proofs(run: Run[Shown]) -> Iterator[str]:
    """The text of one log with one run in it, a finding a line."""
    # 3.14.17: columns are code points; 3.14.16: what ends a line.
    head = {
        "language": "en",
        "columnKind": "unicodeCodePoints",
        "newlineSequences": ["\r\n", "\n", "\r"],
    }
    yield f'{{"$schema": {_text(SCHEMA)}, "version": "2.1.0", "runs": [{_text(head)[:-1]}'
    yield ', "results": ['
    rules: dict[str, Rule] = {}
    places: dict[str, int] = {}
    first = True
    for shown in run:
        for rule in shown.rules:
            if rule.name not in rules:
                places[_text(rule.name)] = len(rules)
                rules[rule.name] = rule
        for line in shown.text.splitlines():
            name, _, result = line.partition("\t")
            place = f'"ruleIndex": {places[name]}, ' if name in places else ""
            yield ("\n" if first else ",\n") + f'{{"ruleId": {name}, {place}{result}'
            first = False
    driver = {
        "name": "proofhook",
        "version": __version__,
        "rules": [_rule(rule) for rule in rules.values()],
    }
    tail = {"tool": {"driver": driver}, "invocations": [_invocation(run.outcome.told)]}
    yield f"\n], {_text(tail)[1:]}]}}\n"


def _text(value: Any) -> str:
    """A value as JSON on one line, in ASCII, whatever the terminal takes."""
    return json.dumps(value)


def _invocation(told: Iterable[str]) -> dict[str, Any]:
    """3.20: whether all was proofed, and what could not be."""
    notes = [{"level": "error", "message": {"text": plain(words)}} for words in told]
    return {"executionSuccessful": not notes, "toolExecutionNotifications": notes}


def _rule(rule: Rule) -> dict[str, Any]:
    """3.49: a rule with its help, which is its page."""
    from proofhook.proofing.rule import explain
    from proofhook.showing.ink import Paper
    from proofhook.showing.rule_page import rule_lines, rule_page

    level, grade = LEVELS[rule.grade], {"grade": rule.grade.word}
    told: dict[str, Any] = {
        "id": rule.name,
        "defaultConfiguration": {"level": level},
        "properties": grade,
    }
    try:
        about = explain(rule)
    except ValueError:
        return told  # a plug-in's rule without a page
    page = "\n".join(rule_lines(rule, Paper()))
    return {
        **told,
        "shortDescription": {"text": plain(about.title)},
        "fullDescription": {"text": plain(" ".join(about.reason.split()))},
        "help": {"text": plain(page), "markdown": braced(rule_page(rule))},
    }


def _results(proof: Proof) -> Iterator[tuple[str, dict[str, Any]]]:
    """For each finding its rule, and what else is said; the number of the rule hangs on the run."""
    from proofhook.proofing.stet import fingerprints

    marks = fingerprints(proof.findings, proof.tally)
    source = proof.pattern.source
    location = {"uri": uri_of(source.path)}
    for (finding, tallied), mark in zip(findings_and_rows(proof), marks, strict=True):
        yield (
            finding.rule,
            {
                "level": LEVELS[finding.grade],
                "message": {"text": plain(_message(finding, tallied))},
                "locations": [_location(source, finding, tallied, location)],
                "partialFingerprints": {FINGERPRINT: mark},
                "fixes": [_fix(source, mend, location) for mend in finding.mends if mend.edits],
                "properties": {"grade": finding.grade.word},
            },
        )


def _message(finding: Finding, tallied: RowTally | None) -> str:
    """What is wrong, how that was worked out and what would mend it, in sentences."""
    mends = " Or: ".join(sentences(mend.title) for mend in finding.mends)
    parts = (
        sentences(finding.message),
        f"{basis(finding, tallied).capitalize()}: {sentences(finding.working)}"
        if finding.working
        else "",
        f"To mend: {mends}" if mends else "",
    )
    return " ".join(filter(None, parts))


def _location(
    source: Source, finding: Finding, tallied: RowTally | None, location: dict[str, str]
) -> dict[str, Any]:
    """3.28: the words found, in their row or line."""
    span = finding.span
    place: dict[str, Any] = {"artifactLocation": location, "region": _quoted(source, span)}
    around = tallied.row.span if tallied else source.line_span(source.line_of(span.start))
    if around != span and around.start <= span.start and span.end <= around.end:
        place["contextRegion"] = _quoted(source, around)
    found: dict[str, Any] = {"physicalLocation": place}
    name = ", ".join(filter(None, (finding.piece, finding.row)))
    if name:
        found["logicalLocations"] = [{"fullyQualifiedName": name}]
    return found


def _quoted(source: Source, span: Span) -> dict[str, Any]:
    """A region with its words, unless they are overlong."""
    region = _region(source, span.start, span.end)
    if span.end - span.start <= LONGEST_SNIPPET:
        region["snippet"] = {"text": source.quote(span)}
    return region


def _region(source: Source, start: int, end: int) -> dict[str, Any]:
    """3.30: a stretch of the text; lines and columns from 1, the end not in it."""
    line, column = source.position(start)
    end_line, end_column = source.position(end)
    return {
        "startLine": line,
        "startColumn": column,
        "endLine": end_line,
        "endColumn": end_column,
    }


def _fix(source: Source, mend: Mend, location: dict[str, str]) -> dict[str, Any]:
    """3.55: a mend as edits of the file; ``sure`` tells that it cannot change the meaning."""
    return {
        "description": {"text": plain(mend.title)},
        "artifactChanges": [
            {
                "artifactLocation": location,
                "replacements": [_replacement(source, edit) for edit in sorted(mend.edits)],
            }
        ],
        "properties": {"sure": mend.sure},
    }


def _replacement(source: Source, edit: Edit) -> dict[str, Any]:
    """3.57."""
    return {
        "deletedRegion": _region(source, edit.start, edit.end),
        "insertedContent": {"text": edit.text},
    }


def braced(text: str) -> str:
    """3.11.5: braces are doubled, so that ``{0}`` is no place for an argument."""
    return text.replace("{", "{{").replace("}", "}}")


def plain(text: str) -> str:
    """A text as 3.11.3 wants it: as :func:`braced`, and 3.11.6, with nothing like a link in it."""
    return braced(text).replace("](", "] (")


def uri_of(path: str) -> str:
    """3.4.3: the path of a file as a URI, or as one relative to where the run was made."""
    from urllib.parse import quote

    absolute = os.path.isabs(path)
    parts = os.path.normpath(path).replace(os.sep, "/")
    escaped = quote(os.fsencode(parts), safe="/~:" if absolute else "/~")
    return f"file:///{escaped.lstrip('/')}" if absolute else escaped
