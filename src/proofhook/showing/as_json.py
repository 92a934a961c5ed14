"""JSON for programs: the tally and the proof of each file, in the form of the schemas.

The schemas lie beside this module in ``schemas/``.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator, Sequence
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from proofhook.counting.result import RowTally, Tally
    from proofhook.errata.records import Errata, Reading
    from proofhook.proofing.finding import Finding
    from proofhook.proofing.proof import Proof
    from proofhook.showing.forms import Run
    from proofhook.showing.ink import Paper
    from proofhook.showing.sums import Shown
    from proofhook.text import Source

VERSION = 1

#: What stands before the first file and after the last, so that files can be written one by one.
HEAD = f'{{"version": {VERSION}, "files": ['
TAIL = "]}"


def proof_text(proof: Proof, _: Paper) -> str:
    """One file in the text of a run."""
    return dumped(proof_value(proof))


def tally_text(tally: Tally, _: Paper) -> str:
    """One file in the text of a run."""
    return dumped(tally_value(tally))


def write_proofs(run: Run[Shown]) -> Iterator[str]:
    """The text of a run, in the form of ``proof.schema.json``."""
    return in_files(shown.text for shown in run)


def write_tallies(run: Run[Shown]) -> Iterator[str]:
    """The text of a run, in the form of ``tally.schema.json``."""
    return in_files(shown.text for shown in run)


def dumped(value: dict[str, Any]) -> str:
    """A value as JSON on one line, in ASCII, whatever the terminal takes."""
    return json.dumps(value)


def tally_value(tally: Tally) -> dict[str, Any]:
    """What the JSON says about one tallied file."""
    source = tally.pattern.source
    return {
        "path": source.path,
        "sizes": list(tally.pattern.sizes),
        "rows": [_row(source, tallied) for tallied in tally.rows],
    }


def _row(source: Source, tallied: RowTally) -> dict[str, Any]:
    span = tallied.row.span
    return {
        "piece": tallied.piece.name,
        "label": tallied.row.name,
        "line": source.line_of(span.start),
        "end_line": source.line_of(max(span.start, span.end - 1)),
        "stated": _listed(tallied.stated),
        "worked": _listed(tallied.worked),
        "verdict": tallied.verdict.value,
        "units": [
            {"unit": unit.unit, "stated": _listed(unit.stated), "worked": _listed(unit.worked)}
            for unit in tallied.units
        ],
        "working": tallied.working or tallied.reason,
        "unread": [source.quote(words) for words in tallied.unread],
    }


def _listed(figures: Sequence[int] | None) -> list[int] | None:
    return None if figures is None else list(figures)


def proof_value(proof: Proof) -> dict[str, Any]:
    """What the JSON says about one proofed file, with what the editor lets stand in it."""
    from proofhook.proofing.stet import reason_of

    stets = proof.house.stets
    source = proof.pattern.source
    return {
        "path": source.path,
        "findings": [_finding(source, finding) for finding in proof.findings],
        "let_stand": [
            {**_finding(source, finding), "because": reason_of(finding, proof.tally, stets)}
            for finding in proof.let_stand
        ],
    }


def _finding(source: Source, finding: Finding) -> dict[str, Any]:
    line, column = source.position(finding.span.start)
    end_line, end_column = source.position(finding.span.end)
    return {
        "rule": finding.rule,
        "grade": finding.grade.word,
        "line": line,
        "column": column,
        "end_line": end_line,
        "end_column": end_column,
        "piece": finding.piece,
        "row": finding.row,
        "message": finding.message,
        "working": finding.working,
        "mends": [
            {
                "title": mend.title,
                "sure": mend.sure,
                "edits": [
                    {"start": edit.start, "end": edit.end, "text": edit.text} for edit in mend.edits
                ],
            }
            for mend in finding.mends
        ],
    }


def in_files(texts: Iterable[str]) -> Iterator[str]:
    """The pieces of the whole JSON text, one a file, as the files come."""
    yield HEAD
    for number, text in enumerate(texts):
        yield ("," if number else "") + "\n" + text
    yield "\n" + TAIL + "\n"


def errata_value(errata: Errata, paths: tuple[str, str], wording: bool) -> dict[str, Any]:
    """What the JSON says about the errata between two files, old and new."""
    entries = errata.entries if wording else errata.changes
    return {
        "version": VERSION,
        "old": paths[0],
        "new": paths[1],
        "terms": errata.terms or None,
        "reserve": errata.reserve,
        "entries": [
            {
                "kind": entry.kind.value,
                "wording": entry.wording,
                "old": _reading(entry.old),
                "new": _reading(entry.new),
            }
            for entry in entries
        ],
        "renumbered": [
            {"piece": rows.piece, "old": list(rows.old), "new": list(rows.new)}
            for rows in errata.renumbered
        ],
        "worded": len(errata.worded),
    }


def _reading(reading: Reading | None) -> dict[str, Any] | None:
    if reading is None:
        return None
    return {
        "piece": reading.piece,
        "row": reading.row,
        "line": reading.line,
        "words": reading.words,
        "stated": _listed(reading.stated),
        "worked": _listed(reading.worked),
    }
