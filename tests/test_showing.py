"""The page, the lines, the JSON and the table: what people and programs get to see."""

from __future__ import annotations

import io
import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import jsonschema
import pytest

import proofhook.showing
from making import made, proofed, with_row
from proofhook.counting.result import Problem, RowTally, Tally, UnitCount, Verdict
from proofhook.proofing import Finding, Grade
from proofhook.proofing.house import House
from proofhook.proofing.proof import Proof
from proofhook.records import replace
from proofhook.showing.as_json import dumped, in_files, proof_value, tally_value
from proofhook.showing.ink import Paper, paper_of
from proofhook.showing.lines import proof_lines, tally_lines
from proofhook.showing.page import closing, page
from proofhook.showing.sums import Sums
from proofhook.showing.tally_page import tally_closing, tally_page
from proofhook.text import Span

TEXT = """A radish for the window sill.

ROOT
Rnd 1: 6 sc in a magic ring. (6)
Rnd 2: 2 sc in each st around. (12)
Rnd 3: (Sc in next st, 2 sc in next st) 6 times; the marker goes up. (20)
Rnd 4: (Sc in next 2 sts, 2 sc in next st) 6 times.
Rnd 5: Frumble around. (24)

LEAF
Row 1: Ch 12, sc in each ch across. (11)
"""

WORKING = "12 sts below; (sc in next st, 2 sc in next st) uses 2, makes 3; 12 / 2 = 6 times; 18"


def radish() -> Tally:
    """A tally with one row of every verdict."""

    def wrong(row: RowTally) -> RowTally:
        unit = replace(row.units[0], worked=(18,))
        problems = (Problem("total", row.row.span, ""),)
        return replace(
            row, verdict=Verdict.DIFFERS, worked=(18,), units=(unit,), working=WORKING,
            problems=problems,
        )  # fmt: skip

    at = TEXT.index("Frumble")
    tally = with_row(made(TEXT), "Rnd 3", wrong)
    tally = with_row(tally, "Rnd 4", lambda row: replace(row, worked=(24,), changes_count=True))
    return with_row(
        tally, "Rnd 5",
        lambda row: replace(
            row, verdict=Verdict.UNREAD, worked=None, unread=(Span(at, at + 7),),
            units=(replace(row.units[0], worked=None),),
        ),
    )  # fmt: skip


def shown(lines: Iterator[str]) -> str:
    return "\n".join(lines) + "\n"


PAGE = """\
radish.txt

Root

    line 6  Rnd 3: (Sc in next st, 2 sc in next st) 6 times; the
            marker goes up. (‹20›)                                          18 /
     error  The round makes 18 sts, but the total says 20. (stitch-total)
    worked  12 sts below; (sc in next st, 2 sc in next st) uses 2, makes 3; 12 /
            2 = 6 times; 18
   to mend  Write 18 in the total, if the round is right.
        or  Change the stitches, if the total is right.

    line 7  Rnd 4: (Sc in next 2 sts, 2 sc in next st) 6 times.‸          (24) ‸
     style  The round changes the number of stitches to 24 and states no total.
            (total-missing)
   to mend  Add the total: (24)

    line 8  Rnd 5: ‹Frumble› around. (24)                                      ?
     query  “Frumble” is not understood, so the round was not worked out.
            (unread)
   to mend  Put these words another way, or check the round by hand.

"""


def test_the_page_groups_by_piece_and_row_and_marks_the_corrections() -> None:
    assert shown(page(proofed(radish()), Paper(80))) == PAGE


def test_the_narrow_page_keeps_within_its_width_and_says_the_same() -> None:
    narrow = shown(page(proofed(radish()), Paper(44)))
    assert max(map(len, narrow.splitlines())) <= 44
    notes = {"18 /", "(24) ‸", "?"}
    assert all(note in narrow for note in notes)
    for word in PAGE.split():
        assert word in narrow


