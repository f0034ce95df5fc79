"""Circuits at the limits of what is judged: the shorter of several ways, relays of one channel, lone sources."""

from __future__ import annotations

import pytest

from netdsl.states import Answer, Joins, Prover, circuit_of
from netdsl.states.channels import SafetyRelays
from netdsl.states.explained import explained
from netdsl.states.simulation import WAITS
from netdsl.states.targets import told_to_run
from netdsl.states.told import operations, way_words
from netdsl.states.types import Mover
from tests.cases import each_of
from tests.readings import EXAMPLES
from tests.readings import network_of as example_network
from tests.states.drawn_circuits import network_of
from tests.states.test_simulation import HEAD, on, played


def test_of_phases_that_meet_the_one_with_the_shortest_way_is_told() -> None:
    """The overload relay lies in the first phase alone: the second comes to the mains with one device less."""
    text = (EXAMPLES / "faults" / "output-backfed" / "plant.netdsl").read_text("utf-8")
    whole = "wire -Q2:2,4,6     to -B1:1,3,5\nwire -B1:2,4,6     to -K2:1,3,5\n"
    assert whole in text
    joins = Joins(
        Prover(circuit_of(network_of(text.replace(whole, "wire -Q2:2 to -B1:1\nwire -B1:2 to -K2:1\nwire -Q2:4,6 to -K2:3,5\n"))))
    )
    (question,) = joins.questions()
    assert [(one.potential.id, other.potential.id) for _, one, other in question.pairs] == [
        ("-T1:U", "-G0:L1"),
        ("-T1:V", "-G0:L2"),
        ("-T1:W", "-G0:L3"),
    ]
    verdict = joins.verdict(question)
    assert verdict.answer is Answer.REACHED and verdict.poles is not None
    assert [pole.potential.id for pole in verdict.poles] == ["-T1:V", "-G0:L2"]
    assert way_words("-T1:V", verdict.way, "-G0:L2") == "-T1:V > -K1:3-4 > -K2:4-3 > -Q2:4-3 > -Q0:4-3 > -G0:L2"


RELAY = """part guard {{
  kind = safety-relay   letter = K
  terminal :A1 supply-in common=:A2
  terminal :A2 supply-common
{channels}
  terminal :13 :14 contact
  load :A1 to :A2 voltage=24V dc power=3W
  contact :13 to :14 make by=release
}}
device -K1 guard at=+BOX
device -S1 push-button at=+BOX
device -H1 lamp at=+BOX
wire -X1:1 to -K1:A1
wire -K1:A2 to -G1:-
wire -X1:1 to -K1:13
wire -K1:14 to -H1:X1
wire -H1:X2 to -G1:-
{wires}
"""
CHANNEL = "  terminal :S11 safety-out function=channel-1-feed\n  terminal :S12 safety-in function=channel-1-return"
SECOND = "  terminal :S21 safety-out function=channel-2-feed\n  terminal :S22 safety-in function=channel-2-return"
RESET = "  terminal :S33 safety-out function=reset-feed\n  terminal :S34 safety-in function=reset-return"
SAID_NOTHING = "its part does not say which terminals are its channels and its reset"


@each_of(
    ("channels", "judged"),
    [
        ((CHANNEL,), False),
        ((RESET,), False),
        ((CHANNEL, SECOND), False),
        ((CHANNEL, RESET), True),
        ((CHANNEL, SECOND, RESET), True),
    ],
)
def test_a_safety_relay_is_followed_with_one_channel_and_a_reset_and_no_less(channels: tuple[str, ...], judged: bool) -> None:
    looped = {CHANNEL: "wire -K1:S11 to -K1:S12", SECOND: "wire -K1:S21 to -K1:S22"}
    wires = [looped[channel] for channel in channels if channel in looped]
    wires += ["wire -K1:S33 to -S1:13", "wire -S1:14 to -K1:S34"] if RESET in channels else []
    text = HEAD + RELAY.format(channels="\n".join(channels), wires="\n".join(wires))
    circuit = circuit_of(network_of(text))
    assert [(each.device, each.reason) for each in circuit.unjudged] == ([] if judged else [("-K1", SAID_NOTHING)])
    kept = [(channel.nodes, channel.reset) for found in circuit.releases.values() for channel in found]
    names = [("-K1:S11", "-K1:S12"), ("-K1:S21", "-K1:S22"), ("-K1:S33", "-K1:S34")]
    assert kept == ([(nodes, nodes == names[2]) for nodes in names if judged and (len(channels) == 3 or nodes != names[1])])
    if judged:
        assert on(played(text)) == {"-K1"}
        assert on(played(text, "-S1=push")) == {"-K1", "-H1"}
        assert on(played(text, "-S1=push", "-G1:voltage=off", "-G1:voltage=on")) == {"-K1"}


