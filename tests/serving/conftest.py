"""The server that the tests of this room talk to."""

from __future__ import annotations

from collections.abc import Iterator

import pytest

import lint
from netdsl.serving import start
from tests.forked import called_from_elsewhere


@pytest.fixture(scope="session")
def server(tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[str, ...]]:
    """The command that an editor calls: a copy of this process. One that starts anew is in test_any_client.py."""
    assert start and lint  # what a server loads at its start
    with called_from_elsewhere(tmp_path_factory.mktemp("server")) as command:
        yield (*command.split(), "serve")
