"""Which figures at the end of a row are its total, and which belong to the work."""

from __future__ import annotations

import re

from proofhook.expressions import expression
from proofhook.pattern import (
    Chain,
    Each,
    Evenly,
    FastenOff,
    Group,
    Join,
    Note,
    Repeat,
    RowsReference,
    Skip,
    Step,
    Total,
    Turn,
    Unread,
    Until,
    Work,
)
from proofhook.reading.build import RepeatAll, Suffix
from proofhook.reading.elements import Again, Bracket, Bracketed, Closed, Element, Sep
from proofhook.reading.lexer import Token
from proofhook.reading.totals import total_of
from proofhook.records import replace
from proofhook.text import Span

#: Words with which a stated total may begin.
_BEGINS_A_TOTAL = frozenset(
    "# should total = in end do then row : and last counts ? st for each remain a".split()
)
_NO_PART_OF_A_TOTAL = frozenset("fasten turn join noturn nojoin note do ch slst leave skip".split())


#: What a new sentence begins with, though no full stop is before it.
_SETS_ON = frozenset("fasten join noturn nojoin".split())


_AFTER_ROW = r"(?:after|(?:at|by) (?:the )?end of) (?:round|row|rnd|rd|r)\.? ?\d{1,3}\b"
#: "After Row 8: 35 dc", "at the end of Rnd 5 you have 12 sc", which announces a total.
_ANNOUNCED = expression(
    rf"(?<=[\s.;\u2013-])(?P<row>{_AFTER_ROW}[:,]?)(?= (?:you|we|there|\d{{1,4}} [a-z][^.;:]{{0,40}}[.)\]]*$))",
    re.I,
)
#: "35 dc after row 8", which tells once more of which row the total is.
_OF_ROW = expression(
    rf"(?P<total>\d[^.;]{{0,39}}[a-z)\]])(?P<row>,? {_AFTER_ROW})(?=[ .)\]}}>]*$)", re.I
)


def without_row_of_total(text: str) -> str:
    """The text of a row without the words that tell of which row its total is.

    What is given back is as long as ``text``; words that announce the total become "=".
    """
    if " r" not in text.lower():
        return text
    text = _ANNOUNCED.sub(lambda found: "=".ljust(len(found["row"])), text)
    return _OF_ROW.sub(lambda found: found["total"] + " " * len(found["row"]), text)


def after_total(steps: tuple[Step, ...]) -> tuple[Step, ...]:
    """Words after the last total that work nothing are remarks, whatever they say."""
    last = max((i for i, s in enumerate(steps) if isinstance(s, Total)), default=None)
    if last is None:
        return steps
    if any(isinstance(s, (Work, Group, Repeat, Each)) for s in steps[last:]):
        if not any(isinstance(s, Unread) for s in steps[last:]):
            return steps
        return (*steps[: last + 1], *(Note(s.span) for s in steps[last + 1 :]))
    rest = tuple(
        Note(s.span) if isinstance(s, (Unread, RowsReference)) else s for s in steps[last:]
    )
    return (*steps[:last], *rest)


