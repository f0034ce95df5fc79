"""A value in one writing: what means the same reads the same, however the text wrote it."""

from __future__ import annotations

from collections.abc import Mapping
from enum import Enum

from msgspec import Struct

from netdsl.findings import Span
from netdsl.quantities import BASE_UNIT, Quantity, number_text, shown

#: kinds printed in thousands from a thousand on
_IN_THOUSANDS = frozenset({"W", "VA", "var", "V", "A", "ohm", "bit/s", "A2s"})
_JOINTS = {"single": "", "range": "..", "alternatives": "/", "size": "x"}


def said(value: object) -> str:
    """A value of the plant as text without line end: numbers in one unit, names sorted where their order means nothing, no place
    in the text; "" where nothing is said."""
    if value is None or value == "":
        return ""
    if type(value) is str:
        return " ".join(value.split())
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, Enum):
        return str(value.value)
    if isinstance(value, str):
        return " ".join(value.split())
    if isinstance(value, float | int):
        return number_text(value)
    if isinstance(value, Quantity):
        return _quantity(value)
    if isinstance(value, Struct):
        return "; ".join(f"{name} {text}" for name, text in fields_of(value) if text not in ("no", "0"))
    if isinstance(value, Mapping):
        return ", ".join(f"{name} {said(each)}" for name, each in sorted(value.items()))
    if isinstance(value, frozenset | set):
        return ", ".join(sorted(said(each) for each in value))
    if isinstance(value, tuple | list) and not isinstance(value, Span):
        return ", ".join(filter(None, map(said, value)))
    return str(value)


def fields_of(value: Struct, but: frozenset[str] = frozenset()) -> list[tuple[str, str]]:
    """The fields of a Struct that say something, by the words of their names, in their order; places in the text left out."""
    found = []
    for name in value.__struct_fields__:
        field = getattr(value, name)
        if name in but or isinstance(field, Span):
            continue
        text = said(field)
        if text:
            found.append((name.removesuffix("_").replace("_", "-"), text))
    return found


def _quantity(value: Quantity) -> str:
    """`7500W` and `7.5kW` alike as `7.5 kW`."""
    unit = BASE_UNIT.get(value.kind)
    if unit is None:
        return shown(value.text)
    numbers = value.values
    if unit in _IN_THOUSANDS and all(abs(number) >= 1000 or number == 0 for number in numbers) and any(numbers):
        numbers, unit = tuple(number / 1000 for number in numbers), "k" + unit
    return shown(_JOINTS[value.form].join(map(number_text, numbers)) + unit)
