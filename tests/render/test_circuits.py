"""Circuit diagrams read back from their lines: every conductor, contact and load once, between its own terminals."""

from __future__ import annotations

import os
import re
from collections import Counter
from collections.abc import Iterable, Sequence
from pathlib import Path
from typing import NamedTuple

import pytest
from msgspec.structs import replace

from netdsl.model.kinds import Category
from netdsl.network.types import Network
from render.drawing import Drawing
from render.drawings.circuit_draft import EARTH
from render.drawings.circuit_shapes import actuator
from render.drawings.circuits import circuit_sheets
from render.layout.frame import framed, zone
from render.layout.overlap import overlaps_of
from render.sheet import DESIGNATION, WIDE, Circle, Line, Sheet
from tests.cases import each_of
from tests.readings import drawn_by, small_drawing_of
from tests.render.circuit_readback import Found, read
from tests.render.plants import EXAMPLES, drawing_in, example, labels, texts
from tests.render.random_plants import random_drawing
from tests.soundness.plants import sound_plant

#: plants by chance: NETDSL_CIRCUITS=200 tries 200 of either kind
COUNT = int(os.environ.get("NETDSL_CIRCUITS", "6"))
_PLACE = re.compile(r"(?:^| )(?:(\S+/)?E(\d+) |/)([A-H]\d)$|^(\S+/)E(\d+)$")  # the second where zones differ


def drawn(folder: Path) -> tuple[Sheet, ...]:
    """The circuit diagrams of an example."""
    return drawn_by(circuit_sheets, example(folder))


def drawn_small(folder: Path) -> tuple[Sheet, ...]:
    """The same on sheets A4."""
    return drawn_by(circuit_sheets, small_drawing_of(folder / "plant.netdsl"))


def wrong(found: Found, network: Network) -> list[str]:
    """What a reading lacks, has twice, or has otherwise than the network."""
    faults = list(found.faults)
    counts = Counter(name for name, _ in found.conductors)
    faults += [f"{name} is drawn {counts[name]} times" for name in network.runs if counts[name] != 1]
    for name, ends in found.conductors:
        if ends != frozenset(network.runs[name].nodes):
            faults.append(f"{name} joins {sorted(ends)}")
    between = Counter((name, frozenset(ends)) for name, ends in found.between)
    faults += [f"{name} is drawn {between[name, ends]} times" for name, ends in _wanted(network) if between[name, ends] != 1]
    return faults


def _wanted(network: Network) -> Iterable[tuple[str, frozenset[str]]]:
    """Contacts, poles and loads with a conductor at both ends."""
    wired = {node for run in network.runs.values() for node in run.nodes}
    for device in network.plant.devices.values():
        body = device.host or device.id  # an output of an electronic fuse is drawn in its housing
        ways = [(path.a, path.b, f"{body}:{path.a}-{path.b}") for path in device.paths if path.kind in ("make", "break")]
        ways += [(path.a, path.b, f"{body} poles") for path in device.paths if path.kind == "pole"]
        ways += [(load.a, load.b, f"{body}:{load.a}-{load.b}") for load in device.consumers]
        for a, b, name in ways:
            ends = frozenset((f"{body}:{a}", f"{body}:{b}"))
            if ends <= wired:
                yield name, ends


def illegible(drawing: Drawing, sheets: Sequence[Sheet]) -> list[tuple[str, str]]:
    """Texts that touch something or leave the frame."""
    return overlaps_of([framed(sheet, drawing.plant.project, 1) for sheet in sheets])


class Named(NamedTuple):
    """A reference: the sheet and the zone where it stands, those that it names, and what it belongs to."""

    sheet: str
    zone: str
    target: str
    at: str
    of: str


def references(sheets: Sequence[Sheet]) -> list[Named]:
    """Every reference on sheets."""
    made = []
    for sheet in sheets:
        for label in labels(sheet):
            place = _PLACE.search(label.text)
            if place is not None and label.of and not label.of.endswith(f":{label.text}"):
                mark = place.group(1) or place.group(4) or sheet.number.rpartition("/")[0] + "/"
                page = place.group(2) or place.group(5)
                number = f"{mark}E{page}" if page else sheet.number
                made.append(Named(sheet.number, zone(sheet.size, label.x, label.y), number, place.group(3) or "", label.of))
    return made


def unanswered(sheets: Sequence[Sheet]) -> list[str]:
    """References at whose place nothing refers back; what names a potential stands at the end of its line, and the list of where
    potentials lead at the foot of a sheet or on one further, so for them the sheet counts."""
    made = references(sheets)
    lines = [part for sheet in sheets for part in sheet.primitives if isinstance(part, Line) and part.width == WIDE]
    potentials = {line.of for line in lines if len(line.points) == 2 and line.points[0][1] == line.points[1][1]}
    numbers = {sheet.number for sheet in sheets}
    faults = [f"{each.sheet} names {each.target}, which is no sheet" for each in made if each.target not in numbers]
    back = {(each.sheet, each.target) for each in made}
    on = {pair for pair in back if pair[0].rpartition("/")[0] == pair[1].rpartition("/")[0]}
    also = {number: {number, *(other for one, other in on if one == number)} for number in numbers}
    for each in made:
        if each.of in potentials or not each.of.strip("+").partition(":")[0].partition(".")[0].startswith(("-", "=")):
            answered = any((answer, asked) in back for answer in also[each.target] for asked in also[each.sheet])
        else:
            beside = [other for other in made if other.sheet == each.target and other.target == each.sheet]
            answered = any(_close(other.zone, each.at) and _close(each.zone, other.at) for other in beside)
        if not answered:
            faults.append(f"{each.sheet} {each.zone} names {each.target} {each.at} for {each.of}")
    return faults


