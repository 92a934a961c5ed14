"""Repeats: a number of times, or as often as fits, the last pass cut short where it is said."""

from __future__ import annotations

from proofhook.counting.cursor import TOO_LARGE, Cursor, Mark
from proofhook.counting.fabric import MAX_PLACES, Run, stitches_in
from proofhook.counting.making import produce
from proofhook.counting.overview import ends_instead, is_uniform
from proofhook.counting.places_below import places_between, stop_for
from proofhook.counting.worked import NotWorked, Trace
from proofhook.pattern import Each, Group, Repeat, Skip, Step, Stitch, Work, at_size
from proofhook.records import dataclass, replace


@dataclass(slots=True)
class States:
    """States after passes of a repeat, by the number of passes: the first and the last few."""

    marks: dict[int, Mark]
    count: int
    uses: int
    makes: int

    def add(self, mark: Mark) -> None:
        """Keep the state after one more pass."""
        self.count += 1
        self.marks[self.count] = mark
        self.marks.pop(self.count - 5, None)


def work_repeat(cursor: Cursor, step: Repeat) -> None:
    """A repeat inside another, or one with a fixed number of times."""
    if step.times is None:
        fill_repeat(cursor, step, ())
        return
    if step.trailing and cursor.choice("the last alone is repeated", 2) == 1:
        alone = Repeat(step.span, step.steps[-1:], step.times)
        cursor.sequence((*step.steps[:-1], alone))
        return
    if step.until is not None and step.until.kind != "end":
        fill_repeat(cursor, step, ())
        return
    times = times_of(cursor, step)
    used, made = cursor.out.used, cursor.count_made()
    quick = uniform_pass(cursor, step.steps) if times > 2 and step.cut is None else None
    if quick is not None:
        multiply(cursor, step, times, *quick)
        return
    first: Trace | None = None
    for turn in range(times):
        last = turn == times - 1
        body = step.steps[: step.cut] if last and step.cut is not None else step.steps
        cursor.count_step(step.span)
        cursor.depth += 1
        cursor.sequence(body)
        cursor.depth -= 1
        if turn == 0 and cursor.depth == 0:
            first = Trace(step.span, cursor.out.used - used, cursor.count_made() - made, times)
    if first is not None:
        cursor.out.trace.append(first)
    cursor.out.repeats += times


def multiply(
    cursor: Cursor, step: Repeat, times: int, runs: list[Run], places: int, used: int
) -> None:
    """Work a uniform body several times at once."""
    end = cursor.end if cursor.limit is None else cursor.limit
    cursor.made += runs * times
    cursor.out.used += used * times
    short = max(cursor.at + places * times - end, 0)
    cursor.out.short += short
    cursor.at = min(cursor.at + places * times, max(end, cursor.at))
    cursor.here = cursor.at - 1
    if not cursor.depth:
        cursor.out.trace.append(Trace(step.span, used, stitches_in(runs), times))
    cursor.out.repeats += times


def times_of(cursor: Cursor, step: Repeat) -> int:
    """How often the body is worked, for the size at hand."""
    assert step.times is not None
    times = at_size(step.times, cursor.size)
    if times > MAX_PLACES:
        raise NotWorked("the figure is too large to be worked", step.span)
    if step.doubtful and cursor.choice("times in all", 2) == 1:
        return times
    return times + 1 if step.more else times


