"""The last look at the steps of a row, when all of them are known: omissions, swaps, ends."""

from __future__ import annotations

from proofhook.pattern import (
    Chain,
    Each,
    FastenOff,
    Group,
    Join,
    Loops,
    Note,
    OtherSide,
    Repeat,
    Ring,
    RowsReference,
    Step,
    Total,
    Turn,
    Unread,
    Until,
    Which,
    Work,
)
from proofhook.reading.build import Altered, Bare, CountsAs, Fill, Instead, Often, RepeatAll
from proofhook.reading.elements import Bracketed, Closed, Element, Sep, counts, is_step
from proofhook.reading.lexer import Vocabulary
from proofhook.reading.marked import marked
from proofhook.records import replace
from proofhook.text import Span


def finished(elements: list[Element], vocabulary: Vocabulary) -> list[Step]:
    """The elements of a level as steps only."""
    bare = Bare in set(map(type, elements)) and _bare_numbers_count(elements)
    out: list[Step] = []
    altered: Altered | None = None
    noted = instead = False
    for position, element in enumerate(elements):
        if isinstance(element, Sep):
            if element.kind in (".", ";"):
                altered = None
                noted = False if element.kind == "." else noted
            continue
        if isinstance(element, _WORKED) and altered is None and not instead:
            _append(element, out)
            continue
        if isinstance(element, Altered):
            altered = element
            if element.replaces:
                _replaces_last(out)
            continue
        if isinstance(element, Note) and element.kind == "note":
            noted = True
        if isinstance(element, Instead):
            if altered is not None:
                _replaces_last(out)
                altered = None
            instead = True
            swapped = _swap_begins(out)
            if not swapped and not any(isinstance(s, Repeat) and s.cut is not None for s in out):
                out.append(Unread(element.span))
            continue
        if instead and isinstance(element, (Work, Chain, Group)):
            instead = False
            _swap(out, element)
            continue
        if (
            isinstance(element, Note)
            and element.kind == "but"
            and not _instead_follows(elements, position)
        ):
            out.append(Unread(element.span))
            continue
        if isinstance(element, RepeatAll):
            repeat_all(element, elements, position, out)
        elif isinstance(element, Fill):
            _fill(element, elements, position, out)
        elif isinstance(element, CountsAs):
            counts(element, out)
        elif isinstance(element, Closed):
            out.append(closed(element, vocabulary))
        elif isinstance(element, Bracketed):
            out.append(Group(element.span, element.body))
        elif isinstance(element, Bare):
            out.append(
                Work(element.span, vocabulary.plain, element.number)
                if bare
                else Unread(element.span)
            )
        elif isinstance(element, Unread) and noted:
            out.append(Note(element.span))
        elif altered is not None and altered.omits and _omitted(element, out):
            altered = None
        elif is_step(element):
            _append(element, out)  # type: ignore[arg-type]
        else:
            out.append(Unread(element.span))
    return _in_sequence(out)


def _in_sequence(steps: list[Step]) -> list[Step]:
    """ "1 in the first stitch, 2 in the second": the second is the one after the first."""
    out: list[Step] = []
    reached = 0
    for step in steps:
        place = step.place if isinstance(step, Work) else None
        nth = place.nth if place is not None and place.which is Which.NTH else 0
        if isinstance(step, Work) and place is not None and nth > 1 and nth == reached + 1:
            step = replace(step, place=replace(place, which=Which.NEXT, nth=0))
        if nth:
            reached = nth
        elif place is not None and place.which is Which.FIRST and len(place.count) == 1:
            reached = place.count[0]
        elif not isinstance(step, Note):
            reached = 0
        out.append(step)
    return out


#: Steps that are taken as they are, but where something is said of the one before.
_WORKED = (Work, Chain, Join, Turn, Group, Repeat, Total)


def _append(step: Step, out: list[Step]) -> None:
    """Put a step behind the others, or together with the last of them that works."""
    before = next((i for i in range(len(out) - 1, -1, -1) if not isinstance(out[i], Note)), None)
    if before is not None:
        joined = _along(out[before], step)
        if joined is not None:
            out[before:] = [joined]
            return
        if _leaves_last(out[before], step):
            out[before] = _to_last(out[before], step)
    out.append(step)


def _along(before: Step, element: Element) -> Each | None:
    """ "Sc in each sc and 2 sc in each ch-2 sp": two fills along the same places."""
    if not isinstance(element, (Work, Group)) or not _runs_along(element):
        return None
    works = before.works if isinstance(before, Each) else (before,)
    last = works[-1]
    if not isinstance(last, (Work, Group)) or not _runs_along(last) or last.place == element.place:
        return None
    assert last.place is not None and element.place is not None
    spaces = all(
        "sp" in w.name or "corner" in w.name or w.name == "ch" for w in element.place.whats
    )
    if any(what.name == "st" for what in last.place.whats) and not spaces:
        return None
    return Each(Span(before.span.start, element.span.end), (*works, element))


