"""Small plants on the desk, for the tests of this room."""

from __future__ import annotations

from pathlib import Path

import lint
from netdsl.calc import calculate
from netdsl.findings import Severity
from netdsl.model import read_plant
from netdsl.network import build_network
from netdsl.viewing.desk import Reading

PLANT = """project "Two lamps" {
}
place +MCP box "Panel"
part lamp "Lamp" {
  kind = lamp   symbol = lamp   letter = H
  terminal :X1 :X2 coil 0.5..2.5mm2 voltage=24V dc
}
strip -X1 at=+MCP {
  :1..2 2.5mm2
}
function =P1 "Pump one" at=+MCP {
  device -H1 lamp
  wire -X1:1 to -H1:X1 1mm2 BU
}
function =P2 "Pump two" at=+MCP {
  device -H1 lamp
  wire -X1:2 to -H1:X1 1mm2 BU
}
"""


def read(file: Path) -> Reading:
    """The plant in a file as the desk is handed it, with what the rules find."""
    plant, findings = read_plant(file)
    if plant is None:
        return Reading(None, tuple(findings), False)
    network, joining = build_network(plant)
    calculation = calculate(network)
    verdict = lint.verdict(network, None, calculation)
    found = (*findings, *joining)
    checked = all(each.severity is not Severity.ERROR for each in found)
    return Reading(network, (*found, *verdict.findings), checked, calculation, verdict.extent)
