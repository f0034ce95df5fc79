"""Text to tokens with one combined regular expression; nothing here can fail or take more than linear time.

lark's own lexers stop at a character that begins no token. Here it becomes a token of type `JUNK`, an unclosed string one of type
`OPENSTRING`, and recovery speaks about them as about any token that does not fit.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from itertools import accumulate
from typing import ClassVar

from msgspec import Struct

from netdsl.findings import Source, Span


class Token(Struct, frozen=True, gc=False):
    """One token: its type, its text as written, and where that begins and ends, in code points.

    The fields are those of `lark.Token`, by their names there. That one is a string with eight attributes and takes eight times
    as long to make, which for a plant of 300 drives would be a quarter of the parse.
    """

    type: str
    value: str
    start_pos: int
    end_pos: int
    # lark copies these into the token with which it ends a text; lines are counted only when something is printed
    line: ClassVar[None] = None
    column: ClassVar[None] = None
    end_line: ClassVar[None] = None
    end_column: ClassVar[None] = None

    def span(self, source: Source) -> Span:
        """Where it stands in `source`, the text it was read from."""
        return Span(source, self.start_pos, self.end_pos)


def line_end(at: int) -> Token:
    """The NEWLINE that ends a line whose last token ends at `at`: of no width, so that a statement spans what it says."""
    return Token("NEWLINE", "", at, at)


_NAME = r"[^\W\d_][\w.\-/]*"
_EQUALS = r"(?:[ \t]+=(?![^ \t\r\n])|=)[ \t]*"
_LETTER = r"[^\W\d_]"
_GROUP = r"\([^()\r\n\"]*(?:\([^()\r\n\"]*(?:\([^()\r\n\"]*\)[^()\r\n\"]*)*\)[^()\r\n\"]*)*\)"
_ITEM = rf"(?:[^\s,(){{}}\"#]+|{_GROUP})"
_TERMS = rf":{_ITEM}(?:,{_ITEM})*"
_VALUES = rf"(?:\${_LETTER}[^\s:{{}}(),\"#]*)"
_UNITS = r"(?:[mkMuμµ]?[AVWm]|mm2?|cm|deg|degC|K|%|s|ms|mH|bar|mbar)"

#: kinds in the order in which they are tried
KINDS: tuple[tuple[str, str], ...] = (
    ("NEWLINE", r"(?:#[^\r\n]*)?[\r\n](?:[ \t\r\n]+|#[^\r\n]*[\r\n])*"),
    ("KEY", rf"{_NAME}{_EQUALS}"),
    (
        "WORD",
        rf"{_NAME}|-?\d+(?:\.\d+)?(?:\.\.-?\d+(?:\.\d+)?)?{_UNITS}?(?![^\s{{}}(),\"#])"
        r"|\d[^\s{}(),\"#]*(?:(?<=x)\([^\s{}(),\"#]*\)[^\s{}(),\"#]*)*",
    ),
    ("REF", rf"[=+\-][^\s:{{}}(),\"#$]*{_VALUES}?(?:{_TERMS})?|\${_LETTER}[\w.\-]*(?:{_TERMS}|{_VALUES}(?:{_TERMS})?)"),
    ("TERMS", _TERMS),
    ("STRING", r'"[^"\\\r\n]*(?:\\[^\r\n][^"\\\r\n]*)*"'),
    ("PARAM", rf"\${_LETTER}[\w.\-]*"),
    ("LBRACE", r"\{"),
    ("RBRACE", r"\}"),
    ("COMPUTED", rf"(?=\([ \t]*[$\d(]){_GROUP}"),
    ("LPAR", r"\("),
    ("RPAR", r"\)"),
    ("COMMA", r","),
    ("OPENSTRING", r'"[^\r\n]*'),
    ("COMMENT", r"#[^\r\n]*"),
    ("JUNK", r"[^ \t]"),
    ("END", r"\Z"),  # blanks before the end of the text, else they would be scanned again and again
)
_TOKEN = re.compile(r"[ \t]*(?:" + "|".join(f"(?P<{kind}>{pattern})" for kind, pattern in KINDS) + ")")
#: the same, of which only what they cover is asked: names first, which are the most, and not tried again as words or shorter
_PIECE = re.compile(rf"[ \t]*+(?:{_NAME}+(?:{_EQUALS})?|" + "|".join(pattern for kind, pattern in KINDS if kind != "KEY") + ")")
#: what was looked up of pieces: of a text's hundreds most come again and again, in it and in the next; so many are kept, none
#: that is longer
_KNOWN: dict[str, tuple[str, str, int, int]] = {}
_MOST, _LONGEST = 30_000, 200
#: kinds of pieces of which it depends on what stands around them what they are
_DOUBTFUL = frozenset(("", "OPENSTRING"))
_EMPTY_BLOCK = re.compile(r"\{[ \t]*\}")


def _looked_up(piece: str) -> tuple[str, str, int, int]:
    """The kind of a piece of text, what it says, and where in the piece that begins and ends.

    What follows a piece decides of one kind alone: `-5` is no number but a name before a stray `:` or `$`, and has "" for a kind.
    """
    match = _TOKEN.match(piece)
    assert match is not None and match.lastgroup is not None
    kind, said = match.lastgroup, match[match.lastgroup]
    found = kind, said, match.start(kind), match.end(kind)
    if kind == "NEWLINE":
        found = kind, "", 0, 0
    elif kind == "WORD" and said.startswith("-"):
        found = "", *found[1:]
    if len(_KNOWN) >= _MOST:
        _KNOWN.clear()
    if len(piece) <= _LONGEST:
        _KNOWN[piece] = found
    return found


def tokens_of(text: str, start: int = 0, end: int | None = None) -> list[Token]:
    """All tokens of `text`, or of its lines from `start` to `end`: comments and blank lines dropped, a NEWLINE (zero width,
    behind the line's last token) ending every line that says something, and `$END` last."""
    begin = 1 if start == 0 and text.startswith("\ufeff") else start
    length = len(text) if end is None else end
    # to take a text to pieces in one go and to look each up is quicker than to ask one match after the other
    pieces, known = _PIECE.findall(text, begin, length), _KNOWN.get
    tokens = [
        Token(kind, said, at + first, at + last)
        for piece, at in zip(pieces, accumulate(map(len, pieces), initial=begin), strict=False)
        for kind, said, first, last in (known(piece) or _looked_up(piece),)
    ]
    while tokens and tokens[-1].type in ("END", "COMMENT"):  # any other comment is part of a NEWLINE
        tokens.pop()
    if tokens and tokens[0].type == "NEWLINE":
        del tokens[0]
    if not _DOUBTFUL.isdisjoint([token.type for token in tokens]) or _EMPTY_BLOCK.search(text, begin, length):
        tokens = list(_settled(text, tokens, length))
    if tokens and tokens[-1].type != "NEWLINE":
        tokens.append(line_end(tokens[-1].end_pos))
    tokens.append(Token("$END", "", length, length))
    return tokens


def _settled(text: str, tokens: list[Token], length: int) -> Iterator[Token]:
    """`tokens` with those that depend on what stands around them as they are to be read."""
    last, behind = "", 0
    for token in tokens:
        kind = token.type
        if kind == "NEWLINE":
            token = line_end(behind)
        elif kind == "RBRACE" and last == "LBRACE":
            yield line_end(behind)
        elif kind == "OPENSTRING":
            closed = _string_end(text, token.start_pos, token.end_pos)
            brace = text.find("{", closed, token.end_pos)
            token = Token(kind, text[token.start_pos : closed], token.start_pos, closed)
            if brace >= 0:
                yield token
                token = Token("LBRACE", "{", brace, brace + 1)
        elif not kind:
            kind = "REF" if text[token.end_pos : min(token.end_pos + 1, length)] in (":", "$") else "WORD"
            token = Token(kind, token.value, token.start_pos, token.end_pos)
        yield token
        last, behind = token.type, token.end_pos


def _string_end(text: str, start: int, end: int) -> int:
    """Where an unclosed string is taken to end: at its line's end, before a brace that opens a block."""
    body = text[start:end].rstrip(" \t")
    return start + len(body[:-1].rstrip(" \t") if body.endswith("{") else body)