OUTPUTS = """part outputs {
  kind = controller
  terminal :1 :2 digital-out
}
device -A1 outputs at=+BOX
device -H1 lamp at=+BOX
wire -A1:1 to -H1:X1
wire -H1:X2 to -G1:-
"""


def test_an_output_without_a_supply_of_its_own_is_fed_by_the_only_source_and_by_none_of_two() -> None:
    alone = circuit_of(network_of(HEAD + OUTPUTS))
    assert [edge.nodes for edge in alone.edges] == [("-A1:1", "-G1:+")]
    assert alone.unjudged == ()
    second = "supply -G2 system=DC voltage=24V\nwire -G2:+ to -X1:9\n"
    two = circuit_of(network_of(HEAD + second + OUTPUTS))
    assert two.edges == ()
    assert [(each.device, each.reason) for each in two.unjudged] == [
        ("-A1", "nothing says from which source its outputs are fed")
    ]


def test_a_coil_wired_at_one_end_is_said_to_be_never_pulled() -> None:
    text = HEAD + "device -K1 relay-1co at=+BOX\nwire -X1:1 to -K1:A1\nwire -X1:2 to -K1:11\n"
    circuit = circuit_of(network_of(text))
    reason = "its coil is not connected at both ends: it is taken as never pulled"
    assert [(each.device, each.reason) for each in circuit.unjudged] == [("-K1", reason)]
    assert circuit_of(network_of(text + "wire -K1:A2 to -G1:-\n")).unjudged == ()


def test_turning_a_selector_is_told_by_where_it_is_turned_to() -> None:
    text = HEAD + "device -S1 selector-3 at=+BOX\nwire -X1:1 to -S1:13 to -S1:23\n"
    circuit = circuit_of(network_of(text))
    hand, auto = Mover("-S1", "at hand"), Mover("-S1", "at auto")
    assert operations(circuit, [(hand, False), (auto, True)]) == "turn `-S1` to auto"
    assert operations(circuit, [(hand, False)]) == "turn `-S1` away from hand"
    assert operations(circuit, [(auto, True), (Mover("-G1", "voltage"), False)]) == (
        "turn `-S1` to auto and the voltage of `-G1` fails"
    )


def test_of_what_lies_in_both_channels_three_are_named_and_all_are_subjects() -> None:
    """The loops of both channels are one chain of contacts: fed from one terminal, and heard at both."""
    channels = f"{CHANNEL}\n{SECOND}\n{RESET}"
    stops = [f"device -S{number} emergency-stop at=+BOX" for number in range(2, 6)]
    chain = ["wire -K1:S21 to -K1:S11 to -S2:11", *(f"wire -S{number}:12 to -S{number + 1}:11" for number in range(2, 5))]
    loops = ["wire -S5:12 to -K1:S12 to -K1:S22", "wire -K1:S33 to -S1:13", "wire -S1:14 to -K1:S34"]
    text = HEAD + RELAY.format(channels=channels, wires="\n".join((*stops, *chain, *loops)))
    found = SafetyRelays(Prover(circuit_of(network_of(text)))).singles()
    assert [(each.at, each.why, each.subjects, each.joined) for each in found] == [
        (
            "-K1",
            "both channels of `-K1` are joined: a contact of `-S2`, `-S3`, `-S4` or a wire lies in both",
            ("-K1", "-S2", "-S3", "-S4", "-S5"),
            ("-K1:S11", "-K1:S21"),
        )
    ]


