"""Example plants read with their own drive or with one of other terminal names, and schemes put wrong in one line."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from netdsl.cli.work import PLANT_FILE, Judged, connect
from netdsl.model import Plant
from netdsl.network import Network
from tests.readings import judged
from tests.rules_together import TOGETHER, found_by, together

ROOT = Path(__file__).parent.parent.parent

#: 0 V and 24 V of the panel, 24 V that a release in the field switches: a terminal of the net says which it is
ZERO, PLUS, RELEASED = "-X2:21", "-X2:1", "-X2:11"

#: a drive whose terminals have other names and another order than those of the shipped ones
HOUSE_DRIVE = """
part house-drive "Frequency converter of the house" {
  kind = drive   symbol = frequency-converter   letter = T   class = I
  power = 5.5kW   current = 13A   input-current = 7A   losses = 45W   voltage = 380..480V   touch-current = 5mA
  terminal :R line-in 0.75..6mm2 function=supply-l1 required
  terminal :S line-in 0.75..6mm2 function=supply-l2 required
  terminal :T line-in 0.75..6mm2 function=supply-l3 required
  terminal :M1 motor-out 0.75..6mm2 function=motor-u required
  terminal :M2 motor-out 0.75..6mm2 function=motor-v required
  terminal :M3 motor-out 0.75..6mm2 function=motor-w required
  terminal :G1 earth 1.5..10mm2 function=earth required
  terminal :G2 earth 1.5..10mm2 function=motor-earth
  terminal :SM screen function=screen-motor
  terminal :SC screen function=screen-control
  terminal :12 digital-in 0.2..2.5mm2 function=preset-2,reverse common=:20 voltage=24V dc
  terminal :13 digital-in 0.2..2.5mm2 function=preset-1,reset common=:20 voltage=24V dc
  terminal :14 digital-in 0.2..2.5mm2 function=enable common=:20 voltage=24V dc
  terminal :15 digital-in 0.2..2.5mm2 function=remote common=:20 voltage=24V dc
  terminal :16 digital-in 0.2..2.5mm2 function=stop common=:20 voltage=24V dc
  terminal :17 digital-in 0.2..2.5mm2 function=start common=:20 voltage=24V dc
  terminal :20 digital-common 0.2..2.5mm2 clamps=2 function=common
  terminal :21 supply-out 0.2..2.5mm2 clamps=2 function=supply-24v common=:20 voltage=24V dc
  terminal :30 analogue-common 0.2..2.5mm2 clamps=2 function=analogue-common
  terminal :31 analogue-in 0.2..2.5mm2 function=reference-current,feedback common=:30
  terminal :32 analogue-in 0.2..2.5mm2 function=reference-voltage common=:30
  terminal :33 reference-out 0.2..2.5mm2 function=reference-10v common=:30 voltage=10V dc
  terminal :40 contact 0.2..2.5mm2 clamps=2 function=relay-2-common,running-common voltage=250V current=2A
  terminal :41 contact 0.2..2.5mm2 clamps=2 function=relay-2-make,running-make voltage=250V current=2A
  terminal :43 contact 0.2..2.5mm2 clamps=2 function=relay-1-common,fault-common voltage=250V current=2A
  terminal :44 contact 0.2..2.5mm2 clamps=2 function=relay-1-make,fault-make voltage=250V current=2A
  terminal :50 bus 0.2..1.5mm2 clamps=2 function=bus-common line=common
  terminal :51 bus 0.2..1.5mm2 clamps=2 function=bus-b line=b
  terminal :52 bus 0.2..1.5mm2 clamps=2 function=bus-a line=a
  source :21 to :20 voltage=24V dc current=200mA
  source :33 to :30 voltage=10V dc current=10mA
  contact :40 to :41 make by=running
  contact :43 to :44 make by=fault
  setting ai2 4..20mA voltage
  setting motor-current 0.2..13A
  setting address 1..247
  setting termination off on
  setting enable-input off on
  require :14 when enable-input=on
}
"""
_PASSED_OVER = frozenset({"supply-l1", "supply-l2", "supply-l3", "earth", "motor-earth", "screen-motor", "screen-control"})
_NAMES = {"L1,L2,L3": "R,S,T", "PE2": "G2", "PE": "G1", "SH": "SM", "U": "M1", "V": "M2", "W": "M3"}


@dataclass(frozen=True, slots=True)
class Wired:
    """A plant and its network."""

    plant: Plant
    network: Network

    def net(self, node: str) -> frozenset[str]:
        """The nodes of the net at `node`, itself left out."""
        net = self.network.net(node)
        assert net is not None
        return frozenset(net.nodes) - {node}


def example_text(example: str, house_drive: bool) -> str:
    """The text of an example; with `house_drive` its shipped drives are exchanged for the one above."""
    text = (ROOT / "examples" / example / "plant.netdsl").read_text("utf-8")
    if not house_drive:
        return text
    text = re.sub(r"(-T1 )vsd-[\d.]+kw", r"\1house-drive", text)
    return re.sub(r"(-T1):(L1,L2,L3|PE2|PE|SH|U|V|W)\b", lambda found: f"{found[1]}:{_NAMES[found[2]]}", text) + HOUSE_DRIVE


def findings_of(text: str) -> tuple[str, ...]:
    """The rules of the findings that checking `text` gives, sorted, of those whose interplay is tested."""
    return _rules_of(_read(text))


def _read(text: str) -> Judged:
    return connect(Path(PLANT_FILE), {PLANT_FILE: text})


def _rules_of(read: Judged) -> tuple[str, ...]:
    assert read.checked
    return tuple(sorted(finding.rule for finding in found_by(TOGETHER, read)))


@cache
def wired(example: str, house_drive: bool = False) -> Wired:
    """The example, read and connected; it must give no finding."""
    if house_drive:
        found = _read(example_text(example, True))
        assert _rules_of(found) == ()
    else:
        found = judged(ROOT / "examples" / example / "plant.netdsl")
        assert together(found.findings) == ()
    assert found.network is not None
    return Wired(found.network.plant, found.network)


def check_drive(at: Wired, drive: str, expected: Mapping[str, str | frozenset[str]]) -> None:
    """Every terminal of `drive` with a function against `expected`: a node of a shared net, or all the others in a net.

    What is not expected must be open, the supply, the earths and the screens excepted.
    """
    found = set()
    for name, terminal in at.plant.devices[drive].terminals.items():
        known = [function for function in terminal.functions if function in expected]
        if not terminal.functions or (not known and _PASSED_OVER & set(terminal.functions)):
            continue
        net = at.net(f"{drive}:{name}")
        for function in known or terminal.functions[:1]:
            wanted = expected.get(function, frozenset())
            assert (wanted in net) if isinstance(wanted, str) else (net == wanted), (function, sorted(net))
            found.add(function)
    assert set(expected) <= found


def with_scheme(example: str, file: str, scheme: str, right: str, wrong: str) -> str:
    """The example with a scheme of the library as its own, `right` in it replaced by `wrong` once."""
    library = (ROOT / "netdsl" / "library" / file).read_text("utf-8")
    start = library.index(f"scheme {scheme}(")
    body = library[start : library.index("\n}\n", start) + 3]
    assert right in body
    return example_text(example, house_drive=False) + "\n" + body.replace(right, wrong, 1)
