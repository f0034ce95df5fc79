"""The machine under the parser: stacks over the stored table, and the findings."""

from __future__ import annotations

from typing import Any

from netdsl.findings import Finding, Related, Severity, Source, Span
from netdsl.syntax.lexer import Token
from netdsl.syntax.nodes import Nodes
from netdsl.syntax.table import Table
from netdsl.syntax.terms import TermError

MAX_FINDINGS = 50


class Machine:
    """State of one parse: the stacks, the findings so far, and what can be asked of the table."""

    def __init__(self, source: Source, table: Table) -> None:
        self.source = source
        self.table = table
        self.tokens: list[Token] = []
        self.rules: list[Any] = []
        self.states = [0]
        self.values: list[Any] = []
        self.findings: list[Finding] = []
        self.nodes = Nodes(source, self._bad_term)
        self.silent_to = -1  # nothing more is said up to this offset: its line has its finding
        self.unclosed: set[int] = set()  # where unclosed strings begin: their line has its finding
        self.line_end = -1  # where the line being mended ends
        self.last_error = -1
        self.repeats = 0

    # --- speaking -------------------------------------------------------------------------------------------------
    def report(self, rule: str, message: str, remedy: str, span: Span, related: tuple[Related, ...] = ()) -> None:
        """Add a finding; beyond the limit they are dropped."""
        if rule == "unclosed-string":
            self.unclosed.add(span.start)
        if len(self.findings) < MAX_FINDINGS:
            self.findings.append(Finding(rule, Severity.ERROR, message, remedy, span, related=related))

    def _say(self, rule: str, message: str, remedy: str, token: Token, end: int | None = None) -> None:
        """Report at `token`, unless its line has been reported already."""
        if token[2] > self.silent_to:
            self.report(rule, message, remedy, Span(self.source, token[2], token[3] if end is None else end))
        self.silent_to = max(self.silent_to, self.line_end)

    def _bad_term(self, error: TermError) -> None:
        span = Span(self.source, error.start, max(error.end, error.start))
        remedy = "write `($first+1)` with whole numbers and parameters, or `(digital-in 2)` for a role"
        self.report("syntax", f"`{span.text.strip() or '()'}` cannot be read as a computed terminal", remedy, span)
        self.nodes.poison = error.start

    # --- the machine ------------------------------------------------------------------------------------------------
    def accepts(self, kind: str) -> bool:
        """Whether a token of `kind` could be shifted now, after the reductions it asks for."""
        actions, gotos = self.table.actions, self.table.gotos
        below = len(self.states)
        above: list[int] = []
        while True:
            state = above[-1] if above else self.states[below - 1]
            action = actions[state].get(kind)
            if action is None:
                return False
            if action >= 0:
                return True
            origin, length, _ = self.table.rules[-1 - action]
            while length:
                if above:
                    above.pop()
                else:
                    below -= 1
                length -= 1
            above.append(gotos[above[-1] if above else self.states[below - 1]][origin])

    def push(self, kind: str, token: Token) -> bool:
        """Shift `token` as `kind` with all reductions it asks for; False, and nothing done, where it cannot stand."""
        if not self.accepts(kind):
            return False
        while True:
            action = self.table.actions[self.states[-1]][kind]
            if action >= 0:
                self.states.append(action)
                self.values.append(token)
                return True
            self._reduce(action)

    def _settle(self) -> None:
        """Finish the line before: what stands complete on the stack is reduced, whatever comes."""
        while True:
            acts = self.table.actions[self.states[-1]]
            action = next(iter(acts.values()), 0)
            if action >= 0 or any(other != action for other in acts.values()):
                return
            self._reduce(action)

    def _reduce(self, action: int) -> None:
        origin, length, callback = self.rules[-1 - action]
        taken = self.values[len(self.values) - length :]
        del self.values[len(self.values) - length :], self.states[len(self.states) - length :]
        self.values.append(callback(taken))
        self.states.append(self.table.gotos[self.states[-1]][origin])

    def _kind(self, token: Token) -> str | None:
        """As what `token` can stand here: keyword, its own kind, or None."""
        if token[0] == "WORD" and token[1] in self.table.keywords and self.accepts(token[1]):
            return token[1]
        return token[0] if self.accepts(token[0]) else None

    def _possible(self) -> list[str]:
        return [kind for kind in self.table.actions[self.states[-1]] if self.accepts(kind)]
