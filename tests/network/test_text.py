"""From text to network: what the shipped parts make of it, whatever the hash seed."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

from netdsl.model import read_plant
from netdsl.network import build_network
from netdsl.network.queries import reference_nets
from netdsl.network.types import ConductorClass

ROOT = Path(__file__).parents[2]
PLANT = """netdsl 1
project "Alder hatchery" {
  number = "AH-E-001"   marks = potential
}
place +MCP "Panel" kind=cabinet
place +HALL "Hall" kind=field
supply -G0 "Way 7" system=TN-S voltage=400V frequency=50Hz fault-current=12kA
device -XE1 earth-bar at=+MCP ways=20
wire -G0:PE to -XE1:1 16mm2 GNYE
wire -XE1:2 to +MCP:PE 16mm2 GNYE
device -F1 mcb-2p at=+MCP current=6A
device -T2 supply-24v at=+MCP
wire -G0:L1,N to -F1:1,3 2.5mm2 BK
wire -F1:2,4 to -T2:L,N 1.5mm2 BK
wire -T2:PE to -XE1:3 2.5mm2 GNYE
wire -T2:- to -XE1:9 2.5mm2 GNYE
earthing of -T2:- at -XE1:9
potential P24 of -T2:+ mark=P24
strip -X1 "Field" at=+MCP {
  :1..4 2.5mm2 "level"
  :9 fused fuse=2A
  bridge :1..2
}
wire -T2:+ to -X1:9 0.75mm2 BU
wire -X1:9/out to -X1:1 0.75mm2 BU
function =LV1 "Level" at=+MCP {
  device -B1 level-switch at=+HALL
  device -K1 relay-1co
  cable -W1 2x1.5 length=20m {
    BN -X1:2 to -B1:11
    BU -X1:3 to -B1:14
  }
  wire -X1:3 to -K1:A1 0.75mm2 BU
  wire -K1:A2 to -T2:- 0.75mm2 BU
}
"""


def shown(file: Path) -> str:
    """All that a network holds, in its order."""
    plant, _ = read_plant(file)
    assert plant is not None
    network, _ = build_network(plant)
    uses = [(use.cable.id, use.klass.value, use.drive, use.load, use.devices, use.voltage) for use in network.cables.values()]
    runs = [(run.id, run.net, run.klass.value, run.mark) for run in network.runs.values()]
    earth = list(network.earth.graph.edges(data=True)), network.earth.root, list(network.earth.node_of.items())
    power = list(network.power.graph.edges(data=True)), network.power.order, network.contents
    return "\n".join(map(str, (list(network.nets.values()), runs, uses, earth, power)))


def test_a_control_supply_and_its_field_circuit(tmp_path: Path) -> None:
    (tmp_path / "plant.netdsl").write_text(PLANT, encoding="utf-8")
    plant, faults = read_plant(tmp_path / "plant.netdsl")
    assert plant is not None and faults == ()
    network, findings = build_network(plant)
    assert findings == ()
    assert network.net_of["-T2:+"] == network.net_of["-X1:9/in"] != network.net_of["-X1:1"]
    assert [potential.id for potential in network.nets[network.net_of["=LV1-B1:11"]].certain] == ["-T2:+"]
    assert [potential.id for potential in network.nets[network.net_of["=LV1-B1:14"]].possible] == ["-T2:+"]
    use = network.cables["=LV1-W1"]
    assert (use.klass, use.voltage, use.devices) == (ConductorClass.CONTROL, 24.0, (("-X1",), ("=LV1-B1",)))
    assert {run.mark for run in network.runs.values() if run.net == network.net_of["-T2:+"]} == {"P24"}
    assert reference_nets(network) == (("-T2:-", "-G0:PE"),)
    edge = network.power.graph.edges["-F1", "-T2"]
    assert (edge["poles"], edge["neutral"], len(edge["conductors"])) == (1, True, 2)
    assert network.earth.root == "-XE1"


def test_nothing_depends_on_the_hash_seed(tmp_path: Path) -> None:
    (tmp_path / "plant.netdsl").write_text(PLANT, encoding="utf-8")
    code = "import sys, pathlib, tests.network.test_text as here; print(here.shown(pathlib.Path(sys.argv[1])))"
    command = [sys.executable, "-c", code, str(tmp_path / "plant.netdsl")]
    seed = "2" if os.environ.get("PYTHONHASHSEED") != "2" else "1"
    environment = {**os.environ, "PYTHONPATH": str(ROOT), "PYTHONHASHSEED": seed}
    there = subprocess.run(command, env=environment, capture_output=True, check=True, text=True).stdout
    assert there == shown(tmp_path / "plant.netdsl") + "\n"


def test_sides_of_a_cable_of_which_the_screen_alone_is_connected(tmp_path: Path) -> None:
    plant = tmp_path / "plant.netdsl"
    lines = "device -T9 vsd-1.5kw at=+MCP\ndevice -B9 transmitter at=+HALL\ncable -W9 2x0.75 screened length=5m {\n"
    plant.write_text(f"{PLANT}{lines}  screen -T9:SHC clamp to -B9 open\n}}\n", "utf-8")
    read, _ = read_plant(plant)
    assert read is not None
    assert build_network(read)[0].cables["-W9"].devices == (("-T9",), ("-B9",))
