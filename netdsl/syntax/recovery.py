"""Recovery: what happens where a token does not fit. One mistake gives one finding, and the rest of the line, the body
of the block and all that follows are still read.

First the likely mistakes are mended (a misspelt keyword, `name =x`, a brace not on its own, a missing `{`). Otherwise
the token is reported and dropped, and the rest of the line read as far as it fits.
"""

from __future__ import annotations

from netdsl.findings import Span
from netdsl.spelling import nearest_keyword
from netdsl.syntax import tree, words
from netdsl.syntax.lexer import Token, tokens_of
from netdsl.syntax.machine import Machine

_LINE_SYMBOLS = ("statement", "project_line", "strip_line", "cable_line", "part_line")
_LIST_SYMBOLS = ("statements", "project_lines", "strip_lines", "cable_lines", "part_lines")
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


class Recovery(Machine):
    """The methods that mend; `recover` is their door."""

    # --- mending ----------------------------------------------------------------------------------------------------
    def recover(self, position: int) -> int:
        """Mend at the token at `position`, which does not fit; gives the position to go on from."""
        token = self.tokens[position]
        if token[0] == "$END":
            return len(self.tokens)
        if token[0] == "SKIP":
            alone = self.tokens[position - 1][0] == "NEWLINE" and self.tokens[position + 1][0] == "NEWLINE"
            return position + (2 if alone else 1)
        self.repeats = self.repeats + 1 if position == self.last_error else 0
        self.last_error = position
        if self.repeats > 4:  # no progress: drop the token
            return position + 1
        start = position
        while start > 0 and self.tokens[start - 1][0] not in ("NEWLINE", "SKIP"):
            start -= 1
        end = position
        while self.tokens[end][0] not in ("NEWLINE", "$END"):
            end += 1
        self.line_end = self.tokens[end][2]
        if self.unclosed and any(other[0] == "STRING" and other[2] in self.unclosed for other in self.tokens[start:end]):
            self.silent_to = max(self.silent_to, self.line_end)
        last = self.values[-1] if self.values else None
        if position == start or (isinstance(last, tuple) and last[0] == "NEWLINE"):
            self._settle()
            start = position
        for mend in (self._mend_value, self._mend_brace, self._mend_spacing, self._mend_word):
            mended = mend(position, start)
            if mended is not None:
                return mended
        return self._report_generic(position, start)

    def _mend_value(self, position: int, start: int) -> int | None:
        """`key=` without a value, or a `,` with nothing behind it: it goes."""
        last = self.values[-1] if self.values else None
        if position == start or not isinstance(last, tuple) or last is not self.tokens[position - 1]:
            return None
        if last[0] == "KEY":
            name = last[1].rstrip(" \t=")
            self._say(
                "syntax",
                f"`{name}=` has no value",
                f"write the value behind it: `{name}=value`",
                last,
                last[2] + len(last[1].rstrip()),
            )
        elif last[0] == "COMMA" and self.accepts("WORD"):
            self._say("syntax", "`,` has nothing behind it", "write another value behind the comma, or delete it", last)
        else:
            return None
        self.states.pop()
        self.values.pop()
        return position

    def _mend_brace(self, position: int, start: int) -> int | None:
        """A brace that is not alone or not at the end of its line, or a `{` left out."""
        token = self.tokens[position]
        before = self.tokens[position - 1] if position > start else None
        newline = ("NEWLINE", "", token[2], token[2])
        if token[0] == "NEWLINE" and self.accepts("LBRACE"):
            return self._missing_open(position, start)
        if token[0] == "RBRACE" and before is None:
            self._say("stray-brace", "`}` closes no open block", "delete it", token)
            return position + 2 if self.tokens[position + 1][0] == "NEWLINE" else position + 1
        if token[0] == "LBRACE" and before is not None and self.accepts("NEWLINE") and not self._at_line():
            return self._stray_open(position)
        if before is not None and before[0] == "LBRACE" and self.push("NEWLINE", newline):
            self._say("syntax", f"{words.found(token)} behind `{{`", "end the line with `{` and go on in the next one", token)
            return position
        if (
            before is not None
            and "RBRACE" in (token[0], before[0])
            and self.push("NEWLINE", ("NEWLINE", "", before[3], before[3]))
        ):
            brace = token if token[0] == "RBRACE" else before
            self._say("syntax", "`}` does not stand alone on its line", "put `}` on a line of its own", brace)
            return position
        return None

    def _stray_open(self, position: int) -> int:
        """A `{` behind a statement that has no block: it goes, and so does its `}`; what is between is read as usual."""
        self._say("stray-brace", "`{` opens no block here", "delete it and its `}`", self.tokens[position])
        self.tokens[self._closing(position)] = ("SKIP", "", 0, 0)
        return position + 1

    def _missing_open(self, position: int, start: int) -> int:
        """The line of a block ends without `{`: it stands alone on the next line, or was left out altogether."""
        token = self.tokens[position]
        keyword = self.tokens[start][1]
        if self.tokens[position + 1][0] == "LBRACE":
            self._say(
                "syntax", "`{` stands on a line of its own", "put it at the end of the line before", self.tokens[position + 1]
            )
            return position + 1
        remedy = f"end the line with ` {{` and close the block with `}}`: `{words.USAGE.get(keyword, keyword)}`"
        self._say("syntax", f"the line ends where `{{` is expected in `{keyword}`", remedy, token)
        here = token[2]
        for kind in ("LBRACE", "NEWLINE", "RBRACE"):
            self.push(kind, (kind, "", here, here))
        return position

    def _mend_spacing(self, position: int, start: int) -> int | None:
        """`name =x`: the `=` belongs to the name."""
        token, tokens = self.tokens[position], self.tokens
        if (
            token[0] == "WORD"
            and tokens[position + 1][0] == "REF"
            and tokens[position + 1][1].startswith("=")
            and self.accepts("KEY")
        ):
            name, value = token, tokens[position + 1]
        elif (
            token[0] == "REF"
            and token[1].startswith("=")
            and position > start
            and self.values
            and self.values[-1] is tokens[position - 1]
        ):
            name, value = tokens[position - 1], token
            if name[0] != "WORD" or position - 1 == start:
                return None
            state, word = self.states.pop(), self.values.pop()
            if not self.accepts("KEY"):
                self.states.append(state)
                self.values.append(word)
                return None
        else:
            return None
        remedy = f"attach the `=`: `{name[1]}={value[1][1:]}`" if value[1] != "=" else f"attach the `=`: `{name[1]}=`"
        self._say("syntax", f"a blank stands between `{name[1]}` and its `=`", remedy, name, value[3])
        self.push("KEY", ("KEY", name[1] + "=", name[2], value[2] + 1))
        for rest in tokens_of(value[1][1:])[:1]:
            if rest[0] != "$END":
                self.push(rest[0], (rest[0], rest[1], rest[2] + value[2] + 1, rest[3] + value[2] + 1))
        return position + 2 if name is token else position + 1

    def _mend_word(self, position: int, start: int) -> int | None:
        """A misspelt keyword: go on as if it were spelt right."""
        token = self.tokens[position]
        if token[0] != "WORD":
            return None
        candidates = [kind for kind in self._possible() if kind.islower()]
        near = nearest_keyword(token[1], candidates) if candidates else None
        if near is None:
            return None
        what = "begins no statement here" if position == start else "cannot stand here"
        self._say("unknown-word", f"`{words.short(token[1])}` {what}", f"did you mean `{near}`?", token)
        self.push(near, ("WORD", near, token[2], token[3]))
        return position + 1

    # --- giving up on a token -----------------------------------------------------------------------------------------
    def _report_generic(self, position: int, start: int) -> int:
        """Say what stands where what is expected, then read on in the line as far as it fits."""
        token = self.tokens[position]
        first = self.tokens[start]
        keyword = first[1] if first[0] == "WORD" and first[1] in words.USAGE else ""
        if position == start:
            self._say_no_statement(token)
        else:
            inside = f" in `{keyword}`" if keyword else ""
            remedy = f"write it as `{words.USAGE.get(keyword) or words.EXAMPLES[self._context()]}`"
            wanted = words.expected(self._possible(), keyword)
            self._say("syntax", f"{words.found(token)} where {wanted} is expected{inside}", remedy, token)
        return self._read_on(position, start)

    def _say_no_statement(self, token: Token) -> None:
        context = self._context()
        example = words.EXAMPLES[context]
        if token[0] == "WORD" and token[1] in words.USAGE:
            message = f"`{token[1]}` cannot stand in {words.CONTEXTS[context]}"
            self._say("syntax", message, "close the block before it with `}`, or move the line", token)
        elif token[0] == "WORD":
            self._say(
                "unknown-word", f"`{words.short(token[1])}` begins no statement", f"begin the line as in `{example}`", token
            )
        else:
            message = f"{words.found(token)} where {words.CONTEXTS[context]} expects a line such as `{example}`"
            self._say("syntax", message, "begin the line with its keyword", token)

    def _context(self) -> str:
        """The list symbol of the innermost open block."""
        for state in reversed(self.states):
            for line, lines in zip(_LINE_SYMBOLS, _LIST_SYMBOLS, strict=True):
                if line in self.table.gotos[state] or lines in self.table.gotos[state]:
                    return lines
        return "statements"

    def _read_on(self, position: int, start: int) -> int:
        """Read the rest of the line, dropping what does not fit; keep the statement if it is still whole."""
        tokens = self.tokens
        lost = False
        while tokens[position][0] not in ("NEWLINE", "$END", "LBRACE", "RBRACE"):
            token = tokens[position]
            kind = self._kind(token) if tokens[start] is not token else None
            if kind is None or not self.push(kind, token):
                lost = lost or token[0] in ("REF", "TERMS", "PARAM", "WORD", "COMPUTED")
            position += 1
        token = tokens[position]
        if token[0] == "LBRACE":
            return position if self.accepts("LBRACE") and not self._at_line() else self._open_body(position, start)
        keyword = tokens[start][1]
        if not self._at_line() and self.accepts("NEWLINE") and (not lost or keyword in _DECLARING):
            return position
        self._bad(start, position)
        return position + 1 if token[0] == "NEWLINE" else position

    def _at_line(self) -> bool:
        """Whether nothing of the line has been read."""
        gotos = self.table.gotos[self.states[-1]]
        return any(symbol in gotos for symbol in _LINE_SYMBOLS) or any(symbol in gotos for symbol in _LIST_SYMBOLS)

    def _bad(self, start: int, end: int) -> None:
        """Give up on the statement from `start` to before `end`: a `Bad` stands for it."""
        self._drop_line()
        last = self.tokens[max(start, end - 1)]
        self.states.append(
            next(self.table.gotos[self.states[-1]][name] for name in _LINE_SYMBOLS if name in self.table.gotos[self.states[-1]])
        )
        self.values.append(tree.Bad(Span(self.source, self.tokens[start][2], last[3])))

    def _drop_line(self) -> None:
        """Take back what has been read of the line; the stack then ends with the list of lines it belongs to."""
        while True:
            gotos = self.table.gotos[self.states[-1]]
            if any(symbol in gotos for symbol in _LINE_SYMBOLS):
                return
            for symbol in _LIST_SYMBOLS:
                if symbol in gotos:
                    self.states.append(gotos[symbol])
                    self.values.append([])
                    return
            self.states.pop()
            self.values.pop()

    # --- bodies of faulty headers ---------------------------------------------------------------------------------------
    def _open_body(self, position: int, start: int) -> int:
        """A `{` behind a header that cannot be read: build the header from what is there, so that the body is kept."""
        tokens = self.tokens
        first = tokens[start]
        known = first[1] in words.STATEMENTS
        if first[1] in words.BLOCKS or not known:
            keyword = first[1] if first[1] in words.BLOCKS else self._sniff(first, position)
            self._drop_line()
            if keyword and self.accepts(keyword):
                self._header(keyword, start, position)
                if self.accepts("LBRACE"):
                    return position
            self._bad(start, position)
            return min(self._closing(position) + 2, len(self.tokens) - 1)
        tokens[self._closing(position)] = ("SKIP", "", 0, 0)
        if self.accepts("NEWLINE") and not self._at_line():
            return position + 1
        self._bad(start, position)
        return position + 2 if tokens[position + 1][0] == "NEWLINE" else position + 1

    def _closing(self, position: int) -> int:
        """Position of the `}` that closes the `{` at `position`."""
        depth = 0
        while self.tokens[position][0] != "$END":
            kind = self.tokens[position][0]
            depth += (kind == "LBRACE") - (kind == "RBRACE")
            if depth == 0 and kind == "RBRACE":
                return position
            position += 1
        return position - 1

    def _sniff(self, first: Token, position: int) -> str:
        """The kind of block meant by a head without a known keyword, from its first token and what is behind its `{`."""
        if first[0] == "STRING":
            return "project"
        if first[0] == "REF" and first[1].startswith("="):
            return "function"
        token = self.tokens[min(position + 2, len(self.tokens) - 1)]
        following = self.tokens[min(position + 3, len(self.tokens) - 1)]
        if token[0] == "TERMS" or token[1] == "bridge":
            return "strip"
        if token[0] == "KEY" or words.LINES_OF.get(token[1]) == "part":
            return "part"
        if token[0] == "WORD" and (token[1] in words.STATEMENTS or following[0] != "REF"):
            return "function"
        return "cable" if token[0] == "WORD" else ""

    def _header(self, keyword: str, start: int, end: int) -> None:
        """Read the head of a block again, with a name made up where there is none."""
        first = self.tokens[start]
        rest = self.tokens[start + 1 if first[0] == "WORD" else start : end]
        here = first[3]
        line = self.source.place(first[2])[0]
        self.push(keyword, ("WORD", keyword, first[2], here))
        made_up = {"REF": ("=" if keyword == "function" else "-") + f"?{line}", "STRING": '""', "WORD": f"?{line}"}
        for kind in words.HEADS[keyword]:
            found = next((number for number, token in enumerate(rest) if _stands_alone(rest, number, kind)), None)
            if found is None:
                token = (kind, made_up[kind] if keyword != "cable" or kind == "REF" else "", here, here)
            else:
                token = rest.pop(found)
            self.push(kind, token)
        for token in (*rest, ("RPAR", "", here, here)):
            if token[0] == "STRING":
                self.push("RPAR", ("RPAR", "", here, here))
            self.push(token[0], token)

    # --- the end --------------------------------------------------------------------------------------------------------
    def finish(self) -> tree.Tree:
        """The tree of all that was read."""
        if self.values and isinstance(self.values[-1], tree.Tree):
            return self.values[-1]
        statements = self.values[0] if self.values and isinstance(self.values[0], list) else []
        return tree.Tree(self.source, tuple(statements))


def _stands_alone(tokens: list[Token], number: int, kind: str) -> bool:
    """Whether the token is of `kind` and no value behind a key."""
    return tokens[number][0] == kind and (number == 0 or tokens[number - 1][0] not in ("KEY", "COMMA"))
