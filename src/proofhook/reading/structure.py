"""One row: its words -> steps.

Brackets and marks (stars, daggers) give a row its structure; what stands between them
and between commas and stops are segments, which ``build.py`` reads one by one.  What a
bracket means is decided by what follows it: a place makes it a group worked together, a
number or "around" a repeat, nothing but the end of the row a total.
"""

from __future__ import annotations

import re
from dataclasses import replace
from typing import NamedTuple

from proofhook.pattern import (
    Amount,
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
    Skip,
    Step,
    Total,
    Turn,
    Unread,
    Until,
    Which,
    Work,
)
from proofhook.reading.build import (
    Ahead,
    Altered,
    Bare,
    CountsAs,
    Instead,
    Item,
    Often,
    RepeatAll,
    Suffix,
    items,
)
from proofhook.reading.lexer import Token, Vocabulary, lex
from proofhook.reading.totals import total_of
from proofhook.text import Span

#: Deeper brackets than this are no row that anybody could follow.
MAX_DEPTH = 8
MAX_TOKENS = 700


class Bracket(NamedTuple):
    """A pair of brackets and what stands in it."""

    span: Span
    inside: list[Token | Bracket]
    mark: str


class Mark(NamedTuple):
    """A star, dagger or other mark of a repeat."""

    span: Span
    text: str


class Again(NamedTuple):
    """ "Rep from *": the marks that are named."""

    span: Span
    text: str
    paired: bool


class EndAt(NamedTuple):
    """ "Ending last rep at **"."""

    span: Span
    text: str


class Sep(NamedTuple):
    """A comma, stop or dash."""

    span: Span
    kind: str


class Closed(NamedTuple):
    """What stands between two marks, or between a mark and "rep from"."""

    span: Span
    mark: str
    body: list[Element]
    cut: int | None
    again: bool
    often: Often | None = None
    doubled: bool = False


class Bracketed(NamedTuple):
    """A bracket that holds instructions."""

    span: Span
    body: tuple[Step, ...]
    mark: str


Element = Item | Mark | Again | EndAt | Sep | Closed | Bracketed


def read_row(text: str, vocabulary: Vocabulary) -> tuple[Step, ...]:
    """The steps of a row's evened text; spans are offsets into it."""
    key = (vocabulary.number, text)
    known = _rows.get(key)
    if known is None:
        if len(_rows) >= MAX_ROWS_KEPT:
            _rows.clear()
        known = _rows[key] = _read_row(text, vocabulary)
    return known


#: Rows read so far, by vocabulary and words: rows repeat a lot, within a pattern and between.
_rows: dict[tuple[int, str], tuple[Step, ...]] = {}
MAX_ROWS_KEPT = 20_000


def _read_row(text: str, vocabulary: Vocabulary) -> tuple[Step, ...]:
    tokens = lex(_quoted(text), vocabulary)
    if len(tokens) > MAX_TOKENS:
        return (Unread(Span(0, len(text))),)
    nested = _nested(tokens)
    if nested is None:
        return (Unread(Span(0, len(text))),)
    return _after_total(tuple(_steps(nested, vocabulary, top=True)))


def _after_total(steps: tuple[Step, ...]) -> tuple[Step, ...]:
    """Words after the last total that work nothing are remarks, whatever they say."""
    last = max((i for i, s in enumerate(steps) if isinstance(s, Total)), default=None)
    if last is None:
        return steps
    if any(isinstance(s, Work | Group | Repeat | Each) for s in steps[last:]):
        if not any(isinstance(s, Unread) for s in steps[last:]):
            return steps
        return (*steps[: last + 1], *(Note(s.span) for s in steps[last + 1 :]))
    rest = tuple(Note(s.span) if isinstance(s, Unread | RowsReference) else s for s in steps[last:])
    return (*steps[:last], *rest)


_QUOTED_GROUP = re.compile(
    r"(?<![\w\"'])['\"]([\dA-Za-z][^'\"()\n]{2,60},[^'\"()\n]{1,60})['\"](?=\s)"
)


