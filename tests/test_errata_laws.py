"""The laws of errata, on patterns made up at random: layout and terms are no change, one changed
figure is one entry in its row, a row put in shifts the others, and the editions may be exchanged.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import replace
from pathlib import Path
from typing import TypeVar

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from choosing import some, tried
from made_hands import Hand, make_hand
from made_patterns import MadePattern, MadePiece, make_pattern
from made_words import written
from proofhook.errata.compare import errata
from proofhook.errata.records import Errata, Kind
from proofhook.pattern import Pattern
from proofhook.reading import read
from proofhook.text import Source, decode
from proofhook.tidying.settings import AS_WRITTEN, SETTINGS
from proofhook.tidying.tidy import tidied
from proofhook.translating.proved import Edition, second_edition
from tidying import MARK_CHOICES, house_with

T = TypeVar("T")
FIXTURES = Path(__file__).parents[1] / "fixtures"
OWN = some(sorted([*FIXTURES.glob("patterns/*.txt"), *FIXTURES.glob("labelled/*/*.txt")]))

HOUSES = st.fixed_dictionaries(
    {name: st.sampled_from((AS_WRITTEN, *setting.choices)) for name, setting in SETTINGS.items()},
    optional={name: st.sampled_from(values) for name, values in MARK_CHOICES.items()},
)
OFTEN = tried(25)
MATERIALS = "Materials\nCotton yarn, 50 g\nHook: 4.5 mm\nYarn needle\n\nGauge\n20 sts = 10 cm\n"


def pattern_of(text: str) -> Pattern:
    return read(Source("shelf.txt", text))


def with_materials(text: str) -> str:
    """The pattern with a list of materials and a gauge before its notes and pieces."""
    title, rest = text.split("\n\n", 1)
    return f"{title}\n\n{MATERIALS}\n{rest}"


@st.composite
def made(draw: st.DrawFn) -> tuple[MadePattern, Hand]:
    """A pattern and the hand of some designer."""

    def choose(options: Sequence[T], /) -> T:
        return draw(st.sampled_from(options))

    return make_pattern(choose), make_hand(choose)


def text_of(pair: tuple[MadePattern, Hand]) -> str:
    return with_materials(written(*pair))


def nothing(found: Errata) -> bool:
    return not found.changes and not found.renumbered and not found.reserve


@pytest.mark.parametrize("path", OWN, ids=lambda path: path.stem)
def test_a_shipped_pattern_laid_out_anew_or_translated_has_no_errata(path: Path) -> None:
    before = read(decode(path.read_bytes(), path.name))
    choices = {name: setting.choices[-1] for name, setting in SETTINGS.items()}
    after = tidied(before, house_with(choices)).after
    assert nothing(errata(before, after)), errata(before, after)
    to = "us" if before.terms == "uk" else "uk"
    edition = second_edition(before.source, to, before.terms)
    if isinstance(edition, Edition):
        found = errata(before, read(Source(path.name, edition.text), to))
        assert nothing(found), found


@OFTEN
@given(made(), HOUSES, st.integers(30, 120))
def test_a_tidied_pattern_has_no_errata(
    pair: tuple[MadePattern, Hand], choices: Mapping[str, str], width: int
) -> None:
    before = pattern_of(text_of(pair))
    after = tidied(before, house_with(choices, width)).after
    assert nothing(errata(before, after)), errata(before, after)


@OFTEN
@given(made())
def test_a_translated_pattern_has_no_errata(pair: tuple[MadePattern, Hand]) -> None:
    before = pattern_of(text_of(pair))
    edition = second_edition(before.source, "us" if before.terms == "uk" else "uk", before.terms)
    assume(isinstance(edition, Edition))
    assert isinstance(edition, Edition)
    after = pattern_of(edition.text)
    assert after.terms != before.terms
    found = errata(before, after)
    assert nothing(found), found
    assert not found.worded


def figures_in(pattern: Pattern) -> list[tuple[int, int, int]]:
    """The figures of the rows: where they stand, and which row they stand in."""
    found = []
    for index, row in enumerate(pattern.rows):
        end = row.span.end
        for figure in re.finditer(r"\d+", pattern.source.text[row.body.start : end]):
            start = row.body.start + figure.start()
            found.append((start, row.body.start + figure.end(), index))
    return found


@OFTEN
@given(made(), st.data())
def test_one_changed_figure_is_one_entry_in_its_row(
    pair: tuple[MadePattern, Hand], data: st.DataObject
) -> None:
    """Stitch counts, totals, repeats, chains: whatever figure of a row it is."""
    old = pattern_of(text_of(pair))
    text = old.source.text
    start, end, index = data.draw(st.sampled_from(figures_in(old)))
    figure = str(int(text[start:end]) + data.draw(st.integers(1, 9)))
    new = pattern_of(text[:start] + figure + text[end:])
    assume(len(new.rows) == len(old.rows))
    found = errata(old, new)
    assert len(found.changes) == 1, found
    [entry] = found.changes
    assert entry.kind is Kind.ROW
    assert entry.old is not None
    assert entry.new is not None
    line = old.source.line_of(old.rows[index].span.start)
    assert (entry.old.line, entry.new.line) == (line, line)
    assert entry.old.row == entry.new.row == old.rows[index].name
    assert not found.renumbered
    assert not found.worded


@OFTEN
@given(
    made(),
    st.sampled_from(
        (
            ("4.5 mm", Kind.HOOK),
            ("50 g", Kind.MATERIAL),
            ("20 sts", Kind.GAUGE),
            ("10 cm", Kind.GAUGE),
        )
    ),
    st.integers(1, 9),
)
def test_one_changed_figure_of_the_lists_is_one_entry(
    pair: tuple[MadePattern, Hand], place: tuple[str, Kind], more: int
) -> None:
    words, kind = place
    text = text_of(pair)
    changed = text.replace(words, f"{more}{words}", 1)
    found = errata(pattern_of(text), pattern_of(changed))
    [entry] = found.entries
    assert (entry.kind, entry.wording) == (kind, False)
    assert entry.old is not None
    assert entry.new is not None
    assert words in entry.old.words
    assert f"{more}{words}" in entry.new.words


def with_row(pattern: MadePattern, at: int) -> tuple[MadePattern, int, int]:
    """The pattern with a plain row put in after the row ``at`` of its first piece.

    Rows after it have higher numbers, and so have the references to them.  Gives the number
    of the new row and how many rows come after it, too.
    """
    piece = pattern.pieces[0]
    before, after = piece.rows[: at + 1], piece.rows[at + 1 :]
    number = before[-1].last + 1
    plain = replace(before[-1], first=number, last=number, again=1, stated=(((977,), "st"),))
    moved = [
        replace(
            row,
            first=row.first + 1,
            last=row.last + 1,
            again=row.again + 1 if row.again >= number else row.again,
        )
        for row in after
    ]
    changed = MadePiece(piece.name, piece.manner, piece.foundation, (*before, plain, *moved))
    return replace(pattern, pieces=(changed, *pattern.pieces[1:])), number, len(after)


@OFTEN
@given(made(), st.data())
def test_a_row_put_in_is_one_entry_and_shifts_the_others(
    pair: tuple[MadePattern, Hand], data: st.DataObject
) -> None:
    pattern, hand = pair
    at = data.draw(st.integers(0, len(pattern.pieces[0].rows) - 1))
    longer, _, after = with_row(pattern, at)
    # The last row of a piece may be worded without the chain that begins the next.
    assume(hand.turn != "chain")
    old, new = (pattern_of(text_of((each, hand))) for each in (pattern, longer))
    assume(len(new.rows) == len(old.rows) + 1)
    found = errata(old, new)
    [entry] = found.changes
    assert entry.old is None
    assert entry.new is not None
    assert "977" in entry.new.words
    assert sum(len(rows.new) for rows in found.renumbered) == after
    assert not found.worded


@OFTEN
@given(made(), made())
def test_exchanging_the_editions_exchanges_the_sides(
    one: tuple[MadePattern, Hand], other: tuple[MadePattern, Hand]
) -> None:
    patterns = [pattern_of(text_of(each)) for each in (one, other)]
    forth, back = errata(*patterns), errata(*reversed(patterns))
    assert back == forth.swapped()
    assert back.swapped().swapped() == back
    assert nothing(errata(patterns[0], patterns[0]))


@OFTEN
@given(made(), st.data())
def test_exchanging_slightly_changed_editions_exchanges_the_sides(
    pair: tuple[MadePattern, Hand], data: st.DataObject
) -> None:
    old = pattern_of(text_of(pair))
    text = old.source.text
    start, end, _ = data.draw(st.sampled_from(figures_in(old)))
    lines = (text[:start] + "7" + text[end:]).split("\n")
    del lines[data.draw(st.integers(0, len(lines) - 1))]
    new = pattern_of("\n".join(lines))
    assert errata(new, old) == errata(old, new).swapped()
