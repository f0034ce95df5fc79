"""What is said about the writing of one text: not without end, and once about a line that is being mended."""

from __future__ import annotations

from netdsl.findings import Finding, Related, Severity, Source, Span
from netdsl.syntax.lexer import Token
from netdsl.syntax.terms import TermError

#: a reader mends the first few and looks again; what follows them is often their echo
MAX_FINDINGS = 50


class Reports:
    """The findings of one text so far, and up to where its lines have theirs."""

    def __init__(self, source: Source) -> None:
        self.source = source
        self.findings: list[Finding] = []
        self.line_end = -1  # offset: where the line being mended ends
        self._silent_to = -1  # offset: nothing more is said up to here
        self._unclosed: set[int] = set()  # offsets where unclosed strings begin

    def report(self, rule: str, message: str, remedy: str, span: Span, related: tuple[Related, ...] = ()) -> None:
        """Add a finding; beyond the limit they are dropped."""
        if rule == "unclosed-string":
            self._unclosed.add(span.start)
        if len(self.findings) < MAX_FINDINGS:
            self.findings.append(Finding(rule, Severity.ERROR, message, remedy, span, related=related))

    def begin_line(self, line: list[Token], end: int) -> None:
        """From here on `line`, which ends at `end`, is mended; an unclosed string in it is what is wrong with all of it."""
        self.line_end = end
        if self._unclosed and any(token.type == "STRING" and token.start_pos in self._unclosed for token in line):
            self._silent_to = max(self._silent_to, end)

    def say(self, rule: str, message: str, remedy: str, token: Token, end: int | None = None) -> None:
        """Report at `token`, or from it to `end`, unless its line has its finding already."""
        if token.start_pos > self._silent_to:
            self.report(rule, message, remedy, Span(self.source, token.start_pos, token.end_pos if end is None else end))
        self._silent_to = max(self._silent_to, self.line_end)

    def unreadable_term(self, error: TermError) -> None:
        """Report what stands in the parentheses of a computed terminal."""
        span = Span(self.source, error.start, max(error.end, error.start))
        remedy = "write `($first+1)` with whole numbers and parameters, or `(digital-in 2)` for a role"
        self.report("syntax", f"`{span.text.strip() or '()'}` cannot be read as a computed terminal", remedy, span)
