"""Numbers written apart from their unit: `1 mm2` is one slip, not a number and a word that both mean nothing."""

from __future__ import annotations

import re
from collections.abc import Callable

from netdsl.findings import Source, Span
from netdsl.quantities import UNITS
from netdsl.syntax.lexer import Token

_NUMBER = r"\d+(?:\.\d+)?(?:\.\.\d+(?:\.\d+)?)?"
_UNITS = frozenset(unit for unit in UNITS if unit)
_WHOLE_NUMBER = re.compile(_NUMBER)
#: lines in which a number and a short word may stand side by side, each with a meaning of its own
_FREE = frozenset({"setting", "revision", "position"})


def joined(source: Source, tokens: list[Token], report: Callable[..., None]) -> list[Token]:
    """`tokens` with each number and the unit behind it made one word; every such place is reported."""
    if _UNITS.isdisjoint([token.value for token in tokens]):  # so are nearly all texts: the rest is for the others
        return tokens
    result: list[Token] = []
    first = ""
    for token in tokens:
        if not result or result[-1].type == "NEWLINE":
            first = token.value
        before = result[-1] if result else token
        if (
            token.type == before.type == "WORD"
            and token.value in _UNITS
            and first not in _FREE
            and _WHOLE_NUMBER.fullmatch(before.value)
        ):
            word = before.value + token.value
            report(
                "syntax",
                f"a blank stands between `{before.value}` and its unit",
                f"write `{word}`",
                Span(source, before.start_pos, token.end_pos),
            )
            result[-1] = Token("WORD", word, before.start_pos, token.end_pos)
        else:
            result.append(token)
    return result