def stated_total(
    nodes: list[Token | Bracket],
    at: int,
    out: list[Element],
    said: bool = False,
) -> tuple[Total, int] | None:
    """A total that begins after the separator at ``at``: "\u2013 24 sc", "= 24", "24 hdc."."""
    following = nodes[at + 1] if at + 1 < len(nodes) else None
    if not isinstance(following, Token) or following.kind not in _BEGINS_A_TOTAL:
        return None
    separator = nodes[at] if at >= 0 else None
    kind = separator.kind if isinstance(separator, Token) else ""
    said = said or _names_its_count(nodes, at)
    if kind == "," and following.kind != "#" and not said:
        return None
    if not has_work(out):
        return None
    run: list[Token] = []
    step = at + 1
    while step < len(nodes):
        node = nodes[step]
        if isinstance(node, Token) and node.kind == "mark" and node.text == "+" and run:
            node = node._replace(kind="and")
        if not isinstance(node, Token) or node.kind in (".", "mark", "--"):
            break
        if node.kind == ";" and not _goes_on(nodes, step, run):
            break
        if node.kind == ":" and run and run[-1].kind not in ("should", "total"):
            break
        run.append(node)
        step += 1
    for index in range(1, len(run) - 1):
        apart = run[index].kind == "," and (
            run[index + 1].kind in _NO_PART_OF_A_TOTAL
            or (run[index + 1].kind == "should" and run[0].kind == "#")
        )
        if apart or (run[index].kind in _SETS_ON and kind == "="):
            step -= len(run) - index
            del run[index:]
            break
    while run and run[-1].kind in (",", "turn", "and", "then"):
        run.pop()
        step -= 1
    if not run:
        return None
    said = said or any(t.kind in ("should", "total") for t in run)
    if any(t.kind == "should" for t in run[1:]) and not said:
        return None
    if len(run) > 1 and run[-1].number == (1,) and not run[-1].text and run[-2].kind == "?":
        return None  # "that's the small one"
    total = total_of(run, said or kind in ("--", "="))
    if total is None:
        return None
    following = nodes[step] if step < len(nodes) else None
    announced = said or kind in ("--", "=")
    if isinstance(following, Bracket) and not _tells_a_change(following):
        more = _also_in_brackets(total, following)
        if more is not None:
            return more, step + 1
        if not announced:
            return None
    if announced:
        return total, step
    if _states_after(nodes[step:]):
        return None
    if _stops_short(out) and not (kind == ":" and not _more_work(nodes[step:])):
        return None
    ends = not _more_work(nodes[step:])
    referred = any(isinstance(e, RowsReference) for e in out)
    if kind == "," and ends and any(t.kind == "each" for t in run[1:3]):
        return total, step
    if kind == "," and ends and (referred or total.units[0].what == "st"):
        return (total, step) if total.units[0].what else None
    joined = next((e for e in reversed(out) if not isinstance(e, (Sep, Note))), None)
    if kind == "," and isinstance(joined, (Join, Turn)) and not _more_work(nodes[step:]):
        return (total, step) if total.units[0].what else None
    named = total.units[0].what
    if kind == "," and ends and _fills(out) and _only_counts(run):
        return total, step
    over = all(isinstance(n, Token) and n.kind == "." for n in nodes[step:])
    if kind in ("|", ":") and over and [t.kind for t in run] == ["#"]:
        return total, step  # "Rnd 16 | dec around | 6", "inc, sc, inc: 5"
    if kind in (",", "|", "/"):
        return None
    if named == "ch":
        return None
    ended = (
        any(
            isinstance(e, (Join, Turn, FastenOff, Again, RowsReference))
            or (isinstance(e, Note) and e.kind == "noturn")
            for e in out[-6:]
        )
        or _fills(out)
        or _said_in_full(out)
    )
    if kind == ":" and named:
        return total, step
    if named == "st" and kind in (".", ";", ":"):
        return total, step
    if ended and named and not _more_work(nodes[step:]):
        return total, step
    return None


def _names_its_count(nodes: list[Token | Bracket], at: int) -> bool:
    """ "..., sts: 12"."""
    kinds = [node.kind if isinstance(node, Token) else "(" for node in nodes[at + 1 : at + 5]]
    return kinds[:3] == ["st", ":", "#"] and kinds[3:] in ([], ["."])


def _also_in_brackets(total: Total, bracket: Bracket) -> Total | None:
    """ "25 sts (5 bobbles)": what some of them are."""
    tokens = [n for n in bracket.inside if isinstance(n, Token)]
    inner = total_of(tokens, bracketed=True) if len(tokens) == len(bracket.inside) else None
    if inner is None or total.units[0].what != "st" or inner.units[0].what in ("", "st"):
        return None
    return replace(
        total, span=Span(total.span.start, bracket.span.end), units=(*total.units, *inner.units)
    )


