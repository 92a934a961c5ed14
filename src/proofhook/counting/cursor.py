"""The cursor: a place on the fabric below, and what has been made so far."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from proofhook.counting.fabric import (
    CHAIN,
    MAX_PLACES,
    RING,
    SLIP,
    SPACE,
    Fabric,
    Run,
    StitchIndex,
    is_kind,
    stitches_in,
)
from proofhook.counting.result import BELOW_UNKNOWN
from proofhook.counting.worked import ChainRule, NotWorked, Setting, Worked
from proofhook.pattern import Chain, Step, What
from proofhook.records import NamedTuple
from proofhook.text import Span

#: Steps a single row may take, one more for so many places gone over one by one; more is
#: no row that a person works.
MAX_STEPS, PLACES_A_STEP = 60_000, 256
TOO_LARGE = "the figures are too large to be worked"


class Mark(NamedTuple):
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


#: What the tiles of a corner-to-corner piece are called.
_TILES = frozenset(("group", "tile", "block", "square", "box"))

#: Names for stitches worked together in one place, though the row that made them gave none.
UNNAMED_GROUPS = frozenset(("group", "shell", "fan", "cluster"))


class Ways(NamedTuple):
    """How things are worked: each kind of step, and a sequence of them."""

    steps: Mapping[type[Step], Callable[[Cursor, Any], None]]
    sequence: Callable[[Cursor, tuple[Step, ...], bool], None]


class Cursor:
    """The cursor on the fabric below, and what has been made so far."""

    def __init__(
        self, below: Fabric | None, setting: Setting, reading: dict[str, int], ways: Ways
    ) -> None:
        self.setting = setting
        self.size = setting.size
        self.reading = reading
        self.out = Worked()
        self.made: list[Run] = []
        self._summed = self._sum = self._stitch_runs = 0
        self.steps_taken = 0
        self.group = 0
        self.depth = 0
        self.in_place = False
        self.rest_said = False
        self.rest: tuple[int, Span] | None = None
        self.limit: int | None = None
        self.skipped_rule: ChainRule | None = None
        self.next_stitch = ""
        self.turn_seen = False
        self.chain_seen = 0
        self.ways = ways
        self.works_done = False
        self.base_row: int | None = None
        self.first_chain = 0
        self.ring_chain = 0
        self.standing = False
        self.cluster_next = False
        self.bridge_next = False
        self.first_step: Chain | None = None
        self.next_group = 0
        self.group_name = ""
        self.edge_seen = False
        self.hook_row = False
        self.hook_alone = False
        self.ring_groups = False
        self.below: Fabric | None = None
        self.at = 0
        self.here: int | None = None
        self.own = 0
        self.end = 0
        self.places: tuple[Run, ...] = ()
        self._indexed: tuple[Run, ...] = ()
        self._index = StitchIndex(())
        self.flat = True
        self.lay(below)

    def left(self) -> int:
        """Stitches not yet used, up to the limit."""
        end = self.end if self.limit is None else self.limit
        if self.flat:
            return end - self.at
        stitches = self.stitch_index()
        return max(stitches.before(end) - stitches.before(self.at), 0)

    def need_below(self, span: Span) -> Fabric:
        """The row below; raises NotWorked where it is not known."""
        if self.below is None:
            raise NotWorked(BELOW_UNKNOWN, span)
        return self.below

    def count_step(self, span: Span) -> None:
        """Count one more step; raises NotWorked where they are too many."""
        self.steps_taken += 1
        if self.steps_taken > MAX_STEPS or self.out.used > MAX_PLACES:
            raise NotWorked(TOO_LARGE, span)

    def look_over(self, places: int) -> None:
        """Count so many places that are gone over one by one."""
        self.steps_taken += places // PLACES_A_STEP

    def stitch_index(self) -> StitchIndex:
        """Where the stitches lie among the places below."""
        if self.below is not None and self.places is self.below.places:
            return self.below.stitch_index
        if self._indexed is not self.places:
            self.look_over(len(self.places))
            self._indexed, self._index = self.places, StitchIndex(self.places)
        return self._index

    def take_stitches(self, count: int) -> None:
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
        stitches = self.stitch_index()
        first = stitches.before(self.at)
        taken = min(count, max(stitches.before(end) - first, 0))
        self.out.short += count - taken
        if taken:
            self.here = stitches.place_of(first + taken - 1)
            self.at = self.here + 1

    def make(self, run: Run) -> None:
        """Add made places to the row, in the group that is being worked."""
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
        """How many stitches have been made so far."""
        self._sum_on()
        return self._sum + stitches_in(self.made[-1:])

    def _sum_on(self) -> None:
        """Sum up what was made since: all but the last run, which may still grow."""
        before = max(len(self.made) - 1, 0)
        if before > self._summed:
            since = self.made[self._summed : before]
            self._sum += stitches_in(since)
            self._stitch_runs += sum(run.kind not in (SPACE, SLIP) for run in since)
            self._summed = before

    def sum_anew(self) -> None:
        """Begin the sum again, since something that was made is undone."""
        self._summed = self._sum = self._stitch_runs = 0

    def choice(self, key: str, options: int) -> int:
        """Which of several readings of the words is taken here."""
        self.out.asked[key] = max(self.out.asked.get(key, 0), options)
        return self.reading.get(key, 0)

    def made_stitches(self) -> bool:
        """Whether anything but chains and slip stitches has been made."""
        if not self.made:
            return False
        self._sum_on()
        return bool(self._stitch_runs) or self.made[-1].kind not in (SPACE, SLIP)

    def made_besides_turning(self) -> bool:
        """Whether anything but a turning chain has been made."""
        return any(not run.turning for run in self.made)

    def unused(self) -> int:
        """Places left at the end of the row: all of them, spaces and stitches."""
        if self.flat:
            return max(self.end - self.at, 0)
        return max(min(self.end, len(self.places)) - self.at, 0)

    def snapshot(self) -> tuple[Run, ...]:
        """What has been made so far, a chain before the end as the space it will be."""
        self.look_over(16 * len(self.made))  # it is kept
        runs = list(self.made)
        if self.chain_seen and self.out.joined:
            runs.append(Run(SPACE, 1, self.chain_seen))
        return tuple(runs)

    def mark(self) -> Mark:
        """The state of the work, to come back to."""
        return Mark(
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

    def back_to(self, mark: Mark, full: list[Run] | None = None) -> None:
        """Undo to a state; ``full`` holds what had been made where later states undid it."""
        self.at, self.here = mark.at, mark.here
        self.sum_anew()
        if full is not None:
            self.made[:] = full[: mark.made]
        else:
            del self.made[mark.made :]
        if mark.last is not None:
            self.made[-1] = mark.last
        self.out.used, self.out.short = mark.used, mark.short
        self.own, self.chain_seen = mark.own, mark.pending
        del self.out.totals[mark.totals :]

    def stand(self) -> None:
        """What is worked next goes into the place at which the round was begun."""
        if self.standing:
            self.standing = False
            if self.at == 0:
                self.at = 1
                self.out.used += 1

    def rotate(self, at: int) -> None:
        """The round begins at another place; what lies before it comes last."""
        parted = self.places[at].group if 0 < at < len(self.places) else 0
        self.places = self.places[at:] + self.places[:at]
        if parted and self.places[-1].group == parted:
            # The round now begins within a group, which is then no "next" group any more.
            self.places = tuple(
                p._replace(group=0, of="") if p.group == parted else p for p in self.places
            )
        self.out.exact = False

    def begin_at(self, at: int) -> None:
        """The round begins in that place, where the hook is from now on."""
        self.rotate(at)
        self.at, self.here, self.standing = 0, 0, True

    def kind_below(self) -> str:
        """The stitch of the row below, for "work even" and bare numbers."""
        if self.below is not None:
            for run in self.below.runs:
                if run.kind not in (SPACE, CHAIN, RING):
                    return run.kind
        return "st"

    def goes_round(self) -> bool:
        """Whether a chain at the end closes a round, so that it is a space."""
        ring = self.below is not None and (self.below.is_ring or self.below.in_round)
        return ring or self.setting.in_round

    def position_from_end(self, what: What, keep: int) -> int:
        """Where the last ``keep`` places of a kind begin."""
        end = self.end
        if self.setting.tiled and keep and what.name.split()[-1] in _TILES:
            spaces = [at for at in range(self.at, end) if self.places[at].kind == SPACE]
            return spaces[-keep - 1] + 1 if len(spaces) > keep else self.at
        groups = self.groups_named(what.name)
        if groups:
            return max(groups[-keep:][0] if keep else end, self.at)
        if self.flat:
            return max(end - keep, self.at)
        begins = max(end - keep, self.at)
        chains = any(run.kind == SPACE and run.length == 1 for run in self.places[begins:end])
        if what.name == "st" and chains and self.choice("chains counted from the end", 2) == 1:
            return begins
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
                left -= is_kind(place, what.name)
        return at

    def groups_named(self, name: str) -> list[int]:
        """Where the groups of that name begin: those so named, else those without a name."""
        if self.below is None or not any(run.group for run in self.below.runs):
            return []
        if name in ("st", "sp", "ch") or any(name in (r.kind, r.name) for r in self.below.runs):
            return []
        named = any(run.of == name for run in self.below.runs)
        if not named and name not in UNNAMED_GROUPS:
            return []
        wanted = name if named else "group"
        self.look_over(len(self.below.places))
        starts: list[int] = []
        before = 0
        for at, place in enumerate((self.places or self.below.places)[: self.end]):
            if place.group and place.group != before and place.of == wanted:
                starts.append(at)
            before = place.group
        return starts

    def to_first(self) -> None:
        """Back to the first place, as long as nothing has been worked over it."""
        if self.first_chain and not self.out.used:
            return  # "starting in 2nd ch: 2 sc in first ch"
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

    def lay(self, below: Fabric | None) -> None:
        """Take a fabric as the row below, from its first place on."""
        self.below = below
        self.at = 0
        self.here = None
        self.own = 0
        self.end = 0
        self.places = ()
        self.flat = True
        if below is not None:
            self.flat = below.plain and not below.shelled
            self.end = below.stitches if self.flat else len(below.places)
            if not self.flat:
                self.places = below.places
            self.out.below = below.stitches
            if below.is_ring:
                self.ring_chain = below.runs[0].length or self.ring_chain
            if below.at_space and self.places:
                self.places = (self.places[-1], *self.places[:-1])
                self.at, self.here = 1, 0

    def step(self, step: Step) -> None:
        """Work one step."""
        self.ways.steps[type(step)](self, step)

    def sequence(self, steps: tuple[Step, ...], top: bool = False) -> None:
        """Work steps one after another; ``top`` where they are those of the row itself."""
        self.ways.sequence(self, steps, top)
