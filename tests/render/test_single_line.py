"""The single-line diagram of plants built by hand: everything is there, nothing touches, references lead where they say."""

from __future__ import annotations

import io
import re
from itertools import pairwise
from pathlib import Path

import pytest

from netdsl.network.types import Network
from render.drawing import Drawing
from render.drawings.data_band import ROWS, Band, Column, reserve
from render.drawings.feeder_steps import Step
from render.drawings.feeders import feeders
from render.drawings.single_line import single_line_sheets
from render.layout.frame import framed, zone
from render.layout.overlap import overlaps_of
from render.sheet import FRAME, NARROW, WIDE, Circle, Label, Line, Sheet
from render.writers.pdf import pdf_bytes
from render.writers.svg import svg_bytes
from tests.cases import each_of
from tests.readings import PLANTS as SHIPPED
from tests.readings import Unlinked, sized, small_drawing_of
from tests.render.hand_built import Workshop, direct_feeder, drive_feeder, hall, incoming, random_plant
from tests.render.plants import EXAMPLES, example


def drawn(network: Network) -> list[Sheet]:
    return [framed(sheet, network.plant.project) for sheet in single_line_sheets(Unlinked(network))]


def power_devices(network: Network) -> tuple[Step, ...]:
    """Every device in the power path, from the supplies on."""
    return tuple(feeders(network, 1, 1e9, lambda _: 0.0).steps.values())


def labels(sheets: list[Sheet]) -> list[Label]:
    return [part for sheet in sheets for part in sheet.primitives if isinstance(part, Label)]


def texts(sheets: list[Sheet]) -> list[str]:
    return [label.text for label in labels(sheets)]


def _named(name: str) -> Path:
    """The file of an example."""
    return next(plant for plant in SHIPPED if plant.parent.name == name)


def faults(network: Network) -> list[tuple[str, str]]:
    return overlaps_of(drawn(network))


def bypass() -> Network:
    """A drive with a bypass, a sub-distribution, a way taken before the main switch, a second supply, an unfed drive."""
    shop = Workshop()
    bar = incoming(shop)
    f = shop.function("=RP1", "Pump with bypass")
    breaker, drive = shop.device(f"{f}-Q1", "breaker", current="40A"), shop.device(f"{f}-T1", "drive", power="15kW", earth=True)
    after, round_it = shop.device(f"{f}-K2", "contactor"), shop.device(f"{f}-K3", "contactor")
    motor = shop.device(f"{f}-M1", "motor", power="15kW", place="+HALL", earth=True)
    for a, b in ((bar, breaker), (breaker, drive), (breaker, round_it), (drive, after)):
        shop.feed(a, b)
    shop.feed(after, motor, cable=f"{f}-W1", screened=True)
    shop.feed(round_it, motor, cable=f"{f}-W2")
    fuse, below = shop.device("-F30", "fuse", current="63A"), shop.device("-WB2", "busbar", category="busbar", current="63A")
    shop.feed(bar, fuse)
    shop.feed(fuse, below)
    for number in range(3, 10):
        direct_feeder(shop, below, number)
    lamp = shop.device("-F40", "breaker", current="6A")
    shop.feed("-X0", lamp, poles=1, neutral=True)
    shop.feed(lamp, shop.device("-X40", "socket", power="1kW", earth=True), poles=1, neutral=True)
    shop.feed(shop.device("-T77", "drive"), shop.device("-M77", "motor"))
    shop.device("-G9", "supply", category="supply", voltage="230V", terminals="L N PE")
    shop.feed("-G9", shop.device("-E9", "heater", power="1kW"), poles=1, neutral=True, cable="-W9", construction="3G1.5")
    return shop.network()


def chain(count: int) -> Network:
    """A chain of boxes, each behind a cable, far longer than a sheet."""
    shop = Workshop()
    last = incoming(shop)
    for number in range(count):
        box = shop.device(f"=LONG.NAME{number}-X1", "terminal-box", place="+HALL", earth=True)
        shop.feed(last, box, cable=f"=LONG.NAME{number}-W1", screened=number % 2 == 0)
        last = box
    return shop.network()


def fan_out(depth: int) -> Network:
    """A tree that doubles at every step, far wider than a sheet."""
    shop = Workshop()
    row = [incoming(shop)]
    for level in range(depth):
        kind = "motor" if level == depth - 1 else "terminal-box"
        fed = [(above, f"-N{level}.{number}") for number, above in enumerate(row + row)]
        row = []
        for above, name in fed:
            shop.feed(above, shop.device(name, kind))
            row.append(name)
    return shop.network()


