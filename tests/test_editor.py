"""`proofhook editor`: whole sessions with a client of a library, over pipes.

Checked against the Language Server Protocol 3.17, as pygls and lsprotocol know it.
"""

from __future__ import annotations

import os
import subprocess
import sys
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from lsprotocol import types
from pygls.exceptions import JsonRpcException

from editor_client import FULL, Editor, between, edited, editing, offset, position
from golden import ROOT

pytestmark = pytest.mark.filterwarnings("ignore::DeprecationWarning:pygls")

#: A document that is nowhere on the disk.
NEW = "untitled:Untitled-1"

TURNIP = """\
TURNIP

US terms.

ABBREVIATIONS
ch = chain
inc = 2 sc in same st
rnd = round
sc = single crochet
st = stitch

ROOT
Rnd 1: 6 sc in a magic ring. (6)
Rnd 2: Inc in each st around.
Rnd 3: *Sc in next st, inc; rep from * around. (17)
Rnds 4-5: Sc in each st around. (18)
Rnd 6: Rep Rnd 3. (27)
Fasten off.

LEAF
Ch 5.
Row 1: Sc in 2nd ch from hook and in each ch across. (4)
Fasten off.

Sew the leaf to the root.
"""


@pytest.fixture(scope="module")
def session(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Editor]:
    with editing(tmp_path_factory.mktemp("editor")) as editor:
        yield editor


@pytest.fixture
def turnip(session: Editor) -> Iterator[Editor]:
    """A session with a turnip open."""
    session.opened(NEW, TURNIP)
    session.shown.clear()
    session.logged.clear()
    session.applied.clear()
    yield session
    session.closed(NEW)


def rules(found: list[types.Diagnostic]) -> list[Any]:
    return [each.code for each in found]


def words_at(text: str, place: types.Range) -> str:
    return text[offset(text, place.start) : offset(text, place.end)]


# --- a whole session ------------------------------------------------------------------


def test_a_whole_session(tmp_path: Path) -> None:
    uri = (tmp_path / "turnip.txt").as_uri()
    (tmp_path / "turnip.txt").write_text("this is not what the editor has", "utf-8")
    with editing(tmp_path) as editor:
        server = editor.initialized.server_info
        assert server is not None
        assert server.name == "proofhook"
        found = editor.opened(uri, TURNIP)
        [wrong] = [each for each in found if each.code == "stitch-total"]
        assert wrong.severity == types.DiagnosticSeverity.Error
        assert words_at(TURNIP, wrong.range) == "17"
        assert wrong.related_information is not None
        [beside] = wrong.related_information
        assert beside.location.uri == uri
        assert words_at(TURNIP, beside.location.range).startswith("Rnd 3: *Sc")
        assert beside.message == (
            "Worked: 12 sts below; the repeat uses 2 and makes 3, 6 times; 6 × 3 = 18"
        )

        start = TURNIP.index("17")
        editor.typed(uri, start, start + 2, "18")
        assert "stitch-total" not in rules(editor.diagnostics(uri))

        hover = editor.ask("textDocument/hover", types.HoverParams(**editor.at(uri, "Sc in next")))
        assert (
            "US terms: single crochet (sc); UK terms: double crochet (dc)" in hover.contents.value
        )

        renamed = editor.ask(
            "textDocument/rename", types.RenameParams(new_name="incr", **editor.at(uri, "inc;"))
        )
        editor.make(uri, renamed.changes[uri])
        assert "incr = 2 sc" in editor.texts[uri]
        assert "Incr in each st" in editor.texts[uri]
        assert "abbreviation-unexplained" not in rules(editor.diagnostics(uri))

        at = editor.texts[uri].index("Rnd 1:")
        editor.typed(uri, at + 6, at + 7, "   ")
        edits = editor.ask(
            "textDocument/formatting",
            types.DocumentFormattingParams(
                types.TextDocumentIdentifier(uri), types.FormattingOptions(4, True)
            ),
        )
        editor.make(uri, edits)
        assert "Rnd 1: 6 sc in" in editor.texts[uri]
        editor.diagnostics(uri)
        editor.closed(uri)
        assert not editor.published[uri].diagnostics
        assert editor.goodbye() == 0
    assert (tmp_path / "turnip.txt").read_text("utf-8") == "this is not what the editor has"


