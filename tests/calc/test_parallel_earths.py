"""Protective conductors beside each other and on several ways: each is held to what it carries."""

from __future__ import annotations

import pytest

from netdsl.calc import Calculation
from netdsl.calc.basis import Result
from netdsl.calc.protection import LeastSections, ProtectiveConductors
from netdsl.sizing import propose
from tests.reference.plants import calculated

#: motors on 6 mm2 and 1.5 mm2 behind drives, where the table alone counts
PLANT = """
project "Beside each other" {{
  {project}
}}
place +A "Board" kind=cabinet
place +F "Frame" kind=field
supply -G0 "Supply" system=TN-S voltage=400V frequency=50Hz fault-current=10kA earth-fault-current=10kA
device -XE1 earth-bar at=+A ways=12
part own-drive "Drive" {{
  kind = drive   letter = T   class = I
  terminal :L1 :L2 :L3 line-in 1.5..25mm2
  terminal :U :V :W motor-out 1.5..25mm2
  terminal :PE earth 1.5..25mm2
}}
part own-motor "Motor" {{
  kind = motor   letter = M   class = I
  terminal :U1 :V1 :W1 line-in 1.5..25mm2
  terminal :PE :PE2 earth 1.5..25mm2
}}
device -T1 own-drive at=+A input-current=25A
device -M1 own-motor at=+F power=11kW current=21A voltage=400V
wire -G0:L1,L2,L3 to -T1:L1,L2,L3 6mm2 BK length=2m
wire -G0:PE to -XE1:1 16mm2 GNYE length=2m
wire -XE1:2 to -T1:PE 10mm2 GNYE length=2m
cable -W1 3x6 length=20m method=C {{
  BN -T1:U to -M1:U1
  BK -T1:V to -M1:V1
  GY -T1:W to -M1:W1
}}
{more}
"""
ONE, OTHER = "table -XE1:3 -- -M1:PE", "table -XE1:4 -- -M1:PE2"


def plant(more: str, project: str = "") -> Calculation:
    return calculated(PLANT.format(more=more, project=project))


def beside(one: str, other: str, project: str = "") -> dict[str, Result]:
    """Results by table with two conductors beside each other; section and length of each."""
    return by_table(plant(f"wire -XE1:3 to -M1:PE {one} GNYE\nwire -XE1:4 to -M1:PE2 {other} GNYE", project))


def by_table(found: Calculation) -> dict[str, Result]:
    results = found.of(ProtectiveConductors).results()
    return {each.key.removeprefix("protective-conductor."): each for each in results if each.question.endswith("table")}


def test_two_that_are_too_thin_do_not_make_up_for_each_other() -> None:
    found = beside("4mm2 length=20m", "4mm2 length=20m")
    assert [(found[key].value, found[key].limit, found[key].holds) for key in (ONE, OTHER)] == [(6, 4, False)] * 2


def test_a_project_may_count_on_all_of_them_together() -> None:
    found = beside("4mm2 length=20m", "4mm2 length=20m", "parallel-earths = shared")
    assert [(found[key].value, found[key].limit) for key in (ONE, OTHER)] == [(3, 4), (3, 4)]
    assert found[ONE].formula_text == "s · S_L"
    assert "by their impedances" in found[ONE].note


def test_beside_one_that_bears_the_fault_another_is_held_to_its_share() -> None:
    """Of 6 mm2 and 2.5 mm2 of one length the thin one takes 2.5/8.5, of a fifth of the length 12.5/18.5, nearly: fine strands."""
    assert beside("6mm2 length=20m", "2.5mm2 length=20m")[OTHER].value == pytest.approx(6 * 2.5 / 8.5, rel=0.02)
    short = beside("6mm2 length=20m", "2.5mm2 length=4m")
    assert short[OTHER].value == pytest.approx(6 * 12.5 / 18.5, rel=0.02)
    assert (short[ONE].holds, short[ONE].value, short[OTHER].holds) == (True, 6, False)


