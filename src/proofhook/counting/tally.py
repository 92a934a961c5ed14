"""The tally: every row of every piece worked in every size, with a verdict on each.

The rows are worked in order, once for each assumption about the customs that the pattern
leaves unsaid; the assumption that makes most stated totals true is kept.  After a row
that differs or is unread, the next is worked from whichever of the stated and the worked
count lets it come out, so that one slip gives one finding.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from itertools import combinations
from typing import NamedTuple

from proofhook.counting.customs import Case, Customs, Sayings, candidates, said_in_rows, usual_rule
from proofhook.counting.fabric import PICOT, SLIP, SPACE, Fabric, Run, of_stitches, ring
from proofhook.counting.references import Program, program_of
from proofhook.counting.result import CustomUsed, Problem, RowTally, Tally, UnitCount, Verdict
from proofhook.counting.totals import figure, stitches
from proofhook.counting.trace import working_of
from proofhook.counting.work import ChainRule, NotWorked, Setting, Worked, _into_loop, work_row
from proofhook.pattern import (
    Group,
    Loops,
    Pattern,
    Piece,
    Repeat,
    Row,
    Step,
    Total,
    Unit,
    Unread,
    Until,
    at_size,
)
from proofhook.text import Span

#: Readings tried for one row: the usual one, then one or two wordings read otherwise.
MAX_READINGS = 30
#: Rows that a reference or a range may stand for; more is no piece that a person works.
MAX_ROWS = 1_000


class UnitResult(NamedTuple):
    """One unit of a total in one size."""

    unit: Unit
    stated: int
    worked: int | None
    agrees: bool | None
    customs: tuple[str, ...]


@dataclass(slots=True)
class Attempt:
    """A row worked in one size from one fabric with one reading."""

    worked: Worked | None = None
    fabric: Fabric | None = None
    units: list[UnitResult] = field(default_factory=list)
    reason: str = ""
    blame: Span | None = None
    base_known: bool = True
    base_sure: bool = True
    reading: dict[str, int] = field(default_factory=dict)
    asked: dict[str, int] = field(default_factory=dict)
    count: int | None = None

    @property
    def states(self) -> bool:
        """Whether a total is stated."""
        return bool(self.units)

    @property
    def matches(self) -> bool:
        """Whether every unit that can be counted is right, the first among them."""
        if not self.units or self.units[0].agrees is not True:
            return False
        return all(unit.agrees is not False for unit in self.units)

    @property
    def fits(self) -> bool:
        """Whether the row uses the places below, no more and no fewer."""
        worked = self.worked
        if worked is None:
            return False
        return not worked.short and worked.remainder is None and not (worked.exact and worked.left)

    @property
    def rank(self) -> tuple[int, int, int]:
        """How well it comes out; more is better."""
        if self.worked is None:
            return (-1, 0, 0)
        return (int(self.matches or not self.states), int(self.fits), -len(self.reading))


@dataclass(slots=True)
class RowResult:
    """A row in one size: the attempt that was kept, and what holds for the next row."""

    row: Row
    attempt: Attempt
    verdict: Verdict
    problems: list[tuple[str, Span, str]] = field(default_factory=list)
    active: bool = True


@dataclass(slots=True)
class Memory:
    """What earlier rows of a piece leave behind for later ones."""

    fabrics: dict[int, Fabric] = field(default_factory=dict)
    rows: dict[int, Row] = field(default_factory=dict)
    row_count: int = 0
    order: list[Row] = field(default_factory=list)
    readings: dict[int, dict[str, int]] = field(default_factory=dict)
    foundation: Fabric | None = None


@dataclass(slots=True)
class PieceRun:
    """A piece worked under one assumption in one size."""

    results: list[RowResult]
    cases: dict[Case, ChainRule]
    wanted: set[str]
    agreeing: int
    stated: int
    bases: list[tuple[Fabric, bool]]
    memory: Memory


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
    for piece in pattern.pieces:
        sayings = Sayings(pattern, piece, everywhere)
        chosen, runs = _best(pattern, piece, sayings, carried, usual, finished)
        usual = chosen if chosen.flipped else usual
        carried = [(run.bases, run.memory) for run in runs]
        finished[piece.name.lower()] = runs
        rows += _merged_rows(piece, runs, pattern)
        customs += _customs_used(piece, runs, sayings, chosen)
    return Tally(pattern, tuple(rows), tuple(customs))


def _best(
    pattern: Pattern,
    piece: Piece,
    sayings: Sayings,
    carried: list[tuple[list[tuple[Fabric, bool]], Memory]],
    usual: Customs,
    finished: dict[str, list[PieceRun]],
) -> tuple[Customs, list[PieceRun]]:
    """The assumption under which most totals of the piece come out, and its runs."""

    def under(customs: Customs) -> list[PieceRun]:
        return [
            _run(pattern, piece, sayings, customs, size, *carried[size], finished)
            for size in range(len(pattern.sizes))
        ]

    runs = under(usual)
    best, best_runs = usual, runs
    if all(run.agreeing == run.stated for run in runs):
        return best, best_runs
    cases = {case for run in runs for case in run.cases}
    wanted = {name for run in runs for name in run.wanted}
    score = sum(run.agreeing for run in runs)
    for customs in candidates(cases, wanted):
        if customs == usual:
            continue
        other = under(customs)
        other_score = sum(run.agreeing for run in other)
        if other_score > score:
            best, best_runs, score = customs, other, other_score
    return best, best_runs


def _run(
    pattern: Pattern,
    piece: Piece,
    sayings: Sayings,
    customs: Customs,
    size: int,
    bases: list[tuple[Fabric, bool]],
    before: Memory,
    finished: dict[str, list[PieceRun]],
) -> PieceRun:
    """Work the rows of a piece one after another."""
    memory = Memory(row_count=before.row_count, foundation=before.foundation)
    run = PieceRun([], {}, set(), 0, 0, list(bases), memory)
    worker = _RowWorker(pattern, piece, sayings, customs, size, run, before, finished)
    for index, row in enumerate(piece.rows):
        worker.row(row, index == 0)
    return run


class _RowWorker:
    """Works the rows of one piece in one size under one assumption."""

    def __init__(
        self,
        pattern: Pattern,
        piece: Piece,
        sayings: Sayings,
        customs: Customs,
        size: int,
        run: PieceRun,
        before: Memory,
        finished: dict[str, list[PieceRun]],
    ) -> None:
        self.pattern = pattern
        self.piece = piece
        self.sayings = sayings
        self.customs = customs
        self.size = size
        self.run = run
        self.before = before
        self.finished = finished
        self.first = True

    # --- one row --------------------------------------------------------------------

    def row(self, row: Row, first: bool) -> None:
        """Work a row from the fabrics it may stand on, and keep the best outcome."""
        run = self.run
        if (row.sizes is not None and self.size not in row.sizes) or _dashed(row, self.size):
            self.not_for_this_size(row)
            return
        begins = _begins(row.steps, first)
        bases: list[tuple[Fabric | None, bool]] = list(run.bases)
        if row.detached or (first and _starts_over(row)):
            bases = [(fabric, False) for fabric, _ in bases]
        if begins or not bases:
            bases = [(None, not run.results), *(bases if begins and not first else [])]
        program = program_of(
            row, self.size, run.memory.rows, self.before.rows, self.finished_rows, run.memory.order
        )
        best: Attempt | None = None
        for fabric, sure in bases:
            attempt = self.attempt(row, program, fabric, sure)
            if best is None or attempt.rank > best.rank:
                best = attempt
            if (
                attempt.worked is not None
                and attempt.fits
                and (attempt.matches or not attempt.states)
            ):
                break
        assert best is not None
        self.keep(row, best, program)

    def finished_rows(self, name: str) -> dict[int, Row]:
        """The rows of an earlier piece, by its name."""
        for known, runs in self.finished.items():
            if name and (known.startswith(name) or name in known):
                return runs[self.size].memory.rows
        return {}

    def not_for_this_size(self, row: Row) -> None:
        """The row is for other sizes: the fabric stays as it was."""
        known = [r.attempt for r in self.run.results if r.attempt.count is not None]
        last = known[-1] if known else Attempt()
        if not known and self.run.bases:
            last = Attempt(fabric=self.run.bases[0][0], count=self.run.bases[0][0].stitches)
        attempt = Attempt(fabric=last.fabric, count=last.count)
        self.run.results.append(RowResult(row, attempt, Verdict.UNSTATED, active=False))

    def attempt(self, row: Row, program: Program, base: Fabric | None, sure: bool) -> Attempt:
        """Work a row in its usual reading, then in others while it does not come out."""
        usual = self.read_as(row, program, base, sure, {})
        if (usual.matches and usual.fits) or (not usual.states and usual.fits):
            return usual
        best = usual
        tried = 0
        known = self.run.memory.readings
        readings = _readings(usual.asked) if program.plain else list(known.values())
        for reading in readings:
            tried += 1
            if tried > MAX_READINGS:
                break
            other = self.read_as(row, program, base, sure, reading)
            if other.worked is None:
                continue
            comes_out = other.fits and (other.matches or not other.states)
            if comes_out and other.rank > best.rank:
                return other
            if best.worked is None or (other.fits and not best.fits and not best.matches):
                if not _only_a_guess(reading):
                    best = other
        return best

    def read_as(
        self, row: Row, program: Program, base: Fabric | None, sure: bool, reading: dict[str, int]
    ) -> Attempt:
        """Work all rows that the row stands for, one after another, in one reading."""
        attempt = Attempt(base_known=base is not None, base_sure=sure, reading=reading)
        fabric = base
        checkpoints: list[tuple[Total, tuple[Run, ...]]] = []
        worked: Worked | None = None
        passed = 0
        if program.reason:
            attempt.reason, attempt.blame = program.reason, program.blame
        seen: dict[object, int] = {}
        skip = 0
        for steps in program.passes(self.size):
            passed += 1
            if skip:
                skip -= 1
                continue
            if fabric is not None and program.times > 2 and program.until is None:
                state = ((passed - 1) % len(program.bodies), fabric.key())
                if state in seen:
                    cycle = passed - seen[state]
                    skip = (program.times - passed + 1) // cycle * cycle
                    seen.clear()
                    if skip:
                        skip -= 1
                        continue
                seen[state] = passed
            if program.reason or passed > MAX_ROWS:
                attempt.reason = program.reason or "it stands for too many rows"
                attempt.worked = None
                break
            try:
                worked = work_row(steps, fabric, self.setting(row, fabric), reading)
            except NotWorked as stop:
                attempt.reason, attempt.blame, attempt.worked = stop.reason, stop.span, None
                self.note_partial(row, attempt, steps)
                return attempt
            for key, options in worked.asked.items():
                attempt.asked[key] = max(options, attempt.asked.get(key, 0))
            self.run.cases.update(
                {case: rule for case, rule in worked.rules_used.items() if not rule.said}
            )
            checkpoints += worked.totals
            fabric = self.fabric_after(row, worked, fabric)
            attempt.worked, attempt.fabric = worked, fabric
            if program.until is not None and self.reached(program.until, fabric):
                break
        if worked is None or attempt.worked is None:
            return attempt
        attempt.count = _main_count(worked.runs)
        self.compare(row, program, attempt, checkpoints, passed)
        return attempt

    def note_partial(self, row: Row, attempt: Attempt, steps: tuple[Step, ...]) -> None:
        del row, steps
        attempt.fabric = None

    def reached(self, until: Until, fabric: Fabric | None) -> bool:
        return fabric is not None and fabric.stitches <= at_size(until.count, self.size)

    def setting(self, row: Row, fabric: Fabric | None) -> Setting:
        label = row.label
        round_word = label is not None and label.kind == "round"
        return Setting(
            self.size,
            self.pattern.terms,
            lambda chains, stitch: self.sayings.rule(chains, stitch, self.customs),
            self.run.memory.row_count,
            self.earlier,
            self.run.memory.foundation,
            round_word,
            not any(r.verdict is not Verdict.UNREAD for r in self.run.results)
            and not self.run.results,
        )

    def earlier(self, number: int) -> Fabric | None:
        return self.run.memory.fabrics.get(number) or self.before.fabrics.get(number)

    def fabric_after(self, row: Row, worked: Worked, below: Fabric | None) -> Fabric:
        """What the row leaves: its places, and whether the next row runs over them backwards."""
        if worked.ring:
            return ring(worked.ring_chain)
        label = row.label
        was_round = below is not None and below.in_round and not worked.turned
        from_ring = worked.begins and label is not None and not label.kind
        in_round = worked.joined or was_round or from_ring
        in_round = in_round or (label is not None and label.kind == "round")
        turned = worked.turned or (label is not None and label.kind == "row" and not in_round)
        kept = (PICOT,) if self.customs.slips else (SLIP, PICOT)
        runs = tuple(run for run in worked.runs if run.kind not in kept)
        if not runs and worked.runs:
            runs = tuple(run._replace(kind="st") for run in worked.runs)
        if worked.begins and not any(run.kind not in ("ch",) for run in runs):
            turned = False
        return Fabric(
            runs, turned, worked.chain_after, False, in_round and not worked.turned, worked.at_space
        )

    # --- the total ------------------------------------------------------------------

    def compare(
        self,
        row: Row,
        program: Program,
        attempt: Attempt,
        checkpoints: list[tuple[Total, tuple[Run, ...]]],
        passed: int,
    ) -> None:
        """Each unit of the stated totals against what was made where it stands."""
        assert attempt.worked is not None
        totals = [step for step in row.steps if isinstance(step, Total)]
        if not totals:
            return
        runs = attempt.worked.runs
        repeats = attempt.worked.repeats
        per_row = len(totals) > 1 and len(totals) == passed
        if per_row and len(checkpoints) >= passed:
            by_row = (
                [checkpoints[i * len(totals)][1] for i in range(passed)]
                if len(checkpoints) >= passed * len(totals)
                else [runs] * passed
            )
            pairs = list(zip(totals, by_row, strict=False))
            pairs = [*pairs[-1:], *pairs[:-1]]
        elif program.plain and checkpoints:
            last = {id(total): (total, made) for total, made in checkpoints}
            pairs = list(last.values())
            main, _ = pairs[-1]
            pairs = [(main, runs if _ends_with(row.steps, main) else pairs[-1][1]), *pairs[:-1]]
        else:
            pairs = [(totals[-1], runs)]
        for total, made in pairs:
            alone = len(total.units) == 1
            names = {run.of for run in made if run.of}
            groups = frozenset(unit.what for unit in total.units if unit.what in names)
            for unit in total.units:
                attempt.units.append(self.unit(unit, made, alone, repeats, groups))

    def unit(
        self,
        unit: Unit,
        runs: tuple[Run, ...],
        alone: bool,
        repeats: int,
        groups: frozenset[str],
    ) -> UnitResult:
        stated = at_size(unit.count, self.size)
        found = figure(unit, runs, self.customs, alone, repeats, groups)
        if found.worked == stated:
            return UnitResult(unit, stated, found.worked, True, ())
        customs = tuple(name for name, value in found.others.items() if value == stated)
        accepted = [name for name in customs if name not in ("slips", "chains", "spaces")]
        if accepted and (found.worked is None or _kindred(accepted)):
            return UnitResult(unit, stated, stated, True, customs)
        if found.worked is None:
            return UnitResult(unit, stated, None, None, customs)
        return UnitResult(unit, stated, found.worked, False, customs)

    # --- what is kept ---------------------------------------------------------------

    def keep(self, row: Row, attempt: Attempt, program: Program) -> None:
        """The verdict on the row, and the fabrics the next row may stand on."""
        run = self.run
        verdict, problems = self.judge(row, attempt)
        result = RowResult(row, attempt, verdict, problems)
        run.results.append(result)
        if attempt.states or _totals(row):
            run.stated += 1
            run.agreeing += verdict is Verdict.AGREES
        if verdict is not Verdict.AGREES:
            run.wanted |= {
                name
                for u in attempt.units
                for name in u.customs
                if name in ("slips", "chains", "spaces")
            }
        if attempt.reading and attempt.reading not in run.memory.readings.values():
            run.memory.readings[len(run.results)] = attempt.reading
        self.remember(row, attempt, program)
        run.bases = self.bases_after(row, attempt, verdict)

    def judge(self, row: Row, attempt: Attempt) -> tuple[Verdict, list[tuple[str, Span, str]]]:
        worked = attempt.worked
        if worked is None:
            return Verdict.UNREAD, []
        problems = _fit_problems(row, attempt)
        if not attempt.states:
            return Verdict.UNSTATED, problems
        if attempt.matches:
            return (
                (Verdict.DIFFERS, problems)
                if problems and attempt.base_sure
                else (Verdict.AGREES, [])
            )
        if attempt.units[0].agrees is None:
            attempt.reason = "what the total counts is not a stitch that is known here"
            attempt.blame = attempt.units[0].unit.span
            return Verdict.UNREAD, []
        doubt = self.doubt(attempt)
        if row.label is not None and row.label.open_end:
            doubt = doubt or "how many rows it stands for is not certain"
        if doubt:
            attempt.reason = doubt
            return Verdict.UNREAD, []
        return Verdict.DIFFERS, problems

    def doubt(self, attempt: Attempt) -> str:
        """Why a total that is not met is no certain slip; "" where it is one."""
        worked = attempt.worked
        assert worked is not None
        filled = any(trace.fills for trace in worked.trace) or not worked.exact
        if (
            attempt.base_known
            and not attempt.base_sure
            and (filled or worked.used)
            and not worked.begins
        ):
            return "the row below was not worked out, so this one cannot be"
        if not worked.plain and not worked.exact and worked.below is None:
            return "where the stitches go is not certain"
        return ""

    def remember(self, row: Row, attempt: Attempt, program: Program) -> None:
        memory = self.run.memory
        label = row.label
        if label is not None or attempt.worked is None or not attempt.worked.begins:
            memory.order += program.in_order(row)
        if (
            attempt.worked is not None
            and attempt.worked.begins
            and attempt.fabric is not None
            and attempt.fabric.is_chain
        ):
            memory.foundation = attempt.fabric
            memory.row_count = 0
        if label is None:
            return
        memory.row_count += program.rows_worked(self.size)
        if label.first is None:
            return
        first, last = at_size(label.first, self.size), at_size(label.last or label.first, self.size)
        for number in range(first, min(last, first + MAX_ROWS) + 1):
            memory.rows[number] = row if program.plain else program.row_of(number, first, row)
            if attempt.fabric is not None:
                memory.fabrics[number] = attempt.fabric

    def bases_after(
        self, row: Row, attempt: Attempt, verdict: Verdict
    ) -> list[tuple[Fabric, bool]]:
        """The fabrics that the next row may stand on, the likelier first."""
        stated = self.stated_fabric(row, attempt)
        if verdict is Verdict.UNREAD:
            kept: list[tuple[Fabric, bool]] = []
            if attempt.worked is not None and attempt.fabric is not None:
                kept.append((attempt.fabric, False))
            return [*kept, *([(stated, False)] if stated is not None else [])]
        assert attempt.fabric is not None
        if not attempt.fabric.runs:
            return [(stated, False)] if stated is not None else []
        bases = [
            (
                attempt.fabric,
                attempt.base_sure or not attempt.base_known or verdict is Verdict.AGREES,
            )
        ]
        if verdict is Verdict.DIFFERS and stated is not None:
            bases.append((stated, True))
        return bases

    def stated_fabric(self, row: Row, attempt: Attempt) -> Fabric | None:
        """A fabric with the stated counts, where the row itself does not give one."""
        totals = _totals(row)
        if not totals:
            return None
        runs: list[Run] = []
        for unit in totals[-1].units:
            count = at_size(unit.count, self.size)
            if unit.what == "sp":
                runs.append(Run(SPACE, count, unit.length or 0))
            elif unit.what in ("", "st"):
                runs.append(Run("st", count))
            else:
                runs.append(Run(unit.what, count))
        if any(run.kind == SPACE for run in runs) or any(run.count > 20_000 for run in runs):
            return None
        shape = attempt.fabric
        turned = shape.turned if shape is not None else False
        chain = shape.chain if shape is not None else 0
        labelled = bool(row.label and row.label.kind == "round")
        rounds = shape.in_round if shape is not None else labelled
        count = sum(run.count for run in runs)
        return Fabric(of_stitches(count).runs, turned, chain, False, rounds)


# --- helpers ------------------------------------------------------------------------


def _kindred(names: list[str]) -> bool:
    return any(name in ("all stitches", "by kind", "as spaces") for name in names)


def _only_a_guess(reading: dict[str, int]) -> bool:
    """Readings that only a matching total can justify."""
    return bool(set(reading) - {"implied", "typed", "times in all"})


def _readings(asked: dict[str, int]) -> list[dict[str, int]]:
    """Other readings of a row: one wording read otherwise, then two at once."""
    single = [
        (key, option) for key, options in sorted(asked.items()) for option in range(1, options)
    ]
    out = [{key: option} for key, option in single]
    out += [{a[0]: a[1], b[0]: b[1]} for a, b in combinations(single, 2) if a[0] != b[0]]
    return out


def _totals(row: Row) -> list[Total]:
    return [step for step in row.steps if isinstance(step, Total)]


def _ends_with(steps: tuple[Step, ...], total: Total) -> bool:
    """Whether nothing is worked after this total."""
    from proofhook.pattern import Chain, Skip, Work

    seen = False
    for step in steps:
        if step is total:
            seen = True
        elif seen and isinstance(step, Work | Repeat | Group | Skip):
            return False
        elif seen and isinstance(step, Chain):
            continue
    return True


def _main_count(runs: tuple[Run, ...]) -> int:
    made = stitches(runs)
    if made:
        return made
    return sum(run.count for run in runs)


def _starts_over(row: Row) -> bool:
    """Whether the first row of a piece has the number 1, or none: where it stands is a guess."""
    return row.label is None or row.label.first is None or row.label.first[0] <= 1


def _dashed(row: Row, size: int) -> bool:
    """Whether the total has a dash for this size: the row is not for it."""
    totals = _totals(row)
    if not totals:
        return False
    count = totals[-1].units[0].count
    return len(count) > 1 and at_size(count, size) == 0 and max(count) > 0


def _begins(steps: tuple[Step, ...], first: bool = False) -> bool:
    """Whether a row begins a piece of its own: a ring, or a chain to work into."""
    from proofhook.pattern import Chain, Join, Ring, Which, Work

    for step in steps:
        if isinstance(step, Ring):
            return True
        if isinstance(step, Chain) and max(step.count) >= (1 if first else 3):
            following = steps[steps.index(step) + 1 :]
            for after in following:
                if isinstance(after, Join) and (after.ring or max(step.count) >= 3):
                    return (
                        after.ring
                        or after.place is None
                        or after.place.which in (Which.FIRST, Which.TURNING_CHAIN)
                    )
                if isinstance(after, Work):
                    return after.place is not None and after.place.which is Which.HOOK
                if isinstance(after, Chain | Group | Repeat | Total):
                    break
            alone = not any(isinstance(s, Work | Group | Repeat) for s in following)
            return alone and (first or max(step.count) > 4)
        if isinstance(step, Work):
            if step.place is not None and step.place.which is Which.RING:
                return True
            if first and _into_loop(steps):
                return True
            if step.stitch.role == "foundation":
                return True
            return step.stitch.role == "slip" and _begins(steps[steps.index(step) + 1 :])
        if isinstance(step, Group) and step.place is not None and step.place.which is Which.RING:
            return True
        if isinstance(step, Repeat):
            return _begins(step.steps)
    return False


def _fit_problems(row: Row, attempt: Attempt) -> list[tuple[str, Span, str]]:
    """Where a row does not use exactly the stitches below, and that is certain."""
    worked = attempt.worked
    assert worked is not None
    if not worked.plain or not worked.exact or worked.below is None or not attempt.base_sure:
        return []
    if any(isinstance(step, Loops) and step.row is not None for step in row.steps):
        return []
    whole = Span(0, row.body.end - row.body.start)
    if worked.remainder is not None:
        left, uses, span = worked.remainder
        if uses:
            return [("repeat", span, f"{left} stitches do not divide by {uses}")]
        return [("repeat", span, f"the repeat does not come out even: {_sts(left)} left over")]
    if worked.short:
        return [
            ("short", whole, f"needs {_sts(worked.used)}, but the row below has {worked.below}")
        ]
    lace = any(run.kind == SPACE for run in worked.runs)
    if worked.left and not worked.turned and not lace and worked.used + worked.left <= worked.below:
        return [
            (
                "left",
                whole,
                f"uses {worked.used} of the {_sts(worked.below)} below and leaves {worked.left}",
            )
        ]
    return []


def _sts(count: int) -> str:
    return f"{count} st" if count == 1 else f"{count} sts"


# --- sizes put together -------------------------------------------------------------


def _merged_rows(piece: Piece, runs: list[PieceRun], pattern: Pattern) -> list[RowTally]:
    merged: list[RowTally] = []
    for index, row in enumerate(piece.rows):
        results = [run.results[index] for run in runs]
        if row.label is None and not _totals(row) and not _counts_as_row(results):
            continue
        merged.append(_merged_row(piece, row, results, runs, index, pattern))
    return merged


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
    pattern: Pattern,
) -> RowTally:
    del pattern
    active = [r for r in results if r.active] or results
    verdict = _joint_verdict([r.verdict for r in active])
    units = _units(row, results)
    unread = (
        tuple(span.moved(row.body.start) for span in _unread_spans(row, active))
        if verdict is Verdict.UNREAD
        else ()
    )
    reason = (
        next((r.attempt.reason for r in active if r.attempt.reason), "")
        if verdict is Verdict.UNREAD
        else ""
    )
    before = [_count_before(run, index) for run in runs]
    counts = [r.attempt.count for r in results]
    stated = units[0].stated if units and units[0].stated is not None else None
    worked = units[0].worked if units else None
    if not _totals(row):
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
    )


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
    totals = _totals(row)
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
        elif isinstance(step, Group | Repeat):
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
            usual = usual_rule(case[0], case[1], sayings.terms)
            decided = run.agreeing > 0
            used.append(
                CustomUsed(piece, case[0], case[1], rule.counts, False, decided, piece.span, True)
            )
            del usual
    return used
