"""The server from its start to its end."""

from __future__ import annotations

import gc

from netdsl.serving.features import offer
from netdsl.serving.server import Server


def make_server() -> Server:
    """A server with all that it offers."""
    server = Server()
    offer(server)
    return server


def serve() -> None:
    """Serve one client on standard input and output until it leaves."""
    gc.disable()  # swept between edits, when nobody waits
    make_server().start_io()
