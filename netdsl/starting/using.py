"""The lines of a `use`: one where it fits on a page, else a block with a line for each thing that it says."""

from __future__ import annotations

from collections.abc import Iterator

from netdsl.starting.narrowing import WIDTH

#: columns that a line stands in at most, inside a function that is inside one
_INDENT = 4


def use_lines(scheme: str, *groups: str) -> list[str]:
    """`use SCHEME`; each of `groups` is what belongs together, as `door=+MCP.D door-way=DUCT2`; "" says nothing."""
    given = [group for group in groups if group]
    line = f"use {scheme} {' '.join(given)}"
    if len(line) + _INDENT <= WIDTH:
        return [line]
    return [f"use {scheme} {{", *(f"  {line}" for group in given for line in _broken(group)), "}"]


def _broken(group: str) -> Iterator[str]:
    """`a=b c=d` as lines of a block have it, `a = b   c = d`."""
    line = ""
    for each in group.split():
        said = " = ".join(each.split("=", 1))
        if line and len(line) + len(said) + 3 * _INDENT > WIDTH:
            yield line
            line = ""
        line = f"{line}   {said}" if line else said
    yield line
