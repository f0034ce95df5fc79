"""A client that talks to the server as an editor does."""

from __future__ import annotations

import asyncio
from collections.abc import AsyncIterator, Awaitable, Callable, Sequence
from contextlib import asynccontextmanager
from pathlib import Path

from lsprotocol import types
from pytest_lsp import LanguageClient, make_test_lsp_client

SMALL = """netdsl 1

project "Small" {
  number = "S-1"
}

place +MCP "Panel" kind=cabinet
place +HALL "Hall" kind=field
supply -G0 system=TN-S voltage=400V fault-current=10kA
device -Q1 mcb-3p-c "Pump" at=+MCP current=16A
strip -X1 "Field" at=+MCP rail=bonded {
  :1..3 2.5mm2
}
wire -G0:L1,L2,L3 to -Q1:1,3,5 2.5mm2 BK
wire -Q1:2,4,6 to -X1:1..3 2.5mm2 BK
"""


#: an editor with tab stops in what it inserts
CAPABLE = types.ClientCapabilities(
    text_document=types.TextDocumentClientCapabilities(
        completion=types.CompletionClientCapabilities(completion_item=types.ClientCompletionItemOptions(snippet_support=True)),
    )
)


class Editor:
    """One text open at a server."""

    def __init__(self, client: LanguageClient, file: Path) -> None:
        self.client = client
        self.uri = file.resolve().as_uri()
        self.text = ""
        self.version = 0

    @property
    def document(self) -> types.TextDocumentIdentifier:
        return types.TextDocumentIdentifier(self.uri)

    def open(self, text: str) -> None:
        self.text, self.version = text, 1
        item = types.TextDocumentItem(self.uri, "netdsl", self.version, text)
        self.client.text_document_did_open(types.DidOpenTextDocumentParams(item))

    def place(self, offset: int) -> types.Position:
        """Line and column in UTF-16 units, counted anew from the whole text."""
        before = self.text[:offset].replace("\r\n", "\n").replace("\r", "\n").split("\n")
        return types.Position(len(before) - 1, len(before[-1].encode("utf-16-le")) // 2)

    def edit(self, start: int, end: int, text: str) -> None:
        """Put `text` in place of characters `start` to `end`."""
        where = types.Range(self.place(start), self.place(end))
        self.text, self.version = self.text[:start] + text + self.text[end:], self.version + 1
        document = types.VersionedTextDocumentIdentifier(self.version, self.uri)
        change = types.TextDocumentContentChangePartial(where, text)
        self.client.text_document_did_change(types.DidChangeTextDocumentParams(document, [change]))

    def put(self, old: str, new: str) -> None:
        """Put `new` in place of the first `old`."""
        start = self.text.index(old)
        self.edit(start, start + len(old), new)

    def after(self, words: str) -> types.Position:
        """The place behind the first `words`."""
        return self.place(self.text.index(words) + len(words))

    @property
    def rules(self) -> list[str]:
        """The rules whose findings are shown now."""
        return [str(each.code) for each in self.client.diagnostics.get(self.uri, ())]

    async def shows(self, *rules: str, seconds: float = 30) -> None:
        """Wait until exactly these rules are shown."""
        async with asyncio.timeout(seconds):
            while sorted(self.rules) != sorted(rules):
                await self.client.wait_for_notification(types.TEXT_DOCUMENT_PUBLISH_DIAGNOSTICS)


@asynccontextmanager
async def started(server: Sequence[str]) -> AsyncIterator[LanguageClient]:
    """A client of a server of its own. `server`: what starts it."""
    client = make_test_lsp_client()
    await client.start_io(*server)
    await client.initialize_session(types.InitializeParams(CAPABLE))
    try:
        yield client
    finally:
        await client.shutdown_session()
        await client.stop()


@asynccontextmanager
async def editor(client: LanguageClient, file: Path, text: str | None = None) -> AsyncIterator[Editor]:
    """An editor that has `file` open, with the findings of it shown once, and closes it in the end."""
    opened = Editor(client, file)
    opened.open(file.read_text("utf-8") if text is None else text)
    await client.wait_for_notification(types.TEXT_DOCUMENT_PUBLISH_DIAGNOSTICS)
    try:
        yield opened
    finally:
        client.text_document_did_close(types.DidCloseTextDocumentParams(opened.document))
        # of what is closed nothing is renamed: that is answered when all is withdrawn that was shown
        assert await client.text_document_rename_async(types.RenameParams(opened.document, types.Position(0, 0), "-A1")) is None
        client.diagnostics.clear()


class Talk:
    """What one client says to its server, for one test after the other."""

    def __init__(self, client: LanguageClient, runner: asyncio.Runner) -> None:
        self._client = client
        self._run = runner.run

    def about(self, file: Path, said: Callable[[Editor], Awaitable[None]], text: str | None = None) -> None:
        """Say it of a file that is opened, with another text than it holds where one is given."""

        async def talk() -> None:
            async with editor(self._client, file, text) as it:
                await said(it)

        self._run(talk())
