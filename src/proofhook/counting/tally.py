"""The tally: every row of every piece worked in every size, with a verdict on each.

The rows are worked in order, once for each assumption about the customs that the pattern
leaves unsaid; the assumption that makes most stated totals true is kept.  After a row
that differs or is unread, the next is worked from whichever of the stated and the worked
count lets it come out, so that one slip gives one finding.
"""

from __future__ import annotations

from collections.abc import Hashable
from itertools import count
from typing import NamedTuple

from proofhook.counting.customs import Case, Customs, Sayings, candidates, said_in_rows, tile_chain
from proofhook.counting.effort import NOT_ALL_TRIED, Effort, Spent
from proofhook.counting.fabric import Fabric
from proofhook.counting.kept import Kept, Part, PieceKept
from proofhook.counting.result import CustomUsed, RowTally, Tally, Verdict
from proofhook.counting.rows import Memory, PieceRun, RowWorker, hold_back
from proofhook.counting.sizes import merged_rows, moved_rows
from proofhook.pattern import Pattern, Piece

#: So many rows of a piece are worked at the most to find out its customs.
MAX_ROWS_TRIED = 3_000


def tally(pattern: Pattern, kept: Kept | None = None) -> Tally:
    """Work all rows of a pattern in all sizes.

    Never fails: what cannot be worked out has the verdict unread and a reason.  ``kept`` is
    what was worked of an earlier state of the text; it takes up what is worked of this one.
    """
    rows: list[RowTally] = []
    customs: list[CustomUsed] = []
    sizes = len(pattern.sizes)
    carried: list[tuple[list[tuple[Fabric, bool]], Memory]] = [([], Memory()) for _ in range(sizes)]
    finished: dict[str, list[PieceRun]] = {}
    usual = Customs()
    everywhere = said_in_rows(pattern.pieces)
    tiles = tuple(filter(None, map(tile_chain, pattern.pieces)))
    effort = Effort(len(pattern.source.text), sizes * len(pattern.rows))
    behind = 0
    if kept:
        kept.begin()
    names: dict[tuple[str, int], None] = {}
    for piece in pattern.pieces:
        sayings = Sayings(pattern, piece, everywhere, tiles)
        before = _Before(carried, usual, finished, behind)
        if kept:
            name = next((piece.name, n) for n in count() if (piece.name, n) not in names)
            names[name] = None
            part, behind = _part_again(pattern, piece, sayings, before, effort, (kept, name))
        else:
            part = _part(pattern, piece, sayings, before, effort)
        usual = part.customs if part.customs.flipped else usual
        carried = [(run.bases, run.memory) for run in part.runs]
        finished[piece.name.lower()] = part.runs
        rows += part.rows
        customs += _customs_used(piece, part.runs, sayings, part.customs)
    if kept:
        kept.end(names)
    return Tally(pattern, tuple(rows), tuple(customs))


class _Before(NamedTuple):
    """What holds when a piece begins: what the one before left, and all that are finished.

    ``behind`` is the number of all that came before, 0 where nothing is kept.
    """

    carried: list[tuple[list[tuple[Fabric, bool]], Memory]]
    usual: Customs
    finished: dict[str, list[PieceRun]]
    behind: int = 0


def _part(
    pattern: Pattern,
    piece: Piece,
    sayings: Sayings,
    before: _Before,
    effort: Effort,
    kept: PieceKept | None = None,
) -> Part:
    """What comes of a piece."""
    begun = effort.left_now()
    chosen, runs, looks_back = _best(pattern, piece, sayings, before, effort, kept)
    for run in runs:
        hold_back(run.results)
    behind = before.behind if looks_back else 0
    rows = tuple(merged_rows(piece, runs, kept))
    return Part(chosen, runs, rows, effort.since(begun), behind)


def _part_again(
    pattern: Pattern,
    piece: Piece,
    sayings: Sayings,
    before: _Before,
    effort: Effort,
    known_by: tuple[Kept, Hashable],
) -> tuple[Part, int]:
    """The same from what was kept, where nothing is new; and the number of all so far.

    ``known_by`` is what is kept of the text, and the name of the piece in it.
    """
    kept, name = known_by
    left = tuple(
        (
            tuple((fabric.key(), sure) for fabric, sure in bases),
            memory.row_count,
            memory.foundation and memory.foundation.key(),
        )
        for bases, memory in before.carried
    )
    says = tuple(map(kept.row_number, piece.rows))
    key = kept.number((pattern.terms, sayings.said, before.usual, left, says))
    behind = kept.number((before.behind, piece.name.lower(), key))
    known = kept.part(key)
    if known and known.behind in (0, before.behind) and effort.affords(known.spent):
        effort.take(known.spent)
        rows = tuple(moved_rows(known.rows, piece))
        return known._replace(rows=rows), behind
    of_piece = kept.piece(name)
    of_piece.begin()
    part = _part(pattern, piece, sayings, before, effort, of_piece)
    if effort.affords(Spent(0, 0)):
        kept.keep_part(key, part)
    return part, behind


def _best(
    pattern: Pattern,
    piece: Piece,
    sayings: Sayings,
    before: _Before,
    effort: Effort,
    kept: PieceKept | None,
) -> tuple[Customs, list[PieceRun], bool]:
    """The assumption under which most totals of the piece come out, and its runs.

    The last says whether any run went by earlier rows, which may be those of other pieces.
    Where there is no work left to try them all, rows that differ are left unread.
    """
    usual, finished = before.usual, before.finished
    looks_back = False

    def under(customs: Customs, first: bool = False) -> list[PieceRun]:
        nonlocal looks_back
        runs: list[PieceRun] = []
        for size in range(len(pattern.sizes)):
            bases, left = before.carried[size]
            memory = Memory(row_count=left.row_count, foundation=left.foundation)
            run = PieceRun([], {}, set(), 0, 0, list(bases), memory)
            worker = RowWorker(
                pattern, piece, sayings, customs, size, run, left, finished, effort, first, kept
            )
            for index, row in enumerate(piece.rows):
                worker.row(row, index == 0)
            looks_back |= run.looks_back
            runs.append(run)
        return runs

    runs = under(usual, first=True)
    best, best_runs = usual, runs
    if all(run.agreeing == run.stated for run in runs):
        return best, best_runs, looks_back
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
    return best, best_runs, looks_back


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
