"""The stored tables are those of the grammar, and a text is read whatever became of their file."""

from __future__ import annotations

from collections import deque
from collections.abc import Iterator
from functools import cache
from pathlib import Path

import lark
import pytest
from lark.parsers.lalr_analysis import Shift

from netdsl.findings import Source
from netdsl.syntax import grammar as room
from netdsl.syntax import parse
from netdsl.syntax.lexer import tokens_of
from netdsl.syntax.nodes import Nodes

TEXT = room.GRAMMAR_PATH.read_text(encoding="utf-8")
STORED = room.TABLES_PATH.read_bytes()


@cache
def fresh() -> lark.Lark:
    """The grammar as it is analysed."""
    return room.analysed(TEXT)


def content(tables: lark.Lark) -> dict[str, dict[str, str]]:
    """The actions of every state, each state called by the symbols that lead there first: lark numbers them by chance."""
    conf = tables.parse_interactive().parser_state.parse_conf
    names = {conf.start_state: ""}
    queue = deque([conf.start_state])
    result = {}
    while queue:
        state = queue.popleft()
        for symbol, (action, target) in sorted(conf.states[state].items()):
            if action is Shift and target not in names:
                names[target] = f"{names[state]} {symbol}"
                queue.append(target)
        result[names[state]] = {
            symbol: names[target] if action is Shift else f"{target} -> {target.alias}"
            for symbol, (action, target) in conf.states[state].items()
        }
    return result


def test_stored_tables_are_those_of_the_grammar() -> None:
    stored, made = content(room.loaded(STORED, TEXT)), content(fresh())
    assert len(made) > 200
    assert stored == made, "run python -m netdsl.syntax.build"


@pytest.fixture
def forgotten() -> Iterator[None]:
    """What was loaded is forgotten before and after."""
    room.grammar.cache_clear()
    room.keywords.cache_clear()
    yield
    room.grammar.cache_clear()
    room.keywords.cache_clear()


SPOILT = {
    "missing": None,
    "empty": b"",
    "cut": STORED[: len(STORED) // 2],
    "one bit": STORED[:-3000] + bytes([STORED[-3000] ^ 1]) + STORED[-2999:],
    "another lark": STORED.replace(b"lark ", b"lark 0.", 1),
    "another grammar": room.stored('start: "device" -> tree\n'),
    "no pickle": b"\x00" * 400,
}


@pytest.mark.usefixtures("forgotten")
@pytest.mark.parametrize("data", SPOILT.values(), ids=SPOILT.keys())
def test_tables_that_do_not_serve_are_made_anew(data: bytes | None, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    file = tmp_path / "grammar.bin"
    if data is not None:
        file.write_bytes(data)
        with pytest.raises(ValueError):
            room.loaded(data, TEXT)
    analysed, asked = fresh(), list[str]()
    monkeypatch.setattr(room, "analysed", lambda text: asked.append(text) or analysed)
    monkeypatch.setattr(room, "TABLES_PATH", file)
    tree, findings = parse(Source("a", "device -T1 x\n"))
    assert len(tree.statements) == 1 and findings == ()
    assert asked == [TEXT]


@pytest.mark.usefixtures("forgotten")
def test_tables_that_fit_are_not_made_anew(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(room, "analysed", lambda _text: pytest.fail("analysed"))
    assert parse(Source("a", "device -T1 x\n"))[1] == ()


def test_each_alternative_has_its_method_and_each_method_its_alternative() -> None:
    aliases = {rule.alias for rule in room.grammar().rules}
    assert aliases == {name for name, value in vars(Nodes).items() if callable(value) and not name.startswith("_")}


def test_keywords_are_words_to_the_lexer() -> None:
    assert len(room.keywords()) > 40
    for keyword in room.keywords():
        assert [token.type for token in tokens_of(keyword)] == ["WORD", "NEWLINE", "$END"]