def _quoted(text: str) -> str:
    """ "'1 dc, 5 ch, 1 dc' in next st": quotation marks that serve as brackets."""
    if "'" not in text and '"' not in text:
        return text
    return _QUOTED_GROUP.sub(r"(\1)", text)


def _nested(tokens: list[Token]) -> list[Token | Bracket] | None:
    """Tokens with bracket pairs made one; None where they nest too deep.

    A bracket that is never closed ends with the row; a closing one without its fellow
    is passed over.
    """
    stack: list[tuple[Token | None, list[Token | Bracket]]] = [(None, [])]
    for token in tokens:
        if token.kind == "(":
            if len(stack) > MAX_DEPTH:
                return None
            stack.append((token, []))
        elif token.kind == ")":
            if len(stack) > 1:
                opened, inside = stack.pop()
                assert opened is not None
                span = Span(opened.start, token.end)
                stack[-1][1].append(Bracket(span, inside, opened.text))
        else:
            stack[-1][1].append(token)
    while len(stack) > 1:
        opened, inside = stack.pop()
        assert opened is not None
        if opened.text == "<" or len(inside) > 6:
            stack[-1][1].extend(inside)
        else:
            end = _span_of(inside[-1]).end if inside else opened.end
            stack[-1][1].append(Bracket(Span(opened.start, end), inside, opened.text))
    return stack[0][1]


def _span_of(node: Token | Bracket) -> Span:
    return node.span if isinstance(node, Bracket) else Span(node.start, node.end)


# --- a level: segments, brackets and marks ------------------------------------------


def _steps(nodes: list[Token | Bracket], vocabulary: Vocabulary, top: bool = False) -> list[Step]:
    elements = _elements(nodes, vocabulary, top)
    elements = _placed_ahead(elements)
    elements = _all_in_one(elements)
    elements = _marked(elements)
    return _finished(elements, vocabulary)


def _elements(nodes: list[Token | Bracket], vocabulary: Vocabulary, top: bool) -> list[Element]:
    """Segments read, brackets decided, marks and repeats by mark told apart."""
    nodes = _with_repeat_words(nodes)
    every: list[object] = [*nodes]
    used_marks = {n.text for n in every if isinstance(n, Again | EndAt)}
    out: list[Element] = []
    segment: list[Token] = []
    at = 0

    def flush() -> None:
        if segment:
            if any(t.kind == "omit" for t in segment):
                segment[:] = _without_last_rep(segment)
            after = bool(out) and isinstance(out[-1], Bracketed | Closed | Again | Mark)
            if not after and (
                segment[0].kind == "rep"
                or [t.kind for t in segment[:2]] in (["#", "times"], ["x", "#"])
            ):
                last_named = next((e for e in reversed(out) if not isinstance(e, Sep | Note)), None)
                after = isinstance(last_named, Closed | Bracketed | Mark)
            closed_mark = bool(out) and isinstance(out[-1], Mark) and _odd_mark(out)
            last = None
            if segment[0].kind in _GOES_ON:
                last = next((e for e in reversed(out) if isinstance(e, Work)), None)
            out.extend(items(tuple(segment), vocabulary, after and not closed_mark, last))
            segment.clear()

    while at < len(nodes):
        node = nodes[at]
        if isinstance(node, Bracket):
            flush()
            following = nodes[at + 1 : at + 4]
            out += _bracket(node, following, out, vocabulary, top)
        elif isinstance(node, Again | EndAt):
            flush()
            out.append(node)
        elif node.kind == "mark":
            if _multiplies(nodes, at, out):
                flush()
                segment.append(Token("x", node.start, node.end))
            elif node.text in ("+",) and "+" not in used_marks:
                segment.append(Token("and", node.start, node.end))
            elif node.text[0] in "#@~^" and node.text not in used_marks:
                pass
            else:
                flush()
                out.append(Mark(Span(node.start, node.end), node.text))
        elif node.kind in (",", ";", ".", ":", "--", "=", "|", "/"):
            flush()
            out.append(Sep(Span(node.start, node.end), node.kind))
            stated = _stated(nodes, at, out) if top else None
            if stated is not None:
                total, at = stated
                out.append(total)
                continue
        elif node.kind == "should" and top:
            flush()
            stated = _stated(nodes, at - 1, out, said=True)
            if stated is not None:
                total, at = stated
                out.append(total)
                continue
            segment.append(node._replace(kind="do"))
        else:
            segment.append(node)
        at += 1
    flush()
    return out