PLANTS = {
    "hall": hall,
    "hall on A4": lambda: hall("A4"),
    "bypass": bypass,
    "chain": lambda: chain(40),
    "tree": lambda: fan_out(6),
}


@pytest.mark.parametrize("name", PLANTS)
def test_every_power_device_and_cable_is_read_back_from_svg(name: str) -> None:
    network = PLANTS[name]()
    svg = "".join(svg_bytes(sheet).decode() for sheet in drawn(network))
    printed = re.sub(r"<[^>]+>", "\n", svg)
    for name in (*(step.device for step in power_devices(network)), *network.plant.cables):
        assert f'data-of="{name}"' in svg
        function, product = name[: name.index("-")], name[name.index("-") :]
        assert name in printed or (f"{function}\n" in printed and f"{product}\n" in printed), name  # a long one takes two lines


def test_designations_and_ratings_are_read_back_from_the_pdf() -> None:
    from pypdf import PdfReader

    network = hall()
    pages = PdfReader(io.BytesIO(pdf_bytes(drawn(network), "Overview"))).pages
    text = "\n".join(page.extract_text() for page in pages)
    for step in power_devices(network):
        assert step.device in text
    for words in (
        "TN-S",
        "400 V",
        "50 Hz",
        "Ik 12 kA",
        "Total load",
        "Largest motor =RP1-M1 15 kW",
        "4G10 screened",
        "cos φ 0.86",
    ):
        assert words in text


@pytest.mark.parametrize("name", PLANTS)
def test_nothing_touches(name: str) -> None:
    assert faults(PLANTS[name]()) == []


@pytest.mark.parametrize("size", ["A3", "A4"])
@pytest.mark.parametrize("count", range(1, 41, 5))
def test_nothing_touches_on_random_plants(count: int, size: str) -> None:
    assert faults(random_plant(count, count, size)) == []


def test_motors_stand_on_one_row_and_columns_66_to_84_mm_apart() -> None:
    for sheet in drawn(random_plant(7, 20)):
        circles = [p for p in sheet.primitives if isinstance(p, Circle) and p.of.endswith("-M1") and p.radius > 5]
        assert len({round(circle.y, 3) for circle in circles}) <= 1
        at = sorted(circle.x for circle in circles)
        assert all(b - a >= 66 for a, b in pairwise(at))


def test_band_tells_function_cable_and_what_is_not_computed() -> None:
    said = texts(drawn(hall()))
    for words in (
        "=RP1 Recirculation pump 1",
        "28.5 A, cos φ 0.86",
        "=RP1-Q1 40 A",
        "=RP1-W11 4G10 screened 35 m",
        "not computed",
    ):
        assert words in said, words


def test_a_device_worked_elsewhere_says_where_its_handle_is() -> None:
    def said(handle: str, **ratings: str) -> list[str]:
        shop = Workshop()
        shop.device("-G0", "supply", category="supply", voltage="400V")
        shop.device("-Q0", "isolator", operated_at=handle, **ratings)
        shop.device("-M1", "motor", power="4kW")
        shop.feed("-G0", "-Q0")
        shop.feed("-Q0", "-M1")
        network = shop.network()
        assert faults(network) == []
        return [label.text for label in labels(drawn(network)) if label.of == "-Q0" and "LIVE" not in label.text]

    assert said("") == ["-Q0"]
    assert said("+MCP.D") == ["-Q0", "handle on +MCP.D"]
    assert said("+MCP.D", current="63A") == ["-Q0", "63 A, handle on +MCP.D"]
    assert said("+MCP.RIGHT", current="63A") == ["-Q0", "63 A", "handle on +MCP.RIGHT"]


def test_what_a_fuse_feeds_is_said_whole_and_a_motor_in_a_pit_names_it() -> None:
    booster = next(each for each in EXAMPLES if each.name == "booster")
    said = texts(drawn(example(booster).network))
    assert [each for each in said if each.startswith("stop and")] == ["stop and"] and "contactors" in said
    assert said.count("+PIT") == 1


def test_bar_goes_on_with_a_reference_each_way() -> None:
    sheets = drawn(random_plant(2, 12))
    for here, there in pairwise(sheets):
        onward = [label for label in labels([here]) if label.text.startswith("→ ")]
        if onward:
            assert onward[0].link == there.key
            assert onward[0].text.startswith(f"→ sheet {there.number} / ")
            back = next(label for label in labels([there]) if label.text.startswith("← "))
            assert back.link == here.key


