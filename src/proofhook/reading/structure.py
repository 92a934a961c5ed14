"""One row: its words -> steps.

Brackets and marks (stars, daggers) give a row its structure; what stands between them
and between commas and stops are segments, which ``build.py`` reads one by one.  What a
bracket means is decided by what follows it: a place makes it a group worked together, a
number or "around" a repeat, nothing but the end of the row a total.
"""

from __future__ import annotations

import re
from itertools import pairwise

from proofhook.expressions import expression
from proofhook.pattern import (
    Chain,
    Each,
    Evenly,
    Group,
    Note,
    OtherSide,
    Repeat,
    Skip,
    Step,
    Total,
    Unread,
    Work,
)
from proofhook.reading.build import Ahead, CountsAs, Suffix, items
from proofhook.reading.elements import (
    Again,
    Bracket,
    Bracketed,
    Closed,
    Element,
    EndAt,
    Mark,
    Sep,
    span_of,
    works,
)
from proofhook.reading.finished import finished
from proofhook.reading.lexer import Token, Vocabulary, lex
from proofhook.reading.marked import marked
from proofhook.reading.meshes import filet_steps
from proofhook.reading.placed import all_in_one, placed_ahead
from proofhook.reading.repeat_words import (
    is_colour,
    multiplies,
    number_is_suffix,
    odd_mark,
    only_times,
    with_repeat_words,
    without_last_rep,
)
from proofhook.reading.shapings import even_steps, shaping_steps
from proofhook.reading.stated import after_total, has_work, stated_total, without_row_of_total
from proofhook.reading.totals import total_of
from proofhook.records import replace
from proofhook.text import Span

#: Deeper brackets than this are no row that anybody could follow.
MAX_DEPTH = 8
MAX_TOKENS = 700
LONGEST_ROW = 20_000
MAX_ROWS_KEPT = 20_000


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


def _read_row(text: str, vocabulary: Vocabulary) -> tuple[Step, ...]:
    if len(text) > LONGEST_ROW:
        return (Unread(Span(0, len(text))),)
    if "bl" in text or "mesh" in text:
        meshes = filet_steps(text)
        if meshes is not None:
            return meshes
    if text[:1] in "DdIiTtCcWw":
        shaped = _shaped(text, vocabulary)
        if shaped is not None:
            return shaped
    tokens = lex(without_row_of_total(_quoted(text)), vocabulary)
    tokens = _without_asides(_over_the_chain(_remarks(tokens, text)), text)
    tokens = _named_count_last(tokens, vocabulary)
    if len(tokens) > MAX_TOKENS:
        return (Unread(Span(0, len(text))),)
    nested = _nested(tokens)
    if nested is None:
        return (Unread(Span(0, len(text))),)
    steps = _heading_total_last(tuple(_steps(nested, vocabulary, top=True)))
    return after_total(_trailing_times(steps))


def _shaped(text: str, vocabulary: Vocabulary) -> tuple[Step, ...] | None:
    """A sentence of shaping, with nothing after it but its total."""
    found = shaping_steps(text) or even_steps(text)
    if found is None:
        return None
    change, end = found
    rest = text[end:].strip(" ([{=\u2013\u2014-)]}.")
    if not rest:
        return (change,) if isinstance(change, Evenly) else None
    at = text.index(rest, end)
    tokens = [t._replace(start=t.start + at, end=t.end + at) for t in lex(rest, vocabulary)]
    total = total_of(tokens, said=True)
    return None if total is None else (change, total)


#: "(the one with the marker)", "(that's 2 sc in each)": what a bracket of explanations begins with.
_EXPLAINS = expression(r"[(\[]\s*(?:the|that|that's|this|which|it|you|remember|i\.\s?e\.?)\s", re.I)
_REMARK = "(remark"


def _remarks(tokens: list[Token], text: str) -> list[Token]:
    """Opening brackets after which something is explained, marked as such."""
    if "(" not in text and "[" not in text:
        return tokens
    return [
        token._replace(text=_REMARK)
        if token.kind == "(" and _EXPLAINS.match(text, token.start)
        else token
        for token in tokens
    ]


#: How somebody begins who tells of himself: "I had to rip this one back."
_TELLS = expression(r"(?:I|I'm|I've|I'd|I'll|My|We|We're|She|He|They|Sorry|Honestly|Yes|No)\b")
_WORKS = frozenset("S st inc dec ch slst skip rep sp turn join ring mark ( should total".split())


