"""What the desk answers, and to whom."""

from __future__ import annotations

import json
from pathlib import Path

import anyio
import pytest
from starlette.types import ASGIApp, Message

from netdsl.viewing.desk import Desk
from netdsl.viewing.exporting import Foreign, export
from netdsl.viewing.serving import Following, application
from tests.cases import each_of
from tests.viewing.desks import PLANT, read

TOKEN, HOST = "secret", "127.0.0.1:8000"
#: a name that would be markup, script and the end of a script where it were not text
HOSTILE = "</script><script>alert(1)</script><img src=x onerror=alert(2)>&amp; $title"


def ask(app: ASGIApp, path: str, host: str = HOST, method: str = "GET") -> tuple[int, dict[str, str], bytes]:
    """Status, headers and body of an answer."""
    got: list[Message] = []

    async def asking() -> None:
        async def receive() -> Message:
            return {"type": "http.request", "body": b"", "more_body": False}

        async def send(message: Message) -> None:
            got.append(message)

        scope = {
            "type": "http",
            "asgi": {"version": "3.0"},
            "http_version": "1.1",
            "method": method,
            "scheme": "http",
            "path": path,
            "raw_path": path.encode(),
            "root_path": "",
            "query_string": b"",
            "headers": [(b"host", host.encode())],
            "client": ("127.0.0.1", 1),
            "server": ("127.0.0.1", 8000),
        }
        await app(scope, receive, send)

    anyio.run(asking)
    headers = {name.decode(): value.decode() for name, value in got[0]["headers"]}
    return got[0]["status"], headers, b"".join(message.get("body", b"") for message in got[1:])


@pytest.fixture(scope="module")
def app(tmp_path_factory: pytest.TempPathFactory) -> ASGIApp:
    file = tmp_path_factory.mktemp("served") / "plant.netdsl"
    file.write_text(PLANT.replace("Two lamps", HOSTILE).replace("Pump one", HOSTILE), encoding="utf-8")
    desk = Desk()
    following = Following(desk, file, lambda: read(file))
    following.first()
    return application(desk, following, TOKEN, frozenset({HOST}))


def test_the_page_and_all_that_belongs_to_it_are_served(app: ASGIApp) -> None:
    kinds = {
        "": "text/html; charset=utf-8",
        "view.css": "text/css; charset=utf-8",
        "main.js": "text/javascript; charset=utf-8",
        "state.json": "application/json",
        "sheets/circuit-P1.1.svg": "image/svg+xml",
        "hits/circuit-P1.1.json": "application/json",
        "text/0.json": "application/json",
    }
    for name, kind in kinds.items():
        status, headers, body = ask(app, f"/{TOKEN}/{name}")
        assert (status, headers["content-type"]) == (200, kind), name
        assert body
    assert ask(app, f"/{TOKEN}/", method="POST")[0] == 405


@each_of(
    "path",
    [
        "/",
        "/secre/",
        "/secret2/",
        "/state.json",
        "/secret/../plant.netdsl",
        "/secret/plant.netdsl",
        "/secret/sheets/../../plant.netdsl",
        "/secret/sheets/..%2f..%2fplant.svg",
        "/secret/sheets/../page/icon.svg",
        "/secret/sheets//etc/passwd.svg",
        "/secret/hits/../state.json",
        "/secret/text/99.json",
        "/secret/text/-1.json",
        "/secret/view.html",
        "/secret/page/view.css",
        "/secret/\udce9",
    ],
)
def test_nothing_else_is_found(app: ASGIApp, path: str) -> None:
    status, _, body = ask(app, path.encode("utf-8", "surrogateescape").decode("latin-1"))
    assert (status, body) == (404, b"Not Found")


@each_of("host", ["example.org:8000", "127.0.0.1", "", "127.0.0.1:8000.example.org"])
def test_a_name_that_was_made_to_lead_here_finds_nothing(app: ASGIApp, host: str) -> None:
    assert ask(app, f"/{TOKEN}/", host)[0] == 404


@each_of("path", [f"/{TOKEN}/", f"/{TOKEN}/state.json", f"/{TOKEN}/sheets/cover-1.svg", "/other"])
def test_every_answer_says_what_a_browser_may_do_with_it(app: ASGIApp, path: str) -> None:
    headers = ask(app, path)[1]
    policy = headers["content-security-policy"]
    assert "default-src 'none'" in policy
    assert "frame-ancestors 'none'" in policy
    assert "script-src" not in policy or "script-src 'self';" in policy
    assert "unsafe-eval" not in policy and "http" not in policy
    assert {headers[name] for name in ("x-content-type-options", "referrer-policy", "cache-control")} == {
        "nosniff",
        "no-referrer",
        "no-store",
    }


def test_names_of_a_plant_become_no_markup(app: ASGIApp) -> None:
    body = ask(app, f"/{TOKEN}/")[2].decode()
    assert "<img src=x" not in body and "alert(1)</script>" not in body
    assert body.count("<script") == 5
    assert "&lt;img src=x onerror=alert(2)&gt;&amp;amp; $title" in body
    assert json.loads(ask(app, f"/{TOKEN}/state.json")[2])["title"] == HOSTILE
    assert b"<img" not in ask(app, f"/{TOKEN}/sheets/circuit-P1.1.svg")[2]


def test_a_change_of_the_text_is_told(tmp_path: Path) -> None:
    file, desk = tmp_path / "plant.netdsl", Desk()
    file.write_text(PLANT, encoding="utf-8")

    async def following() -> list[str]:
        follower = Following(desk, file, lambda: read(file))
        follower.first()
        told = []
        with anyio.fail_after(60):
            async with anyio.create_task_group() as tasks:
                tasks.start_soon(follower.forever)
                async for event in follower.numbers():
                    told.append(event)
                    if len(told) == 1:
                        file.write_text(PLANT.replace("Pump one", "Pump 1"), encoding="utf-8")
                    else:
                        follower.end()
                tasks.cancel_scope.cancel()
        return told

    assert anyio.run(following) == ["data: 1\n\n", "data: 2\n\n"]
    assert desk.state.shown.things["=P1"].title == "Pump 1"


def test_pages_are_written_whole_and_only_over_their_own(tmp_path: Path) -> None:
    file, pages = tmp_path / "plant.netdsl", tmp_path / "pages"
    file.write_text(PLANT.replace("Two lamps", HOSTILE), encoding="utf-8")
    desk = Desk()
    start = export(desk.take(read(file)), pages)
    html = start.read_text("utf-8")
    assert 'http-equiv="Content-Security-Policy" content="default-src' in html
    assert "<img src=x" not in html
    assert str(tmp_path) not in "".join(each.read_text("utf-8") for each in pages.glob("*.js"))
    state = (pages / "state.js").read_text("utf-8")
    assert state.startswith('netdsl.take("state", {') and state.endswith("});\n")
    assert (pages / "circuit-P2.1.svg").is_file()
    # of a plant that has less, nothing is left of what was more
    file.write_text(PLANT[: PLANT.index("function =P2")], encoding="utf-8")
    export(desk.take(read(file)), pages)
    assert not (pages / "circuit-P2.1.svg").exists() and not (pages / "hits-circuit-P2.1.js").exists()
    start.write_text("a page of somebody", encoding="utf-8")
    with pytest.raises(Foreign):
        export(desk.state, pages)
    assert start.read_text("utf-8") == "a page of somebody"
