"""The parser: tokens to Tree by lark's LALR parser; `recovery.py` takes over where a token does not fit."""

from __future__ import annotations

from typing import TYPE_CHECKING

from netdsl.collector import collector_paused
from netdsl.findings import Finding, Source, arranged
from netdsl.syntax.balance import balanced
from netdsl.syntax.lexer import tokens_of
from netdsl.syntax.measure import shortened
from netdsl.syntax.nodes import Nodes
from netdsl.syntax.reports import Reports
from netdsl.syntax.tree import Tree
from netdsl.syntax.units import joined

if TYPE_CHECKING:
    from netdsl.syntax.interactive import Interactive
    from netdsl.syntax.recovery import Recovery


def parse(source: Source, start: int = 0, end: int | None = None) -> tuple[Tree, tuple[Finding, ...]]:
    """The tree of `source`, or of its lines from `start` to `end` alone (code points), and what is wrong with its writing; never
    raises, takes time linear in the text that is read."""
    from netdsl.syntax.interactive import Interactive  # loads lark, which commands that read no text do not wait for
    from netdsl.syntax.recovery import Recovery

    with collector_paused():
        reports = Reports(source)
        text = shortened(source, start, end, reports.report)
        tokens = balanced(source, joined(source, tokens_of(text, start, end), reports.report), reports.report)
        parser = Interactive(tokens, Nodes(source, reports.unreadable_term))
        tree = _read(source, parser, Recovery(parser, reports))
        parser.close()
    return tree, arranged(reports.findings)


def _read(source: Source, parser: Interactive, recovery: Recovery) -> Tree:
    """lark parses up to a token that does not fit, recovery mends there, lark goes on."""
    while True:
        tree = parser.run()
        if isinstance(tree, Tree):
            return tree
        parser.position = recovery.recover(parser.position)
        if parser.position >= len(parser.tokens):
            return Tree(source, tuple(parser.statements))
