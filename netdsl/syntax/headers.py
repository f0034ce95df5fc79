"""Headers of blocks that cannot be read: the block is built from what is there, so that its body is kept."""

from __future__ import annotations

from netdsl.findings import Source
from netdsl.syntax import words
from netdsl.syntax.interactive import Interactive
from netdsl.syntax.lexer import Token


class Headers:
    """Opens bodies behind faulty headers, or gives up on the statement with its body."""

    def __init__(self, parser: Interactive, source: Source) -> None:
        self.parser = parser
        self.tokens = parser.tokens
        self.source = source

    def open_body(self, position: int, start: int) -> int:
        """Go on at the `{` at `position`, behind a header from `start` that cannot be read; gives the position to go on from."""
        parser, tokens, first = self.parser, self.tokens, self.tokens[start]
        known = first.value in words.STATEMENTS
        if first.value in words.BLOCKS or not known:
            keyword = first.value if first.value in words.BLOCKS else self._sniff(first, position)
            parser.drop_line()
            if keyword and parser.accepts(keyword):
                self._read_header(keyword, start, position)
                if parser.accepts("LBRACE"):
                    return position
            self.give_up(start, position)
            return min(self._closing(position) + 2, len(tokens) - 1)
        self.skip_closing(position)
        if parser.accepts("NEWLINE") and not parser.at_line():
            return position + 1
        self.give_up(start, position)
        return position + 2 if tokens[position + 1].type == "NEWLINE" else position + 1

    def give_up(self, start: int, end: int) -> None:
        """Give up on the statement from `start` to before `end`: a `Bad` stands for it."""
        self.parser.give_up(self.tokens[start].start_pos, self.tokens[max(start, end - 1)].end_pos)

    def skip_closing(self, position: int) -> None:
        """Let the `}` that closes the `{` at `position` be passed over."""
        self.tokens[self._closing(position)] = Token("SKIP", "", 0, 0)

    def _closing(self, position: int) -> int:
        """Position of the `}` that closes the `{` at `position`: there is one, `balance.py` saw to that."""
        depth = 1
        while depth:
            position += 1
            kind = self.tokens[position].type
            depth += (kind == "LBRACE") - (kind == "RBRACE")
        return position

    def _sniff(self, first: Token, position: int) -> str:
        """The kind of block meant by a head without a known keyword, from its first token and what is behind its `{`."""
        if first.type == "STRING":
            return "project"
        if first.type == "REF" and first.value.startswith("="):
            return "function"
        token = self.tokens[min(position + 2, len(self.tokens) - 1)]
        following = self.tokens[min(position + 3, len(self.tokens) - 1)]
        if token.type == "TERMS" or words.LINES_OF.get(token.value) == "strip":
            return "strip"
        if token.type == "KEY" or words.LINES_OF.get(token.value) == "part":
            return "part"
        if token.type == "WORD" and (token.value in words.STATEMENTS or following.type != "REF"):
            return "function"
        return "cable" if token.type == "WORD" else ""

    def _read_header(self, keyword: str, start: int, end: int) -> None:
        """Read the head of a block again, with a name made up where there is none."""
        first = self.tokens[start]
        rest = self.tokens[start + 1 if first.type == "WORD" else start : end]
        here = first.end_pos
        line = self.source.place(first.start_pos)[0]
        closing = Token("RPAR", "", here, here)
        made_up = {
            "REF": ("=" if keyword == "function" else "-") + f"?{line}",
            "STRING": '""',
            "WORD": "" if keyword == "cable" else f"?{line}",
        }
        self.parser.push(Token("WORD", keyword, first.start_pos, here), keyword)
        for kind in words.HEADS[keyword]:
            found = next((number for number in range(len(rest)) if _stands_alone(rest, number, kind)), None)
            self.parser.push(Token(kind, made_up[kind], here, here) if found is None else rest.pop(found))
        for token in (*rest, closing):
            if token.type == "STRING":
                self.parser.push(closing)
            self.parser.push(token)


def _stands_alone(tokens: list[Token], number: int, kind: str) -> bool:
    """Whether the token is of `kind` and no value behind a key."""
    return tokens[number].type == kind and (number == 0 or tokens[number - 1].type not in ("KEY", "COMMA"))