#: Words with which a segment may go on with the stitch of the one before.
_GOES_ON = frozenset(("and", "then", "in", "each", "#"))


def _without_last_rep(segment: list[Token]) -> list[Token]:
    """ "Omit last sc of last rep": that it is the last pass is understood."""
    out = list(segment)
    for at in range(len(out) - 1):
        if out[at].kind in ("last", "end") and out[at + 1].kind == "rep":
            first = at - 1 if at and out[at - 1].kind in ("in", "to", "from") else at
            return out[:first] + out[at + 2 :]
    return out


def _is_pause(element: Element) -> bool:
    return isinstance(element, Sep) and element.kind in (",", ":", "--")


def _odd_mark(out: list[Element]) -> bool:
    """Whether the last mark opens (an odd number of its kind so far)."""
    last = out[-1]
    assert isinstance(last, Mark)
    return sum(isinstance(e, Mark) and e.text == last.text for e in out) % 2 == 1


def _multiplies(nodes: list[Token | Bracket], at: int, out: list[Element]) -> bool:
    """ "(sc, inc)*6": a star between a bracket and a number, with no star open."""
    node = nodes[at]
    assert isinstance(node, Token)
    if node.text != "*" or at + 1 >= len(nodes):
        return False
    following = nodes[at + 1]
    if not isinstance(following, Token) or following.kind != "#":
        return False
    before = nodes[at - 1] if at else None
    open_star = sum(isinstance(e, Mark) and e.text == "*" for e in out) % 2 == 1
    after = nodes[at + 2] if at + 2 < len(nodes) else None
    ends = (
        after is None
        or isinstance(after, Bracket)
        or after.kind in (".", ",", ";", "times", "=", "--", ":")
    )
    if isinstance(before, Bracket):
        return not open_star and ends
    return isinstance(before, Token) and before.kind in ("inc", "dec") and not open_star and ends


def _with_repeat_words(nodes: list[Token | Bracket]) -> list[Token | Bracket]:
    """ "rep from *", "repeat between * and *", "ending last rep at **" made one node each."""
    kinds = {n.kind for n in nodes if isinstance(n, Token)}
    if "row" in kinds:
        nodes = _row_ranges(nodes)
    if "mark" not in kinds:
        return nodes
    out: list[Token | Bracket] = []
    at = 0
    while at < len(nodes):
        found = _again(nodes, at)
        if found is not None:
            made, at = found
            out.append(made)  # type: ignore[arg-type]
            continue
        out.append(nodes[at])
        at += 1
    return out


_BEFORE_A_MARK = frozenset("ending last end in noturn do fasten rep from between".split())


def _row_ranges(nodes: list[Token | Bracket]) -> list[Token | Bracket]:
    """ "Rows 2 \u2013 4" and "Rows 2, 3 and 4": the dash and the commas belong to the numbers."""
    out = list(nodes)
    for at in range(len(out) - 3):
        row, first, mark, second = out[at : at + 4]
        if not all(isinstance(n, Token) for n in (row, first, mark, second)):
            continue
        assert isinstance(row, Token) and isinstance(mark, Token)
        assert isinstance(first, Token) and isinstance(second, Token)
        spread = mark.kind == "--" and (row.kind != "row" or row.text.endswith("s"))
        if (
            row.kind in ("row", "#", "-")
            and first.kind == second.kind == "#"
            and (spread or mark.kind == ",")
            and any(isinstance(n, Token) and n.kind == "row" for n in out[max(at - 3, 0) : at + 1])
        ):
            out[at + 2] = mark._replace(kind="-" if mark.kind == "--" else "and")
    return out