def test_a_wait_lets_one_delay_after_the_other_go_by_and_ends_where_that_never_does() -> None:
    text = HEAD + "".join(f"device -K{number} timer-on-delay at=+BOX\n" for number in (1, 2, 3))
    text += "device -S1 selector-2 at=+BOX\nwire -X1:1 to -S1:13\nwire -S1:14 to -K1:A1\n"
    text += "".join(f"wire -X1:1 to -K{number}:15\nwire -K{number}:A2 to -G1:-\n" for number in (1, 2, 3))
    text += "wire -K1:18 to -K2:A1\nwire -K2:18 to -K3:A1\n"
    simulation = played(text, "-S1=on")
    assert [(moved.mover.device, moved.mover.word, moved.on) for moved in simulation.wait()] == [
        ("-K1", "15-18", True),
        ("-K2", "coil", True),
        ("-K2", "15-18", True),
        ("-K3", "coil", True),
        ("-K3", "15-18", True),
    ]
    assert simulation.wait() == []
    flashing = HEAD + "device -K1 timer-on-delay at=+BOX\nwire -X1:1 to -K1:15\nwire -K1:16 to -K1:A1\nwire -K1:A2 to -G1:-\n"
    moves = [(moved.mover.word, moved.on) for moved in played(flashing).wait()]
    assert moves[:4] == [("15-18", True), ("coil", False), ("15-18", False), ("coil", True)]
    assert len(moves) == 4 * WAITS


TWO_SOURCES = """supply -G2 system=DC voltage=24V
device -S1 push-button at=+BOX
device -S2 push-button at=+BOX
device -S3 push-button at=+BOX
device -S4 push-button at=+BOX
device -H1 lamp at=+BOX
wire {0}:+ to -S1:13
wire -S1:14 to -H1:X1
wire {1}:+ to -S2:13
wire -S2:14 to -S3:13
wire -S3:14 to -H1:X1
wire -H1:X2 to {0}:-
wire -H1:X2 to -S4:13
wire -S4:14 to {1}:-
"""


@pytest.mark.parametrize(("near", "far"), [("-G1", "-G2"), ("-G2", "-G1")])
def test_of_two_sources_the_one_is_told_that_fewer_contacts_keep_away(near: str, far: str) -> None:
    text = HEAD + TWO_SOURCES.format(near, far)

    def off(*operations: str) -> tuple[tuple[str, ...], str]:
        simulation = played(text, *operations)
        (lamp,) = simulation.circuit.loads
        why = explained(simulation.joined, lamp)
        assert not why.fed and why.way == ""
        return why.open, why.dead

    assert off() == (("-S1:13-14",), "")
    assert off(f"{far}:voltage=off") == (("-S1:13-14",), "")
    assert off(f"{near}:voltage=off") == (("-S1:13-14",), near)
    assert off(f"{near}:voltage=off", "-S2=on", "-S4=on") == (("-S3:13-14",), "")
    assert off(f"{near}:voltage=off", "-S1=on") == ((), near)


def test_a_button_between_both_poles_of_a_source_is_asked_about_and_one_between_like_poles_is_not() -> None:
    text = HEAD + "device -S1 push-button at=+BOX\nwire -X1:1 to -S1:13\nwire -S1:14 to END\n"
    (question,) = Joins(Prover(circuit_of(network_of(text.replace("END", "-G1:-"))))).questions()
    assert (question.drive, question.foreign, question.devices) == ("", False, ("-S1",))
    assert [(one.potential.id, other.potential.id) for _, one, other in question.pairs] == [("-G1:+", "-G1:-")]
    assert Joins(Prover(circuit_of(network_of(text.replace("END", "-X1:9"))))).questions() == ()


@each_of(("example", "read"), [("three-wire-start", ("stop",)), ("two-wire-start", ("enable", "start"))])
def test_a_drive_with_a_stop_is_told_to_run_by_that_and_else_by_its_start(example: str, read: tuple[str, ...]) -> None:
    prover = Prover(circuit_of(example_network(EXAMPLES / example / "plant.netdsl")))
    (drive,) = (device for device in prover.circuit.network.plant.devices.values() if device.kind == "drive")
    told = told_to_run(prover, drive)
    fed = {}
    for load in prover.circuit.loads:
        if load.device == drive.id and load.kind == "input":
            fed |= dict.fromkeys(drive.terminals[load.name].functions, prover.wants.fed(load))
    assert "start" in fed and told is not None and told == prover.variables.formulas.all(fed[function] for function in read)