def _goes_on(nodes: list[Token | Bracket], at: int, run: list[Token]) -> bool:
    """ "12 dc; 4 ch-3 sps.": a semicolon between two figures of one total."""
    following = [n for n in nodes[at + 1 : at + 8] if isinstance(n, Token)]
    end = next((i for i, n in enumerate(following) if n.kind in (".", ";")), len(following))
    counted = [n.kind for n in following[:end]]
    whole = end < len(following) or at + 1 + len(following) == len(nodes)
    return (
        whole
        and bool(run)
        and run[-1].kind in ("S", "st", "sp")
        and counted[:1] == ["#"]
        and counted[-1] in ("S", "st", "sp")
        and set(counted) <= {"#", "S", "st", "sp", "ch"}
    )


def _tells_a_change(bracket: Bracket) -> bool:
    """ "(2 sts decreased)": a bracket that tells how the count came about, and is no total."""
    tokens = [n for n in bracket.inside if isinstance(n, Token)]
    change = any(t.kind in ("inc", "dec") or t.text in _CHANGES for t in tokens)
    return (
        len(tokens) == len(bracket.inside) <= 6 and change and tokens[0].kind in ("#", "inc", "dec")
    )


_COUNTABLE = frozenset(("S", "st", "sp", "ch", "slst"))
_CHANGES = frozenset("increased decreased added fewer more less gained lost".split())


def _only_counts(run: list[Token]) -> bool:
    """ "24 sc": a figure and what it counts, and not where that would be worked."""
    return len(run) <= 4 and run[-1].kind in ("S", "st", "sp")


def _states_after(nodes: list[Token | Bracket]) -> bool:
    """Whether a total in brackets or after a dash follows, so that this one is none."""
    dashed = False
    for node in nodes:
        if isinstance(node, Bracket):
            tokens = [n for n in node.inside if isinstance(n, Token)]
            named = len(tokens) == 1 or any(t.kind in _COUNTABLE for t in tokens)
            if len(tokens) == len(node.inside) and named and total_of(tokens, bracketed=True):
                return True
        if dashed and isinstance(node, Token) and node.kind == "#":
            return True
        dashed = isinstance(node, Token) and node.kind in ("--", "=")
    return False


def has_work(out: list[Element]) -> bool:
    """Whether anything was worked before."""
    return any(
        isinstance(
            e,
            (
                Work,
                Evenly,
                Chain,
                Bracketed,
                Closed,
                Again,
                Repeat,
                Each,
                RowsReference,
                Group,
                Skip,
                Suffix,
                RepeatAll,
            ),
        )
        for e in out
    )


def _until_of_last(out: list[Element]) -> Until | None:
    """How far the last instruction runs, where that is said."""
    last = next((e for e in reversed(out) if not isinstance(e, (Sep, Note))), None)
    if isinstance(last, Work):
        return last.place.until if last.place is not None else None
    if isinstance(last, (Suffix, RepeatAll, Closed)):
        return last.often.until if last.often is not None else None
    return None


def _fills(out: list[Element]) -> bool:
    """Whether the last instruction ran to the end of the row."""
    until = _until_of_last(out)
    return until is not None and until.kind == "end"


def _stops_short(out: list[Element]) -> bool:
    """Whether the last instruction leaves places, so that what follows works them."""
    until = _until_of_last(out)
    return until is not None and until.kind in ("last", "place")


def _said_in_full(out: list[Element]) -> bool:
    """Whether the sentence before names places or repeats, so that a bare figure is its total."""
    sentence: list[Element] = []
    for element in reversed(out):
        if isinstance(element, Sep) and element.kind == "." and sentence:
            break
        if not isinstance(element, Sep):
            sentence.append(element)
    return any(
        isinstance(e, (Suffix, Group, Repeat, Closed, RowsReference))
        or (isinstance(e, Work) and (e.place is not None or e.stitch.role in ("tog", "dec")))
        for e in sentence
    )


def _more_work(nodes: list[Token | Bracket]) -> bool:
    return any(isinstance(n, Token) and n.kind in ("S", "inc", "dec") for n in nodes)
