"""What an editor can ask: messages in, answers out.  What the answers say is made elsewhere."""

from __future__ import annotations

from typing import Any

from lsprotocol import types
from pygls.exceptions import JsonRpcException

from proofhook.editor import changing, diagnostics, figures, going, outline, renaming, words
from proofhook.editor.document import Document
from proofhook.editor.places import Places, changed
from proofhook.editor.server import PatternServer, Text


def add_requests(server: PatternServer) -> None:
    """Teach a server everything it can be asked."""
    for add in (_documents, _looks, _searches, _mends, _names, _commands):
        add(server)


def _documents(server: PatternServer) -> None:
    """What the editor tells without asking for an answer."""

    @server.feature(types.SHUTDOWN)
    def goodbye(_params: None = None) -> None:
        server.said_goodbye = True

    @server.feature(types.TEXT_DOCUMENT_DID_OPEN)
    def opened(params: types.DidOpenTextDocumentParams) -> None:
        document = params.text_document
        server.texts[document.uri] = Text(document.uri, document.version, document.text)
        server.rest(document.uri, 0)

    @server.feature(types.TEXT_DOCUMENT_DID_CHANGE)
    def typed(params: types.DidChangeTextDocumentParams) -> None:
        uri = params.text_document.uri
        before = server.texts.get(uri)
        if before is not None:
            text = changed(before.text, params.content_changes, server.encoding)
            server.texts[uri] = Text(uri, params.text_document.version, text)
            server.rest(uri)

    @server.feature(types.TEXT_DOCUMENT_DID_SAVE)
    def saved(params: types.DidSaveTextDocumentParams) -> None:
        del params
        for uri in server.texts:  # it may have been the style sheet
            server.rest(uri, 0)

    @server.feature(types.WORKSPACE_DID_CHANGE_WATCHED_FILES)
    def watched(params: types.DidChangeWatchedFilesParams) -> None:
        del params
        for uri in server.texts:
            server.rest(uri, 0)

    @server.feature(types.TEXT_DOCUMENT_DID_CLOSE)
    def closed(params: types.DidCloseTextDocumentParams) -> None:
        server.close(params.text_document.uri)


def _looks(server: PatternServer) -> None:
    """What is shown without being asked for."""

    @server.feature(types.TEXT_DOCUMENT_INLAY_HINT)
    async def hints(params: types.InlayHintParams) -> list[types.InlayHint] | None:
        return await server.ask(
            params.text_document.uri,
            lambda d: list(figures.hints(d, d.places.span(params.range))),
        )

    @server.feature(types.TEXT_DOCUMENT_DOCUMENT_SYMBOL)
    async def symbols(
        params: types.DocumentSymbolParams,
    ) -> list[types.DocumentSymbol] | list[types.SymbolInformation] | None:
        uri = params.text_document.uri
        if server.shows_levels:
            return await server.ask(uri, outline.symbols)
        return await server.ask(uri, outline.flat_symbols)

    @server.feature(types.TEXT_DOCUMENT_FOLDING_RANGE)
    async def folds(params: types.FoldingRangeParams) -> list[types.FoldingRange] | None:
        return await server.ask(params.text_document.uri, outline.folds)


def _searches(server: PatternServer) -> None:
    """What is asked about one place."""

    @server.feature(types.TEXT_DOCUMENT_HOVER)
    async def hover(params: types.HoverParams) -> types.Hover | None:
        return await server.ask(
            params.text_document.uri,
            lambda d: words.hover(d, d.places.offset(params.position)),
        )

    @server.feature(types.TEXT_DOCUMENT_COMPLETION)
    async def completion(params: types.CompletionParams) -> list[types.CompletionItem] | None:
        return await server.ask(
            params.text_document.uri,
            lambda d: words.completions(d, d.places.offset(params.position)),
        )

    @server.feature(types.TEXT_DOCUMENT_DEFINITION)
    async def definition(params: types.DefinitionParams) -> list[types.Location] | None:
        return await server.ask(
            params.text_document.uri,
            lambda d: going.definitions(d, d.places.offset(params.position)),
        )


