"""Nets, potentials and classes, through the door of the room."""

from __future__ import annotations

from factory import Yard, contact, feeder, panel, source

from netdsl.network import Network, build_network
from netdsl.network.queries import earth_node
from netdsl.network.types import ConductorClass
from tests.cases import each_of


def network_of(yard: Yard) -> Network:
    network, findings = build_network(yard.plant())
    assert findings == ()
    return network


def poles(network: Network, node: str, certain: bool = True) -> list[str]:
    net = network.net(node)
    assert net is not None
    return [potential.id for potential in (net.certain if certain else net.possible)]


def test_bridge_joins_and_fuse_separates() -> None:
    yard = Yard()
    yard.supply(voltage="24V", system="DC", names="+ supply-out, - supply-common")
    yard.device("-X1", "strip", "1 2 plain, 3 fused", category="strip", bridges=(("1", "2"), ("2", "3")))
    wire = yard.wire("-G0:+", "-X1:1")
    network = network_of(yard)
    assert network.net_of["-X1:2"] == network.net_of["-X1:3/in"] != network.net_of["-X1:3/out"]
    assert poles(network, "-X1:3/out") == ["-G0:+"], "a fuse passes a certain potential"
    assert network.runs[wire].klass is ConductorClass.CONTROL
    assert network.net("-X1:99") is None


def test_cable_lands_outside_and_wire_inside_of_a_split_terminal() -> None:
    yard = Yard()
    yard.device("-X1", "strip", "1 2 fused", category="strip")
    yard.device("-B1", "level-switch", "11 12 contact")
    yard.cable("-W1", "2x1.5", {"BN": ("-X1:1", "-B1:11"), "BU": ("-X1:2/in", "-B1:12")})
    yard.device("-K1", "relay", "A1 A2 coil")
    yard.wire("-X1:1", "-K1:A1")
    network = network_of(yard)
    assert network.net_of["-B1:11"] == network.net_of["-X1:1/out"]
    assert network.net_of["-K1:A1"] == network.net_of["-X1:1/in"]
    assert network.net_of["-B1:12"] == network.net_of["-X1:2/in"]
    assert network.at_terminal["-X1:1"] == ("-W1 BN", "-X1:1 -- -K1:A1")


def test_certain_stops_at_a_contactor_and_possible_passes() -> None:
    yard = panel()
    yard.breaker("-K1", "contactor", switched=True)
    yard.motor("-M1")
    yard.wire("-WB1:L1", "-K1:1")
    yard.wire("-K1:2", "-M1:U1")
    network = network_of(yard)
    assert poles(network, "-K1:1") == ["-G0:L1"]
    assert poles(network, "-M1:U1") == []
    assert poles(network, "-M1:U1", certain=False) == ["-G0:L1"]
    net = network.net("-M1:U1")
    assert net is not None and net.klass is ConductorClass.MAINS and net.voltage == 400.0


def test_output_of_a_drive_is_a_source_of_its_own() -> None:
    yard = panel()
    feeder(yard, "=RP1", "-XE1:3")
    network = network_of(yard)
    (potential,) = network.nets[network.net_of["=RP1-M1:U1"]].certain
    assert (potential.id, potential.pole, potential.kind, potential.voltage) == ("=RP1-T1:U", "U", "pwm", 400.0)
    assert poles(network, "=RP1-T1:L1") == ["-G0:L1"]
    assert network.runs["=RP1-W1 BN"].klass is ConductorClass.MOTOR
    assert network.runs["=RP1-W1 GNYE"].klass is ConductorClass.EARTH


def test_bypass_does_not_carry_the_drive_onto_the_busbar() -> None:
    yard = panel()
    feeder(yard, "=RP1", "-XE1:3", motor_cable=False)
    for name, source_end in (("=RP1-K1", "=RP1-T1:U"), ("=RP1-K2", "=RP1-Q1:2")):
        yard.breaker(name, "contactor", switched=True)
        yard.wire(source_end, f"{name}:1")
        yard.wire(f"{name}:2", "=RP1-M1:U1")
    network = network_of(yard)
    assert network.nets[network.net_of["-WB1:L1"]].klass is ConductorClass.MAINS
    assert poles(network, "=RP1-M1:U1", certain=False) == ["-G0:L1", "=RP1-T1:U"]
    assert network.nets[network.net_of["=RP1-M1:U1"]].klass is ConductorClass.MOTOR


