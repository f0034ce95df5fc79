"""Main isolators, what lies ahead of them, and what stays live with them off."""

from __future__ import annotations

from factory import HERE, Yard, contact, feeder, panel, source
from msgspec.structs import replace

from netdsl.model.plant import Path
from netdsl.network import Network, build_network
from netdsl.network.isolation import ahead_of_isolators, disconnectors, live_circuits, main_isolators


def built(yard: Yard) -> Network:
    return build_network(yard.plant())[0]


def without_isolator() -> Yard:
    """The panel with its bars on the incoming strip."""
    yard = panel()
    del yard.devices["-Q0"]
    for name in [name for name in yard.conductors if "-Q0" in name]:
        del yard.conductors[name]
    for pole in ("L1", "L2", "L3"):
        yard.wire(f"-X0:{pole}", f"-WB1:{pole}")
    return yard


def live_terminals(network: Network, *devices: str) -> list[str]:
    live = live_circuits(network).nets
    return [node for node, net in network.net_of.items() if net in live and node.partition(":")[0] in devices]


def single(yard: Yard, id: str, fed_from: str, kind: str = "breaker") -> None:
    """A device of one pole, fed from a terminal."""
    yard.device(id, kind, "1 line-in, 2 load-out", paths=(Path("1", "2", "pole", True, "", HERE),))
    yard.wire(fed_from, f"{id}:1")


# --- which they are -----------------------------------------------------------------------------------------------
def test_the_first_isolator_behind_the_supply_is_the_main_one() -> None:
    yard = panel()
    feeder(yard, "=RP1", "-XE1:3")
    yard.breaker("-Q5", "isolator")
    yard.wire("-WB1:L1", "-Q5:1")
    single(yard, "-F5", "-Q5:2")
    assert main_isolators(built(yard), "-G0") == disconnectors(built(yard), "-G0") == ("-Q0",)
    assert main_isolators(built(yard), "=RP1-M1") == main_isolators(built(yard), "-XE1") == ()


def test_an_isolator_that_leads_to_a_motor_alone_is_beside_it() -> None:
    yard = without_isolator()
    yard.breaker("-Q5", "isolator")
    yard.device("-X5", "terminal-box", "1 plain")
    yard.motor("-M5")
    yard.wire("-WB1:L1", "-Q5:1")
    yard.wire("-Q5:2", "-X5:1")
    yard.wire("-X5:1", "-M5:U1")
    assert main_isolators(built(yard), "-G0") == disconnectors(built(yard), "-G0") == ()
    assert live_circuits(built(yard)).isolators == () and live_circuits(built(yard)).nets == frozenset()
    single(yard, "-F5", "-Q5:2")
    assert main_isolators(built(yard), "-G0") == ("-Q5",)


def test_the_isolator_of_a_few_feeders_is_no_main_one() -> None:
    yard = without_isolator()
    yard.breaker("-Q5", "isolator")
    yard.wire("-WB1:L1", "-Q5:1")
    single(yard, "-F5", "-Q5:2")
    single(yard, "-F1", "-WB1:L1")
    assert main_isolators(built(yard), "-G0") == ("-Q5",)  # two behind, one beside
    single(yard, "-F2", "-WB1:L1")
    assert main_isolators(built(yard), "-G0") == disconnectors(built(yard), "-G0") == ()  # as many beside as behind


def test_two_isolators_side_by_side_are_both_main_ones() -> None:
    yard = without_isolator()
    for number in (2, 1):
        yard.breaker(f"-Q{number}", "isolator")
        yard.wire("-WB1:L1", f"-Q{number}:1")
        single(yard, f"-F{number}", f"-Q{number}:2")
    assert main_isolators(built(yard), "-G0") == ("-Q1", "-Q2")


def test_breakers_behind_nothing_but_terminals_disconnect_where_there_is_no_isolator() -> None:
    yard = without_isolator()
    single(yard, "-F1", "-X0:L1")
    single(yard, "-F2", "-X0:L2")
    single(yard, "-F3", "-WB1:L1")
    single(yard, "-F4", "-F1:2")
    assert main_isolators(built(yard), "-G0") == ()
    assert disconnectors(built(yard), "-G0") == live_circuits(built(yard)).isolators == ("-F1", "-F2")
    yard.devices["-F2"] = replace(yard.devices["-F2"], place="+HALL")  # whoever opens the cabinet does not see it
    assert disconnectors(built(yard), "-G0") == ("-F1",)


