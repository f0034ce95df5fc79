"""A neutral left open gets the section of its phases, also from the bar at which a PEN conductor is divided."""

from __future__ import annotations

import shutil
from pathlib import Path

from netdsl.cli.work import connect
from netdsl.sizing import propose

PLANTS = Path(__file__).parents[1] / "lint" / "plants"


def test_behind_a_pen_conductor(tmp_path: Path) -> None:
    folder = tmp_path / "plants"
    shutil.copytree(PLANTS, folder)
    file = folder / "tn-c-riser.netdsl"
    text = file.read_text("utf-8")
    open_neutral = text.replace("wire -XE1:2       to -WB1:N         35mm2 BU", "wire -XE1:2       to -WB1:N         auto BU")
    assert open_neutral != text
    # A socket in the place of the heater and its thermostat: a load of one phase with its way back.
    lines = [line for line in open_neutral.splitlines() if "-B5" not in line and "-E5" not in line and "-F5" not in line]
    lines += [
        "device -F5 rcbo-1pn-a at=+MCP current=10A",
        "device -XS5 socket at=+MCP",
        "wire -WB1:L1 to -F5:1 4mm2",
        "wire -WB1:N to -F5:N1 4mm2 BU",
        "wire -F5:2 to -XS5:L 2.5mm2",
        "wire -F5:N2 to -XS5:N 2.5mm2 BU",
        "wire -XS5:PE to -XE1:8 2.5mm2",
    ]
    file.write_text("\n".join(lines) + "\n", "utf-8")
    network = connect(file).network
    assert network is not None
    (proposal,) = (each for each in propose(network).proposals if "-XE1:2" in each.item.name)
    assert proposal.size == 16 and "phases" in proposal.because  # beside 35 mm² 16 mm² are enough
