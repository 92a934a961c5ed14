"""repeat-fit, row-fit, turning-chain and unread."""

from __future__ import annotations

import pytest

from making import found, made, quoted, with_customs, with_row
from proofhook.counting.result import CustomUsed, Problem, Tally, Verdict
from proofhook.pattern import ChainCustom, Join, Repeat
from proofhook.proofing import Grade
from proofhook.records import replace
from proofhook.text import Span, apply_edits

TEXT = """LEAF
Row 1: Ch 12, dc in 4th ch from hook and in each ch across. (10)
Row 2: Ch 3, dc in next 9 sts. (10)
STALK
Row 1: Ch 8, dc in 4th ch from hook and in each ch across. (6)
Row 2: Ch 3, dc in next 5 sts. (6)
"""


def with_problem(kind: str, words: str, sizes: tuple[int, ...] = ()) -> Tally:
    tally = made(TEXT, ("S", "M", "L"))
    at = TEXT.index("dc in next 9")
    problem = Problem(kind, Span(at, at + 5), words, sizes)
    rows = tuple(
        replace(row, problems=(problem,), working="10 sts below") if n == 1 else row
        for n, row in enumerate(tally.rows)
    )
    return replace(tally, rows=rows)


@pytest.mark.parametrize(
    ("rule", "kind", "mends"),
    [
        ("repeat-fit", "repeat", 2),
        ("row-fit", "short", 1),
        ("row-fit", "left", 2),
    ],
)
def test_what_does_not_fit_is_reported_with_its_working(rule: str, kind: str, mends: int) -> None:
    tally = with_problem(kind, "the repeat uses 4 sts and 10 are left")
    [finding] = found(tally, rule)
    assert finding.message == "The repeat uses 4 sts and 10 are left."
    assert (finding.working, finding.grade) == ("10 sts below", Grade.ERROR)
    assert quoted(tally, finding) == "dc in"
    assert len(finding.mends) == mends
    assert all("{" not in mend.title for mend in finding.mends)


def test_each_fit_rule_takes_only_its_own_problems() -> None:
    assert found(with_problem("repeat", "x"), "row-fit") == []
    assert found(with_problem("short", "x"), "repeat-fit") == []


@pytest.mark.parametrize(
    ("kind", "words", "told"),
    [
        ("left", "uses 8 of the 10 sts below", "The row uses 8 of the 10 sts below."),
        ("short", "needs 12 sts", "The row needs 12 sts."),
        ("repeat", "10 do not divide by 4", ("The repeat does not come out even: 10 do not "
         "divide by 4.")),
    ],
)  # fmt: skip
def test_every_message_has_its_subject(kind: str, words: str, told: str) -> None:
    rule = "repeat-fit" if kind == "repeat" else "row-fit"
    assert [finding.message for finding in found(with_problem(kind, words), rule)] == [told]


def test_what_is_left_by_a_repeat_to_the_end_is_a_matter_of_the_repeat() -> None:
    tally = with_problem("left", "uses 9 of the 10 sts below and leaves 1")
    row = tally.rows[1]
    steps = (*row.row.steps, Repeat(Span(6, 8), ()))
    changed = replace(row, row=replace(row.row, steps=steps))
    tally = replace(tally, rows=(tally.rows[0], changed, *tally.rows[2:]))
    assert found(tally, "row-fit") == []
    [finding] = found(tally, "repeat-fit")
    assert quoted(tally, finding) == "dc"
    assert finding.message == (
        "The repeat does not come out even: the row uses 9 of the 10 sts below and leaves 1."
    )


@pytest.mark.parametrize(
    ("sizes", "told"),
    [
        ([(0, 2)], "In sizes S and L the row leaves 2."),
        ([(0, 1, 2)], "The row leaves 2."),
        ([(1,), (0,)], "In size M the row leaves 2; size S does not fit either."),
        ([(0,), (1,), (2,)], "In size S the row leaves 2; sizes M and L do not fit either."),
    ],
)
def test_a_row_has_one_finding_that_names_the_sizes(
    sizes: list[tuple[int, ...]], told: str
) -> None:
    tally = with_problem("left", "leaves 2")
    problems = tuple(replace(tally.rows[1].problems[0], sizes=each) for each in sizes)
    rows = tuple(replace(row, problems=problems if row.problems else ()) for row in tally.rows)
    assert [f.message for f in found(replace(tally, rows=rows), "row-fit")] == [told]


