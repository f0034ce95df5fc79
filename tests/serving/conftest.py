"""The server that the tests of this room talk to."""

from __future__ import annotations

import pytest


@pytest.fixture(scope="session")
def server(called: str) -> tuple[str, ...]:
    """The command that an editor calls: a copy of this process. One that starts anew is in test_any_client.py."""
    return (*called.split(), "serve")