def _leaves_last(before: Step, element: Element) -> bool:
    """ "Sc in each st, 2 sc in last st": the fill leaves what is then worked into."""
    if (
        not isinstance(before, Work)
        or not isinstance(element, (Work, Group))
        or element.place is None
    ):
        return False
    place = before.place
    ends = place is not None and place.which is Which.EACH and place.until is not None
    last = element.place.which is Which.TURNING_CHAIN or (
        element.place.which is Which.LAST
        and "sp" not in element.place.whats[0].name
        and element.place.whats[0].name not in ("corner", "group")
    )
    if isinstance(element, Work) and element.stitch.role == "slip":
        return False
    return ends and last and place.until.kind == "end"  # type: ignore[union-attr]


def _to_last(before: Step, element: Element) -> Step:
    assert isinstance(before, Work) and isinstance(element, (Work, Group))
    assert before.place is not None and element.place is not None
    uses = element.stitch.uses if isinstance(element, Work) and element.place.count == (1,) else 1
    count = tuple(n * uses for n in element.place.count)
    return replace(before, place=replace(before.place, until=Until("last", count)))


def _runs_along(work: Work | Group) -> bool:
    place = work.place
    if place is not None and place.which is Which.CORNER and place.each:
        return True
    return (
        place is not None
        and place.which is Which.EACH
        and place.until is not None
        and place.nth == 0
    )


def _bare_numbers_count(elements: list[Element]) -> bool:
    """ "4, inc, 7, inc": bare numbers are stitches where the row has shaping and no names."""
    works = [e for e in elements if isinstance(e, Work)]
    rest = [e for e in elements if not isinstance(e, (Note, Sep, Total))]
    if len(rest) == 1 and len(elements) > 1:
        return any(isinstance(e, Total) for e in elements)  # "R7: 36 sts (36)"
    return bool(works) and all(
        w.stitch.role in ("inc", "dec") or w.stitch.role == "tog" for w in works
    )


def _omitted(element: Element, out: list[Step]) -> bool:
    """ "omit last ch 2": cut the end of the last pass of the repeat before it."""
    for index in range(len(out) - 1, -1, -1):
        step = out[index]
        if isinstance(step, Repeat):
            split = split_last(step.steps)
            if split is not None and isinstance(element, Work) and element.count is None:
                out[index] = replace(step, steps=split, cut=len(split) - 1)
                return True
            if step.steps and isinstance(element, type(step.steps[-1])):
                cut = len(step.steps) - 1
                out[index] = replace(step, cut=cut)
                return True
            opened = opened_last(step.steps) or split_last(step.steps)
            if opened is not None and isinstance(element, type(opened[-1])):
                out[index] = replace(step, steps=opened, cut=len(opened) - 1)
                return True
            return False
    return False


def _instead_follows(elements: list[Element], position: int) -> bool:
    return any(isinstance(e, Instead) for e in elements[position:])


def _swap_begins(out: list[Step]) -> bool:
    """Whether "A instead of" follows a reference to rows: A is put by for the swap."""
    steps = [s for s in out if not isinstance(s, Note)]
    return (
        len(steps) >= 2
        and isinstance(steps[-2], RowsReference)
        and isinstance(steps[-1], (Work, Chain, Group))
    )


def _swap(out: list[Step], old: Step) -> None:
    """ "Same as last round but ch 7 instead of ch 6": the reference keeps the swap."""
    if not _swap_begins(out):
        return
    at = max(i for i, s in enumerate(out) if isinstance(s, RowsReference))
    new = next(s for s in reversed(out) if isinstance(s, (Work, Chain, Group)))
    reference = out[at]
    assert isinstance(reference, RowsReference)
    out[:] = [s for s in out if s is not new and s is not reference]
    out.insert(at, replace(reference, swaps=(*reference.swaps, (new, old))))


def _replaces_last(out: list[Step]) -> None:
    """ "On last rep sl st in last st instead of sc": the last pass loses its last step."""
    for index in range(len(out) - 1, -1, -1):
        step = out[index]
        if isinstance(step, Repeat):
            if step.cut is None and len(step.steps) > 1:
                out[index] = replace(step, cut=len(step.steps) - 1)
            return


def opened_last(steps: tuple[Step, ...]) -> tuple[Step, ...] | None:
    """A repeat at the end of a body, its last pass written out: for "omit last sc"."""
    last = steps[-1] if steps else None
    if not isinstance(last, Repeat) or last.times is None or last.more or len(last.times) > 1:
        return None
    return (*steps[:-1], replace(last, times=(last.times[0] - 1,)), *last.steps)