def fill_repeat(cursor: Cursor, step: Repeat, rest: tuple[Step, ...]) -> None:
    """As often as fits: try the passes from the most down, until the rest comes out even."""
    if step.times is not None:
        counted_with_cut(cursor, step, rest)
        return
    below = cursor.need_below(step.span)
    if below.is_ring:
        raise NotWorked("a repeat in a ring needs a number", step.span)
    if remains_of_all(step, rest):
        leave_so_many(cursor, step)
        return
    limit_before = cursor.limit
    if step.until is not None and step.until.kind != "end":
        cursor.limit = stop_for(cursor, step.until, step.span)
    states = passes_of(cursor, step)
    full = list(cursor.made)
    cursor.limit = limit_before
    stop = (
        stop_for(cursor, step.until, step.span) if step.until and step.until.kind != "end" else None
    )
    best: tuple[int, int] | None = None
    for passes in sorted(states.marks, reverse=True)[:4]:
        if passes == 0 and not step.cut and states.count:
            continue
        outcome = attempt(cursor, step, rest, states.marks[passes], full, stop)
        if outcome == 0:
            best = (passes, 0)
            break
        if best is None or outcome < best[1]:
            best = (passes, outcome)
    assert best is not None
    if (best[1] or not cursor.flat) and step.cut is None and ends_instead(step, rest):
        short = replace(step, cut=len(step.steps) - 1)
        longer = [passes for passes in states.marks if best[1] or passes >= best[0]]
        for passes in sorted(longer, reverse=True)[:4]:
            if attempt(cursor, short, rest, states.marks[passes], full, stop) == 0:
                finish_fill(cursor, short, rest, states, full, passes, stop)
                return
    finish_fill(cursor, step, rest, states, full, best[0], stop)


def remains_of_all(step: Repeat, rest: tuple[Step, ...]) -> bool:
    """ "*Sc, dec; rep from * until 6 sts remain" and nothing after it: so many are left of all."""
    return (
        step.until is not None
        and step.until.kind == "remain"
        and any(isinstance(part, Work) and part.stitch.uses > 1 for part in step.steps)
        and not any(isinstance(part, (Work, Repeat, Group, Each, Skip)) for part in rest)
    )


def leave_so_many(cursor: Cursor, step: Repeat) -> None:
    """Work on, over as many rounds as it takes, until there are so many stitches."""
    assert step.until is not None
    cursor.out.used += cursor.left()
    cursor.at = cursor.end
    cursor.out.exact = False
    made = next(p for p in step.steps if isinstance(p, Work) and p.stitch.uses > 1).stitch
    count = at_size(step.until.count, cursor.size)
    produce(cursor, Stitch(made.base, made.base), count, step.span)


def passes_of(cursor: Cursor, step: Repeat) -> States:
    """The states after the last few passes, as far as the places reach."""
    start = cursor.mark()
    quick = uniform_pass(cursor, step.steps)
    if quick is not None:
        return uniform_states(cursor, start, *quick)
    states = States({0: start}, 0, 0, 0)
    used, made = cursor.out.used, cursor.count_made()
    cursor.depth += 1
    before = start
    while True:
        if states.count > MAX_PLACES:
            raise NotWorked(TOO_LARGE, step.span)
        cursor.sequence(step.steps)
        stuck = cursor.out.short > before.short
        if stuck or cursor.at <= before.at:
            cursor.back_to(before)
            if not stuck and not states.count:
                cursor.depth -= 1
                raise NotWorked("the repeat uses no stitches", step.span)
            break
        before = cursor.mark()
        states.add(before)
        if states.count == 1:
            states.uses, states.makes = cursor.out.used - used, cursor.count_made() - made
    cursor.depth -= 1
    return states


def uniform_pass(cursor: Cursor, steps: tuple[Step, ...]) -> tuple[list[Run], int, int] | None:
    """One pass of a body that does the same wherever it stands: (runs, places, used).

    None where the body may depend on its place, or does not fit even once.  The state
    is left as it was.
    """
    if not cursor.flat or cursor.in_place or cursor.own or cursor.chain_seen or cursor.standing:
        return None
    if cursor.below is None or cursor.below.is_ring or not is_uniform(steps):
        return None
    start, made = cursor.mark(), cursor.made
    cursor.made = []
    cursor.sum_anew()
    cursor.depth += 1
    cursor.sequence(steps)
    cursor.depth -= 1
    runs, cursor.made = cursor.made, made
    places, used, short = (
        cursor.at - start.at,
        cursor.out.used - start.used,
        cursor.out.short - start.short,
    )
    cursor.back_to(start)
    return (runs, places, used) if places > 0 and not short and runs else None


