"""Every shipped part stands on the drawings by a symbol or a block with words: no square is empty.

Lists have no symbols: those of a part of every form are drawn in `test_parts_wired.py`.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import cache
from itertools import pairwise
from pathlib import Path

import pytest

import netdsl.library
from netdsl.calc import Calculation
from netdsl.library.catalogue import schemes
from netdsl.model import read_plant
from netdsl.model.files import library_index
from netdsl.model.part_type import PartType
from netdsl.model.statements.parts import shipped_part
from netdsl.network import build_network
from render.drawing import Drawing, members
from render.drawings.mounting import KIND as MOUNTING
from render.sheet import Arc, Circle, Label, Line, Primitive, Sheet
from render.symbols import placed, symbol, symbol_names
from tests.library.every_part import FITTED, plant_of
from tests.readings import PLANTS

#: of IEC 60617 with a rectangle that has nothing in it: a coil, that of a valve too, a resistor
BARE = ("coil", "relay", "timer", "valve", "resistor", "brake-resistor")
#: what has such a coil among other things
WITH_A_COIL = ("contactor", "motor-starter", "motor", "guard-lock")
#: the shipped schemes, some of which use others
LIBRARY = Path(netdsl.library.__file__).parent
#: where the lists begin in the set
LISTS = 400
#: parts in one plant
MANY = 100
Extent = tuple[float, float, float, float]


@cache
def parts() -> tuple[PartType, ...]:
    """All shipped parts, as many as names."""
    found = tuple(part for part in map(shipped_part, library_index()) if part is not None)
    assert len(found) == len(library_index())
    return found


def extents(part: Primitive) -> Iterator[Extent]:
    """Left, top, right and bottom of what a primitive is made of, mm; of a label where it is anchored."""
    match part:
        case Line():
            points = (*part.points, part.points[0]) if part.closed else part.points
            yield from ((min(a, c), min(b, d), max(a, c), max(b, d)) for (a, b), (c, d) in pairwise(points))
        case Circle():
            yield part.x - part.radius, part.y - part.radius, part.x + part.radius, part.y + part.radius
        case Arc():
            yield part.x - part.rx, part.y - part.ry, part.x + part.rx, part.y + part.ry
        case Label():
            yield part.x, part.y - part.height / 2, part.x, part.y - part.height / 2


def is_upright(part: Primitive) -> bool:
    """Whether it is a rectangle with upright sides that is not filled."""
    if not isinstance(part, Line) or not part.closed or part.fill or len(part.points) != 4:
        return False
    return all((a == c) != (b == d) for (a, b), (c, d) in pairwise((*part.points, part.points[0])))


def empty_squares(primitives: Sequence[Primitive]) -> Iterator[str]:
    """To what each upright rectangle of the size of a symbol belongs that has nothing in it: what lies at its border, as
    the lines that lead to it, is not in it."""
    squares = []
    for part in filter(is_upright, primitives):
        sides = zip(*extents(part), strict=True)
        left, top, right, bottom = (f(each) for f, each in zip((min, min, max, max), sides, strict=True))
        if 5 < right - left < 40 and 5 < bottom - top < 40:
            squares.append((part, (left + 0.3, top + 0.3, right - 0.3, bottom - 0.3)))
    drawn = [(part, extent) for part in primitives for extent in extents(part)] if squares else []
    for part, (left, top, right, bottom) in squares:
        inside = (other for other, (x0, y0, x1, y1) in drawn if x1 > left and x0 < right and y1 > top and y0 < bottom)
        if all(other is part for other in inside):
            yield part.of


def test_a_square_with_nothing_in_it_is_told() -> None:
    square = Line(((0.0, 0.0), (16.0, 0.0), (16.0, 16.0), (0.0, 16.0)), closed=True, of="-A1")
    assert list(empty_squares([square])) == ["-A1"]
    assert list(empty_squares([square, Label(8.0, 9.0, "safety relay", of="-A1")])) == []
    assert list(empty_squares([square, Label(20.0, 9.0, "beside it", of="-A1")])) == ["-A1"]


def squares_of(name: str) -> list[str]:
    """As `empty_squares` of a symbol."""
    return list(empty_squares(placed(symbol(name), 0.0, 0.0, name)))


def test_a_symbol_is_no_empty_square() -> None:
    symbols = {*symbol_names()} - set(BARE)
    assert {name: squares_of(name) for name in symbols} == {name: [] for name in symbols}


def test_a_block_for_want_of_a_symbol_is_no_empty_square() -> None:
    blocks = {part.symbol for part in parts()} - {*symbol_names()}
    assert len(blocks) > 30
    assert {name: squares_of(name) for name in blocks} == {name: [] for name in blocks}


def sheets_with(first: int, folder: Path) -> list[Sheet]:
    """The drawings of a plant with the parts from `first` on."""
    plant_file = folder / "plant.netdsl"
    plant_file.write_text(plant_of(parts()[first : first + MANY]), "utf-8")
    plant, reading = read_plant(plant_file)
    assert plant is not None
    network, joining = build_network(plant)
    assert [finding.message for finding in (*reading, *joining)] == []
    drawing = Drawing(network, (), Calculation(network))
    return [sheet for member in members() if member.place < LISTS for sheet in drawing.drawn(member)]


# no part is read before the tests begin
@pytest.mark.parametrize("first", range(0, len(library_index()), MANY))
def test_every_shipped_part_is_drawn_and_no_square_is_empty(first: int, tmp_path: Path) -> None:
    sheets = sheets_with(first, tmp_path)
    numbered = list(enumerate(parts()[first : first + MANY], 1))
    coils = {f"-D{number}" for number, part in numbered if part.symbol in BARE}
    coils |= {f"-D{number}:{ends}" for number, part in numbered if part.symbol in WITH_A_COIL for ends in ("A1-A2", "B1-B2")}
    symbols = [sheet for sheet in sheets if sheet.kind != MOUNTING]  # there a rectangle is the body of a device, to scale
    assert [of for sheet in symbols for of in empty_squares(sheet.primitives) if not {of, of.partition(":")[0]} & coils] == []
    said = {part.text for sheet in sheets for part in sheet.primitives if isinstance(part, Label)}
    wanted = {f"-D{number}" for number, part in enumerate(parts()[first : first + MANY], 1) if part.kind not in FITTED}
    assert {name for name in wanted if not any(name in text for text in said)} == set()


def test_every_shipped_scheme_stands_in_an_example() -> None:
    """`tests/test_example_drawings.py` draws these."""
    texts = [file.read_text("utf-8") for file in (*PLANTS, *LIBRARY.glob("schemes-*.netdsl"))]
    names = [entry.name for entry in schemes()]
    assert [name for name in names if not any(f"use {name} " in text for text in texts)] == []
