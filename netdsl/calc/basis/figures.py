"""Figures of standards, read from the data files of `netdsl.standards`, each with its source and confidence."""

from __future__ import annotations

import tomllib
from bisect import bisect_left
from collections.abc import Mapping, Sequence
from functools import cache
from importlib import resources
from typing import Any

from msgspec import Struct


class Figure(Struct, frozen=True):
    """A figure: its value in the unit the table states, `source` (standard and table), `confidence`."""

    value: float
    source: str
    confidence: str


@cache
def standard(name: str) -> Mapping[str, Any]:
    """The data file `name` (`conductors`, `protection` ...) as written."""
    return tomllib.loads(resources.files("netdsl.standards").joinpath(f"{name}.toml").read_text(encoding="utf-8"))


@cache
def tables(file: str, name: str) -> tuple[Mapping[str, Any], ...]:
    """All tables called `name` in a data file."""
    found = standard(file)[name]
    return tuple(found) if isinstance(found, list) else (found,)


@cache
def one_table(file: str, name: str, **of: str) -> Mapping[str, Any]:
    """The table called `name`, of several the first with these entries: `one_table("protection", "mcb_band", type="B")`."""
    return next(table for table in tables(file, name) if all(table[key] == entry for key, entry in of.items()))


def confidence_at(table: Mapping[str, Any], index: int) -> str:
    """How sure the value at `index` of a table is."""
    stated = table["confidence"]
    return str(stated if isinstance(stated, str) else stated[index])


def single(table: Mapping[str, Any], column: str) -> Figure:
    """The one value of a column, with source and confidence."""
    sure = "memory" if column in table.get("memory_fields", ()) else str(table["confidence"])
    return Figure(float(table[column]), str(table["source"]), sure)


def figure(table: Mapping[str, Any], column: str, index: int) -> Figure:
    """The value at `index` of a column, with source and confidence."""
    sure = "memory" if column in table.get("memory_fields", ()) else confidence_at(table, index)
    return Figure(float(table[column][index]), str(table["source"]), sure)


def exactly(table: Mapping[str, Any], key: str, wanted: float, column: str) -> Figure | None:
    """The value of `column` where `key` is `wanted`; None where the table has no such row."""
    rows: Sequence[float] = table[key]
    return next((figure(table, column, n) for n, row in enumerate(rows) if abs(row - wanted) < 1e-9), None)


def at_or_above(table: Mapping[str, Any], key: str, wanted: float, column: str) -> Figure | None:
    """The value of `column` in the first row whose ascending `key` is `wanted` or more; None beyond the last."""
    index = bisect_left(table[key], wanted - 1e-9)
    return figure(table, column, index) if index < len(table[key]) else None


def between(table: Mapping[str, Any], key: str, wanted: float, column: str) -> Figure | None:
    """The value of `column` at `wanted`, in a straight line between the rows beside it; None outside the table."""
    rows: Sequence[float] = table[key]
    if not rows[0] <= wanted <= rows[-1]:
        return None
    index = bisect_left(rows, wanted - 1e-9)
    here = figure(table, column, index)
    if index == 0 or abs(rows[index] - wanted) < 1e-9:
        return here
    before = figure(table, column, index - 1)
    share = (wanted - rows[index - 1]) / (rows[index] - rows[index - 1])
    sure = before.confidence if before.confidence != "verified" else here.confidence
    return Figure(before.value + share * (here.value - before.value), here.source, sure)
