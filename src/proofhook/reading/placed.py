"""Where a group is worked, when that is said before it or far behind it."""

from __future__ import annotations

from proofhook.pattern import Amount, Chain, Group, Join, Note, Repeat, Step, Unread, Which, Work
from proofhook.reading.build import Ahead, CountsAs, Often, Suffix
from proofhook.reading.elements import Bracketed, Element, Sep, counts, is_pause
from proofhook.records import replace
from proofhook.text import Span


def placed_ahead(elements: list[Element]) -> list[Element]:
    """ "In next ch-2 sp work 2 dc, ch 2, 2 dc;": the place goes to all that follows."""
    if Ahead not in set(map(type, elements)):
        return elements
    out: list[Element] = []
    at = 0
    while at < len(elements):
        element = elements[at]
        if not isinstance(element, Ahead):
            out.append(element)
            at += 1
            continue
        at += 1
        while at < len(elements) and is_pause(elements[at]):
            at += 1
        group = elements[at] if at < len(elements) else None
        if isinstance(group, Bracketed) and not _has_its_own(element, group):
            at += 1
            times: Amount = (1,)
            if at < len(elements) and isinstance(elements[at], Suffix):
                often = elements[at].often  # type: ignore[union-attr]
                if often is not None and often.times is not None and elements[at].place is None:  # type: ignore[union-attr]
                    times = often.times
                    at += 1
            out.append(
                Group(Span(element.span.start, group.span.end), group.body, element.place, times)
            )
            continue
        taken: list[Step] = []
        while at < len(elements):
            following = elements[at]
            if isinstance(following, Sep) and following.kind in (",", ":", "--"):
                at += 1
                continue
            if isinstance(following, CountsAs):
                counts(following, taken)
                at += 1
                continue
            if isinstance(following, Bracketed):
                if _has_its_own(element, following) or _place_follows(elements, at + 1):
                    break
                at += 1
                often = _times_after(elements, at)
                if often is not None:
                    span = Span(following.span.start, elements[at].span.end)
                    taken.append(Repeat(span, following.body, often.times, more=often.more))
                    at += 1
                else:
                    taken.append(Group(following.span, following.body))
                continue
            if isinstance(following, Work) and following.place is not None:
                break
            if not isinstance(following, (Work, Chain, Note, Group)):
                break
            taken.append(following)
            at += 1
        if taken and _joins_there(element, taken, elements[at : at + 1]):
            out += [Join(element.span, element.place), *taken]
        elif taken:
            span = Span(element.span.start, taken[-1].span.end)
            out.append(Group(span, tuple(taken), element.place))
        elif element.place.which is Which.ANY:
            out.append(Join(element.span, element.place))
        elif element.place.which in (Which.SAME, Which.FIRST, Which.EDGE):
            out.append(Note(element.span))
        else:
            out.append(Unread(element.span))
    return out


def _place_follows(elements: list[Element], at: int) -> bool:
    """Whether a bracket says itself where it goes: "(2 dc, ch 2, 3 dc) in the same corner"."""
    suffix = elements[at] if at < len(elements) else None
    return isinstance(suffix, Suffix) and suffix.place is not None


def _joins_there(ahead: Ahead, taken: list[Step], following: list[Element]) -> bool:
    """ "In a corner: ch 3, (2 dc, ch 2, 3 dc) in the same corner": where the yarn is joined."""
    if not all(isinstance(step, (Chain, Note)) for step in taken):
        return False
    own = following[0] if following else None
    anywhere = ahead.place.which in (Which.ANY, Which.CORNER, Which.NEXT)
    return anywhere and isinstance(own, (Bracketed, Work))


def _has_its_own(ahead: Ahead, group: Bracketed) -> bool:
    """ "Working behind the petals, (dc in next st, ch 4) 8 times": the works say where they go."""
    works = [step for step in group.body if isinstance(step, Work)]
    apart = ahead.place.which in (Which.EDGE, Which.ANY)
    return apart and any(work.place is not None for work in works)


def _times_after(elements: list[Element], at: int) -> Often | None:
    """ "(2 dc, ch 1) 5 times": how often, where the next element says so and no more."""
    following = elements[at] if at < len(elements) else None
    if isinstance(following, Suffix) and following.place is None and following.often is not None:
        return following.often if following.often.times is not None else None
    return None


def all_in_one(elements: list[Element]) -> list[Element]:
    """ "2 dc, ch 1, 2 dc in next sp" without brackets: one place for all of them."""
    out: list[Element] = []
    for position, element in enumerate(elements):
        out.append(element)
        if not isinstance(element, Work) or element.place is None:
            continue
        place = element.place
        following = elements[position + 1] if position + 1 < len(elements) else None
        said = isinstance(following, Note) and following.kind == "together"
        spaced = any("sp" in what.name or "corner" in what.name for what in place.whats)
        if place.each or place.which in (Which.HOOK, Which.TURNING_CHAIN, Which.EDGE):
            continue
        if place.count != (1,):
            continue
        if element.stitch.role == "slip" and place.which is Which.SAME:
            continue  # "sc, ch 3, sl st in same st": it alone goes back there
        start = len(out) - 1
        chained = False
        while start >= 1:
            before = out[start - 1]
            if isinstance(before, Sep) and before.kind == ",":
                start -= 1
                continue
            if isinstance(before, Chain) and before.counts is None:
                chained = True
                start -= 1
                continue
            if isinstance(before, Work) and before.place is None and before.stitch.role != "slip":
                start -= 1
                continue
            break
        while start < len(out) - 1 and isinstance(out[start], (Sep, Chain)):
            start += 1
        several = sum(isinstance(e, Work) for e in out[start:]) > 1
        if several and (said or (chained and (spaced or place.which is Which.SAME))):
            body = tuple(e for e in out[start:-1] if isinstance(e, (Work, Chain)))
            last = replace(element, place=None)
            span = Span(body[0].span.start, element.span.end)
            del out[start:]
            out.append(Group(span, (*body, last), place))
    return out