@each_of("name", ["two-wire-start", "local-remote", "preset-speeds", "closed-loop-two-wire", "three-wire-start"])
def test_the_supply_of_an_only_way_stands_above_it_on_an_upright_sheet_with_its_totals_beside_it(name: str) -> None:
    drawing = small_drawing_of(_named(name))
    (sheet,) = single_line_sheets(drawing)
    (motor,) = (device.id for device in drawing.plant.devices.values() if device.kind == "motor")
    runs = [part for part in sheet.primitives if isinstance(part, Line) and part.width == WIDE and not part.dash]
    at = {part.of: part.points[0][0] for part in runs if len(part.points) == 2 and part.points[0][0] == part.points[1][0]}
    assert at["-G0"] == at["-W0"] == at["-Q0"] == at[motor]
    said = texts([sheet])
    assert any(text.startswith("Total load ") for text in said) and any(text.startswith("Upstream protection") for text in said)


def test_an_only_way_beside_its_supply_is_joined_to_it() -> None:
    drawing = small_drawing_of(_named("two-wire-start"))
    (sheet,) = single_line_sheets(drawing)
    lines = [part for part in sheet.primitives if isinstance(part, Line)]
    ends = [line.points[-1] for line in lines if line.of == "-G0"]
    assert any(line.points[0] in ends for line in lines if line.of not in ("", "-G0"))


@each_of("plant", SHIPPED)
def test_a_busbar_has_its_name_on_every_upright_sheet_and_no_word_beside_it_is_cut(plant: Path) -> None:
    drawing = small_drawing_of(plant)
    bars = {name for name, device in drawing.plant.devices.items() if device.kind == "busbar"}
    for sheet in single_line_sheets(drawing):
        drawn_here = {part.of for part in sheet.primitives if isinstance(part, Line) and part.of in bars and part.width == FRAME}
        assert drawn_here <= set(texts([sheet]))
        assert not [label.text for label in labels([sheet]) if label.of in bars and label.text.endswith("…")]


@each_of("size", ["A3", "A4"])
def test_a_neutral_leads_from_the_trunk_along_the_bar_where_the_next_sheet_has_its_feeders(size: str) -> None:
    first, *_ = single_line_sheets(sized(_named("booster"), size))
    lines = [part for part in first.primitives if isinstance(part, Line) and part.of == "-WB1"]
    (bar,) = [line for line in lines if line.width == FRAME]
    trunk, along = sorted((line for line in lines if line.width == NARROW), key=lambda line: line.points[-1][0])
    assert trunk.points[-1] == along.points[0]
    assert along.points[-1] == pytest.approx((bar.points[-1][0], along.points[0][1]))
    assert "N" in texts([first])


def test_what_a_bar_bears_is_said_whole_where_it_goes_on_from_another_sheet() -> None:
    drawing = small_drawing_of(_named("star-delta"))
    sheets = [framed(sheet, drawing.plant.project) for sheet in single_line_sheets(drawing)]
    said = texts(sheets)
    assert "Ik 4.14 kA, withstand not stated" in said
    assert "3 ~ 400 V 50 Hz" in said
    assert not [text for text in said if text.startswith("3 ~ 40") and text.endswith("…")]  # said whole overleaf
    assert overlaps_of(sheets) == []


def test_what_is_live_with_the_isolator_off_is_said_where_a_panel_has_one_way_alone() -> None:
    (sheet,) = single_line_sheets(small_drawing_of(_named("two-wire-start")))
    (live,) = [part for part in sheet.primitives if isinstance(part, Label) and part.text == "LIVE"]
    assert (live.of, live.bold) == ("-Q0", True)
    assert "LIVE: stays live with -Q0 off." in texts([sheet])


def test_references_name_the_zone_of_their_goal() -> None:
    sheets = drawn(bypass())
    label = next(label for label in labels(sheets) if label.text == "from -WB2")
    goal = next(sheet for sheet in sheets if label in sheet.primitives)
    named = zone(goal.size, label.x - 2.5, label.y + 11.5)
    assert f"zone {named}" in texts([goal])  # of a sheet itself the zone alone


def test_a_way_before_the_main_switch_is_shown_and_what_no_supply_feeds_says_so() -> None:
    said = texts(drawn(bypass()))
    assert "from -X0, live with -Q0 off" in said
    assert "not fed from any supply" in said


def test_a_bypass_meets_the_load_beside_it() -> None:
    sheet = drawn(bypass())[0]
    motor = next(p for p in sheet.primitives if isinstance(p, Circle) and p.of == "=RP1-M1" and p.radius > 5)
    ends = [p.points[-1] for p in sheet.primitives if isinstance(p, Line) and p.of == "=RP1-K2"]
    assert any(x == motor.x and motor.y - motor.radius - 3 < y < motor.y - motor.radius for x, y in ends)


