"""Plants that nobody would build: whatever is stated, every number is finite, and the check and the proposals answer."""

from __future__ import annotations

from math import isfinite
from pathlib import Path

import pytest

import lint
from netdsl.calc import Calculation, calculate
from netdsl.findings import Severity
from netdsl.model import read_plant
from netdsl.network import build_network
from netdsl.sizing import propose
from tests.reference.plants import calculated

PLANT = """netdsl 1
project "Strange" {
  number = "S-1"
  stock-sections = 1.5mm2,4mm2,16mm2,50mm2
  stock-ratings = 6A,25A,100A
}
place +MCP "Panel" kind=cabinet size=800x2000x400mm ambient=30degC
place +HALL "Hall" kind=field
defaults within=+MCP length=1m
supply -G0 "Site" system=TN-S voltage=400V frequency=50Hz fault-current=6kA earth-fault-current=3kA upstream=fuse-gG-63A
busbar -WB1 at=+MCP poles=4 current=100A
device -XE1 earth-bar at=+MCP ways=20
cable -W0 5G16 length=10m method=C {
  BN -G0:L1 to -WB1:L1
  BK -G0:L2 to -WB1:L2
  GY -G0:L3 to -WB1:L3
  BU -G0:N to -WB1:N
  GNYE -G0:PE to -XE1:1
}
wire -XE1:2 to +MCP:PE 16mm2 GNYE
function =A "Pump on the mains" at=+MCP {
  device -Q1 motor-breaker current=6.3A setting-range=4..6.3A
  set -Q1 tripping-current=5A
  device -M1 motor at=+HALL power=2.2kW current=4.9A voltage=400V
  wire -WB1:L1,L2,L3 to -Q1:1,3,5 2.5mm2 BK
  cable -W1 4G2.5 length=12m method=C {
    BN -Q1:2 to -M1:U1
    BK -Q1:4 to -M1:V1
    GY -Q1:6 to -M1:W1
    GNYE -XE1:3 to -M1:PE
  }
  connect -M1 star
}
function =D "Pump on a drive" at=+MCP {
  device -Q1 mcb-3p current=25A
  device -L1 line-reactor current=20A
  device -T1 vsd-7.5kw
  device -M1 motor at=+HALL power=7.5kW current=15.5A power-factor=0.84 winding=400/690V
  connect -M1 delta
  set -T1 motor-current=15.5A
  wire -WB1:L1,L2,L3 to -Q1:1,3,5 6mm2 BK
  wire -Q1:2,4,6 to -L1:1,3,5 6mm2 BK
  wire -L1:2,4,6 to -T1:L1,L2,L3 6mm2 BK
  wire -T1:PE to -XE1:4 10mm2 GNYE
  cable -W1 4G4 screened length=20m method=E {
    BN -T1:U to -M1:U1
    BK -T1:V to -M1:V1
    GY -T1:W to -M1:W1
    GNYE -T1:PE2 to -M1:PE
    screen -T1:SH clamp to -M1:SH gland
  }
}
device -F1 mcb-1p at=+MCP current=6A
device -T9 supply-24v at=+MCP
device -F3 mcb-1p at=+MCP current=2A curve=B voltage=60V
device -H1 lamp at=+MCP
wire -WB1:L1 to -F1:1 1.5mm2 BK
wire -F1:2 to -T9:L 1.5mm2 BK
wire -WB1:N to -T9:N 1.5mm2 BU
wire -T9:+ to -F3:1 1mm2 BU
wire -F3:2 to -H1:X1 1mm2 BU
wire -H1:X2 to -T9:- 1mm2 BU
"""
FAULT = "fault-current=6kA earth-fault-current=3kA"