# --- findings and mends ---------------------------------------------------------------


def test_severity_is_the_grade(turnip: Editor) -> None:
    text = TURNIP.replace("ch = chain\n", "").replace("(17)", "(18)")
    turnip.changed(NEW, types.TextDocumentContentChangeWholeDocument(text))
    turnip.texts[NEW] = text
    grades = {each.code: each.severity for each in turnip.diagnostics(NEW)}
    assert grades["abbreviation-unexplained"] == types.DiagnosticSeverity.Error
    assert grades["total-missing"] == types.DiagnosticSeverity.Information
    assert types.DiagnosticSeverity.Warning in grades.values()
    assert all(each.source == "proofhook" for each in turnip.diagnostics(NEW))


def actions(editor: Editor, words: str, *kinds: str) -> list[types.CodeAction]:
    text = editor.texts[NEW]
    at = text.index(words)
    context = types.CodeActionContext([], only=list(kinds) or None)
    found = editor.ask(
        "textDocument/codeAction",
        types.CodeActionParams(
            types.TextDocumentIdentifier(NEW), between(text, at, at + len(words)), context
        ),
    )
    return list(found)


def test_a_quick_fix_takes_its_finding_away(turnip: Editor) -> None:
    assert "stitch-total" in rules(turnip.diagnostics(NEW))
    [fix, *_] = actions(turnip, "17", "quickfix")
    assert fix.title == "Write 18 in the total, if the round is right."
    assert fix.is_preferred is None
    assert rules(list(fix.diagnostics or [])) == ["stitch-total"]
    assert fix.edit is not None
    assert fix.edit.changes is not None
    turnip.make(NEW, list(fix.edit.changes[NEW]))
    assert "rep from * around. (18)" in turnip.texts[NEW]
    assert "stitch-total" not in rules(turnip.diagnostics(NEW))


def test_quick_fixes_are_for_the_place_that_is_asked_about(turnip: Editor) -> None:
    assert actions(turnip, "Fasten off", "quickfix") == []
    titles = [each.title for each in actions(turnip, "17")]
    assert titles[0] == "Write 18 in the total, if the round is right."
    assert titles[-1] == "Put the pattern into UK terms"


def test_all_sure_mends_are_made_at_once_where_they_are_asked_for(tmp_path: Path) -> None:
    (tmp_path / "housestyle.toml").write_text(
        '[[wording]]\nwrite = "magic circle"\nnot = "magic ring"\nsure = true\n', "utf-8"
    )
    with editing(tmp_path) as editor:
        assert "house-wording" in rules(editor.opened(NEW, TURNIP))
        [one] = actions(editor, "magic ring", "quickfix")
        assert one.is_preferred
        [every] = actions(editor, "ROOT", "source.fixAll")
        assert every.kind == "source.fixAll.proofhook"
        assert every.edit is not None
        assert every.edit.changes is not None
        editor.make(NEW, list(every.edit.changes[NEW]))
        assert "Rnd 1: 6 sc in a magic circle. (6)" in editor.texts[NEW]
        assert "house-wording" not in rules(editor.diagnostics(NEW))
        assert actions(editor, "ROOT", "source.fixAll") == []
        assert editor.goodbye() == 0


def test_a_document_without_rows_is_left_in_peace(session: Editor) -> None:
    assert session.opened(NEW, "A letter about turnips.\n\nDear reader, sc.\n") == []
    session.closed(NEW)
    assert session.opened(NEW, "") == []
    session.closed(NEW)


# --- figures, hover, completion -------------------------------------------------------


def hints(editor: Editor, start: int = 0, end: int | None = None) -> dict[str, str]:
    """The row of each hint and its words."""
    text = editor.texts[NEW]
    params = types.InlayHintParams(
        types.TextDocumentIdentifier(NEW), between(text, start, len(text) if end is None else end)
    )
    found = editor.ask("textDocument/inlayHint", params)
    lines = text.splitlines()
    for each in found:
        assert each.position.character == len(lines[each.position.line])
    return {lines[each.position.line].split(":")[0]: each.label for each in found}


