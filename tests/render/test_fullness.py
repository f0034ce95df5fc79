"""Sheets of the examples are full: none stays with less than a third of its field in use but the last of its kind."""

from __future__ import annotations

from collections.abc import Sequence
from math import ceil
from pathlib import Path

import pytest

from render.drawing import members
from render.layout.bounds import bounds_of
from render.layout.fonts import Box
from render.sheet import Label, Primitive, Sheet
from tests.readings import PLANTS, drawing_of

#: the least share of its field that a sheet uses
LEAST = 1 / 3
_STRIP = 50.0  # mm, a column of zones (ISO 5457)
_FOOT = 9.0  # mm at the foot of the field in which circuit diagrams say what usual wires are


def used(primitives: Sequence[Primitive], field: Box) -> float:
    """The share of `field` that is in use: in each column of its zones from the highest ink to the lowest.

    White between two lines of a circuit or two rows of a list is in use, for nothing else could stand there; the corner that two
    circuits leave open is not, as it would be with one box round all. What is said at the foot of every sheet does not count.
    """
    count = ceil(field.width / _STRIP)
    inner = Box(field.left, field.top, field.right, field.bottom - _FOOT)
    strips: list[tuple[float, float] | None] = [None] * count
    for primitive in primitives:
        box = bounds_of(primitive)
        if box.top >= inner.bottom or (isinstance(primitive, Label) and not primitive.text):
            continue
        first, last = (min(max(int((x - field.left) / _STRIP), 0), count - 1) for x in (box.left, box.right))
        for number in range(first, last + 1):
            top, bottom = strips[number] or (box.top, box.bottom)
            strips[number] = min(top, box.top), min(max(bottom, box.bottom), inner.bottom)
    return sum(found[1] - found[0] for found in strips if found) / count / inner.height


def stem(sheet: Sheet) -> str:
    """What the sheets of a function or place have in common: the key without the count."""
    name, _, count = sheet.key.rpartition(".")
    return name if count.isdecimal() else sheet.key


def sparse(plant: Path) -> list[str]:
    """Sheets with too much room. The last of a kind is the last of its function or place, for a terminal drawing hangs where what
    it shows stands, and a feeder's sheets are its own; a function of which one sheet stays empty is to share it."""
    drawing = drawing_of(plant)
    kinds: dict[str, list[Sheet]] = {}
    for member in members():
        for sheet in drawing.drawn(member):
            kinds.setdefault(sheet.kind, []).append(sheet)
    faults = []
    for kind, sheets in kinds.items():
        for sheet in sheets[:-1]:
            same = [each for each in sheets if stem(each) == stem(sheet)]
            alone = len(same) == 1 and sheet.part_of.startswith("=") and kind != "Terminal diagram"
            if (sheet is not same[-1] or alone) and (share := used(sheet.primitives, drawing.area)) < LEAST:
                faults.append(f"{sheet.key} uses {share:.0%} of its field")
    return faults


@pytest.mark.parametrize("plant", PLANTS, ids=lambda path: path.parent.name)
def test_no_sheet_but_the_last_of_its_kind_stays_empty(plant: Path) -> None:
    assert sparse(plant) == []


def test_what_is_drawn_in_a_corner_uses_that_corner_alone() -> None:
    field = Box(0.0, 0.0, 400.0, 209.0)
    corner = Label(10.0, 60.0, "one"), Label(10.0, 10.0, "another")
    opposite = Label(360.0, 190.0, "far")
    assert 0.02 < used(corner, field) < 0.04
    assert used((*corner, opposite), field) < 0.05