def test_without_a_length_the_share_is_missing_and_nothing_is_said_to_be_kept() -> None:
    calculation = plant("wire -XE1:3 to -M1:PE 6mm2 GNYE length=20m\nwire -XE1:4 to -M1:PE2 2.5mm2 GNYE")
    assert OTHER not in by_table(calculation)
    assert [gap.things for gap in calculation.missing if gap.absent == ("its share of a fault",)] == [("-XE1:4 -- -M1:PE2",)]


def test_a_core_is_held_to_the_phases_in_its_own_cable() -> None:
    two = "".join(
        f"""cable -W{number} 4G10 length=30m method=C {{
  BN -T1:U to -M2:U1
  BK -T1:V to -M2:V1
  GY -T1:W to -M2:W1
  GNYE -XE1:{number} to -M2:{end}
}}
"""
        for number, end in ((5, "PE"), (6, "PE2"))
    )
    found = by_table(plant(f"device -M2 own-motor at=+F power=22kW current=40A voltage=400V\n{two}"))
    assert [(found[f"table -W{n} GNYE"].value, found[f"table -W{n} GNYE"].limit) for n in (5, 6)] == [(10, 10)] * 2


#: the frame of the machine joins two motors, so that the fault of one comes back by the other's conductor too
RING = """
wire -XE1:3 to -M1:PE 6mm2 GNYE length=20m
wire -M1:PE2 to -M2:PE2 {bond} GNYE length={apart}
device -M2 own-motor at=+F power=0.55kW current=1.5A voltage=400V
device -T2 own-drive at=+A input-current=2A
wire -G0:L1,L2,L3 to -T2:L1,L2,L3 1.5mm2 BK length=2m
wire -XE1:7 to -T2:PE 2.5mm2 GNYE length=2m
cable -W2 4G1.5 length={length} method=C {{
  BN -T2:U to -M2:U1
  BK -T2:V to -M2:V1
  GY -T2:W to -M2:W1
  GNYE -XE1:8 to -M2:PE
}}
"""


def test_what_comes_back_by_another_way_is_held_to_what_it_carries() -> None:
    """6 mm2 in wires has 3.30, 1.5 mm2 in cables 12.1 mohm/m: by the other motor 8 m of these, 1 m of those."""
    found = by_table(plant(RING.format(bond="6mm2", apart="1m", length="20m")))
    assert found["table -W2 GNYE"].value == 1.5  # its own fault asks more than what comes of the other's
    near = by_table(plant(RING.format(bond="6mm2", apart="1m", length="8m")))["table -W2 GNYE"]
    assert near.value == pytest.approx(6 * 66 / (66 + 96.8 + 3.3), rel=0.001)
    assert not near.holds


def test_a_bond_on_no_shortest_way_is_judged_too() -> None:
    """The bond has 13.3 mohm, the way over the other motor 60.5 mohm more, its own 66 mohm."""
    bond = by_table(plant(RING.format(bond="1.5mm2", apart="1m", length="5m")))["table -M1:PE2 -- -M2:PE2"]
    assert (bond.value, bond.limit) == (pytest.approx(6 * 66 / (66 + 13.3 + 60.5), rel=0.001), 1.5)


def test_a_supply_s_conductor_does_not_lean_on_another_beside_it() -> None:
    text = PLANT.replace(
        "-XE1:1 16mm2 GNYE length=2m", "-XE1:1 2.5mm2 GNYE length=2m\nwire -G0:PE to -XE1:11 4mm2 GNYE length=2m"
    )
    results = calculated(text.format(more="wire -XE1:3 to -M1:PE 6mm2 GNYE length=20m", project="")).of(LeastSections).results()
    supply = {each.subject: (each.value, each.limit) for each in results if each.question.endswith("supply")}
    assert supply == {"-G0:PE -- -XE1:1": (6, 2.5), "-G0:PE -- -XE1:11": (6, 4)}


def test_no_size_is_proposed_that_leans_on_another_beside_it() -> None:
    more = "wire -XE1:3 to -M1:PE auto GNYE length=20m\nwire -XE1:4 to -M1:PE2 auto GNYE length=20m"
    sizes = {each.item.conductors: each.text for each in propose(plant(more).network).proposals if each.item.open_values}
    assert sizes == {("-XE1:3 -- -M1:PE",): "6mm2", ("-XE1:4 -- -M1:PE2",): "6mm2"}