def _close(one: str, other: str) -> bool:
    """Whether two zones lie within what one part with its words may take."""
    return abs(ord(one[0]) - ord(other[0])) <= 2 and abs(int(one[1:]) - int(other[1:])) <= 2


@each_of("folder", EXAMPLES)
def test_every_conductor_contact_and_load_is_drawn_once_between_its_terminals(folder: Path) -> None:
    network = example(folder).network
    assert wrong(read(drawn(folder), network), network) == []


@pytest.mark.parametrize("folder", EXAMPLES, ids=lambda folder: folder.name)
def test_no_text_touches_anything_on_either_size(folder: Path) -> None:
    drawing = example(folder)
    assert illegible(drawing, drawn(folder)) == []
    small = small_drawing_of(folder / "plant.netdsl")
    assert illegible(small, drawn_small(folder)) == []


#: of plants by chance that once left the frame: more potentials at a terminal than a sheet is wide for, a line through a drive's
#: frame, terminals that nothing but others share
HARD = (17, 29, 64)


@pytest.mark.parametrize("seed", sorted({*range(COUNT), *HARD}))
def test_plants_by_chance_are_read_back_whole(seed: int, tmp_path: Path) -> None:
    for drawing in (drawing_in(tmp_path, sound_plant(seed)), random_drawing(seed)):
        sheets = list(circuit_sheets(drawing))
        assert wrong(read(sheets, drawing.network), drawing.network) == []
        assert illegible(drawing, sheets) == []


LONG = """\
netdsl 1
project "Long" {
  sheet-size = A4
}
place +MCP "Panel" kind=cabinet
strip -X1 at=+MCP {
  :1 :2 16mm2
}
wire -X1:1 to -X1:2 1.5mm2 BU mark=THE-VERY-LONG-MARK-OF-A-CONDUCTOR-WHICH-IS-LONGER-THAN-ANY-OTHER-INDEED
wire -X1:1 to -X1:2 1.5mm2 GNYE
wire -X1:1 to -X1:2 1.5mm2 BK
"""
REVERSING = """\
netdsl 1
project "Reversing" {
  sheet-size = A4
}
place +MCP "Panel" kind=cabinet
place +PIT "Pit" kind=field
strip -X1 at=+MCP {
  :1..3 2.5mm2
}
device -K501 contactor-9a at=+MCP
device -K502 contactor-9a at=+MCP
device -Q1 motor-breaker-6.3a at=+MCP
wire -Q1:2,4,6 to -K501:1,3,5 2.5mm2 BN
wire -K501:1,3,5 to -K502:1,3,5 4mm2 BN
wire -K501:2,4,6 to -K502:6,4,2 2.5mm2 BN
wire -K501:2,4,6 to -X1:1,2,3 2.5mm2 BN
outside -M501 "Motor" at=+PIT {
  terminal :U :V :W plain 2.5mm2
}
cable -W501 4G4 {
  BN -X1:1 to -M501:U
  BK -X1:2 to -M501:V
  GY -X1:3 to -M501:W
}
"""


@pytest.mark.parametrize("text", [LONG, REVERSING], ids=["long marks", "many lines at one device"])
def test_what_is_too_wide_for_an_upright_sheet_is_drawn_narrower(text: str, tmp_path: Path) -> None:
    drawing = drawing_in(tmp_path, text)
    sheets = list(circuit_sheets(drawing))
    assert wrong(read(sheets, drawing.network), drawing.network) == []
    assert illegible(drawing, sheets) == []
    assert all(mark in "".join(texts(*sheets)) for mark in ("-X1:1", "BN" if text is REVERSING else "-INDEED"))


def test_a_circuit_many_times_as_wide_as_a_sheet_is_drawn_whole(tmp_path: Path) -> None:
    lamps = "".join(f"device -H{n} lamp at=+MCP\n" for n in range(160))
    wires = "".join(f"wire -H{n}:X2 to -H{n + 1}:X1 1mm2\n" for n in range(159))
    drawing = drawing_in(tmp_path, f'netdsl 1\nproject "Chain" {{\n}}\nplace +MCP "Panel" kind=cabinet\n{lamps}{wires}')
    sheets = list(circuit_sheets(drawing))
    assert wrong(read(sheets, drawing.network), drawing.network) == []
    assert unanswered(sheets) == []
    assert sum(label.text == "Indicator lamp" for sheet in sheets for label in labels(sheet)) == 160
    assert len(sheets) <= 160 // 30 + 2


@each_of("folder", EXAMPLES)
def test_what_a_reference_names_refers_back(folder: Path) -> None:
    assert unanswered(drawn(folder)) == []


@each_of("folder", EXAMPLES)
def test_a_reference_to_another_sheet_is_a_link_to_it(folder: Path) -> None:
    sheets = drawn(folder)
    keys = {sheet.number: sheet.key for sheet in sheets}
    for sheet in sheets:
        named = [(label, each) for label in labels(sheet) for each in references([replace(sheet, primitives=(label,))])]
        wrong_links = [label.text for label, each in named if each.target != sheet.number and label.link != keys[each.target]]
        assert wrong_links == []


