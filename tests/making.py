"""Patterns and tallies made by hand, to test rules and displays without the counter."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from proofhook.counting.result import CustomUsed, RowTally, Tally, UnitCount, Verdict
from proofhook.pattern import Chain, Label, Pattern, Piece, Row, Total, Unit
from proofhook.proofing.finding import Finding, Grade
from proofhook.proofing.house import House, RuleSetting
from proofhook.proofing.plugins import load_rules
from proofhook.proofing.proof import Proof, proof
from proofhook.records import replace
from proofhook.showing.forms import Form
from proofhook.showing.ink import Paper
from proofhook.text import Source, Span


@dataclass
class Came:
    """What a run came to."""

    told: list[str]
    not_done: int = 0
    passed_over: int = 0
    least: Grade | None = None


def written(
    what: str,
    made: Iterable[Any],
    paper: Paper = Paper(),  # noqa: B008 - nothing can change it
    *,
    form: str = "page",
    told: Sequence[str] = (),
) -> Iterator[str]:
    """The text of a run over proofs or tallies, part by part, as a form writes it."""
    ours = Form(what, form).on(paper)
    shown = map(ours.of_proof if what == "proof" else ours.of_tally, made)
    return ours.write(shown, Came([*told]), paper)


ROW = re.compile(
    r"^(?P<label>(?P<kind>Rnds?|Rows?|Next row|Border)"
    r"(?: (?P<first>\d+)(?:-(?P<last>\d+))?)?)(?:: )(?P<body>.*(?:\n  .*)*)$"
)
TOTAL = re.compile(r"\((\d+(?: \([\d, ]+\))?)(?: (sts|sc|dc))?\)\.?\Z")
HEADING = re.compile(r"^[A-Z][A-Z ]+$")


def made(text: str, sizes: tuple[str, ...] = (), path: str = "radish.txt") -> Tally:
    """The tally of a plain pattern: capitals are headings, every row agrees with its total.

    Totals are read only as ``(12)`` or ``(12 sts)`` at the end of a row.
    """
    source, pieces = Source(path, text), []
    rows: list[Row] = []
    name, start = "", 0
    for part in re.finditer(r"[^\n]+(?:\n  [^\n]+)*", text):
        if HEADING.match(part[0]):
            if rows:
                pieces.append(Piece(name, Span(start, part.start()), None, tuple(rows)))
            rows, name, start = [], part[0].title(), part.start()
        elif row := _row(part[0], part.start()):
            rows.append(row)
    pieces.append(Piece(name, Span(start, len(text)), None, tuple(rows)))
    pattern = Pattern(source, "Radish", "us", None, sizes, (), tuple(pieces), ())
    tallied = [_tallied(piece, row) for piece in pieces for row in piece.rows]
    return Tally(pattern, tuple(tallied))


def _row(text: str, at: int) -> Row | None:
    found = ROW.match(text)
    if not found:
        return None
    kind = "round" if found["kind"].startswith("Rnd") else "row"
    label = Label(
        Span(at, at + found.end("label")),
        found["label"],
        "free" if found["kind"] == "Border" else kind,
        _number(found["first"]),
        _number(found["last"]),
    )
    body = Span(at + found.start("body"), at + found.end("body"))
    total = TOTAL.search(found["body"])
    chain = re.match(r"Ch (\d+)", found["body"])
    steps: list[Chain | Total] = []
    if chain:
        steps.append(Chain(Span(*chain.span()), (int(chain[1]),)))
    if total:
        span = Span(total.start(), total.end() - found["body"].endswith("."))
        words = total[2] or ""
        unit = Unit(
            _figures(total[1]), words if words != "sts" else "st", None, Span(*total.span(1))
        )
        steps.append(Total(span, (replace(unit, words=words),)))
    return Row(Span(at, at + len(text)), body, label, tuple(steps))


def _number(text: str | None) -> tuple[int, ...] | None:
    return (int(text),) if text else None


def _figures(text: str) -> tuple[int, ...]:
    return tuple(map(int, re.findall(r"\d+", text)))


def _tallied(piece: Piece, row: Row) -> RowTally:
    total = row.steps[-1] if row.steps else None
    if not isinstance(total, Total):
        return RowTally(piece, row, None, (6,), Verdict.UNSTATED, (), "")
    unit = total.units[0]
    count = UnitCount(unit.words or "sts", unit.count, unit.count, unit.span.moved(row.body.start))
    return RowTally(piece, row, unit.count, unit.count, Verdict.AGREES, (count,), "")


def with_row(tally: Tally, label: str, change: Callable[[RowTally], RowTally]) -> Tally:
    """The tally with one row changed."""
    assert label in {row.row.name for row in tally.rows}
    rows = tuple(change(row) if row.row.name == label else row for row in tally.rows)
    return replace(tally, rows=rows)


def with_customs(tally: Tally, *customs: CustomUsed) -> Tally:
    return replace(tally, customs=customs)


def proofed(tally: Tally, *names: str, options: Mapping[str, object] | None = None) -> Proof:
    """What the built-in rules of these names (all, without one) find in a tally."""
    rules = [rule for rule in load_rules() if not names or rule.name in names]
    settings = {name: RuleSetting(options=dict(options or {})) for name in names}  # type: ignore[arg-type]
    return proof(tally.pattern, tally, House(rules=settings), rules)


def found(tally: Tally, name: str, **options: object) -> list[Finding]:
    """What one built-in rule finds; fails where the rule fails."""
    done = proofed(tally, name, options={k.replace("_", "-"): v for k, v in options.items()})
    assert done.failures == ()
    return list(done.findings)


def quoted(tally: Tally, finding: Finding) -> str:
    return tally.pattern.source.quote(finding.span)
