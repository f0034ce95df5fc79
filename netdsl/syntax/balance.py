"""Braces: finds the missing and the stray ones before parsing, so that the parser sees every block closed.

A well balanced text passes untouched. Otherwise indentation and keywords tell where a brace was forgotten: a statement
that cannot stand inside the open block closes it, and so does one that stands no deeper than the line that opened it.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator

from msgspec import Struct

from netdsl.findings import Related, Source, Span
from netdsl.syntax.lexer import Token, line_end
from netdsl.syntax.words import BLOCKS, STATEMENTS, USAGE

MAX_DEPTH = 100
Report = Callable[..., None]


class _Block(Struct):
    """An open block: its keyword, the indentation of its opening line and of its first line, the span of its head."""

    keyword: str
    indent: int
    inner: int | None
    head: Span


def balanced(source: Source, tokens: list[Token], report: Report) -> list[Token]:
    """`tokens` with unclosed strings closed and every block closed; what had to be done is reported."""
    kinds = [token.type for token in tokens]
    depth = deepest = lowest = 0
    for brace in [kind for kind in kinds if kind == "LBRACE" or kind == "RBRACE"]:
        depth += 1 if brace == "LBRACE" else -1
        deepest, lowest = max(deepest, depth), min(lowest, depth)
    if "OPENSTRING" in kinds:
        tokens = [_closed(source, token, report) for token in tokens]
    if depth == 0 and lowest == 0 and deepest <= MAX_DEPTH:
        return tokens
    return _Balancer(source, tokens, report, missing=depth).run()


def _closed(source: Source, token: Token, report: Report) -> Token:
    if token.type != "OPENSTRING":
        return token
    span = token.span(source)
    report("unclosed-string", "the text that begins here is not closed on its line", 'put `"` where the text ends', span)
    return Token("STRING", token.value + '"', token.start_pos, token.end_pos)


def _lines(tokens: list[Token]) -> Iterator[list[Token]]:
    """The tokens of each line without its NEWLINE: every line has one, and says something."""
    line: list[Token] = []
    for token in tokens:
        if token.type == "NEWLINE":
            yield line
            line = []
        else:
            line.append(token)


class _Balancer:
    """Goes through the lines with the stack of open blocks. `missing`: more `{` than `}`; negative the other way."""

    def __init__(self, source: Source, tokens: list[Token], report: Report, missing: int) -> None:
        self.source = source
        self.lines = list(_lines(tokens))
        self.end = tokens[-1]
        self.report = report
        self.missing = missing
        self.stack: list[_Block] = []
        self.out: list[Token] = []
        self.last = 0

    def run(self) -> list[Token]:
        """The balanced tokens."""
        skipped = -1
        for number, line in enumerate(self.lines):
            if self.missing < 0 and number > skipped:
                skipped = self._orphans(number)
            if number <= skipped:
                continue
            following = self._indent(self.lines[number + 1][0]) if number + 1 < len(self.lines) else -1
            if not self._line(line, following):
                break
        else:
            while self.stack:
                place = Span(self.source, self.last, self.last)
                self._unclosed(place, "the end of the file", "after the last line of the block")
        for _ in self.stack:
            self._close()
        self.out.append(self.end)
        return self.out

    def _line(self, line: list[Token], following: int) -> bool:
        """One line onto the output; False where the blocks get too deep to go on."""
        first = line[0]
        indent = self._indent(first)
        if first.type == "RBRACE":
            if not self._closing(first, indent):
                line = line[1:]
        else:
            self._open_ends(first, indent)
        line = self._opening(line, indent, following)
        mark = len(self.out)
        for token in line:
            if token.type == "LBRACE":
                self.stack.append(_Block(_keyword(line[0]), indent, None, self._head(line)))
                if len(self.stack) > MAX_DEPTH:
                    self.stack.pop()
                    del self.out[mark:]
                    self._too_deep(token)
                    return False
            elif token.type == "RBRACE" and token is not first:
                if not self.stack or (self.missing < 0 and first.type == "RBRACE"):
                    self._stray(token)
                    continue
                self.stack.pop()
            self.out.append(token)
        if line:
            self.last = line[-1].end_pos
            self.out.append(line_end(self.last))
        return True

    def _orphans(self, number: int) -> int:
        """Where lines of a body stand without the line that opens their block: the number of its `}`, else -1.

        They are reported once and left out.
        """
        first = self.lines[number][0]
        if self.stack and self.stack[-1].keyword not in ("function", "scheme"):
            return -1
        if not (first.type in ("TERMS", "KEY") or (first.type == "WORD" and first.value not in STATEMENTS)):
            return -1
        indent = self._indent(first)
        for after in range(number + 1, min(number + MAX_DEPTH, len(self.lines))):
            line = self.lines[after]
            depth = self._indent(line[0])
            if line[0].type == "RBRACE" and depth < indent and depth > (self.stack[-1].indent if self.stack else -1):
                self.missing += 1
                message = "lines of a block stand here without the line that opens it"
                self.report("syntax", message, f"put it before them, for instance `{USAGE['cable']}`", self._head([first]))
                return after
            if depth != indent or (line[0].type == "WORD" and line[0].value in STATEMENTS) or line[-1].type == "LBRACE":
                return -1
        return -1

    # --- a closing brace ------------------------------------------------------------------------------------------
    def _closing(self, brace: Token, indent: int) -> bool:
        """Deal with a `}` at the start of a line; False where it is dropped."""
        stack = self.stack
        astray = self.missing < 0 and bool(stack) and indent != stack[-1].indent
        if not stack or astray:
            self._stray(brace)
            return False
        if any(block.indent == indent for block in stack):
            while self.missing > 0 and stack[-1].indent > indent:
                self._unclosed(brace.span(self.source), "this `}`", "before this line")
        stack.pop()
        return True

    def _stray(self, brace: Token) -> None:
        self.missing += 1
        span = brace.span(self.source)
        self.report("stray-brace", "`}` closes no open block", "delete it, or give the block it should close its `{`", span)

    # --- a block left open ----------------------------------------------------------------------------------------
    def _open_ends(self, first: Token, indent: int) -> None:
        """Close what the statement that begins with `first` cannot stand in."""
        word = first.value if first.type == "WORD" else ""
        while self.missing > 0 and self.stack and self._ends(self.stack[-1], word, indent):
            self._unclosed(first.span(self.source), f"`{word}`", "before this line")
        if self.stack and self.stack[-1].inner is None:
            self.stack[-1].inner = indent

    def _ends(self, block: _Block, word: str, indent: int) -> bool:
        if word not in STATEMENTS:
            return False
        if block.keyword not in ("function", "scheme"):
            return block.keyword in BLOCKS
        return word in ("project", "netdsl") or (
            indent <= block.indent and block.inner is not None and block.inner > block.indent
        )

    def _unclosed(self, span: Span, what: str, where: str) -> None:
        block = self.stack.pop()
        self.missing -= 1
        related = (Related("opened here", block.head),)
        name = " ".join(block.head.text.split()[:2])
        self.report(
            "unclosed-block", f"`{name}` is not closed before {what}", f"put `}}` on a line of its own {where}", span, related
        )
        self._close()

    def _close(self) -> None:
        self.out.append(Token("RBRACE", "", self.last, self.last))
        self.out.append(line_end(self.last))

    # --- an opening brace -----------------------------------------------------------------------------------------
    def _opening(self, line: list[Token], indent: int, following: int) -> list[Token]:
        """`line` with the `{` that its block lacks, or without one that opens nothing."""
        if not line:
            return line
        word = _keyword(line[0])
        last = line[-1]
        doubled = len(line) > 1 and line[-2].type == "LBRACE"
        if last.type == "LBRACE" and self.missing > 0 and doubled:
            self.missing -= 1
            self.report("stray-brace", "`{` stands twice", "delete one", last.span(self.source))
            return line[:-1]
        if (
            last.type == "LBRACE"
            and self.missing > 0
            and following <= indent
            and (len(line) == 1 or word in STATEMENTS - set(BLOCKS))
        ):
            self.missing -= 1
            self.report("stray-brace", "`{` opens no block here", "delete it", last.span(self.source))
            return line[:-1]
        if self.missing < 0 and word in BLOCKS and last.type != "LBRACE" and following > indent:
            self.missing += 1
            span = Span(self.source, last.end_pos, last.end_pos)
            self.report(
                "syntax", f"`{{` is missing at the end of the line that begins with `{word}`", "end the line with ` {`", span
            )
            return [*line, Token("LBRACE", "{", last.end_pos, last.end_pos)]
        return line

    def _too_deep(self, brace: Token) -> None:
        span = brace.span(self.source)
        message = f"blocks stand more than {MAX_DEPTH} deep; what follows is not read"
        self.report("syntax", message, "nest fewer functions", span)

    # --- places ---------------------------------------------------------------------------------------------------
    def _indent(self, token: Token) -> int:
        """Characters in front of `token` on its line."""
        return self.source.place(token.start_pos)[1] - 1

    def _head(self, line: list[Token]) -> Span:
        end = line[1].end_pos if len(line) > 1 and line[1].type != "LBRACE" else line[0].end_pos
        return Span(self.source, line[0].start_pos, end)


def _keyword(token: Token) -> str:
    return token.value if token.type == "WORD" else ""
