"""The desk for a browser on this machine: every answer comes out of memory, under an address that nobody can guess."""

from __future__ import annotations

from collections.abc import AsyncIterator, Callable
from contextlib import asynccontextmanager
from hmac import compare_digest
from pathlib import Path

import anyio
import msgspec
from anyio.to_thread import run_sync
from starlette.applications import Starlette
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import PlainTextResponse, Response, StreamingResponse
from starlette.routing import Mount, Route
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from netdsl.model.includes import files_of
from netdsl.viewing.desk import Desk, Drawn, Reading
from netdsl.viewing.following import Stamps, stamps
from netdsl.viewing.pages import ICON, KINDS, SCRIPTS, SERVED, STYLES, fixed, page

#: seconds from a look at the files to the next, and from a change to the look that finds it done
EVERY_S, SETTLED_S = 0.08, 0.03
#: seconds after which a browser hears that the desk still runs, and the desk that a browser is gone
_ALIVE_S = 15.0
#: a sheet shown by itself: no script, its own letters and style
_SHEET = "default-src 'none'; style-src 'unsafe-inline'; font-src data:; frame-ancestors 'none'; sandbox"
_HEADERS = {
    "content-security-policy": SERVED,
    "x-content-type-options": "nosniff",
    "referrer-policy": "no-referrer",
    "cross-origin-resource-policy": "same-origin",
    "cross-origin-opener-policy": "same-origin",
    "cache-control": "no-store",
}


class Following:
    """Reads a plant again whenever its text changes, and tells all who wait."""

    def __init__(self, desk: Desk, plant: Path, read: Callable[[], Reading]) -> None:
        self._desk, self._plant, self._read = desk, plant, read
        self._files = files_of(plant)
        self._seen = stamps(self._files)
        self._told = anyio.Event()
        self._ended = False

    def end(self) -> None:
        """Let all who wait go: the desk stops."""
        self._ended = True
        self._told.set()

    def first(self) -> None:
        """Read the plant before anybody asks."""
        self._desk.read(self._read)

    async def forever(self) -> None:
        """Look at the files until cancelled."""
        while True:
            await anyio.sleep(EVERY_S)
            now = await run_sync(stamps, self._files)
            if now == self._seen:
                continue
            settled: Stamps = ()
            while settled != now:  # an editor may write a file in steps
                await anyio.sleep(SETTLED_S)
                now, settled = settled or now, await run_sync(stamps, self._files)
            # taken before the text is read: what is written meanwhile is another change
            self._files = await run_sync(files_of, self._plant)
            self._seen = await run_sync(stamps, self._files)
            await run_sync(self._desk.read, self._read)
            self._told.set()
            self._told = anyio.Event()

    async def numbers(self) -> AsyncIterator[str]:
        """The number of the state, at once and whenever it changes, as events; between them what keeps the line open."""
        while not self._ended:
            told = self._told
            yield f"data: {self._desk.state.shown.number}\n\n"
            while not told.is_set():
                with anyio.move_on_after(_ALIVE_S):
                    await told.wait()
                if not told.is_set():
                    yield ": still here\n\n"


def application(desk: Desk, following: Following, token: str, hosts: frozenset[str]) -> ASGIApp:
    """What answers a browser. All addresses begin with `/TOKEN/`; anything else, and any host but `hosts`, finds nothing."""

    def whole(_request: Request) -> Response:
        shown = desk.state.shown
        sheets = [(f"sheets/{each.key}.svg", f"{each.number} {each.title}") for each in shown.pages]
        return Response(page(shown, sheets, live=True), media_type="text/html; charset=utf-8")

    def state(_request: Request) -> Response:
        return _json(desk.state.shown)

    def sheet(request: Request) -> Response:
        svg = _drawn(desk, request).svg
        return Response(svg, media_type=KINDS["svg"], headers={"content-security-policy": _SHEET})

    def hits(request: Request) -> Response:
        return _json(_drawn(desk, request).hits)

    def text(request: Request) -> Response:
        texts, number = desk.state.texts, request.path_params["number"]
        if number >= len(texts):
            raise HTTPException(404)
        return _json(texts[number])

    async def events(_request: Request) -> Response:
        return StreamingResponse(following.numbers(), media_type="text/event-stream")

    @asynccontextmanager
    async def running(_app: Starlette) -> AsyncIterator[None]:
        async with anyio.create_task_group() as tasks:
            tasks.start_soon(following.forever)
            yield
            tasks.cancel_scope.cancel()

    routes = [
        Route("/", whole),
        Route("/state.json", state),
        Route("/events", events),
        Route("/sheets/{key}.svg", sheet),
        Route("/hits/{key}.json", hits),
        Route("/text/{number:int}.json", text),
        *(Route(f"/{name}", _fixed(name)) for name in (*STYLES, *SCRIPTS, ICON)),
    ]
    return _Guard(Starlette(routes=[Mount(f"/{token}", routes=routes)], lifespan=running), token, hosts)


def _json(value: object) -> Response:
    return Response(msgspec.json.encode(value), media_type="application/json")


def _drawn(desk: Desk, request: Request) -> Drawn:
    """The sheet that an address names: looked up among those of the set, never on a disk."""
    drawn = desk.state.sheets.get(request.path_params["key"])
    if drawn is None:
        raise HTTPException(404)
    return drawn


def _fixed(name: str) -> Callable[[Request], Response]:
    return lambda _request: Response(fixed(name), media_type=KINDS[name.rpartition(".")[2]])


class _Guard:
    """Lets through what names this machine as its host, which keeps pages of others out whose name was made to lead here, and has
    the token; says with every answer what the browser may do with it."""

    def __init__(self, app: ASGIApp, token: str, hosts: frozenset[str]) -> None:
        self._app, self._token, self._hosts = app, token.encode(), hosts

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] == "lifespan":
            await self._app(scope, receive, send)
        elif scope["type"] == "http":
            named = dict(scope["headers"]).get(b"host", b"").decode("latin-1")
            first = scope["path"].lstrip("/").partition("/")[0].encode("utf-8", "surrogateescape")
            inside = named in self._hosts and compare_digest(first, self._token)
            app: ASGIApp = self._app if inside else PlainTextResponse("Not Found", 404)
            await app(scope, receive, _with_headers(send))


def _with_headers(send: Send) -> Send:
    async def sending(message: Message) -> None:
        if message["type"] == "http.response.start":
            headers = list(message.get("headers", ()))
            named = {name for name, _ in headers}
            own = ((name.encode(), value.encode()) for name, value in _HEADERS.items())
            message = {**message, "headers": [*headers, *(each for each in own if each[0] not in named)]}
        await send(message)

    return sending
