"""Texts no wider than a page: comments that make a line too long stand above it, in as many lines as they need."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator

#: columns of a line
WIDTH = 130


def narrowed(text: str) -> str:
    """`text` with its comments within `WIDTH` columns; statements, which end with their line, stay as they are."""
    return "\n".join(line for long in text.split("\n") for line in _lines(long))


def _lines(line: str) -> Iterator[str]:
    if len(line) <= WIDTH:
        yield line
        return
    indent = line[: len(line) - len(line.lstrip())]
    if line.startswith(f"{indent}# "):
        yield from _wrapped(indent, line[len(indent) + 2 :])
        return
    code, mark, said = line.partition("  # ")
    if mark:
        yield from _wrapped(indent, said)
    yield code


def _wrapped(indent: str, said: str) -> Iterator[str]:
    """The lines of a comment; what goes on of an item of a list stands below its text."""
    item = len(said) - len(said.lstrip(" -"))
    for line in textwrap.wrap(said, WIDTH, initial_indent=f"{indent}# ", subsequent_indent=f"{indent}# {' ' * item}"):
        yield line.rstrip()
