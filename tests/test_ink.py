"""How much room words take on a terminal, and that no page is wider than it."""

from __future__ import annotations

import re
import unicodedata

import pytest
import wcwidth
from hypothesis import given
from hypothesis import strategies as st

import proofhook
from making import written
from proofhook.showing.ink import Paper, cells, end_of, parts_of, tame, wrapped

COLOURS = re.compile(r"\x1b\[[\d;]*m")

#: Letters that do not count here: what is spaced or joined differs from terminal to terminal.
LEFT_OUT = ("Cc", "Cs", "Co", "Cn", "Mc", "Cf", "Zl", "Zp")


def settled(sign: str) -> bool:
    """Whether a character is one whose width Unicode has settled, and is not a jamo."""
    jamo = "\u1160" <= sign <= "\u11ff" or "\ud7b0" <= sign <= "\ud7ff"
    return unicodedata.category(sign) not in LEFT_OUT and not jamo


def test_the_width_of_characters_is_that_of_the_wcwidth_package() -> None:
    """Wcwidth on PyPI, after Unicode's East Asian Width and categories.

    Widths that later versions of Unicode have changed are few.
    """
    signs = [sign for sign in map(chr, range(0x20, 0x30000)) if settled(sign)]
    assert len(signs) > 100_000
    other = [sign for sign in signs if cells(sign) != wcwidth.wcwidth(sign)]
    assert len(other) < 300, [hex(ord(sign)) for sign in other][:40]
    assert not [sign for sign in other if ord(sign) < 0x0300]


@pytest.mark.parametrize(
    ("text", "width"),
    [("sc", 2), ("é", 1), ("e\u0301", 1), ("南瓜", 4), ("“×”", 3), ("\U0001f9f6", 2), ("ｓｃ", 4)],
)
def test_the_width_of_words(text: str, width: int) -> None:
    assert cells(text) == width
    assert wcwidth.wcswidth(text) == width


TEXTS = st.text(st.sampled_from("ab 南é\u0301\U0001f9f6—\n"), max_size=200)


@given(TEXTS, st.integers(4, 60))
def test_wrapping_keeps_the_words_and_the_width(text: str, width: int) -> None:
    lines = wrapped(text, width)
    assert all(cells(line) <= width for line in lines)
    assert "".join("".join(lines).split()) == "".join(text.split())


@given(TEXTS.map(lambda text: "".join(text.split())), st.integers(2, 20))
def test_the_parts_of_a_word_are_the_word(word: str, width: int) -> None:
    parts = parts_of(word, width)
    assert "".join(parts) == word
    assert all(cells(part) <= width for part in parts)


@given(TEXTS, st.integers(1, 20))
def test_the_end_of_a_text_fits(text: str, width: int) -> None:
    end = end_of(text, width)
    assert text.endswith(end)
    assert cells(end) <= width
    assert end or not text or cells(text[-1]) > width


HARD = """\
南瓜のかぼちゃのとても長い名前のあみぐるみのパターンのタイトルはここに書いてあるのですがとても長いので困ります

Rnd 1: 6 sc in a magic ring. (7)
Rnd 2: 2 sc in each st around — 中文的說明文字在這裡沒有空格可以換行所以會很長很長很長很長. (11)
Rnd 3: sc in each st, https://example.invalid/LONG, frumble the שלום עולם wurzle. (12)
Rnd 4: (Sc in next st, inc) 6 times e\u0301\u0301\u0301 \U0001f9f6\U0001f9f6. (20)
""".replace("LONG", "long/" * 40)


@pytest.mark.parametrize("width", [40, 60, 80, 110])
@pytest.mark.parametrize("colour", [False, True])
def test_no_line_is_wider_than_the_page(width: int, colour: bool) -> None:
    paper = Paper(width, colour)
    pattern = proofhook.read(HARD, "kabocha.txt")
    proof, tally = pattern.proof(), pattern.tally()
    assert len(proof.findings) > 3
    told = "".join(written("proof", [proof], paper))
    told += "".join(written("tally", [tally], paper))
    wide = [line for line in COLOURS.sub("", told).splitlines() if cells(line) > width]
    assert not wide


@given(st.text(max_size=80), st.integers(40, 110))
def test_no_line_is_wider_than_the_page_whatever_the_text(words: str, width: int) -> None:
    pattern = proofhook.read(f"Rnd 1: 6 sc in ring, {words}. (7)\nRnd 2: {words}. (9)\n")
    told = "".join(written("proof", [pattern.proof()], Paper(width)))
    assert all(line == tame(line) for line in told.split("\n"))
    assert max(map(cells, told.split("\n"))) <= width


def test_a_bare_figure_and_a_working_twice_are_left_out() -> None:
    text = "Rnd 1: 6 sc in a magic ring. (7)\nRnd 2: inc x6, dc2tog. (12)\n"
    told = "".join(written("proof", [proofhook.read(text).proof()]))
    assert told.count("row-fit") == 1
    assert told.count("stitch-total") == 2
    assert told.count("    worked  ") == 1