@each_of("folder", EXAMPLES)
def test_a_wire_that_goes_on_in_another_circuit_diagram_has_its_section_there_too(folder: Path) -> None:
    runs = example(folder).network.runs
    for sheet in drawn(folder):
        (usual,) = [text for text in texts(sheet) if text.startswith("Wires where nothing is said")] or [""]
        ends = {
            part.of.partition(" comes")[0].partition(" goes on")[0]
            for part in sheet.primitives
            if isinstance(part, Line) and part.fill
        }
        for run in (runs[name] for name in ends & runs.keys() if runs[name].conductor.cable is None and runs[name].section_mm2):
            what = f"{run.section_mm2:g} mm² {run.colour}"
            said = [label.text for label in labels(sheet) if label.of == run.conductor.id and "mm²" in label.text]
            assert any(what in text for text in said) if said else what in usual, (sheet.number, run.conductor.id)


def test_what_wires_are_on_one_sheet_is_not_taken_for_those_of_another() -> None:
    (sheet,) = [
        sheet for sheet in drawn(next(each for each in EXAMPLES if each.name == "three-wire-start")) if sheet.number == "MCP/E1"
    ]
    assert "Wires where nothing is said: power 4 mm² BK, earth 6 mm² GNYE." in texts(sheet)
    said = {label.of: label.text for label in labels(sheet) if label.text == "2.5 mm² BK"}
    assert sorted(said) == ["-Q0:2 -- =FP1-Q1:1", "-Q0:4 -- =FP1-Q1:3", "-Q0:6 -- =FP1-Q1:5"]


def sheet_with(folder: str, *words: str) -> Sheet:
    """The one circuit diagram of an example on which all of some words stand."""
    root = next(each for each in EXAMPLES if each.name == folder)
    (found,) = [sheet for sheet in drawn(root) if set(words) <= set(texts(sheet))]
    return found


def test_star_delta_is_explained_by_one_sheet() -> None:
    sheet = sheet_with("star-delta", "Star", "Delta", "Mains", "Star to delta")
    between = {name for name, _ in read([sheet], example_named("star-delta")).between}
    assert {"=WP1-S1:13-14", "=WP1-K1:13-14", "=WP1-S2:21-22", "=WP1-B1:95-96"} <= between


ONE_SHEET = {
    "star-delta": "=WP1-K1 =WP1-K2 =WP1-K3 =WP1-K4 =WP1-S1 =WP1-S2 =WP1-H1",
    "alternating-pumps": "=BP1-K1 =BP1-K2 =BP1-K3 =BP1-K4 =BP1-K5 =BP1-H1",
    "emergency-stop": "=GC1-K1 =GC1-S5 =GC1-S6 =GC1-S7",
    "direct-on-line": "=TD1-K1 =TD1-S1 =TD1-S2",
}


def test_a_rack_is_explained_by_one_sheet() -> None:
    """Its cards with address, tag, text and place of every channel, and all that is wired there for itself."""
    root = next(each for each in EXAMPLES if each.name == "booster")
    (sheet,) = [sheet for sheet in drawn(root) if sheet.part_of.startswith("=IO1")]
    said = [label for label in labels(sheet) if label.of == "=IO1-K2:4"]
    assert [label.text for label in said] == ["4", "I0.3", "HS102", "pump 2 in automatic", "BP2/E2 D7"]
    assert said[-1].link == "circuit-BP2.2"
    assert [label.text for label in labels(sheet) if label.of == "=IO1-K3:24"] == [
        "23-24",
        "Q0.1",
        "HS102",
        "pump 2, start",
        "BP2/E2 B5",
    ]
    assert {"free 13, 14, 15, 16", "free 43-44, 53-54, 63-64, 73-74, 83-84", "free 2, 3, 4"} <= set(texts(sheet))
    of_card = [label for other in drawn(root) for label in labels(other) if label.of == "=IO1-K2" and label.link == sheet.key]
    assert len(of_card) == 3 * 3 + 2  # at each channel on the sheets of the pumps, the feed tank and the emergency stop


def test_a_loop_runs_on_through_the_inputs_that_share_its_current() -> None:
    root = next(each for each in EXAMPLES if each.name == "booster")
    (sheet,) = [sheet for sheet in drawn(root) if sheet.part_of.startswith("=IO1")]
    at = {label.of: label for label in labels(sheet) if label.of in {f"=IO1-T{n}:I{end}" for n in (1, 2, 3) for end in "+-"}}
    assert len({label.x for label in at.values()}) == 1
    assert sorted(at, key=lambda of: at[of].y) == [f"=IO1-T{n}:I{end}" for n in (1, 2, 3) for end in "+-"]


TRACED = """\
netdsl 1
place +BOX "Box" kind=box material=plastic
place +HALL "Hall" kind=field
defaults within=+BOX section=0.75mm2 colour=RD length=0.5m
supply -G1 "Battery" system=DC voltage=24V upstream=fuse-gG-25A
device -F1 mcb-1p-c at=+BOX current=2A
device -B2 hygrostat at=+BOX
strip -X1 "24 V" at=+BOX {
  :1..6  2.5mm2
  bridge :1..6
}
strip -X2 "Field" at=+BOX {
  :1     2.5mm2
  :2     2.5mm2 "level of the tank"
  :3     2.5mm2 "to the site's alarm"
}
outside -B1 "Level of the tank" at=+HALL {
  terminal :1 :2 contact
}
cable -W0 2x2.5 length=3m method=C {
  BN  -G1:+ to -F1:1
}
cable -W1 2x0.75 length=9m {
  BN -X2:1 to -B1:1
  BU -X2:2 to -B1:2
}
wire -F1:2 to -X1:1
wire -X1:2 to -X2:1
wire -X1:3 to -B2:1
wire -B2:2 to -X2:3
"""