def split_last(steps: tuple[Step, ...]) -> tuple[Step, ...] | None:
    """ "Sc in next 3 sts" at the end of a body as 2 and 1, so that the last may be left off."""
    last = steps[-1] if steps else None
    if isinstance(last, Repeat):
        opened = opened_last(steps)
        return split_last(opened) if opened is not None else None
    if not isinstance(last, Work) or last.place is None or last.place.which is not Which.NEXT:
        return None
    count = last.place.count
    if len(count) > 1 or count[0] < 2 or last.count not in (None, (1,)):
        return None
    first = replace(last, place=replace(last.place, count=(count[0] - 1,)))
    return (*steps[:-1], first, replace(last, place=replace(last.place, count=(1,))))


def closed(closed: Closed, vocabulary: Vocabulary) -> Step:
    """A pair of marks as a repeat or a group."""
    body_elements = closed.body
    cut = None
    if closed.cut is not None:
        cut = len(finished(marked(body_elements[: closed.cut]), vocabulary))
    body = tuple(finished(body_elements, vocabulary))
    often = closed.often
    if often is None:
        return Repeat(closed.span, body, None, cut=cut, implied=True)
    if often.times is None:
        return Repeat(closed.span, body, None, until=often.until or None, cut=cut)
    more = often.more or (closed.again and not closed.doubled)
    more = more and not often.exact
    doubtful = closed.again and not often.more and not often.exact
    return Repeat(
        closed.span, body, often.times, more=more, doubtful=doubtful, until=often.until, cut=cut
    )


def _fill(element: Fill, elements: list[Element], position: int, out: list[Step]) -> None:
    """ "Sc, inc, all the way round": of several stitches in turn, else of one."""
    begins = 0
    for index, step in enumerate(out):
        if not isinstance(step, (Work, Note, Chain)) or (isinstance(step, Chain) and not begins):
            begins = index + 1
    works = [step for step in out[begins:] if isinstance(step, Work)]
    in_turn = all(w.place is None or w.place.which is Which.NEXT for w in works)
    if len(works) > 1 and in_turn:
        repeat = RepeatAll(element.span, Often(element.span, None, False, Until("end")))
        repeat_all(repeat, elements, position, out)
    elif works and _runs_along(works[-1]):
        out.append(Note(element.span))
    else:
        out.append(element.even)


def repeat_all(element: RepeatAll, elements: list[Element], position: int, out: list[Step]) -> None:
    """ "Repeat around": everything since the beginning of the row, or a bracket to come."""
    often = element.often
    told = [step for step in out if not isinstance(step, Note)]
    if often is not None and often.exact and told and isinstance(told[-1], RowsReference):
        at = max(i for i, step in enumerate(out) if step is told[-1])
        out[at] = replace(told[-1], times=often.times)  # "Rep Rows 2 and 3, 18 times"
        return
    following = next((e for e in elements[position + 1 :] if not isinstance(e, (Sep, Note))), None)
    if element.often is None and isinstance(following, (Group, Repeat, Closed)):
        return
    start = 0
    for index, step in enumerate(out):
        if (
            isinstance(step, (Join, Ring, Turn, Loops, OtherSide, FastenOff))
            or (isinstance(step, Chain) and index == start)
            or (isinstance(step, Note) and index == start)
            or isinstance(step, Repeat)
        ):
            start = index + 1
    body = tuple(_unanchored(s) for s in _in_sequence(out[start:]) if not isinstance(s, Note))
    if not any(isinstance(s, (Work, Group, Repeat)) for s in body):
        out.append(Unread(element.span))
        return
    sentence = _its_sentence(elements, position)
    if sentence is not None:
        start = max(start, next(i for i, s in enumerate(out) if s.span.start >= sentence))
        body = tuple(_unanchored(s) for s in _in_sequence(out[start:]) if not isinstance(s, Note))
    del out[start:]
    span = Span(body[0].span.start, element.span.end)
    if often is None or often.times is None:
        out.append(Repeat(span, body, None, until=often.until if often else None))
    else:
        more = not often.exact
        out.append(Repeat(span, body, often.times, more=more, doubtful=more and not often.more))


def _its_sentence(elements: list[Element], position: int) -> int | None:
    """Where the sentence begins that ends in "and repeat", if it works stitches itself."""
    works = False
    for element in reversed(elements[:position]):
        if isinstance(element, Sep) and element.kind == ".":
            return element.span.end if works else None
        works = works or isinstance(element, (Work, Group))
    return None


def _unanchored(step: Step) -> Step:
    """ "Sc in first 3 sts, inc in next. Repeat around.": "first" is the first of each pass."""
    if isinstance(step, Work) and step.place is not None and step.place.which is Which.FIRST:
        return replace(step, place=replace(step.place, which=Which.NEXT))
    return step
