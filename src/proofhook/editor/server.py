"""The server: the open documents, and when they are worked out.

All working out is done one thing at a time in a thread of its own, so that what is typed
meanwhile is taken in at once.  Findings are published once the keys have rested.
"""

from __future__ import annotations

import asyncio
import logging
import os
from collections.abc import Callable, Generator
from concurrent.futures import ThreadPoolExecutor
from typing import Any, TypeVar

from lsprotocol import types
from pygls import uris
from pygls.exceptions import JsonRpcException
from pygls.lsp.server import LanguageServer
from pygls.protocol import LanguageServerProtocol, lsp_method

from proofhook.counting.kept import Kept
from proofhook.editor import diagnostics
from proofhook.editor.document import Document, worked_document
from proofhook.editor.houses import Held, Houses
from proofhook.editor.places import UTF_16
from proofhook.faults import one_line, wants_traceback
from proofhook.passages import forget
from proofhook.records import NamedTuple

#: Seconds without a change after which the findings are worked out anew.
REST = 0.15

Answer = TypeVar("Answer")


class Text(NamedTuple):
    """An open document as the editor has it."""

    uri: str
    version: int
    text: str


class PatternProtocol(LanguageServerProtocol):
    """The protocol without the library's own copy of each text.

    That counts lines by every character Python takes for the end of one, and puts the places
    of a change right by it before anyone else sees them.
    """

    @lsp_method(types.TEXT_DOCUMENT_DID_CHANGE)
    def lsp_text_document__did_change(
        self, params: types.DidChangeTextDocumentParams
    ) -> Generator[Any, Any, None]:
        """Hand a change on as it came."""
        handler = self.fm.features.get(types.TEXT_DOCUMENT_DID_CHANGE)
        if handler is not None:
            yield handler, (params,), None


class PatternServer(LanguageServer):
    """The open documents, and how each was last worked out."""

    def __init__(self, version: str) -> None:
        super().__init__(
            "proofhook",
            version,
            protocol_cls=PatternProtocol,
            text_document_sync_kind=types.TextDocumentSyncKind.Incremental,
        )
        self.texts: dict[str, Text] = {}
        self.said_goodbye = False
        self._worked: dict[str, tuple[Text, Held, Document]] = {}
        self._kept: dict[str, Kept] = {}
        self._resting: dict[str, asyncio.Task[None]] = {}
        self._houses = Houses()
        self._bench = ThreadPoolExecutor(max_workers=1, thread_name_prefix="proofhook")

    # --- what the editor can do -----------------------------------------------------

    @property
    def encoding(self) -> str:
        """How the editor counts the places in a line."""
        kind = self.server_capabilities.position_encoding
        return str(getattr(kind, "value", kind) or UTF_16)

    @property
    def shows_related(self) -> bool:
        """Whether the editor shows what belongs to a diagnostic."""
        told = self.client_capabilities.text_document
        published = told.publish_diagnostics if told else None
        return bool(published and published.related_information)

    @property
    def shows_levels(self) -> bool:
        """Whether the editor shows an outline with levels."""
        told = self.client_capabilities.text_document
        outlined = told.document_symbol if told else None
        return bool(outlined and outlined.hierarchical_document_symbol_support)

    # --- documents ------------------------------------------------------------------

    def path_of(self, uri: str) -> str:
        """The path that the house of a document is looked for from.

        A document without a file belongs into the folder that is open in the editor.
        """
        path = uris.to_fs_path(uri) if uri.startswith("file:") else None
        return path or os.path.join(self.workspace.root_path or "", "untitled.txt")

    async def ask(self, uri: str, answer: Callable[[Document], Answer]) -> Answer | None:
        """An answer from a document as it is now; None where that is not open."""
        text = self.texts.get(uri)
        if text is None:
            return None
        loop = asyncio.get_running_loop()
        return await loop.run_in_executor(self._bench, lambda: answer(self._document(text)))

    def _document(self, text: Text) -> Document:
        known = self._worked.get(text.uri)
        path = self.path_of(text.uri)
        held = self._houses.of(path)
        if known and known[:2] == (text, held):
            return known[2]
        kept = self._kept.setdefault(text.uri, Kept())
        worked = worked_document(text.uri, path, text.text, held, self.encoding, kept)
        self._worked[text.uri] = text, held, worked
        return worked

    def rest(self, uri: str, seconds: float = REST) -> None:
        """Publish the findings of a document once it has rested so long."""
        waiting = self._resting.pop(uri, None)
        if waiting:
            waiting.cancel()
        self._resting[uri] = asyncio.get_running_loop().create_task(self._publish(uri, seconds))

    async def _publish(self, uri: str, seconds: float) -> None:
        await asyncio.sleep(seconds)
        text = self.texts.get(uri)
        if text is None:
            return
        related = self.shows_related
        try:
            found = await self.ask(uri, lambda d: diagnostics.diagnostics(d, related))
        except Exception as error:
            self.tell_fault(error)
            return
        if found is not None and self.texts.get(uri) == text:
            self.text_document_publish_diagnostics(
                types.PublishDiagnosticsParams(uri, found, text.version)
            )
            for failure in self._worked[uri][2].proof.failures if uri in self._worked else ():
                self.log(failure, types.MessageType.Warning)

    def close(self, uri: str) -> None:
        """Forget a document and take its findings off."""
        self.texts.pop(uri, None)
        self._bench.submit(self._clear_away, uri)
        waiting = self._resting.pop(uri, None)
        if waiting:
            waiting.cancel()
        self.text_document_publish_diagnostics(types.PublishDiagnosticsParams(uri, []))

    def _clear_away(self, uri: str) -> None:
        """Let go of what was worked of a document, after all that is still being worked."""
        if uri not in self.texts:  # it may have been opened again
            self._worked.pop(uri, None)
            self._kept.pop(uri, None)
        if not self.texts:
            forget()

    # --- what is said ---------------------------------------------------------------

    def log(self, sentence: str, kind: types.MessageType = types.MessageType.Info) -> None:
        """Put a sentence into the editor's log of this server."""
        self.window_log_message(types.LogMessageParams(kind, sentence))

    def show(self, sentence: str, kind: types.MessageType = types.MessageType.Info) -> None:
        """Show a person a sentence."""
        self.window_show_message(types.ShowMessageParams(kind, sentence))

    def tell_fault(self, error: Exception) -> None:
        """Say in the log what went wrong; nothing else comes of it."""
        if wants_traceback():
            logging.getLogger("proofhook").exception("a fault", exc_info=error)
        sentence = f"proofhook could not get through a document ({one_line(error)})"
        self.log(f"{sentence}; please report this.", types.MessageType.Error)

    def report_server_error(self, error: Exception, source: Any) -> None:
        """Say what could not be done with a message; the server goes on."""
        del source
        if isinstance(error, JsonRpcException):
            return  # it has been answered with a sentence
        self.log(f"A message was left unanswered ({one_line(error)}).", types.MessageType.Error)

    def stop(self) -> None:
        """Let go of the thread that works documents out."""
        self._bench.shutdown(wait=False, cancel_futures=True)
