"""The rows of a piece in one size, one after another: each worked, judged, remembered."""

from __future__ import annotations

from collections.abc import Hashable

from proofhook.counting.attempt import (
    MAX_READINGS,
    Attempt,
    UnitResult,
    ends_with,
    kindred,
    main_count,
    only_a_guess,
    readings_of,
    totals_of,
)
from proofhook.counting.customs import Case, Customs, Sayings
from proofhook.counting.effort import TOO_LONG, Effort, Spent
from proofhook.counting.fabric import PICOT, SLIP, SPACE, Fabric, Run, of_stitches, ring
from proofhook.counting.judging import judge
from proofhook.counting.kept import Misfit, Outcome, PieceKept
from proofhook.counting.overview import into_loop
from proofhook.counting.references import Program, label_rows, program_of
from proofhook.counting.result import Verdict
from proofhook.counting.totals import figure, width
from proofhook.counting.work import work_row
from proofhook.counting.worked import ChainRule, NotWorked, Setting, Worked
from proofhook.pattern import (
    Chain,
    Group,
    Join,
    Pattern,
    Piece,
    Repeat,
    Ring,
    Row,
    RowsReference,
    Step,
    Total,
    Unit,
    Until,
    Which,
    Work,
    at_size,
)
from proofhook.records import dataclass, field

#: Ways in which a total counts groups that the row itself does not name.
_AS_GROUPS = frozenset(("groups", "full groups", "groups and the first"))
#: Rows that a reference or a range may stand for; more is no piece that a person works.
MAX_ROWS = 1_000


@dataclass(slots=True)
class RowResult:
    """A row in one size: the attempt that was kept, and what holds for the next row.

    ``unsaid`` is the reason for which nothing is said of it; ``number`` is that of its
    outcome, 0 where that is not kept.
    """

    row: Row
    attempt: Attempt
    verdict: Verdict
    problems: tuple[Misfit, ...] = ()
    active: bool = True
    unsaid: str = ""
    number: int = 0

    @property
    def reason(self) -> str:
        """Why it is unread, where it is and no word is to blame."""
        return self.unsaid or self.attempt.reason

    def leave_unread(self, reason: str) -> None:
        """Say nothing of the row but why."""
        self.verdict, self.problems, self.unsaid = Verdict.UNREAD, (), reason


@dataclass(slots=True)
class Memory:
    """What earlier rows of a piece leave behind for later ones."""

    fabrics: dict[int, Fabric] = field(default_factory=dict)
    rows: dict[int, Row] = field(default_factory=dict)
    row_count: int = 0
    order: list[Row] = field(default_factory=list)
    readings: dict[int, dict[str, int]] = field(default_factory=dict)
    foundation: Fabric | None = None
    begun: Row | None = None


@dataclass(slots=True)
class PieceRun:
    """A piece worked under one assumption in one size.

    ``looks_back`` tells that a row goes by earlier rows, which may be those of other pieces.
    """

    results: list[RowResult]
    cases: dict[Case, ChainRule]
    wanted: set[str]
    agreeing: int
    stated: int
    bases: list[tuple[Fabric, bool]]
    memory: Memory
    looks_back: bool = False


#: Rows one after another that do not come out, from which on the reading is in doubt: where
#: every stitch and place is certain, and where it is not.
DOUBTED_PLAIN, DOUBTED = 3, 2


def hold_back(results: list[RowResult]) -> None:
    """Say nothing of rows that differ one after another: it is the reading that is in doubt.

    A slip in a total is a single row; after it the next row is worked from whichever count
    lets it come out.
    """
    differing: list[RowResult] = []
    for result in [*results, None]:
        if result is not None and result.verdict is Verdict.DIFFERS:
            differing.append(result)
        elif result is None or result.verdict is Verdict.AGREES:
            sure = all(r.attempt.worked and r.attempt.worked.exact for r in differing)
            if len(differing) >= (DOUBTED_PLAIN if sure else DOUBTED):
                for doubted in differing:
                    doubted.leave_unread("several rows on end do not come out as read")
            differing = []


