"""Stated totals: "(24)", "\u2013 24 sc", "(12 dc, 4 ch-2 sps)", "You should have 24 stitches"."""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache
from itertools import pairwise

from proofhook import expressions as rx
from proofhook.expressions import expression
from proofhook.pattern import Total, Unit
from proofhook.reading.lexer import Token
from proofhook.text import Span

_UNIT = (
    r"(?:N S noun|ch N corner sp|ch N (?:S|noun|corner|\?)(?= |$)"
    r"|(?:(?:corner|centre|free|turn|same|marked|\?) )?(?:ch N sp|ch N(?= |$)|N ch sp|N ch(?= |$)|ch sp|sp N ch|corner sp|S (?:noun|sp|st)|half S|S|slst|sp|ch|st"
    r"|noun|inc|dec|corner|rowend|tch|manner|\?))"
)
_FIGURE = rf"(?:N|a)(?: (?:more )?{_UNIT})?(?: (?:made|counts|countsyes|total|remain|in total))*"
_LEAD = r"(?:(?:should|total|=|in|end|do|then|row|row N|:|now|--|and|last|counts|\?|st|for|each|remain) )*"
_TAIL = (
    r"(?: ?(?:,? ?(?:total|made|in|end|row N|row|remain|rem|around|across|\?|on|all|counts|countsyes|now|do|"
    r"turn|free|from|to|st remain|and|same|again|edge|base|with|note|apart|countsno|even|first)(?: |$))*"
    r"| (?:,? ?)?(?:with|and|in|plus|not|countsno|countsyes)(?: (?:[^N ]+|ch N|N ch|row N))*| (?:each|with|countsno|between|in|around)(?: [^ ]+)*| (?:, )?ch (?:counts|countsyes)(?: [^ ]+)*| before(?: (?:each|row|end|N|in|noun))+)?"
)
TOTAL = expression(
    rf"{_LEAD}(?P<units>{_FIGURE}(?:(?: (?:,|and|;|/|:|or|\|))+ {_FIGURE})*){_TAIL}$"
)
_ONE = expression(rf"(?:^|(?<= ))(?P<n>N|a)(?: more)?(?: (?P<unit>{_UNIT}))?(?= |$)")
#: Words that make a bracket something else than a total.
_NOT_A_TOTAL = frozenset(
    "measure note yarn hook apart skip rep times x twice inc_ join Nth".split()
)


#: Words of instructions that go on until something is so: "... until you have 14 trebles".
_REPEATED = frozenset(("until", "rep", "Nth"))

#: Words that name where stitches are worked, which a bare total never does.
_PLACES = frozenset(("in", word) for word in "next each last first same blo tch".split())


@lru_cache(maxsize=4096)
def _parts(line: str) -> tuple[tuple[int, int, int], ...] | None:
    """For a line of kinds: (figure, first, last) token ranges of each unit; None: no total."""
    found = TOTAL.match(line)
    if found is None:
        return None
    begin, end = found.span("units")
    parts: list[tuple[int, int, int]] = []
    at = begin
    while at < end:
        one = _ONE.search(line, at, end)
        if one is None:
            break
        figure = line.count(" ", 0, one.start("n"))
        first = line.count(" ", 0, one.start("unit")) if one.group("unit") else figure + 1
        last = line.count(" ", 0, one.end()) + 1
        following = line[one.end() : one.end() + 30]
        if not rx.match(r" (?:in )?each (?:end|edge|noun|\?)", following):
            parts.append((figure, first, last))
        at = one.end()
    return tuple(parts) or None


def _without_when(tokens: Sequence[Token]) -> Sequence[Token]:
    """ "After row 60: 16 shells", "56 dc after Row 52": the count without the row it holds for."""
    kinds = [token.kind for token in tokens]
    if kinds[:3] == ["before", "row", "#"] and len(kinds) > 4:
        return tokens[4 if kinds[3] in (":", "=", "--", ",") else 3 :]
    if len(kinds) > 4 and kinds[-3:] == ["before", "row", "#"]:
        return tokens[:-3]
    return tokens