def test_a_breaker_beside_the_main_isolator_is_that_of_a_feeder() -> None:
    yard = panel()
    single(yard, "-F1", "-X0:L1")
    single(yard, "-F2", "-WB1:L1")
    assert disconnectors(built(yard), "-G0") == live_circuits(built(yard)).isolators == ("-Q0",)


# --- ahead of them ------------------------------------------------------------------------------------------------
def test_ahead_of_the_isolator_lie_the_incoming_strip_and_what_protects_it() -> None:
    yard = panel()
    single(yard, "-F1", "-X0:L1")
    ahead = ahead_of_isolators(built(yard), "-G0")
    assert ahead.devices == {"-G0", "-X0"}
    assert ahead.nets == {"-G0:L1", "-G0:L2", "-G0:L3"}
    yard.wire("-F1:2", "-Q0:1")  # now it leads to the isolator: what follows it is ahead too
    ahead = ahead_of_isolators(built(yard), "-G0")
    assert ahead.devices == {"-G0", "-X0", "-F1"}


def test_fused_incoming_terminals_are_passed() -> None:
    yard = panel()
    yard.device("-X3", "strip", "1 fused", category="strip")
    yard.wire("-X0:L1", "-X3:1")
    yard.wire("-X3:1/out", "-Q0:5")
    ahead = ahead_of_isolators(built(yard), "-G0")
    assert ahead.devices == {"-G0", "-X0", "-X3"}
    assert built(yard).net_of["-X3:1/out"] in ahead.nets


# --- what stays live ----------------------------------------------------------------------------------------------
def test_with_the_isolator_off_the_way_to_it_stays_live() -> None:
    yard = panel()
    feeder(yard, "=RP1", "-XE1:3")
    network = built(yard)
    assert live_terminals(network, "-X0", "-Q0", "-WB1", "=RP1-Q1") == ["-X0:L1", "-X0:L2", "-X0:L3", "-Q0:1", "-Q0:3", "-Q0:5"]


def test_what_begins_ahead_stays_live_through_contacts_and_sources_inside() -> None:
    yard = panel()
    yard.device("-T2", "supply-24v", "L line-in, N neutral, 24V supply-out, 0V supply-common", sources=(source("24V 0V", "24V"),))
    yard.device("-S1", "push-button", "13 14 contact", paths=(contact("13", "14"),))
    yard.device("-X2", "strip", "1 fused", category="strip")
    yard.wire("-X0:L1", "-T2:L")
    yard.wire("-X0:N", "-T2:N")
    yard.wire("-T2:24V", "-S1:13")
    yard.wire("-S1:14", "-X2:1")
    found = live_terminals(built(yard), "-T2", "-S1", "-X2")
    assert found == ["-T2:L", "-T2:24V", "-S1:13", "-S1:14", "-X2:1/in", "-X2:1/out"]


def test_a_drive_fed_ahead_has_a_live_output() -> None:
    yard = panel()
    yard.drive("-T1")
    yard.wire("-X0:L1", "-T1:L1")
    assert {"-T1:U", "-T1:V", "-T1:W", "-T1:24V"} <= set(live_terminals(built(yard), "-T1"))
    assert not {"-T1:L2", "-T1:PE", "-T1:DI1"} & set(live_terminals(built(yard), "-T1"))


def test_what_outside_equipment_feeds_stays_live() -> None:
    yard = panel()
    poles = "1 supply-out, 2 supply-common"
    yard.device("-A1", "outside", poles, at="+HALL", category="outside", sources=(source("1 2", "24V"),))
    yard.device("-X2", "strip", "1 2 plain", category="strip")
    yard.wire("-A1:1", "-X2:1")
    yard.wire("-A1:2", "-X2:2")
    assert live_terminals(built(yard), "-X2") == ["-X2:1"]


def test_the_main_isolator_of_each_supply_is_named_in_order_of_the_power_tree() -> None:
    yard = panel()
    yard.supply("-G1")
    yard.breaker("-A0", "isolator")
    yard.wire("-G1:L1", "-A0:1")
    single(yard, "-F9", "-A0:2")
    network = built(yard)
    single(yard, "-F8", "-WB1:L1")
    assert main_isolators(network, "-G1") == ("-A0",)
    found = live_circuits(built(yard)).isolators
    assert found == tuple(name for name in network.power.order if name in ("-Q0", "-A0"))
    assert len(found) == 2


def test_what_two_supplies_feed_together_lies_ahead_of_both() -> None:
    yard = panel()
    yard.supply("-G1")
    yard.wire("-G1:L1", "-X0:L1")
    assert "-G0:L1" in ahead_of_isolators(built(yard), "-G0").nets
    assert "-G0:L1" in ahead_of_isolators(built(yard), "-G1").nets
