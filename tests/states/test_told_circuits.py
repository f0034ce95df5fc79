"""What circuits do, held to the letter in `golden/`: what moves, what is proved, what is to be tried at the bench.

`python -m tests.states.test_told_circuits` writes them anew. What is meant to change shows there, as the lines that moved.
"""

from __future__ import annotations

import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

from netdsl.cli.states_text import proof_lines, table_lines
from netdsl.network.types import Network
from netdsl.states import Circuit, Prover, Simulation, circuit_of
from netdsl.states.bench import bench_test
from netdsl.states.channels import SafetyRelays
from netdsl.states.explained import explained
from netdsl.states.holding import free, pressed, unsteady
from netdsl.states.infeeds import line_starts
from netdsl.states.outputs import Outputs
from netdsl.states.prover import Outcome
from netdsl.states.restarts import restarts
from netdsl.states.stops import Stops
from netdsl.states.told import load_words, movements, operations, stages
from netdsl.states.types import Cause, Closed, Mover
from tests.readings import EXAMPLES, network_of

FOLDER = Path(__file__).parent / "golden"
SOUND = ("alternating-pumps", "direct-on-line", "emergency-stop", "fixed-lead-pumps", "mains-bypass", "reversing", "star-delta")
FAULTY = (
    "coil-unsteady",
    "interlock-claimed",
    "interlock-missing",
    "line-used-as-start",
    "output-backfed",
    "output-switched",
    "restart-unexpected",
    "safety-single-channel",
    "stop-circuit",
    "switching-short",
)


def of_circuit(network: Network) -> Iterator[str]:
    """Everything that is known of a circuit, line by line."""
    circuit = circuit_of(network)
    yield from _made(circuit)
    yield from _at_rest(circuit)
    prover = Prover(circuit)
    yield from proof_lines(circuit)
    yield from _asked(prover)
    yield from table_lines(circuit, [("", bench_test(circuit))])


def _made(circuit: Circuit) -> Iterator[str]:
    yield f"{circuit.points} points"
    for pole in circuit.poles:
        fed_by = circuit.fed_by.get(pole.group)
        yield f"pole {pole.potential.id} of {pole.group} at {pole.point}, fed by {fed_by}"
    for movement in circuit.movements.values():
        follows = f", follows {_mover(movement.follows)} {movement.slow}" if movement.follows else ""
        yield f"moves {_mover(movement.mover)}: {movement.cause}{', on at rest' if movement.rest else ''}{follows}"
    for edge in circuit.edges:
        yield f"way {edge.device} {edge.nodes[0]} ({edge.a}) to {edge.nodes[1]} ({edge.b}) {_closed(edge.closed)}"
    for load in circuit.loads:
        yield f"{load.kind} {load_words(circuit, load)}: {load.nodes[0]} ({load.a}) to {load.nodes[1]} ({load.b})"
    for device, positions in circuit.selectors.items():
        yield f"selector {device}: {', '.join(mover.word for mover in positions)}"
    yield from (f"interlocked {_mover(one)} and {_mover(other)}" for one, other in circuit.interlocked)
    yield from (f"exclusive {', '.join(map(_mover, group))}" for group in circuit.exclusive)
    yield from (f"early {_mover(contact)} before {_mover(handle)}" for contact, handle in circuit.early.items())
    for relay, channels in circuit.releases.items():
        for channel in channels:
            ends = f"{channel.nodes[0]} ({channel.feed}) to {channel.nodes[1]} ({channel.back})"
            yield f"channel of {_mover(relay)}: {ends}{', reset' if channel.reset else ''}"
    yield from (f"root {point}: {', '.join(pole.potential.id for pole in poles)}" for point, poles in circuit.roots.items())
    yield from (f"unjudged {each.device}: {each.reason}" for each in circuit.unjudged)


