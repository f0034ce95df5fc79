"""Texts that chance makes: statements after the grammar, with the words of the examples; statements of the examples, small
plants, lists of motors and of signals, damaged."""

from __future__ import annotations

import random
from collections import defaultdict
from collections.abc import Iterator
from functools import cache
from pathlib import Path
from typing import NamedTuple

from netdsl.findings import Source
from netdsl.syntax import parse
from netdsl.syntax.grammar import GRAMMAR_PATH, analysed
from netdsl.syntax.lexer import tokens_of
from tests.fuzz.damage import DAMAGE, ODD, damaged_figures

EXAMPLES = Path(__file__).parents[2] / "examples"
LIBRARY = Path(__file__).parents[2] / "netdsl" / "library"
HEAD = 'netdsl 1\n\nproject "P" {\n  number = "P-1"\n}\n'
#: reductions after which a statement takes the shortest way to its end
_LONG = 30
#: characters of a short statement
_SHORT = 240
_BLANKLESS = frozenset("COMMA RPAR NEWLINE TERMS".split())


class Words(NamedTuple):
    """The words of the examples by kind of token, their statements, of which the short ones cost little, and small plants."""

    by_kind: dict[str, list[str]]
    short: list[str]
    statements: list[str]
    plants: list[str]


@cache
def words() -> Words:
    """Gathered once from examples, fault plants and library."""
    kinds: dict[str, set[str]] = defaultdict(set)
    statements: set[str] = set()
    plants = []
    for file in sorted([*EXAMPLES.rglob("*.netdsl"), *LIBRARY.glob("*.netdsl")]):
        text = file.read_text("utf-8", "replace")
        for token in tokens_of(text):
            if token.value:
                kinds[token.type].add(token.value)
        source = Source(file.name, text)
        for statement in parse(source)[0].statements:
            if statement.span.end - statement.span.start < 1500:
                statements.add(statement.span.text + "\n")
        if file.name == "plant.netdsl" and len(text) < 4000:
            plants.append(text)
    short = [each for each in sorted(statements) if len(each) < _SHORT]
    return Words({kind: sorted(kinds[kind]) for kind in sorted(kinds)}, short, sorted(statements), plants)


@cache
def _rules() -> tuple[dict[str, list[list[str]]], dict[str, str], dict[str, int]]:
    """What each name of the grammar may be, the keywords, and how deep each name is at least."""
    grammar = analysed(GRAMMAR_PATH.read_text("utf-8"))
    ways: dict[str, list[list[str]]] = defaultdict(list)
    for rule in grammar.rules:
        ways[str(rule.origin.name)].append([str(part.name) for part in rule.expansion])
    keywords = {str(terminal.name): str(terminal.pattern.value) for terminal in grammar.terminals if terminal.pattern}
    depth = dict.fromkeys(ways, 1000)
    for _ in range(len(ways)):
        for name, its in ways.items():
            depth[name] = min(depth[name], *(1 + max((depth.get(part, 0) for part in way), default=0) for way in its))
    return dict(ways), keywords, depth


def statement(chance: random.Random) -> str:
    """One statement after the grammar, of words of the examples; every twentieth word is one that nobody would write."""
    ways, keywords, depth = _rules()
    result: list[str] = []
    stack = ["statement"]
    steps = 0
    while stack:
        name = stack.pop()
        if name in ways:
            steps += 1
            its = [way for way in ways[name] if "BAD" not in way]
            if steps > _LONG:
                its = [min(its, key=lambda way: max((depth.get(part, 0) for part in way), default=0))]
            stack += reversed(chance.choice(its))
        else:
            result.append(_token(name, keywords, chance))
    return "".join(result)


def _token(name: str, keywords: dict[str, str], chance: random.Random) -> str:
    """A token of a kind, with the blank before it."""
    if name == "NEWLINE":
        return "\n"
    blank = "" if name in _BLANKLESS and chance.random() < 0.9 else " "
    fixed = {"LBRACE": "{", "RBRACE": "}", "LPAR": "(", "RPAR": ")", "COMMA": ","}
    if name in keywords or name in fixed:
        return blank + (keywords.get(name) or fixed[name])
    if chance.random() < 0.05:
        return blank + chance.choice(ODD)
    return blank + chance.choice(words().by_kind.get(name, ["x"]))


def small_text(chance: random.Random) -> bytes:
    """One to three statements, made after the grammar or taken from the examples, as they are or damaged."""
    parts = [HEAD] if chance.random() < 0.7 else []
    for _ in range(chance.choice((1, 1, 2, 3))):
        taken = words().short if chance.random() < 0.95 else words().statements
        parts.append(statement(chance) if chance.random() < 0.5 else chance.choice(taken))
    data = "".join(parts).encode("utf-8", "surrogatepass")
    return damaged(data, chance) if chance.random() < 0.6 else data


def plant_text(chance: random.Random) -> bytes:
    """A small plant of the examples, damaged, or with a statement more."""
    text = chance.choice(words().plants)
    if chance.random() < 0.2:
        return (text + statement(chance)).encode("utf-8", "surrogatepass")
    return damaged(text.encode(), chance)


def damaged(data: bytes, chance: random.Random) -> bytes:
    """Damaged in one way, more often in its figures, which leave most of it readable."""
    way = chance.choice((*DAMAGE, damaged_figures, damaged_figures))
    try:
        return way(data, chance)
    except UnicodeDecodeError:
        return data


def list_text(chance: random.Random) -> tuple[bytes, bytes]:
    """A list of motors and one of signals, each as shipped or damaged."""
    motors, signals = ((EXAMPLES / name).read_bytes() for name in ("motors.csv", "signals.csv"))
    return damaged(motors, chance), damaged(signals, chance) if chance.random() < 0.5 else signals


def designations(text: str) -> Iterator[str]:
    """Words of a text that name something."""
    for token in tokens_of(text):
        if token.type in ("REF", "WORD"):
            yield token.value