def test_rows_without_a_total_show_what_they_make_and_wrong_ones_are_marked(
    turnip: Editor,
) -> None:
    shown = hints(turnip)
    assert shown["Rnd 2"] == "= 12 sts"
    assert shown["Rnd 3"] == "≠ 18 sts"
    assert "Rnd 1" not in shown
    assert "Rnds 4-5" not in shown
    at = TURNIP.index("Rnds 4-5")
    assert hints(turnip, at) == {}
    assert set(hints(turnip, 0, at)) == {"Rnd 2", "Rnd 3"}


def test_hints_have_a_figure_for_each_size(session: Editor) -> None:
    row = "Row 1: Ch 11 (13, 15), sc in 2nd ch from hook and in each ch across."
    sized = f"SLEEVE\n\nSizes: S (M, L)\n\n{row}\n"
    session.opened(NEW, sized)
    assert hints(session) == {"Row 1": "= 10 (12, 14) sts"}
    session.closed(NEW)


def hover(editor: Editor, words: str, further: int = 0) -> str:
    found = editor.ask("textDocument/hover", types.HoverParams(**editor.at(NEW, words, further)))
    return str(found.contents.value) if found else ""


def test_hovering_explains_a_word_in_both_terms_and_the_row(turnip: Editor) -> None:
    assert hover(turnip, "Sc in next st").splitlines() == [
        "sc: single crochet",
        "US terms: single crochet (sc); UK terms: double crochet (dc)",
        "Rnd 3 makes 18 sts, but states 17 sts.",
        "12 sts below; the repeat uses 2 and makes 3, 6 times; 6 × 3 = 18",
    ]
    assert hover(turnip, "Inc in each").startswith("inc: 2 sc in same st\nRnd 2 makes 12 sts.\n")
    assert hover(turnip, "TURNIP") == ""


def test_a_word_of_unknown_terms_is_explained_both_ways(session: Editor) -> None:
    session.opened(NEW, "Rnd 1: 6 dc in a magic ring. (6)\n")
    told = hover(session, "dc in")
    assert told.splitlines()[:2] == [
        "US terms: double crochet (dc); UK terms: treble crochet (tr)",
        "UK terms: double crochet (dc); US terms: single crochet (sc)",
    ]
    session.closed(NEW)


def test_a_row_that_is_not_read_says_why(session: Editor) -> None:
    session.opened(
        NEW, "Rnd 1: 6 sc in a magic ring. (6)\nRnd 2: Gribble 3 frumps in next st. (9)\n"
    )
    assert "Rnd 2 is not worked out: “" in hover(session, "Gribble")
    session.closed(NEW)


def test_completion_has_the_patterns_own_words_and_stitches(turnip: Editor) -> None:
    at = TURNIP.index("Fasten off.")
    turnip.typed(NEW, at, at, "Rnd 7: S")
    place = position(turnip.texts[NEW], at + len("Rnd 7: S"))
    found = turnip.ask(
        "textDocument/completion",
        types.CompletionParams(types.TextDocumentIdentifier(NEW), place),
    )
    by_name = {each.label: each for each in found}
    assert by_name["inc"].detail == "2 sc in same st"
    assert by_name["hdc"].detail == "half double crochet (US terms)"
    assert "htr" not in by_name
    assert len(by_name) == len(found)
    turnip.make(NEW, [by_name["sc"].text_edit])
    assert "Rnd 7: scFasten off." in turnip.texts[NEW]


# --- outline and ways through the text -------------------------------------------------


def test_the_outline_has_pieces_with_their_rows(turnip: Editor) -> None:
    params = types.DocumentSymbolParams(types.TextDocumentIdentifier(NEW))
    found = turnip.ask("textDocument/documentSymbol", params)
    names = {each.name: [row.name for row in each.children or ()] for each in found}
    assert names["ROOT"] == ["Rnd 1", "Rnd 2", "Rnd 3", "Rnds 4-5", "Rnd 6"]
    assert "Row 1" in names["LEAF"]
    assert "ABBREVIATIONS" in names
    for each in found:
        for one in (each, *(each.children or ())):
            assert (one.range.start.line, one.range.start.character) <= (
                one.selection_range.start.line, one.selection_range.start.character,
            )  # fmt: skip
            assert (one.selection_range.end.line, one.selection_range.end.character) <= (
                one.range.end.line, one.range.end.character,
            )  # fmt: skip


