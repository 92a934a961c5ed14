"""Short patterns in many hands, each counted by hand: all of them are right.

Every row that states a total must agree, and nothing may be unread.  A figure that is
made one larger must be noticed, in its row and in no other.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from proofhook.counting.result import RowTally, Verdict
from proofhook.counting.tally import tally
from proofhook.pattern import Total
from proofhook.reading import read
from proofhook.text import Source

FOLDER = Path(__file__).parent.parent / "fixtures" / "wordings"
RIGHT = tuple(
    text
    for name in ("right.txt", "seldom.txt")
    for text in (FOLDER / name).read_text("utf-8").strip("\n").split("\n===\n")
)

#: Right as well; but of a row of these one more would be right too, as another counts it.
EITHER = tuple((FOLDER / "either.txt").read_text("utf-8").strip("\n").split("\n===\n"))


def rows_of(text: str) -> tuple[RowTally, ...]:
    return tally(read(Source("wording.txt", text + "\n"))).rows


@pytest.mark.parametrize("text", [*RIGHT, *EITHER], ids=lambda text: text[:40])
def test_every_row_is_read_and_agrees(text: str) -> None:
    rows = rows_of(text)
    seen = {row.verdict for row in rows}
    assert Verdict.AGREES in seen
    assert seen <= {Verdict.AGREES, Verdict.UNSTATED}
    assert not [problem for row in rows for problem in row.problems]


@pytest.mark.parametrize("text", RIGHT, ids=lambda text: text[:40])
def test_one_more_is_noticed_in_its_row_and_nowhere_else(text: str) -> None:
    for number, row in enumerate(rows_of(text)):
        if row.verdict is not Verdict.AGREES or len(row.stated or ()) != 1:
            continue
        after = rows_of(with_one_more(text, row))
        assert after[number].verdict is not Verdict.AGREES
        others = after[:number] + after[number + 1 :]
        assert not [other for other in others if other.verdict is Verdict.DIFFERS]


def with_one_more(text: str, row: RowTally) -> str:
    """The text with one more in the first figure of the row's last total."""
    total = [step for step in row.row.steps if isinstance(step, Total)][-1]
    start = row.row.body.start + total.units[0].span.start
    end = row.row.body.start + total.units[0].span.end
    figure = text[start:end]
    more = str(int(figure) + 1) if figure.isdigit() else _SPELT[figure.lower()]
    return text[:start] + more + text[end:]


#: The number words of totals in these patterns, and the next.
_SPELT = {"twelve": "thirteen", "eighteen": "nineteen", "four": "five", "six": "seven"}
