"""Outputs of one housing that trip alone: each has a rating, wires and loads of its own. Numbers by Ohm's law."""

from __future__ import annotations

from pathlib import Path

import pytest
from control_plants import BASE, by_key, computed

from netdsl.calc.circuit import Circuit
from netdsl.calc.control.branches import ControlBranches
from netdsl.calc.control.overload import ControlOverloads
from netdsl.calc.devices import Characteristics
from netdsl.model.kinds import Category, Kind

FUSED = (
    BASE
    + """\
part fuses "Electronic fuse, three outputs" {
  kind = breaker   letter = F   class = II   curve = electronic   setting-range = 1..10A
  terminal :+ line-in
  terminal :1..3 load-out
  pole :+ to :1 channel by=handle
  pole :+ to :2 channel by=handle
  pole :+ to :3 channel by=handle
}
device -T9 supply at=+MCP
device -F1 fuses at=+MCP
device -P1 bulb at=+MCP
device -P2 bulb at=+MCP
wire -T9:+ to -F1:+ 2.5mm2 length=1m
wire -F1:1 to -P1:X1 0.75mm2 length=1m
wire -F1:2 to -P2:X1 0.75mm2 length=1m
wire -T9:- to -P1:X2 to -P2:X2 0.75mm2 length=1m
"""
)
SET = 'channel -F1:1 "first" current=2A\n'


def test_each_output_is_a_device_of_its_own(tmp_path: Path) -> None:
    calculation = computed(tmp_path, SET, FUSED)
    devices = calculation.plant.devices
    housing, first, spare = devices["-F1"], devices["-F1.1"], devices["-F1.3"]
    assert (housing.kind, housing.paths, list(housing.terminals)) == (Kind.HOUSING, (), ["+", "1", "2", "3"])
    assert (first.category, first.kind, first.host, list(first.terminals)) == (Category.CHANNEL, Kind.BREAKER, "-F1", ["+", "1"])
    assert (first.title, first.ratings.amount("current"), spare.ratings.amount("current")) == ("first", 2, None)
    assert [name for name in devices if name.startswith("-F1")] == ["-F1", "-F1.1", "-F1.2", "-F1.3"]
    # conductors land on the housing, whose nets are those of the channels
    nets = calculation.network.net_of
    assert nets["-F1.1:1"] == nets["-F1:1"] == "-F1:1"
    assert nets["-F1.2:+"] == nets["-F1:+"] == "-T9:+"


def test_each_output_has_its_own_rating_and_load(tmp_path: Path) -> None:
    calculation = computed(tmp_path, SET, FUSED)
    known = calculation.of(Characteristics)
    first, second = known.of("-F1.1"), known.of("-F1.2")
    assert first is not None and second is not None and known.of("-F1") is None
    assert (first.rated_a, second.rated_a) == (2, 10)  # one that is not set counts as set to its most
    loads = by_key(calculation.of(ControlBranches).results())
    assert loads["overload.branch -F1.1"].value == pytest.approx(0.5)
    assert {name: result.limit for name, result in loads.items()} == {"overload.branch -F1.1": 2, "overload.branch -F1.2": 10}
    wires = by_key(calculation.of(ControlOverloads).results())
    assert wires["overload.control -F1.1"].holds and not wires["overload.control -F1.2"].holds


def test_an_output_that_is_not_wired_is_in_no_circuit(tmp_path: Path) -> None:
    calculation = computed(tmp_path, SET, FUSED)
    assert [name for name in calculation.of(Circuit).into if name.startswith("-F1")] == ["-F1.1", "-F1.2"]
