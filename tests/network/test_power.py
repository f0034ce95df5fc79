"""The power tree and the questions asked of it."""

from __future__ import annotations

from factory import HERE, Yard, contact, feeder, panel, source

from netdsl.model.plant import Path
from netdsl.network import Network, build_network
from netdsl.network.queries import downstream, feeds, upstream


def built(yard: Yard) -> Network:
    return build_network(yard.plant())[0]


def test_tree_of_a_drive_feeder() -> None:
    yard = panel()
    feeder(yard, "=RP1", "-XE1:3")
    network = built(yard)
    assert network.power.order == ("-G0", "-X0", "-Q0", "-WB1", "=RP1-Q1", "=RP1-T1", "=RP1-M1")
    edge = network.power.graph.edges["-G0", "-X0"]
    assert (edge["poles"], edge["neutral"], edge["cables"]) == (3, True, ("-W0",))
    assert edge["conductors"] == ("-W0 BN", "-W0 BK", "-W0 GY", "-W0 BU")
    edge = network.power.graph.edges["=RP1-T1", "=RP1-M1"]
    assert (edge["poles"], edge["neutral"], edge["cables"]) == (3, False, ("=RP1-W1",))
    assert upstream(network, "=RP1-M1")[:2] == ("=RP1-T1", "=RP1-Q1")
    assert downstream(network, "=RP1-Q1") == ("=RP1-T1", "=RP1-M1")
    assert feeds(network, "-G0", "=RP1-M1") and not feeds(network, "=RP1-M1", "-G0")
    assert upstream(network, "-XE1") == () and not feeds(network, "-XE1", "=RP1-M1")


def test_looped_supply_leaves_breakers_side_by_side() -> None:
    yard = panel()
    for name in ("-F1", "-F2", "-F3"):
        yard.breaker(name)
    yard.wire("-WB1:L1", "-F1:1")
    yard.wire("-F1:1", "-F2:1")
    yard.wire("-F2:1", "-F3:1")
    assert sorted(built(yard).power.graph.successors("-WB1")) == ["-F1", "-F2", "-F3"]


def test_reversing_and_bypass_contactors_feed_one_motor() -> None:
    yard = panel()
    feeder(yard, "=RP1", "-XE1:3", motor_cable=False)
    for name, line in (("=RP1-K1", "=RP1-T1:U"), ("=RP1-K2", "=RP1-Q1:2")):
        yard.breaker(name, "contactor", switched=True)
        yard.wire(line, f"{name}:1")
    yard.wire("=RP1-K1:2", "=RP1-K2:2")
    yard.wire("=RP1-K2:2", "=RP1-M1:U1")
    graph = built(yard).power.graph
    assert sorted(graph.predecessors("=RP1-M1")) == ["=RP1-K1", "=RP1-K2"]
    assert not graph.has_edge("=RP1-K1", "=RP1-K2") and not graph.has_edge("=RP1-K2", "=RP1-K1")


def test_device_fed_from_its_load_side_is_passed_backwards() -> None:
    yard = panel()
    yard.breaker("-Q9", "isolator")
    yard.motor("-M9")
    yard.wire("-WB1:L1", "-Q9:2")
    yard.wire("-Q9:1", "-M9:U1")
    assert upstream(built(yard), "-M9")[:2] == ("-Q9", "-WB1")


def test_a_control_supply_is_a_load_and_begins_a_tree_without_control_circuits() -> None:
    yard = panel()
    yard.breaker("-F1")
    yard.breaker("-F2")
    yard.device("-T2", "supply-24v", "L N line-in, 24V supply-out, 0V supply-common", sources=(source("24V 0V", "24V"),))
    yard.device("-X2", "strip", "1 2 plain", category="strip")
    yard.device("-S1", "push-button", "13 14 contact", paths=(contact("13", "14"),))
    yard.device("-K1", "relay", "A1 A2 coil")
    yard.device("-P1", "lamp", "X1 X2 load")
    yard.device("-E1", "fan", "X1 X2 load")
    yard.wire("-WB1:L1", "-F1:1")
    yard.wire("-F1:2", "-T2:L")
    yard.wire("-T2:24V", "-F2:1")
    yard.wire("-F2:2", "-X2:1")
    yard.wire("-X2:1", "-S1:13")
    yard.wire("-S1:14", "-K1:A1")
    yard.wire("-X2:1", "-P1:X1")
    network = built(yard)
    assert downstream(network, "-F1") == ("-T2", "-F2")
    yard.wire("-X2:1", "-E1:X1")
    assert downstream(built(yard), "-F1") == ("-T2", "-F2", "-X2", "-E1")


