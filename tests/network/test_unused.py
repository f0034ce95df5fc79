"""Which terminals and cores are in use."""

from __future__ import annotations

from factory import HERE, Yard, panel
from msgspec.structs import replace

from netdsl.model.plant import CableScreen, Ratings, Requirement, ScreenTermination
from netdsl.network import build_network
from netdsl.network.unused import in_force, required_terminals, spare_cores, terminals_in_use


def used(yard: Yard, device: str) -> list[str]:
    network, _ = build_network(yard.plant())
    return sorted(name for name in terminals_in_use(network) if name.partition(":")[0] == device)


def test_conductors_bridges_and_screens_take_a_terminal() -> None:
    yard = panel()
    yard.device("-X5", "strip", "1 2 3 4 plain, S screen", category="strip", bridges=(("2", "3"),))
    assert used(yard, "-X5") == ["-X5:2", "-X5:3"]
    yard.wire("-WB1:L1", "-X5:1")
    yard.cable("-W5", "3G1.5", {"1": ("-X5:1", "-Q0:2")})
    ends = (
        ScreenTermination("-X5", "S", "clamp", None, None, None, HERE),
        ScreenTermination("-Q0", "", "open", None, None, None, HERE),
    )
    yard.cables["-W5"] = replace(yard.cables["-W5"], screens=(CableScreen(0, ends, HERE),))
    assert used(yard, "-X5") == ["-X5:1", "-X5:2", "-X5:3", "-X5:S"]
    assert used(yard, "-Q0") == ["-Q0:1", "-Q0:2", "-Q0:3", "-Q0:4", "-Q0:5", "-Q0:6"]


def test_cores_that_no_conductor_takes_are_spare_in_order_of_the_construction() -> None:
    yard = panel()
    yard.device("-X5", "strip", "1 2 plain", category="strip")
    yard.cable("-W5", "5G1.5", {"GY": ("-X5:2", "-Q0:4"), "BN": ("-X5:1", "-Q0:2")})
    plant = yard.plant()
    names = [core.name for core in plant.cables["-W5"].cores]
    assert "GY" in names and "BN" in names
    assert spare_cores(plant.cables["-W5"], plant) == tuple(name for name in names if name not in ("GY", "BN"))
    assert len(spare_cores(plant.cables["-W5"], plant)) == 3


def test_terminals_are_required_as_the_device_is_set() -> None:
    yard = panel()
    always, with_bus, one_of = (
        Requirement(("A1", "A2"), False, None, None, HERE),
        Requirement(("BUS",), False, "control", "bus", HERE),
        Requirement(("DI1", "DI2"), True, None, None, HERE),
    )
    yard.device("-T5", "drive", "A1 A2 BUS DI1 DI2 plain")
    for setting, needed in (("bus", {"A1", "A2", "BUS"}), ("terminals", {"A1", "A2"})):
        settled = replace(yard.devices["-T5"], settings=Ratings(control=setting), requirements=(always, with_bus, one_of))
        assert in_force(settled, with_bus) == (setting == "bus")
        assert required_terminals(settled) == needed
