"""Plug connections: two halves of the same contacts that meet."""

from __future__ import annotations

from pathlib import Path

import pytest
from reading import sound

from lint import check
from netdsl.calc import calculate
from netdsl.calc.conductors import VoltageDrops
from netdsl.calc.protection import Disconnections
from netdsl.network import build_network
from netdsl.network.queries import mate_of

HALVES = """\
place +BOX "Box" kind=box material=plastic
device -XJ1 plug-6p-sockets at=+BOX
device -XP1 plug-6p-pins at=+BOX
"""
PANEL = """\
place +MCP "Panel" kind=box material=plastic
place +HALL "Hall" kind=field
supply -G0 system=TN-S phases=1 voltage=230V frequency=50Hz fault-current=3kA earth-fault-current=2kA upstream=fuse-gG-16A
device -XE1 earth-bar at=+MCP ways=4
device -F1 mcb-1p-c at=+MCP current=10A
{halves}
device -E1 heater-fan-400w at=+HALL
cable -W0 3G2.5 length=5m method=C {{
  BN   -G0:L  to -F1:1
  BU   -G0:N  to {near}:2
  GNYE -G0:PE to -XE1:1
}}
wire -F1:2 to {near}:1 2.5mm2 BK length=1m
wire -XE1:2 to {near}:PE 2.5mm2 GNYE length=1m
cable -W1 3G2.5 length=20m method=C {{
  BN   {far}:1  to -E1:L
  BU   {far}:2  to -E1:N
  GNYE {far}:PE to -E1:PE
}}
"""


def test_contacts_of_one_name_meet(tmp_path: Path) -> None:
    plant = sound(tmp_path, HALVES + "couple -XJ1 -XP1\n")
    network = build_network(plant)[0]
    assert [coupling.halves for coupling in plant.couplings] == [("-XJ1", "-XP1")]
    assert [network.net_of[f"-XJ1:{name}"] == network.net_of[f"-XP1:{name}"] for name in ("1", "6", "PE")] == [True] * 3
    assert network.net_of["-XJ1:1"] != network.net_of["-XP1:2"]
    assert (mate_of(plant, "-XJ1"), mate_of(plant, "-XP1"), mate_of(plant, "-F9")) == ("-XP1", "-XJ1", "")
    apart = build_network(sound(tmp_path, HALVES))[0]
    assert apart.net_of["-XJ1:1"] != apart.net_of["-XP1:1"]


@pytest.mark.parametrize("order", ["-XJ1 -XP1", "-XP1 -XJ1"])
def test_power_and_earth_go_on_through_a_coupling_as_through_one_box(tmp_path: Path, order: str) -> None:
    halves = f"device -XJ1 plug-6p-sockets at=+MCP\ndevice -XP1 plug-6p-pins at=+HALL\ncouple {order}"
    coupled = build_network(sound(tmp_path, PANEL.format(halves=halves, near="-XJ1", far="-XP1")))[0]
    box = build_network(sound(tmp_path, PANEL.format(halves="device -XJ1 plug-6p-sockets at=+MCP", near="-XJ1", far="-XJ1")))[0]
    assert [finding.message for finding in check(coupled)] == []
    figures = []
    for network in (coupled, box):
        calculation = calculate(network)
        results = (*calculation.of(VoltageDrops).results(), *calculation.of(Disconnections).results())
        figures.append({each.key: each.value for each in results if each.subject == "-E1"})
    assert figures[0] == figures[1] and len(figures[0]) >= 2


def test_a_half_is_coupled_on_the_side_of_the_load_alone_where_it_is_pulled(tmp_path: Path) -> None:
    halves = "device -XJ1 plug-6p-sockets at=+MCP\ndevice -XP1 plug-6p-pins at=+HALL"
    pulled = build_network(sound(tmp_path, PANEL.format(halves=halves, near="-XJ1", far="-XP1")))[0]
    assert "-E1" not in pulled.power.graph
