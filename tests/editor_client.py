"""An editor for the tests: a client of a library of its own, over pipes, as editors do it."""

from __future__ import annotations

import asyncio
import os
import re
import sys
from collections.abc import Callable, Coroutine, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any, TypeVar

from lsprotocol import types
from pygls.lsp.client import LanguageClient

from golden import ROOT

PATIENCE = 60
Answer = TypeVar("Answer")

FULL = types.ClientCapabilities(
    general=types.GeneralClientCapabilities(position_encodings=["utf-16"]),
    workspace=types.WorkspaceClientCapabilities(
        apply_edit=True, workspace_edit=types.WorkspaceEditClientCapabilities(document_changes=True)
    ),
    text_document=types.TextDocumentClientCapabilities(
        publish_diagnostics=types.PublishDiagnosticsClientCapabilities(related_information=True),
        document_symbol=types.DocumentSymbolClientCapabilities(
            hierarchical_document_symbol_support=True
        ),
    ),
)


def outside_newline(text: str, offset: int) -> int:
    """The offset, or the one before the newline that it lies in the middle of."""
    return offset - 1 if offset and text[offset - 1 : offset + 1] == "\r\n" else offset


def position(text: str, offset: int) -> types.Position:
    """The place of an offset in UTF-16 units, worked out the slow way."""
    before = text[: outside_newline(text, offset)]
    lines = re.split(r"\r\n|\r|\n", before)
    return types.Position(len(lines) - 1, len(lines[-1].encode("utf-16-le", "surrogatepass")) // 2)


def between(text: str, start: int, end: int) -> types.Range:
    return types.Range(position(text, start), position(text, end))


def offset(text: str, place: types.Position) -> int:
    """The offset of a place, by trying all."""
    return next(n for n in range(len(text) + 1) if position(text, n) == place)


def edited(text: str, edits: list[types.TextEdit]) -> str:
    """The text with an editor's edits made, the last of them first."""
    order = sorted(edits, key=lambda e: (e.range.start.line, e.range.start.character), reverse=True)
    for edit in order:
        start, end = offset(text, edit.range.start), offset(text, edit.range.end)
        text = text[:start] + edit.new_text + text[end:]
    return text


class Editor:
    """One session with the server, its calls in the order in which they are made."""

    def __init__(self, folder: Path, capabilities: types.ClientCapabilities = FULL) -> None:
        self.loop = asyncio.new_event_loop()
        self.client = LanguageClient("tests", "1")
        self.folder = folder
        self.texts: dict[str, str] = {}
        self.versions: dict[str, int] = {}
        self.published: dict[str, types.PublishDiagnosticsParams] = {}
        self.shown: list[str] = []
        self.logged: list[str] = []
        self.applied: list[types.WorkspaceEdit] = []
        self._hear()
        self.initialized = self.run(self._begin(capabilities))

    def _hear(self) -> None:
        hear: Callable[[str], Callable[[Any], Any]] = self.client.feature

        @hear(types.TEXT_DOCUMENT_PUBLISH_DIAGNOSTICS)
        def published(params: types.PublishDiagnosticsParams) -> None:
            self.published[params.uri] = params

        @hear(types.WINDOW_SHOW_MESSAGE)
        def shown(params: types.ShowMessageParams) -> None:
            self.shown.append(params.message)

        @hear(types.WINDOW_LOG_MESSAGE)
        def logged(params: types.LogMessageParams) -> None:
            self.logged.append(params.message)

        @hear(types.WORKSPACE_APPLY_EDIT)
        def applied(params: types.ApplyWorkspaceEditParams) -> types.ApplyWorkspaceEditResult:
            self.applied.append(params.edit)
            return types.ApplyWorkspaceEditResult(True)

    async def _begin(self, capabilities: types.ClientCapabilities) -> types.InitializeResult:
        paths = [str(ROOT / "src"), str(ROOT / "rules")]
        if "PYTHONPATH" in os.environ:
            paths.append(os.environ["PYTHONPATH"])
        await self.client.start_io(
            sys.executable, "-m", "proofhook", "editor",
            cwd=self.folder, env={**os.environ, "PYTHONPATH": os.pathsep.join(paths)},
        )  # fmt: skip
        params = types.InitializeParams(capabilities, root_uri=self.folder.as_uri())
        answer = await self.client.initialize_async(params)
        self.client.initialized(types.InitializedParams())
        return answer

    def run(self, work: Coroutine[Any, Any, Answer]) -> Answer:
        return self.loop.run_until_complete(asyncio.wait_for(work, PATIENCE))

    def ask(self, method: str, params: object) -> Any:
        """The answer to a request."""

        async def asked() -> Any:
            return await self.client.protocol.send_request_async(method, params)

        return self.run(asked())

    def at(self, uri: str, words: str, further: int = 0) -> dict[str, Any]:
        """What says which place is meant: where words begin, and so many characters on."""
        text = self.texts[uri]
        return {
            "text_document": types.TextDocumentIdentifier(uri),
            "position": position(text, text.index(words) + further),
        }

    def until(self, holds: Callable[[], bool]) -> None:
        """Wait for something that the server says on its own."""

        async def waited() -> None:
            while not holds():
                await asyncio.sleep(0.01)

        self.run(waited())

    # --- documents ------------------------------------------------------------------

    def opened(self, uri: str, text: str) -> list[types.Diagnostic]:
        self.texts[uri], self.versions[uri] = text, 1
        self.published.pop(uri, None)
        item = types.TextDocumentItem(uri, "plaintext", 1, text)
        self._tell(self.client.text_document_did_open, types.DidOpenTextDocumentParams(item))
        return self.diagnostics(uri)

    def typed(self, uri: str, start: int, end: int, words: str) -> None:
        """Put words in the place of a stretch of the text, and tell only that."""
        text = self.texts[uri]
        start, end = outside_newline(text, start), outside_newline(text, end)
        change = types.TextDocumentContentChangePartial(between(text, start, end), words)
        self.texts[uri] = text[:start] + words + text[end:]
        self.changed(uri, change)

    def changed(self, uri: str, *changes: types.TextDocumentContentChangeEvent) -> None:
        self.versions[uri] += 1
        which = types.VersionedTextDocumentIdentifier(self.versions[uri], uri)
        self._tell(
            self.client.text_document_did_change,
            types.DidChangeTextDocumentParams(which, list(changes)),
        )

    def make(self, uri: str, edits: list[types.TextEdit]) -> None:
        """Make the edits of an answer as an editor does, and tell of it."""
        self.texts[uri] = edited(self.texts[uri], edits)
        self.changed(uri, types.TextDocumentContentChangeWholeDocument(self.texts[uri]))

    def diagnostics(self, uri: str) -> list[types.Diagnostic]:
        """The findings for the text as it is now."""
        version = self.versions[uri]
        self.until(lambda: uri in self.published and self.published[uri].version == version)
        return list(self.published[uri].diagnostics)

    def closed(self, uri: str) -> None:
        which = types.TextDocumentIdentifier(uri)
        self._tell(self.client.text_document_did_close, types.DidCloseTextDocumentParams(which))
        self.until(lambda: uri in self.published and self.published[uri].version is None)
        del self.texts[uri], self.versions[uri]

    def _tell(self, tell: Callable[[Any], None], params: object) -> None:
        async def told() -> None:
            tell(params)

        self.run(told())

    def goodbye(self) -> int:
        """End the session; the status the server ends with."""

        async def ended() -> int:
            await self.client.shutdown_async(None)
            self.client.exit(None)
            assert self.client._server is not None
            return await self.client._server.wait()

        return self.run(ended())

    def leave(self) -> None:
        """Let go of everything, whatever happened."""

        async def left() -> None:
            server = self.client._server
            if server is not None and server.returncode is None:
                server.kill()
                await server.wait()
            await self.client.stop()  # type: ignore[no-untyped-call]

        try:
            self.run(left())
        finally:
            self.loop.close()


@contextmanager
def editing(folder: Path, capabilities: types.ClientCapabilities = FULL) -> Iterator[Editor]:
    editor = Editor(folder, capabilities)
    try:
        yield editor
    finally:
        editor.leave()
