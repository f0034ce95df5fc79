"""A circuit in motion: coils in series, selectors, early contacts, timers, safety relays, electronic outputs, dead sources."""

from __future__ import annotations

import pytest

from netdsl.states import Simulation, circuit_of
from netdsl.states.bench import bench_test
from netdsl.states.explained import explained
from netdsl.states.operating import UnknownOperation, play, read_operation
from netdsl.states.types import Cause
from tests.cases import each_of
from tests.readings import EXAMPLES
from tests.readings import network_of as network_at
from tests.states.changed_examples import changed
from tests.states.drawn_circuits import network_of

HEAD = """netdsl 1
project "Try" {
  number = "T-1"
}
place +BOX kind=box material=plastic
supply -G1 system=DC voltage=24V
strip -X1 at=+BOX {
  :1..9 2.5mm2 clamps=9
}
wire -G1:+ to -X1:1
"""


def played(text: str, *operations: str) -> Simulation:
    simulation = Simulation(circuit_of(network_of(text)))
    simulation.settle()
    for operation in operations:
        play(simulation, read_operation(simulation.circuit, operation))
    return simulation


def on_an_example(example: str, *operations: str) -> Simulation:
    simulation = Simulation(circuit_of(changed(example)))
    simulation.settle()
    for operation in operations:
        play(simulation, read_operation(simulation.circuit, operation))
    return simulation


def pulled(simulation: Simulation) -> set[str]:
    return {mover.device for mover, on in simulation.state.items() if on and mover.word in ("coil", "release")}


def on(simulation: Simulation) -> set[str]:
    """Terminals of the inputs, and lamps, that get voltage."""
    loads = [load for load in simulation.circuit.loads if load.kind != "coil" and simulation.joined.fed(load)]
    return {f"{load.device}:{load.name}" if load.kind == "input" else load.device for load in loads}


@each_of(("first", "second"), [("A1", "A2"), ("B1", "B2")])
def test_either_winding_of_a_device_pulls_it(first: str, second: str) -> None:
    text = """part relay "Relay with two windings" {
  kind = relay   letter = K   class = II
  terminal :A1 :A2 :B1 :B2 coil
  terminal :13 :14 contact
  coil :A1 to :A2 voltage=24V dc
  coil :B1 to :B2 voltage=24V dc
  contact :13 to :14 make by=coil
}
device -K1 relay at=+BOX
"""
    fed = f"wire -X1:1 to -K1:{first}\nwire -K1:{second} to -G1:-\n"
    assert pulled(played(HEAD + text)) == set()
    assert pulled(played(HEAD + text + fed)) == {"-K1"}


def test_two_coils_in_series_do_not_pull() -> None:
    text = HEAD + "device -K1 relay-1co at=+BOX\ndevice -K2 relay-1co at=+BOX\n"
    text += "wire -X1:1 to -K1:A1\nwire -K1:A2 to -K2:A1\nwire -K2:A2 to -G1:-\n"
    assert pulled(played(text)) == set()
    assert pulled(played(text.replace("-K1:A2 to -K2:A1", "-K1:A2 to -G1:-\nwire -X1:1 to -K2:A1"))) == {"-K1", "-K2"}


def test_a_coil_between_two_sources_does_not_pull() -> None:
    text = HEAD + "supply -G2 system=DC voltage=24V\ndevice -K1 relay-1co at=+BOX\nwire -X1:1 to -K1:A1\nwire -K1:A2 to -G2:-\n"
    assert pulled(played(text)) == set()
    assert pulled(played(text.replace("-G2:-", "-G1:-"))) == {"-K1"}


def test_a_relay_that_opens_its_own_coil_does_not_come_to_rest() -> None:
    text = HEAD + "device -K1 relay-1co at=+BOX\nwire -X1:1 to -K1:11\nwire -K1:12 to -K1:A1\nwire -K1:A2 to -G1:-\n"
    assert [mover.device for mover in played(text).restless] == ["-K1"]


def test_a_selector_stands_in_one_position() -> None:
    text = HEAD + "device -S1 selector-3 at=+BOX\ndevice -H1 lamp at=+BOX\ndevice -H2 lamp at=+BOX\n"
    text += "wire -X1:1 to -S1:13 to -S1:23\nwire -S1:14 to -H1:X1\nwire -S1:24 to -H2:X1\n"
    text += "wire -H1:X2 to -G1:-\nwire -H2:X2 to -G1:-\n"
    assert on(played(text)) == set()
    assert on(played(text, "-S1=hand")) == {"-H1"}
    assert on(played(text, "-S1=hand", "-S1=auto")) == {"-H2"}
    assert on(played(text, "-S1=auto", "-S1=off")) == set()


def test_delays_wait_until_they_are_let_go_by() -> None:
    for part, waits in (("timer-on-delay", (False, True, False)), ("timer-off-delay", (True, True, True))):
        text = HEAD + f"device -S1 selector-2 at=+BOX\ndevice -K1 {part} at=+BOX\ndevice -H1 lamp at=+BOX\n"
        text += "wire -X1:1 to -S1:13\nwire -S1:14 to -K1:A1\nwire -K1:A2 to -G1:-\n"
        text += "wire -X1:1 to -K1:15\nwire -K1:18 to -H1:X1\nwire -H1:X2 to -G1:-\n"
        for operations, lit in zip((["-S1=on"], ["-S1=on", "wait"], ["-S1=on", "wait", "-S1=off"]), waits, strict=True):
            assert ("-H1" in on(played(text, *operations))) is lit, (part, operations)
    assert on(played(text, "-S1=on", "-S1=off", "wait")) == set()


