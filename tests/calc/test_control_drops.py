"""Voltage at the far end of control circuits, by hand."""

from __future__ import annotations

from pathlib import Path

import pytest
from control_plants import SUPPLY, by_key, computed

from netdsl.calc.control.drops import ControlDrops


def test_the_drop_is_current_times_resistance_there_and_back(tmp_path: Path) -> None:
    text = """\
device -P1 bulb at=+HALL
cable -W1 2x1.5 resistance=1.2ohm {
  BN -T9:+ to -P1:X1
  BU -T9:- to -P1:X2
}
"""
    drop = by_key(computed(tmp_path, SUPPLY + text).of(ControlDrops).results())["control-drop -P1 from -T9:+"]
    assert drop.value == pytest.approx(100 * 0.5 * 2.4 / 24)
    assert drop.conductors == ("-W1 BN", "-W1 BU")
    assert drop.limit == 10


def test_what_shares_the_conductors_adds_to_the_drop(tmp_path: Path) -> None:
    text = """\
device -P1 bulb at=+HALL
device -P2 bulb at=+HALL
cable -W1 2x1.5 resistance=1ohm {
  BN -T9:+ to -P1:X1
  BU -T9:- to -P1:X2
}
cable -W2 2x1.5 resistance=2ohm {
  BN -P1:X1 to -P2:X1
  BU -P1:X2 to -P2:X2
}
"""
    drops = by_key(computed(tmp_path, SUPPLY + text).of(ControlDrops).results())
    assert drops["control-drop -P1 from -T9:+"].value == pytest.approx(100 * (1.0 * 2) / 24)
    assert drops["control-drop -P2 from -T9:+"].value == pytest.approx(100 * (1.0 * 2 + 0.5 * 4) / 24)


def test_of_two_ways_the_longer_counts(tmp_path: Path) -> None:
    text = """\
device -S1 contact at=+MCP
device -S2 contact at=+HALL
device -P1 bulb at=+MCP
wire -T9:+ to -S1:13 resistance=0.1ohm
wire -S1:14 to -P1:X1 resistance=0.1ohm
wire -P1:X2 to -T9:- resistance=0.1ohm
cable -W1 2x1.5 resistance=1ohm {
  BN -T9:+ to -S2:13
  BU -P1:X1 to -S2:14
}
"""
    drop = by_key(computed(tmp_path, SUPPLY + text).of(ControlDrops).results())["control-drop -P1 from -T9:+"]
    assert drop.value == pytest.approx(100 * 0.5 * 2.1 / 24)


def test_fused_terminals_and_bridges_lie_on_the_way(tmp_path: Path) -> None:
    text = """\
strip -X1 at=+MCP {
  :1 fused fuse=2A
  :2..3 2.5mm2
  bridge :2..3
}
device -P1 bulb at=+MCP
wire -T9:+ to -X1:1/in resistance=0.5ohm
wire -X1:1/out to -X1:2 resistance=0.5ohm
wire -X1:3 to -P1:X1 resistance=0.5ohm
wire -P1:X2 to -T9:- resistance=0.5ohm
"""
    drop = by_key(computed(tmp_path, SUPPLY + text).of(ControlDrops).results())["control-drop -P1 from -T9:+"]
    assert drop.value == pytest.approx(100 * 0.5 * 2.0 / 24)


def test_a_cable_without_length_is_a_gap(tmp_path: Path) -> None:
    text = """\
device -P1 bulb at=+HALL
cable -W1 2x1.5 {
  BN -T9:+ to -P1:X1
  BU -T9:- to -P1:X2
}
"""
    calculation = computed(tmp_path, SUPPLY + text)
    assert list(calculation.of(ControlDrops).results()) == []
    assert [(gap.kind, gap.things) for gap in calculation.missing] == [("length", ("-W1",))]


def test_a_wire_in_the_panel_without_length_gets_an_assumed_one_that_is_listed(tmp_path: Path) -> None:
    text = """\
device -P1 bulb at=+MCP
wire -T9:+ to -P1:X1 0.75mm2
wire -T9:- to -P1:X2 0.75mm2
"""
    calculation = computed(tmp_path, SUPPLY + text)
    drop = by_key(calculation.of(ControlDrops).results())["control-drop -P1 from -T9:+"]
    # two wires of 3 m, IEC 60228 class 5, 26.0 ohm/km at 20 °C, at 70 °C
    assert drop.value == pytest.approx(100 * 0.5 * 2 * 3 * 0.026 * (1 + 0.00393 * 50) / 24, rel=1e-3)
    assert "control-wire-length" in {assumption.name for assumption in calculation.assumptions}


def test_the_project_sets_the_limit(tmp_path: Path) -> None:
    text = """\
project "Test" {
  control-drop-limit = 3%
}
device -P1 bulb at=+HALL
cable -W1 2x1.5 resistance=1.2ohm {
  BN -T9:+ to -P1:X1
  BU -T9:- to -P1:X2
}
"""
    drop = by_key(computed(tmp_path, SUPPLY + text).of(ControlDrops).results())["control-drop -P1 from -T9:+"]
    assert (drop.limit, drop.holds) == (3, False)


def test_each_consumer_of_one_device_has_a_drop_of_its_own(tmp_path: Path) -> None:
    part = """\
part pair "Two lamps in one" {
  kind = lamp   letter = P   class = II
  terminal :1 :2 :3 :4 load
  load :1 to :2 voltage=24V dc power=12W
  load :3 to :4 voltage=24V dc power=24W
}
device -P1 pair at=+HALL
cable -W1 4x1.5 resistance=1ohm {
  BN -T9:+ to -P1:1
  BK -P1:2 to -T9:-
  GY -T9:+ to -P1:3
  BU -P1:4 to -T9:-
}
"""
    drops = by_key(computed(tmp_path, SUPPLY + part).of(ControlDrops).results())
    assert drops["control-drop -P1 from -T9:+"].value == pytest.approx(100 * 0.5 * 2 / 24)
    assert drops["control-drop -P1/2 from -T9:+"].value == pytest.approx(100 * 1.0 * 2 / 24)