def test_power_passes_fused_terminals_bridges_and_links() -> None:
    yard = panel()
    yard.device("-X3", "strip", "1 2 fused", category="strip", bridges=(("1", "2"),))
    yard.device("-X4", "terminal-box", "1 2 plain", paths=(Path("1", "2", "link", True, "", HERE),))
    yard.motor("-M9")
    yard.wire("-WB1:L1", "-X3:1")
    yard.wire("-X3:2/out", "-X4:1")
    yard.wire("-X4:2", "-M9:U1")
    assert upstream(built(yard), "-M9")[:3] == ("-X4", "-X3", "-WB1")


def test_ring_of_strips_ends_and_stays_a_tree() -> None:
    import networkx as nx

    yard = panel()
    for name in ("-X5", "-X6", "-X7"):
        yard.device(name, "strip", "1 plain", category="strip")
    yard.motor("-M9")
    for one, other in (("-WB1:L1", "-X5:1"), ("-X5:1", "-X6:1"), ("-X6:1", "-X7:1"), ("-X7:1", "-WB1:L1"), ("-X6:1", "-M9:U1")):
        yard.wire(one, other)
    network = built(yard)
    assert nx.is_directed_acyclic_graph(network.power.graph)
    assert feeds(network, "-WB1", "-M9")


def test_three_hundred_feeders_are_all_in_the_tree() -> None:
    yard = panel()
    yard.bar("-XE2")
    yard.wire("-XE1:20", "-XE2:1")
    for number in range(300):
        function = f"=P{number}"
        feeder(yard, function, "-XE2:2")
        for name in ("-X1",):
            yard.device(function + name, "strip", " ".join(map(str, range(1, 13))) + " plain", category="strip")
        for core in range(1, 10):
            yard.wire(f"{function}-T1:DI1", f"{function}-X1:{core}", function=function)
    plant = yard.plant()
    network, _ = build_network(plant)
    assert len(plant.conductors) > 5900 and len(network.power.order) == 4 + 900


def test_neutral_of_a_load_and_returns_of_another_source() -> None:
    yard = panel()
    yard.breaker("-F1")
    yard.breaker("-K1", "contactor", switched=True)
    yard.device("-K1A", "relay", "A1 A2 coil")
    yard.device("-E1", "fan", "L N load")
    yard.wire("-WB1:L1", "-F1:1")
    yard.wire("-F1:2", "-K1:1")
    yard.wire("-K1:2", "-E1:L")
    yard.wire("-WB1:N", "-E1:N")
    graph = built(yard).power.graph
    assert graph.edges["-K1", "-E1"]["neutral"] and graph.edges["-K1", "-E1"]["conductors"] == ("-K1:2 -- -E1:L",)
    assert not graph.edges["-F1", "-K1"]["neutral"]


def test_cable_that_feeds_more_than_one_motor_serves_none() -> None:
    yard = panel()
    feeder(yard, "=RP1", "-XE1:3")
    yard.breaker("-F1")
    yard.motor("-M9")
    yard.wire("-WB1:L1", "-F1:1")
    yard.cable("-W9", "4G2.5", {"BN": ("-F1:2", "-M9:U1")})
    network = built(yard)
    assert network.cables["-W9"].load == "-M9"
    assert network.cables["-W0"].load is None


def test_devices_as_near_as_each_other_are_told_by_name() -> None:
    yard = panel()
    for name in ("-F3", "-F1", "-F2"):
        yard.breaker(name)
        yard.wire("-WB1:L1", f"{name}:1")
    yard.motor("-M9")
    for name in ("-F2", "-F1"):
        yard.wire(f"{name}:2", "-M9:U1")
    network = built(yard)
    assert network.power.order[-4:] == ("-F3", "-F1", "-F2", "-M9"), "in order of declaration"
    assert downstream(network, "-WB1") == ("-F1", "-F2", "-F3", "-M9")
    assert upstream(network, "-M9")[:2] == ("-F1", "-F2")


def test_what_is_tapped_in_a_box_is_fed_by_the_box() -> None:
    yard = panel()
    yard.breaker("-F1")
    yard.device("-X4", "terminal-box", "1 plain")
    yard.wire("-WB1:L1", "-F1:1")
    yard.wire("-F1:2", "-X4:1")
    for name in ("-M8", "-M9"):
        yard.motor(name)
        yard.wire("-X4:1", f"{name}:U1")
    graph = built(yard).power.graph
    assert sorted(graph.successors("-X4")) == ["-M8", "-M9"] and list(graph.successors("-F1")) == ["-X4"]


def test_thousands_of_bridged_terminals_that_are_all_fed_lead_on_once() -> None:
    yard = panel()
    names = [str(number) for number in range(1, 4001)]
    yard.device("-X3", "strip", f"{' '.join(names)} plain", category="strip", bridges=(tuple(names),))
    yard.motor("-M9")
    for name in names[:-1]:
        yard.wire("-WB1:L1", f"-X3:{name}")
    yard.wire("-X3:4000", "-M9:U1")
    network = built(yard)
    assert upstream(network, "-M9")[:2] == ("-X3", "-WB1")
    assert feeds(network, "-WB1", "-X3")
