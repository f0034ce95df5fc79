"""Lists behind the ends of a `wire`: a colour, a section, a length for each of its conductors."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from msgspec.structs import replace

from netdsl.findings import Span
from netdsl.model.here import Here
from netdsl.model.ratings import Open
from netdsl.model.statements.wire_says import WIRE, WireSays
from netdsl.model.values import settled, value_span
from netdsl.quantities import with_point
from netdsl.syntax.tree import Item, Listed, Wire
from netdsl.syntax.written import Attr, Param, Text, Value, Word


class Step(NamedTuple):
    """What each conductor of a wire may have of its own."""

    section_mm2: float | None
    colour: str | None
    length_m: float | None


#: lists of a wire as its words and lengths, each with its characters and what may be listed there
Lists = list[tuple[Span, Sequence[WireSays]]]


def listed_in(wire: Wire, here: Here) -> tuple[Lists, Wire]:
    """What a wire says conductor by conductor, and the wire without it."""
    listed: Lists = []
    items: list[Item] = []
    attrs: list[Attr] = []
    for item in wire.items:
        if isinstance(item, Word):
            items.append(item)
            continue
        words = _words_of(item, here)
        point = None if words is None else with_point(item.span.text.replace(" ", ""))
        if point is not None:
            message = f"`{item.span.text}` has a comma for its point"
            here.fault("wrong-unit", item.span, message, f"write `{point}`", whole=here.whole)
        elif words is None:
            items.append(item)
        else:
            listed.append((item.span, [WIRE.read(here, (), (word,)) for word in words]))
    for attr in wire.attrs:
        values = _words_of(attr.values[0], here) if attr.key.text == "length" and len(attr.values) == 1 else attr.values
        comma = len(attr.values) == 2 and with_point(value_span(attr).text) is not None  # `1,5m` is told as what it is
        if attr.key.text != "length" or values is None or len(values) < 2 or comma:
            attrs.append(attr)
        else:
            listed.append((attr.span, [WIRE.read(here, (replace(attr, values=(value,)),)) for value in values]))
    whole = len(items) == len(wire.items) and not listed
    return listed, wire if whole else replace(wire, items=tuple(items), attrs=tuple(attrs))


def _words_of(item: Item | Value, here: Here) -> Sequence[Word | Param] | None:
    """The words of a list, also of one that a value stands for (`let colours=BN,BK,GY`); None for what is no list."""
    if isinstance(item, Listed):
        return item.values
    found = settled(item, here) if isinstance(item, Param) else None
    if found is None or not isinstance(found[0], Text) or found[0].span.text.startswith('"'):
        return None
    return [Word(word, item.span) for word in found[0].value.split(",")]


def steps_of(listed: Lists, says: WireSays, count: int, here: Here) -> list[Step]:
    """What each of `count` conductors has, from the lists where there are some; a finding for one of another length."""
    section = None if isinstance(says.section, Open) else says.section
    steps = [Step(section, says.colour, says.length_m)] * count
    for span, values in listed:
        if len(values) != count:
            here.fault(
                "count-mismatch",
                span,
                f"`{span.text}` lists {len(values)} values, the wire has {_conductors(count)}",
                "give one for each conductor, or one for all",
                whole=here.whole,
            )
            continue
        for number, one in enumerate(values):
            before = steps[number]
            own = None if isinstance(one.section, Open) else one.section
            if (one.colour and before.colour) or (own and before.section_mm2):
                here.fault("duplicate-name", span, f"`{span.text}` is given besides one for all", "give one of them")
                break
            steps[number] = Step(own or before.section_mm2, one.colour or before.colour, one.length_m or before.length_m)
    return steps


def _conductors(count: int) -> str:
    """How many conductors there are, in words."""
    return "1 conductor" if count == 1 else f"{count} conductors"
