"""Words that repeat: "rep from * 5 more times", "x 6", "from * to *", "ending with ..."."""

from __future__ import annotations

from proofhook.reading.build import Often, Suffix, items
from proofhook.reading.elements import Again, Bracket, Element, EndAt, Mark
from proofhook.reading.lexer import Token, Vocabulary
from proofhook.text import Span

_BEFORE_A_MARK = frozenset("ending last end in noturn do fasten rep from between".split())
_BETWEEN_REP_AND_MARK = frozenset(
    "from between in do all ? first last next a same to same base mark".split()
) - {"mark"}


#: What a figure counts: "as Row 5, 112 sc" refers to one row.
_COUNTED = frozenset("S st sts slst inc dec sp".split())


def without_last_rep(segment: list[Token]) -> list[Token]:
    """ "Omit last sc of last rep": that it is the last pass is understood."""
    out = list(segment)
    for at in range(len(out) - 1):
        if out[at].kind in ("last", "end") and out[at + 1].kind == "rep":
            first = at - 1 if at and out[at - 1].kind in ("in", "to", "from") else at
            return out[:first] + out[at + 2 :]
    return out


def odd_mark(out: list[Element]) -> bool:
    """Whether the last mark opens (an odd number of its kind so far)."""
    last = out[-1]
    assert isinstance(last, Mark)
    return sum(isinstance(e, Mark) and e.text == last.text for e in out) % 2 == 1


def multiplies(nodes: list[Token | Bracket], at: int, out: list[Element]) -> bool:
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
    if not isinstance(before, Token) or open_star or not ends:
        return False
    glued = before.end == node.start and node.end == following.start  # "invdec*6"
    return before.kind in ("inc", "dec") or (before.kind == "S" and glued)


def with_repeat_words(nodes: list[Token | Bracket]) -> list[Token | Bracket]:
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


def _row_ranges(nodes: list[Token | Bracket]) -> list[Token | Bracket]:
    """ "Rows 2 \u2013 4" and "Rows 2, 3 and 4": the dash and the commas belong to the numbers."""
    out = list(nodes)
    for at in range(len(out) - 4):
        five = [node.kind for node in out[at : at + 5] if isinstance(node, Token)]
        dash = out[at + 2]
        if five == ["row", "#", "--", "row", "#"] and isinstance(dash, Token):  # "R1\u2013R6"
            out[at + 2] = dash._replace(kind="-")
    for at in range(len(out) - 3):
        row, first, mark, second = out[at : at + 4]
        after = out[at + 4] if at + 4 < len(out) else None
        if isinstance(after, Token) and after.kind in _COUNTED:
            continue
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
                "times",
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
                ("rep" in words or "times" in words)
                and "last" in words
                and (len(node.text) > 1 or node.text[0] in "\u2020\u2021")
            )
        words.append(node.kind)
    return False


def only_times(tokens: list[Token], vocabulary: Vocabulary) -> Often | None:
    """ "dec (6 times)": a bracket that says how often, and nothing else."""
    if not {t.kind for t in tokens} & {"times", "x", "twice", "total"}:
        return None
    read = items(tuple(tokens), vocabulary, True)
    if len(read) == 1 and isinstance(read[0], Suffix) and read[0].place is None:
        often = read[0].often
        return often if often is not None and often.times is not None and not often.more else None
    return None


def number_is_suffix(following: list[Token | Bracket]) -> bool:
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


def is_colour(following: list[Token | Bracket]) -> bool:
    """Whether a bracket after these tokens holds a colour."""
    after = following[1] if len(following) > 1 else None
    return isinstance(after, Token) and after.kind in ("yarn", "?")
