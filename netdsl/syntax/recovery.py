"""Recovery: what happens where a token does not fit. One mistake gives one finding, and the rest of the line, the body
of the block and all that follows are still read.

First the likely mistakes are mended (a misspelt keyword, `name =x`, a brace not on its own, a missing `{`). Otherwise
the token is reported and dropped, and the rest of the line read as far as it fits.
"""

from __future__ import annotations

from msgspec.structs import replace

from netdsl.spelling import nearest_keyword
from netdsl.syntax import words
from netdsl.syntax.headers import Headers
from netdsl.syntax.interactive import Interactive
from netdsl.syntax.lexer import Token, line_end, tokens_of
from netdsl.syntax.meant import meant
from netdsl.syntax.reports import Reports

#: a statement of these is kept although something in it was dropped: losing the name would give further findings
_DECLARING = frozenset(
    (
        "place",
        "supply",
        "busbar",
        "comb",
        "distribution-block",
        "device",
        "route",
        "potential",
        "shade",
        "terminal",
        *words.BLOCKS,
    )
)
#: tries at one token before it is dropped: each mend reads or drops something, and no two of them in turn should end here
_TRIES = 5


class Recovery:
    """Mends at tokens that do not fit; `recover` is its door."""

    def __init__(self, parser: Interactive, reports: Reports) -> None:
        self.parser = parser
        self.tokens = parser.tokens
        self.reports = reports
        self.headers = Headers(parser, reports.source)
        self.last_error = -1
        self.repeats = 0
        self.line = (0, -1)  # positions where the line mended last begins and ends

    # --- mending ----------------------------------------------------------------------------------------------------
    def recover(self, position: int) -> int:
        """Mend at the token at `position`, which does not fit; gives the position to go on from."""
        token = self.tokens[position]
        if token.type == "$END":
            return len(self.tokens)
        if token.type == "SKIP":
            alone = self.tokens[position - 1].type == "NEWLINE" and self.tokens[position + 1].type == "NEWLINE"
            return position + (2 if alone else 1)
        start = self._line_start(position)
        self.repeats = self.repeats + 1 if position == self.last_error else 0
        self.last_error = position
        if self.repeats >= _TRIES:
            return position + 1
        last = self.parser.last
        if position == start or (isinstance(last, Token) and last.type == "NEWLINE"):
            self.parser.settle()
            start = position
        for mend in (self._mend_meant, self._mend_value, self._mend_brace, self._mend_spacing, self._mend_word):
            mended = mend(position, start)
            if mended is not None:
                return mended
        return self._report_generic(position, start)

    def _line_start(self, position: int) -> int:
        """Where the line of the token at `position` begins. What was looked through once is not looked through for the next slip
        in the same line: a line of thousands would take time by the square."""
        begin, end = self.line
        looked = self.last_error if begin <= position <= end else 0
        start = position
        while start > looked and self.tokens[start - 1].type not in ("NEWLINE", "SKIP"):
            start -= 1
        if start == looked > 0:
            start = begin
        if position > end:
            end = position
            while self.tokens[end].type not in ("NEWLINE", "$END"):
                end += 1
            self.reports.begin_line(self.tokens[start:end], self.tokens[end].start_pos)
        self.line = (start, end)
        return start

    def _mend_meant(self, position: int, start: int) -> int | None:
        """What is plain although it is written wrongly, as a dash of a word processor: go on as if it were written right."""
        found = meant(self.tokens, position, start, self.reports.source, self.parser.accepts)
        if found is None or (found.takes_back and not self._read_last(self.tokens[position - 1])):
            return None
        self.reports.say("syntax", found.message, found.remedy, found.first, found.end)
        if found.takes_back:
            self.parser.take_back()
        for token in found.instead:
            self.parser.push(token)
        return found.behind

    def _read_last(self, token: Token) -> bool:
        """Whether `token` is what was read last, alone in its node where there is one."""
        last = self.parser.last
        span = getattr(last, "span", None)
        return last is token or (span is not None and (span.start, span.end) == (token.start_pos, token.end_pos))

    def _mend_value(self, position: int, start: int) -> int | None:
        """`key=` without a value, or a `,` with nothing behind it: it goes."""
        last = self.parser.last
        if position == start or last is not self.tokens[position - 1]:
            return None
        if last.type == "KEY":
            name = last.value.rstrip(" \t=")
            end = last.start_pos + len(last.value.rstrip())
            self.reports.say("syntax", f"`{name}=` has no value", f"write the value behind it: `{name}=value`", last, end)
        elif last.type == "COMMA" and self.parser.accepts("WORD"):
            remedy = "write another value behind the comma, or delete it"
            self.reports.say("syntax", "`,` has nothing behind it", remedy, last)
        else:
            return None
        self.parser.take_back()
        return position

    def _mend_brace(self, position: int, start: int) -> int | None:
        """A brace that is not alone or not at the end of its line, or a `{` left out."""
        parser, token = self.parser, self.tokens[position]
        before = self.tokens[position - 1] if position > start else None
        if token.type == "NEWLINE" and parser.accepts("LBRACE"):
            return self._missing_open(position, start)
        if token.type == "RBRACE" and before is None:
            self.reports.say("stray-brace", "`}` closes no open block", "delete it", token)
            return position + 2 if self.tokens[position + 1].type == "NEWLINE" else position + 1
        if token.type == "LBRACE" and before is not None and parser.accepts("NEWLINE") and not parser.at_line():
            return self._stray_open(position)
        if before is not None and before.type == "LBRACE" and parser.push(line_end(token.start_pos)):
            message = f"{words.found(token)} behind `{{`"
            self.reports.say("syntax", message, "end the line with `{` and go on in the next one", token)
            return position
        if before is not None and "RBRACE" in (token.type, before.type) and parser.push(line_end(before.end_pos)):
            brace = token if token.type == "RBRACE" else before
            self.reports.say("syntax", "`}` does not stand alone on its line", "put `}` on a line of its own", brace)
            return position
        return None

    def _stray_open(self, position: int) -> int:
        """A `{` behind a statement that has no block: it goes, and so does its `}`; what is between is read as usual."""
        self.reports.say("stray-brace", "`{` opens no block here", "delete it and its `}`", self.tokens[position])
        self.headers.skip_closing(position)
        return position + 1

    def _missing_open(self, position: int, start: int) -> int:
        """The line of a block ends without `{`: it stands alone on the next line, or was left out altogether."""
        token, following = self.tokens[position], self.tokens[position + 1]
        keyword = self.tokens[start].value
        if following.type == "LBRACE":
            self.reports.say("syntax", "`{` stands on a line of its own", "put it at the end of the line before", following)
            return position + 1
        remedy = f"end the line with ` {{` and close the block with `}}`: `{words.USAGE.get(keyword, keyword)}`"
        self.reports.say("syntax", f"the line ends where `{{` is expected in `{keyword}`", remedy, token)
        here = token.start_pos
        for kind in ("LBRACE", "NEWLINE", "RBRACE"):
            self.parser.push(Token(kind, "", here, here))
        return position

    def _mend_spacing(self, position: int, start: int) -> int | None:
        """`name =x`: the `=` belongs to the name."""
        parser, tokens, token = self.parser, self.tokens, self.tokens[position]
        if token.type == "WORD" and _begins_with_equals(tokens[position + 1]) and parser.accepts("KEY"):
            name, value = token, tokens[position + 1]
        elif _begins_with_equals(token) and position - 1 > start and parser.last is tokens[position - 1]:
            name, value = tokens[position - 1], token
            if name.type != "WORD" or not parser.accepts_instead("KEY"):
                return None
            parser.take_back()
        else:
            return None
        remedy = f"attach the `=`: `{name.value}={value.value[1:]}`"
        self.reports.say("syntax", f"a blank stands between `{name.value}` and its `=`", remedy, name, value.end_pos)
        behind = value.start_pos + 1
        parser.push(Token("KEY", name.value + "=", name.start_pos, behind))
        rest = tokens_of(value.value[1:])[0]
        if rest.type != "$END":
            parser.push(Token(rest.type, rest.value, rest.start_pos + behind, rest.end_pos + behind))
        return position + 2 if name is token else position + 1

    def _mend_word(self, position: int, start: int) -> int | None:
        """A misspelt keyword: go on as if it were spelt right."""
        token = self.tokens[position]
        if token.type != "WORD":
            return None
        near = nearest_keyword(token.value, [kind for kind in self.parser.possible() if kind.islower()])
        if near is None:
            return None
        what = "begins no statement here" if position == start else "cannot stand here"
        self.reports.say("unknown-word", f"`{words.short(token.value)}` {what}", f"did you mean `{near}`?", token)
        self.parser.push(replace(token, value=near), near)
        return position + 1

    # --- giving up on a token -----------------------------------------------------------------------------------------
    def _report_generic(self, position: int, start: int) -> int:
        """Say what stands where what is expected, then read on in the line as far as it fits."""
        token, first = self.tokens[position], self.tokens[start]
        keyword = first.value if first.type == "WORD" and first.value in words.USAGE else ""
        if position == start:
            self._say_no_statement(token)
        else:
            inside = f" in `{keyword}`" if keyword else ""
            each = keyword == "use" and any(token.value == "for" for token in self.tokens[start + 2 : position])
            form = words.EACH if each else words.USAGE.get(keyword) or words.BLOCKS[self._block()]
            remedy = f"write it as `{form}`"
            wanted = words.expected(self.parser.possible(), "for" if each else keyword)
            self.reports.say("syntax", f"{words.found(token)} where {wanted} is expected{inside}", remedy, token)
        return self._read_on(position, start)

    def _say_no_statement(self, token: Token) -> None:
        block = self._block()
        example, here = words.BLOCKS[block], words.CONTEXTS[block]
        if token.type == "WORD" and token.value in words.USAGE:
            remedy = "close the block before it with `}`, or move the line"
            self.reports.say("syntax", f"`{token.value}` cannot stand in {here}", remedy, token)
        elif token.type == "WORD":
            message = f"`{words.short(token.value)}` begins no statement"
            self.reports.say("unknown-word", message, f"begin the line as in `{example}`", token)
        else:
            message = f"{words.found(token)} where {here} expects a line such as `{example}`"
            self.reports.say("syntax", message, "begin the line with its keyword", token)

    def _block(self) -> str:
        """The keyword of the innermost open block; `function` wherever statements stand."""
        lines = self.parser.line_kinds()
        if "use_line" in lines:  # its lines have no keyword
            return "use"
        return next((block for keyword, block in words.LINES_OF.items() if keyword in lines), "function")

    def _read_on(self, position: int, start: int) -> int:
        """Read the rest of the line, dropping what does not fit; keep the statement if it is still whole."""
        parser, tokens = self.parser, self.tokens
        lost = False
        while tokens[position].type not in ("NEWLINE", "$END", "LBRACE", "RBRACE"):
            token = tokens[position]
            kind = parser.kind(token) if tokens[start] is not token else None
            if kind is None or not parser.push(token, kind):
                lost = lost or token.type in ("REF", "TERMS", "PARAM", "WORD", "COMPUTED")
            position += 1
        token = tokens[position]
        if token.type == "LBRACE":
            if parser.accepts("LBRACE") and not parser.at_line():
                return position
            return self.headers.open_body(position, start)
        if not parser.at_line() and parser.accepts("NEWLINE") and (not lost or tokens[start].value in _DECLARING):
            return position
        self.headers.give_up(start, position)
        return position + 1 if token.type == "NEWLINE" else position


def _begins_with_equals(token: Token) -> bool:
    return token.type == "REF" and token.value.startswith("=")
