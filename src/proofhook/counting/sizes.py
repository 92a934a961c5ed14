"""The results of all sizes put together, row by row: one verdict, one list of problems."""

from __future__ import annotations

from collections.abc import Iterator

from proofhook.counting.attempt import totals_of
from proofhook.counting.kept import PieceKept
from proofhook.counting.result import Problem, RowTally, UnitCount, Verdict
from proofhook.counting.rows import PieceRun, RowResult
from proofhook.counting.totals import stitches
from proofhook.counting.trace import working_of
from proofhook.pattern import Group, Piece, Repeat, Row, Step, Unread, at_size
from proofhook.records import replace
from proofhook.text import Span


def merged_rows(
    piece: Piece, runs: list[PieceRun], kept: PieceKept | None = None
) -> list[RowTally]:
    """One tally row for each row, from the results of all sizes."""
    merged: list[RowTally] = []
    for index, row in enumerate(piece.rows):
        results = [run.results[index] for run in runs]
        if row.label is None and not totals_of(row) and not _counts_as_row(results):
            continue
        if kept is None or not all(result.number for result in results):
            merged.append(_merged_row(piece, row, results, runs, index))
            continue
        told = tuple((result.number, result.verdict, result.unsaid) for result in results)
        key = (kept.row_number(row), told)
        known = kept.tallied(key)
        if known is None:
            known = _merged_row(piece, row, results, runs, index)
            kept.keep_tallied(key, known)
        merged.append(_moved(known, piece, row))
    return merged


def moved_rows(known: tuple[RowTally, ...], piece: Piece) -> Iterator[RowTally]:
    """The verdicts on the rows of a piece that says the same, at the places of these rows."""
    at = 0
    for tallied in known:
        while tallied.piece.rows[at] is not tallied.row:
            at += 1
        yield _moved(tallied, piece, piece.rows[at])


def _moved(known: RowTally, piece: Piece, row: Row) -> RowTally:
    """The verdict on a row that says the same, at the place where it stands now."""
    by = row.body.start - known.row.body.start
    units, unread, problems = known.units, known.unread, known.problems
    if by and units:
        units = tuple(
            UnitCount(u.unit, u.stated, u.worked, u.span and u.span.moved(by)) for u in units
        )
    if by and unread:
        unread = tuple(span.moved(by) for span in unread)
    if by and problems:
        problems = tuple(replace(each, span=each.span.moved(by)) for each in problems)
    return replace(known, piece=piece, row=row, units=units, unread=unread, problems=problems)


def _counts_as_row(results: list[RowResult]) -> bool:
    """An unlabelled line is a row of its own only where it works stitches."""
    worked = results[0].attempt.worked
    return worked is not None and not worked.begins and stitches(worked.runs) > 1


def _merged_row(
    piece: Piece,
    row: Row,
    results: list[RowResult],
    runs: list[PieceRun],
    index: int,
) -> RowTally:
    active = [r for r in results if r.active] or results
    verdict = _joint_verdict([r.verdict for r in active])
    units = _units(row, results)
    unread = (
        tuple(span.moved(row.body.start) for span in _unread_spans(row, active))
        if verdict is Verdict.UNREAD
        else ()
    )
    reason = next((r.reason for r in active if r.reason), "") if verdict is Verdict.UNREAD else ""
    before = [_count_before(run, index) for run in runs]
    counts = [r.attempt.count for r in results]
    stated = units[0].stated if units and units[0].stated is not None else None
    worked = units[0].worked if units else None
    if not totals_of(row):
        worked = (
            tuple(c for c in counts if c is not None)
            if all(c is not None for c in counts)
            else None
        )
        if worked is not None:
            units = (UnitCount("sts", None, worked),)
    if verdict is Verdict.UNREAD:
        worked = None
        units = tuple(replace(unit, worked=None) for unit in units)
    shown = next((r for r in active if r.verdict is Verdict.DIFFERS), active[0])
    return RowTally(
        piece,
        row,
        stated,
        worked,
        verdict,
        units,
        working_of(shown.attempt.worked, shown.attempt.count),
        unread,
        reason,
        _problems(row, results, units, verdict),
        tuple(b for b in before if b is not None) if all(b is not None for b in before) else None,
        _changes(before, counts),
        () if verdict is Verdict.UNREAD else tuple(map(_widths, results)),
        any(r.attempt.fabric is not None and r.attempt.fabric.in_round for r in active),
    )