def _without_asides(tokens: list[Token], text: str) -> list[Token]:
    """The tokens without sentences in which somebody tells of himself and works nothing."""
    out: list[Token] = []
    sentence: list[Token] = []
    for token in [*tokens, None]:
        if token is not None:
            sentence.append(token)
        if token is None or token.kind == ".":
            told = _TELLS.match(text, sentence[0].start) if sentence else None
            works = any(t.kind in _WORKS for t in sentence)
            out += [] if told and out and not works else sentence
            sentence = []
    return out


_NAMES_A_COUNT = frozenset(("S", "st", "sp", "noun", "?"))


def _named_count_last(tokens: list[Token], vocabulary: Vocabulary) -> list[Token]:
    """ "... to end. Sts: 25", "Blocks: 3": the name of what is counted put behind the figure."""
    end = len(tokens)
    while end and tokens[end - 1].kind == ".":
        end -= 1
    kinds = [token.kind for token in tokens[max(end - 4, 0) : end]]
    if len(kinds) < 4 or kinds[2:] != [":", "#"] or kinds[1] not in _NAMES_A_COUNT:
        return tokens
    if kinds[0] not in (".", ";", ",", ")", "--"):
        return tokens
    name, colon, figure = tokens[end - 3 : end]
    stitch = name.stitch or vocabulary.local.get(name.text.removesuffix("s"))
    if name.kind == "?" and stitch is None:
        return tokens
    announced = Token("=", name.start, colon.end)
    unit = Token("S" if stitch else name.kind, figure.end, figure.end, None, stitch, name.text)
    return [*tokens[: end - 3], announced, figure, unit, *tokens[end:]]


def _over_the_chain(tokens: list[Token]) -> list[Token]:
    """ "The other side", "along the bottom", in a row that began in a chain: that of the chain."""
    if all(token.kind != "hook" for token in tokens):
        return tokens
    out: list[Token] = []
    chain = False
    for token in tokens:
        chain = chain or token.kind == "hook"
        before = out[-1] if out else None
        if chain and before is not None:
            beyond = token.text in ("side", "edge") and before.kind == "other"
            under = token.text == "bottom" and before.kind in ("along", "across", "around")
            if beyond or under:
                token = Token("otherside", out.pop().start, token.end, text="other side")
        out.append(token)
    return out


def _heading_total_last(steps: tuple[Step, ...]) -> tuple[Step, ...]:
    """ "Rnd 5 (30 sts): ...": a total that is told before the work is checked after it."""
    if len(steps) > 1 and isinstance(steps[0], Total):
        return (*steps[1:], steps[0])
    return steps


def _trailing_times(steps: tuple[Step, ...]) -> tuple[Step, ...]:
    """ "3 sc, 1 dec (x6)": the number of times may be of all that stands before it."""
    at = [i for i, step in enumerate(steps) if isinstance(step, Work)]
    if len(at) < 2 or any(isinstance(s, (Group, Repeat, Each, Skip, Unread)) for s in steps):
        return steps
    begins, ends = at[0], at[-1] + 1
    body = [step for step in steps[begins:ends] if isinstance(step, Work)]
    apart = [step for step in steps[begins:ends] if not isinstance(step, (Work, Note))]
    last = body[-1]
    if apart or last.times == (1,) or any(work.times != (1,) for work in body[:-1]):
        return steps
    if any(work.place is not None or work.stitch.role == "slip" for work in body):
        return steps
    span = Span(body[0].span.start, last.span.end)
    whole = (*body[:-1], replace(last, times=(1,)))
    return (*steps[:begins], Repeat(span, whole, last.times, trailing=True), *steps[ends:])


_QUOTED_GROUP = expression(
    r"(?<![\w\"'])['\"]([\dA-Za-z][^'\"()\n]{2,60},[^'\"()\n]{1,60})['\"](?=\s)"
)


def _quoted(text: str) -> str:
    """ "'1 dc, 5 ch, 1 dc' in next st": quotation marks that serve as brackets."""
    if "'" not in text and '"' not in text:
        return text
    return _QUOTED_GROUP.sub(r"(\1)", text)


_BRACKETS = frozenset("()")


def _nested(tokens: list[Token]) -> list[Token | Bracket] | None:
    """Tokens with bracket pairs made one; None where they nest too deep.

    A bracket that is never closed ends with the row; a closing one without its fellow
    is passed over.
    """
    stack: list[tuple[Token | None, list[Token | Bracket]]] = [(None, [])]
    if all(token.kind not in _BRACKETS for token in tokens):
        return [*tokens]
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
            end = span_of(inside[-1]).end if inside else opened.end
            stack[-1][1].append(Bracket(Span(opened.start, end), inside, opened.text))
    return stack[0][1]


