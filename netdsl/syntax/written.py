"""What stands in a line: words, texts, parameters, references with their terminals, attributes; each with its span.

None of them leads back to itself, so that the search for cycles need not look at them, of which a plant holds most.
"""

from __future__ import annotations

from msgspec import Struct

from netdsl.findings import Span


class Word(Struct, frozen=True, gc=False):
    """A bare word or anything that begins with a digit: `screened`, `BK`, `10mm2`, `4G10`, `2026-05-04`."""

    text: str
    span: Span


class Text(Struct, frozen=True, gc=False):
    """A quoted string; `value` without the quotes and with `\\"` and `\\\\` undone."""

    value: str
    span: Span


class Number(Struct, frozen=True, gc=False):
    """A whole number inside a computed terminal."""

    value: int
    span: Span


class Param(Struct, frozen=True, gc=False):
    """`$name`: a parameter of the scheme around it."""

    name: str
    span: Span


class Arithmetic(Struct, frozen=True, gc=False):
    """`left operator right` in parentheses; operator is one of `+ - *`."""

    left: Expression
    operator: str
    right: Expression
    span: Span


class Role(Struct, frozen=True, gc=False):
    """`(start)` or `(digital-in 2)` behind a device: the terminal with that function or, counted from 1, that role."""

    name: Word
    index: Expression | None
    span: Span


Expression = Number | Param | Arithmetic


class TerminalName(Struct, frozen=True, gc=False):
    """One terminal as written, `L1`, `24V`, `5/in`, or a range `1..6` (`first` and `last` differ then)."""

    first: str
    last: str
    span: Span


class ComputedTerminal(Struct, frozen=True, gc=False):
    """`($first+1)` or `(start)`: a terminal found by arithmetic or by role."""

    expression: Expression | Role
    span: Span


TerminalSpec = TerminalName | ComputedTerminal


class Reference(Struct, frozen=True, gc=False):
    """A designation with or without terminals: `=RP1-T1:U,V,W`, `+MCP.D`, `$drive:(start)`.

    `base` is the designation or `$name` without its terminals; empty for bare terminals (`:1..6`) in parts and strips. `meant`:
    the whole reference where it is meant otherwise than it is written, as `-T1` by `-T$pump`.
    """

    base: str
    terminals: tuple[TerminalSpec, ...]
    span: Span
    meant: str = ""

    @property
    def text(self) -> str:
        """As it is meant: as written, values put in."""
        return self.meant or self.span.text


Value = Word | Text | Param | Reference | ComputedTerminal


class Attr(Struct, frozen=True, gc=False):
    """`key=value` or `key=value,value`."""

    key: Word
    values: tuple[Value, ...]
    span: Span
