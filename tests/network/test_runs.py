"""Resolved conductors, marks, cable uses and route contents."""

from __future__ import annotations

from factory import Yard, feeder, panel, source

from netdsl.network import build_network
from netdsl.network.queries import circuit_cables, contents_of
from netdsl.network.types import ConductorClass


def test_last_matching_default_wins_value_by_value() -> None:
    yard = panel()
    yard.default(10, "+MCP", "mains", section_mm2=10.0, colour="BK", routes=("DUCT1",))
    yard.default(20, "", "mains", section_mm2=16.0)
    yard.default(30, "+MCP.D", "", colour="BU")
    yard.default(40, "=RP", "", colour="GY")
    network, _ = build_network(yard.plant())
    run = network.runs["-X0:L1 -- -Q0:1"]
    assert (run.section_mm2, run.colour, run.routes, run.length_m) == (16.0, "BK", ("DUCT1",), None)
    assert {name: span.start for name, span in run.origin.items()} == {"section": 20, "colour": 10, "routes": 10}


def test_default_of_a_function_and_of_a_door_and_written_values() -> None:
    yard = panel()
    yard.device("-S1", "push-button", "13 14 contact", at="+MCP.D")
    yard.device("-K1", "relay", "A1 coil")
    inner = yard.wire("-S1:13", "-S1:14")
    outer = yard.wire("-S1:14", "-K1:A1", function="=WTR.RP1", colour="RD")
    yard.default(10, "+MCP.D", "control", colour="BU")
    yard.default(20, "=WTR", "control", section_mm2=1.0, colour="BU")
    network, _ = build_network(yard.plant())
    assert (network.runs[inner].colour, network.runs[inner].section_mm2) == ("BU", None)
    assert (network.runs[outer].colour, network.runs[outer].section_mm2) == ("RD", 1.0)


def test_a_wire_that_stays_on_its_door_leaves_out_the_hinge_and_the_ducts_of_the_panel() -> None:
    yard = panel()
    yard.place("+MCP.D", "door")
    yard.route("DUCT9")
    yard.route("HINGE1", at="+MCP.D", kind="hinge")
    yard.route("DOOR1", at="+MCP.D")
    yard.device("-S1", "push-button", "13 14 contact", at="+MCP.D")
    yard.device("-S2", "push-button", "13 14 contact", at="+MCP.D")
    yard.device("-K1", "relay", "A1 coil")
    along = ("DUCT9", "HINGE1", "DOOR1")
    from_panel = yard.wire("-K1:A1", "-S1:13", routes=along)
    on_door = yard.wire("-S1:13", "-S2:13", routes=along)
    by_default = yard.wire("-S1:14", "-S2:14")
    yard.default(10, "+MCP", "", routes=("DUCT9",), length_m=2.0)
    yard.default(20, "+MCP.D", "", length_m=0.5)
    network, _ = build_network(yard.plant())
    taken = [(network.runs[wire].routes, network.runs[wire].length_m) for wire in (from_panel, on_door, by_default)]
    assert taken == [(along, 2.0), (("DOOR1",), 0.5), ((), 0.5)]
    assert "routes" not in network.runs[by_default].origin
    assert contents_of(network, "HINGE1") and on_door not in {run for c in contents_of(network, "HINGE1") for run in c.runs}


def test_cable_cores_take_nothing_from_defaults() -> None:
    yard = panel()
    feeder(yard, "=RP1", "-XE1:3")
    yard.default(10, "", "", section_mm2=0.75, colour="BU", routes=("DUCT9",), length_m=2.0)
    network, _ = build_network(yard.plant())
    run = network.runs["=RP1-W1 BK"]
    assert (run.section_mm2, run.colour, run.routes, run.length_m) == (10.0, "BK", ("TRAY1",), 35.0)
    assert not run.origin
    assert network.runs["-W0 BN"].routes == ()


def test_marks_follow_the_potential_where_the_project_says_so() -> None:
    for choice, expected in (("potential", "P24"), ("ends", "")):
        yard = Yard(marks=choice)
        yard.device("-T2", "supply-24v", "24V supply-out, 0V supply-common", sources=(source("24V 0V", "24V"),))
        yard.device("-K1", "relay", "A1 A2 coil")
        plain, marked = yard.wire("-T2:24V", "-K1:A1"), yard.wire("-T2:0V", "-K1:A2", mark="201")
        yard.potential("P24", "-T2:24V")
        network, findings = build_network(yard.plant())
        assert findings == ()
        assert (network.runs[plain].mark, network.runs[marked].mark) == (expected, "201")
        assert network.nets[network.net_of["-K1:A1"]].mark == "P24"


