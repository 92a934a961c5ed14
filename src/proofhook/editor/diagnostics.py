"""Findings as diagnostics, and their mends as quick fixes."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from lsprotocol import types

from proofhook.editor.document import Document
from proofhook.editor.places import difference
from proofhook.proofing.finding import Finding, Grade
from proofhook.proofing.mending import mend_surely
from proofhook.text import Span

NAME = "proofhook"
TRANSLATE = "proofhook.translate"
SIDES = {"us": "US", "uk": "UK"}
SEVERITY = {
    Grade.ERROR: types.DiagnosticSeverity.Error,
    Grade.QUERY: types.DiagnosticSeverity.Warning,
    Grade.STYLE: types.DiagnosticSeverity.Information,
}
MEND_ALL = f"{types.CodeActionKind.SourceFixAll.value}.{NAME}"


def diagnostics(document: Document, related: bool = True) -> list[types.Diagnostic]:
    """What is to be marked in a document.

    The working of a finding stands beside it, at its row; where the editor shows no related
    information, it goes into the message.
    """
    top = document.places.range(document.source.line_span(1))
    error = types.DiagnosticSeverity.Error
    return [
        *(types.Diagnostic(top, each, severity=error, source=NAME) for each in document.troubles),
        *(diagnostic(document, finding, related) for finding in document.proof.findings),
    ]


def diagnostic(document: Document, finding: Finding, related: bool = True) -> types.Diagnostic:
    """One finding, marked at its place."""
    message, beside = finding.message, None
    if finding.working and related:
        tallied = document.row_at(finding.span.start)
        span = tallied.row.span if tallied else finding.span
        place = types.Location(document.uri, document.places.range(span))
        beside = [types.DiagnosticRelatedInformation(place, f"Worked: {finding.working}")]
    elif finding.working:
        message = f"{message}\nWorked: {finding.working}"
    return types.Diagnostic(
        document.places.range(finding.span),
        message,
        severity=SEVERITY[finding.grade],
        code=finding.rule,
        source=NAME,
        related_information=beside,
    )


def actions(
    document: Document, span: Span, only: Sequence[str] | None = None, related: bool = True
) -> list[types.CodeAction]:
    """What may be done at a stretch of the text: mends, and the other terms.

    ``only`` are the kinds that the editor asks for; to mend all that is sure is worked out
    only where it is asked for by its kind.
    """
    found: list[types.CodeAction] = []
    if _wanted(types.CodeActionKind.QuickFix.value, only):
        found += _mends(document, span, related)
    if only and _wanted(MEND_ALL, only):
        found += _all_mends(document)
    if _wanted(types.CodeActionKind.RefactorRewrite.value, only):
        found += _translations(document)
    return found


def _wanted(kind: str, only: Sequence[str] | None) -> bool:
    return not only or any(kind == each or kind.startswith(f"{each}.") for each in only)


def _mends(document: Document, span: Span, related: bool) -> Iterator[types.CodeAction]:
    for finding in document.proof.findings:
        if finding.span.end < span.start or span.end < finding.span.start:
            continue
        for mend in finding.mends:
            if mend.edits:
                yield types.CodeAction(
                    mend.title,
                    types.CodeActionKind.QuickFix,
                    diagnostics=[diagnostic(document, finding, related)],
                    is_preferred=mend.sure or None,
                    edit=types.WorkspaceEdit({document.uri: document.places.edits(mend.edits)}),
                )


def _all_mends(document: Document) -> Iterator[types.CodeAction]:
    after = mend_surely(document.proof, document.rules)
    edits = difference(document.source.text, after.pattern.source.text)
    if edits:
        yield types.CodeAction(
            "Make all mends that are sure",
            MEND_ALL,
            edit=types.WorkspaceEdit({document.uri: document.places.edits(edits)}),
        )


def _translations(document: Document) -> Iterator[types.CodeAction]:
    """The other terms, where the pattern has rows and its own terms are known."""
    for side, name in SIDES.items():
        if document.tally.rows and document.pattern.terms not in ("", side):
            title = f"Put the pattern into {name} terms"
            command = types.Command(title, TRANSLATE, arguments=[document.uri, side])
            yield types.CodeAction(title, types.CodeActionKind.RefactorRewrite, command=command)
