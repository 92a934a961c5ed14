"""Working a row: moving along the fabric below, step by step, and making new places.

``work_row`` is a pure function of a row's steps, the fabric below, the customs and the
reading chosen where the words can be read in more than one way.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace
from functools import lru_cache
from typing import Any, NamedTuple

from proofhook.counting.fabric import (
    CHAIN,
    MAX_PLACES,
    PICOT,
    RING,
    RING_FABRIC,
    SLIP,
    SPACE,
    Fabric,
    Run,
    merged,
    with_begun_group,
)
from proofhook.pattern import (
    Chain,
    Each,
    Evenly,
    FastenOff,
    Group,
    Join,
    Loops,
    Note,
    OtherSide,
    Place,
    Repeat,
    Ring,
    RowsReference,
    Skip,
    Step,
    Stitch,
    Total,
    Turn,
    Unread,
    Until,
    What,
    Which,
    Work,
    at_size,
)
from proofhook.text import Span
from proofhook.trade.stitches import turning_chain

#: Steps a single row may take; more is no row that a person works.
MAX_STEPS = 60_000


class NotWorked(Exception):
    """The row cannot be worked out: ``reason`` says why, ``span`` which words stop it."""

    def __init__(self, reason: str, span: Span | None = None) -> None:
        super().__init__(reason)
        self.reason = reason
        self.span = span


@dataclass(frozen=True, slots=True)
class ChainRule:
    """How a turning chain is taken: whether it counts, as what, with what space after it."""

    counts: bool
    stitch: str = ""
    space: int = 0
    said: bool = True


@dataclass(frozen=True, slots=True)
class Setting:
    """What holds for a row beside its words.

    ``chain_rule`` answers what a turning chain of so many chains before such a stitch
    is; ``rows_before`` is how many rows the piece has so far (for row ends);
    ``earlier`` gives the fabric after an earlier row by its number.
    """

    size: int
    terms: str
    chain_rule: Callable[[int, str], ChainRule]
    rows_before: int = 0
    earlier: Callable[[int], Fabric | None] = lambda _: None
    foundation: Fabric | None = None
    in_round: bool = False
    first: bool = False


class Trace(NamedTuple):
    """One step of the working: what was worked, what it used and what it made."""

    span: Span
    uses: int
    makes: int
    times: int = 1
    fills: bool = False


@dataclass(slots=True)
class Worked:
    """What working a row gave.

    ``short`` places were needed beyond what there is, ``left`` were neither worked nor
    said to be left; both only where ``exact``.  ``remainder`` is set where a repeat does
    not come out even: (places for it, places it uses).  ``asked`` are the wordings that
    could be read otherwise, each with its number of readings.
    """

    runs: tuple[Run, ...] = ()
    below: int | None = None
    used: int = 0
    short: int = 0
    left: int = 0
    exact: bool = True
    plain: bool = True
    remainder: tuple[int, int, Span] | None = None
    turned: bool = False
    joined: bool = False
    fastened: bool = False
    chain_after: int = 0
    asked: dict[str, int] = field(default_factory=dict)
    rules_used: dict[tuple[int, str], ChainRule] = field(default_factory=dict)
    totals: list[tuple[Total, tuple[Run, ...]]] = field(default_factory=list)
    trace: list[Trace] = field(default_factory=list)
    begins: bool = False
    ring: bool = False
    ring_chain: int = 0
    at_space: bool = False
    repeats: int = 0


def work_row(
    steps: Sequence[Step], below: Fabric | None, setting: Setting, reading: dict[str, int]
) -> Worked:
    """Work the steps into ``below`` (None: not known).

    Raises NotWorked where a step is unread, or needs what is not known.
    """
    worker = _Worker(below, setting, reading)
    worker.row(tuple(steps))
    return worker.result()


class _Mark(NamedTuple):
    """A state of the work to come back to."""

    at: int
    made: int
    last: Run | None
    here: int | None
    used: int
    short: int
    own: int
    pending: int
    totals: int


@dataclass(slots=True)
class _States:
    """States after passes of a repeat, by the number of passes: the first and the last few."""

    marks: dict[int, _Mark]
    count: int
    uses: int
    makes: int

    def add(self, mark: _Mark) -> None:
        self.count += 1
        self.marks[self.count] = mark
        self.marks.pop(self.count - 5, None)


class _Worker:
    """The cursor on the fabric below, and what has been made so far."""

    def __init__(self, below: Fabric | None, setting: Setting, reading: dict[str, int]) -> None:
        self.setting = setting
        self.size = setting.size
        self.reading = reading
        self.out = Worked()
        self.made: list[Run] = []
        self.steps_taken = 0
        self.group = 0
        self.depth = 0
        self.in_place = False
        self.rest_said = False
        self.limit: int | None = None
        self.skipped_rule: ChainRule | None = None
        self.next_stitch = ""
        self.turn_seen = False
        self.chain_seen = 0
        self._lay(below)

    # --- the fabric below -----------------------------------------------------------

    def _lay(self, below: Fabric | None) -> None:
        self.below = below
        self.at = 0
        self.here: int | None = None
        self.own = 0
        self.end = 0
        self.places: tuple[Run, ...] = ()
        self.flat = True
        if below is not None:
            self.flat = below.plain
            self.end = below.stitches if self.flat else len(below.places)
            if not self.flat:
                self.places = below.places
            self.out.below = below.stitches
            if below.is_ring:
                self.ring_chain = below.runs[0].length or self.ring_chain
            if below.at_space and self.places:
                self.places = (self.places[-1], *self.places[:-1])
                self.at, self.here = 1, 0

    def left(self) -> int:
        """Stitches not yet used, up to the limit."""
        end = self.end if self.limit is None else self.limit
        if self.flat:
            return end - self.at
        return sum(1 for place in self.places[self.at : end] if place.kind != SPACE)

    def need_below(self, span: Span) -> Fabric:
        if self.below is None:
            raise NotWorked("the row below is not known", span)
        return self.below

    def take_stitches(self, count: int, span: Span) -> None:
        """Use ``count`` stitches, passing over spaces between them."""
        if self.below is None or self.below.is_ring:
            self.out.used += count
            return
        self.out.used += count
        if self.flat:
            end = self.end if self.limit is None else self.limit
            have = end - self.at
            if count > have:
                self.out.short += count - max(have, 0)
                self.at = max(end, self.at)
            else:
                self.at += count
            self.here = self.at - 1
            return
        end = self.end if self.limit is None else self.limit
        for _ in range(count):
            at = self.at
            while at < end and self.places[at].kind == SPACE:
                at += 1
            if at >= end:
                self.out.short += 1
                continue
            self.here = at
            self.at = at + 1

    def take(self, what: What, count: int, span: Span) -> int:
        """Use ``count`` places of a kind; how many chains or stitches they offer."""
        name = what.name
        if self.below is not None and self.below.is_ring and name in ("sp", "st", "ch"):
            self.out.used += count
            return count
        if self.own and name in ("ch", "st"):
            self.own = max(0, self.own - count)
            return count
        if name == "ch" and self.flat and self.below is not None and not self.below.is_chain:
            if not self.below.is_ring and (self.left() <= 0 or self.edge_seen):
                self.out.exact = False
                return count
        if "sp" in name or what.of:
            for _ in range(count):
                self.take_space(what, span)
            return count
        if name in ("corner", "center", "marked st", "corner st", "group"):
            for _ in range(count):
                self.take_special(what, span)
            return count
        if self.flat or name in ("st", "ch") or self.below is None or self.choice("typed", 2) == 1:
            if (
                name == "ch"
                and not self.flat
                and self.below is not None
                and not self.below.is_chain
            ):
                return self.take_chains(count, span)
            self.take_stitches(count, span)
            return count
        for _ in range(count):
            self.take_kind(name, span)
        return count

    def take_chains(self, count: int, span: Span) -> int:
        """Chains of the row below: those of the spaces, one by one, else stitches."""
        end = self.end if self.limit is None else self.limit
        if (
            self.at + 1 < end
            and self.places[self.at].kind != SPACE
            and self.places[self.at + 1].kind == SPACE
        ):
            self.at += 1  # the loop is on the stitch at which the round was joined
        if self.at < end and self.places[self.at].kind == SPACE:
            place = self.places[self.at]
            self.here = self.at
            if count >= place.length:
                self.at += 1
            self.out.used += 1
            return count
        self.take_stitches(count, span)
        return count

    def take_kind(self, kind: str, span: Span) -> None:
        """The next place of a kind; where there is none of it, the next stitch."""
        end = self.end if self.limit is None else self.limit
        at = self.at
        while at < end and not _is_kind(self.places[at], kind):
            at += 1
        if at >= end:
            self.take_stitches(1, span)
            return
        self.here = at
        self.at = at + 1
        self.out.used += 1

    def take_space(self, what: What, span: Span) -> None:
        """The next chain space (of the length named); stitches before it are passed over."""
        below = self.need_below(span)
        if below.is_ring:
            return
        if self.flat and what.length is None and what.name == "sp" and not what.of:
            self.take_stitches(1, span)  # "loop" for the loop of a stitch
            return
        at = self.find_space(what)
        if at is None:
            if below.spaces == 0 and not below.loose and self.at < self.end:
                self.out.exact = False
                raise NotWorked("the row below has no such space", span)
            self.out.short += 1
            self.out.used += 1
            return
        self.here = at
        self.at = at + 1
        self.out.used += 1

    def find_space(self, what: What) -> int | None:
        """Where the next such space is, or None."""
        if self.below is None or self.flat:
            return None
        lengths = {p.length for p in self.places if p.kind == SPACE}
        wanted = what.length if what.length in lengths else None
        if what.name.startswith(("corner", "center")) and wanted is None and len(lengths) > 1:
            wanted = self.corner_length(what.name)
        end = self.end if self.limit is None else self.limit
        for at in range(self.at, end):
            place = self.places[at]
            if place.kind != SPACE:
                continue
            if wanted is not None and place.length != wanted:
                continue
            if (
                what.of
                and what.of not in ("group", "sp")
                and self._has_group(what.of)
                and place.of != what.of
            ):
                continue
            return at
        return None

    def _has_group(self, name: str) -> bool:
        return any(place.of == name for place in self.places)

    def corner_length(self, name: str) -> int:
        """The length of the corner (or centre) spaces: the rarest length, the longest of these."""
        counts: dict[int, int] = {}
        for place in self.places:
            if place.kind == SPACE:
                counts[place.length] = counts.get(place.length, 0) + 1
        fewest = min(counts.values())
        return max(length for length, times in counts.items() if times == fewest)

    def marked_places(self) -> list[int]:
        """Where the middle stitches of the groups lie: corners, and what gets a marker."""
        if self.below is None:
            return []
        if self.flat:
            self.places = self.places or self.below.places
        middles: list[int] = []
        at = 0
        while at < len(self.places):
            group = self.places[at].group
            size = 1
            while group and at + size < len(self.places) and self.places[at + size].group == group:
                size += 1
            if group and size >= 3 and size % 2:
                middles.append(at + size // 2)
            at += size
        return middles

    def take_special(self, what: What, span: Span) -> None:
        """A corner, a marked stitch, a group: its place where the fabric shows it."""
        if self.below is None:
            self.out.exact = False
            return
        if what.name in ("marked st", "corner st", "corner"):
            middle = next((at for at in self.marked_places() if at >= self.at), None)
            if middle is not None and (what.name != "corner" or self.flat):
                self.here, self.at = middle, middle + 1
                self.out.used += 1
                return
        if what.name in ("corner", "center", "group") and not self.flat:
            at = self.find_space(What("corner sp" if what.name != "group" else "sp"))
            if at is not None:
                self.here = at
                self.at = at + 1
                self.out.used += 1
                return
        if what.name == "corner st" and not self.flat:
            self.out.exact = False
        self.take_stitches(1, span)

    # --- making ---------------------------------------------------------------------

    def make(self, run: Run) -> None:
        if run.count <= 0:
            return
        if run.count > MAX_PLACES:
            raise NotWorked("the figure is too large to be worked")
        self.settle_chain()
        if self.group and self.in_place:
            run = run._replace(group=self.group, of=run.of or self.group_name)
        last = self.made[-1] if self.made else None
        if last is not None and not run.group and last[2:] == run[2:] and last.kind == run.kind:
            self.made[-1] = last._replace(count=last.count + run.count)
        else:
            self.made.append(run)

    group_name = ""

    def settle_chain(self) -> None:
        """Chains made before a stitch become a space."""
        if self.chain_seen:
            chain, self.chain_seen = self.chain_seen, 0
            run = Run(SPACE, 1, chain)
            if self.group and self.in_place:
                run = run._replace(group=self.group, of=self.group_name)
            last = self.made[-1] if self.made else None
            if last is not None and not run.group and last[2:] == run[2:] and last.kind == run.kind:
                self.made[-1] = last._replace(count=last.count + 1)
            else:
                self.made.append(run)

    def count_made(self) -> int:
        return stitches_in(self.made)

    def choice(self, key: str, options: int) -> int:
        """Which of several readings of the words is taken here."""
        self.out.asked[key] = max(self.out.asked.get(key, 0), options)
        return self.reading.get(key, 0)

    # --- steps ----------------------------------------------------------------------

    def row(self, steps: tuple[Step, ...]) -> None:
        """Work the whole row."""
        for step in steps:
            if isinstance(step, Chain) and step.count == (0,):
                self.skipped_rule = ChainRule(bool(step.counts), step.counts_as, step.space)
        self.hook_row = _uses_hook(steps)
        works = [s for s in _walk(steps) if isinstance(s, Work | Repeat)]
        self.hook_alone = len(works) == 1
        into_ring = [
            w for w in works if isinstance(w, Work) and w.place and w.place.which is Which.RING
        ]
        self.ring_groups = len(into_ring) > 1
        self.next_stitch = _first_stitch(steps)
        self.cluster_next = _begins_with_cluster(steps)
        if (self.below is None or self.setting.first) and _into_loop(steps):
            self._lay(RING_FABRIC)
            self.out.begins = True
        if _only_chains(steps, 1 if self.setting.first else 5):
            self._lay(None)
        if (
            self.below is not None
            and self.below.chain
            and not _starts_with_chain(steps)
            and not self.hook_row
        ):
            self.turning(Chain(Span(0, 0), (self.below.chain,)))
        if (
            self.choice_implied(steps)
            and (body := _implied_body(steps)) is not None
            and self.choice("implied", 2) == 1
        ):
            before, inside, after = body
            span = Span(inside[0].span.start, inside[-1].span.end)
            steps = (*before, Repeat(span, inside, None, implied=True), *after)
        self.sequence(steps, top=True)

    def choice_implied(self, steps: tuple[Step, ...]) -> bool:
        return self.below is not None and not self.below.is_ring

    def sequence(self, steps: tuple[Step, ...], top: bool = False) -> None:
        for index, step in enumerate(steps):
            self.steps_taken += 1
            if self.steps_taken > MAX_STEPS:
                raise NotWorked("the figures are too large to be worked", step.span)
            if isinstance(step, Repeat) and top and (step.times is None or step.cut is not None):
                self.fill(step, steps[index + 1 :])
                return
            if _place_comes_last(steps[index : index + 3]) and self.choice("place after all", 2):
                group = steps[index : index + 3]
                last = group[2]
                assert isinstance(last, Work)
                span = Span(step.span.start, last.span.end)
                together = Group(span, (*group[:2], replace(last, place=None)), last.place)
                self.sequence((together, *steps[index + 3 :]), top)
                return
            if top and isinstance(step, Work | Repeat | Group | Each):
                used, made, at = self.out.used, self.count_made(), len(self.out.trace)
                self.step(step)
                if len(self.out.trace) == at:
                    self.out.trace.append(
                        Trace(step.span, self.out.used - used, self.count_made() - made)
                    )
            else:
                self.step(step)

    def step(self, step: Step) -> None:
        _STEPS[type(step)](self, step)

    def ring(self, step: Ring) -> None:
        self._lay(RING_FABRIC)
        self.out.begins = True

    def fasten_off(self, step: FastenOff) -> None:
        self.out.fastened = True

    def unread(self, step: Unread) -> None:
        raise NotWorked("words that were not understood", step.span)

    def reference(self, step: RowsReference) -> None:
        raise NotWorked("it refers to other rows", step.span)

    def note(self, step: Note) -> None:
        """Words without arithmetic."""

    def total(self, step: Total) -> None:
        self.out.totals.append((step, self.snapshot()))

    def snapshot(self) -> tuple[Run, ...]:
        """What has been made so far, a chain before the end as the space it will be."""
        runs = list(self.made)
        if self.chain_seen and self.out.joined:
            runs.append(Run(SPACE, 1, self.chain_seen))
        return tuple(runs)

    works_done = False

    def turned(self, step: Turn) -> None:
        if not self.works_done and not self.hook_row:
            below = self.below
            if below is not None and not below.turned and not self.turn_seen and not below.is_ring:
                self._turn_below()
            self.turn_seen = True
            return
        if self.chain_seen and not self.in_place:
            self.out.chain_after, self.chain_seen = self.chain_seen, 0
        self.out.turned = True
        self.turn_seen = True

    def _turn_below(self) -> None:
        assert self.below is not None
        chain = self.below.chain
        at, here = self.at, self.here
        self._lay(Fabric(self.below.runs, True, 0, self.below.loose, self.below.in_round))
        self.at, self.here = at, here
        self.turn_seen = True
        del chain

    base_row: int | None = None

    def on_row(self, row: int, span: Span) -> None:
        """The stitches of an earlier row are worked into."""
        if row != self.base_row:
            self.base_row = row
            if not any(run.kind != SLIP for run in self.made):
                self.loops(Loops(span, "", row))

    def loops(self, step: Loops) -> None:
        if step.row is None:
            return
        if step.row == 0:
            return
        earlier = self.setting.earlier(step.row)
        if earlier is None:
            if self.made:
                raise NotWorked("the row it is worked into is not known", step.span)
            self._lay(None)
            self.out.exact = False
            return
        if not self.made:
            self._lay(Fabric(earlier.runs, False, 0, earlier.loose, earlier.in_round))
        self.out.exact = False

    def other_side(self, step: OtherSide) -> None:
        self.out.exact = False
        self.out.plain = False
        self.settle_chain()
        foundation = self.setting.foundation
        if self.below is not None and self.below.is_chain:
            usable = self.end - self.first_chain
            ends = self.choice("other side", 3)
            count = max(usable - (1, 0, 2)[ends], 0)
            self._lay(Fabric((Run(CHAIN, count),)))
        elif foundation is not None:
            self._lay(Fabric((Run(CHAIN, foundation.stitches),)))
        else:
            self._lay(None)

    first_chain = 0

    def join(self, step: Join) -> None:
        if step.ring:
            if self.made_stitches():
                self.out.joined = True
                return
            if self.chain_seen:
                self.ring_chain = self.chain_seen
            self.chain_seen = 0
            self._lay(RING_FABRIC)
            self.out.begins = True
            self.made.clear()
            return
        if self.made or self.out.used:
            if not self.made_stitches() and self.chain_seen:
                self.out.joined = True
                return
            if self.chain_seen:
                self.settle_chain()
            self.out.joined = True
            return
        if self.chain_seen and self.below is None:
            self.ring_chain, self.chain_seen = self.chain_seen, 0
            self._lay(RING_FABRIC)
            self.out.begins = True
            return
        self.start_at(step.place, step.span)

    ring_chain = 0

    def open_ring(self, place: Place) -> None:
        """A chain joined into a ring is worked into chain by chain where that is said."""
        if (
            self.ring_chain
            and self.below is not None
            and self.below.is_ring
            and not self.made_stitches()
        ):
            if any(what.name in ("ch", "st") for what in place.whats) and place.which in (
                Which.EACH,
                Which.NEXT,
            ):
                self._lay(Fabric((Run(CHAIN, self.ring_chain),), in_round=True))

    def made_stitches(self) -> bool:
        return any(run.kind not in (SPACE, SLIP) for run in self.made)

    def start_at(self, place: Place | None, span: Span) -> None:
        """Yarn is joined anew, or the start moves: the fabric begins at that place."""
        if place is None or self.below is None or self.below.is_ring:
            return
        if place.which in (Which.EDGE, Which.ELSEWHERE):
            self.out.exact = False
            return
        what = place.whats[0] if place.whats else What("st")
        if place.which is Which.LAST or self.flat or what.name in ("st", "ch"):
            return
        if "sp" in what.name or what.name in ("corner", "center", "group"):
            at = self.find_space(
                What("corner sp" if what.name == "corner" else what.name, what.length, what.of)
            )
        else:
            at = next((i for i in range(self.end) if _is_kind(self.places[i], what.name)), None)
        if at is None:
            return
        self.rotate(at)
        self.here = 0
        self.at = 1

    def start_here(self) -> None:
        """Slip stitches have moved the start of a round: what they passed comes last."""
        if self.below is None or self.below.is_ring or self.here is None:
            return
        if not self.flat:
            self.rotate(self.here)
        self.at, self.here, self.standing = 0, 0, True
        self.out.used = 0
        self.out.exact = self.out.exact and self.flat

    standing = False

    def stand(self) -> None:
        """What is worked next goes into the place at which the round was begun."""
        if self.standing:
            self.standing = False
            if self.at == 0:
                self.at = 1
                self.out.used += 1

    def rotate(self, at: int) -> None:
        """The round begins at another place; what lies before it comes last."""
        if self.below is None:
            return
        self.places = self.places[at:] + self.places[:at]
        self.out.exact = False

    # --- chains ---------------------------------------------------------------------

    def chain(self, step: Chain) -> None:
        count = at_size(step.count, self.size)
        if count == 0:
            return
        if count > MAX_PLACES:
            raise NotWorked("the figure is too large to be worked", step.span)
        if self.in_place and not self.made_stitches() and not self.chain_seen:
            if not self.begins_cluster():
                self.turning(step)
            return
        if self.in_place or self.depth or any(run.kind != SLIP for run in self.made):
            self.chain_seen += count
            return
        if self.made and self.goes_round():
            self.start_here()
        self.turning(step)

    cluster_next = False
    first_step: Chain | None = None

    def begins_cluster(self) -> bool:
        """Whether the chain is the first leg of a cluster in one place, and no stitch."""
        return self.cluster_next

    def turning(self, step: Chain) -> None:
        """A chain at the start of a row."""
        count = at_size(step.count, self.size)
        if self.hook_row or (self.below is None and step.counts is None and self.setting.first):
            self.chain_seen += count
            if not self.hook_row:
                self.first_step = step
            return
        rule = self.rule_for(step, count)
        if self.cluster_next and step.counts is None:
            rule = ChainRule(False)
        if not rule.counts:
            return
        self.stand()
        if self.below is not None and not self.below.is_ring and self.here is None:
            self.take_stitches(1, step.span)
        stitch = rule.stitch or self.next_stitch or "st"
        self.made.append(Run(stitch, 1, 0, "", 0, "", True))
        if rule.space:
            self.chain_seen = rule.space

    def rule_for(self, step: Chain, count: int) -> ChainRule:
        if step.counts is not None and (step.counts_as or not step.counts):
            space = step.space
            return ChainRule(step.counts, step.counts_as, space)
        rule = self.setting.chain_rule(count, self.next_stitch)
        if step.counts:
            return ChainRule(True, rule.stitch or self.next_stitch, step.space or rule.space)
        self.out.rules_used[(count, self.next_stitch)] = rule
        return rule

    # --- stitches -------------------------------------------------------------------

    def work(self, step: Work) -> None:
        stitch = step.stitch
        self.works_done = self.works_done or stitch.role != "slip"
        if stitch.role == "unknown":
            raise NotWorked("a stitch whose method was not understood", step.span)
        times = at_size(step.times, self.size)
        if times > MAX_PLACES:
            raise NotWorked("the figure is too large to be worked", step.span)
        for _ in range(times if times < 2 or step.place or stitch.steps else 1):
            self.work_once(step, 1 if step.place or stitch.steps else max(times, 1))

    def work_once(self, step: Work, times: int) -> None:
        stitch, place = step.stitch, step.place
        count = at_size(step.count, self.size) if step.count is not None else None
        if count is not None and count * times > MAX_PLACES:
            raise NotWorked("the figure is too large to be worked", step.span)
        if count == 0:
            return
        if stitch.role == "foundation" and place is None:
            self.produce(stitch, (count or 1) * times, step.span)
            return
        if stitch.role == "slip" and place is None and self.setting.first and not self.made:
            if self.below is None and not self.chain_seen:
                return  # a slip knot
        if (
            stitch.role == "slip"
            and self.below is None
            and self.chain_seen
            and not self.made_stitches()
        ):
            self.ring_chain, self.chain_seen = self.chain_seen, 0
            self._lay(RING_FABRIC)
            self.out.begins = True
            return
        if stitch.role == "picot":
            self.made.append(Run(PICOT, (count or 1) * times))
            return
        if self.in_place and (place is None or place.which in (Which.SAME, Which.RING)):
            self.produce(stitch, (count or 1) * times, step.span)
            return
        if place is None:
            self.bare(step, (count or 1) * times)
            return
        if place.row is not None:
            self.on_row(place.row, step.span)
        if self.ring_chain:
            self.open_ring(place)
        _PLACES[place.which](self, step, stitch, count, place)

    def produce(self, stitch: Stitch, count: int, span: Span) -> None:
        """Make ``count`` of a stitch, or of the group that the name stands for."""
        if stitch.steps:
            for _ in range(count):
                self.made_group(stitch.steps, stitch.name)
            return
        if stitch.role == "slip":
            self.make(Run(SLIP, count))
            return
        kind = stitch.base or self.kind_below()
        name = "" if stitch.name in (kind, "inc", "dec") or stitch.role == "tog" else stitch.name
        if stitch.role == "group" and not stitch.steps:
            raise NotWorked(f"the pattern does not say how a {stitch.name} is made", span)
        makes = count * max(stitch.makes, 1)
        if stitch.makes >= 2 and count == 1:
            self.make(Run(kind, makes, 0, name))
            return
        self.make(Run(kind, makes, 0, name))

    def kind_below(self) -> str:
        """The stitch of the row below, for "work even" and bare numbers."""
        if self.below is not None:
            for run in self.below.runs:
                if run.kind not in (SPACE, CHAIN, RING):
                    return run.kind
        return "st"

    def made_group(self, steps: tuple[Step, ...], name: str = "") -> None:
        """Steps worked together in one place that has already been taken."""
        before = (self.in_place, self.group, self.group_name)
        self.next_group += 1
        self.in_place, self.group, self.group_name = True, self.next_group, name or "group"
        self.settle_chain_outside(before)
        for step in steps:
            self.step(step)
            self.steps_taken += 1
        if self.chain_seen:
            self.settle_chain()
        self.in_place, self.group, self.group_name = before

    next_group = 0

    def settle_chain_outside(self, before: tuple[bool, int, str]) -> None:
        """A chain made before the group lies outside it."""
        if self.chain_seen:
            inside = (self.in_place, self.group, self.group_name)
            self.in_place, self.group, self.group_name = before
            self.settle_chain()
            self.in_place, self.group, self.group_name = inside

    def all_in_one_chain(self) -> bool:
        """Whether the row stands in the last chain alone, as in a ring."""
        below = self.below
        return (
            below is not None
            and below.is_chain
            and 0 < self.first_chain == self.end - 1
            and self.unused() == 0
        )

    def bare(self, step: Work, count: int) -> None:
        """A stitch without a place: "5 sc", "inc", "dec"."""
        stitch = step.stitch
        if self.below is not None and self.below.is_ring:
            self.produce(stitch, count, step.span)
            return
        if stitch.role == "slip" and count == 1 and self.all_in_one_chain():
            self.make(Run(SLIP, 1))
            return
        if self.own and stitch.role in ("", "slip", "named"):
            self.own = max(0, self.own - count)
            self.produce(stitch, count, step.span)
            return
        if stitch.role in ("dec", "tog"):
            uses = stitch.uses * count
            if (
                step.count is not None
                and not step.count_after
                and count > 1
                and count % stitch.uses == 0
                and stitch.role == "dec"
            ):
                if self.choice("decreases named by their stitches", 2) == 1:
                    uses, count = count, count // stitch.uses
            self.take_stitches(uses, step.span)
            self.produce(stitch, count, step.span)
            return
        if (
            step.count is not None
            and 2 <= count <= 5
            and not step.count_after
            and stitch.role in ("", "named")
            and self.depth
        ):
            if self.choice("bare figures in one stitch", 2) == 1:
                self.take_stitches(1, step.span)
                self.produce(stitch, count, step.span)
                return
        self.take_stitches(stitch.uses * count, step.span)
        self.produce(stitch, count, step.span)

    # --- groups, skips, repeats -----------------------------------------------------

    def grouped(self, step: Group) -> None:
        times = at_size(step.times, self.size)
        if times > MAX_PLACES:
            raise NotWorked("the figure is too large to be worked", step.span)
        self.works_done = True
        place = step.place
        if place is None or self.in_place:
            for _ in range(times):
                self.depth += 1
                self.sequence(step.steps)
                self.depth -= 1
            return
        body = step.steps * times if times > 1 else step.steps
        name = (
            step.steps[0].stitch.name
            if len(step.steps) == 1 and isinstance(step.steps[0], Work)
            else ""
        )
        if (
            place.which in (Which.EACH,)
            or place.each
            or (place.which is Which.CORNER and place.each)
        ):
            for _ in range(self.each_place(place, step.span)):
                self.made_group(body, name)
            return
        if place.which is Which.ELSEWHERE:
            for _ in range(at_size(place.count, self.size)):
                self.made_group(body, name)
            return
        count = max(1, at_size(place.count, self.size))
        for _ in range(count):
            self.go_to(place, step.span)
            self.made_group(body, name)

    def go_to(self, place: Place, span: Span) -> None:
        """Take one place for a group."""
        what = place.whats[0] if place.whats else What("st")
        match place.which:
            case Which.SAME | Which.RING:
                self.stand()
                if self.here is None and self.below is not None and not self.below.is_ring:
                    self.take(what, 1, span)
            case Which.FIRST:
                self.to_first()
                self.take(what, 1, span)
            case Which.LAST:
                self.to_last(what, 1)
                self.take(what, 1, span)
            case Which.TURNING_CHAIN:
                if self.at < self.end:
                    self.to_last(What("st"), 1)
                    self.take_stitches(1, span)
            case Which.HOOK:
                self.from_hook(place.nth, span)
            case Which.NEXT:
                self.take(what, 1, span)
            case Which.CORNER:
                self.take_corner(what, span)
            case Which.MIDDLE:
                self.take_middle(place, span)
            case Which.NTH:
                self.take_nth(place, span)
            case Which.ANY:
                self.start_at(place, span)
                if self.here is None:
                    self.take(what, 1, span)
            case Which.BETWEEN:
                self.out.exact = False
            case _:
                self.out.exact = False

    def each_place(self, place: Place, span: Span) -> int:
        """How many places "each ..." takes; they are used up."""
        below = self.need_below(span)
        if below.is_ring:
            raise NotWorked("a ring has no stitches to be worked into one by one", span)
        if place.count != (1,) and place.which is not Which.EACH:
            count = at_size(place.count, self.size)
            what = place.whats[0] if place.whats else What("st")
            if place.which is Which.FIRST:
                self.to_first()
            elif place.which is Which.LAST:
                self.to_last(what, count)
            self.take(what, count, span)
            return count
        if place.which in (Which.NEXT, Which.FIRST, Which.LAST):
            self.go_to(place, span)
            return 1
        count = self.fill_places(place, span)
        if place.nth > 1:
            return max(1, -(-count // place.nth)) if count else 0
        return count

    def fill_places(self, place: Place, span: Span) -> int:
        """Use all places of the kinds named, to the end or as far as it is said."""
        whats = place.whats or (What("st"),)
        stop = self.stop_for(place.until, span)
        names = {what.name for what in whats}
        if self.flat:
            count = max(stop - self.at, 0)
            if names == {"sp"} and whats[0].length is not None:
                raise NotWorked("the row below has no such space", span)
            self.at = max(stop, self.at)
            self.here = self.at - 1
            self.out.used += count
            return count
        count = 0
        as_chains = names & {"ch"} and self.below is not None and not self.below.is_chain
        mode = 0
        if names == {"st"} and any(p.kind == SPACE for p in self.places[self.at : stop]):
            mode = self.choice("chains in each stitch", 3)
        for at in range(self.at, stop):
            found = self.counts_in(self.places[at], whats, names, bool(as_chains), mode)
            if found:
                count += found
                self.here = at
                self.out.used += 1
        self.at = max(stop, self.at)
        return count

    def counts_in(
        self, place: Run, whats: tuple[What, ...], names: set[str], as_chains: bool, mode: int
    ) -> int:
        """How many stitches of an "each" fall on a place."""
        if place.kind == SPACE:
            if as_chains or (names == {"st"} and mode == 2):
                return place.length
            if names == {"st"}:
                return 1 if mode == 1 else 0
            return int(any("sp" in w.name and w.length in (None, place.length) for w in whats))
        if "st" in names:
            return 1
        if all("sp" in name or name in ("corner", "ch") for name in names):
            return 0
        if any(_is_kind(place, name) for name in names):
            return 1
        present = {run.kind for run in self.places}
        known = any(
            name in present or any(_is_kind(p, name) for p in self.places)
            for name in names
            if "sp" not in name and name != "ch"
        )
        return 0 if known and self.choice("typed", 2) == 0 else 1

    def stop_for(self, until: Until | None, span: Span) -> int:
        """The place at which a fill stops."""
        end = self.end if self.limit is None else self.limit
        if until is None or until.kind == "end":
            return end
        if until.kind in ("last", "remain"):
            keep = at_size(until.count, self.size)
            what = until.what or What("st")
            return self.position_from_end(what, keep)
        found = self.find_place(until.what or What("st"))
        if found is None:
            if self.flat:
                raise NotWorked("where the repeat stops is not known", span)
            return end
        return found

    def position_from_end(self, what: What, keep: int) -> int:
        """Where the last ``keep`` places of a kind begin."""
        end = self.end
        if self.flat:
            return max(end - keep, self.at)
        left = keep
        at = end
        while at > self.at and left > 0:
            at -= 1
            place = self.places[at]
            if "sp" in what.name:
                left -= place.kind == SPACE and what.length in (None, place.length)
            elif what.name in ("st", "ch"):
                left -= place.kind != SPACE
            else:
                left -= _is_kind(place, what.name)
        return at

    def find_place(self, what: What) -> int | None:
        if self.below is None:
            return None
        if self.flat and what.name in ("corner", "marked st"):
            return next((at for at in self.marked_places() if at >= self.at), None)
        if "sp" in what.name or what.name in ("corner", "center"):
            name = what.name if "sp" in what.name else f"{what.name} sp"
            return self.find_space(What(name, what.length))
        if what.name in ("marked st", "corner st", "corner"):
            return next((at for at in self.marked_places() if at >= self.at), None)
        if self.flat:
            return None
        for at in range(self.at, self.end):
            if _is_kind(self.places[at], what.name):
                return at
        return None

    def to_first(self) -> None:
        if self.at <= 1 or not self.made_stitches():
            self.at = 0

    def to_last(self, what: What, count: int) -> None:
        """Move on to the last places of a kind; what is passed over is left."""
        if self.below is None:
            return
        stop = self.position_from_end(what, count)
        passed = stop - self.at
        if passed > 0:
            if self.flat:
                self.out.left += passed
            self.at = stop

    def skip(self, step: Skip) -> None:
        place = step.place
        what = place.whats[0] if place.whats else What("st")
        count = at_size(place.count, self.size)
        if count > MAX_PLACES:
            raise NotWorked("the figure is too large to be worked", step.span)
        if step.unworked or (place.each and place.which is Which.LAST):
            self.rest_said = True
            return
        if place.which is Which.SAME:
            return
        if place.which is Which.FIRST:
            self.to_first()
            if self.at == 0:
                self.take(what, count, step.span)
            return
        if self.below is None:
            self.out.exact = False
            return
        if what.name == "ch" and not self.flat and not self.below.is_chain:
            self.skip_chains(count, step.span)
            return
        if place.which is Which.LAST:
            self.to_last(what, count)
        if self.in_place:
            return
        here = self.here
        for each in place.whats or (What("st"),):
            self.take(each, count, step.span)
        self.here = here

    def skip_chains(self, count: int, span: Span) -> None:
        """Chains of the row below passed over: a space, or stitches where there is none."""
        here = self.here
        if self.at < self.end and self.places[self.at].kind == SPACE:
            self.at += 1
        else:
            self.take_stitches(count, span)
        self.here = here

    def along(self, step: Each) -> None:
        """Each place by what it is: the first of the works that names it."""
        self.need_below(step.span)
        last = step.works[-1].place
        stop = self.stop_for(last.until if last else None, step.span)
        if self.flat:
            first = step.works[0]
            if first.place is not None and last is not None:
                first = replace(first, place=replace(first.place, until=last.until))
            self.step(first)
            return
        works = sorted(
            step.works, key=lambda w: "corner" not in w.place.whats[0].name if w.place else True
        )
        for at in range(self.at, stop):
            place = self.places[at]
            for work in works:
                whats = work.place.whats if work.place else ()
                if any(self.answers(place, what) for what in whats):
                    if isinstance(work, Group):
                        self.here, self.out.used = at, self.out.used + 1
                        self.made_group(work.steps)
                        break
                    count = at_size(work.count, self.size) if work.count is not None else 1
                    self.at = self.here = at
                    self.out.used += 1
                    times = (
                        place.length
                        if place.kind == SPACE and any(w.name == "ch" for w in whats)
                        else 1
                    )
                    self.many_in_one(work.stitch, count * times, step.span)
                    break
        self.at = max(stop, self.at)

    def answers(self, place: Run, what: What) -> bool:
        """Whether a place is what an "each" names; corners are told by their length."""
        if what.name.startswith("corner") and place.kind == SPACE:
            return place.length == (what.length or self.corner_length("corner"))
        if _answers(place, what):
            return True
        if place.kind == SPACE or "sp" in what.name or what.name == "ch":
            return False
        named = any(_is_kind(p, what.name) and not p.turning for p in self.places)
        return not named or self.choice("typed", 2) == 1

    def repeat(self, step: Repeat) -> None:
        """A repeat inside another, or one with a fixed number of times."""
        if step.times is None:
            self.fill(step, ())
            return
        if step.until is not None and step.until.kind != "end":
            self.fill(step, ())
            return
        times = self.times_of(step)
        used, made = self.out.used, self.count_made()
        quick = self.uniform_pass(step.steps) if times > 2 and step.cut is None else None
        if quick is not None:
            self.multiply(step, times, *quick)
            return
        first: Trace | None = None
        for turn in range(times):
            last = turn == times - 1
            body = step.steps[: step.cut] if last and step.cut is not None else step.steps
            self.depth += 1
            self.sequence(body)
            self.depth -= 1
            if turn == 0 and self.depth == 0:
                first = Trace(step.span, self.out.used - used, self.count_made() - made, times)
        if first is not None:
            self.out.trace.append(first)
        self.out.repeats += times

    def multiply(self, step: Repeat, times: int, runs: list[Run], places: int, used: int) -> None:
        """Work a uniform body several times at once."""
        end = self.end if self.limit is None else self.limit
        self.made += runs * times
        self.out.used += used * times
        short = max(self.at + places * times - end, 0)
        self.out.short += short
        self.at = min(self.at + places * times, max(end, self.at))
        self.here = self.at - 1
        if not self.depth:
            self.out.trace.append(Trace(step.span, used, stitches_in(runs), times))
        self.out.repeats += times

    def times_of(self, step: Repeat) -> int:
        assert step.times is not None
        times = at_size(step.times, self.size)
        if times > MAX_PLACES:
            raise NotWorked("the figure is too large to be worked", step.span)
        if step.doubtful and self.choice("times in all", 2) == 1:
            return times
        return times + 1 if step.more else times

    def mark(self) -> _Mark:
        return _Mark(
            self.at,
            len(self.made),
            self.made[-1] if self.made else None,
            self.here,
            self.out.used,
            self.out.short,
            self.own,
            self.chain_seen,
            len(self.out.totals),
        )

    def back_to(self, mark: _Mark, full: list[Run] | None = None) -> None:
        """Undo to a state; ``full`` holds what had been made where later states undid it."""
        self.at, self.here = mark.at, mark.here
        if full is not None:
            self.made[:] = full[: mark.made]
        else:
            del self.made[mark.made :]
        if mark.last is not None:
            self.made[-1] = mark.last
        self.out.used, self.out.short = mark.used, mark.short
        self.own, self.chain_seen = mark.own, mark.pending
        del self.out.totals[mark.totals :]

    def fill(self, step: Repeat, rest: tuple[Step, ...]) -> None:
        """As often as fits: try the passes from the most down, until the rest comes out even."""
        if step.times is not None:
            self.counted_with_cut(step, rest)
            return
        below = self.need_below(step.span)
        if below.is_ring:
            raise NotWorked("a repeat in a ring needs a number", step.span)
        limit_before = self.limit
        if step.until is not None and step.until.kind != "end":
            self.limit = self.stop_for(step.until, step.span)
        states = self.passes(step)
        full = list(self.made)
        self.limit = limit_before
        stop = (
            self.stop_for(step.until, step.span)
            if step.until and step.until.kind != "end"
            else None
        )
        best: tuple[int, int] | None = None
        for passes in sorted(states.marks, reverse=True)[:4]:
            if passes == 0 and not step.cut and states.count:
                continue
            outcome = self.attempt(step, rest, states.marks[passes], full, stop)
            if outcome == 0:
                best = (passes, 0)
                break
            if best is None or outcome < best[1]:
                best = (passes, outcome)
        assert best is not None
        if best[1] and step.cut is None and _ends_instead(step, rest):
            short = replace(step, cut=len(step.steps) - 1)
            for passes in sorted(states.marks, reverse=True)[:4]:
                if self.attempt(short, rest, states.marks[passes], full, stop) == 0:
                    self.finish_fill(short, rest, states, full, passes, stop)
                    return
        self.finish_fill(step, rest, states, full, best[0], stop)

    def passes(self, step: Repeat) -> _States:
        """The states after the last few passes, as far as the places reach."""
        start = self.mark()
        quick = self.uniform_pass(step.steps)
        if quick is not None:
            return self.uniform_states(start, *quick)
        states = _States({0: start}, 0, 0, 0)
        used, made = self.out.used, self.count_made()
        self.depth += 1
        before = start
        while True:
            if states.count > MAX_PLACES:
                raise NotWorked("the figures are too large to be worked", step.span)
            self.sequence(step.steps)
            stuck = self.out.short > before.short
            if stuck or self.at <= before.at:
                self.back_to(before)
                if not stuck and not states.count:
                    self.depth -= 1
                    raise NotWorked("the repeat uses no stitches", step.span)
                break
            before = self.mark()
            states.add(before)
            if states.count == 1:
                states.uses, states.makes = self.out.used - used, self.count_made() - made
        self.depth -= 1
        return states

    def uniform_pass(self, steps: tuple[Step, ...]) -> tuple[list[Run], int, int] | None:
        """One pass of a body that does the same wherever it stands: (runs, places, used).

        None where the body may depend on its place, or does not fit even once.  The state
        is left as it was.
        """
        if not self.flat or self.in_place or self.own or self.chain_seen or self.standing:
            return None
        if self.below is None or self.below.is_ring or not _is_uniform(steps):
            return None
        start, made = self.mark(), self.made
        self.made = []
        self.depth += 1
        self.sequence(steps)
        self.depth -= 1
        runs, self.made = self.made, made
        places, used, short = (
            self.at - start.at,
            self.out.used - start.used,
            self.out.short - start.short,
        )
        self.back_to(start)
        return (runs, places, used) if places > 0 and not short and runs else None

    def uniform_states(self, start: _Mark, runs: list[Run], places: int, used: int) -> _States:
        """The states after the last few passes of a uniform body, by multiplication."""
        end = self.end if self.limit is None else self.limit
        count = max((end - start.at) // places, 0)
        if count * len(runs) > MAX_PLACES:
            raise NotWorked("the figures are too large to be worked")
        states = _States({0: start}, count, used, stitches_in(runs))
        for passes in range(max(count - 4, 1), count + 1):
            states.marks[passes] = start._replace(
                at=start.at + passes * places,
                made=start.made + passes * len(runs),
                last=runs[-1],
                here=start.at + passes * places - 1,
                used=start.used + passes * used,
            )
        self.made += runs * count
        return states

    def attempt(
        self,
        step: Repeat,
        rest: tuple[Step, ...],
        mark: _Mark,
        full: list[Run],
        stop: int | None,
    ) -> int:
        """How far the row is from coming out even from this state; 0 is even."""
        state = (
            dict(self.out.rules_used),
            self.out.joined,
            self.out.turned,
            self.out.chain_after,
            self.rest_said,
            list(self.out.trace),
            self.out.exact,
            self.out.remainder,
            self.out.left,
            self.out.plain,
            self.out.fastened,
        )
        self.back_to(mark, full)
        before = self.out.short
        try:
            self.after_passes(step, rest, stop)
            short = self.out.short - before
            gap = (
                short * 3
                + (0 if self.rest_said else self.unused())
                + (50 if self.out.remainder and not state[7] else 0)
                + max(self.out.left - state[8], 0)
            )
        except NotWorked:
            gap = 10_000
        self.back_to(mark, full)
        (
            self.out.rules_used, self.out.joined, self.out.turned, self.out.chain_after,
            self.rest_said, self.out.trace, self.out.exact, self.out.remainder, self.out.left,
            self.out.plain, self.out.fastened,
        ) = state  # fmt: skip
        return gap

    def after_passes(self, step: Repeat, rest: tuple[Step, ...], stop: int | None) -> None:
        if step.cut is not None:
            self.depth += 1
            self.sequence(step.steps[: step.cut])
            self.depth -= 1
        if stop is not None:
            over = self.places_between(self.at, stop)
            if over:
                self.out.remainder = (over, 0, step.span)
            self.at = max(self.at, stop)
        self.sequence(rest, top=True)

    def places_between(self, at: int, stop: int) -> int:
        if self.flat:
            return max(stop - at, 0)
        return 0

    def unused(self) -> int:
        """Places left at the end of the row: all of them, spaces and stitches."""
        if self.flat:
            return max(self.end - self.at, 0)
        return sum(1 for p in self.places[self.at : self.end])

    def finish_fill(
        self,
        step: Repeat,
        rest: tuple[Step, ...],
        states: _States,
        full: list[Run],
        passes: int,
        stop: int | None,
    ) -> None:
        self.back_to(states.marks[passes], full)
        if passes:
            times = passes + (step.cut is not None)
            self.out.trace.append(Trace(step.span, states.uses, states.makes, times, True))
        elif not states.count and not step.cut and (stop is None or stop > self.at):
            self.out.remainder = (self.left(), 0, step.span)
        self.out.repeats += passes
        self.after_passes(step, rest, stop)

    def counted_with_cut(self, step: Repeat, rest: tuple[Step, ...]) -> None:
        """A repeat with a number whose last pass is cut short, then the rest of the row."""
        if step.until is not None and step.until.kind != "end":
            self.fill(Repeat(step.span, step.steps, None, until=step.until, cut=step.cut), rest)
            return
        times = self.times_of(step)
        used, made = self.out.used, self.count_made()
        for turn in range(times):
            last = turn == times - 1
            self.depth += 1
            self.sequence(step.steps[: step.cut] if last and step.cut is not None else step.steps)
            self.depth -= 1
        self.out.trace.append(Trace(step.span, self.out.used - used, self.count_made() - made))
        self.out.repeats += times
        self.sequence(rest, top=True)

    # --- places ---------------------------------------------------------------------

    def at_next(self, step: Work, stitch: Stitch, count: int | None, place: Place) -> None:
        number = at_size(place.count, self.size)
        what = place.whats[0] if place.whats else What("st")
        if number > MAX_PLACES:
            raise NotWorked("the figure is too large to be worked", step.span)
        if number == 0:
            return
        if (
            stitch.role == "slip"
            and self.made_stitches()
            and self.below is not None
            and self.unused() == 0
        ):
            self.settle_if_joined()
            self.out.joined = True
            return
        if stitch.role in ("dec", "tog") and stitch.uses > 1:
            self.together(step, stitch, count, what, number)
            return
        each = count or 1
        if count is not None and count > 1 and number > 1 and not place.each:
            if count == number and stitch.role in ("", "named"):
                if self.choice("so many in so many", 2) == 0:
                    each = 1
            elif stitch.role == "inc":
                each = 1
        if place.each and stitch.role == "inc" and count is not None:
            each = 1
        if self.below is not None and self.below.is_ring and what.name in ("sp", "st", "ch"):
            self.produce(stitch, each * number, step.span)
            return
        if stitch.steps or (each > 1 and stitch.role not in ("slip",)):
            for _ in range(number):
                self.take(what, 1, step.span)
                self.many_in_one(stitch, each, step.span)
            return
        self.take(what, number, step.span)
        self.produce(stitch, each * number, step.span)

    def many_in_one(self, stitch: Stitch, count: int, span: Span) -> None:
        """Several stitches in one place, marked as worked together."""
        if stitch.steps or self.in_place or count < 3 or self.flat_row():
            self.produce(stitch, count, span)
            return
        self.made_group((Work(span, stitch, (count,)),), "group")

    def flat_row(self) -> bool:
        return False

    def together(
        self, step: Work, stitch: Stitch, count: int | None, what: What, number: int
    ) -> None:
        """Stitches worked together over so many places, or all in one place."""
        if number == 1 and (stitch.role == "tog") and what.name != "st":
            for _ in range(count or 1):
                self.take(what, 1, step.span)
                self.produce(stitch, 1, step.span)
            return
        if (
            number == 1
            and stitch.role == "tog"
            and what.name == "st"
            and self.choice("together in one stitch", 2) == 1
        ):
            self.take_stitches(1, step.span)
            self.produce(stitch, count or 1, step.span)
            return
        times = count or (max(1, number // stitch.uses) if number > 1 else 1)
        self.take_stitches(
            max(times * stitch.uses, number if number % stitch.uses else 0), step.span
        )
        self.produce(stitch, times, step.span)

    def at_first(self, step: Work, stitch: Stitch, count: int | None, place: Place) -> None:
        what = place.whats[0] if place.whats else What("st")
        if (
            what.name == "ch"
            and self.edge_seen
            and self.below is not None
            and not self.below.is_chain
        ):
            self.produce(stitch, count or 1, step.span)
            return
        unknown = self.below is None and self.count_made() > 2 and not self.setting.first
        closing = unknown or (
            self.made_stitches()
            and self.at > 1
            and not (self.below is not None and self.below.is_chain and self.at <= 2)
        )
        if closing and "sp" not in what.name and self.unused() <= self.end // 2:
            if stitch.role == "slip":
                self.settle_if_joined()
                self.out.joined = True
                return
            self.joining_stitch(stitch)
            return
        if "sp" not in what.name:
            self.to_first()
        self.at_next(step, stitch, count, Place(Which.NEXT, place.count, place.whats, place.each))

    def settle_if_joined(self) -> None:
        if self.chain_seen:
            self.settle_chain()

    def joining_stitch(self, stitch: Stitch) -> None:
        """A stitch in place of the last chains of a round: with them it forms a space."""
        height = turning_chain(stitch.base, self.setting.terms) or 1
        self.chain_seen += height
        self.settle_chain()
        self.out.joined = True
        self.out.at_space = True
        self.out.exact = False

    def at_last(self, step: Work, stitch: Stitch, count: int | None, place: Place) -> None:
        what = place.whats[0] if place.whats else What("st")
        number = at_size(place.count, self.size)
        if self.below is not None and not self.own:
            self.to_last(what, number)
        self.at_next(step, stitch, count, Place(Which.NEXT, place.count, place.whats, place.each))

    def at_same(self, step: Work, stitch: Stitch, count: int | None, place: Place) -> None:
        if (
            stitch.role == "slip"
            and self.made_stitches()
            and not self.chain_seen
            and self.unused() == 0
        ):
            self.out.joined = True
            return
        self.stand()
        if stitch.role == "slip" and 0 < self.chain_seen <= 6 and self.made_stitches():
            self.chain_seen = 0
            self.made.append(Run(PICOT))
            return
        if self.here is None and self.below is not None and not self.below.is_ring:
            what = place.whats[0] if place.whats else What("st")
            self.take(what, 1, step.span)
        if stitch.role in ("dec", "tog") and stitch.uses > 1:
            if stitch.role == "dec" or self.choice("together in one stitch", 2) == 0:
                self.take_stitches(stitch.uses - 1, step.span)
            self.produce(stitch, count or 1, step.span)
            return
        self.produce(stitch, count or 1, step.span)

    def at_each(self, step: Work, stitch: Stitch, count: int | None, place: Place) -> None:
        if any(what.name == "row end" for what in place.whats):
            rows = self.setting.rows_before
            self.out.exact = False
            if rows == 0:
                raise NotWorked("how many row ends there are is not known", step.span)
            self.produce(stitch, rows * (count or 1), step.span)
            return
        if not place.each and count is not None and place.nth == 0:
            if (
                count > 3
                or step.count_after
                or stitch.uses > 1
                or self.choice("so many around", 2) == 1
            ):
                self.bare(step, count)
                return
        if stitch.uses > 1 and place.until is not None and place.until.kind == "remain":
            self.need_below(step.span)
            self.out.used += self.left()
            self.at = self.end
            self.out.exact = False
            self.produce(stitch, at_size(place.until.count, self.size), step.span)
            return
        if stitch.role in ("dec", "tog") and stitch.uses > 1:
            places = self.fill_places(place, step.span)
            if places % stitch.uses:
                self.out.remainder = (places, stitch.uses, step.span)
            self.produce(stitch, places // stitch.uses, step.span)
            return
        if place.nth > 1:
            self.every_nth(step, stitch, count, place)
            return
        if self.choice("to the end repeats all", 1) == 0:
            number = self.each_place(place, step.span)
            if stitch.steps or (count or 1) > 2:
                for _ in range(number):
                    self.many_in_one(stitch, count or 1, step.span)
            else:
                self.produce(stitch, number * (count or 1), step.span)

    def every_nth(self, step: Work, stitch: Stitch, count: int | None, place: Place) -> None:
        """ "Inc in every 4th st": those between are worked plain; "every other": passed over."""
        places = self.fill_places(
            Place(place.which, place.count, place.whats, True, place.until), step.span
        )
        if stitch.role == "inc" or (count or 1) > 1:
            self.produce(Stitch(stitch.base, stitch.base), places, step.span)
            extra = (stitch.makes if stitch.role == "inc" else count or 1) - 1
            self.produce(Stitch(stitch.base, stitch.base), places // place.nth * extra, step.span)
            return
        self.produce(stitch, -(-places // place.nth), step.span)

    def at_nth(self, step: Work, stitch: Stitch, count: int | None, place: Place) -> None:
        if self.hook_row and not self.made_stitches():
            self.on_hook(step, stitch, count, Place(Which.HOOK, nth=place.nth))
            return
        self.take_nth(place, step.span)
        self.produce(stitch, count or 1, step.span)

    def take_nth(self, place: Place, span: Span) -> None:
        what = place.whats[0] if place.whats else What("st")
        self.take(what, max(place.nth, 1), span)
        self.out.exact = False

    def in_ring(self, step: Work, stitch: Stitch, count: int | None, place: Place) -> None:
        if self.below is None or not self.below.is_ring:
            if self.below is None or not self.made_stitches():
                self._lay(RING_FABRIC)
                self.chain_seen = 0
                self.out.begins = True
                if self.first_step is not None:
                    rule = self.rule_for(self.first_step, at_size(self.first_step.count, self.size))
                    if rule.counts and rule.said and not rule.space:
                        self.made.append(Run(rule.stitch or stitch.base, 1, 0, "", 0, "", True))
            else:
                raise NotWorked("there is no ring to work into", step.span)
        if self.ring_groups and (count or 1) > 2:
            self.many_in_one(stitch, count or 1, step.span)
        else:
            self.produce(stitch, count or 1, step.span)

    def on_hook(self, step: Work, stitch: Stitch, count: int | None, place: Place) -> None:
        if stitch.role == "slip" and self.chain_seen and (self.made_stitches() or self.in_place):
            self.chain_seen = max(0, self.chain_seen - place.nth)
            self.made.append(Run(PICOT))
            return
        self.from_hook(place.nth, step.span)
        self.produce(stitch, count or 1, step.span)

    def from_hook(self, nth: int, span: Span) -> None:
        """The first stitch of a row into a chain: the chains before it are passed over."""
        nth = max(nth, 1)
        if self.chain_seen and (
            self.made_stitches()
            or (self.below is not None and not self.below.is_chain and self.here is not None)
        ):
            self.own = max(self.chain_seen - nth, 0)
            if nth > self.chain_seen:
                self.out.short += nth - self.chain_seen
            self.chain_seen = 0
            self.out.exact = False
            return
        chains = self.chain_seen
        if not chains and self.below is not None and self.below.chain and not self.below.is_chain:
            chains = self.below.chain
        self.chain_seen = 0
        if chains and self.below is not None and not self.below.is_chain and not self.below.is_ring:
            self._lay(
                Fabric((Run(CHAIN, chains), *_in_order(self.below)), False, 0, self.below.loose)
            )
            self.flat = self.below.plain
            self.end = self.below.stitches if self.flat else self.end
        elif chains:
            self._lay(Fabric((Run(CHAIN, chains),)))
        elif self.below is None or not self.below.is_chain:
            if self.setting.first and self.hook_alone:
                self._lay(RING_FABRIC)
                self.out.begins = True
                return
            raise NotWorked("how long the foundation chain is is not known", span)
        self.at = nth - 1
        self.first_chain = nth - 1
        if self.at >= self.end:
            self.out.short += 1
        rule = self.skipped_rule
        if rule is None:
            rule = self.setting.chain_rule(-(nth - 1), self.next_stitch)
            self.out.rules_used[(-(nth - 1), self.next_stitch)] = rule
        if rule.counts and nth > 1:
            self.made.append(Run(rule.stitch or self.next_stitch or "st", 1, 0, "", 0, "", True))
            if rule.space:
                self.made.append(Run(SPACE, 1, rule.space))
        self.here = self.at
        self.at += 1
        self.out.used += 1

    def on_turning_chain(self, step: Work, stitch: Stitch, count: int | None, place: Place) -> None:
        if stitch.role == "slip":
            if self.chain_seen:
                self.settle_chain()
            self.out.joined = True
            return
        if self.below is not None and self.unused():
            self.to_last(What("st"), 1)
            if stitch.role in ("dec", "tog") and stitch.uses > 1:
                self.take_stitches(1, step.span)
            else:
                self.take_stitches(1, step.span)
        elif self.below is not None:
            self.out.exact = False
        self.produce(stitch, count or 1, step.span)

    def at_corner(self, step: Work, stitch: Stitch, count: int | None, place: Place) -> None:
        what = place.whats[0] if place.whats else What("corner")
        if place.each:
            raise NotWorked("how many corners there are is not known", step.span)
        self.take_corner(what, step.span)
        self.produce_in_place(stitch, count or 1, step.span)

    def produce_in_place(self, stitch: Stitch, count: int, span: Span) -> None:
        if count > 1 and not self.in_place and not stitch.steps:
            self.made_group((Work(span, stitch, (count,)),), "group")
        else:
            self.produce(stitch, count, span)

    def take_corner(self, what: What, span: Span) -> None:
        if self.below is None or self.below.is_ring:
            self.out.exact = False
            return
        if self.flat:
            self.out.exact = False
            self.take_special(What("corner"), span)
            return
        self.take_special(
            What("corner" if "corner" in what.name else "center"), span
        ) if what.length is None else self.take_space(what, span)

    def at_middle(self, step: Work, stitch: Stitch, count: int | None, place: Place) -> None:
        if place.each:
            groups = self.groups_left(place)
            if not groups:
                raise NotWorked("where the groups are is not known", step.span)
            for _ in range(groups):
                self.take_middle(place, step.span)
                self.produce_in_place(stitch, count or 1, step.span)
            return
        self.take_middle(place, step.span)
        self.produce_in_place(stitch, count or 1, step.span)

    def groups_left(self, place: Place) -> int:
        what = place.whats[0]
        if what.of == "sp" or "sp" in what.of:
            return sum(
                1
                for p in self.places[self.at :]
                if p.kind == SPACE and what.length in (None, p.length)
            )
        return len(
            {p.group for p in self.places[self.at :] if p.group and what.of in (p.of, "group")}
        )

    def take_middle(self, place: Place, span: Span) -> None:
        """The middle (or nth) stitch or chain of the next group or space."""
        if self.below is None:
            raise NotWorked("the row below is not known", span)
        what = place.whats[0]
        if what.of in ("sp", "ch") or (what.name == "ch" and what.length):
            self.take_space(What("sp", what.length), span)
            return
        if self.flat and not any(run.group for run in self.below.runs):
            raise NotWorked("where the group is is not known", span)
        if self.flat:
            self.places, self.flat = self.below.places, False
            self.end = len(self.places)
        at = self.at
        while at < self.end and not (
            self.places[at].group
            and what.of in (self.places[at].of, "group", "st", "shell", "dc", "sc", "hdc", "tr")
        ):
            at += 1
        if at >= self.end:
            raise NotWorked("where the group is is not known", span)
        group = self.places[at].group
        members = []
        while at < self.end and self.places[at].group == group:
            members.append(at)
            at += 1
        of_kind = [
            m
            for m in members
            if (self.places[m].kind == SPACE) == ("sp" in what.name or what.name == "ch")
        ]
        chosen = of_kind or members
        nth = place.nth
        index = (
            len(chosen) - 1
            if nth == -1
            else nth - 1
            if 0 < nth <= len(chosen)
            else len(chosen) // 2
        )
        self.here = chosen[index]
        self.at = chosen[index] + 1
        self.out.used += 1

    def at_between(self, step: Work, stitch: Stitch, count: int | None, place: Place) -> None:
        self.out.exact = False
        if place.nth == -1:
            self.produce_in_place(stitch, count or 1, step.span)
            return
        if place.each:
            below = self.need_below(step.span)
            gaps = self.left()
            groups = [run.group for run in below.runs if run.group]
            if place.whats[0].name in ("group", "cluster", "shell") and groups:
                gaps = len(set(groups))
                for _ in range(gaps - (0 if below.in_round or self.setting.in_round else 1)):
                    self.produce_in_place(stitch, count or 1, step.span)
                self.at = self.end
                return
            if not (below.in_round or self.setting.in_round):
                gaps -= 1
            self.at = self.end
            self.produce(stitch, gaps * (count or 1), step.span)
            return
        if self.below is not None and self.at < self.end and not self.below.is_ring:
            self.take_stitches(1, step.span)
        self.produce(stitch, count or 1, step.span)

    def at_any(self, step: Work, stitch: Stitch, count: int | None, place: Place) -> None:
        if not self.made:
            self.start_at(place, step.span)
        if self.here is None:
            what = place.whats[0] if place.whats else What("st")
            if self.below is not None:
                self.take(what, 1, step.span)
        if stitch.role == "slip" and not self.made:
            return
        self.produce(stitch, count or 1, step.span)

    edge_seen = False

    def on_edge(self, step: Work, stitch: Stitch, count: int | None, place: Place) -> None:
        self.out.exact = False
        self.edge_seen = True
        if stitch.role == "slip":
            return
        self.out.plain = False
        if count is None:
            raise NotWorked("how many stitches are worked along an edge is not said", step.span)
        self.produce(stitch, count, step.span)

    def elsewhere(self, step: Work, stitch: Stitch, count: int | None, place: Place) -> None:
        number = at_size(place.count, self.size)
        if number > MAX_PLACES:
            raise NotWorked("the figure is too large to be worked", step.span)
        if (
            self.below is not None
            and self.left() >= number
            and not self.below.is_ring
            and self.below.stitches == number
        ):
            self.take_stitches(number, step.span)
        else:
            self.out.exact = False
            self.out.used += number
            if self.below is not None:
                self.at = min(self.end, self.at + number) if self.flat else self.at
        if stitch.role in ("dec", "tog") and stitch.uses > 1:
            self.produce(stitch, number // stitch.uses, step.span)
            return
        self.produce(stitch, number * (count or 1), step.span)

    def evenly(self, step: Evenly) -> None:
        self.need_below(step.span)
        change = at_size(step.change, self.size)
        if self.made_stitches() and self.left() == 0:
            self.change_made(change, step.span)
            return
        count = self.left() + change
        if count < 0:
            raise NotWorked("there are not so many stitches to decrease", step.span)
        self.out.used += self.left()
        self.at = self.end
        self.out.exact = False
        kind = self.kind_below()
        self.made = [run for run in self.made if run.turning]
        self.make(Run(kind, count - sum(r.count for r in self.made)))

    def change_made(self, change: int, span: Span) -> None:
        """ "Sc around, decreasing 6 sts evenly": what was just made becomes fewer or more."""
        last = self.made[-1]
        if last.count + change < 0:
            raise NotWorked("there are not so many stitches to decrease", span)
        self.made[-1] = last._replace(count=last.count + change)
        self.out.exact = False

    # --- the result -----------------------------------------------------------------

    def goes_round(self) -> bool:
        """Whether a chain at the end closes a round, so that it is a space."""
        ring = self.below is not None and (self.below.is_ring or self.below.in_round)
        return ring or self.setting.in_round

    def result(self) -> Worked:
        """The row as worked, with what is left over and what hangs on for the next row."""
        out = self.out
        if self.chain_seen:
            if not self.made_stitches():
                self.made.append(Run(CHAIN, self.chain_seen))
                out.begins = True
            elif out.joined or out.turned or not self.goes_round():
                out.chain_after = out.chain_after or self.chain_seen
            else:
                self.settle_chain()
        out.runs = with_begun_group(merged(self.made))
        out.ring_chain = self.ring_chain
        out.ring = not out.runs and self.below is not None and self.below.is_ring
        if self.below is not None and not self.below.is_ring:
            if out.exact and not self.rest_said:
                out.left += self.unused() if self.flat else 0
            out.plain = out.plain and self.flat
        else:
            out.exact = out.exact and self.below is not None
        if sum(run.count for run in out.runs) > MAX_PLACES:
            raise NotWorked("the figures are too large to be worked")
        return out


_STEPS: dict[type[Step], Callable[[_Worker, Any], None]] = {
    Work: _Worker.work,
    Chain: _Worker.chain,
    Skip: _Worker.skip,
    Group: _Worker.grouped,
    Repeat: _Worker.repeat,
    Each: _Worker.along,
    Join: _Worker.join,
    Ring: _Worker.ring,
    Loops: _Worker.loops,
    OtherSide: _Worker.other_side,
    Turn: _Worker.turned,
    FastenOff: _Worker.fasten_off,
    Evenly: _Worker.evenly,
    Total: _Worker.total,
    Unread: _Worker.unread,
    RowsReference: _Worker.reference,
    Note: _Worker.note,
}

_PLACES: dict[Which, Callable[[_Worker, Work, Stitch, int | None, Place], None]] = {
    Which.NEXT: _Worker.at_next,
    Which.FIRST: _Worker.at_first,
    Which.LAST: _Worker.at_last,
    Which.SAME: _Worker.at_same,
    Which.EACH: _Worker.at_each,
    Which.NTH: _Worker.at_nth,
    Which.RING: _Worker.in_ring,
    Which.HOOK: _Worker.on_hook,
    Which.TURNING_CHAIN: _Worker.on_turning_chain,
    Which.CORNER: _Worker.at_corner,
    Which.MIDDLE: _Worker.at_middle,
    Which.BETWEEN: _Worker.at_between,
    Which.ANY: _Worker.at_any,
    Which.EDGE: _Worker.on_edge,
    Which.ELSEWHERE: _Worker.elsewhere,
}


def _answers(place: Run, what: What) -> bool:
    """Whether a place is what an "each" names."""
    if place.kind == SPACE:
        return what.name == "ch" or ("sp" in what.name and what.length in (None, place.length))
    return "sp" not in what.name and what.name != "ch" and _is_kind(place, what.name)


def stitches_in(runs: Sequence[Run]) -> int:
    """How many of the places are stitches that count."""
    return sum(run.count for run in runs if run.kind not in (SPACE, SLIP, PICOT))


@lru_cache(maxsize=4096)
def _uniform(steps: _Kept) -> bool:
    return all(_is_uniform_step(step) for step in steps.steps)


class _Kept:
    """Steps compared by identity, so that looking them up does not hash them."""

    __slots__ = ("steps",)

    def __init__(self, steps: tuple[Step, ...]) -> None:
        self.steps = steps

    def __hash__(self) -> int:
        return id(self.steps)

    def __eq__(self, other: object) -> bool:
        return isinstance(other, _Kept) and other.steps is self.steps


def _is_uniform(steps: tuple[Step, ...]) -> bool:
    """Whether a body only works into the next stitches, so that every pass is alike."""
    return _uniform(_Kept(steps))


def _is_uniform_step(step: Step) -> bool:
    if isinstance(step, Note):
        return True
    if not isinstance(step, Work) or step.stitch.steps:
        return False
    if step.stitch.role not in ("", "inc", "dec", "tog", "named"):
        return False
    place = step.place
    if place is None:
        return True
    plain = all("sp" not in what.name and not what.of for what in place.whats)
    special = any(
        what.name in ("ch", "corner", "center", "marked st", "group") for what in place.whats
    )
    return place.which is Which.NEXT and plain and not special and place.row is None


def _is_kind(place: Run, name: str) -> bool:
    if place.kind == SPACE:
        return "sp" in name
    return name in (place.kind, place.name, place.of) or place.kind == "st" or name == "st"


def _in_order(fabric: Fabric) -> tuple[Run, ...]:
    return tuple(reversed(fabric.runs)) if fabric.turned else fabric.runs


def _walk(steps: Sequence[Step]) -> list[Step]:
    out: list[Step] = []
    for step in steps:
        out.append(step)
        if isinstance(step, Group | Repeat):
            out += _walk(step.steps)
    return out


def _uses_hook(steps: tuple[Step, ...]) -> bool:
    """Whether the row's first stitch goes into a chain counted from the hook."""
    for step in _walk(steps):
        if isinstance(step, Work):
            if step.place is not None and step.place.which is Which.HOOK:
                return True
            return _nth_chain(step.place)
        if isinstance(step, Group) and step.place is not None and step.place.which is Which.HOOK:
            return True
    return False