@pytest.mark.parametrize("width", [40, 60, 80, 110])
def test_no_line_of_the_page_is_too_long(width: int) -> None:
    tally, paper = radish(), Paper(width)
    lines = [*page(proofed(tally), paper), *tally_page(tally, paper)]
    lines += closing(Sums().plus(proofed(tally)), Grade.ERROR, paper)
    assert max(map(len, lines)) <= width


def test_colour_changes_nothing_but_colour() -> None:
    import re

    coloured = shown(page(proofed(radish()), Paper(80, colour=True)))
    assert coloured != PAGE
    assert re.sub(r"\x1b\[[\d;]*m", "", coloured) == PAGE


def test_a_pattern_without_findings_has_no_page() -> None:
    assert list(page(proofed(made("Rnd 1: 6 sc in ring. (6)")), Paper())) == []


def test_findings_outside_the_rows_quote_their_line() -> None:
    done = proofed(radish())
    stray = Finding("house-words", Grade.STYLE, Span(2, 8), "", "", "Say turnip.")
    text = shown(page(done._replace(findings=(stray,)), Paper(80)))
    assert "Outside the rows\n\n    line 1  A ‹radish› for the window sill." in text


def test_arithmetic_is_worked_and_all_else_is_a_reason() -> None:
    done = proofed(radish())
    span = done.tally.rows[0].row.span
    told = Finding("some-rule", Grade.QUERY, span, "Root", "Rnd 1", "So.", "the list says so")
    sums = told._replace(message="Sums.", working="2 × 3 = 6")
    text = shown(page(done._replace(findings=(told, sums)), Paper(80)))
    assert "   because  the list says so\n" in text
    assert "    worked  2 × 3 = 6\n" in text


def test_a_piece_without_a_name_has_no_heading() -> None:
    tally = made("Rnd 1: 6 sc in ring. (6)\nRnd 3: sc around. (6)\n")
    text = shown(page(proofed(tally), Paper(80)))
    assert text.startswith("radish.txt\n\n    line 2  ‹Rnd 3›: sc around. (6)")


def test_two_parts_of_one_name_are_kept_apart() -> None:
    part = "BODY\nRnd 1: 6 sc in ring. (6)\nRnd 3: sc around. (6)\n"
    text = shown(page(proofed(made(f"{part}\n{part}")), Paper(80)))
    assert text.count("\nBody\n") == 2


def sums(*tallies: Tally, house: House | None = None) -> Sums:
    total = Sums()
    for tally in tallies:
        done = proofed(tally)
        total = total.plus(done._replace(house=house or done.house))
    return total


def last_lines(total: Sums, least: Grade = Grade.ERROR) -> str:
    return " ".join(closing(total, least, Paper(200)))


def test_the_page_ends_with_what_was_read_and_what_fails() -> None:
    assert last_lines(sums(radish())) == (
        "6 rows: 5 worked out (3 agree, 1 differs, 1 states no total), 1 could not be read. "
        "1 error, 1 query and 1 point of style. A run fails on errors: it fails."
    )
    clean = made("Rnd 1: 6 sc in ring. (6)")
    assert last_lines(sums(clean)) == (
        "1 row: 1 worked out (1 agrees), none left unread. "
        "Nothing to mark. A run fails on errors: it passes."
    )


def test_the_end_counts_over_all_patterns_and_names_what_was_not_done() -> None:
    total = sums(radish(), made("Rnd 1: 6 sc in ring. (6)"))
    total = total._replace(passed_over=2, not_done=1, trouble=1)
    assert last_lines(total).startswith("7 rows in 2 patterns: 6 worked out (4 agree,")
    assert "2 files without rows passed over." in last_lines(total)
    assert "1 file could not be proofed, so the run fails." in last_lines(total)
    part = total._replace(not_done=0, failing=0)
    assert last_lines(part).endswith("A run fails on errors: none here.")
    assert "Not all was proofed, so the run fails." in last_lines(part)


