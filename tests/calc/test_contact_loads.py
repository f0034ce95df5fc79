"""What contacts switch."""

from __future__ import annotations

from pathlib import Path

import pytest
from control_plants import BASE, SUPPLY, by_key, computed

from netdsl.calc.control.contacts import ContactLoads
from tests.cases import each_of

CHAIN = """\
device -S1 contact at=+MCP
device -S2 contact at=+MCP
device -S3 contact at=+MCP
device -K1 relay at=+MCP
device -K2 relay at=+MCP
wire -T9:+ to -S1:13 0.75mm2
wire -S1:14 to -S2:13 to -S3:13 0.75mm2
wire -S2:14 to -K1:A1 0.75mm2
wire -S3:14 to -K2:A1 0.75mm2
wire -K1:A2 to -K2:A2 to -T9:- 0.75mm2
"""


def test_a_contact_carries_what_lies_behind_it(tmp_path: Path) -> None:
    loads = by_key(computed(tmp_path, SUPPLY + CHAIN).of(ContactLoads).results())
    assert loads["contact-load -S1:13-14"].value == pytest.approx(0.2)
    assert loads["contact-load -S2:13-14"].value == pytest.approx(0.1)
    assert loads["contact-load -S3:13-14"].value == pytest.approx(0.1)


def test_a_way_never_leads_twice_through_one_point(tmp_path: Path) -> None:
    # a contact beside S2 from the same point: the coil behind S3 is not behind S2
    text = CHAIN + "device -S4 contact at=+MCP\nwire -S1:14 to -S4:13 0.75mm2\nwire -S4:14 to -K1:A1 0.75mm2\n"
    loads = by_key(computed(tmp_path, SUPPLY + text).of(ContactLoads).results())
    assert loads["contact-load -S2:13-14"].value == pytest.approx(0.1)
    assert loads["contact-load -S4:13-14"].value == pytest.approx(0.1)
    assert loads["contact-load -S1:13-14"].value == pytest.approx(0.2)


def test_a_contact_in_the_return_carries_it_too(tmp_path: Path) -> None:
    text = """\
device -S1 contact at=+MCP
device -K1 relay at=+MCP
wire -T9:+ to -K1:A1 0.75mm2
wire -K1:A2 to -S1:13 0.75mm2
wire -S1:14 to -T9:- 0.75mm2
"""
    loads = by_key(computed(tmp_path, SUPPLY + text).of(ContactLoads).results())
    assert loads["contact-load -S1:13-14"].value == pytest.approx(0.1)


def test_a_contact_without_a_stated_current_has_no_result(tmp_path: Path) -> None:
    bare = BASE.replace("terminal :13 :14 contact current=1A", "terminal :13 :14 contact")
    assert list(computed(tmp_path, SUPPLY + CHAIN, bare).of(ContactLoads).results()) == []


def test_a_rating_for_coils_is_told_from_one_that_says_nothing(tmp_path: Path) -> None:
    plain = by_key(computed(tmp_path, SUPPLY + CHAIN).of(ContactLoads).results())["contact-load -S2:13-14"]
    assert "AC-15 or DC-13" in plain.note
    rated = BASE.replace("contact current=1A", "contact current=1A utilisation=DC-13")
    coils = by_key(computed(tmp_path, SUPPLY + CHAIN, rated).of(ContactLoads).results())["contact-load -S2:13-14"]
    assert coils.note.endswith("rated for coils, DC-13")


def test_mains_loads_behind_a_contact_count(tmp_path: Path) -> None:
    text = """\
supply -G0 system=TN-S phases=1 voltage=230V
part iron "Heater" {
  kind = heater   letter = E   class = II
  terminal :L :N load
  load :L to :N voltage=230V ac power=460W
}
device -S1 contact at=+MCP
device -E1 iron at=+MCP
wire -G0:L to -S1:13 1.5mm2
wire -S1:14 to -E1:L 1.5mm2
wire -G0:N to -E1:N 1.5mm2
"""
    load = by_key(computed(tmp_path, text).of(ContactLoads).results())["contact-load -S1:13-14"]
    assert load.value == pytest.approx(2.0)
    assert not load.holds


@each_of("currents", [(1, 3), (3, 1)])
def test_a_contact_bears_what_the_weaker_of_its_terminals_does(tmp_path: Path, currents: tuple[int, int]) -> None:
    one, other = currents
    base = BASE.replace(
        "  terminal :13 :14 contact current=1A", f"  terminal :13 contact current={one}A\n  terminal :14 contact current={other}A"
    )
    loads = by_key(computed(tmp_path, SUPPLY + CHAIN, base).of(ContactLoads).results())
    assert loads["contact-load -S2:13-14"].limit == 1


@each_of("lamps", [("-P1", "-P2"), ("-P2", "-P1")])
def test_of_two_sources_that_which_loads_a_contact_more_counts(tmp_path: Path, lamps: tuple[str, str]) -> None:
    """One lamp at one supply, two at the other, behind one contact in a common return."""
    single, twice = lamps
    text = f"""\
device -T9 supply at=+MCP
device -T8 supply at=+MCP
device -S1 contact at=+MCP
device {single} bulb at=+MCP
device {twice} bulb at=+MCP
device -P3 bulb at=+MCP
wire -T9:+ to {single}:X1 0.75mm2
wire -T8:+ to {twice}:X1 to -P3:X1 0.75mm2
wire {single}:X2 to {twice}:X2 to -P3:X2 to -S1:13 0.75mm2
wire -S1:14 to -T9:- to -T8:- 0.75mm2
"""
    loads = by_key(computed(tmp_path, text).of(ContactLoads).results())
    assert loads["contact-load -S1:13-14"].value == pytest.approx(1.0)


@each_of(("stated", "limit"), [("0.5A", 0.5), ("2A", 1.0)])
def test_a_contact_bears_less_of_coils_where_its_device_says_so(tmp_path: Path, stated: str, limit: float) -> None:
    text = CHAIN.replace("-S2 contact at=+MCP", f"-S2 contact at=+MCP inductive-current={stated}")
    loads = by_key(computed(tmp_path, SUPPLY + text).of(ContactLoads).results())
    assert loads["contact-load -S2:13-14"].limit == limit
    assert loads["contact-load -S3:13-14"].limit == 1