class RowWorker:
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
        effort: Effort,
        usual: bool,
        kept: PieceKept | None = None,
    ) -> None:
        self.pattern = pattern
        self.piece = piece
        self.sayings = sayings
        self.customs = customs
        self.size = size
        self.run = run
        self.before = before
        self.finished = finished
        self.effort = effort
        self.usual = usual
        self.kept = kept
        self.cases: dict[Case, ChainRule] = {}
        self._standing: int | None = None
        self._holds = kept and kept.number((pattern.terms, sayings.said, customs, size, usual))

    # --- one row --------------------------------------------------------------------

    def row(self, row: Row, first: bool) -> None:
        """Work a row from the fabrics it may stand on, and keep the best outcome."""
        run = self.run
        if not self.effort.left(usual=True):
            run.results.append(RowResult(row, Attempt(reason=TOO_LONG), Verdict.UNREAD))
            return
        if (
            (row.sizes is not None and self.size not in row.sizes)
            or _dashed(row, self.size)
            or _no_times(row, self.size, len(self.pattern.sizes))
        ):
            self.not_for_this_size(row)
            return
        program = program_of(
            row, self.size, run.memory.rows, self.before.rows, self.finished_rows, run.memory.order
        )
        run.looks_back |= not program.plain
        key = self.key(row, first, program, self.kept) if self.kept else None
        known = self.kept.outcome(key) if self.kept else None
        if known is not None and self.effort.affords(known.spent):
            self.effort.take(known.spent)
        else:
            known = self.work(row, first, program, key)
        self.keep(row, known, program)

    def key(self, row: Row, first: bool, program: Program, kept: PieceKept) -> Hashable:
        """All that the working of a row looks at, but for earlier rows that it names."""
        memory = self.run.memory
        if self._standing is None:
            self._standing = kept.number(tuple((f.key(), sure) for f, sure in self.run.bases))
        again: Hashable = None
        if not program.plain:
            readings = tuple(tuple(reading.items()) for reading in memory.readings.values())
            reason = (program.reason, program.blame)
            again = kept.number((program.bodies, program.times, program.until, *reason, readings))
        return (
            self._holds,
            kept.row_number(row),
            self._standing,
            memory.row_count,
            first,
            not self.run.results,
            memory.foundation and memory.foundation.key(),
            again,
        )

    def work(self, row: Row, first: bool, program: Program, key: Hashable) -> Outcome:
        """What comes of a row, from whichever of the fabrics it may stand on is the best."""
        self.cases, looks_back = {}, self.run.looks_back
        self.run.looks_back = False
        before = self.effort.left_now()
        attempt = self.best(row, first, program)
        verdict, problems = judge(row, attempt)
        bases = tuple(self.bases_after(row, attempt, verdict))
        spent = self.effort.since(before)
        number = self.kept.new_number() if self.kept else 0
        made = Outcome(attempt, verdict, tuple(problems), bases, self.cases, spent, number)
        if self.kept and not self.run.looks_back and self.effort.affords(Spent(0, 0)):
            self.kept.keep_outcome(key, made)
        self.run.looks_back |= looks_back
        return made

    def best(self, row: Row, first: bool, program: Program) -> Attempt:
        """A row worked from the fabrics it may stand on; the best attempt."""
        run = self.run
        begins = _begins(row.steps, first)
        bases: list[tuple[Fabric | None, bool]] = list(run.bases)
        if row.detached or (first and _starts_over(row)):
            bases = [(fabric, False) for fabric, _ in bases]
        if begins or not bases:
            bases = [(None, not run.results), *(bases if begins and not first else [])]
        best: Attempt | None = None
        for number, (fabric, sure) in enumerate(bases):
            if number and not self.effort.left(usual=False):
                assert best is not None
                best.all_tried = False
                break
            attempt = self.attempt(row, program, fabric, sure, self.usual and not number)
            if best is None or attempt.rank > best.rank:
                best = attempt
            if (
                attempt.worked is not None
                and attempt.fits
                and (attempt.matches or not attempt.states)
            ):
                break
        assert best is not None
        for below, _ in bases:
            if below is not None:
                below.forget_places()
        return best

    def finished_rows(self, name: str) -> dict[int, Row]:
        """The rows of an earlier piece, by its name."""
        found: dict[int, Row] = {}
        for known, runs in self.finished.items():
            rows = runs[self.size].memory.rows
            if found:
                if not rows or min(rows) <= max(found):
                    break
                found |= rows  # a heading between the rows of one piece: "Shape armholes"
            elif name and (known.startswith(name) or name in known):
                begun = runs[self.size].memory.begun
                found = ({0: begun} if begun is not None and not self.run.results else {}) | rows
        return found

    def not_for_this_size(self, row: Row) -> None:
        """The row is for other sizes: the fabric stays as it was."""
        known = [r.attempt for r in self.run.results if r.attempt.count is not None]
        last = known[-1] if known else Attempt()
        if not known and self.run.bases:
            last = Attempt(fabric=self.run.bases[0][0], count=self.run.bases[0][0].stitches)
        attempt = Attempt(fabric=last.fabric, count=last.count)
        self.run.results.append(RowResult(row, attempt, Verdict.UNSTATED, active=False))

    def attempt(
        self, row: Row, program: Program, base: Fabric | None, sure: bool, first: bool
    ) -> Attempt:
        """Work a row in its usual reading, then in others while it does not come out.

        ``first`` where it is worked for the first time, from the likeliest row below.
        """
        usual = self.read_as(row, program, base, sure, {}, first)
        if (usual.matches and usual.fits) or (not usual.states and usual.fits):
            return usual
        best = usual
        tried = 0
        known = self.run.memory.readings
        readings = readings_of(usual.asked) if program.plain else list(known.values())
        for reading in readings:
            tried += 1
            if tried > MAX_READINGS:
                break
            if not self.effort.left(usual=False):
                best.all_tried = False
                break
            other = self.read_as(row, program, base, sure, reading)
            if other.worked is None:
                continue
            comes_out = other.fits and (other.matches or not other.states)
            if comes_out and other.rank > best.rank:
                return other
            if best.worked is None or (other.fits and not best.fits and not best.matches):
                if not only_a_guess(reading):
                    best = other
        return best

    def read_as(
        self,
        row: Row,
        program: Program,
        base: Fabric | None,
        sure: bool,
        reading: dict[str, int],
        first: bool = False,
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
        for steps in program.passes():
            passed += 1
            if skip:
                skip -= 1
                continue
            if fabric is not None and program.times > 2 and program.until is None:
                state = ((passed - 1) % len(program.bodies), fabric.key())
                if state in seen:
                    cycle = passed - seen[state]
                    skip = (program.times - passed + 1) // cycle * cycle
                    attempt.widths += attempt.widths[-cycle:] * (skip // cycle)
                    seen.clear()
                    if skip:
                        skip -= 1
                        continue
                seen[state] = passed
            if program.reason or passed > MAX_ROWS:
                attempt.reason = program.reason or "it stands for too many rows"
                attempt.worked = None
                break
            if not self.effort.left(first):
                attempt.reason = TOO_LONG
                attempt.worked = attempt.fabric = None
                return attempt
            try:
                worked = work_row(steps, fabric, self.setting(row, first), reading)
            except NotWorked as stop:
                attempt.reason, attempt.blame, attempt.worked = stop.reason, stop.span, None
                attempt.fabric = None
                return attempt
            for key, options in worked.asked.items():
                attempt.asked[key] = max(options, attempt.asked.get(key, 0))
            self.cases.update(
                {case: rule for case, rule in worked.rules_used.items() if not rule.said}
            )
            checkpoints += worked.totals
            fabric = self.fabric_after(row, worked, fabric)
            attempt.worked, attempt.fabric = worked, fabric
            attempt.widths.append(width(worked.runs))
            if program.until is not None and self.reached(program.until, fabric):
                break
        if worked is None or attempt.worked is None:
            return attempt
        attempt.count = main_count(worked.runs)
        self.compare(row, program, attempt, checkpoints, passed)
        return attempt

    def reached(self, until: Until, fabric: Fabric | None) -> bool:
        """Whether a repeat of rows has come to its end."""
        return fabric is not None and fabric.stitches <= at_size(until.count, self.size)

    def setting(self, row: Row, first: bool) -> Setting:
        """What holds for the row beside its words."""
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
            label is not None and label.kind == "row",
            not self.run.results,
            self.effort,
            first,
            bool(self.sayings.tile),
        )

    def earlier(self, number: int) -> Fabric | None:
        """The fabric after an earlier row, by its number."""
        self.run.looks_back = True
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
            pairs = [(main, runs if ends_with(row.steps, main) else pairs[-1][1]), *pairs[:-1]]
        else:
            pairs = [(totals[-1], runs)]
        for total, made in pairs:
            alone = len(total.units) == 1
            names = {run.of for run in made if run.of}
            groups = frozenset(unit.what for unit in total.units if unit.what in names)
            results = []
            for unit in total.units:
                whole = unit is total.units[0] and self.sums_up(total)
                results.append(self.unit(unit, made, alone or whole, repeats, groups, whole))
            if any(_AS_GROUPS & set(result.customs) for result in results):
                # "4 shells, 2 dc": the stitches of what is counted as groups are in them.
                loose = tuple(run for run in made if not run.group)
                apart = [self.unit(r.unit, loose, alone, repeats, groups, False) for r in results]
                results = [
                    b if not a.agrees and b.agrees else a
                    for a, b in zip(results, apart, strict=True)
                ]
            attempt.units += results

    def sums_up(self, total: Total) -> bool:
        """ "31 sts (16 sc, 15 ch)": the first figure is of all that the others name."""
        first, *parts = total.units
        counted = sum(at_size(part.count, self.size) for part in parts)
        spaced = any(part.what in ("sp", "ch") for part in parts)
        return spaced and first.what in ("", "st") and counted == at_size(first.count, self.size)

    def unit(
        self,
        unit: Unit,
        runs: tuple[Run, ...],
        alone: bool,
        repeats: int,
        groups: frozenset[str],
        whole: bool,
    ) -> UnitResult:
        """One unit of a total compared; ``whole`` where the others are its parts."""
        stated = at_size(unit.count, self.size)
        found = figure(unit, runs, self.customs, alone, repeats, groups)
        if found.worked == stated:
            return UnitResult(unit, stated, found.worked, True, ())
        customs = tuple(name for name, value in found.others.items() if value == stated)
        accepted = [name for name in customs if name not in ("slips", "chains", "spaces")]
        if whole and customs:
            return UnitResult(unit, stated, stated, True, ())
        if accepted and (found.worked is None or kindred(accepted)):
            return UnitResult(unit, stated, stated, True, customs)
        if found.worked is None:
            return UnitResult(unit, stated, None, None, customs)
        return UnitResult(unit, stated, found.worked, False, customs)

    # --- what is kept ---------------------------------------------------------------

    def keep(self, row: Row, outcome: Outcome, program: Program) -> None:
        """The verdict on the row, and the fabrics the next row may stand on."""
        run = self.run
        attempt, verdict = outcome.attempt, outcome.verdict
        run.cases.update(outcome.cases)
        run.results.append(
            RowResult(row, attempt, verdict, outcome.problems, number=outcome.number)
        )
        if attempt.states or totals_of(row):
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
        run.bases = list(outcome.bases)
        self._standing = None

    def remember(self, row: Row, attempt: Attempt, program: Program) -> None:
        """Keep what later rows may refer to."""
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
        if label is None and not memory.rows and attempt.worked is not None:
            memory.begun = memory.begun or (row if attempt.worked.begins else None)
        if label is None:
            for number, worked_again in program.numbered:
                memory.rows[number] = worked_again
            return
        memory.row_count += program.times
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
        totals = totals_of(row)
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


def _starts_over(row: Row) -> bool:
    """Whether the first row of a piece has the number 1, or none: where it stands is a guess."""
    return row.label is None or row.label.first is None or row.label.first[0] <= 1


def _dashed(row: Row, size: int) -> bool:
    """Whether the total has a dash for this size: the row is not for it."""
    totals = totals_of(row)
    if not totals:
        return False
    count = totals[-1].units[0].count
    return len(count) > 1 and at_size(count, size) == 0 and max(count) > 0


def _no_times(row: Row, size: int, sizes: int) -> bool:
    """ "Next 0 (2, 4) rows", "Rep last row 0 (1, 2) times": nothing in this size, but in others."""
    counts = [label_rows(row.label, each) for each in range(sizes)]
    often = [count for count in counts if count is not None]
    if len(often) == sizes and often[size] <= 0 < max(often):
        return True
    repeats = [s.times for s in row.steps if isinstance(s, RowsReference) and s.times is not None]
    return any(at_size(times, size) == 0 < max(times) for times in repeats)


def _begins(steps: tuple[Step, ...], first: bool = False) -> bool:
    """Whether a row begins a piece of its own: a ring, or a chain to work into."""
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
                    hooked = after.place is not None and (
                        after.place.which is Which.HOOK
                        or (after.place.which is Which.NTH and after.place.whats[0].name == "ch")
                    )
                    if hooked:
                        return True
                    if after.stitch.role == "slip" and after.place is not None and not hooked:
                        into_chain = any(what.name == "ch" for what in after.place.whats)
                        return into_chain and max(step.count) >= 3
                    return after.place is not None and after.place.which is Which.HOOK
                if isinstance(after, (Chain, Group, Repeat, Total)):
                    break
            alone = not any(isinstance(s, (Work, Group, Repeat)) for s in following)
            return alone and (first or max(step.count) > 4)
        if isinstance(step, Work):
            if step.place is not None and step.place.which is Which.RING:
                return True
            if first and into_loop(steps):
                return True
            if step.stitch.role == "foundation":
                return True
            return step.stitch.role == "slip" and _begins(steps[steps.index(step) + 1 :])
        if isinstance(step, Group) and step.place is not None and step.place.which is Which.RING:
            return True
        if isinstance(step, Repeat):
            return _begins(step.steps)
    return False
