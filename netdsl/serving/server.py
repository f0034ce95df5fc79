"""The language server: what clients send, to the desk; what was found, to clients."""

from __future__ import annotations

import asyncio
import gc
from datetime import date

from lsprotocol import types
from pygls.lsp.server import LanguageServer
from pygls.protocol import LanguageServerProtocol
from pygls.protocol.language_server import lsp_method

from netdsl import __version__
from netdsl.serving.checker import Checker, CheckFailed
from netdsl.serving.desk import Desk
from netdsl.serving.diagnostics import by_text
from netdsl.serving.plants import OpenPlant
from netdsl.serving.slices import judge_slice
from netdsl.serving.told import Asked

#: seconds without an edit before what changed is judged, and before the whole plant is
AT_ONCE, PAUSE = 0.005, 0.4
#: edits between two sweeps of what slices leave behind
_SWEEP = 20
#: judgements of a plant between two sweeps of all that is kept
_WHOLE = 5


class Protocol(LanguageServerProtocol):
    """Texts are kept by the desk alone, in pieces: a second copy of each would be edited line by line."""

    @lsp_method(types.TEXT_DOCUMENT_DID_OPEN)
    def lsp_text_document__did_open(self, params):  # type: ignore[no-untyped-def]
        """Hand on what was opened."""
        yield self.fm.features[types.TEXT_DOCUMENT_DID_OPEN], (params,), None

    @lsp_method(types.TEXT_DOCUMENT_DID_CHANGE)
    def lsp_text_document__did_change(self, params):  # type: ignore[no-untyped-def]
        """Hand on what was edited."""
        yield self.fm.features[types.TEXT_DOCUMENT_DID_CHANGE], (params,), None

    @lsp_method(types.TEXT_DOCUMENT_DID_CLOSE)
    def lsp_text_document__did_close(self, params):  # type: ignore[no-untyped-def]
        """Hand on what was closed."""
        yield self.fm.features[types.TEXT_DOCUMENT_DID_CLOSE], (params,), None


class Server(LanguageServer):
    """One for each workspace. `desk`: what lies open; `hints`: whether inlay hints are shown."""

    def __init__(self) -> None:
        super().__init__("netdsl", __version__, protocol_cls=Protocol)
        self.desk = Desk()
        self.checker = Checker()
        self.hints = True
        self._tasks: dict[OpenPlant, asyncio.Task[None]] = {}
        self._shown: dict[str, list[types.Diagnostic]] = {}
        self._edits = self._judged = 0

    def configure(self, settings: object) -> None:
        """Take the settings of a client: `inlayHints`, alone or under `netdsl`."""
        own = settings.get("netdsl", settings) if isinstance(settings, dict) else None
        if isinstance(own, dict) and isinstance(own.get("inlayHints"), bool):
            self.hints = own["inlayHints"]

    @property
    def snippets(self) -> bool:
        """Whether the client has tab stops in what it inserts."""
        asked = self.client_capabilities.text_document
        item = asked.completion.completion_item if asked is not None and asked.completion is not None else None
        return item is not None and bool(item.snippet_support)

    # --- findings -------------------------------------------------------------------------------------------------
    def judge(self, plant: OpenPlant) -> None:
        """Judge a plant soon: what changed at once, the whole when nobody edits for a while."""
        task = self._tasks.pop(plant, None)
        if task is not None:
            task.cancel()
        self._tasks[plant] = asyncio.get_running_loop().create_task(self._judge(plant))

    def read_again(self) -> None:
        """Judge all plants anew: a file that no editor has open may have changed on the disk."""
        for plant in self.desk.plants.values():
            plant.version += 1
            self.judge(plant)

    async def _judge(self, plant: OpenPlant) -> None:
        try:
            await asyncio.sleep(AT_ONCE)
            today = date.today().isoformat()
            if not plant.order:
                await self._read(plant)
                plant.settle(plant.whole.findings, plant.copies())
                self.publish(plant)
                await asyncio.to_thread(judge_slice, plant.pieces[:40], today)  # loads the rules before the first edit
            else:
                self.publish(plant)
                await asyncio.sleep(PAUSE)
            await self._read(plant)
            documents = plant.copies()
            told = await self.checker.judge(Asked(str(plant.file), today, plant.texts))
            plant.confirm(told, documents)
            self.publish(plant)
            self._tidy()
        except CheckFailed as fault:
            if self.checker.closed:
                return
            self.window_log_message(types.LogMessageParams(types.MessageType.Error, f"the whole plant was not judged: {fault}"))
        except asyncio.CancelledError:
            raise
        except Exception as error:  # the texts of a client must not end the server
            self.fault(error)

    async def _read(self, plant: OpenPlant) -> None:
        """Read the plant where it changed since."""
        if plant.fresh:
            return
        documents, version = plant.copies(), plant.version
        if plant.is_large:
            plant.take_whole(await asyncio.to_thread(plant.read_whole, documents), version)
        else:
            plant.take_whole(plant.read_whole(documents), version)

    def publish(self, plant: OpenPlant) -> None:
        """Show what is wrong with a plant, in each of its texts where that changed."""
        found = by_text(self.desk, plant, plant.findings(date.today().isoformat()))
        for uri, diagnostics in found.items():
            if self._shown.get(uri) != diagnostics:
                self._shown[uri] = diagnostics
                self.text_document_publish_diagnostics(types.PublishDiagnosticsParams(uri, diagnostics))
        self._edits += 1
        if self._edits % _SWEEP == 0:
            gc.collect()

    def _tidy(self) -> None:
        """Sweep while nobody edits. What is kept then is looked through again every so many times alone, for it is most of what
        there is, and what of it is given up is seldom held in a circle."""
        self._judged += 1
        if self._judged % _WHOLE == 0:
            gc.unfreeze()
        gc.collect()
        gc.freeze()

    def withdraw(self, uris: list[str]) -> None:
        """Show nothing any more in texts that are closed."""
        for uri in uris:
            if self._shown.pop(uri, None):
                self.text_document_publish_diagnostics(types.PublishDiagnosticsParams(uri, []))

    def drop(self, plant: OpenPlant) -> None:
        """Stop judging a plant that is closed."""
        task = self._tasks.pop(plant, None)
        if task is not None:
            task.cancel()
        self.withdraw([self.desk.uri(plant, name) for name in plant.documents])

    def fault(self, error: Exception) -> None:
        """Tell the client of a fault of the server itself."""
        message = f"a fault in netdsl itself: {type(error).__name__}: {error}"
        self.window_log_message(types.LogMessageParams(types.MessageType.Error, message))
