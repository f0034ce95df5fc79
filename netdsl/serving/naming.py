"""What a piece of text declares and what it mentions, by name: which pieces hang together."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from typing import cast

from netdsl.model.terminals import numbered
from netdsl.serving.pieces import Piece
from netdsl.syntax import tree
from netdsl.syntax.lexer import tokens_of
from netdsl.syntax.written import Reference, Word

#: a designation, a word, or a value by its name
_MENTION = re.compile(r"(?<!\w)[=+\-][A-Za-z_][\w.+=\-]*|\$[A-Za-z][\w\-]*|[A-Za-z_][\w.\-]*")
#: statements that hold for the whole plant, or for whatever they name
EVERYWHERE = (tree.Version, tree.Project, tree.Let, tree.Shade, tree.RuleSeverity, tree.ClassSeparation, tree.LeastSection)


def declared(piece: Piece) -> frozenset[str]:
    """Designations and names that a piece declares: `=RP1`, `=RP1-T1`, `+MCP`, `TRAY1`, `$length`."""
    found = piece.kept.get("declared")
    if found is None:
        found = piece.kept["declared"] = frozenset(_declared(piece.tree.statements, ""))
    return cast(frozenset[str], found)


def mentioned(piece: Piece) -> frozenset[str]:
    """Every designation and word that stands in a piece, as written."""
    found = piece.kept.get("mentioned")
    if found is None:
        found = piece.kept["mentioned"] = words_of(piece.source.text)
    return cast(frozenset[str], found)


def words_of(text: str) -> frozenset[str]:
    """The same of any lines."""
    return frozenset(word.rstrip(".-") for word in _MENTION.findall(text))


def terminals_in(lines: str, declared_there: frozenset[str]) -> Iterator[str]:
    """Every terminal that lines name, as `=RP1-T1:U`: what begins with `-` on its own and in each function declared there."""
    functions = sorted(name for name in declared_there if name.startswith("=") and not {"-", "+"} & set(name))
    for token in tokens_of(lines):
        device, colon, named = token.value.partition(":")
        if token.type != "REF" or not colon or "(" in named or "$" in token.value:
            continue
        for each in named.split(","):
            first, dots, last = each.partition("/")[0].partition("..")
            for name in (numbered(first, last) or ()) if dots else (first,):
                for function in ("", *functions) if device.startswith("-") else ("",):
                    yield f"{function}{device}:{name}"


def may_mean(word: str) -> Iterator[str]:
    """What a mentioned word may be declared as: itself, the function it stands in, and the functions around that."""
    yield word
    if word.startswith("="):
        function = re.split(r"[-+]", word, maxsplit=1)[0]
        while function:
            yield function
            function = function.rpartition(".")[0]


def everywhere(piece: Piece) -> bool:
    """Whether a piece says what holds for the whole plant."""
    return any(isinstance(statement, EVERYWHERE) for statement in piece.tree.statements)


def _declared(statements: Iterable[tree.Statement], function: str) -> Iterator[str]:
    for statement in statements:
        match statement:
            case tree.Declaration(name=Reference(base=base)) | tree.Strip(name=Reference(base=base)):
                yield _whole(base, function)
            case tree.Outside(name=Reference(base=base)):
                yield _whole(base, function)
            case tree.Declaration(name=Word(text=text)) | tree.Part(name=Word(text=text)) | tree.Scheme(name=Word(text=text)):
                yield text
            case tree.PotentialName(name=Word(text=text)):
                yield text
            case tree.Cable():
                yield from (_whole(name.base, function) for name in (statement.name, *statement.more))
            case tree.Let():
                yield from (f"${attr.key.text}" for attr in statement.attrs)
            case tree.Function():
                inner = f"{function}.{statement.name.base[1:]}" if function else statement.name.base
                yield inner
                yield from _declared(statement.body, inner)


def _whole(base: str, function: str) -> str:
    return function + base if base.startswith("-") else base