def _steps(nodes: list[Token | Bracket], vocabulary: Vocabulary, top: bool = False) -> list[Step]:
    elements = _elements(nodes, vocabulary, top)
    elements = placed_ahead(elements)
    elements = all_in_one(elements)
    elements = marked(elements)
    return finished(elements, vocabulary)


def _elements(nodes: list[Token | Bracket], vocabulary: Vocabulary, top: bool) -> list[Element]:
    """Segments read, brackets decided, marks and repeats by mark told apart."""
    kinds = {node.kind for node in nodes if isinstance(node, Token)}
    if "/" in kinds:
        nodes = _between_slashes(nodes)
    if not kinds.isdisjoint(("row", "mark")):
        nodes = with_repeat_words(nodes)
    if "x" in kinds:
        nodes = _times_last(nodes)
    every: list[object] = [*nodes] if "mark" in kinds else []
    used_marks = {n.text for n in every if isinstance(n, (Again, EndAt))}
    out: list[Element] = []
    segment: list[Token] = []
    at = 0
    names_place = False

    def flush() -> None:
        if segment:
            if segment[0].kind == "next" and _skips(out):
                segment.insert(0, Token("skip", segment[0].start, segment[0].start))
            if any(t.kind == "omit" for t in segment):
                segment[:] = without_last_rep(segment)
            after = bool(out) and isinstance(out[-1], (Bracketed, Closed, Again, Mark))
            if not after and (
                segment[0].kind == "rep"
                or [t.kind for t in segment[:2]] in (["#", "times"], ["x", "#"])
            ):
                last_named = next(
                    (e for e in reversed(out) if not isinstance(e, (Sep, Note))), None
                )
                after = isinstance(last_named, (Closed, Bracketed, Mark))
                after |= isinstance(last_named, Work) and segment[0].kind == "x"
            closed_mark = bool(out) and isinstance(out[-1], Mark) and odd_mark(out)
            last = None
            if segment[0].kind in _GOES_ON and not names_place:
                last = next((e for e in reversed(out) if isinstance(e, Work)), None)
            out.extend(items(tuple(segment), vocabulary, after and not closed_mark, last))
            segment.clear()

    while at < len(nodes):
        node = nodes[at]
        if isinstance(node, Bracket):
            if segment and segment[0].kind == "in" and _holds_a_group(node):
                names_place = True
            flush()
            names_place = False
            following = nodes[at + 1 : at + 4]
            out += _bracket(node, following, out, vocabulary, top)
        elif isinstance(node, (Again, EndAt)):
            flush()
            out.append(node)
        elif node.kind == "mark":
            if multiplies(nodes, at, out):
                flush()
                segment.append(Token("x", node.start, node.end))
            elif node.text in ("+",) and "+" not in used_marks:
                segment.append(Token("and", node.start, node.end))
            elif node.text == "~" and _figure_at(nodes, at + 1) and top:
                flush()
                out.append(Sep(Span(node.start, node.end), "--"))
                stated = stated_total(nodes, at, out, said=True)
                if stated is not None:
                    total, at = stated
                    out.append(total)
                    continue
            elif node.text[0] in "#@~^" and node.text not in used_marks:
                pass
            else:
                flush()
                out.append(Mark(Span(node.start, node.end), node.text))
        elif node.kind in (",", ";", ".", ":", "--", "=", "|", "/"):
            flush()
            out.append(Sep(Span(node.start, node.end), node.kind))
            stated = stated_total(nodes, at, out) if top else None
            if stated is not None:
                total, at = stated
                out.append(total)
                continue
        elif top and node.kind in _TELLS_A_TOTAL and _tells_a_total(nodes, at, node.kind):
            flush()
            stated = stated_total(nodes, at - 1, out, said=True)
            if stated is not None:
                total, at = stated
                out.append(total)
                continue
            segment.append(node._replace(kind="do") if node.kind == "should" else node)
        else:
            segment.append(node)
        at += 1
    flush()
    return out


def _holds_a_group(bracket: Bracket) -> bool:
    """ "(2 dc, ch 2, 2 dc)": stitches with chains between, and no total."""
    kinds = [node.kind for node in bracket.inside if isinstance(node, Token)]
    return kinds.count("S") > 1 and "ch" in kinds and "," in kinds


def _skips(out: list[Element]) -> bool:
    """Whether the last words were of places passed over: "sk next sp, next 26 dc and ..."."""
    last = next((e for e in reversed(out) if not isinstance(e, Note)), None)
    before = [e for e in out if not isinstance(e, (Note, Sep))]
    return (
        isinstance(last, Sep) and last.kind == "," and bool(before) and isinstance(before[-1], Skip)
    )


