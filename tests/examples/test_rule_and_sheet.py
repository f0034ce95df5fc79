"""What a finding says of a circuit is what the sheets say of it: which isolators, what stays live with them off, what is open.

It stands beside the other tests that look at the fault plants, which one process then judges once.
"""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from netdsl.findings import Finding
from netdsl.network.isolation import ahead_of_isolators, disconnectors, main_isolators
from netdsl.network.types import Network
from render.drawing import members
from render.drawings.single_line import single_line_sheets
from render.drawings.terminals import terminal_sheets
from render.sheet import Label, Sheet
from tests.readings import EXAMPLES, Unlinked, calculation_of, drawing_of, judged, network_of
from tests.readings import PLANTS as SHOWN

PLANTS = sorted(EXAMPLES.rglob("plant.netdsl"))
DRAWN = (single_line_sheets, terminal_sheets)
RULES = ("isolation-missing", "terminal-open")


def read(plant: Path) -> tuple[Network, tuple[Finding, ...], tuple[Sheet, ...]]:
    """The network of a plant, the findings of the rules that sheets speak of too, and the sheets."""
    findings = tuple(finding for finding in judged(plant).findings if finding.rule in RULES)
    # one that is shown has its whole set drawn, with links, for other tests too
    drawing = drawing_of(plant) if plant in SHOWN else Unlinked(network_of(plant), judged(plant).findings, calculation_of(plant))
    shown = [member for member in members() if member.draw in DRAWN]
    assert len(shown) == len(DRAWN)
    sheets = [sheet for member in shown for sheet in drawing.drawn(member)]
    return drawing.network, findings, tuple(sheets)


def labels(sheets: tuple[Sheet, ...]) -> list[Label]:
    return [part for sheet in sheets for part in sheet.primitives if isinstance(part, Label)]


def named_on(sheets: tuple[Sheet, ...]) -> set[str]:
    """What is named on sheets as off while something stays live."""
    texts = [" ".join(label.text for label in labels((sheet,))) for sheet in sheets]
    said = [found for text in texts for found in re.findall(r"\blive with ((?:[=+]?\S*-\w+(?:, )?)+) off", text)]
    return {name for names in said for name in names.split(", ")}


def named_in(findings: tuple[Finding, ...]) -> set[str]:
    """What is named in findings as off while something stays live."""
    said = [found for finding in findings for found in re.findall(r"stays live with (.+?) off", finding.message)]
    return {name for names in said for name in re.findall(r"`([^`]+)`", names)}


@pytest.mark.parametrize("plant", PLANTS, ids=lambda plant: plant.parent.name)
def test_rule_and_sheet_agree(plant: Path) -> None:
    network, findings, sheets = read(plant)
    supplies = [device.id for device in network.plant.devices.values() if device.category == "supply"]
    assert named_on(sheets) <= {name for supply in supplies for name in disconnectors(network, supply)}
    assert named_in(findings) <= named_on(sheets)
    live = {label.of for label in labels(sheets) if label.text == "LIVE"}
    for finding in findings:
        if start := re.search(r"its circuit begins at `([^`]+)`", finding.message):
            assert start[1] in live, finding.message
    for supply in supplies:
        ahead = ahead_of_isolators(network, supply)
        at = {f"{name}:{terminal}" for name in ahead.devices for terminal in network.plant.devices[name].terminals}
        dead = [node for node in at - live if main_isolators(network, supply) and network.net_of.get(node) in ahead.nets]
        assert [node for node in dead if any(label.of == node for label in labels(sheets))] == []


def fault(name: str) -> tuple[tuple[Finding, ...], tuple[Sheet, ...]]:
    return read(next(plant for plant in PLANTS if plant.parent.name == name))[1:]


def test_the_fault_of_isolation_is_told_and_drawn_alike() -> None:
    findings, sheets = fault("isolation-missing")
    assert named_in(findings) == named_on(sheets) == {"-Q0"}
    assert {"-X0:L1", "-X0:L2", "-X0:L3"} <= {label.of for label in labels(sheets) if label.text == "LIVE"}


def test_no_wire_is_drawn_at_what_the_check_calls_open() -> None:
    (finding,), sheets = fault("terminal-open")
    assert finding.message.startswith("`-E1:N` is not connected")
    ends = {end for label in labels(sheets) if " -- " in label.of for end in label.of.split(" -- ")}
    assert "-E1:L" in ends and "-E1:N" not in ends
