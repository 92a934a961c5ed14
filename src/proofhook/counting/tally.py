"""The tally: every row of every piece worked in every size, with a verdict on each.

The rows are worked in order, once for each assumption about the customs that the pattern
leaves unsaid; the assumption that makes most stated totals true is kept.  After a row
that differs or is unread, the next is worked from whichever of the stated and the worked
count lets it come out, so that one slip gives one finding.
"""

from __future__ import annotations

from proofhook.counting.customs import Case, Customs, Sayings, candidates, said_in_rows
from proofhook.counting.effort import NOT_ALL_TRIED, Effort
from proofhook.counting.fabric import Fabric
from proofhook.counting.result import CustomUsed, RowTally, Tally, Verdict
from proofhook.counting.rows import Memory, PieceRun, RowWorker, hold_back
from proofhook.counting.sizes import merged_rows
from proofhook.pattern import Pattern, Piece

#: So many rows of a piece are worked at the most to find out its customs.
MAX_ROWS_TRIED = 3_000


def tally(pattern: Pattern) -> Tally:
    """Work all rows of a pattern in all sizes.

    Never fails: what cannot be worked out has the verdict unread and a reason.
    """
    rows: list[RowTally] = []
    customs: list[CustomUsed] = []
    sizes = len(pattern.sizes)
    carried: list[tuple[list[tuple[Fabric, bool]], Memory]] = [([], Memory()) for _ in range(sizes)]
    finished: dict[str, list[PieceRun]] = {}
    usual = Customs()
    everywhere = said_in_rows(pattern.pieces)
    effort = Effort(len(pattern.source.text), sizes * len(pattern.rows))
    for piece in pattern.pieces:
        sayings = Sayings(pattern, piece, everywhere)
        chosen, runs = _best(pattern, piece, sayings, carried, usual, finished, effort)
        usual = chosen if chosen.flipped else usual
        for run in runs:
            hold_back(run.results)
        carried = [(run.bases, run.memory) for run in runs]
        finished[piece.name.lower()] = runs
        rows += merged_rows(piece, runs, pattern)
        customs += _customs_used(piece, runs, sayings, chosen)
    return Tally(pattern, tuple(rows), tuple(customs))


def _best(
    pattern: Pattern,
    piece: Piece,
    sayings: Sayings,
    carried: list[tuple[list[tuple[Fabric, bool]], Memory]],
    usual: Customs,
    finished: dict[str, list[PieceRun]],
    effort: Effort,
) -> tuple[Customs, list[PieceRun]]:
    """The assumption under which most totals of the piece come out, and its runs.

    Where there is no work left to try them all, rows that differ are left unread.
    """

    def under(customs: Customs, first: bool = False) -> list[PieceRun]:
        runs: list[PieceRun] = []
        for size in range(len(pattern.sizes)):
            bases, before = carried[size]
            memory = Memory(row_count=before.row_count, foundation=before.foundation)
            run = PieceRun([], {}, set(), 0, 0, list(bases), memory)
            worker = RowWorker(
                pattern, piece, sayings, customs, size, run, before, finished, effort, first
            )
            for index, row in enumerate(piece.rows):
                worker.row(row, index == 0)
            runs.append(run)
        return runs

    runs = under(usual, first=True)
    best, best_runs = usual, runs
    if all(run.agreeing == run.stated for run in runs):
        return best, best_runs
    cases = {case for run in runs for case in run.cases}
    wanted = {name for run in runs for name in run.wanted}
    score = sum(run.agreeing for run in runs)
    for number, customs in enumerate(candidates(cases, wanted), 1):
        if customs == usual:
            continue
        if number * len(piece.rows) > MAX_ROWS_TRIED:
            break
        if not effort.left(usual=False):
            for result in (result for run in best_runs for result in run.results):
                if result.verdict is Verdict.DIFFERS:
                    result.leave_unread(NOT_ALL_TRIED)
            break
        other = under(customs)
        other_score = sum(run.agreeing for run in other)
        if other_score > score:
            best, best_runs, score = customs, other, other_score
    return best, best_runs


def _customs_used(
    piece: Piece, runs: list[PieceRun], sayings: Sayings, customs: Customs
) -> list[CustomUsed]:
    """The silent cases of the piece, as they were taken."""
    used: list[CustomUsed] = []
    seen: set[Case] = set()
    for run in runs:
        for case in run.cases:
            if case in seen or case[0] < 2 or not case[1]:
                continue
            seen.add(case)
            rule = sayings.rule(case[0], case[1], customs)
            decided = run.agreeing > 0
            used.append(
                CustomUsed(piece, case[0], case[1], rule.counts, False, decided, piece.span, True)
            )
    return used