def uniform_states(cursor: Cursor, start: Mark, runs: list[Run], places: int, used: int) -> States:
    """The states after the last few passes of a uniform body, by multiplication."""
    end = cursor.end if cursor.limit is None else cursor.limit
    count = max((end - start.at) // places, 0)
    if count * len(runs) > MAX_PLACES:
        raise NotWorked(TOO_LARGE)
    states = States({0: start}, count, used, stitches_in(runs))
    for passes in range(max(count - 4, 1), count + 1):
        states.marks[passes] = start._replace(
            at=start.at + passes * places,
            made=start.made + passes * len(runs),
            last=runs[-1],
            here=start.at + passes * places - 1,
            used=start.used + passes * used,
        )
    cursor.made += runs * count
    return states


def attempt(
    cursor: Cursor,
    step: Repeat,
    rest: tuple[Step, ...],
    mark: Mark,
    full: list[Run],
    stop: int | None,
) -> int:
    """How far the row is from coming out even from this state; 0 is even."""
    state = (
        dict(cursor.out.rules_used),
        cursor.out.joined,
        cursor.out.turned,
        cursor.out.chain_after,
        cursor.rest_said,
        list(cursor.out.trace),
        cursor.out.exact,
        cursor.out.remainder,
        cursor.out.left,
        cursor.out.plain,
        cursor.out.fastened,
    )
    cursor.back_to(mark, full)
    before = cursor.out.short
    try:
        after_passes(cursor, step, rest, stop)
        short = cursor.out.short - before
        gap = (
            short * 3
            + (0 if cursor.rest_said else cursor.unused())
            + (50 if cursor.out.remainder and not state[7] else 0)
            + max(cursor.out.left - state[8], 0)
        )
    except NotWorked:
        gap = 10_000
    cursor.back_to(mark, full)
    (
        cursor.out.rules_used, cursor.out.joined, cursor.out.turned, cursor.out.chain_after,
        cursor.rest_said, cursor.out.trace, cursor.out.exact, cursor.out.remainder, cursor.out.left,
        cursor.out.plain, cursor.out.fastened,
    ) = state  # fmt: skip
    return gap


def after_passes(cursor: Cursor, step: Repeat, rest: tuple[Step, ...], stop: int | None) -> None:
    """The last pass where it is cut short, then the rest of the row."""
    if step.cut is not None:
        cursor.depth += 1
        cursor.sequence(step.steps[: step.cut])
        cursor.depth -= 1
    if stop is not None:
        over = places_between(cursor, cursor.at, stop)
        if over:
            cursor.out.remainder = (over, 0, step.span)
        cursor.at = max(cursor.at, stop)
    cursor.sequence(rest, top=True)


def finish_fill(
    cursor: Cursor,
    step: Repeat,
    rest: tuple[Step, ...],
    states: States,
    full: list[Run],
    passes: int,
    stop: int | None,
) -> None:
    """Take the state after so many passes and work the rest of the row."""
    cursor.back_to(states.marks[passes], full)
    if passes:
        times = passes + (step.cut is not None)
        cursor.out.trace.append(Trace(step.span, states.uses, states.makes, times, True))
    elif not states.count and not step.cut and (stop is None or stop > cursor.at):
        cursor.out.remainder = (cursor.left(), 0, step.span)
    cursor.out.repeats += passes
    after_passes(cursor, step, rest, stop)


def counted_with_cut(cursor: Cursor, step: Repeat, rest: tuple[Step, ...]) -> None:
    """A repeat with a number whose last pass is cut short, then the rest of the row."""
    if step.until is not None and step.until.kind != "end":
        fill_repeat(
            cursor, Repeat(step.span, step.steps, None, until=step.until, cut=step.cut), rest
        )
        return
    times = times_of(cursor, step)
    used, made = cursor.out.used, cursor.count_made()
    for turn in range(times):
        last = turn == times - 1
        cursor.count_step(step.span)
        cursor.depth += 1
        cursor.sequence(step.steps[: step.cut] if last and step.cut is not None else step.steps)
        cursor.depth -= 1
    cursor.out.trace.append(Trace(step.span, cursor.out.used - used, cursor.count_made() - made))
    cursor.out.repeats += times
    cursor.sequence(rest, top=True)