#: what stands in the plant, and what stands there instead
STRANGE = [
    ("system=TN-S", "system=TT earth-resistance=0ohm"),
    ("system=TN-S", "system=IT"),
    ("system=TN-S", "system=TN-C"),
    ("system=TN-S voltage=400V", "system=DC voltage=24V"),
    ("system=TN-S", "system=TN-S phases=1"),
    ("voltage=400V frequency=50Hz", "voltage=690V frequency=60Hz"),
    ("voltage=400V frequency=50Hz", "voltage=0V frequency=0Hz"),
    (FAULT, ""),
    (FAULT, "fault-current=0A"),
    (FAULT, "fault-current=6kA earth-fault-current=0A"),
    (FAULT, f"r-over-x=0 {FAULT}"),
    (FAULT, f"r-over-x=100000 {FAULT}"),
    (FAULT, "resistance=0ohm reactance=0ohm"),
    (FAULT, "transformer=0kVA transformer-impedance=4%"),
    (FAULT, "transformer=630kVA transformer-impedance=0%"),
    (FAULT, "transformer=630kVA transformer-impedance=4% transformer-losses=600kW"),
    (FAULT, "transformer=630kVA transformer-impedance=4% network-power=0MVA network-voltage=0kV"),
    ("fuse-gG-63A", "fuse-gG-100000A"),
    ("fuse-gG-63A", "fuse-gG-0A"),
    ("fuse-gG-63A", "mcb-Z-1A"),
    ("fuse-gG-63A", "nonsense"),
    ("length=12m", "length=0m"),
    ("length=12m", "length=100000km"),
    ("length=12m", ""),
    ("length=12m", "length=auto"),
    ("current=4.9A voltage=400V", "current=0A"),
    ("current=4.9A", "current=1000000kA"),
    ("power=2.2kW current=4.9A", "power=0kW"),
    ("current=4.9A", "power-factor=0 efficiency=0%"),
    ("current=4.9A", "current=4.9A starting-current=0A"),
    ("motor-breaker current=6.3A", "motor-breaker current=0A"),
    ("motor-breaker current=6.3A", "motor-breaker current=6.3A instantaneous=0A breaking=0kA"),
    ("4G2.5", "4G1000"),
    ("4G2.5", "4G0.05"),
    ("4G2.5", "4Gauto"),
    ("4G2.5 length", "4G2.5 parallel=20 length"),
    ("2.5mm2 BK", "auto BK"),
    ("length=12m method=C", "length=12m method=G ampacity=0A circuits=0 resistance=0ohm reactance=0ohm"),
    ("length=12m method=C", "length=12m method=C ambient=100degC insulation=EPR material=Al"),
    ("vsd-7.5kw", "vsd-7.5kw current=0A input-current=0A power=0kW losses=0W"),
    ("vsd-7.5kw", "vsd-7.5kw choke=0% efficiency=0% voltage=0V"),
    ("line-reactor current=20A", "line-reactor current=0A drop=0% inductance=0mH"),
    ("set -Q1 tripping-current=5A", "set -Q1 tripping-current=auto"),
    ("supply-24v at", "supply-24v current=0A efficiency=0% losses=0W at"),
    ("current=2A curve=B", "current=0.0001A"),
    ("current=2A curve=B", "current=100000A"),
    ("-H1 lamp", "-H1 lamp voltage=0V power=0W"),
    ("800x2000x400mm", "0x0x0mm"),
    ("ambient=30degC", "ambient=100degC"),
    ("ambient=30degC", "altitude=90km losses=0W airflow=0m3/h"),
    ('number = "S-1"', "drive-power-factor = 0"),
    ('number = "S-1"', "load-power-factor = 5"),
    ('number = "S-1"', "dc-link-capacitance = 0"),
    ('number = "S-1"', "stock-sections = 0mm2\n  stock-ratings = 0A"),
    ('number = "S-1"', "load-margin = 0 loop-factor = 0 voltage-factor-min = 0"),
    ('number = "S-1"', "fault-temperature = -234.5degC"),
    ('number = "S-1"', "voltage-drop-limit = 0% control-drop-limit = 0%"),
    ('number = "S-1"', "source-r-over-x = 0 opening-time = 0s simultaneity = 0 standing-share = 0"),
]
#: what is added at the end
ADDED = {
    "a drive that feeds itself": "wire =D-T1:U,V,W to =D-T1:L1,L2,L3 2.5mm2 BK\n",
    "a breaker that feeds itself": "wire =A-Q1:2,4,6 to =A-Q1:1,3,5 2.5mm2 BK\n",
    "two drives in a ring": "device -T1 vsd-7.5kw at=+MCP\nwire =D-T1:U,V,W to -T1:L1,L2,L3 2.5mm2 BK\n"
    "wire -T1:U,V,W to =D-T1:L1,L2,L3 2.5mm2 BK\n",
    "a ring of bars": "busbar -WB2 at=+MCP poles=4\nbusbar -WB3 at=+MCP poles=4\n"
    "wire -WB1:L1,L2,L3 to -WB2:L1,L2,L3 to -WB3:L1,L2,L3 to -WB1:L1,L2,L3 10mm2 BK\n",
    "everything joined": "wire -WB1:L1 to -WB1:L2 to -WB1:N to -XE1:12 2.5mm2 BK\nwire -T9:+ to -T9:- 1mm2 BU\n",
    "transformers in a ring": "device -T5 control-transformer at=+MCP\ndevice -T6 control-transformer at=+MCP\n"
    "wire -WB1:L1,L2 to -T5:1,2 1.5mm2 BK\nwire -T5:3,4 to -T6:1,2 1.5mm2 BK\nwire -T6:3,4 to -T5:1,2 1.5mm2 BK\n",
    "a second supply": "supply -G2 system=TN-S voltage=400V frequency=60Hz fault-current=1kA earth-fault-current=1kA\n"
    "cable -W9 4G16 length=10m {\n  BN -G2:L1 to -WB1:L1\n  BK -G2:L2 to -WB1:L2\n"
    "  GY -G2:L3 to -WB1:L3\n  GNYE -G2:PE to -XE1:9\n}\n",
    "fused terminals": "strip -X5 at=+MCP {\n  :1 fused fuse=0A\n  :2 disconnect\n}\n"
    "wire -WB1:L1 to -X5:1/out 1mm2\nwire -X5:1/in to -X5:2/in\n",
}


