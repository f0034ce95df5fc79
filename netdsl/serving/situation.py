"""Where the cursor stands: in which blocks, behind which words of its line, and what of a word is written."""

from __future__ import annotations

import re

from lsprotocol import types
from msgspec import Struct

from netdsl.serving.desk import Open
from netdsl.syntax.lexer import tokens_of

#: what is being written: a designation with terminals, a value, or a word
_WRITING = re.compile(r"[=+\-$:]?[\w./=+\-:,$]*$")
_KEY = re.compile(r"(?:^|[ \t])([\w-]+)[ \t]*=[ \t]*([^\s=]*)$")


class Block(Struct, frozen=True):
    """An open block: its keyword, the name behind it, the words of the line that opened it."""

    keyword: str
    name: str
    words: tuple[str, ...]


class Situation(Struct, frozen=True):
    """`blocks`: those around the cursor, the innermost last; `words`: those before it in its line, without what is being written;
    `key`: the name whose value is being written, "" for none; `written`: what there is of the word; `start`: where it begins."""

    blocks: tuple[Block, ...]
    words: tuple[str, ...]
    key: str
    written: str
    start: types.Position

    @property
    def block(self) -> str:
        """The keyword of the innermost block, "" outside all."""
        return self.blocks[-1].keyword if self.blocks else ""

    @property
    def function(self) -> str:
        """The designation of the function around the cursor, "" for the common part."""
        names = [block.name for block in self.blocks if block.keyword == "function"]
        return ".".join([names[0], *(name.lstrip("=") for name in names[1:])]) if names else ""


def situation(here: Open, position: types.Position) -> Situation:
    """What stands before a place."""
    number, offset = here.places.locate(position)
    text = here.document.pieces[number].source.text[:offset]
    line_start = max(text.rfind("\n"), text.rfind("\r")) + 1
    before = text[line_start:]
    blocks: list[Block] = []
    line: list[str] = []
    for token in tokens_of(text[:line_start]):
        if token.type == "NEWLINE":
            line = []
        elif token.type == "LBRACE":
            blocks.append(Block(line[0] if line else "", line[1] if len(line) > 1 else "", tuple(line)))
        elif token.type == "RBRACE":
            del blocks[-1:]
        elif token.type != "$END":
            line.append(token.value)
    key = _KEY.search(before)
    if key is not None:
        name, written = key[1], key[2].rpartition(",")[2]
        head = before[: key.start()]
    else:
        name = ""
        found = _WRITING.search(before)
        written = found[0] if found is not None else ""
        head = before[: len(before) - len(written)]
    words = tuple(token.value for token in tokens_of(head) if token.type not in ("NEWLINE", "$END"))
    column = here.places.column(here.document.line(position.line), position.character)
    return Situation(tuple(blocks), words, name, written, here.places.position(position.line, column - len(written)))