def test_pieces_and_sections_fold(turnip: Editor) -> None:
    params = types.FoldingRangeParams(types.TextDocumentIdentifier(NEW))
    found = turnip.ask("textDocument/foldingRange", params)
    lines = TURNIP.splitlines()
    ends = {lines[each.start_line]: lines[each.end_line] for each in found}
    assert ends["ROOT"] in ("Rnd 6: Rep Rnd 3. (27)", "Fasten off.")
    assert ends["ABBREVIATIONS"] == "st = stitch"


def led_to(editor: Editor, words: str, further: int = 0) -> list[str]:
    found = editor.ask(
        "textDocument/definition", types.DefinitionParams(**editor.at(NEW, words, further))
    )
    return [words_at(editor.texts[NEW], each.range) for each in found]


def test_a_reference_leads_to_its_row_and_an_abbreviation_to_its_entry(turnip: Editor) -> None:
    assert led_to(turnip, "Rep Rnd 3") == ["Rnd 3"]
    assert led_to(turnip, "Inc in each") == ["inc"]
    assert led_to(turnip, "TURNIP") == []
    text = TURNIP.replace("Rep Rnd 3.", "Rep Rnds 2-3.")
    turnip.texts[NEW] = text
    turnip.changed(NEW, types.TextDocumentContentChangeWholeDocument(text))
    assert led_to(turnip, "Rep Rnds 2-3") == ["Rnd 2", "Rnd 3"]
    assert led_to(turnip, "Rnds 2-3", len("Rnds ")) == ["Rnd 2"]
    assert led_to(turnip, "Rnds 2-3", len("Rnds 2-3")) == ["Rnd 3"]


# --- names ----------------------------------------------------------------------------


def rename(editor: Editor, words: str, name: str) -> str:
    """The text with another name."""
    made = editor.ask(
        "textDocument/rename", types.RenameParams(new_name=name, **editor.at(NEW, words))
    )
    return edited(editor.texts[NEW], list(made.changes[NEW]))


def test_a_piece_gets_another_name_wherever_it_is_named(turnip: Editor) -> None:
    text = rename(turnip, "LEAF", "Greens")
    assert "\n\nGreens\nCh 5." in text
    assert "Sew the greens to the root." in text
    params = types.PrepareRenameParams(**turnip.at(NEW, "LEAF"))
    assert turnip.ask("textDocument/prepareRename", params).placeholder == "LEAF"


@pytest.mark.parametrize(
    ("words", "name", "why"),
    [
        ("inc;", "sc", "in the list already"),
        ("inc;", "dc", "the name of a stitch already"),
        ("inc;", "2 sc", "beginning with a letter"),
        ("inc;", "turn", "would not be read as they are now"),
        ("LEAF", "Root", "There is a piece called"),
        ("LEAF", "(leaf)", "without brackets"),
        ("US terms", "x", "Only pieces and the abbreviations"),
    ],
)
def test_a_name_that_cannot_be_is_refused(turnip: Editor, words: str, name: str, why: str) -> None:
    with pytest.raises(JsonRpcException, match=why):
        rename(turnip, words, name)


def test_what_has_no_name_is_not_renamed(turnip: Editor) -> None:
    params = types.PrepareRenameParams(**turnip.at(NEW, "around"))
    assert turnip.ask("textDocument/prepareRename", params) is None


# --- the whole document ---------------------------------------------------------------


def translate(editor: Editor, *arguments: Any) -> Any:
    params = types.ExecuteCommandParams("proofhook.translate", list(arguments))
    return editor.ask("workspace/executeCommand", params)


def test_translating_has_the_editor_make_the_edits(turnip: Editor) -> None:
    answer = translate(turnip, NEW, "uk")
    assert (answer["applied"], answer["remarks"]) == (True, [])
    [edit] = turnip.applied
    assert edit.document_changes is not None
    [change] = edit.document_changes
    assert isinstance(change, types.TextDocumentEdit)
    assert change.text_document.version == turnip.versions[NEW]
    text = edited(TURNIP, [e for e in change.edits if isinstance(e, types.TextEdit)])
    assert "UK terms." in text
    assert "Rnd 1: 6 dc in a magic ring. (6)" in text