def custom(tally: Tally, number: int, **how: object) -> CustomUsed:
    piece = tally.pattern.pieces[number]
    usual = {"chains": 3, "stitch": "dc", "counts": True, "said": False, "decided": True}
    return CustomUsed(piece=piece, span=piece.span, **{**usual, **how})  # type: ignore[arg-type]


def test_a_chain_that_is_never_explained_is_asked_about_once() -> None:
    tally = made(TEXT)
    tally = with_customs(tally, custom(tally, 0), custom(tally, 1))
    [finding] = found(tally, "turning-chain")
    assert finding.message == (
        "The pattern never says whether ch 3 at the start of a row counts as a stitch."
    )
    assert "come out if it counts as dc" in finding.working
    assert (finding.grade, finding.piece, finding.row) == (Grade.QUERY, "Leaf", "Row 2")
    mended = apply_edits(TEXT, finding.mends[0].edits)
    assert mended == TEXT.replace("Ch 3,", "Ch 3 (counts as dc here and throughout),", 1)


def test_where_no_total_settles_it_the_working_says_so() -> None:
    tally = made(TEXT)
    tally = with_customs(tally, custom(tally, 0, counts=False, decided=False))
    [finding] = found(tally, "turning-chain")
    assert finding.working.startswith("No total settles it")
    assert "(does not count as a st here and throughout)" in finding.mends[0].title


def test_a_chain_that_is_explained_is_fine() -> None:
    tally = made(TEXT)
    assert found(with_customs(tally, custom(tally, 0, said=True)), "turning-chain") == []


def test_it_is_enough_to_say_it_in_one_place() -> None:
    tally = made(TEXT)
    tally = with_customs(tally, custom(tally, 0))
    noted = replace(tally.pattern, customs=(ChainCustom(Span(0, 4), 3, True, "dc"),))
    assert len(found(tally, "turning-chain")) == 1
    assert found(replace(tally, pattern=noted), "turning-chain") == []
    text = TEXT.replace("Ch 3, dc in next 5", "Ch 3 (counts as dc), dc in next 5")
    tally = made(text)
    assert found(with_customs(tally, custom(tally, 0)), "turning-chain") == []


@pytest.mark.parametrize(
    "words",
    [
        "Ch 2 counts as a hdc, ch 3 as a dc and ch 4 as a dc and ch 1.",
        "3ch at the start of a row is 1 tr.",
        "The 3 skipped chs count as 1 dc.",
        "Turning chains are never\ncounted.",
        "A ch-3 stands for one dc.",
        "Begin as in: ch 3 (dc + ch 2).",
    ],
)
def test_a_note_in_any_words_is_enough(words: str) -> None:
    tally = made(f"{words}\n\n{TEXT}")
    assert found(with_customs(tally, custom(tally, 0)), "turning-chain") == []


@pytest.mark.parametrize(
    "words",
    ["Count your stitches. Ch 3 loosely.", "Ch 2 counts as a hdc.", "Ch 30 as a base."],
)
def test_a_note_about_something_else_is_not(words: str) -> None:
    tally = made(f"{words}\n\n{TEXT}")
    assert len(found(with_customs(tally, custom(tally, 0)), "turning-chain")) == 1


def test_the_chains_of_a_ring_are_no_turning_chain() -> None:
    tally = made(TEXT)
    tally = with_customs(tally, custom(tally, 0))
    row = tally.rows[1]
    steps = (row.row.steps[0], Join(Span(6, 10), ring=True), *row.row.steps[1:])
    ring = replace(row, row=replace(row.row, steps=steps))
    assert found(replace(tally, rows=(tally.rows[0], ring, *tally.rows[2:])), "turning-chain") == []


