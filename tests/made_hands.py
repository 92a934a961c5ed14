"""The hands of designers: how rows are labelled, how repeats are marked, where totals stand."""

from __future__ import annotations

from dataclasses import dataclass, fields
from typing import Any

from made_rows import Choose

#: What a designer may do, the plainest first.  {k} is the stitch, {n} a figure, {b} a body.
HABITS: dict[str, tuple[Any, ...]] = {
    "terms": ("us", "us", "uk"),
    "round_label": ("Rnd {n}", "Round {n}", "R{n}", "RND {n}", "ordinal round", "{n}"),
    "row_label": ("Row {n}", "ROW {n}", "ordinal row", "R{n}", "{n}"),
    "mark": (":", ".", " -", " –"),
    "one": ("{k} in next st", "{k}", "1 {k}", "1 {k} in next st", "{k} in the next st"),
    "some": (
        "{k} in next {n} sts", "{n} {k}", "{k} {n}", "{k} in each of next {n} sts",
        "1 {k} in each of the next {n} sts", "{k} in next {n}", "{n}{k}",
    ),
    "inc": (
        "2 {k} in next st", "inc", "2 {k} in the next st", "two {k} in next st",
        "2{k} in next st", "work 2 {k} in next st",
    ),
    "dec": ("{k}2tog", "dec", "{k} 2 tog", "{k}2tog over next 2 sts", "{k} next 2 sts tog"),
    "three": ("3 {k} in next st", "3 {k} in the next st", "3{k} in next st"),
    "skip": ("skip next {n} sts", "sk {n} sts", "sk next {n} sts", "skip {n}", "miss {n} sts"),
    "several": (
        "({b}) x {n}", "({b}) {n} times", "[{b}] {n} times", "({b}) × {n}", "({b})x{n}",
        "*{b}; rep from * {m} more times", "*{b}* {n} times", "*{b}* x {n}",
        "rep ({b}) {n} times", "*{b}; repeat from * {m} times more", "[{b}] x {n}",
    ),
    "around": (
        "*{b}; rep from * {e}", "*{b}* {e}", "({b}) {e}", "[{b}] {e}", "*{b}, repeat from * {e}",
        "*{b}; rep from * to end",
    ),
    "until": (
        "*{b}; rep from * to last {n} sts", "*{b}; rep from * until {n} sts remain",
        "[{b}] to last {n} sts", "*{b}; rep from * {e} to last {n} sts",
    ),
    "along": (
        "{k} in each st {e}", "{k} in every st {e}", "{k} in each st to end",
        "1 {k} in each st {e}",
    ),
    "total": ("({t})", "[{t}]", "{{{t}}}", " - {t}.", "– {t}", " = {t}.", ": {t}."),
    "units": ("{n} sts", "{n} stitches", "{n} sts total"),
    "before_end": (False, True),
    "capital": (True, False),
    "comma": (", ", ", ", "; "),
    "said": ("notes", "rows"),
    "turn": ("turn", "turn.", "chain"),
    "join": ("join", "join with sl st to first {k}", "sl st in first {k} to join", "Join."),
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Hand:
    """The habits of one designer; see HABITS."""

    terms: str = "us"
    round_label: str = "Rnd {n}"
    row_label: str = "Row {n}"
    mark: str = ":"
    one: str = "{k} in next st"
    some: str = "{k} in next {n} sts"
    inc: str = "2 {k} in next st"
    dec: str = "{k}2tog"
    three: str = "3 {k} in next st"
    skip: str = "skip next {n} sts"
    several: str = "({b}) x {n}"
    around: str = "*{b}; rep from * {e}"
    until: str = "*{b}; rep from * to last {n} sts"
    along: str = "{k} in each st {e}"
    total: str = "({t})"
    units: str = "{n} sts"
    before_end: bool = False
    capital: bool = True
    comma: str = ", "
    said: str = "notes"
    turn: str = "turn"
    join: str = "join"


def make_hand(choose: Choose) -> Hand:
    """A designer's habits."""
    return Hand(**{each.name: choose(HABITS[each.name]) for each in fields(Hand)})