def test_what_cannot_be_translated_is_told(turnip: Editor) -> None:
    answer = translate(turnip, NEW, "us")
    assert answer == {"applied": False, "remarks": ["The pattern is in US terms already."]}
    assert turnip.applied == []
    with pytest.raises(JsonRpcException, match="us or uk"):
        translate(turnip, NEW, "french")
    with pytest.raises(JsonRpcException, match="is not open"):
        translate(turnip, "untitled:other", "uk")
    with pytest.raises(JsonRpcException):
        translate(turnip)
    assert hover(turnip, "inc;") != ""


# --- the house ------------------------------------------------------------------------


def test_the_style_sheet_above_a_file_and_its_stets_hold(tmp_path: Path) -> None:
    below = tmp_path / "spring" / "not there yet"
    uri = (below / "turnip.txt").as_uri()
    sheet = tmp_path / "housestyle.toml"
    sheet.write_text('[rules]\nstitch-total = "style"\n', "utf-8")
    with editing(tmp_path) as editor:
        found = editor.opened(uri, TURNIP)
        [wrong] = [each for each in found if each.code == "stitch-total"]
        assert wrong.severity == types.DiagnosticSeverity.Information

        sheet.write_text('[rules]\nstitch-total = "nonsense"\n', "utf-8")
        editor.typed(uri, len(TURNIP), len(TURNIP), "\n")
        [trouble] = editor.diagnostics(uri)
        assert "housestyle.toml:2: the grade of stitch-total is one of" in trouble.message
        assert trouble.range.start == types.Position(0, 0)

        sheet.unlink()
        (tmp_path / "stet.toml").write_text(
            '[[stet]]\nrule = "stitch-total"\nbecause = "the chart says so"\n'
            'quote = "*Sc in next st, inc; rep from * around. (17)"\n',
            "utf-8",
        )
        editor.typed(uri, len(TURNIP), len(TURNIP) + 1, "")
        again = rules(editor.diagnostics(uri))
        assert "stitch-total" not in again
        assert "total-missing" in again

        sheet.write_text('leave-out = ["spring"]\n', "utf-8")
        editor.typed(uri, len(TURNIP), len(TURNIP), "\n")
        assert editor.diagnostics(uri) == []
        assert editor.goodbye() == 0


def test_a_plug_in_that_prints_or_fails_does_not_spoil_the_session(tmp_path: Path) -> None:
    (tmp_path / "house").mkdir()
    (tmp_path / "house" / "loud.py").write_text(
        "from proofhook.proofing import Grade, hookimpl, rule\n\n"
        '@rule("loud", Grade.STYLE)\n'
        "def loud(context):\n"
        '    """Loud.\n\n    x\n    """\n'
        '    print("Content-Length: 5")\n'
        "    raise RuntimeError('too loud')\n\n"
        "@hookimpl\ndef proofhook_rules():\n    return [loud]\n",
        "utf-8",
    )
    (tmp_path / "housestyle.toml").write_text('rule-folders = ["house"]\n', "utf-8")
    with editing(tmp_path) as editor:
        found = editor.opened(NEW, TURNIP)
        assert "stitch-total" in rules(found)
        editor.until(lambda: any("the rule loud" in each for each in editor.logged))
        assert editor.goodbye() == 0


def test_stitches_that_a_plug_in_of_the_house_brings_are_known(tmp_path: Path) -> None:
    (tmp_path / "house").mkdir()
    (tmp_path / "house" / "crumbs.py").write_text(
        "from proofhook.proofing import hookimpl\n\n"
        "@hookimpl\ndef proofhook_stitches():\n"
        '    crumble = {"name": "crumble", "words": ["crm"], "meaning": "2 sc in the same st"}\n'
        '    return {"group": [crumble]}\n',
        "utf-8",
    )
    (tmp_path / "housestyle.toml").write_text('rule-folders = ["house"]\n', "utf-8")
    text = "US terms.\n\nRnd 1: 6 sc in a magic ring. (6)\nRnd 2: Crumble in each st around.\n"
    with editing(tmp_path) as editor:
        assert "unread" not in rules(editor.opened(NEW, text))
        assert list(hints(editor)) == ["Rnd 2"]
        assert hover(editor, "Crumble").startswith("Crumble: 2 sc in the same st\n")
        assert editor.goodbye() == 0


