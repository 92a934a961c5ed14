"""What is found in a pattern does not depend on its line ends, its encoding mark, blank lines
before it, or on what was read before it.  PROOFHOOK_TRIES asks for so many new patterns.
"""

from __future__ import annotations

from hypothesis import given

from made_words import written
from proofhook.counting.tally import tally
from proofhook.reading import read
from proofhook.text import decode
from test_naive_counter import OFTEN, Made, patterns


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
