"""What the server offers, each under its name in the protocol."""

from __future__ import annotations

from collections.abc import Awaitable, Callable
from datetime import date
from typing import Any

from lsprotocol import types
from pygls.exceptions import JsonRpcInvalidParams

from netdsl.renaming import Refused
from netdsl.serving import actions, completion, formatting, hints, hover, names, outline, renames, tokens
from netdsl.serving.desk import Open
from netdsl.serving.server import Server


def offer(server: Server) -> None:
    """Register everything."""
    _texts(server)
    _questions(server)
    _renaming(server)


def _texts(server: Server) -> None:
    """What is opened, edited and closed."""
    desk = server.desk

    @server.feature(types.INITIALIZE)
    def initialize(params: types.InitializeParams) -> None:
        server.configure(params.initialization_options)
        desk.encoding = str(server.workspace.position_encoding)

    @server.feature(types.TEXT_DOCUMENT_DID_OPEN)
    async def did_open(params: types.DidOpenTextDocumentParams) -> None:
        found = desk.open(params.text_document.uri, params.text_document.text)
        if found is not None:
            server.judge(found.plant)

    @server.feature(types.TEXT_DOCUMENT_DID_CHANGE)
    async def did_change(params: types.DidChangeTextDocumentParams) -> None:
        found = desk.change(params.text_document.uri, list(params.content_changes))
        if found is not None:
            server.judge(found.plant)

    @server.feature(types.TEXT_DOCUMENT_DID_CLOSE)
    async def did_close(params: types.DidCloseTextDocumentParams) -> None:
        before = desk.find(params.text_document.uri)
        plant = desk.close(params.text_document.uri)
        if plant is not None:
            server.judge(plant)
        elif before is not None:
            server.drop(before.plant)
            server.withdraw([before.uri])

    @server.feature(types.TEXT_DOCUMENT_DID_SAVE)
    async def did_save(params: types.DidSaveTextDocumentParams) -> None:  # noqa: ARG001
        server.read_again()

    @server.feature(types.WORKSPACE_DID_CHANGE_WATCHED_FILES)
    async def did_change_files(params: types.DidChangeWatchedFilesParams) -> None:  # noqa: ARG001
        server.read_again()

    @server.feature(types.SHUTDOWN)
    async def shutdown(params: None) -> None:  # noqa: ARG001
        await server.checker.close()


def _questions(server: Server) -> None:
    """What is asked about a text; nothing is answered about one that is not open."""
    desk = server.desk

    def answer(method: str, function: Callable[[Open, Any], Any], options: Any = None) -> None:
        @server.feature(method, options)
        def asked(params: Any) -> Any:
            here = desk.find(params.text_document.uri)
            return None if here is None else function(here, params)

    answer(types.TEXT_DOCUMENT_DEFINITION, lambda here, asked: names.definition(desk, here, asked.position))
    answer(types.TEXT_DOCUMENT_REFERENCES, lambda here, asked: names.references(desk, here, asked.position))
    answer(types.TEXT_DOCUMENT_DOCUMENT_HIGHLIGHT, lambda here, asked: names.highlight(here, asked.position))
    answer(types.TEXT_DOCUMENT_DOCUMENT_SYMBOL, lambda here, _: outline.symbols(here))
    answer(types.TEXT_DOCUMENT_FOLDING_RANGE, lambda here, _: outline.folding(here))
    answer(types.TEXT_DOCUMENT_HOVER, lambda here, asked: hover.hover(here, asked.position))
    answer(types.TEXT_DOCUMENT_FORMATTING, lambda here, _: formatting.format_edits(here))
    answer(types.TEXT_DOCUMENT_RANGE_FORMATTING, lambda here, asked: formatting.format_edits(here, asked.range))
    legend = types.SemanticTokensLegend(list(tokens.TYPES), [])
    answer(types.TEXT_DOCUMENT_SEMANTIC_TOKENS_FULL, lambda here, _: tokens.semantic_tokens(here), legend)
    answer(types.TEXT_DOCUMENT_INLAY_HINT, lambda here, asked: hints.inlay_hints(here, asked.range) if server.hints else [])
    answer(
        types.TEXT_DOCUMENT_COMPLETION,
        lambda here, asked: completion.complete(here, asked.position, server.snippets),
        types.CompletionOptions(trigger_characters=[" ", ":", ",", "=", "-", "+", "$"]),
    )
    answer(
        types.TEXT_DOCUMENT_SIGNATURE_HELP,
        lambda here, asked: hints.signature(here, asked.position),
        types.SignatureHelpOptions([" ", "="]),
    )
    answer(
        types.TEXT_DOCUMENT_CODE_ACTION,
        lambda here, asked: actions.actions(desk, here, asked.range, here.plant.findings(date.today().isoformat())),
        types.CodeActionOptions([types.CodeActionKind.QuickFix]),
    )

    @server.feature(types.WORKSPACE_SYMBOL)
    def symbols(params: types.WorkspaceSymbolParams) -> list[types.WorkspaceSymbol]:
        return outline.workspace_symbols(desk, params.query)

    @server.feature(types.WORKSPACE_DID_CHANGE_CONFIGURATION)
    def configured(params: types.DidChangeConfigurationParams) -> None:
        server.configure(params.settings)


def _renaming(server: Server) -> None:
    """Other names. What cannot be is answered with its reason."""
    desk = server.desk

    @server.feature(types.TEXT_DOCUMENT_PREPARE_RENAME)
    def prepare(params: types.PrepareRenameParams) -> types.Range | None:
        here = desk.find(params.text_document.uri)
        return None if here is None else renames.prepare(here, params.position)

    @server.feature(types.TEXT_DOCUMENT_RENAME, types.RenameOptions(prepare_provider=True))
    async def rename(params: types.RenameParams) -> types.WorkspaceEdit | None:
        here = desk.find(params.text_document.uri)
        if here is None:
            return None
        try:
            return await renames.renamed(desk, here, params.position, params.new_name)
        except Refused as refused:
            raise JsonRpcInvalidParams(str(refused)) from refused

    @server.command("netdsl.insertTerminal")
    async def insert(uri: str, strip: str, number: str) -> None:
        await carry_out(uri, lambda plant: renames.insert_terminal(desk, plant, strip, number))

    @server.command("netdsl.moveTerminals")
    async def move(uri: str, strip: str, terminals: str, to: str) -> None:
        await carry_out(uri, lambda plant: renames.move_terminals(desk, plant, strip, terminals, to))

    async def carry_out(uri: str, work: Callable[[Any], Awaitable[types.WorkspaceEdit]]) -> None:
        here = desk.find(uri)
        if here is None:
            raise JsonRpcInvalidParams(f"`{uri}` is not open")
        try:
            edit = await work(here.plant)
        except Refused as refused:
            raise JsonRpcInvalidParams(str(refused)) from refused
        await server.workspace_apply_edit_async(types.ApplyWorkspaceEditParams(edit, "renumber terminals"))