_BETWEEN_REP_AND_MARK = frozenset(
    "from between in do all ? first last next a same to same base mark".split()
) - {"mark"}


def _again(nodes: list[Token | Bracket], at: int) -> tuple[Again | EndAt, int] | None:
    node = nodes[at]
    if not isinstance(node, Token) or node.kind not in _BEFORE_A_MARK:
        return None
    if node.kind == "ending" or (
        node.kind in ("last", "end", "in", "noturn", "do", "fasten") and _leads_to_cut(nodes, at)
    ):
        step = at + 1
        while step < len(nodes) and step < at + 8 and isinstance(nodes[step], Token):
            token = nodes[step]
            assert isinstance(token, Token)
            if token.kind == "mark":
                return EndAt(Span(node.start, token.end), token.text), step + 1
            if token.kind not in (
                "last",
                "rep",
                "in",
                "with",
                "end",
                "?",
                "before",
                "a",
                "row",
                "to",
                "first",
                "from",
                "ending",
                "after",
                "noun",
            ):
                return None
            step += 1
        return None
    if node.kind not in ("rep", "from", "between"):
        return None
    step = at + 1
    while (
        step < len(nodes)
        and step < at + 6
        and isinstance(nodes[step], Token)
        and nodes[step].kind in _BETWEEN_REP_AND_MARK  # type: ignore[union-attr]
    ):
        step += 1
    if step >= len(nodes):
        return None
    mark = nodes[step]
    if not isinstance(mark, Token) or mark.kind != "mark":
        return None
    end, paired, second = step + 1, False, step + 1
    while second < len(nodes) and second < step + 4 and isinstance(nodes[second], Token):
        token = nodes[second]
        assert isinstance(token, Token)
        if token.kind == "mark":
            end, paired = second + 1, True
            break
        if token.kind not in ("to", "and", "-", "--", "?", "next", "in", "same", "until"):
            break
        second += 1
    last = nodes[end - 1]
    assert isinstance(last, Token)
    return Again(Span(node.start, last.end), mark.text, paired), end


def _leads_to_cut(nodes: list[Token | Bracket], at: int) -> bool:
    """ "last rep at **", "at ** on last repeat": only where the mark is doubled or a dagger."""
    words: list[str] = []
    for node in nodes[at : at + 7]:
        if not isinstance(node, Token):
            return False
        if node.kind == "mark":
            return (
                "rep" in words
                and "last" in words
                and (len(node.text) > 1 or node.text[0] in "\u2020\u2021")
            )
        words.append(node.kind)
    return False


# --- totals -------------------------------------------------------------------------


