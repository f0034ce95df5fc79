"""Text to tokens with one combined regular expression; nothing here can fail or take more than linear time.

lark's own lexers stop at a character that begins no token. Here it becomes a token of type `JUNK`, an unclosed string one of type
`OPENSTRING`, and recovery speaks about them as about any token that does not fit.
"""

from __future__ import annotations

import re
from typing import ClassVar

from msgspec import Struct

from netdsl.findings import Source, Span


class Token(Struct, frozen=True, gc=False):
    """One token: its type, its text as written, and where that begins and ends, in code points.

    The fields are those of `lark.Token`, by their names there. That one is a string with eight attributes and takes ten times
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
_LETTER = r"[^\W\d_]"
_GROUP = r"\([^()\r\n\"]*(?:\([^()\r\n\"]*(?:\([^()\r\n\"]*\)[^()\r\n\"]*)*\)[^()\r\n\"]*)*\)"
_ITEM = rf"(?:[^\s,(){{}}\"#]+|{_GROUP})"
_TERMS = rf":{_ITEM}(?:,{_ITEM})*"
_VALUES = rf"(?:\${_LETTER}[^\s:{{}}(),\"#]*)"
_UNITS = r"(?:[mkMuμµ]?[AVWm]|mm2?|cm|deg|degC|K|%|s|ms|mH|bar|mbar)"

#: kinds in the order in which they are tried
KINDS: tuple[tuple[str, str], ...] = (
    ("NEWLINE", r"(?:#[^\r\n]*)?[\r\n](?:[ \t\r\n]+|#[^\r\n]*[\r\n])*"),
    ("KEY", rf"{_NAME}(?:[ \t]+=(?![^ \t\r\n])|=)[ \t]*"),
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
#: the same, of which only what they cover is asked; a name is not tried again shorter, editors know no such pattern
_PIECE = re.compile(r"[ \t]*+(?:" + "|".join(pattern.replace(_NAME, _NAME + "+") for _, pattern in KINDS) + ")")
#: what was looked up of pieces: of a text's hundreds most come again and again, in it and in the next; so many are kept, none
#: that is longer
_KNOWN: dict[str, tuple[str, str, int]] = {}
_MOST, _LONGEST = 10_000, 200


def _looked_up(piece: str) -> tuple[str, str, int]:
    """The kind of a piece of text, what it says, and how many blanks stand before that.

    What follows a piece decides of one kind alone: `-5` is no number but a name before a stray `:` or `$`, and has "" for a kind.
    """
    match = _TOKEN.match(piece)
    assert match is not None and match.lastgroup is not None
    said = match[match.lastgroup]
    number = match.lastgroup == "WORD" and said.startswith("-")
    found = "" if number else match.lastgroup, said, match.start(match.lastgroup)
    if len(_KNOWN) >= _MOST:
        _KNOWN.clear()
    if len(piece) <= _LONGEST:
        _KNOWN[piece] = found
    return found


def tokens_of(text: str, start: int = 0, end: int | None = None) -> list[Token]:
    """All tokens of `text`, or of its lines from `start` to `end`: comments and blank lines dropped, a NEWLINE (zero width,
    behind the line's last token) ending every line that says something, and `$END` last."""
    tokens: list[Token] = []
    add, known = tokens.append, _KNOWN.get
    behind = previous_end = 1 if start == 0 and text.startswith("\ufeff") else start
    last = "NEWLINE"
    length = len(text) if end is None else end
    # to take a text to pieces in one go and to look each up is quicker than to ask one match after the other
    for piece in _PIECE.findall(text, behind, length):
        kind, said, blanks = known(piece) or _looked_up(piece)
        first = behind + blanks
        behind += len(piece)
        if kind == "NEWLINE":
            if last != "NEWLINE":
                add(line_end(previous_end))
                last = "NEWLINE"
            continue
        if kind == "COMMENT" or kind == "END":
            continue
        if kind == "RBRACE" and last == "LBRACE":
            add(line_end(previous_end))
        elif kind == "OPENSTRING":
            closed = _string_end(text, first, behind)
            add(Token(kind, text[first:closed], first, closed))
            last, previous_end = kind, closed
            brace = text.find("{", closed, behind)
            if brace >= 0:
                add(Token("LBRACE", "{", brace, brace + 1))
                last, previous_end = "LBRACE", brace + 1
            continue
        elif not kind:
            kind = "REF" if text[behind : min(behind + 1, length)] in (":", "$") else "WORD"
        add(Token(kind, said, first, behind))
        last, previous_end = kind, behind
    if last != "NEWLINE":
        add(line_end(previous_end))
    add(Token("$END", "", length, length))
    return tokens


def _string_end(text: str, start: int, end: int) -> int:
    """Where an unclosed string is taken to end: at its line's end, before a brace that opens a block."""
    body = text[start:end].rstrip(" \t")
    return start + len(body[:-1].rstrip(" \t") if body.endswith("{") else body)