def test_a_second_way_from_the_middle_of_a_chain_leaves_the_line_which_goes_on() -> None:
    shop = Workshop()
    bar = incoming(shop)
    breaker, first, second, star = (shop.device(f"=P1-{name}", "contactor") for name in ("Q1", "K1", "K2", "K3"))
    motor = shop.device("=P1-M1", "motor", power="4kW", earth=True)
    for a, b in ((bar, breaker), (breaker, first), (breaker, second), (second, star)):
        shop.feed(a, b)
    shop.feed(first, motor, cable="=P1-W1")
    shop.feed(second, motor, cable="=P1-W2")
    network = shop.network()
    assert faults(network) == []
    (sheet,) = drawn(network)
    (way,) = [label for label in labels([sheet]) if label.text == "=P1-W2 to =P1-M1"]
    below = next(label for label in labels([sheet]) if label.text == star)
    above = next(label for label in labels([sheet]) if label.text == second)
    assert above.y < way.y < below.y
    lines = [part for part in sheet.primitives if isinstance(part, Line) and part.of == second and not part.fill]
    assert any(line.points[0][0] == line.points[-1][0] and line.points[0][1] < way.y < line.points[-1][1] for line in lines)


def test_no_line_of_two_devices_crosses_another() -> None:
    for sheet in drawn(hall()):
        lines = [p.points for p in sheet.primitives if isinstance(p, Line) and len(p.points) == 2 and p.of and p.width == 0.5]
        upright = [(a[0], min(a[1], b[1]), max(a[1], b[1])) for a, b in lines if a[0] == b[0]]
        level = [(a[1], min(a[0], b[0]), max(a[0], b[0])) for a, b in lines if a[1] == b[1] and abs(a[0] - b[0]) > 30]
        for x, top, bottom in upright:
            assert not any(
                left < x - 0.01 and x + 0.01 < right and top < y - 0.01 and y + 0.01 < bottom for y, left, right in level
            )


def test_a_plant_without_power_has_no_single_line_diagram() -> None:
    assert single_line_sheets(Drawing(Workshop().network())) == []


def test_one_load_without_a_bar_hangs_on_its_supply() -> None:
    shop = Workshop()
    shop.device("-G0", "supply", category="supply", voltage="400V")
    shop.feed("-G0", shop.device("-Q0", "isolator"))
    shop.feed("-Q0", shop.device("-M1", "motor", power="4kW", earth=True), cable="-W1")
    network = shop.network()
    assert len(drawn(network)) == 1
    assert faults(network) == []


def test_adding_a_feeder_at_the_end_leaves_the_first_sheet_alone() -> None:
    def plant(count: int) -> Network:
        shop = Workshop()
        bar = incoming(shop)
        shop.device("-T1", "transformer", power="1kW")
        for number in range(1, count + 1):
            drive_feeder(shop, bar, number)
        return shop.network()

    few, more = single_line_sheets(Unlinked(plant(11))), single_line_sheets(Unlinked(plant(12)))
    assert [sheet.number for sheet in few] == [sheet.number for sheet in more][: len(few)]
    lines = [{p.text for p in sheet.primitives if isinstance(p, Label)} for sheet in (few[1], more[1])]
    assert lines[0] == lines[1]


def test_same_sheets_from_the_same_plant_made_twice() -> None:
    assert single_line_sheets(Drawing(random_plant(5, 12))) == single_line_sheets(Drawing(random_plant(5, 12)))


def test_the_band_cuts_what_is_long_and_stays_within_its_reserve() -> None:
    long = " ".join(["of many words"] * 40)
    band = Band([Column("-M1", (long,) * len(ROWS)), Column("-M2", ("short",) * len(ROWS))], 66.0)
    assert [len(lines) for lines in band.cells[0]] == [2, 1, 1, 2, 3, 2, 2]
    assert [len(lines) for lines in band.cells[1]] == [1] * len(ROWS)
    assert all(lines[-1].endswith("…") for lines in band.cells[0])
    assert band.height == pytest.approx(reserve())


def test_a_load_without_protection_of_its_own_is_under_that_nearest_ahead() -> None:
    shop = Workshop()
    shop.device("-G0", "supply", category="supply", voltage="400V")
    for name, ahead, amps in (("-F1", "-G0", "100A"), ("-F2", "-F1", "63A")):
        shop.feed(ahead, shop.device(name, "breaker", current=amps))
    shop.feed("-F2", shop.device("-WB1", "busbar", category="busbar"))
    for number in (1, 2):
        shop.feed("-WB1", shop.device(f"-M{number}", "motor", power="4kW", earth=True), cable=f"-W{number}")
    said = texts(drawn(shop.network()))
    assert said.count("-F2 63 A") == 2 and "-F1 100 A" not in said