def _stated(
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
    if kind == "," and following.kind != "#" and not said:
        return None
    if not _has_work(out):
        return None
    run: list[Token] = []
    step = at + 1
    while step < len(nodes):
        node = nodes[step]
        if isinstance(node, Token) and node.kind == "mark" and node.text == "+" and run:
            node = node._replace(kind="and")
        if not isinstance(node, Token) or node.kind in (".", ";", "mark", "--"):
            break
        if node.kind == ":" and run and run[-1].kind not in ("should", "total"):
            break
        run.append(node)
        step += 1
    for index in range(1, len(run) - 1):
        if run[index].kind == "," and run[index + 1].kind in _NO_PART_OF_A_TOTAL:
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
    total = total_of(run, said or kind in ("--", "="))
    if total is None:
        return None
    if said or kind in ("--", "="):
        return total, step
    following = nodes[step] if step < len(nodes) else None
    if isinstance(following, Bracket) or _states_after(nodes[step:]) or _stops_short(out):
        return None
    ends = not _more_work(nodes[step:])
    referred = any(isinstance(e, RowsReference) for e in out)
    if kind == "," and ends and (referred or total.units[0].what == "st"):
        return (total, step) if total.units[0].what else None
    joined = next((e for e in reversed(out) if not isinstance(e, Sep | Note)), None)
    if kind == "," and isinstance(joined, Join | Turn) and not _more_work(nodes[step:]):
        return (total, step) if total.units[0].what else None
    if kind in (",", "|", "/"):
        return None
    named = total.units[0].what
    if named == "ch":
        return None
    ended = (
        any(
            isinstance(e, Join | Turn | FastenOff | Again | RowsReference)
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


def _states_after(nodes: list[Token | Bracket]) -> bool:
    """Whether a total in brackets or after a dash follows, so that this one is none."""
    dashed = False
    for node in nodes:
        if isinstance(node, Bracket):
            tokens = [n for n in node.inside if isinstance(n, Token)]
            if len(tokens) == len(node.inside) and total_of(tokens, bracketed=True) is not None:
                return True
        if dashed and isinstance(node, Token) and node.kind == "#":
            return True
        dashed = isinstance(node, Token) and node.kind in ("--", "=")
    return False


#: Words with which a stated total may begin.
_BEGINS_A_TOTAL = frozenset(
    "# should total = in end do then row : and last counts ? st for each remain a".split()
)


def _has_work(out: list[Element]) -> bool:
    return any(
        isinstance(
            e,
            Work
            | Chain
            | Bracketed
            | Closed
            | Again
            | Repeat
            | Each
            | RowsReference
            | Group
            | Skip
            | Suffix
            | RepeatAll,
        )
        for e in out
    )


def _until_of_last(out: list[Element]) -> Until | None:
    """How far the last instruction runs, where that is said."""
    last = next((e for e in reversed(out) if not isinstance(e, Sep | Note)), None)
    if isinstance(last, Work):
        return last.place.until if last.place is not None else None
    if isinstance(last, Suffix | RepeatAll | Closed):
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
        isinstance(e, Suffix | Group | Repeat | Closed | RowsReference)
        or (isinstance(e, Work) and (e.place is not None or e.stitch.role in ("tog", "dec")))
        for e in sentence
    )


def _more_work(nodes: list[Token | Bracket]) -> bool:
    return any(isinstance(n, Token) and n.kind in ("S", "inc", "dec") for n in nodes)


_NO_PART_OF_A_TOTAL = frozenset("fasten turn join noturn nojoin note do ch slst leave skip".split())
_SUFFIX_WORDS = frozenset("in x twice once rep to until within around across times all".split())


def _bracket(
    bracket: Bracket,
    following: list[Token | Bracket],
    out: list[Element],
    vocabulary: Vocabulary,
    top: bool,
) -> list[Element]:
    """What a bracket is: a total, an aside, or instructions."""
    inside = bracket.inside
    if not inside:
        return []
    follows = following[0].kind if following and isinstance(following[0], Token) else ""
    suffixed = follows in _SUFFIX_WORDS or (follows == "#" and _number_is_suffix(following))
    if follows == "mark" and len(following) > 1 and isinstance(following[1], Token):
        suffixed |= following[1].kind == "#"
    if follows == "in" and _is_colour(following):
        suffixed = False
    flat = [n for n in inside if isinstance(n, Token)]
    if any(t.kind in ("counts", "countsno") for t in flat):
        inside = [
            t._replace(kind="and") if isinstance(t, Token) and t.kind in (",", "mark") else t
            for t in inside
        ]
        flat = []
    if (
        out
        and isinstance(out[-1], OtherSide)
        and isinstance(following[0] if following else None, Bracket)
    ):
        suffixed = True
    if len(flat) == len(inside) and out and isinstance(out[-1], Bracketed | Closed):
        often = _only_times(flat, vocabulary)
        if often is not None:
            return [Suffix(bracket.span, None, often)]
    if len(flat) == len(inside) and not suffixed:
        total = total_of(flat, bracketed=True)
        if total is not None and (top or _has_work(out)):
            bare = len(flat) == 1
            if _has_work(out) or bare:
                return [replace(total, span=bracket.span)]
    if len(flat) == len(inside) and out and isinstance(out[-1], Work | Bracketed | Closed):
        often = _only_times(flat, vocabulary)
        if often is not None:
            return [Suffix(bracket.span, None, often)]
    steps = _steps(inside, vocabulary)
    if not _works(steps):
        told = any(t.kind in ("S", "inc", "dec", "skip", "rep") for t in flat)
        asides: list[Element] = []
        for step in steps:
            if isinstance(step, Chain) and step.counts is not None:
                asides.append(CountsAs(step.span, step.counts, step.counts_as, step.space))
            elif isinstance(step, Unread) and not told:
                asides.append(Note(step.span))
            else:
                asides.append(step)
        return asides
    return [Bracketed(bracket.span, tuple(steps), bracket.mark)]


def _only_times(tokens: list[Token], vocabulary: Vocabulary) -> Often | None:
    """ "dec (6 times)": a bracket that says how often, and nothing else."""
    if not {t.kind for t in tokens} & {"times", "x", "twice", "total"}:
        return None
    read = items(tuple(tokens), vocabulary, True)
    if len(read) == 1 and isinstance(read[0], Suffix) and read[0].place is None:
        often = read[0].often
        return often if often is not None and often.times is not None and not often.more else None
    return None


def _number_is_suffix(following: list[Token | Bracket]) -> bool:
    """ "(sc, inc) 6", "(..) 6 times", "(..) 5 more": a number that counts the bracket."""
    if len(following) < 2:
        return True
    after = following[1]
    return isinstance(after, Bracket) or after.kind in (
        "times",
        "x",
        "more",
        ".",
        ",",
        ";",
        ":",
        "--",
        "=",
        "total",
    )


def _is_colour(following: list[Token | Bracket]) -> bool:
    after = following[1] if len(following) > 1 else None
    return isinstance(after, Token) and after.kind in ("yarn", "?")


def _works(steps: list[Step]) -> bool:
    return any(
        isinstance(s, Work | Chain | Skip | Group | Repeat | Each | Join | RowsReference)
        for s in steps
        if not (isinstance(s, Chain) and s.count == (0,))
    )


# --- places ahead and behind --------------------------------------------------------


def _placed_ahead(elements: list[Element]) -> list[Element]:
    """ "In next ch-2 sp work 2 dc, ch 2, 2 dc;": the place goes to all that follows."""
    out: list[Element] = []
    at = 0
    while at < len(elements):
        element = elements[at]
        if not isinstance(element, Ahead):
            out.append(element)
            at += 1
            continue
        at += 1
        while at < len(elements) and _is_pause(elements[at]):
            at += 1
        if at < len(elements) and isinstance(elements[at], Bracketed):
            group = elements[at]
            assert isinstance(group, Bracketed)
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
            if isinstance(following, Bracketed):
                taken.append(Group(following.span, following.body))
                at += 1
                continue
            if isinstance(following, Work) and following.place is not None:
                break
            if not isinstance(following, Work | Chain | Note | Group):
                break
            taken.append(following)
            at += 1
        if taken:
            span = Span(element.span.start, taken[-1].span.end)
            out.append(Group(span, tuple(taken), element.place))
        elif element.place.which in (Which.SAME, Which.FIRST, Which.EDGE):
            out.append(Note(element.span))
        else:
            out.append(Unread(element.span))
    return out


def _all_in_one(elements: list[Element]) -> list[Element]:
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
        while start < len(out) - 1 and isinstance(out[start], Sep | Chain):
            start += 1
        several = sum(isinstance(e, Work) for e in out[start:]) > 1
        if several and (said or (chained and (spaced or place.which is Which.SAME))):
            body = tuple(e for e in out[start:-1] if isinstance(e, Work | Chain))
            last = replace(element, place=None)
            span = Span(body[0].span.start, element.span.end)
            del out[start:]
            out.append(Group(span, (*body, last), place))
    return out


# --- marks --------------------------------------------------------------------------


def _marked(elements: list[Element]) -> list[Element]:
    """Stars and daggers made repeats; suffixes given to what they belong to."""
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
        else:
            out.append(element)
    return out


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
            if all(isinstance(e, Sep | Note) for e in between):
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
        and isinstance(out[index - 1], Closed | Bracketed)
    ):
        index -= 1  # "*...*, 4 times in all"
    target = out[index] if index >= 0 else None
    if isinstance(target, Closed) and suffix.often is not None:
        out[index] = target._replace(often=suffix.often, doubled=target.doubled and target.again)
    elif isinstance(target, Closed) and suffix.place is not None:
        body = tuple(e for e in target.body if _is_step(e))
        out[index] = Group(target.span, body, suffix.place)  # type: ignore[arg-type]
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
        span = Span(target.span.start, suffix.span.end)
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


def _is_step(element: Element) -> bool:
    return not isinstance(
        element,
        Ahead
        | Suffix
        | RepeatAll
        | CountsAs
        | Bare
        | Mark
        | Again
        | EndAt
        | Sep
        | Closed
        | Bracketed
        | Altered
        | Instead,
    )


# --- finishing ----------------------------------------------------------------------


def _finished(elements: list[Element], vocabulary: Vocabulary) -> list[Step]:
    """The elements of a level as steps only."""
    bare = _bare_numbers_count(elements)
    out: list[Step] = []
    altered: Altered | None = None
    noted = instead = False
    for position, element in enumerate(elements):
        if isinstance(element, Sep):
            if element.kind in (".", ";"):
                altered = None
                noted = False if element.kind == "." else noted
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
        if instead and isinstance(element, Work | Chain | Group):
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
            _repeat_all(element, elements, position, out)
        elif isinstance(element, CountsAs):
            _counts(element, out)
        elif isinstance(element, Closed):
            out.append(_closed(element, vocabulary))
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
        elif _is_step(element):
            before = next(
                (i for i in range(len(out) - 1, -1, -1) if not isinstance(out[i], Note)), None
            )
            joined = _along(out[before], element) if before is not None else None
            if before is not None and joined is None and _leaves_last(out[before], element):
                out[before] = _to_last(out[before], element)
            if joined is not None and before is not None:
                out[before:] = [joined]
            else:
                out.append(element)  # type: ignore[arg-type]
        else:
            out.append(Unread(element.span))
    return out


def _along(before: Step, element: Element) -> Each | None:
    """ "Sc in each sc and 2 sc in each ch-2 sp": two fills along the same places."""
    if not isinstance(element, Work | Group) or not _runs_along(element):
        return None
    works = before.works if isinstance(before, Each) else (before,)
    last = works[-1]
    if not isinstance(last, Work | Group) or not _runs_along(last) or last.place == element.place:
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
        or not isinstance(element, Work | Group)
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
    assert isinstance(before, Work) and isinstance(element, Work | Group)
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
    return bool(works) and all(
        w.stitch.role in ("inc", "dec") or w.stitch.role == "tog" for w in works
    )


def _omitted(element: Element, out: list[Step]) -> bool:
    """ "omit last ch 2": cut the end of the last pass of the repeat before it."""
    for index in range(len(out) - 1, -1, -1):
        step = out[index]
        if isinstance(step, Repeat):
            split = _split_last(step.steps)
            if split is not None and isinstance(element, Work) and element.count is None:
                out[index] = replace(step, steps=split, cut=len(split) - 1)
                return True
            if step.steps and isinstance(element, type(step.steps[-1])):
                cut = len(step.steps) - 1
                out[index] = replace(step, cut=cut)
                return True
            opened = _opened_last(step.steps) or _split_last(step.steps)
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
        and isinstance(steps[-1], Work | Chain | Group)
    )