def _nth_chain(place: Place | None) -> bool:
    """ "Sc in 2nd ch": counted from the hook, though that is not said."""
    return place is not None and place.which is Which.NTH and place.whats[0].name == "ch"


def _first_stitch(steps: tuple[Step, ...]) -> str:
    """The first real stitch of the row: what a turning chain stands for."""
    for step in _walk(steps):
        if isinstance(step, Work) and step.stitch.role not in ("slip", "picot"):
            if step.stitch.steps:
                inner = _first_stitch(step.stitch.steps)
                if inner:
                    return inner
            return step.stitch.base
    return ""


def _begins_with_cluster(steps: tuple[Step, ...]) -> bool:
    """ "Ch 2, dc2tog in same sp", "(ch 3, dc2tog, ...) in sp": the chain is a leg of it."""
    inside = False
    for step in _walk(steps):
        if isinstance(step, Group) and step.place is not None:
            inside = True
        if isinstance(step, Work):
            if step.stitch.role == "slip":
                continue
            place = step.place
            one = place is not None and place.which in (Which.SAME, Which.RING)
            return step.stitch.role == "tog" and (one or inside)
    return False


def _into_loop(steps: tuple[Step, ...]) -> bool:
    """ "6 sc in loop" at the start of a piece: the loop is a ring."""
    for step in _walk(steps):
        if isinstance(step, Work | Group) and step.place is not None:
            place = step.place
            loop = place.whats and place.whats[0].name == "sp" and place.whats[0].length is None
            return bool(loop) and place.which in (Which.NEXT, Which.ANY) and place.count == (1,)
        if isinstance(step, Work | Skip):
            return False
    return False


