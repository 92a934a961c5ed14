"""Places in code units, against Python's own encoders and an editor's way of making edits."""

from __future__ import annotations

import re

import pytest
from hypothesis import given
from hypothesis import strategies as st
from lsprotocol import types

from editor_client import edited, outside_newline
from proofhook.editor.places import UTF_8, UTF_16, UTF_32, Places, changed, difference, units
from proofhook.text import Edit, Source, Span, apply_edits

PIECES = st.sampled_from(
    [
        "a",
        "sc ",
        "é",
        "e\u0301",
        "🧶",
        "𝒮",
        "日",
        "\n",
        "\r",
        "\r\n",
        "\u2028",
        "\x85",
        "\x0c",
        "\ud800",
    ]
)
TEXTS = st.lists(PIECES, max_size=30).map("".join)
CODECS = {UTF_8: ("utf-8", 1), UTF_16: ("utf-16-le", 2), UTF_32: ("utf-32-le", 4)}
ENCODINGS = st.sampled_from(sorted(CODECS))


@given(TEXTS, ENCODINGS)
def test_units_are_those_of_the_codec(text: str, encoding: str) -> None:
    codec, size = CODECS[encoding]
    assert units(text, encoding) == len(text.encode(codec, "surrogatepass")) // size


@given(TEXTS, ENCODINGS, st.floats(0, 1))
def test_a_place_and_back(text: str, encoding: str, where: float) -> None:
    offset = outside_newline(text, int(where * len(text)))
    places = Places(Source("", text), encoding)
    place = places.position(offset)
    assert places.offset(place) == offset
    lines = re.split(r"\r\n|\r|\n", text[:offset])
    assert place.line == len(lines) - 1
    assert place.character == units(lines[-1], encoding)


@given(TEXTS, st.integers(0, 40), st.integers(0, 80))
def test_any_place_lies_in_the_text(text: str, line: int, character: int) -> None:
    places = Places(Source("", text))
    offset = places.offset(types.Position(line, character))
    assert 0 <= offset <= len(text)
    back = places.position(offset)
    assert (back.line, back.character) <= (line, character)


@pytest.mark.parametrize("character", [1, 2])
def test_inside_a_character_is_its_beginning(character: int) -> None:
    places = Places(Source("", "🧶x"))
    assert places.offset(types.Position(0, character)) == (0 if character == 1 else 1)


@given(TEXTS, TEXTS)
def test_the_difference_makes_the_other_text(before: str, after: str) -> None:
    edits = difference(before, after)
    assert apply_edits(before, edits) == after
    assert (edits == []) == (before == after)


@given(TEXTS, st.lists(st.tuples(st.floats(0, 1), st.floats(0, 1), TEXTS), max_size=5), ENCODINGS)
def test_changes_one_after_another(
    text: str, steps: list[tuple[float, float, str]], encoding: str
) -> None:
    changes: list[types.TextDocumentContentChangeEvent] = []
    wanted = text
    for one, other, words in steps:
        ends = sorted(outside_newline(wanted, int(x * len(wanted))) for x in (one, other))
        span = Span(*ends)
        between = Places(Source("", wanted), encoding).range(span)
        changes.append(types.TextDocumentContentChangePartial(between, words))
        wanted = apply_edits(wanted, [Edit(span.start, span.end, words)])
    assert changed(text, changes, encoding) == wanted
    whole = types.TextDocumentContentChangeWholeDocument("new")
    assert changed(text, [*changes, whole], encoding) == "new"


@given(st.lists(st.sampled_from(["a 🧶\n", "b\r\n", "c\r", "é\n"]), max_size=8).map("".join), TEXTS)
def test_an_editor_makes_the_edits_that_are_meant(before: str, after: str) -> None:
    edits = Places(Source("", before)).edits(difference(before, after))
    assert edited(before, edits) == after
