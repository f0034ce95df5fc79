"""The grammar as lark has analysed it: loaded from `grammar.bin`, analysed anew where that file does not serve.

Analysing takes ten times as long as loading, and `netdsl check` of a small plant would spend a tenth of its time on it.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from functools import lru_cache
from hashlib import sha256
from io import BytesIO
from pathlib import Path
from typing import Any

import lark
from lark.grammar import Rule
from lark.lexer import Lexer

from netdsl.syntax.lexer import Token

GRAMMAR_PATH = Path(__file__).with_name("grammar.lark")
TABLES_PATH = Path(__file__).with_name("grammar.bin")


class Tokens(Lexer):
    """The custom lexer of the grammar: whatever iterable of tokens lark is given to parse, it goes through.

    A class by itself and not inside a function, because `Lark.save` stores its name.
    """

    def __init__(self, lexer_conf: Any) -> None:
        """Takes nothing from `lexer_conf`: the grammar only declares its tokens."""

    def lex(self, data: Iterable[Token]) -> Iterator[Any]:  # type: ignore[override]
        """The tokens of `data`. lark calls custom lexers with the data alone, unlike its own."""
        return iter(data)


class _Itself(Rule):
    """A rule of the grammar that is like itself alone, as in one grammar each is. lark looks up the callback of a rule with each
    reduction, and to have its symbols hashed and compared takes a tenth of a parse."""

    __slots__ = ()
    __hash__ = object.__hash__
    __eq__ = object.__eq__


@lru_cache(maxsize=1)
def grammar() -> lark.Lark:
    """The analysed grammar, loaded once; never fails for the sake of the stored file."""
    text = GRAMMAR_PATH.read_text(encoding="utf-8")
    try:
        found = loaded(TABLES_PATH.read_bytes(), text)
    except Exception:  # missing, damaged, of another grammar or lark, not loadable: analysing mends each of them
        found = analysed(text)
    for rule in found.rules:  # the very objects that stand in the tables: tests/syntax/test_interactive.py
        rule.__class__ = _Itself
    return found


@lru_cache(maxsize=1)
def keywords() -> dict[str, str]:
    """What lark calls the terminal of each soft keyword: `distribution-block` is a generated name."""
    return {str(terminal.pattern.value): str(terminal.name) for terminal in grammar().terminals}


def analysed(text: str) -> lark.Lark:
    """The grammar `text` with its LALR tables; raises lark.GrammarError."""
    return lark.Lark(text, parser="lalr", lexer=Tokens, maybe_placeholders=False, keep_all_tokens=True)


def stored(text: str) -> bytes:
    """What `grammar.bin` holds for the grammar `text`: a line that names lark's version, the grammar and the tables by a digest,
    then the tables as lark saves them. The states' numbers in them change from run to run, what they say does not."""
    saved = BytesIO()
    analysed(text).save(saved)
    return _heading(text, saved.getvalue()) + saved.getvalue()


def loaded(data: bytes, text: str) -> lark.Lark:
    """The grammar that `data` stores; raises ValueError where it is not that of `text` and this lark, or damaged."""
    heading, newline, saved = data.partition(b"\n")
    if heading + newline != _heading(text, saved):
        raise ValueError("the stored tables are not those of this grammar and this version of lark")
    return lark.Lark.load(BytesIO(saved))


def _heading(text: str, saved: bytes) -> bytes:
    return f"lark {lark.__version__} {sha256(text.encode() + saved).hexdigest()}\n".encode()