@pytest.mark.parametrize(
    "aside", [", (counts as a dc)", ", turn (counts as dc)", ", counts as a dc"]
)
def test_it_may_be_said_in_an_aside_after_the_chain(aside: str) -> None:
    tally = made(TEXT.replace("Ch 3, dc in next 9", f"Ch 3{aside}, dc in next 9"))
    assert found(with_customs(tally, custom(tally, 0)), "turning-chain") == []


def test_the_chains_skipped_at_the_foundation_are_not_asked_about() -> None:
    tally = made(TEXT.replace("Ch 3, ", ""))
    assert found(with_customs(tally, custom(tally, 0)), "turning-chain") == []


def test_a_single_chain_is_asked_about_only_where_the_house_wants_it() -> None:
    tally = made(TEXT.replace("Ch 3", "Ch 1"))
    tally = with_customs(tally, custom(tally, 0, chains=1, stitch="sc", counts=False))
    assert found(tally, "turning-chain") == []
    assert len(found(tally, "turning-chain", ask_about_ch_1=True)) == 1


def test_pieces_that_differ_in_silence_are_asked_about() -> None:
    tally = made(TEXT)
    tally = with_customs(tally, custom(tally, 0), custom(tally, 1, counts=False))
    [finding] = found(tally, "turning-chain")
    assert finding.message == (
        "Ch 3 at the start of a row counts as a stitch in Leaf but not in Stalk, "
        "and the text does not say so."
    )


def test_a_piece_that_is_not_of_one_mind_is_asked_about() -> None:
    tally = made(TEXT)
    tally = with_customs(tally, custom(tally, 1, consistent=False, said=True))
    [finding] = found(tally, "turning-chain")
    assert finding.message == (
        "Ch 3 at the start of a row counts as a stitch in some rows of Stalk and not in others."
    )


def unread(*words: str, reason: str = "") -> Tally:
    text = "Row 1: " + ", ".join(words) + ". (6)"
    spans = tuple(Span(text.index(w), text.index(w) + len(w)) for w in words)
    return with_row(
        made(text), "Row 1",
        lambda row: replace(
            row, verdict=Verdict.UNREAD, unread=() if reason else spans, reason=reason
        ),
    )  # fmt: skip


def test_words_that_are_not_understood_are_quoted() -> None:
    tally = unread("frumble twice")
    [finding] = found(tally, "unread")
    assert finding.message == "“frumble twice” is not understood, so the row was not worked out."
    assert (finding.grade, quoted(tally, finding)) == (Grade.QUERY, "frumble twice")


def test_a_row_has_one_finding_however_much_is_unread() -> None:
    [finding] = found(unread("aba", "bcb", "cdc", "ded", "efe"), "unread")
    assert finding.message == (
        "“aba”, “bcb”, “cdc” and 2 more are not understood, so the row was not worked out."
    )


def test_a_reason_is_told_where_no_word_is_to_blame() -> None:
    [finding] = found(unread("sc", reason="the row it repeats is unread"), "unread")
    assert finding.message == ("The row could not be worked out: the row it repeats is unread.")


def test_rows_that_are_unread_only_for_want_of_another_are_counted_with_it() -> None:
    text = "ROOT\nRnd 1: frumble.\nRnd 2: sc.\nRnd 3: sc.\nRnd 4: sc. (6)\nRnd 5: sc.\n"
    tally = made(text)
    at = Span(text.index("frumble"), text.index("frumble") + 7)
    for label in ("Rnd 1", "Rnd 2", "Rnd 3", "Rnd 5"):
        tally = with_row(
            tally,
            label,
            lambda row: replace(
                row,
                verdict=Verdict.UNREAD,
                unread=(at,) if row.row.name == "Rnd 1" else (),
                reason="the row below is not known",
            ),
        )
    first, other = found(tally, "unread")
    assert (first.row, other.row) == ("Rnd 1", "Rnd 5")
    assert first.working == (
        "2 rounds after it could not be worked out either, for want of its count."
    )
    assert other.working == ""


def test_rows_that_were_read_are_not_mentioned() -> None:
    assert found(made(TEXT), "unread") == []