def test_what_a_fuse_makes_stands_below_it_and_a_field_contact_between_its_cores(tmp_path: Path) -> None:
    sheets = list(circuit_sheets(drawing_in(tmp_path, TRACED)))
    at = {label.of: label for sheet in sheets for label in labels(sheet)}
    taps = [
        part.points
        for sheet in sheets
        for part in sheet.primitives
        if isinstance(part, Line) and part.of == "-X1:1" and part.points[0][0] == part.points[1][0]
    ]
    assert taps
    assert all(y > at["-F1:2"].y for points in taps for _, y in points)
    assert at["-B1:1"].x == at["-B1:2"].x
    assert at["-B1:1"].y < at["-B1:2"].y


def test_what_a_terminal_is_for_is_said_where_a_circuit_ends_there(tmp_path: Path) -> None:
    sheets = list(circuit_sheets(drawing_in(tmp_path, TRACED)))
    said = {label.text for sheet in sheets for label in labels(sheet)}
    assert {"to the site's alarm"} <= said or {"to the site's", "alarm"} <= said


def test_a_hygrostat_has_the_letter_of_damp(tmp_path: Path) -> None:
    (sheet, *_) = circuit_sheets(drawing_in(tmp_path, TRACED))
    assert "H" in texts(sheet)
    assert "t" not in texts(sheet)


def test_a_motor_with_a_brake_states_its_ratings_where_its_windings_are() -> None:
    sheet = sheet_with("brake-motor-drive", "M", "3~")
    assert "2.2 kW, 4.6 A" in [label.text for label in labels(sheet) if label.of == "=SR1-M1"]


def test_a_rating_keeps_its_unit_beside_it() -> None:
    said = texts(sheet_with("soft-starter-bypass", "Cage motor"))
    assert {"Cage motor", "22 kW, 4 poles,"} <= set(said)
    assert not [text for text in said if text.startswith("kW")]


def test_a_thermistor_stands_between_the_two_terminals_that_ask_it() -> None:
    root = next(each for each in EXAMPLES if each.name == "hatchery")
    sheet = next(sheet for sheet in drawn(root) if sheet.key == "circuit-RP1.1")
    way = ["=RP1-T1:THP", "=RP1-M1:TP1", "=RP1-M1:TP2", "=RP1-T1:THN"]
    at = {label.of: label for label in labels(sheet) if label.of in way}
    assert sorted(at, key=lambda of: at[of].y) == way
    assert len({label.x for label in at.values()}) == 1


def test_a_setting_that_is_on_or_off_is_named_and_none_is_said_twice() -> None:
    root = next(each for each in EXAMPLES if each.name == "hatchery")
    at = labels(*drawn(root))
    words = [label for label in at if not label.text.startswith(":")]  # the block of the drive lists them with a colon
    said = {of: [label.text for label in words if label.of == of] for of in ("=RP2-T1:A", "=RP2-T1:DI4", "=RP1-T1:AI1")}
    assert said["=RP2-T1:A"][-2:] == ["termination", "off"], "the bus itself is not off"
    assert " ".join(said["=RP2-T1:DI4"]) == "DI4 enable input on"
    assert said["=RP1-T1:AI1"].count("voltage") == 1


def test_a_contact_in_the_field_is_drawn_with_the_panel_that_it_is_wired_to() -> None:
    root = next(each for each in EXAMPLES if each.name == "serial-bus")
    (sheet,) = [sheet for sheet in drawn(root) if any(label.of == "-B1" for label in labels(sheet))]
    assert sheet.number == "MCP/E1"


def test_a_potential_that_a_drive_makes_names_the_sheet_of_the_drive() -> None:
    root = next(each for each in EXAMPLES if each.name == "shared-drive")
    behind = next(sheet for sheet in drawn(root) if sheet.number == "MCP.F/E1")
    named = {label.of: label.link for label in labels(behind) if label.of.startswith("-WB2:") and label.link}
    assert named == dict.fromkeys(("-WB2:L1", "-WB2:L2", "-WB2:L3"), "circuit-VW1.1")


def test_a_contact_beside_another_has_the_end_at_the_load_below() -> None:
    root = next(each for each in EXAMPLES if each.name == "booster")
    network = example(root).network
    found = read([sheet for sheet in drawn(root) if sheet.key == "circuit-BP1.2"], network)
    assert dict(found.between)["=IO1-K3:13-14"] == ("=IO1-K3:13", "=IO1-K3:14")


def test_a_potential_fed_on_another_sheet_of_its_function_names_that() -> None:
    root = next(each for each in EXAMPLES if each.name == "booster")
    second = next(sheet for sheet in drawn(root) if sheet.key == "circuit-BP.2")
    at_its_line = [label for label in labels(second) if label.of == "-WB1:L1" and label.anchor == "end"]
    assert [label.text for label in at_its_line if label.link] == ["E1 C2"]


