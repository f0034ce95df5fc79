"""Exemptions of the rules on hot enclosures, small drives and missing reactors."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from netdsl.findings import Finding
from tests.cases import each_of

Found = Callable[..., tuple[Finding, ...]]
RULES = (
    "enclosure-hot",
    "drive-undersized",
    "reactor-missing",
    "capacitor-charged",
)
BOX = 'place +BOX "Box" kind=box material=plastic size=400x600x250mm mounting=against-wall '
TRAFO = (
    'supply -G1 "Transformer" at=+MCP system=TN-S voltage=400V frequency=50Hz {} upstream=fuse-gG-16A\n'
    "wire -G1:PE to -XE1:3 6mm2 GNYE length=2m\n"
)
DRIVE = "device -T1 drive at=+MCP current=9A {}\nwire -T1:PE to -XE1:4 6mm2 GNYE length=2m\n"
LINE = "wire -G1:L1,L2,L3 to -T1:L1,L2,L3 4mm2 length=2m\n"


def of(found: Found, rule: str, text: str) -> list[Finding]:
    return list(found(text, only=rule))


def test_a_hot_enclosure_names_losses_limit_and_airflow(found: Found) -> None:
    (finding,) = of(found, "enclosure-hot", BOX + "ambient=30degC losses=120W\n")
    assert "`+BOX`" in finding.message and "120 W" in finding.message and "40 °C" in finding.message
    assert "m³/h" in finding.remedy


@each_of("more", ["losses=120W", "ambient=30degC losses=120W inside-limit=90degC", "ambient=30degC losses=120W airflow=200m3/h"])
def test_an_enclosure_without_ambient_or_with_a_higher_limit_or_air_is_not_hot(found: Found, more: str) -> None:
    assert of(found, "enclosure-hot", BOX + more + "\n") == []


def test_where_the_air_around_is_too_warm_cooling_is_asked_for(found: Found) -> None:
    (finding,) = of(found, "enclosure-hot", BOX + "ambient=45degC losses=20W\n")
    assert "cool it by" in finding.remedy


def test_mounting_and_material_are_controlled_words(connect: Callable[[str], object]) -> None:
    with pytest.raises(AssertionError, match="mounting of a place"):
        connect("netdsl 1\nplace +A kind=cabinet mounting=upside-down\n")


def test_a_stiff_supply_asks_for_a_reactor(found: Found) -> None:
    text = TRAFO.format("transformer=1000kVA transformer-impedance=6%") + DRIVE.format("") + LINE
    (finding,) = of(found, "reactor-missing", text)
    assert "`-T1`" in finding.message and "1000 kVA" in finding.message


@each_of(
    "supply",
    [
        "fault-current=30kA",
        "network-power=20MVA",
        "network-fault-current=30kA network-voltage=400V",
        "resistance=1mohm reactance=8mohm",
    ],
)
def test_a_supply_is_as_stiff_by_fault_level_power_or_impedance(found: Found, supply: str) -> None:
    (finding,) = of(found, "reactor-missing", TRAFO.format(supply) + DRIVE.format("") + LINE)
    assert "`-G1`" in finding.message


@each_of(
    ("supply", "drive"),
    [
        ("transformer=400kVA transformer-impedance=4%", ""),
        ("transformer=1000kVA transformer-impedance=6%", "choke=4%"),
        ("transformer=1000kVA transformer-impedance=6%", "current-distortion=5%"),
        ("fault-current=10kA", ""),
        ("", ""),
        ("transformer=630kVA transformer-impedance=4%", "input-current=120A"),
    ],
)
def test_a_soft_supply_or_a_choke_needs_none(found: Found, supply: str, drive: str) -> None:
    assert of(found, "reactor-missing", TRAFO.format(supply) + DRIVE.format(drive) + LINE) == []


def test_a_distortion_of_no_choke_asks_for_a_reactor_all_the_same(found: Found) -> None:
    text = TRAFO.format("transformer=1000kVA transformer-impedance=6%") + DRIVE.format("current-distortion=85%") + LINE
    assert len(of(found, "reactor-missing", text)) == 1


def test_a_reactor_on_the_way_is_seen(found: Found) -> None:
    text = TRAFO.format("transformer=1000kVA transformer-impedance=6%") + DRIVE.format("")
    text += "device -L1 line-reactor-10a at=+MCP\nwire -L1:PE to -XE1:5 6mm2 GNYE\n"
    text += "wire -G1:L1,L2,L3 to -L1:1,3,5 4mm2 length=2m\nwire -L1:2,4,6 to -T1:L1,L2,L3 4mm2 length=2m\n"
    assert of(found, "reactor-missing", text) == []


def motor(number: int, ratings: str) -> str:
    cores = "".join(
        f"  {core} -T1:{a} to -M{number}:{b}\n" for core, a, b in (("BN", "U", "U1"), ("BK", "V", "V1"), ("GY", "W", "W1"))
    )
    return f"device -M{number} motor at=+HALL {ratings}\ncable -W{number} 4G2.5 screened length=20m {{\n{cores}}}\n"


def fed(ratings: str) -> str:
    return f"device -T1 drive at=+MCP {ratings}\nwire -WB1:L1,L2,L3 to -T1:L1,L2,L3 4mm2\n"


def test_several_motors_count_together(found: Found) -> None:
    text = fed("current=9A") + motor(1, "current=4A")
    assert of(found, "drive-undersized", text) == []
    (finding,) = of(found, "drive-undersized", text + motor(2, "current=6A"))
    assert "together take 10 A" in finding.message


def test_power_counts_where_current_suffices(found: Found) -> None:
    (finding,) = of(found, "drive-undersized", fed("current=20A power=4kW") + motor(1, "current=11A power=5.5kW"))
    assert "4 kW" in finding.message and "5.5 kW" in finding.message


@each_of(("drive", "load"), [("current=9A", "power=4kW"), ("current=9A", "current=9A")])
def test_what_is_not_stated_is_not_judged(found: Found, drive: str, load: str) -> None:
    assert of(found, "drive-undersized", fed(drive) + motor(1, load)) == []


def test_altitude_takes_current_away(found: Found) -> None:
    text = 'project "High" {\n  altitude = 2000m\n}\n' + fed("current=10A") + motor(1, "current=9.5A")
    (finding,) = of(found, "drive-undersized", text)
    assert "gives 9 A of its 10 A where it stands" in finding.message


SOFT = "fault-current=3kA earth-fault-current=2kA"
BANK = """\
part bank "Capacitor bank" {
  kind = capacitor   letter = C   class = II   voltage = 400V   reactive-power = 5kvar   discharge-time = 60s
  terminal :L1 :L2 :L3 line-in 1..16mm2
}
device -C1 bank at=+MCP
"""
SWITCHED = (
    BANK + "device -K1 contactor-18a at=+MCP\nwire -G1:L1,L2,L3 to -K1:1,3,5 4mm2 length=1m\n"
    "wire -K1:2,4,6 to -C1:L1,L2,L3 4mm2 length=1m\n"
)


@each_of(
    ("supply", "more", "words"),
    [
        (f"{SOFT} voltage-unbalance=3%", "", "`-T1` has no choke and hangs at `-G1`, whose voltages differ by 3 %"),
        (SOFT, SWITCHED, "`-T1` has no choke and hangs at `-G1`, at which `-K1` switches the capacitors `-C1`"),
    ],
)
def test_what_disturbs_a_soft_supply_asks_for_a_reactor(found: Found, supply: str, more: str, words: str) -> None:
    text = TRAFO.format(supply) + DRIVE.format("{}") + LINE + more
    (finding,) = of(found, "reactor-missing", text.replace("{}", ""))
    assert finding.message == words
    assert of(found, "reactor-missing", text.replace("{}", "choke=4%")) == []


@each_of(
    ("supply", "more"),
    [(f"{SOFT} voltage-unbalance=2.9%", ""), (SOFT, BANK + "wire -G1:L1,L2,L3 to -C1:L1,L2,L3 4mm2 length=1m\n")],
)
def test_a_little_unbalance_and_a_bank_that_stays_on_ask_for_none(found: Found, supply: str, more: str) -> None:
    assert of(found, "reactor-missing", TRAFO.format(supply) + DRIVE.format("") + LINE + more) == []


def test_a_bank_discharges_within_three_minutes(found: Found) -> None:
    assert of(found, "capacitor-charged", BANK.replace("60s", "3min")) == []
    (finding,) = of(found, "capacitor-charged", BANK.replace("60s", "181s"))
    assert "181 s" in finding.message and "180 s" in finding.remedy
