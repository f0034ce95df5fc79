"""Whatever a client sends, the server goes on; `NETDSL_TYPED=100000` sends as much."""

from __future__ import annotations

import asyncio
import gc
import json
import os
import random
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

from lsprotocol import types
from talking import SMALL

from netdsl.serving import formatting, hints, names, outline, tokens
from netdsl.serving.completion import complete
from netdsl.serving.desk import Desk, Open
from netdsl.serving.diagnostics import by_text
from netdsl.serving.hover import hover

EDITS = int(os.environ.get("NETDSL_TYPED", "150"))
WORDS = (
    "\n",
    "}",
    "{",
    '"',
    " -Q1:",
    "wire ",
    " to ",
    "cable -W1 4G",
    "use ",
    "=",
    "$a",
    "\ud800",
    "\x00",
    "\r",
    "𝄞",
    "include ",
    "#",
    "",
)


def frame(message: object) -> bytes:
    body = message if isinstance(message, bytes) else json.dumps(message).encode()
    return b"Content-Length: %d\r\n\r\n" % len(body) + body


def questions(here: Open, a: types.Position, b: types.Position) -> tuple[Callable[[], object], ...]:
    """Everything that can be asked, at two places."""
    return (
        lambda: complete(here, a, True),
        lambda: hover(here, a),
        lambda: names.highlight(here, a),
        lambda: names.highlight(here, b),
        lambda: outline.symbols(here),
        lambda: outline.folding(here),
        lambda: tokens.semantic_tokens(here),
        lambda: hints.inlay_hints(here, types.Range(types.Position(0, 0), b)),
        lambda: hints.signature(here, a),
        lambda: formatting.format_edits(here, types.Range(a, b)),
    )


def test_edits_and_questions_of_any_kind_are_answered(tmp_path: Path) -> None:
    chance = random.Random(1)
    desk = Desk()
    uri = (tmp_path / "plant.netdsl").as_uri()
    here = desk.open(uri, SMALL)
    assert here is not None
    plant = here.plant
    plant.settle(plant.refresh().findings, plant.copies())
    for number in range(EDITS):
        a, b = (types.Position(chance.choice((0, 3, 9, 14, 10**6)), chance.choice((0, 2, 20, 10**6))) for _ in range(2))
        change = types.TextDocumentContentChangePartial(types.Range(a, b), chance.choice(WORDS))
        if chance.random() < 0.2:
            desk.change(uri, [types.TextDocumentContentChangeWholeDocument(SMALL)])
        assert desk.change(uri, [change]) is not None
        by_text(desk, plant, plant.findings("2026-01-01"))
        ask = questions(here, a, b)
        ask[number % len(ask)]()
        if number % 50 == 49:
            plant.settle(plant.refresh().findings, plant.copies())
        if number % 1000 == 999:  # the tests stop the collector, a server does not
            gc.collect()


def test_malformed_messages_do_not_end_the_server(tmp_path: Path) -> None:
    uri = (tmp_path / "plant.netdsl").as_uri()
    about = {"textDocument": {"uri": uri}, "position": {"line": -4, "character": 10**9}}
    sent = [
        {"jsonrpc": "2.0", "id": 1, "method": "initialize", "params": {"capabilities": {}, "processId": None, "rootUri": None}},
        {"jsonrpc": "2.0", "method": "initialized", "params": {}},
        b"{not json",
        {"jsonrpc": "2.0", "method": "textDocument/didOpen", "params": {"textDocument": 7}},
        {"jsonrpc": "2.0", "method": "textDocument/didChange", "params": about},
        {"jsonrpc": "2.0", "id": 2, "method": "no/such", "params": [1]},
        {"jsonrpc": "2.0", "id": 3, "method": "textDocument/hover", "params": about},
        {
            "jsonrpc": "2.0",
            "id": 4,
            "method": "workspace/executeCommand",
            "params": {"command": "netdsl.moveTerminals", "arguments": [1]},
        },
        {"jsonrpc": "2.0", "id": 9, "method": "shutdown"},
        {"jsonrpc": "2.0", "method": "exit"},
    ]
    done = subprocess.run(
        (sys.executable, "-m", "netdsl.cli", "serve"),
        input=b"".join(map(frame, sent)),
        capture_output=True,
        timeout=60,
        check=False,
    )
    assert done.returncode == 0, done.stderr[-2000:]
    assert b'"id":9' in done.stdout.replace(b" ", b"") and b'"result":null' in done.stdout.replace(b" ", b"")


def test_a_checker_that_ends_is_told_and_started_again() -> None:
    from netdsl.serving.checker import Checker
    from netdsl.serving.told import Asked

    async def ask() -> None:
        checker = Checker()
        asked = Asked("/nowhere/plant.netdsl", "2026-01-01", {"plant.netdsl": SMALL})
        first = await checker.judge(asked)
        assert any(each.rule == "earth-missing" for each in first)
        waiting = asyncio.create_task(checker.judge(asked))
        await asyncio.sleep(0)
        waiting.cancel()
        await asyncio.gather(waiting, return_exceptions=True)
        assert await checker.judge(asked) == first
        await checker.close()

    asyncio.run(ask())