@each_of(
    ("terminal", "expected"),
    [
        ("=RP1-T1:AI1", ConductorClass.ANALOGUE),
        ("=RP1-T1:10V", ConductorClass.ANALOGUE),
        ("=RP1-T1:AGND", ConductorClass.ANALOGUE),
        ("=RP1-T1:A", ConductorClass.BUS),
        ("=RP1-T1:STO", ConductorClass.SAFETY),
        ("=RP1-T1:DI1", ConductorClass.CONTROL),
        ("=RP1-T1:24V", ConductorClass.CONTROL),
        ("-X0:N", ConductorClass.MAINS),
        ("-X0:PE", ConductorClass.EARTH),
        ("+MCP.D:PE", ConductorClass.EARTH),
        ("-X9:1", ConductorClass.NONE),
    ],
)
def test_class_of_a_net(terminal: str, expected: ConductorClass) -> None:
    yard = panel()
    feeder(yard, "=RP1", "-XE1:3")
    yard.device("-X9", "strip", "1 plain", category="strip")
    assert network_of(yard).nets[network_of(yard).net_of[terminal]].klass is expected


def test_control_at_mains_voltage_is_control() -> None:
    yard = panel()
    yard.breaker("-F1")
    yard.device("-S1", "push-button", "13 14 contact", paths=(contact("13", "14"),))
    yard.device("-K1", "contactor", "A1 A2 coil")
    yard.wire("-WB1:L1", "-F1:1")
    yard.wire("-F1:2", "-S1:13")
    coil = yard.wire("-S1:14", "-K1:A1")
    assert network_of(yard).runs[coil].klass is ConductorClass.CONTROL


def test_supply_cores_take_the_class_of_their_cable() -> None:
    yard = Yard()
    yard.device("-T2", "supply-24v", "24V supply-out, 0V supply-common", sources=(source("24V 0V", "24V"),))
    yard.device("-A1", "controller", "AI analogue-in, DI digital-in, M analogue-common")
    yard.device("-B1", "transmitter", "+ supply-in, - analogue-out, S contact, R supply-common", at="+HALL")
    yard.wire("-T2:0V", "-A1:M")
    yard.cable("-W1", "2x2x0.75", {"1a": ("-T2:24V", "-B1:+"), "1b": ("-A1:AI", "-B1:-")})
    yard.cable("-W2", "4x1.5", {"BN": ("-T2:24V", "-B1:+"), "BK": ("-A1:DI", "-B1:S")})
    network = network_of(yard)
    assert network.runs["-W1 1a"].klass is ConductorClass.ANALOGUE
    assert network.runs["-W2 BN"].klass is ConductorClass.CONTROL
    assert network.nets[network.net_of["-A1:M"]].klass is ConductorClass.CONTROL, "0 V that an analogue input shares"
    assert network.cables["-W1"].klass is ConductorClass.ANALOGUE
    assert network.cables["-W2"].classes == {ConductorClass.CONTROL}


def test_declared_earthing_keeps_source_and_earth_apart() -> None:
    yard = panel()
    yard.device("-T2", "supply-24v", "24V supply-out, 0V supply-common", sources=(source("24V 0V", "24V"),))
    joint = yard.wire("-T2:0V", "-XE1:9")
    undeclared = network_of(yard)
    assert undeclared.net_of["-T2:0V"] == undeclared.net_of["-XE1:1"]
    assert undeclared.runs["-XE1:2 -- +MCP:PE"].klass is ConductorClass.EARTH
    yard.earthing("-T2:0V", "-XE1:9")
    network = network_of(yard)
    assert poles(network, "-T2:0V") == ["-T2:0V"]
    assert poles(network, "-XE1:9") == ["-G0:PE"]
    assert network.runs[joint].net == network.net_of["-T2:0V"]
    assert network.runs[joint].klass is ConductorClass.EARTH


