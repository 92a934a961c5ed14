"""docs/editor.md shows what the language server really sends."""

from __future__ import annotations

import re
from pathlib import Path

from lsprotocol import types

from editor_client import between, editing
from golden import ROOT

GUIDE = (ROOT / "docs" / "editor.md").read_text("utf-8")


def block(name: str) -> str:
    [found] = re.findall(rf"^```text {re.escape(name)}\n(.*?)^```$", GUIDE, re.M | re.S)
    assert isinstance(found, str)
    return found


def test_the_hints_and_the_hover_are_those_of_the_example(tmp_path: Path) -> None:
    text, uri = block("turnip.txt"), (tmp_path / "turnip.txt").as_uri()
    with editing(tmp_path) as editor:
        editor.opened(uri, text)
        which = types.TextDocumentIdentifier(uri)
        hints = editor.ask(
            "textDocument/inlayHint", types.InlayHintParams(which, between(text, 0, len(text)))
        )
        lines = text.splitlines()
        shown = "".join(f"{lines[each.position.line]}  {each.label}\n" for each in hints)
        assert shown == block("hints")
        hover = editor.ask("textDocument/hover", types.HoverParams(**editor.at(uri, "Sc in next")))
        assert f"{hover.contents.value}\n" == block("hover")
        assert editor.goodbye() == 0


def test_every_capability_in_the_table_is_told_to_the_editor(tmp_path: Path) -> None:
    listed = re.findall(r"^\| ([^|]+?) \|", GUIDE, re.M)[2:]
    provided = {
        "quick fixes": "code_action", "hints at line ends": "inlay_hint", "hover": "hover",
        "completion": "completion", "outline, folding": "folding_range",
        "go to definition": "definition", "rename": "rename", "format": "document_formatting",
        "code action": "code_action",
    }  # fmt: skip
    assert set(listed) - {"marks as you type"} == set(provided)
    with editing(tmp_path) as editor:
        can = editor.initialized.capabilities
        for name in provided.values():
            assert getattr(can, f"{name}_provider"), name
        assert can.document_symbol_provider
        assert editor.goodbye() == 0
