"""A text that is worked while it is written comes out as if it were worked anew."""

from __future__ import annotations

import random
import re

import pytest

from benchmark.library import long_pattern
from proofhook.counting.kept import Kept
from proofhook.counting.tally import tally
from proofhook.editor.document import Document, worked_document
from proofhook.editor.houses import Houses
from proofhook.passages import LONGEST_KEPT, MOST_KEPT, forget, found_in, kept, passages
from proofhook.reading import read
from proofhook.text import Source

PATH = "/nowhere/pattern.txt"

#: What may come into a text: parts of words, whole rows, headings, lists, line ends.
WORDS = (
    "", "", "s", "2", ")", "(", "*", ".", ", ", " ", "\n", "\n\n", "\r\n", "\r", "\u2028", "🧶",
    "𝒮", "e\u0301", "sc", "inc, ", "(12)", "Rep Rows 2-3. ", "Rnd 7: Sc in each st around. (18)\n",
    "Row 2: Ch 3 (counts as dc), turn, dc in each st across. (10)\n", "\n\nLEAF\n", "\nFinishing\n",
    "\nAbbreviations\nsc = 2 dc in same st\n", "Sizes: S (M, L)\n", "\nUK terms\n", "US terms\n",
    "Ch 3 counts as a st throughout.\n", "Work in front loops of Rnd 3. ", "for size 2 only: ",
)  # fmt: skip


def edited(text: str, choice: random.Random) -> str:
    """A text with something done to it, as people do: typed, taken out, moved, put back."""
    at = choice.randrange(len(text) + 1)
    what = choice.random()
    if what < 0.45:
        return text[:at] + choice.choice(WORDS) + text[at:]
    if what < 0.7:
        return text[:at] + text[at + choice.choice((1, 1, 1, 2, 9, 60)) :]
    lines = text.splitlines(keepends=True)
    one, other = (choice.randrange(len(lines)) for _ in range(2)) if lines else (0, 0)
    if what < 0.8 and lines:
        lines.insert(other, lines.pop(one))
    elif what < 0.85 and lines:
        del lines[min(one, other) : min(one, other) + 3]
    elif what < 0.9 and lines:
        lines[one] = lines[one].upper()
    elif what < 0.95 and lines:
        lines[other:other] = lines[one : one + 12]
    else:
        return text.replace("\n", choice.choice(("\n", "\r\n")))
    return "".join(lines)


@pytest.mark.parametrize("number", range(10))
def test_a_tally_from_what_was_kept_is_that_of_a_fresh_start(number: int) -> None:
    choice = random.Random(number)
    text = long_pattern(number, choice.choice((5, 20, 60)), choice.choice((1, 1, 3)))
    kept, whole = Kept(), text
    for _ in range(20):
        text = whole if choice.random() < 0.1 else edited(text, choice)
        pattern = read(Source(PATH, text))
        assert tally(pattern, kept) == tally(pattern)


def worked(text: str, kept: Kept | None) -> Document:
    return worked_document("untitled:x", PATH, text, HELD, kept=kept)


HELD = Houses().of(PATH)


@pytest.mark.parametrize("number", range(10, 16))
def test_a_document_from_what_was_kept_is_that_of_a_fresh_start(number: int) -> None:
    choice = random.Random(number)
    text = long_pattern(number, choice.choice((5, 20)), choice.choice((1, 1, 3)))
    kept, whole = Kept(), text
    for _ in range(12):
        text = whole if choice.random() < 0.1 else edited(text, choice)
        again = worked(text, kept).proof
        forget()  # all that was found in its passages as well
        fresh = worked(text, None).proof
        assert again.tally.rows == fresh.tally.rows
        assert again.tally.customs == fresh.tally.customs
        assert again.findings == fresh.findings
        assert again.failures == fresh.failures == ()


@pytest.mark.parametrize("number", range(5))
def test_passages_are_the_text_and_what_is_found_in_them_has_its_place_there(number: int) -> None:
    choice = random.Random(number)
    text = edited(long_pattern(number, 20, 3), choice)
    assert "".join(each.words for each in passages(text)) == text
    assert all(text.startswith(each.words, each.start) for each in passages(text))
    word = re.compile(r"(?P<first>\w)\w*")
    found = list(found_in(word, text))
    assert [each.span() for each in found] == [each.span() for each in word.finditer(text)]
    assert all(text[each.start("first")] == each["first"] for each in found)


def test_what_is_kept_is_bounded_and_let_go() -> None:
    worked: list[str] = []

    @kept
    def letters(words: str) -> int:
        worked.append(words)
        return len(words)

    long = "x" * (LONGEST_KEPT + 1)
    for words in ("row", "row", long, long):
        assert letters(words) == len(words)
    assert worked == ["row", long, long]
    forget()
    letters("row")
    for number in range(MOST_KEPT):
        letters(str(number))
    letters("row")
    assert worked.count("row") == 3