_TELLS_A_TOTAL = frozenset(("should", "total", "#"))


def _tells_a_total(nodes: list[Token | Bracket], at: int, kind: str) -> bool:
    """Whether a total begins here, in the middle of a sentence."""
    if kind == "#":
        return _ends_after_a_turn(nodes, at)
    return kind == "should" or _totals(nodes, at)


def _ends_after_a_turn(nodes: list[Token | Bracket], at: int) -> bool:
    """ "..., turn 21 sts": a figure after the turn, and then no more."""
    if at < 2:
        return False
    kinds = [node.kind if isinstance(node, Token) else "(" for node in nodes[at - 1 : at + 3]]
    return kinds[:2] == ["turn", "#"] and kinds[2:] in (["S"], ["st"], ["S", "."], ["st", "."])


def _totals(nodes: list[Token | Bracket], at: int) -> bool:
    """ "... across total 12 sc": the word in the middle of a sentence."""
    kinds = [node.kind if isinstance(node, Token) else "(" for node in nodes[at : at + 3]]
    return kinds[:2] == ["total", "#"] and kinds[2:] in ([], ["S"], ["st"])


def _between_slashes(nodes: list[Token | Bracket]) -> list[Token | Bracket]:
    """ "/12/": a figure between slashes is one in brackets."""
    out = list(nodes)
    at = 0
    while at + 2 < len(out):
        first, figure, last = out[at : at + 3]
        if (
            isinstance(first, Token)
            and isinstance(figure, Token)
            and isinstance(last, Token)
            and (first.kind, figure.kind, last.kind) == ("/", "#", "/")
        ):
            out[at : at + 3] = [Bracket(Span(first.start, last.end), [figure], "(")]
        at += 1
    return out


def _times_last(nodes: list[Token | Bracket]) -> list[Token | Bracket]:
    """ "6x (sc, inc)": the number before a bracket put behind it, where it is read."""
    out = list(nodes)
    for at in range(len(out) - 2):
        number, sign, bracket = out[at : at + 3]
        if (
            isinstance(bracket, Bracket)
            and isinstance(number, Token)
            and isinstance(sign, Token)
            and (number.kind, sign.kind) == ("#", "x")
            and (at == 0 or _parts_words(out[at - 1]) or _is_yarn(out[at - 1]))
        ):
            out[at : at + 3] = [bracket, number, sign]
    return out


def _figure_at(nodes: list[Token | Bracket], at: int) -> bool:
    node = nodes[at] if at < len(nodes) else None
    return isinstance(node, Token) and node.kind == "#"


def _parts_words(node: Token | Bracket) -> bool:
    return isinstance(node, Token) and node.kind in (",", ";", ".", ":", "then", "and", "=")


def _is_yarn(node: Token | Bracket) -> bool:
    """ "Black 2x (4 sc, dec)": the colour before, or a full stop."""
    return isinstance(node, Token) and node.kind == "yarn"


#: Words with which a segment may go on with the stitch of the one before.
_GOES_ON = frozenset(("and", "then", "in", "each", "#"))


_SUFFIX_WORDS = frozenset("in x twice once rep to until within around across times all".split())


def _tells_how(tokens: list[Token], work: Work) -> bool:
    """Whether a bracket after a stitch says how the stitch is made, or where, once more."""
    if not tokens:
        return False
    kinds = [token.kind for token in tokens]
    if work.stitch.role in ("inc", "dec") and tokens[0].kind in ("#", "S"):
        inside = [token.stitch for token in tokens if token.stitch is not None]
        if len(inside) == 1 and {"tog", "in", "each"} & set(kinds):
            return True  # "dec (2 sc together)", "inc (2 sc in same st)"
    if tokens[0].text in ("or", "is", "being", "i", "ie", "so", "these", "those"):
        return True
    if "edge" in kinds and kinds[0] == "#" and kinds[1:2] == ["S"]:
        return any(token.text in ("for", "per") for token in tokens)
    if set(kinds) != {"ch", "#", "mark", "S"} or tokens[kinds.index("mark")].text != "+":
        return False
    told = sum(
        figure.number[0]
        for figure, after in pairwise(tokens)
        if figure.number and after.kind == "S"
    )
    return work.count is not None and 1 + told in work.count


