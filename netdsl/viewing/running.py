"""Running the desk on the loopback address until it is stopped."""

from __future__ import annotations

import socket
from collections.abc import Callable
from pathlib import Path

import uvicorn

from netdsl.viewing.desk import Desk, Reading
from netdsl.viewing.serving import Following, application

HOST = "127.0.0.1"


def listening(port: int) -> socket.socket:
    """A socket on the loopback address, at any free port for 0. Raises OSError where the port is taken or not allowed."""
    bound = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
    try:
        bound.bind((HOST, port))
        bound.listen(64)
    except OSError:
        bound.close()
        raise
    return bound


class _Server(uvicorn.Server):
    """Lets go who follows the text before it waits for all answers to end."""

    def __init__(self, config: uvicorn.Config, end: Callable[[], None]) -> None:
        super().__init__(config)
        self._end = end

    async def shutdown(self, sockets: list[socket.socket] | None = None) -> None:
        self._end()
        await super().shutdown(sockets)


def serve(
    bound: socket.socket, plant: Path, desk: Desk, read: Callable[[], Reading], token: str, ready: Callable[[str], None]
) -> None:
    """Read the plant, tell `ready` the address, and serve until interrupted."""
    port = bound.getsockname()[1]
    following = Following(desk, plant, read)
    following.first()
    hosts = frozenset((f"{HOST}:{port}", f"localhost:{port}"))
    config = uvicorn.Config(
        application(desk, following, token, hosts),
        http="h11",
        ws="none",
        loop="asyncio",
        lifespan="on",
        log_config=None,  # a log of addresses would hold the token
        access_log=False,
        server_header=False,
        date_header=False,
        timeout_graceful_shutdown=1,
    )
    ready(f"http://{HOST}:{port}/{token}/")
    _Server(config, following.end).run(sockets=[bound])