def total_of(tokens: Sequence[Token], said: bool = False, bracketed: bool = False) -> Total | None:
    """The total that the tokens state, or None where they state none.

    ``said`` tells that words or a dash announce it; ``bracketed`` that it stands in
    brackets.
    """
    tokens = [
        t._replace(kind="and") if (t.kind == "mark" and t.text in "+&") or t.text == "or" else t
        for t in tokens
    ]
    while tokens and tokens[-1].kind in (".", ","):
        tokens = tokens[:-1]
    if bracketed and tokens and tokens[0].kind == "ending":  # "(ending with 12 sc)"
        tokens = tokens[1:]
    tokens = _without_when(tokens)
    kinds = [token.kind for token in tokens]
    if not any(kind == "#" for kind in kinds):
        return None
    if not said and (
        _NOT_A_TOTAL.intersection(kinds)
        or (not bracketed and ("ring" in kinds or "centre" in kinds))
    ):
        return None
    if not bracketed and kinds[0] == "#" and _REPEATED.intersection(kinds):
        return None
    if [t.kind for t in tokens] == ["#", "noun", "#", "st"]:
        tokens = tokens[:2]  # "(6 petals of 7 sts)"
        kinds = kinds[:2]
    if any(
        token.text == "per" and i and tokens[i - 1].kind == "#" for i, token in enumerate(tokens)
    ):
        return None
    placed = any(
        pair in _PLACES
        and kinds[at + 2 : at + 3] not in (["edge"], ["end"])
        and (pair != ("in", "each") or kinds[at + 2 :] not in (["noun"], ["?"]))
        for at, pair in enumerate(pairwise(kinds))
    )
    told = tokens[0].text in ("that's", "so that's")  # "that's 2 sc in each"
    if placed and (told or (not bracketed and (not said or kinds[0] == "#" or "next" in kinds))):
        return None
    line = " ".join("N" if kind == "#" else "Nth" if kind == "#th" else kind for kind in kinds)
    parts = _parts(line)
    if parts is None or rx.search(r"N row|N (?:and|-|to) N row", line):
        return None
    units: list[Unit] = []
    for figure, first, last in parts:
        if tokens[figure].kind == "a" and [t.kind for t in tokens[first:last]] == ["ch", "#"]:
            continue  # "... and a chain of 16"
        unit = _unit(tokens, figure, tokens[first:last])
        if unit is None:
            return None
        units.append(unit)
    if not units:
        return None
    apart = next((i for i, kind in enumerate(kinds) if kind == "tch" and "and" in kinds[:i]), None)
    if apart is not None and all(unit.what != "tch" for unit in units):
        span = Span(tokens[apart].start, tokens[apart].end)
        units.append(Unit((1,), "tch", None, span, tokens[apart].text))  # "29 sc and t-ch"
    return Total(Span(tokens[0].start, tokens[-1].end), tuple(units))


def _unit(tokens: Sequence[Token], figure: int, words: Sequence[Token]) -> Unit | None:
    token = tokens[figure]
    if token.number is None:
        return None
    span = Span(token.start, token.end)
    kinds = [word.kind for word in words]
    if not words:
        return Unit(token.number, "", None, span)
    text = " ".join(word.text for word in words if word.text)
    length = next((w.number[0] for w in words if w.kind == "#" and w.number), None)
    if "sp" in kinds and "?" in kinds:
        return Unit(token.number, text.lower(), None, span, text)
    if kinds == ["#", "S", "noun"]:  # "4 3-dc groups"
        return Unit(token.number, words[-1].text, None, span, text)
    if "sp" in kinds and "S" not in kinds:
        return Unit(token.number, "sp", length, span, text)
    if kinds[0] == "ch" and kinds[-1] == "corner":
        return Unit(token.number, "sp", length, span, text)
    if kinds[0] == "ch" and kinds[-1] in ("noun", "?"):
        return Unit(token.number, text.lower(), None, span, text)
    if (kinds[0] == "ch" and "S" not in kinds) or (kinds[0] == "#" and "ch" in kinds):
        return Unit(token.number, "sp" if length is not None else "ch", length, span, text)
    stitch = next((w.stitch for w in words if w.stitch is not None), None)
    if kinds[0] == "half":
        return Unit(token.number, f"half {text}", None, span, text)
    if stitch is not None and kinds[-1] not in ("noun", "sp"):
        own = stitch.role in ("named", "group", "picot") or bool(stitch.steps)
        return Unit(
            token.number, stitch.name if own else stitch.base or stitch.name, None, span, text
        )
    if "slst" in kinds:
        return Unit(token.number, "sl st", None, span, text)
    if kinds[-1] == "st":
        return Unit(token.number, "st", None, span, text)
    if kinds[0] in ("inc", "dec"):
        return None
    words_text = text.lower()
    if words_text.startswith(("per ", "each ")):
        return None
    if words_text in (
        "rounds",
        "round",
        "rows",
        "row",
        "make",
        "pieces",
        "times",
        "sides",
        "balls",
        "ball",
    ):
        return None
    return Unit(token.number, words_text or "noun", None, span, text)
