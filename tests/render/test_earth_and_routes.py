"""The earth drawing and the route drawing: every part and every cable once, with what the network says of it."""

from __future__ import annotations

import re
from collections import Counter
from pathlib import Path

import pytest

from netdsl.network.queries import contents_of
from render.drawings.earth import earth_sheets
from render.drawings.earth_tree import earth_tree
from render.drawings.routes import route_sheets
from render.layout.frame import framed
from render.layout.overlap import overlaps
from render.sheet import Circle, Label, Sheet
from tests.cases import each_of
from tests.readings import HATCHERY, PLANTS, drawing_of, network_of, small_drawing_of
from tests.render.plants import drawing_in

RING = """netdsl 1
project "Ring" {{
  sheet-size = {size}
}}
place +MCP "Panel" kind=cabinet bonding=meshed
place +HALL "Hall" kind=field
supply -G0 "Mains" system=TN-S voltage=400V fault-current=6kA earth-fault-current=3kA
device -XE1 earth-bar at=+MCP ways=20
device -T1 supply-24v at=+MCP
device -T2 supply-24v at=+MCP
device -T3 supply-24v at=+MCP
route DUCT1 "power" at=+MCP kind=duct
route DUCT2 "control" at=+MCP kind=duct
relation DUCT1 DUCT2 spacing=150mm parallel=2m
cable -W0 1G16 length=10m along=DUCT1 {{
  GNYE -G0:PE to -XE1:1
}}
wire -XE1:2 to +MCP:PE 16mm2 GNYE length=1m along=DUCT1
wire -XE1:3 to -T1:PE 2.5mm2 GNYE length=0.5m
wire -XE1:4 to -T2:PE 4mm2 GNYE
wire -T2:PE to +MCP:PE 6mm2 GNYE
"""


def texts(sheets: list[Sheet]) -> list[str]:
    return [part.text for sheet in sheets for part in sheet.primitives if isinstance(part, Label)]


def test_the_tree_says_conductors_rings_and_what_is_not_joined(tmp_path: Path) -> None:
    network = drawing_in(tmp_path, RING.format(size="A3")).network
    found = {twig.name: (twig.depth, twig.words, twig.apart) for twig in earth_tree(network)}
    assert found["-XE1"] == (0, "", False)
    assert found["-G0"] == (1, "16 mm² GNYE :1 to :PE, GNYE of -W0, 10 m", False)
    assert found["+MCP"] == (1, "16 mm² GNYE :2 to +MCP:PE, 1 m", False)
    assert found["-T1"] == (1, "2.5 mm² GNYE :3 to :PE, 0.5 m", False)
    assert found["-T2"] == (1, "4 mm² GNYE :4 to :PE; also to +MCP: 6 mm² GNYE +MCP:PE to :PE", False)
    assert found["-T3"] == (0, "", True)


@each_of("plant", PLANTS)
def test_every_part_of_the_earth_graph_and_every_cable_in_a_route_is_shown(plant: Path) -> None:
    drawing = drawing_of(plant)
    network = drawing.network
    shown = Counter(texts(list(earth_sheets(drawing))))
    for twig in earth_tree(network):
        assert shown[twig.name] >= 1, twig.name
    earthed = {name for name in network.earth.graph.nodes if network.earth.graph.degree(name)}
    assert earthed <= {twig.id for twig in earth_tree(network)}
    circles = Counter(p.of for sheet in route_sheets(drawing) for p in sheet.primitives if isinstance(p, Circle))
    assert circles == Counter(name for content in network.contents for name in content.cables)


def test_the_tree_goes_on_in_the_next_column_under_what_it_hangs_on() -> None:
    sheet = next(iter(earth_sheets(drawing_of(HATCHERY))))
    labels = [part for part in sheet.primitives if isinstance(part, Label)]
    assert [label.text for label in labels].count("-XE1") == 2 and any(label.text == "continued" for label in labels)


@each_of("size", ["A3", "A4"])
@each_of("plant", PLANTS)
def test_the_columns_of_a_tree_end_at_like_heights(plant: Path, size: str) -> None:
    sheets = list(earth_sheets(drawing_of(plant) if size == "A3" else small_drawing_of(plant)))
    for sheet in sheets if len(sheets) == 1 else []:
        feet: dict[float, float] = {}
        starts = {label.x for label in sheet.primitives if isinstance(label, Label) and label.text == "-XE1"}
        for label in sheet.primitives:
            if isinstance(label, Label) and label.of:
                column = max(start for start in starts if start <= label.x + 0.1)
                feet[column] = max(feet.get(column, 0.0), label.y)
        assert max(feet.values()) - min(feet.values()) < 45.0, feet


