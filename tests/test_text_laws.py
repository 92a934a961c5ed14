"""What is found in a pattern does not depend on its line ends, its encoding mark, blank lines
before it, or on what was read before it; and a slip is found in its row and nowhere else.
PROOFHOOK_TRIES asks for so many new patterns.
"""

from __future__ import annotations

from collections import Counter

from hypothesis import assume, given
from hypothesis import strategies as st

from fuzz.laws import proofed
from made_words import written
from proofhook.counting.tally import tally
from proofhook.reading import read
from proofhook.reading.words import LOOKALIKES, evened
from proofhook.text import decode
from test_naive_counter import LEFT_OUT_WRONG, OFTEN, Made, a_slip, patterns


def found(content: bytes, lines_before: int = 0) -> list[tuple[object, ...]]:
    """The rows of a text with their verdicts, by the lines that they stand in."""
    pattern = read(decode(content, "made.txt"))
    return [
        (
            pattern.source.line_of(row.row.span.start) - lines_before,
            row.row.name,
            row.verdict,
            row.stated,
            row.worked,
            row.working,
            row.reason,
            [(problem.kind, problem.message, problem.sizes) for problem in row.problems],
        )
        for row in tally(pattern).rows
    ]


@OFTEN
@given(patterns(), patterns())
def test_what_is_found_does_not_depend_on_how_the_text_is_stored(made: Made, other: Made) -> None:
    text = written(*made)
    plain = found(text.encode())
    assert found(text.replace("\n", "\r\n").encode()) == plain
    assert found(text.encode("utf-8-sig")) == plain
    assert found(text.rstrip("\n").encode()) == plain
    assert found(b"\n\n" + text.encode(), lines_before=2) == plain
    found(written(*other).encode())
    assert found(text.encode()) == plain


def findings(content: bytes) -> list[tuple[object, ...]]:
    """What the rules find, by line and row."""
    done = proofed(read(decode(content, "made.txt")))
    assert not done.failures
    source = done.pattern.source
    return [
        (f.rule, source.position(f.span.start), f.row, f.message, f.working) for f in done.findings
    ]


@OFTEN
@given(st.lists(patterns(), min_size=2, max_size=3))
def test_findings_do_not_depend_on_the_order_of_files_or_how_they_are_stored(
    several: list[Made],
) -> None:
    texts = [written(*made) for made in several]
    plain = [findings(text.encode()) for text in texts]
    assert [findings(text.encode()) for text in reversed(texts)] == plain[::-1]
    assert findings(texts[0].replace("\n", "\r\n").encode()) == plain[0]
    assert findings(texts[0].encode("utf-8-sig")) == plain[0]


#: The rules that judge what a row makes.
ON_COUNTS = frozenset(("stitch-total", "repeat-fit", "row-fit"))


@OFTEN
@given(patterns(), st.data())
def test_a_slip_is_reported_in_its_row_and_nowhere_else(made: Made, data: st.DataObject) -> None:
    assume(not any(wrong(made) for wrong in LEFT_OUT_WRONG.values()))
    index, right, wrong = a_slip(made, data)
    before, after = findings(right.encode()), findings(wrong.encode())
    new = Counter(after) - Counter(before)
    lost = Counter(before) - Counter(after)
    for counter in (new, lost):  # a rule on words may see the figure in another word of the row
        for finding in [each for each in counter if each[0] not in ON_COUNTS]:
            del counter[finding]
    row = tally(read(decode(wrong.encode(), "made.txt"))).rows[index].row
    assert "stitch-total" in {rule for rule, *_ in new}, wrong
    assert {finding[2] for finding in new} == {row.name}, (wrong, new)
    assert not lost, (wrong, lost)


def test_no_letter_that_is_made_even_becomes_one_that_is_made_even_in_turn() -> None:
    assert all(len(letter) == 1 and ord(letter) not in LOOKALIKES for letter in LOOKALIKES.values())
    assert evened("Sc\u00a0in \u2018each\u2019 st \u00d7 3.\r\n") == "Sc in 'each' st x 3.  "