def answers(folder: Path, text: str) -> None:
    (folder / "plant.netdsl").write_text(text, encoding="utf-8")
    plant, reading = read_plant(folder / "plant.netdsl")
    if plant is None:
        assert reading
        return
    network, joining = build_network(plant)
    read = (*reading, *joining)
    assert [finding.message for finding in read if finding.rule == "internal-error"] == []
    calculation = calculate(network)
    numbers_and_check_answer(calculation)
    if not any(finding.severity is Severity.ERROR for finding in read):
        proposals_answer(calculation)


def numbers_and_check_answer(calculation: Calculation) -> None:
    findings = lint.check(calculation.network, None, calculation)
    assert [finding.message for finding in findings if finding.rule == "internal-error"] == []
    for result in calculation.results:
        assert isfinite(result.value), result.key
        assert result.value >= 0 or result.question in ("enclosure.shed", "enclosure.temperature"), f"{result.key} {result.value}"
        assert "nan" not in f"{result.inserted} {result.shown}".split()


def proposals_answer(calculation: Calculation) -> None:
    assert all(proposal.because for proposal in propose(calculation.network, calculation).proposals)


@pytest.mark.parametrize(("old", "new"), STRANGE)
def test_strange_values(old: str, new: str, tmp_path: Path) -> None:
    assert old in PLANT
    answers(tmp_path, PLANT.replace(old, new, 1))


@pytest.mark.parametrize("added", ADDED.values(), ids=ADDED)
def test_strange_wiring(added: str, tmp_path: Path) -> None:
    answers(tmp_path, PLANT + added)


def test_hundreds_of_devices_in_series_are_computed_to_their_end() -> None:
    between = range(1, 201)
    text = PLANT + "".join(f"device -S{number} switch-disconnector at=+MCP current=63A\n" for number in between)
    text += "wire -WB1:L1,L2,L3 to -S1:1,3,5 10mm2 BK\n"
    text += "".join(f"wire -S{number}:2,4,6 to -S{number + 1}:1,3,5 10mm2 BK\n" for number in between[:-1])
    text += "device -M9 motor at=+HALL power=2.2kW current=4.9A power-factor=0.8 voltage=400V\nconnect -M9 star\n"
    text += "wire -S200:2,4,6 to -M9:U1,V1,W1 10mm2 BK length=1m\n"
    calculation = calculated(text)
    numbers_and_check_answer(calculation)
    proposals_answer(calculation)
    found = calculation.by_key
    assert found["load-current -WB1 -> -S1"].value == pytest.approx(4.9)
    ohms = [found[f"loop-impedance {device}"].value for device in ("-WB1", "-S1", "-S100", "-S200")]
    assert ohms == sorted(ohms) and ohms[3] > 5 * ohms[0]
    assert "voltage-drop.running -M9" in found and "overload.rated -WB1:L1 -- -S1:1" in found


@pytest.mark.parametrize(
    "text", ["", "netdsl 1\n", "netdsl 1\nsupply -G0\n", PLANT.replace("-G0", "-X9"), PLANT.replace("motor at", "motr at")]
)
def test_what_is_hardly_a_plant(text: str, tmp_path: Path) -> None:
    answers(tmp_path, text)


def test_a_breaker_without_a_rating_is_missing_data_and_nothing_behind_it_is_judged_by_the_fuse_before_it() -> None:
    text = """
place +MCP "Panel" kind=cabinet
place +HALL "Hall" kind=field
supply -G0 "Site" system=TN-S voltage=400V frequency=50Hz fault-current=10kA earth-fault-current=6kA upstream=fuse-gG-200A
device -XE1 earth-bar at=+MCP ways=4
device -F1 mcb-3p-c at=+MCP
device -M1 motor at=+HALL current=5A power-factor=0.8
wire -G0:PE to -XE1:1 50mm2 length=1m
wire -G0:L1,L2,L3 to -F1:1,3,5 2.5mm2 length=1m method=B1
cable -W1 4G1.5 length=5m method=E {
  BN -F1:2 to -M1:U1
  BK -F1:4 to -M1:V1
  GY -F1:6 to -M1:W1
  GNYE -XE1:2 to -M1:PE
}
"""
    unrated, rated = calculated(text), calculated(text.replace("mcb-3p-c at=+MCP", "mcb-3p-c at=+MCP current=10A"))
    keys = {result.key for result in unrated.results}
    assert "fault-withstand -W1 BN" not in keys and "disconnection -M1" not in keys
    assert [(gap.feeder, gap.kind) for gap in unrated.missing] == [("-F1", "rated current")]
    assert {"fault-withstand -W1 BN", "disconnection -M1"} <= {result.key for result in rated.results} and not rated.missing