def test_one_net_with_two_names_is_reported_once() -> None:
    yard = Yard()
    yard.device("-X1", "strip", "1 2 plain", category="strip", bridges=(("1", "2"),))
    yard.potential("P24", "-X1:1")
    yard.potential("P25", "-X1:2")
    _, (finding,) = build_network(yard.plant())
    assert finding.rule == "duplicate-name"
    assert "`P25`" in finding.message and "`P24`" in finding.message


def test_motor_cable_through_an_isolator() -> None:
    yard = panel()
    feeder(yard, "=RP1", "-XE1:3", motor_cable=False)
    yard.breaker("=RP1-Q2", "isolator")
    outputs = list(zip(("BN", "BK", "GY"), "UVW", "135", "246", strict=True))
    yard.cable("=RP1-W1", "4G10", {core: (f"=RP1-T1:{u}", f"=RP1-Q2:{a}") for core, u, a, _ in outputs})
    yard.cable("=RP1-W2", "4G10", {core: (f"=RP1-Q2:{b}", f"=RP1-M1:{u}1") for core, u, _, b in outputs})
    network, _ = build_network(yard.plant())
    for cable in ("=RP1-W1", "=RP1-W2"):
        use = network.cables[cable]
        assert (use.klass, use.drive, use.load, use.voltage) == (ConductorClass.MOTOR, "=RP1-T1", "=RP1-M1", 400.0)
        assert circuit_cables(network, cable) == ("=RP1-W1", "=RP1-W2")
    assert network.cables["=RP1-W2"].devices == (("=RP1-Q2",), ("=RP1-M1",))
    assert (network.cables["-W0"].drive, network.cables["-W0"].load) == (None, None)


def test_signal_goes_on_through_a_box_and_a_shared_supply_joins_nothing() -> None:
    yard = Yard()
    yard.device("-T2", "supply-24v", "24V supply-out, 0V supply-common", sources=(source("24V 0V", "24V"),))
    yard.device("-A1", "controller", "AI1 AI2 analogue-in")
    yard.device("-X5", "strip", "1 2 plain", category="strip", at="+BOX")
    for n in ("1", "2"):
        yard.device(f"-B{n}", "transmitter", "+ supply-in, - analogue-out", at="+HALL")
    yard.cable("-W1", "2x2x0.75", {"1a": ("-T2:24V", "-X5:1"), "1b": ("-A1:AI1", "-X5:2")})
    yard.cable("-W2", "2x0.75", {"BN": ("-X5:1", "-B1:+"), "BU": ("-X5:2", "-B1:-")})
    yard.cable("-W3", "2x0.75", {"BN": ("-T2:24V", "-B2:+"), "BU": ("-A1:AI2", "-B2:-")})
    network, _ = build_network(yard.plant())
    assert circuit_cables(network, "-W2") == ("-W1", "-W2")
    assert circuit_cables(network, "-W3") == ("-W3",)


def test_contents_of_routes_and_compartments() -> None:
    yard = panel()
    yard.route("DUCT1")
    yard.route("TRAY1", divider=True)
    yard.route("DUCT2")
    feeder(yard, "=RP1", "-XE1:3")
    near = yard.wire("=RP1-T1:DI1", "=RP1-T1:24V", routes=("DUCT1", "TRAY1/2"))
    yard.device("-B1", "level-switch", "11 12 contact", at="+HALL")
    yard.cable("-W7", "2x1.5", {"BN": ("=RP1-T1:DI1", "-B1:11")}, routes=("TRAY1/2",))
    network, _ = build_network(yard.plant())
    found = [(c.route, c.compartment, c.runs, c.cables) for c in network.contents]
    assert found == [
        ("DUCT1", "", (near,), ()),
        ("TRAY1", "", (), ("=RP1-W1",)),
        ("TRAY1", "TRAY1/2", (near,), ("-W7",)),
        ("DUCT2", "", (), ()),
    ]
    assert [content.compartment for content in contents_of(network, "TRAY1")] == ["", "TRAY1/2"]


def test_two_names_where_unlike_poles_meet_are_right() -> None:
    yard = panel()
    yard.wire("-X0:L1", "-X0:L2")
    yard.potential("A", "-X0:L1")
    yard.potential("B", "-X0:L2")
    assert build_network(yard.plant())[1] == ()