def test_a_potential_fed_in_another_row_of_circuits_of_its_sheet_names_the_zone() -> None:
    """At the head of the sheet 24 V of a drive looked as if they came from nowhere: they are fed in the row below."""
    (sheet,) = (sheet for sheet in drawn(_named("closed-loop-two-wire")) if sheet.number.startswith("SP1/"))
    at_its_lines = [label for label in labels(sheet) if label.of == "=SP1-X1:1" and label.anchor == "end"]
    rails = sorted(label.y for label in at_its_lines if label.text == "24 V DC")
    (named,) = (label for label in at_its_lines if re.fullmatch(r"/[A-H][1-8]", label.text))
    assert len(rails) == 3 and abs(named.y - rails[0]) < 1.0
    fed = zone(sheet.size, named.x, rails[-1])
    assert named.text[1] <= fed[0]


def test_potentials_told_on_a_sheet_behind_say_each_where_it_is_fed() -> None:
    feeding, told = (sheet for sheet in drawn(_named("booster")) if sheet.number in ("BP/E1", "BP/E2"))
    said = [label for label in labels(told) if " from E1 " in label.text]
    assert {label.link for label in said} == {feeding.key}
    named = {label.of: label.text.partition(" from E1 ")[2] for label in said}
    assert len(named) > 5 and len(set(named.values())) > 3
    fed = [label.text for label in labels(told) if label.of == "-WB1:L1" and label.link == feeding.key]
    assert fed == ["E1 C2", "L1 -WB1 from E1 C2"]
    assert named["-WB1:L1"] == "C2" != named["-XE1"]


def test_where_potentials_lead_takes_no_sheet_where_one_behind_has_room() -> None:
    root = next(each for each in EXAMPLES if each.name == "booster")
    for sheets in (drawn(root), drawn_small(root)):
        bare = [sheet.number for sheet in sheets if not any(isinstance(part, Line) for part in sheet.primitives)]
        assert len({number.rpartition("/")[0] for number in bare}) == len(bare) and "BP/E3" not in bare
        assert not any(number.startswith("BP.F/") for number in bare)
        said = [label for sheet in sheets for label in labels(sheet) if label.text == "Potentials lead to"]
        assert len(said) > len(bare)
        assert unanswered(sheets) == []


def lead_rows(folder: str, number: str) -> dict[str, list[str]]:
    """What a circuit diagram of an example says of where potentials lead: name, and places in the same line."""
    root = next(each for each in EXAMPLES if each.name == folder)
    (sheet,) = [sheet for sheet in drawn(root) if sheet.number == number]
    head = next(label for label in labels(sheet) if label.text == "Potentials lead to")
    below = [label for label in labels(sheet) if label.y > head.y and label.of]
    named = [label for label in below if label.x == head.x]
    return {name.text: [label.text for label in below if label.y == name.y and label is not name] for name in named}


def test_potentials_share_a_line_where_they_are_taken_side_by_side() -> None:
    said = lead_rows("level-two-floats", "MCP/E1")
    assert [name for name in said if "," in name] == ["L1 -WB1, L2 -WB1, L3 -WB1"]
    root = next(each for each in EXAMPLES if each.name == "level-two-floats")
    (taking,) = [sheet for sheet in drawn(root) if sheet.number == "DS1/E1"]
    tapped = {"PE -XE1": "-XE1:5", "24 V DC": "-X2:2", "0 V": "-X2:22"}
    for name, terminal in tapped.items():
        label = next(label for label in labels(taking) if label.text == terminal)
        ((place,),) = [places for each, places in said.items() if each == name]
        assert place.partition(" ")[2][0] == zone(taking.size, label.x, label.y)[0]


def test_where_there_is_no_room_potentials_share_a_line_that_says_the_sheet_alone() -> None:
    said = lead_rows("dosing-pump", "MCP/E1")
    assert [places for name, places in said.items() if name.count(",") > 2] == [["LD1/E1"]]


@each_of("name", ONE_SHEET)
def test_all_contacts_and_coils_of_a_control_stand_on_one_sheet(name: str) -> None:
    """Those of its devices that are no poles in its main circuit; interlocks of others stand on the sheets of these."""
    network, devices = example_named(name), ONE_SHEET[name].split()
    root = next(each for each in EXAMPLES if each.name == name)
    sheets = [sheet for sheet in drawn(root) if sheet.part_of.startswith(devices[0].partition("-")[0])]
    shown = [(of.partition(":")[0], sheet.key) for sheet in sheets for of, _ in read([sheet], network).between]
    assert {device for device, _ in shown}.issuperset(devices)
    assert len({key for device, key in shown if device in devices}) == 1


def test_a_change_over_contact_of_which_both_sides_are_wired_is_one_symbol() -> None:
    sheet = sheet_with("star-delta", "Star", "Delta")
    between = read([sheet], example_named("star-delta")).between
    ends = {of: pair for of, pair in between if of.startswith("=WP1-K4:15")}
    assert ends == {"=WP1-K4:15-16": ("=WP1-K4:15", "=WP1-K4:16"), "=WP1-K4:15-18": ("=WP1-K4:15", "=WP1-K4:18")}
    blades = [part for part in sheet.primitives if isinstance(part, Line) and part.of == "=WP1-K4:15-16-18" and slants(part)]
    assert len(blades) == 1


def slants(line: Line) -> bool:
    """Whether a line of two points runs along neither axis."""
    (x1, y1), (x2, y2) = line.points[0], line.points[-1]
    return abs(x1 - x2) > 0.1 and abs(y1 - y2) > 0.1


def example_named(name: str) -> Network:
    """The network of an example."""
    return example(next(each for each in EXAMPLES if each.name == name)).network


