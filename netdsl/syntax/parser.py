"""The parser: drives the stored LALR table over the tokens; `recovery.py` takes over where a token does not fit."""

from __future__ import annotations

from netdsl.collector import collector_paused
from netdsl.findings import Finding, Source, arranged
from netdsl.syntax.balance import balanced
from netdsl.syntax.lexer import tokens_of
from netdsl.syntax.recovery import Recovery
from netdsl.syntax.table import load_table
from netdsl.syntax.tree import Tree
from netdsl.syntax.units import joined


def parse(source: Source) -> tuple[Tree, tuple[Finding, ...]]:
    """The tree of `source` and what is wrong with its writing; never raises, takes time linear in the text."""
    with collector_paused():
        machine = Recovery(source, load_table())
        machine.tokens = balanced(source, joined(source, tokens_of(source.text), machine.report), machine.report)
        tree = _run(machine)
    return tree, arranged(machine.findings)


def _run(machine: Recovery) -> Tree:
    """Shift and reduce to the end. Written flat: this loop runs once for every token and every reduction."""
    table = machine.table
    actions, gotos, keywords, accepting = table.actions, table.gotos, table.keywords, table.end
    rules = [(origin, length, getattr(machine.nodes, callback)) for origin, length, callback in table.rules]
    machine.rules = rules
    tokens, states, values = machine.tokens, machine.states, machine.values
    position = 0
    while True:
        token = tokens[position]
        kind = token[0]
        acts = actions[states[-1]]
        if kind == "WORD" and token[1] in keywords and token[1] in acts:
            kind = token[1]
        while True:
            action = acts.get(kind)
            if action is None:
                if kind != token[0]:
                    kind = token[0]  # a keyword that cannot stand here is a plain word
                    continue
                position = machine.recover(position)
                break
            if action >= 0:
                states.append(action)
                values.append(token)
                position += 1
                break
            origin, length, callback = rules[-1 - action]
            if length:
                taken = values[-length:]
                del values[-length:], states[-length:]
                values.append(callback(taken))
            else:
                values.append([])
            state = gotos[states[-1]][origin]
            states.append(state)
            acts = actions[state]
        if states[-1] == accepting or position >= len(tokens):
            return machine.finish()
