"""Which poles can meet: the examples are proved sound, and each way to make them unsound gives a sequence one can follow."""

from __future__ import annotations

from pathlib import Path

import pytest

from netdsl.states import Answer, Joins, Prover, Verdict, circuit_of
from netdsl.states.channels import SafetyRelays
from netdsl.states.told import movements, operations, way_words
from tests.cases import each_of
from tests.readings import PLANTS
from tests.readings import network_of as example_network
from tests.states.changed_examples import changed
from tests.states.drawn_circuits import network_of

MECHANICAL = ("  interlock $output $bypass mechanical\n", "")
#: the break contact of the bypass contactor in the coil circuit of the output contactor, bridged
BRIDGED = ("wire $running:14  to $bypass:21\n", "wire $running:14 to $output:A1\n")
WITHOUT = ("  wire $bypass:22   to $output:A1\n", "")


def verdicts(example: str, *changes: tuple[str, str]) -> list[Verdict]:
    joins = Joins(Prover(circuit_of(changed(example, *changes))))
    return [joins.verdict(question) for question in joins.questions()]


def told(example: str, *changes: tuple[str, str]) -> tuple[Verdict, list[str]]:
    """The one verdict about an example, and its sequence in words."""
    circuit = circuit_of(changed(example, *changes))
    joins = Joins(Prover(circuit))
    (question,) = joins.questions()
    verdict = joins.verdict(question)
    stages = [f"{operations(circuit, s.given)}: {movements(circuit, s.moved)}" for s in verdict.stages]
    return verdict, stages


@each_of("plant", PLANTS)
def test_no_poles_of_an_example_ever_meet(plant: Path) -> None:
    joins = Joins(Prover(circuit_of(example_network(plant))))
    asked = joins.questions()
    ways = ("mains-bypass", "alternating-pumps", "reversing", "star-delta", "valve-actuator", "booster")
    assert bool(asked) is (plant.parent.name in ways)
    assert all(joins.verdict(question).answer is Answer.NEVER for question in asked)


def test_a_bypass_without_mechanical_interlock_meets_the_drive_in_the_moment_of_changing_over() -> None:
    verdict, stages = told("mains-bypass", MECHANICAL)
    assert verdict.in_a_moment
    assert stages == [
        "11-14 of `=OB1-B2` closes (pressure) and turn `=OB1-S1` to hand: ",
        "delayed contact 15-18 of `=OB1-K4` closes: `=OB1-K2` pulls",
        "turn `=OB1-S1` to auto: `=OB1-K2` drops, `=OB1-K1` pulls",
    ]
    assert verdict.poles is not None
    assert (
        way_words(verdict.poles[0].potential.id, verdict.way, verdict.poles[1].potential.id)
        == "=OB1-T1:U > =OB1-K1:1-2 > =OB1-B1:2-1 > =OB1-K2:2-1 > =OB1-Q2:2-1 > -Q0:2-1 > -G0:L1"
    )


def test_a_bypass_held_by_its_mechanical_interlock_alone_is_sound() -> None:
    (verdict,) = verdicts("mains-bypass", BRIDGED, WITHOUT)
    assert verdict.answer is Answer.NEVER


def test_a_bypass_without_any_interlock_puts_the_mains_on_the_drive() -> None:
    verdict, stages = told("mains-bypass", MECHANICAL, BRIDGED, WITHOUT)
    assert verdict.answer is Answer.REACHED and not verdict.in_a_moment
    assert stages[-1] == "turn `=OB1-S1` to auto: `=OB1-K1` pulls"


def test_forward_and_reverse_need_both_interlocks_gone() -> None:
    mechanical = ("  interlock $forward $reverse mechanical\n", "")
    crossed = (
        ("wire $forward:14       to $reverse:21\n", "wire $forward:14 to $forward:A1\n"),
        ("  wire $reverse:22       to $forward:A1\n", ""),
        ("wire $reverse:14       to $forward:21\n", "wire $reverse:14 to $reverse:A1\n"),
        ("  wire $forward:22       to $reverse:A1\n", ""),
    )
    assert verdicts("reversing", mechanical)[0].answer is Answer.NEVER
    assert verdicts("reversing", *crossed)[0].answer is Answer.NEVER
    verdict, stages = told("reversing", mechanical, *crossed)
    assert verdict.answer is Answer.REACHED and not verdict.in_a_moment
    assert len(stages) == 1


def test_star_and_delta_follow_each_other_at_once_without_a_mechanical_interlock() -> None:
    verdict, stages = told("star-delta", ("  interlock $delta $star mechanical\n", ""))
    assert verdict.in_a_moment
    assert stages[-1] == "delayed contact 15-18 of `=WP1-K4` closes: `=WP1-K3` drops, `=WP1-K2` pulls"


def test_a_star_delta_timer_lets_a_pause_pass_by() -> None:
    timer = (
        ("timer-on-delay", "timer-star-delta"),
        ("  interlock $delta $star mechanical\n", ""),
        ("to $timer:A1 to $timer:15 to", "to $timer:A1 to $timer:17 to"),
        ("wire $timer:16    to", "wire $timer:18 to"),
        ("wire $timer:18    to", "wire $timer:28 to"),
    )
    assert verdicts("star-delta", *timer)[0].answer is Answer.NEVER


def test_alternating_pumps_are_sound_by_contacts_alone_and_told_so_only_when_relays_come_to_rest() -> None:
    (verdict,) = verdicts("alternating-pumps", ("  interlock $contactor $mains mechanical\n", ""))
    assert verdict.answer is Answer.NEVER