def test_a_seal_in_contact_stands_beside_the_button_it_holds() -> None:
    network = example_named("star-delta")
    sheet = sheet_with("star-delta", "Star", "Delta")
    ends = dict(read([sheet], network).between)
    button, seal = ends["=WP1-S1:13-14"], ends["=WP1-K1:13-14"]
    assert network.net_of[button[0]] == network.net_of[seal[0]]
    assert network.net_of[button[1]] == network.net_of[seal[1]]


FUSED = """\
netdsl 1
place +BOX "Box" kind=box material=plastic
defaults within=+BOX section=0.75mm2 colour=RD length=0.5m
supply -G1 "Battery" system=DC voltage=24V upstream=fuse-gG-25A
device -F10 electronic-fuse-4ch at=+BOX
channel -F10:1 "lamp of the hatch" current=1A
channel -F10:2 "feeder valve" current=2A
strip -X1 "0 V" at=+BOX {
  :1..4  2.5mm2
  bridge :1..4
}
device -P1 lamp at=+BOX
device -Q1 solenoid-valve-24v at=+BOX
cable -W0 2x2.5 length=3m method=C {
  BN  -G1:+ to -F10:+
  BU  -G1:- to -X1:1
}
wire -X1:2 to -F10:0V BU
wire -F10:1 to -P1:X1
wire -P1:X2 to -X1:3 BU
wire -F10:2 to -Q1:1
wire -Q1:2 to -X1:4 BU
"""


def test_each_output_of_an_electronic_fuse_is_a_symbol_behind_one_supply(tmp_path: Path) -> None:
    drawing = drawing_in(tmp_path, FUSED)
    (sheet,) = circuit_sheets(drawing)
    assert wrong(read([sheet], drawing.network), drawing.network) == []
    assert [ends for of, ends in read([sheet], drawing.network).between if of == "-F10 poles"] == [
        ("-F10:+", "-F10:1"),
        ("-F10:+", "-F10:2"),
        ("-F10:+", ""),
        ("-F10:+", ""),
        ("", "-F10:0V"),
    ]
    said = {label.of: [other.text for other in labels(sheet) if other.of == label.of] for label in labels(sheet)}
    assert said["-F10.1"] == ["-F10.1", "1 A", "lamp of", "the hatch"]
    assert said["-F10.2"] == ["-F10.2", "2 A", "feeder", "valve"]
    assert said["-F10.3"] == ["-F10.3", "1..10 A", "free"]
    lines = [part for part in sheet.primitives if isinstance(part, Line) and part.of == "-F10 poles" and part.closed]
    assert len(lines) == 2 * 4  # of each output its body and the semiconductor in it


MOVED = """\
netdsl 1
place +MCP "Panel" kind=cabinet
device -S1 push-button-start at=+MCP
device -S2 selector-2 at=+MCP
device -S3 emergency-stop at=+MCP
device -S4 key-transfer-switch at=+MCP
device -K1 timer-on-delay-230v at=+MCP
device -K2 timer-off-delay-230v at=+MCP
device -B1 overload-relay at=+MCP
"""


def test_a_contact_says_what_moves_it(tmp_path: Path) -> None:
    plant = drawing_in(tmp_path, MOVED).plant
    moved = {
        device.id: {actuator(device, path) for path in device.paths if path.kind in ("make", "break")}
        for device in plant.devices.values()
    }
    assert moved == {
        "-S1": {"by-push"},
        "-S2": {"by-turn"},
        "-S3": {"by-mushroom"},
        "-S4": {"by-positive"},
        "-K1": {"by-on-delay"},
        "-K2": {"by-off-delay"},
        "-B1": {"by-thermal"},
    }


def test_below_a_coil_each_contact_has_its_place_and_free_ones_are_said() -> None:
    found = texts(sheet_with("star-delta", "Star", "Delta"))
    assert "free 13-14" in found and any(text.startswith("13-14 ") for text in found)


def test_a_terminal_that_stands_apart_names_its_device() -> None:
    assert "-X2:3" in {label.text for sheet in drawn(_named("heater-contactor")) for label in labels(sheet)}  # far from -X2:2
    pins = next(sheet for sheet in drawn(_named("local-remote")) if sheet.key == "circuit-HP1.1")
    for name in ("COM", "10V"):  # the one hangs from its conductor, the other stands on its own
        said = [label for label in labels(pins) if label.text == "-T1"]
        pin = next(label for label in labels(pins) if label.text == name)
        assert any(0 < pin.x - label.x < 15 and abs(pin.y - label.y) < 12 for label in said), name


@each_of("folder", EXAMPLES)
def test_no_terminal_of_an_upright_sheet_stands_alone(folder: Path) -> None:
    small = small_drawing_of(folder / "plant.netdsl")
    plant = small.plant
    for sheet in drawn_small(folder):
        joined = {part.of for part in sheet.primitives if isinstance(part, Line)}
        for label in labels(sheet):
            device = plant.devices.get(label.of.rpartition(":")[0])
            named = label.text.partition(" ")[0].rpartition(":")[2] == label.of.rpartition(":")[2] and " from " not in label.text
            strip = device is not None and device.category == Category.STRIP and named  # no potential
            pin = device is not None and label.bold and label.height == DESIGNATION
            if strip or pin:
                assert any(each.partition("/")[0] == label.of.partition("/")[0] for each in joined), (sheet.number, label.text)


