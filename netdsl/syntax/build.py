"""Refreshes the stored parse table: `python -m netdsl.syntax.build`.

lark turns `grammar.lark` into LALR tables, which takes half a second; what is stored is only the tables, renumbered
so that the file is the same whatever the hash seed, and read without lark (see `table.py`).
"""

from __future__ import annotations

import json
import zlib
from collections import deque
from pathlib import Path
from typing import Any

from netdsl.syntax.table import TABLE_PATH

GRAMMAR_PATH = Path(__file__).with_name("grammar.lark")


def table_bytes(grammar: str) -> bytes:
    """The stored form of the LALR table of `grammar`: JSON, compressed."""
    from lark import Lark
    from lark.lexer import Lexer

    class _None(Lexer):
        """Tokens come from our own lexer; lark only analyses."""

        def __init__(self, conf: Any) -> None:
            pass

        def lex(self, lexer_state: Any, parser_state: Any) -> Any:
            raise NotImplementedError

    machine: Any = Lark(grammar, parser="lalr", lexer=_None, maybe_placeholders=False, keep_all_tokens=True)
    names = {terminal.name: terminal.pattern.value for terminal in machine.terminals if terminal.pattern is not None}
    return zlib.compress(json.dumps(_plain(machine.parser.parser._parse_table, names), separators=(",", ":")).encode(), 9)


def _plain(table: Any, names: dict[str, str]) -> dict[str, Any]:
    """`table` with states numbered in breadth-first order of sorted symbols and rules in the order of their text."""

    def shown(symbol: Any) -> str:
        return str(names.get(symbol, symbol))

    rules: dict[tuple[str, str, int], Any] = {}
    for actions in table.states.values():
        for action, argument in actions.values():
            if str(action) == "Reduce":
                rules[_rule_key(argument)] = argument
    numbers = {key: number for number, key in enumerate(sorted(rules))}
    start = table.start_states["start"]
    order = {start: 0}
    queue = deque([start])
    states: list[list[dict[str, int]]] = []
    while queue:
        shifts: dict[str, int] = {}
        gotos: dict[str, int] = {}
        for symbol, (action, argument) in sorted(table.states[queue.popleft()].items()):
            if str(action) == "Reduce":
                shifts[shown(symbol)] = -1 - numbers[_rule_key(argument)]
                continue
            if argument not in order:
                order[argument] = len(order)
                queue.append(argument)
            (gotos if symbol.islower() else shifts)[shown(symbol)] = order[argument]
        states.append([dict(sorted(shifts.items())), gotos])
    return {
        "end": order[table.end_states["start"]],
        "keywords": sorted(names.values()),
        "rules": [[origin, length, callback] for origin, callback, length in _listed(rules)],
        "states": states,
    }


def _rule_key(rule: Any) -> tuple[str, str, int]:
    expansion = " ".join(str(symbol.name) for symbol in rule.expansion)
    return (str(rule.origin.name), f"{expansion}>{rule.alias}", len(rule.expansion))


def _listed(rules: dict[tuple[str, str, int], Any]) -> list[tuple[str, str, int]]:
    return [(key[0], str(rules[key].alias or key[0]), key[2]) for key in sorted(rules)]


def main() -> None:
    """Write the table beside the grammar."""
    TABLE_PATH.write_bytes(table_bytes(GRAMMAR_PATH.read_text(encoding="utf-8")))


if __name__ == "__main__":
    main()
