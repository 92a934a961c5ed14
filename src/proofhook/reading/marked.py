"""Stars and daggers: what is repeated, from where to where, and how often."""

from __future__ import annotations

from proofhook.pattern import Group, Note, Repeat, Unread, Which, Work
from proofhook.reading.build import Further, RepeatAll, Suffix
from proofhook.reading.elements import Again, Bracketed, Closed, Element, EndAt, Mark, Sep, is_step
from proofhook.records import replace
from proofhook.text import Span


def marked(elements: list[Element]) -> list[Element]:
    """Stars and daggers made repeats; suffixes given to what they belong to."""
    if _NEEDED.isdisjoint(map(type, elements)):
        return elements
    cuts = {e.text for e in elements if isinstance(e, EndAt)}
    named = {e.text for e in elements if isinstance(e, Again)}
    out: list[Element] = []
    opened: list[tuple[str, int, int | None]] = []
    for element in elements:
        if isinstance(element, Mark):
            _mark(element, out, opened, cuts, named)
        elif isinstance(element, Again):
            _close_again(element, out, opened)
        elif isinstance(element, EndAt):
            _end_at(element, out)
        elif isinstance(element, Suffix):
            _suffixed(element, out)
        elif isinstance(element, Further):
            last = out[-1] if out else None
            if isinstance(last, Group) and last.place is not None:
                out.append(replace(last, span=element.span, place=element.place))
            else:
                out.append(Unread(element.span))
        else:
            out.append(element)
    return out


_NEEDED = frozenset((Mark, Again, EndAt, Suffix, Further))


def _mark(
    mark: Mark,
    out: list[Element],
    opened: list[tuple[str, int, int | None]],
    cuts: set[str],
    named: set[str],
) -> None:
    text = mark.text
    cutting = (text in cuts and text not in named) or (text == "**" and "**" not in named)
    if cutting and opened and opened[-1][0] != text:
        name, start, _ = opened[-1]
        opened[-1] = (name, start, len(out) - start)
        return
    for index in range(len(opened) - 1, -1, -1):
        name, start, cut = opened[index]
        if name == text:
            body = out[start:]
            del out[start:], opened[index:]
            end = mark.span.end
            begin = body[0].span.start if body else mark.span.start
            out.append(Closed(Span(begin, end), text, body, cut, False))
            return
    opened.append((text, len(out), None))


def _close_again(
    again: Again, out: list[Element], opened: list[tuple[str, int, int | None]]
) -> None:
    for index in range(len(opened) - 1, -1, -1):
        name, start, cut = opened[index]
        if name == again.text or (again.text == "**" and name == "*"):
            body = out[start:]
            del out[start:], opened[index:]
            while body and isinstance(body[-1], Sep):
                body.pop()
            if body:
                span = Span(body[0].span.start, again.span.end)
                out.append(Closed(span, name, body, cut, True))
            return
    for index in range(len(out) - 1, -1, -1):
        element = out[index]
        if isinstance(element, Closed) and (element.mark == again.text or again.text in ("**",)):
            between = out[index + 1 :]
            if all(isinstance(e, (Sep, Note)) for e in between):
                del out[index:]
                out.append(
                    element._replace(again=True, doubled=again.text == "**" and element.mark == "*")
                )
            else:
                out.append(element._replace(again=True, often=None, span=again.span, doubled=True))
            return
    out.append(Unread(again.span) if again.paired else RepeatAll(again.span, None))


def _end_at(end: EndAt, out: list[Element]) -> None:
    for index in range(len(out) - 1, -1, -1):
        element = out[index]
        if isinstance(element, Closed) and element.cut is not None:
            return
        if isinstance(element, Closed):
            break
    out.append(Unread(end.span))


def _suffixed(suffix: Suffix, out: list[Element]) -> None:
    """Give a place or a number to the bracket or repeat before it."""
    index = len(out) - 1
    while index >= 0 and isinstance(out[index], Note if not suffix.repeats else Note | Sep):
        index -= 1
    bare_times = (
        suffix.often is not None and suffix.often.times is not None and suffix.place is None
    )
    if (
        bare_times
        and index > 0
        and isinstance(out[index], Sep)
        and isinstance(out[index - 1], (Closed, Bracketed))
    ):
        index -= 1  # "*...*, 4 times in all"
    target = out[index] if index >= 0 else None
    if isinstance(target, Closed) and suffix.often is not None:
        out[index] = target._replace(often=suffix.often, doubled=target.doubled and target.again)
    elif isinstance(target, Closed) and suffix.place is not None:
        body = tuple(e for e in target.body if is_step(e))
        along = suffix.place.which is Which.NEXT and suffix.place.count == (len(body),)
        place = None if along and len(body) > 1 else suffix.place
        out[index] = Group(target.span, body, place)  # type: ignore[arg-type]
    elif (
        isinstance(target, Work)
        and suffix.often is not None
        and suffix.often.times is not None
        and suffix.place is None
    ):
        out[index] = replace(target, times=suffix.often.times)
    elif isinstance(target, RepeatAll) and suffix.often is not None:
        out[index] = target._replace(often=suffix.often)
    elif isinstance(target, Bracketed) and suffix.place is not None and _names_group(out, index):
        name = out[index - 1]
        assert isinstance(name, Work)
        span = Span(name.span.start, suffix.span.end)
        stitch = replace(name.stitch, steps=target.body)
        out[index - 1 :] = [Work(span, stitch, name.count, suffix.place)]
    elif isinstance(target, Bracketed):
        begin = min(target.span.start, suffix.span.start)
        span = Span(begin, max(target.span.end, suffix.span.end))
        often = suffix.often
        if suffix.place is not None:
            times = often.times if often is not None and often.times is not None else (1,)
            place = suffix.place
            if often is not None and often.until is not None:
                place = replace(place, each=True, until=often.until)
            out[index] = Group(span, target.body, place, times)
        elif often is not None:
            out[index] = Repeat(span, target.body, often.times, more=often.more, until=often.until)
        elif suffix.repeats:
            out[index] = Repeat(span, target.body, None, implied=True)
    elif suffix.repeats or (suffix.often is not None and suffix.often.until is not None):
        out.append(RepeatAll(suffix.span, suffix.often))
    else:
        out.append(Unread(suffix.span))


def _names_group(out: list[Element], index: int) -> bool:
    """ "Shell of (2 dc, ch 1, 2 dc)": the bracket says how the shell is made."""
    before = out[index - 1] if index else None
    return isinstance(before, Work) and before.stitch.role == "group" and before.place is None
