"""What the records of the project hold, whichever library made their class."""

from __future__ import annotations

from dataclasses import fields, is_dataclass

from msgspec import Struct


def held(value: object) -> dict[str, object] | None:
    """The fields of a record by name, None for what is none."""
    if value is None or isinstance(value, (str, int, float, tuple, dict)):  # as most are
        return None
    if isinstance(value, Struct):
        return {name: getattr(value, name) for name in value.__struct_fields__}
    if is_dataclass(value) and not isinstance(value, type):
        return {each.name: getattr(value, each.name) for each in fields(value)}
    return None
