"""Plants from longer lists, and one for each way of running."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import cycle, islice
from pathlib import Path

import pytest

from netdsl.model.plant import Device
from netdsl.quantities import Quantity
from netdsl.starting.choosing import own_parts
from netdsl.starting.practice import ways
from tests.starting.written import judged, network_of, unchecked, written

WAYS = tuple(ways())
HEAD = "designation,description,power,voltage,way of running,cable length,place\n"
POWERS = (0.75, 1.5, 4, 7.5, 15, 22, 30, 45, 55, 75, 90)


def listed(folder: Path, rows: Sequence[str], head: str = HEAD) -> Path:
    folder.mkdir(exist_ok=True)
    motors = folder / "motors.csv"
    motors.write_text(head + "\n".join(rows) + "\n")
    return motors


def made(folder: Path, rows: Sequence[str], head: str = HEAD) -> Path:
    return written(folder / "plant", "--from", listed(folder, rows, head))


def drafted(folder: Path, *rows: str) -> Path:
    """As `made`, for tests that do not ask what `check` finds."""
    return unchecked(folder / "plant", "--from", listed(folder, rows))


def amps_of(plant: Path, *devices: str) -> list[float]:
    known = network_of(plant).plant.devices
    return [amount(known[device]) for device in devices]


def amount(device: Device) -> float:
    current = device.ratings["current"]
    assert isinstance(current, Quantity)
    return current.value


def served(way: str, kw: float) -> float:
    """The power nearest to `kw` that a way of running serves, kW."""
    own = [part.power / 1000 for part in own_parts(ways()[way])]
    return min(own, key=lambda each: abs(each - kw)) if own else min(kw, ways()[way].largest_kw)


@pytest.mark.parametrize("way", WAYS)
def test_each_way_of_running_gives_a_plant_without_finding(way: str, tmp_path: Path) -> None:
    found = judged(made(tmp_path, [f"A1,Pump,{served(way, 4):g}kW,{'' if way == 'dosing-pump' else '400V'},{way},20m,Hall"]))
    assert [finding.message for finding in found.findings] == []


def test_forty_motors_up_to_90_kilowatts_in_one_hall_give_panels_without_finding(tmp_path: Path) -> None:
    rows = []
    for n, (way, kw) in enumerate(islice(zip(cycle(WAYS), cycle(POWERS)), 40)):
        rows.append(f"P{n + 1},Pump {n + 1},{served(way, kw):g}kW,,{way},{12 + n % 12}m,Hall")
    found = judged(made(tmp_path, rows))
    assert found.checked and found.network is not None
    assert [finding.message for finding in found.findings] == []
    plant = found.network.plant
    assert sum(device.kind == "motor" for device in plant.devices.values()) == 40 + sum(
        {"duty-standby": 1, "shared-drive": 1, "alternating-pumps": 1, "fixed-lead-pumps": 1, "heater": -1}.get(
            row.split(",")[4], 0
        )
        for row in rows
    )
    assert "auto" not in {value.span.text for value in plant.open_values}
    assert {"=MCPA-G0", "=MCPB-G0"} <= set(plant.devices)


def test_panels_that_a_list_names_have_each_a_supply_and_a_serial_line_of_its_own(tmp_path: Path) -> None:
    rows = [
        "P1,Pump,4kW,400V,dol,20m,Hall,Pump house",
        'P2,Fan of "+MCP DUCT2",4kW,400V,bus,20m,Hall,Fans',
        "P3,Pump,4kW,400V,mains-bypass,20m,Hall,Pump house",
        "P4,Pump,4kW,400V,bus,20m,Well,Pump house",
    ]
    plant = made(tmp_path, rows, HEAD.replace("place", "place,panel"))
    found = judged(plant)
    assert [finding.message for finding in found.findings] == []
    assert found.network is not None
    devices = found.network.plant.devices
    for panel, title, motors in (("MCPA", "Pump house", ("P1", "P3", "P4")), ("MCPB", "Fans", ("P2",))):
        assert {f"={panel}{name}" for name in ("-G0", "-Q0", "-WB1", "-T9", ".SL1-A1")} <= set(devices)
        assert f'function ={panel} "{title}"' in plant.read_text()
        for motor in motors:
            assert f"={panel}.{motor}-M1" in devices
    assert "\"Fan of '+MCP DUCT2'\"" in plant.with_name("circuits.netdsl").read_text()


def test_large_motors_in_one_place_give_a_plant_without_finding(tmp_path: Path) -> None:
    rows = [f"P{n},Pump {n},{kw}kW,400V,two-wire,{20 + n}m,Hall" for n, kw in enumerate(("30", "37", "45", "55", "75", "90"))]
    found = judged(made(tmp_path, rows[:5]))
    assert [finding.message for finding in found.findings] == []
    for number, row in enumerate(rows):
        alone = judged(made(tmp_path / f"alone-{number}", [row]))
        assert [finding.message for finding in alone.findings] == []


def test_a_breaker_ahead_of_a_drive_leaves_room_for_the_inrush(tmp_path: Path) -> None:
    amps = {"0.75": 6.0, "2.2": 10.0, "11": 32.0, "22": 63.0}
    plant = drafted(tmp_path, *(f"P{n},Pump,{power}kW,400V,two-wire,20m,Hall" for n, power in enumerate(amps, 1)))
    ahead = dict(zip(amps, amps_of(plant, "=P1-Q1", "=P2-Q1", "=P3-Q1", "=P4-Q1"), strict=True))
    assert ahead == amps
    lines = [line for line in plant.with_name("circuits.netdsl").read_text().splitlines() if "device -Q1" in line]
    for n, line in enumerate(lines, 1):
        assert "# rating" in line and f"inrush of =P{n}-T1" in line
    assert len(lines) == len(amps)
    assert "for the inrush (common practice, no source)" in " ".join(plant.read_text().replace("#", " ").split())


def test_the_fuse_at_the_origin_is_larger_than_what_stands_behind_it(tmp_path: Path) -> None:
    plant = drafted(tmp_path, "P1,Pump,75kW,400V,two-wire,20m,Hall")
    assert amps_of(plant, "=P1-F1") == [200]
    assert "upstream=fuse-gG-400A" in plant.read_text()


def test_a_power_between_two_of_the_library_takes_the_current_in_proportion(tmp_path: Path) -> None:
    plant = drafted(tmp_path, "P1,Pump,6kW,400V,two-wire,20m,Hall", "P2,Pump,6kW,400V,direct-on-line,20m,Hall")
    assert amps_of(plant, "=P1-M1", "=P2-M1") == [12.4, 12.4]
    said = plant.with_name("circuits.netdsl").read_text()
    assert said.count("12.4 A, in proportion to the library's motor of 7.5 kW") == 2


def test_what_the_list_leaves_open_is_said_where_it_is_used(tmp_path: Path) -> None:
    plant = drafted(tmp_path, "P1,Pump,4kW,,two-wire,,", "P2,Fan,4kW,,dol,,")
    lines = plant.with_name("circuits.netdsl").read_text().splitlines()
    assert any(line.lstrip().startswith("cable -W1") and line.endswith("# length assumed") for line in lines)
    assert any(line.lstrip().startswith("device -M1") and line.endswith("winding assumed") for line in lines)
    (above,) = [lines[number - 2 : number] for number, line in enumerate(lines) if "use direct-on-line" in line]
    assert any("winding assumed" in line and "length assumed" in line for line in above)


def test_a_motor_cable_too_long_for_its_drive_is_for_the_designer_to_decide(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    plant = made(tmp_path, ["P1,Pump,4kW,400V,two-wire,90m,Hall"])
    decisions = capsys.readouterr().out.split("must still decide:")[1]
    found = judged(plant)
    assert [finding.rule for finding in found.findings] == ["motor-cable-long"]
    assert (
        "motor-cable-long: `=P1-W1`" in decisions
        and "remedy: move the drive nearer" in decisions
        and "motor-cable-long: `=P1-W1`" in plant.read_text()
    )
    assert found.network is not None and not found.network.plant.open_values


@pytest.mark.parametrize(
    ("number", "power", "fuse", "cable"),
    [(1, "1.5", "25A", "5G4"), (3, "11", "80A", "5G25"), (4, "22", "200A", "5G95"), (8, "37", "630A", "4x185")],
)
def test_the_infeed_carries_what_its_fuse_lets_through(number: int, power: str, fuse: str, cable: str, tmp_path: Path) -> None:
    plant = made(tmp_path, [f"P{n},Pump,{power}kW,400V,two-wire,{15 + n}m,Hall" for n in range(number)])
    assert f"upstream=fuse-gG-{fuse}" in plant.read_text()
    assert f"cable -W0 {cable} " in plant.read_text()
    assert [finding.message for finding in judged(plant).findings] == []
    for file in plant.parent.glob("*.netdsl"):
        wide = [line for line in file.read_text("utf-8").splitlines() if len(line) > 130]
        assert all(line.lstrip().startswith("use ") for line in wide), wide


def test_small_drives_together_ask_for_a_reinforced_earth_core(tmp_path: Path) -> None:
    plant = made(tmp_path, [f"P{n},Pump,0.75kW,400V,two-wire,20m,Hall" for n in range(5)])
    assert "cable -W0 5G10 " in plant.read_text()
    assert [finding.message for finding in judged(plant).findings] == []


def test_a_star_delta_starter_of_a_small_motor_is_set_to_its_current(tmp_path: Path) -> None:
    plant = made(tmp_path, ["P1,Pump,0.09kW,400/690V,star-delta,5m,Cellar", "P2,Pump,4kW,400/690V,star-delta,20m,Hall"])
    assert [finding.message for finding in judged(plant).findings] == []


def test_wires_of_the_panel_lie_in_a_duct(tmp_path: Path) -> None:
    rows = [
        f"P{n},Pump {n},4kW,400V,{way},20m,Hall"
        for n, way in enumerate(("two-wire", "serial-bus", "direct-on-line", "closed-loop"))
    ]
    network = network_of(drafted(tmp_path, *rows))
    devices = network.plant.devices
    bare = [run.conductor for run in network.runs.values() if run.conductor.cable is None and not run.routes]
    places = {devices[end.device].place if end.device in devices else end.device for made in bare for end in made.ends}
    assert places == {"+MCP.D"}  # from device to device of the door, which no duct leads to


def test_a_bypass_far_away_gets_a_branch_of_24_volts_of_its_own(tmp_path: Path) -> None:
    rows = ["P1,Pump,4kW,400V,dol,20m,Hall", "P2,Fan,1.5kW,400V,mains-bypass,45m,Well", "P3,Pump,4kW,400V,dol,20m,Hall"]
    plant = made(tmp_path, rows)
    assert amps_of(plant, "-F21", "-F22", "-F23") == [2, 1, 2]
    assert [finding.message for finding in judged(plant).findings] == []


@pytest.mark.parametrize("number", [2, 9])
def test_what_carries_230_volts_to_the_fans_is_not_in_the_colour_of_24_volts(number: int, tmp_path: Path) -> None:
    network = network_of(drafted(tmp_path, *(f"P{n},Pump,11kW,400V,two-wire,20m,Hall" for n in range(number))))
    fans = [device for device in network.plant.devices if device.startswith("-E9")]
    live = [run for run in network.runs.values() if any(end.id in {f"{fan}:L" for fan in fans} for end in run.conductor.ends)]
    assert len(live) == len(fans) > 0
    assert {(run.colour, run.routes) for run in live} == {("BK", ("DUCT10",))}


def test_several_large_bypasses_do_not_share_the_duct_of_their_drives_outputs(tmp_path: Path) -> None:
    found = judged(made(tmp_path, [f"P{n},Pump,15kW,400V,mains-bypass,20m,Hall" for n in range(4)]))
    assert [finding.message for finding in found.findings] == []
    assert found.network is not None and not found.network.plant.open_values