def _swap(out: list[Step], old: Step) -> None:
    """ "Same as last round but ch 7 instead of ch 6": the reference keeps the swap."""
    if not _swap_begins(out):
        return
    at = max(i for i, s in enumerate(out) if isinstance(s, RowsReference))
    new = next(s for s in reversed(out) if isinstance(s, Work | Chain | Group))
    reference = out[at]
    assert isinstance(reference, RowsReference)
    out[:] = [s for s in out if s is not new and s is not reference]
    out.insert(at, replace(reference, swaps=(*reference.swaps, (new, old))))


def _opened_last(steps: tuple[Step, ...]) -> tuple[Step, ...] | None:
    """A repeat at the end of a body, its last pass written out: for "omit last sc"."""
    last = steps[-1] if steps else None
    if not isinstance(last, Repeat) or last.times is None or last.more or len(last.times) > 1:
        return None
    return (*steps[:-1], replace(last, times=(last.times[0] - 1,)), *last.steps)


def _split_last(steps: tuple[Step, ...]) -> tuple[Step, ...] | None:
    """ "Sc in next 3 sts" at the end of a body as 2 and 1, so that the last may be left off."""
    last = steps[-1] if steps else None
    if isinstance(last, Repeat):
        opened = _opened_last(steps)
        return _split_last(opened) if opened is not None else None
    if not isinstance(last, Work) or last.place is None or last.place.which is not Which.NEXT:
        return None
    count = last.place.count
    if len(count) > 1 or count[0] < 2 or last.count not in (None, (1,)):
        return None
    first = replace(last, place=replace(last.place, count=(count[0] - 1,)))
    return (*steps[:-1], first, replace(last, place=replace(last.place, count=(1,))))


