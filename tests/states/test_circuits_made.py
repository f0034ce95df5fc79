"""What a circuit is made of: channels, outputs, contacts of outside equipment, interlocks, coils, and in which order it moves."""

from __future__ import annotations

from netdsl.states import Simulation, circuit_of
from netdsl.states.types import Cause, Circuit, Mover
from tests.cases import each_of
from tests.states.drawn_circuits import network_of

HEAD = """netdsl 1
project "Try" {
  number = "T-1"
}
place +BOX kind=box material=plastic
supply -G1 system=DC voltage=24V
strip -X1 at=+BOX {
  :1..9 2.5mm2 clamps=9
  bridge :1..9
}
wire -G1:+ to -X1:1
"""


def made(text: str) -> Circuit:
    return circuit_of(network_of(HEAD + text))


def relay(number: int) -> str:
    """A relay whose coil hangs on the supply."""
    return f"device -K{number} relay-1co at=+BOX\nwire -X1:{number} to -K{number}:A1\nwire -K{number}:A2 to -G1:-\n"


@each_of(
    ("words", "channels"),
    [("channel-1 reset", 2), ("channel-1 channel-2 reset", 3), ("channel-1 channel-2", 0), ("reset", 0)],
)
def test_a_safety_relay_is_released_by_one_channel_at_least_and_its_reset(words: str, channels: int) -> None:
    loops = "".join(
        f"  terminal :{2 * n + 1} safety-out function={word}-feed\n  terminal :{2 * n + 2} safety-in function={word}-return\n"
        for n, word in enumerate(words.split())
    )
    text = f"part sr {{\n  kind = safety-relay\n{loops}  terminal :53 :54 contact\n  contact :53 to :54 make by=release\n}}\n"
    circuit = made(text + "device -K1 sr at=+BOX\nwire -X1:1 to -K1:53\n")
    assert [len(found) for found in circuit.releases.values()] == ([channels] if channels else [])
    assert [each.device for each in circuit.unjudged] == ([] if channels else ["-K1"])
    if channels:
        assert [channel.reset for channel in circuit.releases[Mover("-K1", "release")]] == [*[False] * (channels - 1), True]


@each_of(("sources", "known"), [(1, True), (2, False)])
def test_outputs_that_name_no_feed_take_the_only_control_source(sources: int, known: bool) -> None:
    text = "part do {\n  kind = controller\n  terminal :1 digital-out\n}\n"
    text += "device -A1 do at=+BOX\ndevice -S1 push-button at=+BOX\nwire -A1:1 to -S1:13\n"
    text += "supply -G2 system=DC voltage=24V\n" if sources == 2 else ""
    circuit = made(text)
    assert [edge.nodes for edge in circuit.edges if edge.device == "-A1"] == ([("-A1:1", "-G1:+")] if known else [])
    assert [each.device for each in circuit.unjudged] == ([] if known else ["-A1"])


def test_contacts_of_outside_equipment_are_terminals_in_pairs() -> None:
    text = "outside -A1 at=+BOX {\n  terminal :1 :2 :3 :4 :5 contact\n}\n"
    edges = [edge.nodes for edge in made(text).edges]
    assert edges == [("-A1:1", "-A1:2"), ("-A1:3", "-A1:4")]


def test_a_mechanical_interlock_holds_for_each_two_and_an_electrical_for_none() -> None:
    devices = relay(1) + relay(2) + relay(3)
    pairs = made(devices + "interlock -K1 -K2 -K3 mechanical\n").interlocked
    assert [(one.device, other.device) for one, other in pairs] == [("-K1", "-K2"), ("-K1", "-K3"), ("-K2", "-K3")]
    assert made(devices + "interlock -K1 -K2 -K3 electrical\n").interlocked == ()


def test_what_is_interlocked_does_not_pull_whichever_came_first() -> None:
    circuit = made(relay(1) + relay(2) + "interlock -K1 -K2 mechanical\n")
    for first, second in (("-K1", "-K2"), ("-K2", "-K1")):
        simulation = Simulation(circuit)
        coil = {mover.device: mover for mover, movement in circuit.movements.items() if movement.cause is Cause.COIL}
        simulation.assign({coil[first]: True})
        assert simulation.settle() == []
        assert simulation.wants(coil[second]) and not simulation.state[coil[second]]


def test_what_wants_to_move_moves_in_order_of_the_plant() -> None:
    simulation = Simulation(made(relay(2) + relay(3) + relay(1)))
    assert [moved.mover.device for moved in simulation.settle()] == ["-K2", "-K3", "-K1"]


@each_of(("cut", "told"), [("", False), ("wire -K1:A2", True), ("wire -X1:1", True)])
def test_a_coil_with_a_loose_end_is_told(cut: str, told: bool) -> None:
    text = "\n".join(line for line in relay(1).splitlines() if not cut or not line.startswith(cut)) + "\n"
    assert ["-K1"] * told == [each.device for each in made(text).unjudged]


def test_a_contact_by_the_coil_of_a_device_with_two_is_moved_by_neither() -> None:
    text = "part two {\n  kind = relay\n  terminal :A1 :A2 :B1 :B2 coil\n  terminal :1 :2 contact\n"
    text += "  coil :A1 to :A2 pull voltage=24V dc power=1W\n  coil :B1 to :B2 drop voltage=24V dc power=1W\n"
    text += "  contact :1 to :2 make by=coil\n}\ndevice -K1 two at=+BOX\nwire -X1:1 to -K1:A1\n"
    circuit = made(text)
    (edge,) = (edge for edge in circuit.edges if edge.device == "-K1")
    assert [circuit.movements[mover].cause for mover in edge.closed.movers] == [Cause.FREE]
