"""What `interactive.py` uses of lark beyond its documentation still works in the version to which lark is pinned."""

from __future__ import annotations

import tomllib
from collections.abc import Callable, Iterator
from functools import cache
from pathlib import Path
from typing import Any

import lark
import pytest
from lark.grammar import Rule
from msgspec.structs import replace

from netdsl.findings import Source
from netdsl.syntax import parse, tree
from netdsl.syntax.grammar import GRAMMAR_PATH, analysed, grammar, keywords
from netdsl.syntax.interactive import BAD, Interactive
from netdsl.syntax.lexer import Token, tokens_of
from netdsl.syntax.nodes import Nodes
from tests.cases import each_of

EXAMPLE = Path(__file__).with_name("cases").joinpath("example.in.netdsl").read_text(encoding="utf-8")
PROJECT = Path(__file__).parents[2] / "pyproject.toml"


def interactive(text: str) -> Interactive:
    return Interactive(tokens_of(text), Nodes(Source("a", text), lambda error: pytest.fail(str(error))))


def read(parser: Interactive) -> Iterator[Token]:
    """Read token by token what fits, yielding each before it is read."""
    for token in parser.tokens[:-1]:
        yield token
        kind = parser.kind(token)
        assert kind is not None and parser.push(token, kind)


def test_lark_is_pinned_to_the_version_tested_here() -> None:
    needs = tomllib.loads(PROJECT.read_text("utf-8"))["project"]["dependencies"]
    assert f"lark=={lark.__version__}" in needs


@cache
def untouched() -> lark.Lark:
    """The grammar as lark alone makes it."""
    return analysed(GRAMMAR_PATH.read_text("utf-8"))


@pytest.mark.parametrize("made", [grammar, untouched], ids=["loaded", "analysed"])
def test_the_rules_of_a_grammar_are_the_very_ones_of_its_tables(made: Callable[[], lark.Lark]) -> None:
    found: Any = made()
    states = found.parser.parser.parser.parse_table.states
    reduced = {id(what) for actions in states.values() for _, what in actions.values() if isinstance(what, Rule)}
    assert reduced == {id(rule) for rule in found.rules}


def test_one_kind_is_accepted_where_it_is_possible() -> None:
    parser = interactive(EXAMPLE)
    kinds = {
        *keywords(),
        "WORD",
        "KEY",
        "STRING",
        "REF",
        "TERMS",
        "PARAM",
        "COMPUTED",
        "NEWLINE",
        "LBRACE",
        "RBRACE",
        "COMMA",
        "$END",
    }
    counts = []
    for _ in read(parser):
        possible = parser.possible()
        assert {kind for kind in kinds if parser.accepts(kind)} == possible - {"LPAR", "RPAR"}
        counts.append(len(possible))
    assert max(counts) > 30 and min(counts) < 3


def test_the_possible_kinds_are_those_that_lark_accepts() -> None:
    parser, lark_alone, terminals = interactive(EXAMPLE), untouched().parse_interactive([]), keywords()
    for token in read(parser):
        assert {terminals.get(kind, kind) for kind in parser.possible()} == lark_alone.accepts() - {BAD}
        kind = parser.kind(token)
        assert kind is not None
        lark_alone.feed_token(replace(token, type=terminals.get(kind, kind)))


def test_asking_changes_nothing() -> None:
    source = Source("a", EXAMPLE)
    parser = Interactive(tokens_of(EXAMPLE), Nodes(source, lambda error: pytest.fail(str(error))))
    for _ in read(parser):
        parser.possible()
        parser.line_kinds()
        if parser.last is not None:
            parser.accepts_instead("WORD")
    parser.settle()
    assert tuple(parser.statements) == parse(source)[0].statements


def test_lark_goes_on_from_where_it_was_left() -> None:
    text = "device -T1 x\ndevice ; -T2 x\ndevice -T3 x\n"
    parser = interactive(text)
    assert parser.run() is None
    assert parser.tokens[parser.position].value == ";"
    parser.position += 1
    whole = parser.run()
    assert isinstance(whole, tree.Tree)
    assert [one.name.text for one in whole.statements] == ["-T1", "-T2", "-T3"]  # type: ignore[union-attr]


def test_a_token_taken_back_was_never_read() -> None:
    parser = interactive(EXAMPLE)
    for token in read(parser):
        before = parser.possible()
        parser.settle()
        assert parser.possible() == before
        kind = parser.kind(token)
        assert kind is not None and parser.push(token, kind)
        parser.take_back()
        assert kind in parser.possible()


@each_of("inside", ["", "function =A {\n", "cable -W1 4G10 {\n", "part x {\n", "strip -X1 {\n", 'project "x" {\n'])
def test_a_line_given_up_leaves_the_lines_around_it(inside: str) -> None:
    line = {"": "device -T1 x", "f": "device -T1 x", "c": "BN -A1:1 to -B1:1", "p": "kind = drive", "s": ":1 2.5mm2"}
    good = "terminal :1 line-in" if inside.startswith("part") else 'revision A 1 "x"' if "project" in inside else line[inside[:1]]
    text = f"{inside}{good}\n{good}\n{good}\n" + ("}\n" if inside else "")
    count = len(tokens_of(good)) - 2
    head = len(tokens_of(inside)) - 1 if inside else 0
    for read_of_it in range(1, count + 1):
        parser = interactive(text)
        second = head + count + 1
        for token in parser.tokens[: second + read_of_it]:
            assert parser.push(token, parser.kind(token) or "")
        assert not parser.at_line()
        parser.give_up(7, 9)
        parser.position = second + count + 1
        whole = parser.run()
        assert isinstance(whole, tree.Tree), read_of_it
        (block, *_) = whole.statements
        lines = whole.statements if not inside else _lines(block)
        assert len(lines) == (3 if inside[:1] in ("", "f") else 2)  # of a function or text a Bad tells, of other bodies findings
        assert [(one.span.start, one.span.end) for one in lines if isinstance(one, tree.Bad)] == [(7, 9)] * (len(lines) == 3)


def _lines(block: object) -> tuple[tree.Statement, ...]:
    names = ("body", "cores", "lines", "rows", "revisions")
    return next(getattr(block, name) for name in names if hasattr(block, name))
