"""Where a text names something and what that is: kept while a plant is read, by whoever asks for it."""

from __future__ import annotations

from enum import StrEnum
from typing import NamedTuple

from msgspec import Struct, field

from netdsl.findings import Span


class What(StrEnum):
    """What is named."""

    THING = "thing"  # a device, cable or place
    DECLARED = "declared"  # one of these, where it is declared
    FUNCTION = "function"
    ENTERED = "entered"  # a function, where its block begins
    ROUTE = "route"
    PART = "part"  # a value of which designations are made, `$pump` in `-T$pump` or `$pump-M1`


class Mention(NamedTuple):
    """`what` is named: `identity`, by the characters of `span`, which mean `meant`, the same unless
    they are made of values or are one of several; in `function`, "" for the common part."""

    what: What
    identity: str
    span: Span
    meant: str
    function: str


class TerminalMention(NamedTuple):
    """Terminals of `device`: those that `span` spells, or the one called `name` where they are worked out, as `($first+1)`.
    `leaves`: the numbers in the text of which that is worked out."""

    device: str
    span: Span
    name: str = ""
    leaves: tuple[Span, ...] = ()


class Default(NamedTuple):
    """A parameter `name` that a `use` does not give: `at` is where it would stand there, behind what it gives."""

    name: str
    at: Span


class Mentions(Struct):
    """All that a plant's text names, in order of reading. `defaults`: values that a scheme gives in place of a `use`, by the
    characters of the default and the function of the `use`."""

    things: list[Mention] = field(default_factory=list)
    terminals: list[TerminalMention] = field(default_factory=list)
    defaults: dict[tuple[Span, str], Default] = field(default_factory=dict)
