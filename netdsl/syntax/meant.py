"""Slips of writing of which it is plain what was meant: a dash of a word processor, a sign left out, a decimal comma."""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import NamedTuple

from netdsl.findings import Source
from netdsl.syntax.lexer import Token

_DASHES = "–—−‐‑"
_OPENING, _CLOSING = "“”„‟", "“”‟"
#: a designation without its sign
_PRODUCT = re.compile(r"[A-Z]+[A-Z0-9_.]*")
_BEFORE_COMMA, _FRACTION = re.compile(r"\d+[xG]\d+"), re.compile(r"\d+\S*")
_TERMINAL = re.compile(r"[A-Z]{0,3}\d+")
_SIGNS = {"function": "=", "place": "+"}


class Meant(NamedTuple):
    """What is said from `first` to the offset `end`, the tokens to read `instead`, whether the token before is taken back for
    them, and the position to go on from."""

    message: str
    remedy: str
    first: Token
    end: int
    instead: tuple[Token, ...]
    behind: int
    takes_back: bool = False


def meant(tokens: list[Token], position: int, start: int, source: Source, accepts: Callable[[str], bool]) -> Meant | None:
    """What was meant by the token at `position`, which does not fit, in a line from `start`; None where that is not plain."""
    token = tokens[position]
    if token.type == "JUNK":
        if token.value in _DASHES:
            return _dash(tokens, position, accepts)
        if token.value in _OPENING:
            return _quotes(tokens, position, source, accepts)
        return _strokes(tokens, position, start) if token.value == "/" else None
    before = tokens[position - 1] if position > start else None
    if token.type == "COMMA" and before is not None:
        return _comma(tokens, position)
    if token.type == "REF" and token.value.startswith("+") and before is not None and ":" not in token.value and accepts("KEY"):
        said = f"`{token.value}` stands without `at=`"
        key = Token("KEY", "at=", token.start_pos, token.start_pos)
        return Meant(said, f"write `at={token.value}`", token, token.end_pos, (key, token), position + 1)
    if token.type != "WORD" or before is None:
        return None
    if before.type == "REF" and ":" not in before.value and accepts("to") and _TERMINAL.fullmatch(token.value):
        whole = Token("REF", f"{before.value}:{token.value}", before.start_pos, token.end_pos)
        said = f"`{before.value}` stands without `:` before its terminal"
        return Meant(said, f"write `{whole.value}`", before, token.end_pos, (whole,), position + 1, takes_back=True)
    return _sign(tokens, position, start, accepts)


def _with_terminals(tokens: list[Token], position: int) -> tuple[str, int]:
    """A name and the terminals attached to it, and the position of the last token of them."""
    token, following = tokens[position], tokens[position + 1]
    if following.type == "TERMS" and following.start_pos == token.end_pos:
        return token.value + following.value, position + 1
    return token.value, position


def _dash(tokens: list[Token], position: int, accepts: Callable[[str], bool]) -> Meant | None:
    token, following = tokens[position], tokens[position + 1]
    if following.type != "WORD" or following.start_pos != token.end_pos or not accepts("REF"):
        return None
    name, last = _with_terminals(tokens, position + 1)
    whole = Token("REF", f"-{name}", token.start_pos, tokens[last].end_pos)
    said = f"`{token.value}` is a dash, not the sign `-`"
    return Meant(said, f"write `-`: `{whole.value}`", token, token.end_pos, (whole,), last + 1)


def _quotes(tokens: list[Token], position: int, source: Source, accepts: Callable[[str], bool]) -> Meant | None:
    token, last = tokens[position], position + 1
    while tokens[last].type not in ("NEWLINE", "$END") and tokens[last].value not in _CLOSING:
        last += 1
    if tokens[last].type in ("NEWLINE", "$END") or not accepts("STRING"):
        return None
    text = f'"{source.text[token.end_pos : tokens[last].start_pos]}"'
    whole = Token("STRING", text, token.start_pos, tokens[last].end_pos)
    said = f"`{token.value}` begins no text, which stands in straight quotes"
    return Meant(said, f"write `{text}`", token, whole.end_pos, (whole,), last + 1)


def _strokes(tokens: list[Token], position: int, start: int) -> Meant | None:
    token, following = tokens[position], tokens[position + 1]
    if following.value != "/" or following.start_pos != token.end_pos:
        return None
    last = position
    while tokens[last].type not in ("NEWLINE", "$END"):
        last += 1
    behind = last + 1 if position == start and tokens[last].type == "NEWLINE" else last
    return Meant("`//` begins no comment", "begin it with `#`", token, following.end_pos, (), behind)


def _comma(tokens: list[Token], position: int) -> Meant | None:
    before, token, following = tokens[position - 1], tokens[position], tokens[position + 1]
    attached = before.end_pos == token.start_pos and token.end_pos == following.start_pos
    if not attached or not _BEFORE_COMMA.fullmatch(before.value) or not _FRACTION.fullmatch(following.value):
        return None
    whole = Token("WORD", f"{before.value}.{following.value}", before.start_pos, following.end_pos)
    said = f"`{before.value},{following.value}` has a comma for its point"
    return Meant(said, f"write `{whole.value}`", before, whole.end_pos, (whole,), position + 2, takes_back=True)


def _sign(tokens: list[Token], position: int, start: int, accepts: Callable[[str], bool]) -> Meant | None:
    token, keyword = tokens[position], tokens[start].value
    if not _PRODUCT.fullmatch(token.value) or not accepts("REF"):
        return None
    name, last = _with_terminals(tokens, position)
    sign = _SIGNS.get(keyword, "-")
    whole = Token("REF", sign + name, token.start_pos, tokens[last].end_pos)
    remedy = f"write `{sign}{name}`" + (f", or `+{name}` where a place is meant" if keyword in ("wire", "allow") else "")
    return Meant(f"`{name}` is no designation", remedy, token, whole.end_pos, (whole,), last + 1)
