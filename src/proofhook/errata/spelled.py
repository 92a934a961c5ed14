"""Rows of plain stitches, spelled out stitch by stitch: alike where only the words differ.

"Inc in each st", "2 sc in each st" and "(2 sc in next st) 6 times" over six stitches are the
same twelve stitches in the same places.  What is not surely so is not spelled out: chains,
spaces, loops, stitches of the pattern's own, a repeat that does not come out even.
"""

from __future__ import annotations

from proofhook.errata.content import ASIDES, Content
from proofhook.pattern import Join, Note, Repeat, Step, Total, Turn, What, Which, Work
from proofhook.sameness import said

#: One place or more of the row below, and what is worked there: name, places, stitches.
_Worked = tuple[str, int, int]
#: Where a colour changes, or the work is turned; what is said of it is compared as it is written.
_HERE: _Worked = ("", 0, 0)
#: Longer rows are compared as they are written.
_MOST = 2_000
#: Words in which rows may differ; with any other ("BLO", "loosely") there may be more to it.
_SAY_NO_MORE = frozenset(
    "a across all again an and around as at by crochet each end every five four from inc incs "
    "increase increases increasing into in it make more next of once one over rep repeat repeated "
    "repeating rest rnd round row six st stitch stitches sts the then this three time times to "
    "twice two work worked working x".split()
)
_BESIDE = (Note, Total, Turn, Join)
_ROLES = frozenset({"", "inc", "dec", "tog"})


class _NotPlainError(Exception):
    """The row cannot be spelled out."""


def same_spelled_out(
    old: tuple[Content | None, Content], new: tuple[Content | None, Content]
) -> bool:
    """Whether two rows, each with the row below it, are the same stitches in the same places."""
    one, other = old[1], new[1]
    if one.row.sizes != other.row.sizes or one.beside != other.beside:
        return False
    spelled = _spelled(*old)
    if spelled is None or spelled != _spelled(*new):
        return False
    names = {name for made in spelled for name, _, _ in made}
    known = _SAY_NO_MORE.union(*(said(name) for name in names))
    return all(word in known or word.isdecimal() for word in one.vocabulary ^ other.vocabulary)


def _spelled(below: Content | None, held: Content) -> list[list[_Worked]] | None:
    """The row's stitches in each size; None where they cannot be told for sure."""
    counts = below.worked if below and _is_plain(below.row.steps) else None
    if not counts:
        return None
    try:
        return [_whole(held, size, count) for size, count in enumerate(counts)]
    except _NotPlainError:
        return None


def _whole(held: Content, size: int, count: int) -> list[_Worked]:
    if not 0 < count <= _MOST:
        raise _NotPlainError
    made = _sequence(held.row.steps, size, count)
    label = held.row.label
    several = label is not None and (label.last != label.first or label.open_end or label.rows)
    if _uses(made) != count or (several and sum(each[2] for each in made) != count):
        raise _NotPlainError
    return made


def _is_plain(steps: tuple[Step, ...]) -> bool:
    """Whether a row leaves stitches alone, each of which the next row can be worked into."""
    return all(
        (isinstance(step, Work) and step.stitch.role in _ROLES and not step.stitch.steps)
        or (isinstance(step, Repeat) and _is_plain(step.steps))
        or isinstance(step, _BESIDE)
        for step in steps
    )


def _sequence(
    steps: tuple[Step, ...], size: int, left: int, repeated: bool = False
) -> list[_Worked]:
    made: list[_Worked] = []
    for step in steps:
        if isinstance(step, Work):
            made += _work(step, size, left - _uses(made))
        elif isinstance(step, Repeat):
            made += _repeat(step, size, left - _uses(made))
        elif repeated or not isinstance(step, _BESIDE):
            raise _NotPlainError
        elif not isinstance(step, Total) and not (isinstance(step, Note) and step.kind in ASIDES):
            made.append(_HERE)
        if _uses(made) > left or len(made) > _MOST:
            raise _NotPlainError
    return made


def _uses(made: list[_Worked]) -> int:
    return sum(each[1] for each in made)


def _figure(values: tuple[int, ...] | None, size: int) -> int:
    if values is None:
        return 1
    return values[size] if len(values) > 1 else values[0]


def _repeat(step: Repeat, size: int, left: int) -> list[_Worked]:
    if step.doubtful or step.cut or step.trailing:
        raise _NotPlainError
    body = _sequence(step.steps, size, left, repeated=True)
    if step.times is not None and step.until is None:
        times = _figure(step.times, size) + step.more
    elif step.until is not None and _to_the_end(step.until.kind, step.until.count):
        times = _even(left, _uses(body))
    else:
        raise _NotPlainError
    return _times(body, times)


def _times(body: list[_Worked], times: int) -> list[_Worked]:
    if not 0 < len(body) * times <= _MOST:
        raise _NotPlainError
    return body * times


def _to_the_end(kind: str, count: tuple[int, ...]) -> bool:
    return kind == "end" and not any(count)


def _even(left: int, uses: int) -> int:
    if not uses or left % uses:
        raise _NotPlainError
    return left // uses


def _work(step: Work, size: int, left: int) -> list[_Worked]:
    stitch, place = step.stitch, step.place
    if stitch.role not in _ROLES or stitch.steps or stitch.uses < 1:
        raise _NotPlainError
    count, times = _figure(step.count, size), _figure(step.times, size)
    usual = stitch.role == "inc" and stitch.name in ("inc", f"{stitch.base} inc")
    name = stitch.base if usual else stitch.name
    worked = (name, stitch.uses, stitch.makes)
    if place is None:
        return _times([worked], count * times)
    plain = place.nth == 0 and place.row is None and place.whats == (What("st"),)
    if not plain or place.which not in (Which.NEXT, Which.EACH):
        raise _NotPlainError
    if step.count_after and step.count:
        raise _NotPlainError
    places = _figure(place.count, size)
    if place.until is not None:
        if not _to_the_end(place.until.kind, place.until.count) or places != 1:
            raise _NotPlainError
        places = _even(left, stitch.uses)
    elif places > 1 and (count > 1 or stitch.uses > 1):
        raise _NotPlainError  # "2 sc in next 3 sts": in each of them, or in all together
    if count > 1:
        if stitch.role:
            raise _NotPlainError
        worked = (name, 1, count)
    return _times([worked], places * times)


__all__ = ["same_spelled_out"]
