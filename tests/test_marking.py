"""Marking up a row: the words stay as they are, the marks stand where they belong."""

from __future__ import annotations

import re

from hypothesis import given
from hypothesis import strategies as st

from proofhook.proofing import Finding, Grade, Mend
from proofhook.showing.ink import Paper
from proofhook.showing.marking import Line, Mark, marked_lines, marks_of
from proofhook.text import Edit, Span

ROW = "Rnd 3: (Sc in next st, 2 sc in next st) 6 times. (20)"
PLAIN = Paper(80)


def finding(span: Span, *edits: Edit, grade: Grade = Grade.ERROR) -> Finding:
    return Finding("some-rule", grade, span, "", "", "Wrong.", "", (Mend("So.", False, edits),))


def marked(
    text: str, *findings: Finding, width: int = 80, paper: Paper = PLAIN
) -> list[tuple[str, tuple[str, ...]]]:
    lines = marked_lines(text, Span(0, len(text)), marks_of(findings), width, paper)
    return [(line.text, line.notes) for line in lines]


def test_a_figure_to_replace_is_struck_and_the_new_one_is_in_the_margin() -> None:
    at = ROW.index("20")
    lines = marked(ROW, finding(Span(at, at + 2), Edit(at, at + 2, "18")))
    assert lines == [("Rnd 3: (Sc in next st, 2 sc in next st) 6 times. (‹20›)", ("18 /",))]


def test_words_to_put_in_are_in_the_margin_beside_their_place() -> None:
    lines = marked("Rnd 2: inc around.", finding(Span(0, 18), Edit(18, 18, " (12)")))
    assert lines == [("Rnd 2: inc around.‸", ("(12) ‸",))]


def test_words_to_take_out_are_struck() -> None:
    assert marked("sc sc around", finding(Span(3, 5), Edit(3, 5, ""))) == [
        ("sc ‹sc› around", ("out",))
    ]


def test_a_query_has_its_question_mark_and_an_error_without_a_mend_its_cross() -> None:
    assert marked("frumble twice", finding(Span(0, 7), grade=Grade.QUERY)) == [
        ("‹frumble› twice", ("?",))
    ]
    assert marked("(sc", finding(Span(0, 1))) == [("‹(›sc", ("!",))]


def test_a_finding_about_the_whole_row_is_only_noted_in_the_margin() -> None:
    whole = Span(0, len(ROW))
    lines = marked_lines(ROW, whole, marks_of([finding(whole)], Span(7, len(ROW))), 80, PLAIN)
    assert lines == [Line(ROW, len(ROW), ("!",))]


def test_a_long_correction_is_only_signed_in_the_margin() -> None:
    [(_, notes)] = marked("Ch 3, turn", finding(Span(0, 4), Edit(4, 4, " (counts as dc)")))
    assert notes == ("‸",)


def test_the_note_stands_beside_the_line_with_the_mark() -> None:
    at = ROW.index("2 sc")
    lines = marked(ROW, finding(Span(at, at + 1), Edit(at, at + 1, "3")), width=30)
    assert lines == [
        ("Rnd 3: (Sc in next st, ‹2› sc", ("3 /",)),
        ("in next st) 6 times. (20)", ()),
    ]


def test_of_two_marks_that_overlap_one_is_drawn() -> None:
    both = finding(Span(0, 6)), finding(Span(4, 9))
    assert marked("sc around here", *both) == [("‹sc aro›und here", ("!",))]


def test_marks_that_touch_are_both_drawn() -> None:
    both = finding(Span(0, 2)), finding(Span(2, 4), grade=Grade.QUERY)
    assert marked("scdc", *both) == [("‹sc›‹dc›", ("!", "?"))]


def test_soft_wrapped_rows_are_set_as_one() -> None:
    assert marked("Rnd 1: sc in\r\n  each st\n\taround.") == [("Rnd 1: sc in each st around.", ())]


def test_without_unicode_plain_signs_stand_in() -> None:
    paper = Paper(80, unicode=False)
    row = "sc 20 around."
    found = finding(Span(3, 5), Edit(3, 5, "18")), finding(Span(13, 13), Edit(13, 13, " (18)"))
    assert marked(row, *found, paper=paper) == [("sc <20> around.^", ("18 /", "(18) ^"))]


def test_colour_takes_no_room() -> None:
    found = finding(Span(3, 5), Edit(3, 5, "18"))
    [line] = marked_lines("sc 20", Span(0, 5), marks_of([found]), 80, Paper(80, colour=True))
    assert "\x1b[9;31m20\x1b[0m" in line.text
    assert line.width == len("sc ‹20›")


def test_unruly_characters_are_tamed() -> None:
    [(text, _)] = marked("sc\x1b[31m \u202enext\x07", finding(Span(3, 5)))
    assert "\x1b" not in text
    assert "\u202e" not in text


def test_a_huge_row_is_cut_down_to_its_ends_and_its_marks() -> None:
    text = "sc, " * 100_000 + "frumble, " + "sc, " * 100_000
    at = text.index("frumble")
    lines = marked(text, finding(Span(at, at + 7)))
    whole = " ".join(line for line, _ in lines)
    assert "‹frumble›" in whole
    assert whole.count("…") == 3
    assert len(whole) < 1500


def test_a_mark_over_all_of_a_huge_row_is_cut_too() -> None:
    text = "x" * 1_000_000
    whole = "".join(line for line, _ in marked(text, finding(Span(0, len(text)))))
    assert whole.startswith("‹xxx")
    assert len(whole) < 1500


words = st.text("ab (),.*", min_size=1, max_size=60)


@given(text=words, cuts=st.lists(st.integers(0, 60), max_size=6), width=st.integers(5, 40))
def test_marking_changes_no_word(text: str, cuts: list[int], width: int) -> None:
    cuts = sorted(min(cut, len(text)) for cut in cuts)
    marks = [Mark(Span(a, b), "x", "struck") for a, b in zip(cuts[::2], cuts[1::2], strict=False)]
    lines = marked_lines(text, Span(0, len(text)), marks_of(_findings(marks)), width, PLAIN)
    unmarked = "".join(re.sub("[‹›‸]", "", line.text) for line in lines)
    assert "".join(unmarked.split()) == "".join(text.split())
    for line in lines:
        assert line.width == len(line.text)
        assert line.width <= width or " " not in line.text
    assert _signs(lines) == sum(len(line.notes) for line in lines)


def _findings(marks: list[Mark]) -> list[Finding]:
    return [finding(m.span, Edit(m.span.start, m.span.end, "z")) for m in marks]


def _signs(lines: list[Line]) -> int:
    text = "".join(line.text for line in lines)
    assert text.count("‹") == text.count("›")
    return text.count("‹") + text.count("‸")
