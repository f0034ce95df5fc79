"""A cabinet with a 24 V supply for the tests of control circuits; its text is continued by each test."""

from __future__ import annotations

from pathlib import Path

from netdsl.calc import Calculation, calculate
from netdsl.calc.basis.results import Result
from netdsl.findings import Severity
from netdsl.model import read_plant
from netdsl.network import build_network
from tests.computed import noted

BASE = """\
netdsl 1

place +MCP "Panel" kind=cabinet
place +HALL "Hall" kind=field
part supply "DC supply 24 V" {
  kind = supply-24v   letter = T   class = II   peak-current = 15A
  terminal :+ supply-out
  terminal :- supply-common
  source :+ to :- voltage=24V dc current=1A
}
part bulb "Lamp, 24 V" {
  kind = lamp   letter = P   class = II
  terminal :X1 :X2 load
  load :X1 to :X2 voltage=24V dc power=12W
}
part contact "Switch" {
  kind = switch   letter = S   class = II
  terminal :13 :14 contact current=1A
  contact :13 to :14 make by=hand
}
part relay "Relay" {
  kind = relay   letter = K   class = II
  terminal :A1 :A2 coil
  terminal :11 :12 :14 contact current=5A
  coil :A1 to :A2 voltage=24V dc power=2.4W
  changeover :11 to :12 :14 by=coil
}
"""
#: a conductor whose resistance is stated needs no section, temperature or length
SUPPLY = "device -T9 supply at=+MCP\n"


def computed(folder: Path, text: str, base: str = BASE) -> Calculation:
    """The calculation of `text` behind the base."""
    file = folder / "plant.netdsl"
    file.write_text(base + text, encoding="utf-8")
    plant, findings = read_plant(file)
    assert plant is not None
    network, more = build_network(plant)
    errors = [finding.message for finding in (*findings, *more) if finding.severity is Severity.ERROR]
    assert errors == []
    return noted(calculate(network), base + text)


def by_key(results: object) -> dict[str, Result]:
    """Results by key; a key that comes twice fails the test."""
    found: dict[str, Result] = {}
    for result in results:  # type: ignore[attr-defined]
        assert result.key not in found
        found[result.key] = result
    return found