def _only_chains(steps: tuple[Step, ...], least: int) -> bool:
    """A line that makes a foundation chain and nothing else."""
    chains = [s for s in steps if isinstance(s, Chain)]
    others = any(isinstance(s, Work | Group | Repeat | Skip | Ring | RowsReference) for s in steps)
    return bool(chains) and not others and max(chains[0].count) >= least


def _starts_with_chain(steps: tuple[Step, ...]) -> bool:
    for step in steps:
        if isinstance(step, Chain) and step.count != (0,):
            return True
        if isinstance(step, Work | Group | Repeat | Skip):
            return False
    return False


def _implied_body(
    steps: tuple[Step, ...],
) -> tuple[tuple[Step, ...], tuple[Step, ...], tuple[Step, ...]] | None:
    """Steps of a row without any repeat, as (before, body, after); None where it has one."""
    if any(isinstance(s, Repeat | RowsReference | OtherSide | Evenly) for s in steps):
        return None
    first = next((i for i, s in enumerate(steps) if isinstance(s, Work | Group | Skip)), None)
    if first is None:
        return None
    last = max(i for i, s in enumerate(steps) if isinstance(s, Work | Group | Skip))
    body = tuple(s for s in steps[first : last + 1])
    if any(isinstance(s, Total | Unread) for s in body):
        return None
    final = body[-1]
    fills = isinstance(final, Work) and final.place is not None and final.place.until is not None
    if fills:
        assert isinstance(final, Work)
        body = (*body[:-1], Work(final.span, final.stitch, final.count))
        if len(body) < 2:
            return None
    return steps[:first], body, steps[last + 1 :]


def _ends_instead(step: Repeat, rest: tuple[Step, ...]) -> bool:
    """ "... 5 dc in next sc; rep from * across, ending with 3 dc in last sc": one for the other."""
    ending = next((s for s in rest if isinstance(s, Work | Group)), None)
    replaced = step.steps[-1] if step.steps else None
    return (
        isinstance(ending, Work)
        and isinstance(replaced, Work)
        and len(step.steps) > 1
        and ending.place is not None
        and ending.place.which is Which.LAST
        and ending.stitch.base == replaced.stitch.base
    )


def _place_comes_last(steps: tuple[Step, ...]) -> bool:
    """ "3 dc, ch 2, 3 dc in next st", which may be three stitches first or all in one place."""
    if len(steps) < 3:
        return False
    first, chain, last = steps
    return (
        isinstance(first, Work)
        and isinstance(chain, Chain)
        and isinstance(last, Work)
        and first.place is None
        and last.place is not None
        and last.place.which is Which.NEXT
        and last.place.count == (1,)
        and first.stitch == last.stitch
        and first.count is not None
        and first.count == last.count
    )