def test_what_a_plug_in_cannot_bring_is_told_and_the_rest_is_proofed(tmp_path: Path) -> None:
    (tmp_path / "housestyle.toml").write_text('plugins = ["no_such_plug_in"]\n', "utf-8")
    with editing(tmp_path) as editor:
        trouble, *others = editor.opened(NEW, TURNIP)
        assert "no_such_plug_in is not installed" in trouble.message
        assert trouble.range == between(TURNIP, 0, len("TURNIP"))
        assert "stitch-total" in rules(others)
        assert editor.goodbye() == 0


# --- places and edits -----------------------------------------------------------------

SPOKEN = [
    "🧶",
    "e\u0301",
    "\r\n",
    "\r",
    "\n",
    "\u2028",
    "\x0c",
    "𝒮",
    "日本",
    "\ufeff",
    "👩‍🌾",
    "\x85",
]


@pytest.mark.parametrize("strange", ["🧶 ", "e\u0301 ", "𝒮𝒸 ", "日本 ", "👩‍🌾\u2028 "])
@pytest.mark.parametrize("newline", ["\n", "\r\n", "\r"])
def test_places_are_counted_in_utf_16(session: Editor, strange: str, newline: str) -> None:
    text = TURNIP.replace("*Sc in next", f"{strange}*Sc in next").replace("\n", newline)
    found = session.opened(NEW, text)
    if "stitch-total" in rules(found):
        [wrong] = [each for each in found if each.code == "stitch-total"]
        assert words_at(text, wrong.range) == "17"
        assert wrong.range == between(text, text.index("17"), text.index("17") + 2)
    at = text.index("17")
    session.typed(NEW, at, at + 2, "18")
    assert "(18)" in session.texts[NEW]
    assert "stitch-total" not in rules(session.diagnostics(NEW))
    assert led_to(session, "Rep Rnd 3") == ["Rnd 3"]
    session.closed(NEW)


def test_other_encodings_that_an_editor_asks_for(tmp_path: Path) -> None:
    for name, one in (("utf-8", 4), ("utf-32", 1)):
        told = types.ClientCapabilities(
            general=types.GeneralClientCapabilities(position_encodings=[name])
        )
        with editing(tmp_path, told) as editor:
            assert editor.initialized.capabilities.position_encoding == name
            text = "US terms\nRnd 1: 6 sc in a magic ring. (6)\nRnd 2: Inc 6 times. 🧶 (13)\n"
            [wrong] = [f for f in editor.opened(NEW, text) if f.code == "stitch-total"]
            assert wrong.range.start.character == len("Rnd 2: Inc 6 times. ") + one + len(" (")
            assert wrong.related_information is None
            assert "\nWorked: " in wrong.message
            params = types.DocumentSymbolParams(types.TextDocumentIdentifier(NEW))
            with pytest.raises(JsonRpcException, match="use proofhook translate"):
                translate(editor, NEW, "uk")
            flat = editor.ask("textDocument/documentSymbol", params)
            assert [each.name for each in flat][-2:] == ["Rnd 1", "Rnd 2"]
            assert editor.goodbye() == 0


WORDS = st.sampled_from(
    [*SPOKEN, "", "Rnd 7: Sc in each st around. (18)\n", "inc, ", "(12)", "sc", "\n\nLEAF\n",
     "*", "2", "Sizes: S (M, L)\n", "UK terms", "Rep Rnds 2-3. "]
)  # fmt: skip
STEPS = st.lists(
    st.tuples(st.floats(0, 1), st.one_of(st.just(0), st.integers(0, 40)), WORDS),
    min_size=1,
    max_size=6,
)


