"""marks-unpaired: brackets and stars that lack a partner, and the many that do not."""

from __future__ import annotations

import pytest

from making import found, made, quoted
from proofhook.counting.result import Tally
from proofhook.proofing import Finding, Grade


def slips(
    body: str, before: str = "Rnd 1: 6 sc in ring. (6)\n", after: str = "\n"
) -> tuple[Tally, list[Finding]]:
    tally = made(f"ROOT\n{before}Rnd 2: {body}{after}")
    return tally, found(tally, "marks-unpaired")


@pytest.mark.parametrize(
    ("body", "mark", "words"),
    [
        ("(sc, inc x 6 (18)", "(", "A round bracket ( opens here, and none closes it"),
        ("sc, inc) x 6 (18)", ")", "A round bracket ) closes here, and none opens it"),
        ("[sc, inc) x 6. (18)", ")", "A round bracket ) closes here, and none opens it"),
        ("{sc, inc x 6. (18)", "{", "A curly bracket { opens here, and none closes it"),
        ("sc, inc] x 6. (18)", "]", "A square bracket ] closes here, and none opens it"),
        ("sc, inc; rep from * around. (9)", "*", "The round speaks of *, and no * stands"),
        ("sc, inc; rep from ** around. (9)", "**", "The round speaks of **, and no ** stands"),
        ("*sc, inc; rep from *, ending last rep at **. (9)", "**", "The round speaks of **"),
        ("sc, inc; rep from † around. (9)", "†", "The round speaks of †, and no † stands"),
        ("sc in next st, *inc in next st. (9)", "*", "A star * opens a repeat here"),
    ],
)
def test_marks_without_a_partner_are_found(body: str, mark: str, words: str) -> None:
    tally, [finding] = slips(body)
    assert finding.message.startswith(words)
    assert quoted(tally, finding) == mark
    assert (finding.grade, finding.row) == (Grade.ERROR, "Rnd 2")
    assert finding.mends


@pytest.mark.parametrize(
    "body",
    [
        "(sc, inc) x 6. (18)",
        "[(sc in next 2, inc) 3 times, sc in next 9] twice. (18)",
        "(sc, inc)*6 (18)",
        "(sc, inc) * 6 times (18)",
        "*sc, inc* x 6 (18)",
        "*sc, inc* around (18)",
        "*sc, inc; rep from * around. (18)",
        "*sc, inc, rep * to end (18)",
        "*sc, inc; repeat around. (18)",
        "*sc, inc around (18)",
        "repeat *sc, inc* around (18)",
        "*sc, ch 2*, sc; rep from * to * 4 more times. (18)",
        "*sc, inc*; repeat between * * 4 more times (18)",
        "*sc, inc*, repeat ** 8 times (18)",
        "*ch 3, sc**, dc; rep from * around, ending last rep at **. (18)",
        r"\*sc, inc; rep from \* around. (18)",
        "† sc, inc †; rep from † to † 3 times. (18)",
        "**sc around.** (18)",
        "work as Rnd 1 from * around. (18)",
        "rep from * of Rnd 1. (18)",
        "sc around* (18)",
        "sc around :) (18)",
        "1) sc in next st; 2) inc in next st. (18)",
        "sc 4[5:6] (18)",
    ],
)
def test_marks_in_order_are_left_alone(body: str) -> None:
    assert slips(body)[1] == []


def test_a_bullet_is_no_star() -> None:
    assert slips("sc around. (6)", before="* bring a basket\n* and string\n")[1] == []


def test_a_footnote_is_no_star() -> None:
    assert slips("sc, *inc in next st. (9)", after="\n\n*These stitches form the stalk.\n")[1] == []


def test_an_aside_may_close_after_the_row() -> None:
    assert slips("sc around. (Stuff now.", after="\nAdd the stalk.)\n")[1] == []


def test_a_star_before_the_row_counts() -> None:
    between = "Rnd 1: 6 sc in ring. (6)\n*The next round makes the shape:\n"
    assert slips("sc, inc; rep from * around. (9)", before=between)[1] == []


def test_one_row_is_not_told_of_a_thousand_brackets() -> None:
    assert len(slips("(" * 10_000 + "sc (6)")[1]) == 3
    assert len(slips("sc" + ")" * 10_000)[1]) == 1