def _at_rest(circuit: Circuit) -> Iterator[str]:
    simulation = Simulation(circuit)
    moved = simulation.settle()
    yield f"rest: {', '.join(f'{_mover(mover)} {on}' for mover, on in moved)}"
    for load in circuit.loads:
        why = explained(simulation.joined, load)
        yield f"{load_words(circuit, load)}: {why.way if why.fed else f'open {why.open}, dead {why.dead!r}'}"
    for mover, movement in circuit.movements.items():
        if movement.cause in (Cause.FREE, Cause.POSITION):
            yield from _played(simulation, mover)


def _played(simulation: Simulation, mover: Mover) -> Iterator[str]:
    """What follows when something is moved and, after a time, moved back, from where the one before left all."""
    for on in (not simulation.state[mover], simulation.state[mover]):
        moved = [*simulation.operate(mover, on), *simulation.wait()]
        words = "; ".join((operations(simulation.circuit, [(mover, on)]), movements(simulation.circuit, moved)))
        yield f"played {_mover(mover)} {on}: {words}"


def _asked(prover: Prover) -> Iterator[str]:
    circuit, relays, stops = prover.circuit, SafetyRelays(prover), Stops(prover)
    for single in relays.singles():
        yield f"single at {single.at}: {single.why}; {single.subjects}, {single.joined}"
    yield from (f"unheard {each.contactor} by {each.relay}" for each in relays.unheard())
    for stop in stops.stops():
        pulling = ", by pulling" if stop.by_pulling else ""
        yield f"stop {_mover(stop.mover)} of {stop.target}{pulling}: {_outcome(circuit, stop.outcome)}"
    yield from (f"idle {_mover(mover)}: {why!r}" for mover, why in stops.idle())
    for restart in restarts(prover):
        yield f"restart of {restart.target} after {_mover(restart.mover)}: {_outcome(circuit, restart.outcome)}"
    for switching in Outputs(prover).switchings():
        by = f"{_mover(switching.mover)}{' by hand' if switching.manual else ''}"
        yield f"output of {switching.drive} switched by {by}: {_outcome(circuit, switching.outcome)}"
    yield from (f"held {_mover(coil)} while {button} is pressed" for coil, button in pressed(prover))
    yield from (f"unsteady {_mover(coil)}" for coil in unsteady(prover))
    for interlock in circuit.network.plant.interlocks:
        for found in free(prover, tuple(interlock.devices)):
            led = ", led through" if found.led_through else ""
            yield f"free {_mover(found.coil)} against {_mover(found.other)}{led}"
    yield from (f"{each.drive} starts with {each.contactor} by {each.command}" for each in line_starts(prover))


def _mover(mover: Mover) -> str:
    return f"{mover.device} {mover.word}"


def _closed(closed: Closed) -> str:
    movers = " or ".join(map(_mover, closed.movers)) or "nothing"
    return f"{'closed' if closed.on else 'open'} with {movers}"


def _outcome(circuit: Circuit, outcome: Outcome) -> str:
    way = f", {stages(circuit, outcome.trace.stages)}" if outcome.trace else ""
    return f"{outcome.answer}{way}{f', {outcome.reason}' if outcome.reason else ''}"


def _plant(name: str) -> Path:
    return EXAMPLES / ("" if name in SOUND else "faults") / name / "plant.netdsl"


@pytest.mark.parametrize("name", (*SOUND, *FAULTY))
def test_a_circuit_does_what_it_did(name: str) -> None:
    remedy = "look at what moved, then run python -m tests.states.test_told_circuits"
    assert list(of_circuit(network_of(_plant(name)))) == (FOLDER / f"{name}.txt").read_text("utf-8").splitlines(), remedy


if __name__ == "__main__":
    FOLDER.mkdir(exist_ok=True)
    for each in (*SOUND, *FAULTY):
        (FOLDER / f"{each}.txt").write_text("".join(f"{line}\n" for line in of_circuit(network_of(_plant(each)))), "utf-8")
        sys.stdout.write(f"{FOLDER / each}.txt\n")
