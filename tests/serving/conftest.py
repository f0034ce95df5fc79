"""The server that the tests of this room talk to."""

from __future__ import annotations

import asyncio
from collections.abc import Iterator

import pytest
from talking import SMALL, Talk, editor, started

from tests.forked import called_from_elsewhere


@pytest.fixture(scope="package")
def talk(called: str, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Talk]:  # noqa: ARG001
    """A server that is a copy of this process, with the process beside it that judges whole plants, which is started here once.
    A server that starts anew is in test_any_client.py."""

    async def warmed() -> None:
        async with editor(client, tmp_path_factory.mktemp("warm") / "plant.netdsl", SMALL) as it:
            while "earth-missing" not in it.rules:
                await it.client.wait_for_notification("textDocument/publishDiagnostics")

    # a line of its own: that of `called` answers nobody else while this server runs
    with called_from_elsewhere() as command, asyncio.Runner() as runner:
        serving = started((*command.split(), "serve"))
        client = runner.run(serving.__aenter__())
        try:
            runner.run(warmed())
            yield Talk(client, runner)
        finally:
            runner.run(serving.__aexit__(None, None, None))