def test_the_end_says_what_fails_in_this_house() -> None:
    house = House(failing=Grade.QUERY)
    assert last_lines(sums(radish(), house=house), Grade.QUERY).endswith(
        "A run fails on errors and queries: it fails."
    )
    clean = made("Rnd 1: 6 sc in ring. (6)")
    assert last_lines(sums(clean), Grade.STYLE).endswith(
        "A run fails on errors, queries and points of style: it passes."
    )


def test_no_rows_at_all_is_said() -> None:
    assert last_lines(Sums()).startswith("No rows were worked out.")


def test_findings_as_lines() -> None:
    assert list(proof_lines(proofed(radish()))) == [
        "radish.txt:6:71: error: The round makes 18 sts, but the total says 20. (stitch-total)",
        (
            "radish.txt:7:1: style: The round changes the number of stitches to 24 "
            "and states no total. (total-missing)"
        ),
        (
            "radish.txt:8:8: query: “Frumble” is not understood, "
            "so the round was not worked out. (unread)"
        ),
    ]


def test_rows_as_lines() -> None:
    lines = list(tally_lines(radish()))
    assert lines[0] == "radish.txt:4:1: agrees: Root, Rnd 1: states 6, makes 6"
    assert lines[2] == (f"radish.txt:6:1: differs: Root, Rnd 3: states 20, makes 18 ({WORKING})")
    assert lines[4] == "radish.txt:8:1: unread: Root, Rnd 5: states 24, makes -"


def test_a_line_stays_one_line() -> None:
    tally = made("Rnd 1: 6 sc in ring. (6)", path="wild\nname\x1b[2J.txt")
    tally = with_row(tally, "Rnd 1", lambda row: replace(row, working="one\n  two"))
    for line in tally_lines(tally):
        assert line.isprintable()
        assert line.endswith("(one two)")


def test_the_table_of_rows() -> None:
    assert (
        shown(tally_page(radish(), Paper(80)))
        == """\
radish.txt

Root
  row    stated   makes  verdict   working
  Rnd 1   6 sts   6 sts  agrees
  Rnd 2  12 sts  12 sts  agrees
  Rnd 3  20 sts  18 sts  differs   12 sts below; (sc in next st, 2 sc in next
                                   st) uses 2, makes 3; 12 / 2 = 6 times; 18
  Rnd 4       -      24  unstated
  Rnd 5  24 sts       -  unread    not understood: “Frumble”

Leaf
  row    stated   makes  verdict  working
  Row 1  11 sts  11 sts  agrees

"""
    )


def test_each_unit_of_a_total_has_its_line_and_sizes_stand_in_order() -> None:
    units = (
        UnitCount("dc", (16, 20), (16, 20), None),
        UnitCount("ch-2 sps", (4, 4), (4, 6), None),
    )
    tally = with_row(
        made("Rnd 1: 6 sc in ring. (6)", ("S", "M")), "Rnd 1",
        lambda row: replace(
            row, units=units, stated=(16, 20), worked=(16, 20), verdict=Verdict.DIFFERS
        ),
    )  # fmt: skip
    text = shown(tally_page(tally, Paper(80)))
    assert "Sizes: S, M\n" in text
    assert "  Rnd 1  16 (20) dc      16 (20) dc  differs" in text
    assert "\n         4 ch-2 sps  4 (6) ch-2 sps\n" in text


def test_the_narrow_table_puts_the_working_beneath() -> None:
    text = shown(tally_page(radish(), Paper(44)))
    assert "differs\n      12 sts below; (sc in next st, 2 sc in" in text


def test_the_table_ends_with_the_verdicts() -> None:
    [line] = tally_closing({"agrees": 3, "unread": 1}, 2, Paper(120))
    assert line == (
        "4 rows in 2 patterns: 3 agree, 0 differ, 0 state no total, 1 could not be read."
    )


