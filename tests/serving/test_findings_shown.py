"""Findings while typing, and that the server outlives what clients send."""

from __future__ import annotations

import asyncio
from pathlib import Path

import pytest
from lsprotocol import types
from talking import SMALL, Editor, Talk

from tests.cases import each_of

pytestmark = pytest.mark.forks

PLANT = Path(__file__).parents[2] / "examples/direct-on-line/plant.netdsl"


def test_a_slip_is_shown_with_its_place_and_goes_when_it_is_mended(talk: Talk) -> None:
    async def slip(it: Editor) -> None:
        await it.shows()
        it.put("wire -F2:2 ", "wire -F2:9 ")
        await it.shows("unknown-terminal", seconds=20)
        (shown,) = it.client.diagnostics[it.uri]
        assert shown.range.start == it.place(it.text.index("9  to -X2:1")) and shown.severity == 1
        it.put("wire -F2:9 ", "wire -F2:2 ")
        await it.shows()

    talk.about(PLANT, slip)


@each_of("text", ["", "{", "}\n" * 50, "netdsl 9\n", "\ud800 \x00 wire -X", "function =A {\n" * 120])
def test_any_text_is_answered(tmp_path: Path, text: str) -> None:
    from netdsl.serving.desk import Desk
    from netdsl.serving.diagnostics import by_text

    desk = Desk()
    found = desk.open((tmp_path / "plant.netdsl").as_uri(), text)
    assert found is not None
    found.plant.settle(found.plant.refresh().findings, found.plant.copies())
    assert by_text(desk, found.plant, found.plant.findings(None)).keys() == {found.uri}


def test_the_whole_plant_is_judged_with_the_pause_and_where_a_file_changed_on_the_disk(tmp_path: Path, talk: Talk) -> None:
    async def save(it: Editor) -> None:
        async with asyncio.timeout(30):
            while "earth-missing" not in it.rules:
                await it.client.wait_for_notification(types.TEXT_DOCUMENT_PUBLISH_DIAGNOSTICS)
        (tmp_path / "more.netdsl").write_text("device -Q9 mcb-99p at=+MCP\n", "utf-8")
        saved = types.DidSaveTextDocumentParams(it.document)
        it.client.text_document_did_save(saved)
        other = (tmp_path / "more.netdsl").resolve().as_uri()
        async with asyncio.timeout(30):
            while [str(each.code) for each in it.client.diagnostics.get(other, ())] != ["unknown-part"]:
                await it.client.wait_for_notification(types.TEXT_DOCUMENT_PUBLISH_DIAGNOSTICS)

    (tmp_path / "more.netdsl").write_text("# nothing yet\n", "utf-8")
    text = SMALL.replace("wire -G0", 'include "more.netdsl"\nwire -G0', 1)
    talk.about(tmp_path / "plant.netdsl", save, text)
