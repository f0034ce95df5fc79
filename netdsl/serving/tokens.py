"""Semantic tokens: what each word of a text is, for colours."""

from __future__ import annotations

from typing import cast

from lsprotocol import types

from netdsl.model.language import LINES, STATEMENTS
from netdsl.serving.desk import Open
from netdsl.serving.pieces import Piece
from netdsl.syntax.lexer import Token, tokens_of
from netdsl.syntax.words import USAGE

#: in the order of their numbers in the protocol
TYPES = ("keyword", "variable", "property", "string", "number", "parameter", "enumMember", "operator", "comment")
_NUMBERS = {name: number for number, name in enumerate(TYPES)}
_OF_TOKEN = {
    "REF": "variable",
    "TERMS": "enumMember",
    "STRING": "string",
    "KEY": "property",
    "PARAM": "parameter",
    "COMPUTED": "operator",
}
_INNER = frozenset(("to", "on", "of", "at", "in", "for", "and", "because", "until", "pair", "bare", "screen", "when"))
_WORDS = frozenset(USAGE) | frozenset(STATEMENTS) | {line.keyword for lines in LINES.values() for line in lines if line.keyword}


def semantic_tokens(here: Open) -> types.SemanticTokens:
    """All tokens of a text, each relative to the one before; those of a piece are kept with it."""
    data: list[int] = []
    line_before = first_line = 0
    for piece in here.document.pieces:
        found = piece.kept.get("tokens")
        if found is None:
            found = piece.kept["tokens"] = _tokens(piece, here)
        own, last_line = cast(tuple[list[int], int], found)
        if own:
            data.append(first_line + own[0] - line_before)
            data += own[1:]
            line_before = first_line + last_line
        first_line += piece.lines - 1
    return types.SemanticTokens(data)


def _tokens(piece: Piece, here: Open) -> tuple[list[int], int]:
    """The tokens of a piece, the first relative to its beginning, and the line of the last."""
    data: list[int] = []
    line_before = column_before = 0
    first = True
    for token in tokens_of(piece.source.text):
        kind = _kind(token, first)
        first = token.type in ("NEWLINE", "LBRACE")
        if kind is None:
            continue
        length = len(token.value.rstrip(" \t=")) if token.type == "KEY" else token.end_pos - token.start_pos
        line, column = (each - 1 for each in piece.source.place(token.start_pos))
        text = piece.source.line(line + 1)
        start = here.places.units(text, column)
        size = here.places.units(text, column + length) - start
        data += (line - line_before, start - column_before if line == line_before else start, size, _NUMBERS[kind], 0)
        line_before, column_before = line, start
    return data, line_before


def _kind(token: Token, first: bool) -> str | None:
    if token.type == "WORD":
        if first and token.value in _WORDS:
            return "keyword"
        if token.value in _INNER:
            return "keyword"
        return "number" if token.value[:1].isdigit() else "enumMember"
    return _OF_TOKEN.get(token.type)