def test_nets_keep_their_names_and_order_when_a_feeder_is_added() -> None:
    small, large = panel(), panel()
    feeder(small, "=RP1", "-XE1:3")
    feeder(large, "=RP1", "-XE1:3")
    feeder(large, "=RP2", "-XE1:4")
    few, many = network_of(small), network_of(large)
    assert all(many.net_of[node] == name for node, name in few.net_of.items())
    assert all(net.nodes == tuple(sorted(net.nodes)) for net in many.nets.values())


def test_safety_circuit_goes_on_through_contacts_and_ends_at_the_supply() -> None:
    yard = Yard()
    yard.supply(voltage="24V", system="DC", names="+ supply-out, - supply-common")
    yard.device("-K1", "safety-relay", "S11 safety-out, S12 safety-in, 13 14 contact", paths=(contact("13", "14"),))
    yard.device("-T1", "drive", "STO safety-in, DI1 digital-in")
    for name in ("-S1", "-S2"):
        yard.device(name, "emergency-stop", "11 12 contact", paths=(contact("11", "12", "break"),))
    wires = [yard.wire(*pair) for pair in (("-K1:S11", "-S1:11"), ("-S1:12", "-S2:11"), ("-S2:12", "-K1:S12"))]
    release = yard.wire("-K1:14", "-T1:STO")
    feed = yard.wire("-G0:+", "-K1:13")
    network = network_of(yard)
    assert {network.runs[wire].klass for wire in (*wires, release)} == {ConductorClass.SAFETY}
    assert network.runs[feed].klass is ConductorClass.CONTROL


def test_analogue_circuit_goes_on_through_a_knife_disconnect_terminal() -> None:
    yard = Yard()
    yard.device("-X1", "strip", "1 2 fused", category="strip")
    yard.drive("-T1")
    for terminal, point in (("AI1", "1"), ("10V", "2")):
        yard.wire(f"-T1:{terminal}", f"-X1:{point}")
        field = network_of(yard).nets[network_of(yard).net_of[f"-X1:{point}/out"]]
        assert field.klass is ConductorClass.ANALOGUE


def test_net_is_called_after_its_source() -> None:
    network = network_of(panel())
    assert network.net_of["+MCP:PE"] == "-G0:PE"
    assert network.net_of["-X0:L1"] == "-G0:L1"
    assert network.net_of["-WB1:L1"] == "-Q0:2"


@each_of(
    ("system", "volts", "extra_low"),
    [("IT", "50V", True), ("IT", "51V", False), ("DC", "120V", True), ("DC", "121V", False)],
)
def test_extra_low_voltage_ends_above_its_limit(system: str, volts: str, extra_low: bool) -> None:
    """50 V ac and 120 V dc are still extra-low: a control circuit at either, and no case that must be earthed."""
    yard = Yard()
    yard.supply(voltage=volts, system=system, names="L1 load-out, PE earth", klass="")
    yard.busbar()
    feed = yard.wire("-G0:L1", "-WB1:L1")
    network = network_of(yard)
    assert network.runs[feed].klass is (ConductorClass.CONTROL if extra_low else ConductorClass.MAINS)
    node = earth_node(network, "-G0")
    assert node is not None and node.needs_earth is not extra_low


def test_a_drive_gives_the_highest_voltage_that_may_reach_it() -> None:
    yard = panel()
    yard.supply("-G1", names="L1 load-out", voltage="690V")
    yard.drive("-T1")
    for number, line in (("1", "-WB1:L1"), ("2", "-G1:L1")):
        yard.breaker(f"-K{number}", "contactor", switched=True)
        yard.wire(line, f"-K{number}:1")
        yard.wire(f"-K{number}:2", "-T1:L1")
    (potential,) = network_of(yard).nets[network_of(yard).net_of["-T1:U"]].certain
    assert potential.voltage == 690.0


def test_a_source_that_gives_a_range_is_taken_at_its_most() -> None:
    yard = Yard()
    yard.device("-T2", "supply-24v", "24V supply-out, 0V supply-common", sources=(source("24V 0V", "24..28V"),))
    found = {name: network_of(yard).nets[network_of(yard).net_of[f"-T2:{name}"]].voltage for name in ("24V", "0V")}
    assert found == {"24V": 28.0, "0V": 0.0}