@settings(
    max_examples=25, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
@given(STEPS)
def test_edits_give_what_a_fresh_start_gives(
    session: Editor, steps: list[tuple[float, int, str]]
) -> None:
    session.opened(NEW, TURNIP)
    for where, length, words in steps:
        text = session.texts[NEW]
        start = int(where * len(text))
        session.typed(NEW, start, min(start + length, len(text)), words)
    found = session.diagnostics(NEW)
    text = session.texts[NEW]
    assert found == _in(session, "untitled:fresh", text)
    session.closed(NEW)


def _in(editor: Editor, uri: str, text: str) -> list[types.Diagnostic]:
    """The findings of a document that is opened fresh, as if it were the other one."""
    found = editor.opened(uri, text)
    editor.closed(uri)
    for each in found:
        for beside in each.related_information or ():
            beside.location.uri = NEW
    return found


# --- faults and ends ------------------------------------------------------------------


def test_a_fault_in_one_request_leaves_the_server_alive(session: Editor) -> None:
    session.opened(NEW, TURNIP)
    which = types.TextDocumentIdentifier(NEW)
    nonsense = {"jsonrpc": "2.0", "id": "1", "method": "textDocument/hover", "params": {"x": 1}}
    session.client.protocol._send_data(nonsense)
    with pytest.raises(JsonRpcException):
        session.ask("workspace/executeCommand", types.ExecuteCommandParams("there.is.none"))
    far = types.Position(10_000, 10_000)
    assert session.ask("textDocument/hover", types.HoverParams(which, far)) is None
    other = types.TextDocumentIdentifier("untitled:never opened")
    assert session.ask("textDocument/hover", types.HoverParams(other, far)) is None
    session.changed(NEW)
    assert "stitch-total" in rules(session.diagnostics(NEW))
    session.closed(NEW)


def command(*arguments: str, text: str = "", code: str = "") -> subprocess.CompletedProcess[str]:
    run = code or "from proofhook.cli import main; import sys; sys.exit(main(sys.argv[1:]))"
    paths = [str(ROOT / "src"), str(ROOT / "rules")]
    return subprocess.run(
        [sys.executable, "-c", run, *arguments], input=text, capture_output=True, text=True,
        env={**os.environ, "PYTHONPATH": os.pathsep.join(paths)}, check=False, timeout=PATIENT,
    )  # fmt: skip


PATIENT = 60


@pytest.mark.parametrize("missing", ["pygls", "lsprotocol"])
def test_where_the_library_is_missing_the_extra_is_named(missing: str) -> None:
    code = (
        f"import sys; sys.modules[{missing!r}] = None\n"
        "from proofhook.cli import main\nsys.exit(main(['editor']))"
    )
    done = command(code=code)
    assert (done.returncode, done.stdout) == (2, "")
    assert done.stderr.count("\n") == 1
    assert "pip install 'proofhook[editor]'" in done.stderr
    assert "Traceback" not in done.stderr


def test_an_editor_that_leaves_without_goodbye() -> None:
    done = command("editor", text="")
    assert (done.returncode, done.stdout, done.stderr) == (1, "", "")


def test_a_long_pattern_keeps_up_with_the_keys(session: Editor) -> None:
    """A keystroke is taken in at once, whatever is being worked out; findings follow."""
    rows = "".join(f"Rnd {n}: Sc in each st around. (6)\n" for n in range(2, 301))
    text = "ROOT\nRnd 1: 6 sc in a magic ring. (6)\n" + rows
    session.opened(NEW, text)
    begun = time.monotonic()
    for number in range(20):
        session.typed(NEW, len(text) - 3, len(text) - 2, str(7 + number % 3))
    found = session.diagnostics(NEW)
    assert time.monotonic() - begun < PATIENT
    assert "stitch-total" in rules(found)
    session.closed(NEW)


def test_all_that_is_promised_is_told_to_the_editor(session: Editor) -> None:
    can = session.initialized.capabilities
    assert can.position_encoding == "utf-16"
    sync = can.text_document_sync
    assert isinstance(sync, types.TextDocumentSyncOptions)
    assert sync.change == types.TextDocumentSyncKind.Incremental
    for name in (
        "code_action", "completion", "definition", "document_formatting", "document_symbol",
        "folding_range", "hover", "inlay_hint", "rename",
    ):  # fmt: skip
        assert getattr(can, f"{name}_provider"), name
    assert can.execute_command_provider is not None
    assert can.execute_command_provider.commands == ("proofhook.translate",)
    assert FULL.general is not None
