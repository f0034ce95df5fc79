"""The protective-earth graph."""

from __future__ import annotations

from factory import Yard, feeder, panel, source

from netdsl.network import Network, build_network
from netdsl.network.queries import earth_neighbours, earth_node


def edges(network: Network) -> set[tuple[str, str]]:
    return {(min(pair), max(pair)) for pair in network.earth.graph.edges}


def built(yard: Yard) -> Network:
    return build_network(yard.plant())[0]


def test_edges_and_root_of_a_panel() -> None:
    yard = panel()
    feeder(yard, "=RP1", "-XE1:3")
    network = built(yard)
    assert network.earth.root == "-XE1"
    assert edges(network) == {
        ("-G0", "-X0:PE"),
        ("-X0:PE", "-XE1"),
        ("+MCP", "-XE1"),
        ("+MCP", "+MCP.D"),
        ("-XE1", "=RP1-T1"),
        ("=RP1-M1", "=RP1-T1"),
    }
    node = earth_node(network, "=RP1-T1")
    assert node is not None and (node.kind, node.needs_earth) == ("device", True)
    kinds = {name: data["node"].kind for name, data in network.earth.graph.nodes(data=True)}
    assert kinds["-XE1"] == "bar" and kinds["+MCP.D"] == "place" and kinds["-X0:PE"] == "strip" and kinds["-G0"] == "supply"


def test_live_and_neutral_conductors_are_no_edges_but_a_pen_is() -> None:
    yard = Yard()
    yard.place("+MCP")
    yard.supply(names="L1 L2 L3 load-out, PEN earth", system="TN-C")
    yard.device("-X0", "strip", "L1 L2 L3 PEN plain", category="strip")
    yard.bar()
    yard.cable("-W0", "4x16", {"BN": ("-G0:L1", "-X0:L1"), "BU": ("-G0:PEN", "-X0:PEN")})
    yard.wire("-X0:PEN", "-XE1:1")
    network = built(yard)
    assert edges(network) == {("-G0", "-X0:PEN"), ("-X0:PEN", "-XE1")}


def test_parallel_conductors_are_one_edge() -> None:
    yard = panel()
    feeder(yard, "=RP1", "-XE1:3")
    second = yard.wire("=RP1-T1:PE2", "-XE1:4")
    network = built(yard)
    assert network.earth.graph.edges["-XE1", "=RP1-T1"]["conductors"] == ("=RP1-T1:PE -- -XE1:3", second)
    ((neighbour, conductors),) = [near for near in earth_neighbours(network, "=RP1-T1") if near[0].kind == "bar"]
    assert neighbour.id == "-XE1" and len(conductors) == 2


def test_bonded_rail_and_plate_are_one_with_the_enclosure() -> None:
    yard = panel()
    yard.place("+MCP.P", "plate")
    yard.place("+MCP.R", "plate", bonded="no")
    yard.device("-X1", "strip", "1 2 plain, 7 8 earth", category="strip", at="+MCP.P", bonded=True)
    yard.device("-X2", "strip", "1 plain, 7 8 earth", category="strip", bridges=(("1", "7"),))
    yard.device("-XSH", "screen-bar", "1 2 screen", klass="")
    network = built(yard)
    node = earth_node(network, "-X1")
    assert node is not None
    assert (node.id, node.kind, node.members) == ("+MCP", "bar", ("+MCP", "+MCP.P", "-X1", "-XSH"))
    assert network.net_of["-X1:7"] == network.net_of["+MCP:PE"]
    assert network.earth.node_of["+MCP.R"] == "+MCP.R"
    assert network.earth.node_of["-X2"] == "-X2:7" and "-X2:8" in network.earth.graph


def test_mounting_earths_only_what_no_conductor_reaches() -> None:
    yard = panel()
    for name in ("-T2", "-T3"):
        yard.device(name, "supply-24v", "PE earth", klass="I", earthed_by_mounting="yes")
    yard.wire("-T3:PE", "-XE1:5")
    graph = built(yard).earth.graph
    assert graph.edges["-T2", "+MCP"]["conductors"] == () and graph.edges["-T2", "+MCP"]["mounting"]
    assert not graph.has_edge("-T3", "+MCP")


def test_class_ii_needs_no_earth_and_through_terminals_are_told_apart() -> None:
    yard = panel()
    yard.device("-Q2", "isolator", "PE1 PE2 earth-through", klass="I")
    yard.device("-A1", "controller", "PE earth", klass="II")
    yard.device("-A2", "fan", "L N load", klass="I")
    yard.device("-A3", "lamp", "X1 X2 load", klass="II")
    network = built(yard)
    nodes = {name: earth_node(network, name) for name in ("-Q2", "-A1", "-A2", "-A3")}
    assert nodes["-A3"] is None
    found = {name: (node.kind, node.needs_earth) for name, node in nodes.items() if node}
    assert found == {"-Q2": ("through", True), "-A1": ("device", False), "-A2": ("device", True)}


def test_root_without_supply_is_the_first_earth_bar() -> None:
    yard = Yard()
    yard.place("+MCP")
    yard.bar("-XE1")
    yard.bar("-XE2")
    assert built(yard).earth.root == "-XE1"
    assert built(Yard()).earth.root is None


def test_reference_of_a_control_source_is_no_edge() -> None:
    yard = panel()
    yard.device("-T2", "supply-24v", "24V supply-out, 0V supply-common, PE earth", sources=(source("24V 0V", "24V"),), klass="I")
    yard.wire("-T2:0V", "-XE1:9")
    yard.earthing("-T2:0V", "-XE1:9")
    network = built(yard)
    assert not network.earth.graph.has_edge("-T2", "-XE1")
