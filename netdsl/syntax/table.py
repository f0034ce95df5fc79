"""The stored LALR table: loaded once, numbers for every terminal and rule."""

from __future__ import annotations

import json
import zlib
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path

TABLE_PATH = Path(__file__).with_name("grammar.bin")


@dataclass(frozen=True, slots=True)
class Table:
    """`actions[state][terminal]`: the state to go to, or -1-rule to reduce by; `gotos[state][nonterminal]`: a state.

    Terminals are named by their token kind or, for a keyword, by the keyword in its own writing.
    `rules[number]`: nonterminal, length and the name of the method that builds the value.
    """

    actions: tuple[dict[str, int], ...]
    gotos: tuple[dict[str, int], ...]
    rules: tuple[tuple[str, int, str], ...]
    keywords: frozenset[str]
    end: int


@lru_cache(maxsize=1)
def load_table() -> Table:
    """The table as stored beside this module."""
    plain = json.loads(zlib.decompress(TABLE_PATH.read_bytes()))
    return Table(
        actions=tuple(state[0] for state in plain["states"]),
        gotos=tuple(state[1] for state in plain["states"]),
        rules=tuple((rule[0], rule[1], rule[2]) for rule in plain["rules"]),
        keywords=frozenset(plain["keywords"]),
        end=plain["end"],
    )
