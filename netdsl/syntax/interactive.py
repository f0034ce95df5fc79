"""lark's interactive parser over the tokens of one text, and what recovery asks of it and does to it.

All that lark does not document is in this module, and `tests/syntax/test_interactive.py` holds it for the version to which lark
is pinned: callbacks of one parse in `parse_conf`; the ends of `state_stack` and `value_stack` taken back; the actions in
`choices()` as pairs that begin with `Shift` or `Reduce`; and that lark reads no more of a token than ours have.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from functools import lru_cache
from typing import Any

from lark import UnexpectedToken
from lark.grammar import Rule
from lark.parsers.lalr_analysis import Shift
from lark.parsers.lalr_parser_state import ParseConf
from msgspec.structs import replace

from netdsl.syntax.grammar import grammar, keywords
from netdsl.syntax.lexer import Token

#: the type of the token that stands for a line which could not be read; the grammar takes it wherever a line may begin
BAD = "BAD"


class Interactive:
    """The parser of one text, as far as it has come.

    `tokens` ends with `$END`; `position` is that of the token lark is at. `nodes` has a method for each alias of the grammar.
    A kind of token is its type or, for a soft keyword, the keyword in its own writing.
    """

    def __init__(self, tokens: list[Token], nodes: object) -> None:
        self.tokens = tokens
        self.position = 0
        self._types = keywords()
        self._parser: Any = grammar().parse_interactive(self)  # lark's methods of it carry no types
        self._state: Any = self._parser.parser_state
        # lark binds callbacks to a grammar once and for all; these know the source they build for
        self._state.parse_conf = _with_callbacks(self._state, _Callbacks(nodes))

    def __iter__(self) -> Iterator[Token]:
        """The tokens from `position` on, as lark asks for them; a word is a keyword only where one can stand."""
        tokens, types, choices = self.tokens, self._types, self._parser.choices
        for position in range(self.position, len(tokens) - 1):
            self.position = position
            token = tokens[position]
            if token.type == "WORD":
                keyword = types.get(token.value)
                if keyword is not None and keyword in choices():
                    token = Token(keyword, token.value, token.start_pos, token.end_pos)
            yield token
        self.position = len(tokens) - 1

    def run(self) -> Any:
        """Let lark parse from `position` on: the value of the text, or None with `position` at a token that does not fit."""
        while True:
            try:
                return self._parser.resume_parse()
            except UnexpectedToken as error:
                token = self.tokens[self.position]
                # LALR merges what may follow: some keywords prove impossible only after a reduction, and are plain words then
                if error.token.type == token.type or not self.push(token):
                    return None
                self.position += 1

    def close(self) -> None:
        """Let go of the text. This and lark's parser hold each other, and with them all tokens and the tree: only a search for
        cycles would give them back."""
        self._parser = self._state = None

    # --- asking -------------------------------------------------------------------------------------------------------
    def accepts(self, kind: str) -> bool:
        """Whether a token of `kind` could stand next.

        As lark's own `accepts()`, which tries every kind on a copy, also those for which no more than a step is to be made, and
        takes 0.1 ms where a line begins: too long for each token that recovery reads.
        """
        terminal = self._types.get(kind, kind)
        action = self._parser.choices().get(terminal)
        if action is None or action[0] is Shift:
            return action is not None
        trial = self._state.copy(deepcopy_values=False)
        trial.parse_conf = _with_callbacks(trial, {})  # callbacks fill lists in place and speak: not for a trial
        try:
            trial.feed_token(Token(terminal, "", 0, 0), is_end=terminal == "$END")
        except UnexpectedToken:
            return False
        return True

    def accepts_instead(self, kind: str) -> bool:
        """Whether a token of `kind` could stand in place of the last token."""
        state, value = self._state.state_stack.pop(), self._state.value_stack.pop()
        fits = self.accepts(kind)
        self._state.state_stack.append(state)
        self._state.value_stack.append(value)
        return fits

    def kind(self, token: Token) -> str | None:
        """As what `token` can stand next: keyword, its own type, or None."""
        if token.type == "WORD" and token.value in self._types and self.accepts(token.value):
            return token.value
        return token.type if self.accepts(token.type) else None

    def possible(self) -> set[str]:
        """The kinds of token that could stand next."""
        # the names of rules, which are choices too, are in small letters
        kinds = self._kinds_of(each for each in self._parser.choices() if each.isupper())
        return {kind for kind in kinds if kind != BAD and self.accepts(kind)}

    def at_line(self) -> bool:
        """Whether a line could begin here, so that nothing of it has been read."""
        return _at_line(self._parser)

    def line_kinds(self) -> set[str]:
        """The kinds of token with which a line could begin in the innermost open block."""
        trial = self._copy()
        _drop_line(trial)
        return self._kinds_of(trial.choices())

    @property
    def last(self) -> Any:
        """The value read last: a Token, a node, or a list that still grows; None before the first."""
        return self._state.value_stack[-1] if self._state.value_stack else None

    @property
    def statements(self) -> list[Any]:
        """The statements of the text so far, those of open blocks left out."""
        first = self._state.value_stack[0] if self._state.value_stack else None
        return first if isinstance(first, list) else []

    # --- doing --------------------------------------------------------------------------------------------------------
    def push(self, token: Token, kind: str = "") -> bool:
        """Read `token`, as of `kind` where given; False, and nothing done, where it cannot stand."""
        kind = kind or token.type
        if not self.accepts(kind):
            return False
        self._parser.feed_token(replace(token, type=self._types.get(kind, kind)))
        return True

    def take_back(self) -> None:
        """Undo the reading of the last token."""
        self._state.state_stack.pop()
        self._state.value_stack.pop()

    def settle(self) -> None:
        """Finish the line before: what stands complete is reduced, whatever comes."""
        if self.push(Token(BAD, "", 0, 0)):
            self.take_back()

    def give_up(self, start: int, end: int) -> None:
        """Take back what has been read of the line and put a `Bad` of the characters `start` to `end` in its place."""
        self.drop_line()
        self.push(Token(BAD, "", start, end))

    def drop_line(self) -> None:
        """Take back what has been read of the line."""
        _drop_line(self._parser)

    def _copy(self) -> Any:
        return self._parser.copy(deepcopy_values=False)

    def _kinds_of(self, terminals: Iterable[str]) -> set[str]:
        kinds = _kinds()
        return {kinds.get(terminal, terminal) for terminal in terminals}


class _Callbacks(dict[Rule, Callable[[list[Any]], Any]]):
    """The methods of nodes that build what rules reduce to. Each is bound when it is first asked for, for a text needs few of
    them; but one is there from the first, for lark calls none where it is given none."""

    def __init__(self, nodes: object) -> None:
        super().__init__()
        self._nodes = nodes
        self[grammar().rules[0]]

    def __missing__(self, rule: Rule) -> Callable[[list[Any]], Any]:
        builder: Callable[[list[Any]], Any] = getattr(self._nodes, str(rule.alias))
        self[rule] = builder
        return builder


@lru_cache(maxsize=1)
def _kinds() -> dict[str, str]:
    """The soft keyword of each terminal that stands for one."""
    return {terminal: keyword for keyword, terminal in keywords().items()}


def _with_callbacks(state: Any, callbacks: Any) -> ParseConf[Any]:
    conf = state.parse_conf
    return ParseConf(conf.parse_table, callbacks, conf.start)


def _at_line(parser: Any) -> bool:
    action = parser.choices().get(BAD)
    if action is None:
        return False
    # behind a whole line a BAD is possible too, but by reducing that line; reducing nothing to an empty list of lines is no line
    # read
    return action[0] is Shift or not action[1].expansion


def _drop_line(parser: Any) -> None:
    while not _at_line(parser):
        parser.parser_state.state_stack.pop()
        parser.parser_state.value_stack.pop()
