"""What stands in a line: words, texts, parameters, references with their terminals, attributes; each with its span."""

from __future__ import annotations

from dataclasses import dataclass

from netdsl.findings import Span


@dataclass(frozen=True, slots=True)
class Word:
    """A bare word or anything that begins with a digit: `screened`, `BK`, `10mm2`, `4G10`, `2026-05-04`."""

    text: str
    span: Span


@dataclass(frozen=True, slots=True)
class Text:
    """A quoted string; `value` without the quotes and with `\\"` and `\\\\` undone."""

    value: str
    span: Span


@dataclass(frozen=True, slots=True)
class Number:
    """A whole number inside a computed terminal."""

    value: int
    span: Span


@dataclass(frozen=True, slots=True)
class Param:
    """`$name`: a parameter of the scheme around it."""

    name: str
    span: Span


@dataclass(frozen=True, slots=True)
class Arithmetic:
    """`left operator right` in parentheses; operator is one of `+ - *`."""

    left: Expression
    operator: str
    right: Expression
    span: Span


@dataclass(frozen=True, slots=True)
class Role:
    """`(start)` or `(digital-in 2)` behind a device: the terminal with that function or, counted from 1, that role."""

    name: Word
    index: Expression | None
    span: Span


Expression = Number | Param | Arithmetic


@dataclass(frozen=True, slots=True)
class TerminalName:
    """One terminal as written, `L1`, `24V`, `5/in`, or a range `1..6` (`first` and `last` differ then)."""

    first: str
    last: str
    span: Span


@dataclass(frozen=True, slots=True)
class ComputedTerminal:
    """`($first+1)` or `(start)`: a terminal found by arithmetic or by role."""

    expression: Expression | Role
    span: Span


TerminalSpec = TerminalName | ComputedTerminal


@dataclass(frozen=True, slots=True)
class Reference:
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


@dataclass(frozen=True, slots=True)
class Attr:
    """`key=value` or `key=value,value`."""

    key: Word
    values: tuple[Value, ...]
    span: Span