def _replaces_last(out: list[Step]) -> None:
    """ "On last rep sl st in last st instead of sc": the last pass loses its last step."""
    for index in range(len(out) - 1, -1, -1):
        step = out[index]
        if isinstance(step, Repeat):
            if step.cut is None and len(step.steps) > 1:
                out[index] = replace(step, cut=len(step.steps) - 1)
            return


def _closed(closed: Closed, vocabulary: Vocabulary) -> Step:
    body_elements = closed.body
    cut = None
    if closed.cut is not None:
        cut = len(_finished(_marked(body_elements[: closed.cut]), vocabulary))
    body = tuple(_finished(body_elements, vocabulary))
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


def _repeat_all(
    element: RepeatAll, elements: list[Element], position: int, out: list[Step]
) -> None:
    """ "Repeat around": everything since the beginning of the row, or a bracket to come."""
    following = next((e for e in elements[position + 1 :] if not isinstance(e, Sep | Note)), None)
    if element.often is None and isinstance(following, Group | Repeat | Closed):
        return
    start = 0
    for index, step in enumerate(out):
        if (
            isinstance(step, Join | Ring | Turn | Loops | OtherSide | FastenOff)
            or (isinstance(step, Chain) and index == start)
            or (isinstance(step, Note) and index == start)
            or isinstance(step, Repeat)
        ):
            start = index + 1
    body = tuple(_unanchored(s) for s in out[start:] if not isinstance(s, Note))
    if not any(isinstance(s, Work | Group | Repeat) for s in body):
        out.append(Unread(element.span))
        return
    del out[start:]
    span = Span(body[0].span.start, element.span.end)
    often = element.often
    if often is None or often.times is None:
        out.append(Repeat(span, body, None, until=often.until if often else None))
    else:
        more = not often.exact
        out.append(Repeat(span, body, often.times, more=more, doubtful=more and not often.more))


def _unanchored(step: Step) -> Step:
    """ "Sc in first 3 sts, inc in next. Repeat around.": "first" is the first of each pass."""
    if isinstance(step, Work) and step.place is not None and step.place.which is Which.FIRST:
        return replace(step, place=replace(step.place, which=Which.NEXT))
    return step


def _counts(element: CountsAs, out: list[Step]) -> None:
    """Tell the chain before what it counts as; without one, the skipped chains."""
    for index in range(len(out) - 1, -1, -1):
        step = out[index]
        if isinstance(step, Chain) and step.count != (0,):
            out[index] = replace(
                step, counts=element.counts, counts_as=element.stitch, space=element.space
            )
            return
        if isinstance(step, Work | Group | Repeat):
            break
    out.append(Chain(element.span, (0,), element.counts, element.stitch, element.space))
