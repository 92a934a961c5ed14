"""Rows of filet told in blocks and spaces: "1 bl, 5 sp, 3 bl, 5 sp, 1 bl (5 bl, 10 sp)".

How many stitches a block or a space takes depends on its neighbours, so that only the blocks
and spaces themselves are counted (common practice of filet charts written out in words).
"""

from __future__ import annotations

import re

from proofhook.expressions import expression
from proofhook.pattern import MESH, Amount, Step, Stitch, Total, Unit, Work
from proofhook.text import Span

_BLOCK = r"bls?|blocks?|solid mesh(?:es)?|closed mesh(?:es)?|filled mesh(?:es)?|cm|solid blocks?"
_SPACE = r"sps?|spaces?|open mesh(?:es)?|om|open blocks?|open spaces?"
_AT_AN_END = r"(?:beg|beginning|end|ending|last)"
_ONE = rf"(?:\d{{1,3}}|{_AT_AN_END}) ?(?:{_BLOCK}|{_SPACE})"
_LIST = rf"{_ONE}(?:(?:,|;| and|, and) {_ONE})+"
#: A row that says no more than what its meshes are, with or without their sum.
_ROW = expression(
    rf"\s*(?:ch \d,? )?(?P<worked>{_LIST})[.,;]?(?: (?:ch \d,? )?turn)?[.,;]?\s*"
    rf"(?:[(\[=]\s*(?P<total>{_ONE}(?:(?:,|;| and|, and) {_ONE})*)\s*[)\]]?[.]?)?\s*",
    re.I,
)
_EACH = expression(
    rf"(?P<n>\d{{1,3}}|{_AT_AN_END}) ?(?:(?P<block>{_BLOCK})|(?P<space>{_SPACE}))\b", re.I
)


def filet_steps(text: str) -> tuple[Step, ...] | None:
    """The steps of a row of evened text told in blocks and spaces; None for any other row."""
    found = _ROW.fullmatch(text)
    if found is None:
        return None
    each = list(_EACH.finditer(text, *found.span("worked")))
    if len({bool(one["block"]) for one in each}) < 2:
        return None  # "3 sps, 4 sps" may be chain spaces
    steps: list[Step] = []
    for one in each:
        name = MESH if one["block"] else "sp"
        span = Span(one.start(), one.end())
        steps.append(Work(span, Stitch(name, name, 0, 1, role="mesh"), _figure(one["n"])))
    if found["total"]:
        units = tuple(
            Unit(
                _figure(one["n"]),
                MESH if one["block"] else "sp",
                None,
                Span(one.start("n"), one.end("n")),
                one[0].split(maxsplit=1)[-1],
            )
            for one in _EACH.finditer(text, *found.span("total"))
        )
        steps.append(Total(Span(*found.span("total")), units))
    return tuple(steps)


def _figure(words: str) -> Amount:
    """How many: the one that begins or ends a row is one of them."""
    return (int(words) if words.isdecimal() else 1,)
