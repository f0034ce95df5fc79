"""Findings while typing, and that the server outlives what clients send."""

from __future__ import annotations

import asyncio
from pathlib import Path

import pytest
from talking import SMALL, editor

HATCHERY = Path(__file__).parents[2] / "examples/hatchery/plant.netdsl"


def test_a_slip_is_shown_with_its_place_and_goes_when_it_is_mended() -> None:
    async def talk() -> None:
        async with editor(HATCHERY) as it:
            await it.shows()
            it.put("BN     -T1:U   to -M1:U1", "BN     -T1:U   to -M1:U9")
            await it.shows("unknown-terminal", seconds=20)
            (shown,) = it.client.diagnostics[it.uri]
            assert shown.range.start == it.place(it.text.index("U9")) and shown.severity == 1
            it.put("-M1:U9", "-M1:U1")
            await it.shows()

    asyncio.run(talk())


def test_what_the_whole_plant_alone_shows_comes_with_the_pause(tmp_path: Path) -> None:
    async def talk() -> None:
        file = tmp_path / "plant.netdsl"
        async with editor(file, SMALL) as it:
            async with asyncio.timeout(30):
                while "earth-missing" not in it.rules:
                    await it.client.wait_for_notification("textDocument/publishDiagnostics")

    asyncio.run(talk())


@pytest.mark.parametrize("text", ["", "{", "}\n" * 50, "netdsl 9\n", "\ud800 \x00 wire -X", "function =A {\n" * 120])
def test_any_text_is_answered(tmp_path: Path, text: str) -> None:
    from netdsl.serving.desk import Desk
    from netdsl.serving.diagnostics import by_text

    desk = Desk()
    found = desk.open((tmp_path / "plant.netdsl").as_uri(), text)
    assert found is not None
    found.plant.settle(found.plant.refresh().findings, found.plant.copies())
    assert by_text(desk, found.plant, found.plant.findings(None)).keys() == {found.uri}