def test_a_search_given_up_is_not_a_proof() -> None:
    joins = Joins(Prover(circuit_of(changed("alternating-pumps")), questions=3))
    (question,) = joins.questions()
    verdict = joins.verdict(question)
    assert verdict.answer is Answer.NOT_PROVED
    assert "limit" in verdict.reason


def test_a_coil_without_its_second_end_is_not_judged() -> None:
    assert circuit_of(changed("mains-bypass")).unjudged == ()
    loose = circuit_of(changed("mains-bypass", ("wire $timer:18    to $bypass:A1\n", "wire $timer:18    to $timer:16\n")))
    (only,) = loose.unjudged
    assert only.device == "=OB1-K2" and "not connected" in only.reason


@pytest.mark.parametrize(
    ("changes", "whys"),
    [
        ((), []),
        (
            (("wire $relay:S21 to $button:21  along=$door-way\n", "wire $relay:S21 to $button:22  along=$door-way\n"),),
            ["`=GC1-S5` does not open channel `=GC1-K1:S21` to `=GC1-K1:S22` of `=GC1-K1`"],
        ),
    ],
)
def test_channels_of_a_safety_relay_open_at_the_same_stops(changes: tuple[tuple[str, str], ...], whys: list[str]) -> None:
    relays = SafetyRelays(Prover(circuit_of(changed("emergency-stop", *changes))))
    assert [single.why for single in relays.singles()] == whys


PEN = """netdsl 1
place +MCP "Panel" kind=cabinet
supply -G0 "Supply" system=TN-C voltage=400V frequency=50Hz fault-current=6kA earth-fault-current=3kA
device -XE1 earth-bar at=+MCP ways=9
device -K1 contactor-9a-230v at=+MCP
device -K2 contactor-9a-230v at=+MCP
device -S1 push-button at=+MCP
device -S2 push-button at=+MCP
wire -G0:PEN to -XE1:1 10mm2 GNYE
wire -G0:L1,L2,L3 to -K1:1,3,5 to -K2:1,3,5 1.5mm2 BK
wire -K1:2,4,6 to -K2:6,4,2 1.5mm2 BK
wire -G0:L1 to -S1:13 to -S2:13 1.5mm2 BK
wire -S1:14 to -K1:A1 1.5mm2 BK
wire -S2:14 to -K2:A1 1.5mm2 BK
wire -XE1:2 to -K1:A2 to -K2:A2 1.5mm2 BU
"""


def test_coils_that_return_to_a_pen_conductor_are_energised() -> None:
    joins = Joins(Prover(circuit_of(network_of(PEN))))
    (verdict,) = map(joins.verdict, joins.questions())
    assert verdict.answer is Answer.REACHED and joins.meetings() == ()


def test_a_phase_that_a_button_joins_to_a_pen_conductor_is_a_short_circuit() -> None:
    joins = Joins(Prover(circuit_of(network_of(PEN.replace("wire -S1:14 to -K1:A1", "wire -S1:14 to -XE1:3")))))
    found = [verdict.poles for verdict in map(joins.verdict, joins.questions()) if verdict.answer is Answer.REACHED]
    assert [tuple(pole.potential.id for pole in poles or ()) for poles in found] == [("-G0:L1", "-G0:PEN")]
    assert joins.meetings() == ()


def on_a_bus(contactors: int) -> str:
    """A motor on a bus that contactors lead to from a drive and from the mains: a selector says which, by way of two timers."""
    half = contactors // 2
    lines = [
        'netdsl 1\nplace +BOX "Box" kind=cabinet',
        'supply -G0 "Mains" system=TN-S voltage=400V frequency=50Hz fault-current=6kA earth-fault-current=3kA',
        'supply -G1 "Control" system=DC voltage=24V',
        "device -T1 vsd-1.1kw at=+BOX\ndevice -M1 motor at=+BOX\ndevice -S0 selector-3 at=+BOX",
        "device -K98 timer-on-delay at=+BOX\ndevice -K99 timer-on-delay at=+BOX",
        "wire -G1:+ to -S0:13 to -S0:23 1mm2\nwire -S0:14 to -K98:A1 to -K98:15 1mm2\nwire -S0:24 to -K99:A1 to -K99:15 1mm2",
        "wire -G1:- to -K98:A2 to -K99:A2 1mm2",
    ]
    for number in range(1, contactors + 1):
        source, timer = ("-T1:U,V,W", "-K98") if number <= half else ("-G0:L1,L2,L3", "-K99")
        lines.append(f"device -K{number} contactor-9a at=+BOX\ndevice -S{number} push-button at=+BOX")
        lines.append(f"wire {source} to -K{number}:1,3,5 2.5mm2\nwire -K{number}:2,4,6 to -M1:U1,V1,W1 2.5mm2")
        lines.append(f"wire {timer}:18 to -S{number}:13 1mm2\nwire -S{number}:14 to -K{number}:A1 1mm2")
        lines.append(f"wire -G1:- to -K{number}:A2 1mm2")
    return "\n".join(lines) + "\n"


def test_sixty_contactors_on_one_bus_that_timers_alone_keep_apart_are_proved_apart() -> None:
    joins = Joins(Prover(circuit_of(network_of(on_a_bus(60)))))
    assert [verdict.answer for verdict in map(joins.verdict, joins.questions())] == [Answer.NEVER]


def test_of_contactors_on_one_bus_the_one_past_its_timer_is_told() -> None:
    past = on_a_bus(6).replace("wire -K99:18 to -S4:13 ", "wire -G1:+ to -S4:13 ")
    joins = Joins(Prover(circuit_of(network_of(past))))
    (verdict,) = map(joins.verdict, joins.questions())
    assert verdict.answer is Answer.REACHED
    assert "-K4" in {edge.device for edge, _ in verdict.way}