def test_what_an_upright_sheet_holds_is_not_parted() -> None:
    """A drive with its breaker was a few millimetres too wide beside the names of potentials, and was drawn in two pieces."""
    sheets = {sheet.key: sheet for sheet in drawn_small(_named("closed-loop-two-wire"))}
    assert {"-Q0:2", "-T1:L1", "-Q1:2", "-M1:U1"} & set(texts(sheets["circuit-SP1.1"])) == {"-Q0:2"}
    assert "=SP1-M1" in {label.of for label in labels(sheets["circuit-SP1.1"])}


#: of circuits far wider than an upright sheet one line of a row of contacts
_PARTED = {"=ES1"}


@each_of("folder", EXAMPLES)
def test_no_arrow_leads_from_a_sheet_to_itself(folder: Path) -> None:
    for sheets in (drawn(folder), drawn_small(folder)):
        for sheet in sheets:
            of = [part.of for part in sheet.primitives if isinstance(part, Line) and part.fill]
            gone = {name.removesuffix(" goes on") for name in of if name.endswith(" goes on")}
            come = {name.removesuffix(" comes") for name in of if name.endswith(" comes")}
            assert not gone & come or sheet.part_of.partition(" ")[0] in _PARTED, sheet.number


@each_of(("name", "contactor"), [("reversing", "=SG1-K1"), ("soft-starter-bypass", "=FW1-Q2")])
def test_a_motor_stands_below_what_switches_it(name: str, contactor: str) -> None:
    """Its earth terminal was in the way of the contactor beside: the motor stood right of both, on A4 on a sheet of its own."""
    motor = contactor.partition("-")[0] + "-M1"
    for sheets in (drawn(_named(name)), drawn_small(_named(name))):
        sheet = next(each for each in sheets if f"{motor}:U1" in {label.of for label in labels(each)})
        at = {label.of: label.x for label in labels(sheet) if label.of in (f"{contactor}:2", f"{contactor}:4", f"{motor}:V1")}
        assert at[f"{contactor}:2"] < at[f"{motor}:V1"] <= at[f"{contactor}:4"]


@each_of(
    ("name", "size", "mark", "count"),
    [
        ("closed-loop-four-wire", "A3", "OC1", 1),
        ("closed-loop-two-wire", "A3", "SP1", 1),
        ("reversing", "A3", "SG1", 1),
        ("hatchery", "A4", "BC1", 1),
        ("two-speed", "A4", "HV1", 2),
        ("reversing", "A4", "SG1", 2),
        ("serial-bus", "A4", "CP1", 2),
    ],
)
def test_a_few_circuits_more_than_a_sheet_seems_to_hold_stand_closer(name: str, size: str, mark: str, count: int) -> None:
    root = _named(name)
    sheets = drawn(root) if size == "A3" else drawn_small(root)
    assert len([sheet for sheet in sheets if sheet.number.startswith(f"{mark}/")]) == count


def test_a_contactor_of_an_upright_sheet_is_fed_from_above() -> None:
    """Parted from the breaker that feeds it, -K2 stood upside down."""
    at = [label for sheet in drawn_small(_named("alternating-pumps")) for label in labels(sheet)]
    upper, lower = (next(label for label in at if label.of == f"=BP1-K2:{name}" and label.text == name) for name in ("1", "2"))
    assert upper.y < lower.y


@each_of("name", ["emergency-stop", "gate-lock", "booster", "hatchery"])
def test_inputs_of_a_safety_relay_and_its_supply_name_each_other(name: str) -> None:
    """As its contacts do: whoever stands before an input finds the outputs that it opens."""
    drawing = example(_named(name))
    (relay,) = [device.id for device in drawing.plant.devices.values() if device.kind == "safety-relay"]
    said = [(sheet, label) for sheet in drawn(_named(name)) for label in labels(sheet) if label.of.partition(":")[0] == relay]
    inputs = {label.text: (sheet, label) for sheet, label in said if label.bold and label.text.startswith("S")}
    assert len(inputs) == 6
    supply = next((sheet, label) for sheet, label in said if label.text == "A1")
    listed = {label.text.partition(" ")[0] for sheet, label in said if sheet is supply[0] and label.y > supply[1].y}
    assert {f":{terminal}" for terminal in inputs} <= listed
    for sheet, label in inputs.values():
        beside = {
            other.text
            for each, other in said
            if each is sheet and label.x - 25 < other.x < label.x and abs(other.y - label.y) < 8
        }
        assert [text for text in beside if re.fullmatch(r"(/|E\d+ |\S+/E\d+ )[A-H]\d", text)], label.text


def test_what_has_no_symbol_of_its_own_names_its_terminals_in_other_functions() -> None:
    at = {sheet.number: [label.text for label in labels(sheet) if label.of == "-A1"] for sheet in drawn(_named("serial-bus"))}
    assert any(text.startswith("CP1/E") for text in at["MCP/E1"])
    assert any(text.startswith("MCP/E1 ") for number in at for text in at[number] if number.startswith("CP1/"))


def test_a_zone_of_the_same_sheet_is_no_number_of_a_sheet() -> None:
    sheet = next(sheet for sheet in drawn(_named("emergency-stop")) if sheet.number == "GC1/E2")
    own = [each for each in references([sheet]) if each.target == sheet.number]
    assert len(own) > 10
    said = texts(sheet)
    bare = [label.text for label in labels(sheet) if re.search(r"(?:^|-\d+ )[A-H]\d$", label.text)]
    assert sorted(set(bare)) == ["A1", "A2"], "the terminals of a coil"
    assert any("/B4: zone B4 here. E2 B4: of sheet E2." in text for text in said)