def schema(name: str) -> Any:
    folder = Path(next(iter(proofhook.showing.__path__))) / "schemas"
    loaded = json.loads((folder / f"{name}.schema.json").read_text("utf-8"))
    jsonschema.Draft202012Validator.check_schema(loaded)
    return jsonschema.Draft202012Validator(loaded)


def test_the_json_of_a_tally_is_as_its_schema_says() -> None:
    text = "".join(in_files([dumped(tally_value(radish()))] * 2))
    value = json.loads(text)
    schema("tally").validate(value)
    assert value["version"] == 1
    assert len(value["files"]) == 2
    assert value["files"][0]["rows"][2] == {
        "piece": "Root",
        "label": "Rnd 3",
        "line": 6,
        "end_line": 6,
        "stated": [20],
        "worked": [18],
        "verdict": "differs",
        "units": [{"unit": "sts", "stated": [20], "worked": [18]}],
        "working": WORKING,
        "unread": [],
    }
    assert value["files"][0]["rows"][4]["unread"] == ["Frumble"]


def test_the_lines_of_a_row_take_in_its_total() -> None:
    tally = made("Rnd 1: 6 sc\n  in ring.\n  (6)\nRnd 2: sc around. (6)\n")
    rows = tally_value(tally)["rows"]
    assert [(row["line"], row["end_line"]) for row in rows] == [(1, 3), (4, 4)]


def test_the_json_of_a_proof_is_as_its_schema_says() -> None:
    text = "".join(in_files([dumped(proof_value(proofed(radish())))]))
    value = json.loads(text)
    schema("proof").validate(value)
    finding = value["files"][0]["findings"][0]
    assert finding["mends"][0]["edits"] == [
        {"start": TEXT.index("20)"), "end": TEXT.index("20)") + 2, "text": "18"}
    ]
    del finding["mends"]
    assert finding == {
        "rule": "stitch-total", "grade": "error",
        "line": 6, "column": 71, "end_line": 6, "end_column": 73,
        "piece": "Root", "row": "Rnd 3",
        "message": "The round makes 18 sts, but the total says 20.",
        "working": WORKING,
    }  # fmt: skip


@pytest.mark.parametrize("values", [0, 1, 3])
def test_any_number_of_files_makes_whole_json(values: int) -> None:
    one = proof_value(proofed(radish()))
    assert len(json.loads("".join(in_files([dumped(one)] * values)))["files"]) == values


@pytest.mark.parametrize(("name", "value"), [("tally", tally_value), ("proof", proof_value)])
def test_the_schemas_refuse_what_is_not_in_them(name: str, value: Any) -> None:
    made_value = value(radish() if name == "tally" else proofed(radish()))
    schema(name).validate({"version": 1, "files": [made_value]})
    for wrong in ({"version": 2, "files": []}, {"version": 1, "files": [{**made_value, "x": 1}]}):
        with pytest.raises(jsonschema.ValidationError):
            schema(name).validate(wrong)


class Terminal(io.StringIO):
    encoding = "utf-8"

    def isatty(self) -> bool:
        return True


def test_colour_only_on_a_terminal_and_never_with_no_color(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delenv("NO_COLOR", raising=False)
    monkeypatch.setenv("TERM", "xterm")
    assert paper_of(Terminal()).colour
    assert not paper_of(io.StringIO()).colour
    monkeypatch.setenv("NO_COLOR", "1")
    assert not paper_of(Terminal()).colour


def test_the_page_is_as_wide_as_the_terminal_within_reason(monkeypatch: pytest.MonkeyPatch) -> None:
    for columns, width in (("60", 60), ("10", 40), ("300", 110), ("", 80), ("wide", 80)):
        monkeypatch.setenv("COLUMNS", columns)
        assert paper_of(io.StringIO()).width == width


def test_a_proof_counts_what_fails() -> None:
    done: Proof = proofed(radish())
    assert done.failing == 1