def test_a_length_stands_beside_its_unit() -> None:
    said = texts(list(earth_sheets(drawing_of(HATCHERY))))
    assert any(text.endswith(" m") for text in said) and "m" not in said


def test_routes_say_classes_wires_and_distances() -> None:
    said = texts(list(route_sheets(drawing_of(HATCHERY))))
    assert {"motor", "mains", "control", "analogue", "bus"} <= set(said)
    assert "300 mm apart over 24 m: TRAY2" in said and "crosses at 90°: TRAY1, TRAY2, TRAY3" in said
    (content,) = contents_of(network_of(HATCHERY), "DUCT2")
    assert any(text.startswith(f"{len(content.runs)} wires: ") for text in said)
    assert network_of(HATCHERY).plant.routes["DUCT3"].id in " ".join(said)


@each_of("size", ["A3", "A4"])
@each_of("plant", PLANTS)
def test_routes_are_met_in_their_order_row_by_row(plant: Path, size: str) -> None:
    drawing = drawing_of(plant) if size == "A3" else small_drawing_of(plant)
    names = list(drawing.plant.routes)
    met: list[str] = []
    for sheet in route_sheets(drawing):
        heads = [part for part in sheet.primitives if isinstance(part, Label) and re.match(r"\w+(/\d)?, ", part.text)]
        heads = [head for head in heads if re.split("[/,]", head.text)[0] in names]
        met += [re.split("[/,]", head.text)[0] for head in sorted(heads, key=lambda head: (round(head.y), head.x))]
    places = list(dict.fromkeys(route.place for route in drawing.plant.routes.values()))
    ordered = sorted(names, key=lambda name: places.index(drawing.plant.routes[name].place))
    if (plant.parent.name, size) == ("serial-bus", "A4"):  # in rows they would take a sheet more
        assert sorted(set(met)) == sorted(names) and len({sheet.number for sheet in route_sheets(drawing)}) == 1
        return
    assert list(dict.fromkeys(met)) == ordered and sorted(met, key=ordered.index) == met


def test_the_sides_of_a_divider_are_said_to_be_one_route() -> None:
    divided = next(plant for plant in PLANTS if plant.parent.name == "fixed-lead-pumps")
    words = "/1, /2: the sides of a divider in one route"
    assert words in " ".join(texts(list(route_sheets(drawing_of(divided)))))
    whole = next(plant for plant in PLANTS if plant.parent.name == "submersible-pump")
    assert words not in " ".join(texts(list(route_sheets(drawing_of(whole)))))


def test_a_cable_of_no_class_is_said_to_have_none() -> None:
    plant = next(plant for plant in PLANTS if plant.parent.name == "submersible-pump")
    said = texts(list(route_sheets(drawing_of(plant))))
    assert "no class" in said and "none" not in said


@pytest.mark.parametrize("size", ["A3", "A4"])
def test_nothing_touches(tmp_path: Path, size: str) -> None:
    more = "".join(f"wire -XE1:{n} to +MCP:PE 6mm2 GNYE along=DUCT2\n" for n in range(5, 9))
    cables = "".join(f"cable -W{n} 2x1.5 along=DUCT2 {{\n  1 -T1:+ to -T{n % 2 + 2}:+\n}}\n" for n in range(10, 45))
    drawing = drawing_in(tmp_path, RING.format(size=size) + more + cables)
    for sheet in (*earth_sheets(drawing), *route_sheets(drawing)):
        assert list(overlaps(framed(sheet, drawing.plant.project))) == []


def test_an_upright_sheet_has_two_columns_of_routes_and_says_titles_of_earthed_parts_whole(tmp_path: Path) -> None:
    drawing = drawing_in(
        tmp_path, RING.format(size="A4") + "".join(f'route TRAY{n} "a tray with a title" kind=tray\n' for n in range(9))
    )
    (sheet,) = route_sheets(drawing)
    assert texts([sheet]).count("nothing lies in it") == 10  # the trays and DUCT2
    lefts = {part.x for part in sheet.primitives if isinstance(part, Label) and part.text.startswith("TRAY")}
    assert len(lefts) == 2
    said = texts(list(earth_sheets(drawing)))
    assert "…" not in " ".join(said)
    assert not {"m", "mm²"} & {text.split(" ")[0] for text in said}  # a length or section keeps its unit beside it