def test_contactors_interlocked_mechanically_name_each_other() -> None:
    first = next(sheet for sheet in drawn(_named("alternating-pumps")) if sheet.key == "circuit-BP1.1")
    said = [label for label in labels(first) if label.of in ("=BP1-K1", "=BP1-K2")]
    assert sum(label.text == "mechanical interlock" for label in said) == 2
    places = {label.of: label.text.split() for label in said if re.fullmatch(r"-K[12] /[A-H][1-8]", label.text)}
    assert {of: name for of, (name, _) in places.items()} == {"=BP1-K1": "-K2", "=BP1-K2": "-K1"}
    sloped = [part for part in first.primitives if isinstance(part, Line) and part.closed and len(part.points) == 3]
    assert len([part for part in sloped if part.of in ("=BP1-K1 poles", "=BP1-K2 poles")]) == 2


def test_the_inputs_of_a_drive_name_its_block_and_it_them() -> None:
    sheets = {sheet.key: labels(sheet) for sheet in drawn_small(_named("local-remote"))}
    listed = {label.of: label for label in sheets["circuit-HP1.1"] if label.text.startswith(":")}
    assert {of.rpartition(":")[2] for of in listed} >= {"24V", "10V", "COM", "AGND", "AI1", "AI2", "DI1", "DI3", "DI4"}
    assert listed["=HP1-T1:AI2"].text.startswith(":AI2 E2 ") and listed["=HP1-T1:AI2"].link == "circuit-HP1.2"
    back = [label for label in sheets["circuit-HP1.2"] if label.of == "=HP1-T1" and label.link == "circuit-HP1.1"]
    assert back and all(re.fullmatch(r"E1 [A-H][1-8]", label.text) for label in back)


def test_an_input_stands_below_the_slider_that_feeds_it() -> None:
    first = next(sheet for sheet in drawn(_named("local-remote")) if sheet.key == "circuit-HP1.1")
    at = {label.of: label for label in labels(first) if label.of in ("=HP1-R1:2", "=HP1-T1:AI1")}
    assert at["=HP1-R1:2"].y < at["=HP1-T1:AI1"].y and at["=HP1-R1:2"].x == at["=HP1-T1:AI1"].x


def test_a_terminal_drawn_again_for_one_conductor_stands_beside_it() -> None:
    """Cut for an upright sheet, `-X0:PE` stood five times on the one of a supply, four of them with nothing joined."""
    first = next(sheet for sheet in drawn_small(_named("mains-bypass")) if sheet.key == "circuit-MCP.1")
    assert sum(label.text.startswith(("-X0:PE", ":PE")) for label in labels(first)) <= 2


def _named(name: str) -> Path:
    return next(folder for folder in EXAMPLES if folder.name == name)


def test_a_seal_in_contact_is_fed_from_above_however_it_is_wired() -> None:
    """Wired from contact to contact, -K1 of the reversing starter lay nearer to its button than to what feeds both."""
    at = {label.of: label for label in labels(*drawn(_named("reversing"))) if label.of in ("=SG1-K1:13", "=SG1-K1:14")}
    assert at["=SG1-K1:13"].y < at["=SG1-K1:14"].y


def test_an_input_is_called_as_it_is_set() -> None:
    said = [
        label.text for label in labels(*drawn(_named("booster"))) if label.of == "=BP1-T1:AI1" and not label.text.startswith(":")
    ]
    assert said == ["AI1", "reference", "4..20 mA"]


def test_an_input_far_from_the_one_that_names_its_drive_names_it() -> None:
    second = next(sheet for sheet in drawn(_named("booster")) if sheet.key == "circuit-BP1.2")
    pin = next(label for label in labels(second) if label.text == "DI1")
    assert any(label.text == "-T1" and 0 < pin.x - label.x < 10 and abs(pin.y - label.y) < 5 for label in labels(second))


def test_where_potentials_lead_takes_no_sheet_of_its_own_where_potentials_can_stand_closer() -> None:
    assert [sheet.number for sheet in drawn(_named("hand-off-auto")) if sheet.number.startswith("MCP/")] == ["MCP/E1"]


@each_of("size", ["A3", "A4"])
def test_a_terminal_below_one_of_another_strip_names_its_own(size: str) -> None:
    folder = _named("valve-actuator")
    sheets = drawn(folder) if size == "A3" else drawn_small(folder)
    said = {label.of: label.text for sheet in sheets for label in labels(sheet) if label.of in ("-X1:11", "-X2:3")}
    assert said == {"-X1:11": "-X1:11", "-X2:3": "-X2:3"}


def test_the_clamps_through_which_the_protective_conductor_goes_on_are_joined_in_the_device() -> None:
    """The earth of a motor behind an isolator ends at one of its clamps; the other leads on to the bar."""
    (sheet,) = (sheet for sheet in drawn(_named("motor-isolator-drive")) if sheet.number == "FB1/E1")
    clamps = {(part.x, part.y) for part in sheet.primitives if isinstance(part, Circle) and part.of.startswith("=FB1-Q2")}
    solid = [part.points for part in sheet.primitives if isinstance(part, Line) and part.of == "=FB1-Q2" and not part.dash]
    ((left, y), (right, _)) = next((a, b) for a, b in (points for points in solid if len(points) == 2) if a[1] == b[1])
    assert {(left - EARTH, y), (right + EARTH, y)} <= clamps