def _widths(result: RowResult) -> tuple[int, ...]:
    worked = result.active and result.attempt.worked is not None
    return tuple(result.attempt.widths) if worked else ()


def _joint_verdict(verdicts: list[Verdict]) -> Verdict:
    for verdict in (Verdict.DIFFERS, Verdict.UNREAD, Verdict.AGREES):
        if verdict in verdicts:
            return verdict
    return Verdict.UNSTATED


def _count_before(run: PieceRun, index: int) -> int | None:
    result = run.results[index]
    worked = result.attempt.worked
    if worked is not None and worked.below is not None:
        return worked.below
    return None


def _changes(before: list[int | None], after: list[int | None]) -> bool:
    return any(
        b is not None and a is not None and a != b for b, a in zip(before, after, strict=True)
    )


def _units(row: Row, results: list[RowResult]) -> tuple[UnitCount, ...]:
    totals = totals_of(row)
    if not totals:
        return ()
    whole = next((r.attempt.units for r in results if r.attempt.units), None)
    if whole is None:
        return tuple(
            UnitCount(
                unit.words or "sts",
                _per_size(unit.count, len(results)),
                None,
                unit.span.moved(row.body.start),
            )
            for unit in totals[-1].units
        )
    out: list[UnitCount] = []
    for position, first in enumerate(whole):
        worked: list[int | None] = []
        for result in results:
            units = result.attempt.units
            if position < len(units):
                worked.append(units[position].worked)
            else:
                worked.append(result.attempt.count if not result.active else None)
        figures = tuple(w for w in worked if w is not None)
        out.append(
            UnitCount(
                first.unit.words or "sts",
                _per_size(first.unit.count, len(results)),
                figures if len(figures) == len(results) else None,
                first.unit.span.moved(row.body.start),
            )
        )
    return tuple(out)


def _per_size(count: tuple[int, ...], sizes: int) -> tuple[int, ...]:
    return tuple(at_size(count, size) for size in range(sizes))


def _unread_spans(row: Row, results: list[RowResult]) -> list[Span]:
    spans = [step.span for step in _all_unread(row.steps)]
    if spans:
        return spans
    blamed = {r.attempt.blame for r in results if r.attempt.blame is not None}
    length = row.body.end - row.body.start
    return sorted(span for span in blamed if span.end <= length)


def _all_unread(steps: tuple[Step, ...]) -> list[Unread]:
    out: list[Unread] = []
    for step in steps:
        if isinstance(step, Unread):
            out.append(step)
        elif isinstance(step, (Group, Repeat)):
            out += _all_unread(step.steps)
    return out


def _problems(
    row: Row, results: list[RowResult], units: tuple[UnitCount, ...], verdict: Verdict
) -> tuple[Problem, ...]:
    problems: list[Problem] = []
    if verdict is Verdict.DIFFERS:
        for position, unit in enumerate(units):
            wrong = tuple(
                size
                for size, result in enumerate(results)
                if result.active
                and result.verdict is Verdict.DIFFERS
                and position < len(result.attempt.units)
                and result.attempt.units[position].agrees is False
            )
            if wrong and unit.stated is not None and unit.span is not None:
                made = [results[size].attempt.units[position].worked for size in wrong]
                said = [unit.stated[size] for size in wrong]
                words = unit.unit if unit.unit != "st" else "sts"
                problems.append(
                    Problem(
                        "total",
                        unit.span,
                        f"the row makes {_list(made)} {words}, but the total says {_list(said)}",
                        wrong,
                    )
                )
    fits: dict[tuple[str, Span, str], list[int]] = {}
    for size, result in enumerate(results):
        for problem in result.problems:
            fits.setdefault(problem, []).append(size)
    for (kind, span, message), sizes in fits.items():
        problems.append(Problem(kind, span.moved(row.body.start), message, tuple(sizes)))
    return tuple(problems)


def _list(figures: list[int | None] | list[int]) -> str:
    distinct = list(dict.fromkeys(figures))
    if len(distinct) == 1:
        return str(distinct[0])
    return f"{figures[0]} ({', '.join(str(f) for f in figures[1:])})"