def test_an_output_of_electronics_brings_the_voltage_of_its_supply() -> None:
    text = HEAD + "device -A1 card-16do at=+BOX\ndevice -H1 lamp at=+BOX\nwire -H1:X2 to -G1:-\n"
    text = (
        text.replace("card-16do", "do")
        + "part do {\n  kind = controller\n  terminal :L+ supply-in\n  terminal :M supply-common\n"
    )
    text += "  terminal :1 digital-out\n}\nwire -X1:1 to -A1:L+\nwire -G1:- to -A1:M\nwire -A1:1 to -H1:X1\n"
    assert on(played(text)) == set()
    assert on(played(text, "-A1:output 1=on")) == {"-H1"}


def test_a_source_that_is_fed_by_nothing_gives_nothing() -> None:
    simulation = on_an_example("direct-on-line", "-Q0=off")
    assert not simulation.joined.live - {"-G0"}
    lamp = next(load for load in simulation.circuit.loads if load.kind == "load")
    assert explained(simulation.joined, lamp).dead


def test_a_source_is_fed_by_one_that_another_feeds() -> None:
    """24 V from a transformer that is declared behind what it feeds."""
    text = """supply -G0 system=TN-S phases=3 voltage=400V
device -G2 supply-24v-2.5a at=+BOX
device -T2 control-transformer-100va at=+BOX
device -H1 lamp at=+BOX
wire -G0:L1 to -T2:1
wire -G0:L2 to -T2:3
wire -T2:2 to -G2:L
wire -T2:4 to -G2:N
wire -G2:+ to -H1:X1
wire -H1:X2 to -G2:-
"""
    assert on(played(HEAD + text)) == {"-H1"}
    assert on(played(HEAD + text.replace("wire -G0:L2 to -T2:3\n", ""))) == set()


def test_a_safety_relay_releases_after_a_reset_and_trips_with_each_channel() -> None:
    torque = {"=GC1-T1:STO1", "=GC1-T1:STO2"}
    assert not torque & on(on_an_example("emergency-stop"))
    assert torque <= on(on_an_example("emergency-stop", "=GC1-S7=push"))
    for button in ("=GC1-S5", "=GC1-S6"):
        assert not torque & on(on_an_example("emergency-stop", "=GC1-S7=push", f"{button}=push"))
        assert torque <= on(on_an_example("emergency-stop", "=GC1-S7=push", f"{button}=push", "=GC1-S7=push"))


def test_an_isolator_opens_its_early_contact_before_its_poles() -> None:
    simulation = on_an_example("fixed-lead-pumps", "=RM1-B2=on", "=RM2-S1=hand")
    assert "=RM2-K1" in pulled(simulation)
    poles = [edge for edge in simulation.circuit.edges if edge.device == "=RM2-Q2"]
    early = next(mover for mover in simulation.circuit.early if mover.device == "=RM2-Q2")
    assert len({edge.closed for edge in poles}) == 2
    moved = simulation.operate(simulation.circuit.early[early], False)
    assert [step.mover.device for step in moved] == ["=RM2-K1"]


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("=OB1-S1=hnd", "did you mean `hand`"),
        ("=OB1-K1=on", "moved by its wiring"),
        ("=OB1-S7=on", "not in this plant"),
        ("=OB1-T1=on", "say one of"),
        ("=OB1-B2=perhaps", "not `perhaps`"),
        ("push", "no operation"),
    ],
)
def test_an_operation_of_nothing_says_what_could_be_meant(text: str, said: str) -> None:
    circuit = circuit_of(changed("mains-bypass"))
    with pytest.raises(UnknownOperation, match=said):
        read_operation(circuit, text)


def test_states_met_before_say_the_same_as_when_they_are_met_first(monkeypatch: pytest.MonkeyPatch) -> None:
    circuit = circuit_of(network_at(EXAMPLES / "emergency-stop" / "plant.netdsl"))
    table = bench_test(circuit)
    assert len(table.rows) > 10
    monkeypatch.setattr("netdsl.states.simulation.KEPT_POINTS", 0)
    assert bench_test(circuit) == table


def test_a_copy_goes_its_own_way() -> None:
    circuit = circuit_of(network_at(EXAMPLES / "emergency-stop" / "plant.netdsl"))
    simulation = Simulation(circuit)
    simulation.settle()
    before, fed = dict(simulation.state), on(simulation)
    for mover, movement in circuit.movements.items():
        if movement.cause in (Cause.FREE, Cause.POSITION):
            other = simulation.copy()
            other.operate(mover, not other.state[mover])
            assert (other.state == before) is False
            assert simulation.state == before and on(simulation) == fed
            simulation.joined.fed(circuit.loads[0])


def test_what_starts_a_load_that_then_holds_itself_is_tried_too() -> None:
    rows = bench_test(circuit_of(network_at(EXAMPLES / "level-two-floats" / "plant.netdsl"))).rows
    upper = [row.expect for row in rows if row.operated == "=DS1-B2"]
    assert upper == [("=DS1-K1 pulls",), ("nothing changes",)]


def test_a_soft_starter_that_was_stopped_goes_through_its_ramp_again_before_the_bypass_pulls() -> None:
    rows = bench_test(circuit_of(network_at(EXAMPLES / "soft-starter-bypass" / "plant.netdsl"))).rows
    bypass = [row for row in rows if "=FW1-K1 pulls" in row.expect]
    assert len(bypass) > 1
    assert {row.operate for row in bypass} == {"wait until all times have gone by"}