def _mends(server: PatternServer) -> None:
    """Mends and layout: each answer is edits, which the editor makes."""

    @server.feature(
        types.TEXT_DOCUMENT_CODE_ACTION,
        types.CodeActionOptions(
            [
                types.CodeActionKind.QuickFix,
                types.CodeActionKind.SourceFixAll,
                types.CodeActionKind.RefactorRewrite,
            ]
        ),
    )
    async def actions(params: types.CodeActionParams) -> list[types.CodeAction] | None:
        asked = params.context.only
        only = None if asked is None else [str(getattr(k, "value", k)) for k in asked]
        related = server.shows_related
        return await server.ask(
            params.text_document.uri,
            lambda d: diagnostics.actions(d, d.places.span(params.range), only, related),
        )

    @server.feature(types.TEXT_DOCUMENT_FORMATTING)
    async def formatting(params: types.DocumentFormattingParams) -> list[types.TextEdit] | None:
        uri = params.text_document.uri
        made = await server.ask(uri, lambda d: (d.places, changing.formatted(d)))
        if made is None:
            return None
        places, change = made
        for remark in change.remarks:
            server.show(remark, types.MessageType.Warning)
        return places.edits(change.edits)


def _names(server: PatternServer) -> None:
    """Other names for abbreviations and pieces."""

    @server.feature(types.TEXT_DOCUMENT_PREPARE_RENAME)
    async def prepare(
        params: types.PrepareRenameParams,
    ) -> types.PrepareRenamePlaceholder | None:
        def named(document: Document) -> types.PrepareRenamePlaceholder | None:
            offset = document.places.offset(params.position)
            found = renaming.renamed_at(document, offset)
            if found is None:
                return None
            return types.PrepareRenamePlaceholder(document.places.range(found.span), found.name)

        return await server.ask(params.text_document.uri, named)

    @server.feature(types.TEXT_DOCUMENT_RENAME, types.RenameOptions(prepare_provider=True))
    async def rename(params: types.RenameParams) -> types.WorkspaceEdit | None:
        def renamed(document: Document) -> types.WorkspaceEdit:
            offset = document.places.offset(params.position)
            edits = renaming.rename(document, offset, params.new_name)
            return types.WorkspaceEdit({document.uri: document.places.edits(edits)})

        try:
            return await server.ask(params.text_document.uri, renamed)
        except renaming.RenameError as error:
            raise JsonRpcException(str(error), types.LSPErrorCodes.RequestFailed.value) from None


def _commands(server: PatternServer) -> None:
    """What is asked for by a name of its own."""

    @server.command(diagnostics.TRANSLATE)
    async def translate(uri: str, to: str) -> dict[str, Any]:
        if to not in diagnostics.SIDES:
            raise JsonRpcException(
                f"{diagnostics.TRANSLATE} takes the address of a document and us or uk.",
                types.ErrorCodes.InvalidParams.value,
            )
        text = server.texts.get(uri)
        made = await server.ask(uri, lambda d: (d.places, changing.translated(d, to)))
        if made is None or text is None:
            raise JsonRpcException(
                f"{uri} is not open, so it cannot be translated.",
                types.LSPErrorCodes.RequestFailed.value,
            )
        places, change = made
        applied = await _apply(server, text, places, change) if change.edits else False
        if not change.edits:
            server.show(" ".join(change.remarks), types.MessageType.Warning)
        for remark in change.remarks:
            server.log(remark)
        return {"applied": applied, "remarks": change.remarks}


async def _apply(
    server: PatternServer, text: Text, places: Places, change: changing.Change
) -> bool:
    """Have the editor make the edits, of the text as it was when they were worked out."""
    told = server.client_capabilities.workspace
    if not (told and told.apply_edit):
        raise JsonRpcException(
            "This editor does not make edits that a server asks for; "
            "use proofhook translate on the file.",
            types.LSPErrorCodes.RequestFailed.value,
        )
    edit = told.workspace_edit
    edits = places.edits(change.edits)
    if edit and edit.document_changes:
        of = types.OptionalVersionedTextDocumentIdentifier(text.uri, text.version)
        whole = types.WorkspaceEdit(document_changes=[types.TextDocumentEdit(of, edits)])
    else:
        whole = types.WorkspaceEdit({text.uri: edits})
    label = "Put the pattern into the other terms"
    answer = await server.workspace_apply_edit_async(types.ApplyWorkspaceEditParams(whole, label))
    return answer.applied