def _worth(span: Span, tokens: list[Token]) -> CountsAs | None:
    """ "Ch 5 (they are worth 1 dc and 2 ch)", "4 ch (= 1 dc and 1 ch)": what a chain stands for."""
    kinds = [token.kind for token in tokens]
    if kinds[-5:-3] != ["#", "S"] or kinds[-3] not in ("and", ",", "mark"):
        return None
    figures = [token.number for token in tokens[-2:] if token.kind == "#" and token.number]
    stitch = tokens[-4].stitch
    alone = not {"#", "S"} & set(kinds[:-5]) and tokens[-5].number == (1,)
    if not alone or stitch is None or "ch" not in kinds[-2:] or len(figures) != 1:
        return None
    return CountsAs(span, True, stitch.base, figures[0][0])


def _only_explains(tokens: list[Token]) -> bool:
    """Whether a bracket that begins as a remark is one: no count, and nothing that counts."""
    kinds = {token.kind for token in tokens[1:]}
    if kinds & {"counts", "countsno", "countsyes", "should", "total", "skip", "otherside", "turn"}:
        return False
    placed = any(
        before.kind in ("S", "inc", "dec") and after.kind in ("in", "around")
        for before, after in pairwise(tokens)
    )
    return placed or "#" not in kinds or total_of(tokens, bracketed=True) is None


_OF_ANY_NUMBER = frozenset(("number", "multiple", "multiples"))


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
    suffixed = follows in _SUFFIX_WORDS or (follows == "#" and number_is_suffix(following))
    if follows == "mark" and len(following) > 1 and isinstance(following[1], Token):
        suffixed |= following[1].kind == "#"
    if follows == "in" and is_colour(following):
        suffixed = False
    flat = [n for n in inside if isinstance(n, Token)]
    if any(t.text in _OF_ANY_NUMBER for t in flat) and len(flat) == len(inside):
        return [Note(bracket.span)]  # "ch 24 (any even number works)", "(multiple of 6 + 2)"
    if bracket.mark == _REMARK and not suffixed and _only_explains(flat):
        return [Note(bracket.span)]
    parted = next((i for i, t in enumerate(flat) if t.kind == ":"), 0)
    if parted and len(flat) == len(inside) and any("counts" in t.kind for t in flat[:parted]):
        total = total_of(flat[parted + 1 :], bracketed=True)  # "(3 ch count as 1 tr: 3 tr)"
        if total is not None:
            before = Bracket(bracket.span, list(flat[:parted]), bracket.mark)
            return [*_bracket(before, following, out, vocabulary, top), total]
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
    if flat and flat[-1].kind == "." and len(flat) == len(inside):
        inside = flat = flat[:-1]  # type: ignore[assignment]
    if out and isinstance(out[-1], Chain) and len(flat) == len(inside) and 2 <= len(flat) <= 4:
        lead = {t.kind for t in flat[:-1]}
        stitch = flat[-1].stitch
        if (
            stitch is not None
            and lead <= {"#th", "first", "as", "#", "="}
            and lead & {"#th", "first", "as"}
        ):
            return [CountsAs(bracket.span, True, stitch.base, 0)]  # "ch 3 (1st dc)"
    if len(flat) == len(inside) and out and isinstance(out[-1], (Bracketed, Closed)):
        often = only_times(flat, vocabulary)
        if often is not None:
            return [Suffix(bracket.span, None, often)]
    if len(flat) == len(inside) and out and isinstance(out[-1], Chain):
        worth = _worth(bracket.span, flat)
        if worth is not None:
            return [worth]
    goes_there = bool(out) and isinstance(out[-1], Ahead)  # "in each corner (2 dc, ch 2, 2 dc)"
    if len(flat) == len(inside) and not suffixed and not goes_there:
        total = total_of(flat, bracketed=True)
        if total is not None and (top or has_work(out)):
            bare = len(flat) == 1
            heads = (
                not out and top and (follows in (":", "--", "", ".") or total.units[0].what == "st")
            )
            if has_work(out) or bare or heads:
                return [replace(total, span=bracket.span)]
    if len(flat) == len(inside) and out and isinstance(out[-1], (Work, Bracketed, Closed)):
        often = only_times(flat, vocabulary)
        if often is not None:
            return [Suffix(bracket.span, None, often)]
    if len(inside) == 1 and not suffixed and out and isinstance(out[-1], Work):
        only = inside[0]
        if isinstance(only, Token) and only.stitch is not None and only.stitch.role == "picot":
            return [Note(bracket.span, "made")]  # "ch 3, sl st in last sc (picot)"
    if not suffixed and len(flat) == len(inside) and out and isinstance(out[-1], Work):
        if bracket.span.start - out[-1].span.end < 2 and _tells_how(flat, out[-1]):
            return [Note(bracket.span)]  # "12 dc in a magic ring (ch 3 + 11 dc)"
    steps = _steps(inside, vocabulary)
    if not works(steps):
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
