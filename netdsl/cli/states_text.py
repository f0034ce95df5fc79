"""States, sequences and the bench test as text for a person."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from netdsl.calc.sheet import CAUTIONS
from netdsl.cli.excerpt import cells
from netdsl.states import told
from netdsl.states.bench import BenchTest
from netdsl.states.explained import explained
from netdsl.states.operating import Operation, play
from netdsl.states.simulation import Moved, Simulation
from netdsl.states.types import Circuit, Load

#: what every output of the command says first
ABOUT = "Follows the text, not what is built: contacts and wires are taken as sound, times as long enough. No proof of safety."
_KINDS = (("coil", "Coils"), ("input", "Inputs"), ("load", "Lamps and other loads"))


def state_lines(simulation: Simulation, operations: Sequence[Operation]) -> Iterator[str]:
    """What gets voltage after the operations, and why."""
    yield from _head(simulation.circuit)
    simulation.settle()
    for operation in operations:
        play(simulation, operation)
    yield from _state(simulation)


def sequence_lines(simulation: Simulation, operations: Sequence[Operation]) -> Iterator[str]:
    """What moves upon each operation, then the state at the end."""
    circuit = simulation.circuit
    yield from _head(circuit)
    yield ""
    moved = simulation.settle()
    yield f"  rest: {_moves(circuit, moved)}"
    for number, operation in enumerate(operations, 1):
        moved = play(simulation, operation)
        yield _plain(f"{number:>3}. {operation.text}: {_moves(circuit, moved)}")
    yield from _state(simulation)


def _head(circuit: Circuit) -> Iterator[str]:
    yield _plain(f"States of {circuit.network.plant.project.title or 'the plant'}")
    yield ABOUT
    yield from CAUTIONS


def _moves(circuit: Circuit, moved: Sequence[Moved]) -> str:
    return _bare(told.movements(circuit, moved)) or "nothing moves"


def _state(simulation: Simulation) -> Iterator[str]:
    circuit = simulation.circuit
    for mover in simulation.restless:
        yield _plain(f"{mover.device} does not come to rest: it pulls and drops without end, what follows is one moment of it")
    for kind, title in _KINDS:
        loads = [load for load in circuit.loads if load.kind == kind]
        if loads:
            yield ""
            yield f"== {title} =="
        for load in sorted(loads, key=lambda load: simulation.joined.fed(load) is None):
            yield from map(_plain, _load_lines(simulation, load))
    yield from _motor_lines(simulation)
    if circuit.unjudged:
        yield ""
        yield "== Not followed =="
        for unjudged in circuit.unjudged:
            yield _plain(f"{unjudged.device}: {unjudged.reason}")


def _load_lines(simulation: Simulation, load: Load) -> Iterator[str]:
    why = explained(simulation.joined, load)
    title = simulation.circuit.network.plant.devices[load.device].title
    name = told.load_words(simulation.circuit, load) + (f' "{title}"' if title else "")
    if why.fed:
        yield f"{name}: on"
        yield f"    {why.way}"
        return
    reasons = [f"open: {', '.join(why.open)}"] if why.open else []
    reasons += [f"{why.dead} gives no voltage"] if why.dead else []
    yield f"{name}: off, {' and '.join(reasons) or 'no way to two poles of one source'}"


def _motor_lines(simulation: Simulation) -> Iterator[str]:
    """What stands at the terminals of each motor; whether a drive gives out is for its inputs to say."""
    circuit = simulation.circuit
    motors = [device for device in circuit.network.plant.devices.values() if device.kind == "motor"]
    if motors:
        yield ""
        yield "== Motors =="
    for motor in motors:
        found: dict[str, None] = {}
        for terminal in motor.terminals.values():
            node = f"{motor.id}:{terminal.name}"
            if terminal.role in ("winding", "line-in") and node in circuit.network.net_of:
                for pole in simulation.joined.poles_at(circuit.node_point(node)):
                    word = "the output of" if pole.potential.kind == "pwm" else "the voltage of"
                    live = pole.potential.kind == "pwm" or pole.group in simulation.joined.live
                    if live:
                        found[f"{word} {pole.potential.device}"] = None
        yield _plain(f"{motor.id}: {' and '.join(found) if found else 'nothing at its terminals'}")


def proof_lines(circuit: Circuit) -> Iterator[str]:
    """For each two poles that something could join: never, and by what; or the shortest way there."""
    from netdsl.states.barriers import barrier
    from netdsl.states.joins import Joins
    from netdsl.states.prover import Answer, Prover

    yield from _head(circuit)
    yield "A proof holds for what the text says, from rest on. Contacts that stick and wires that break are left out."
    prover = Prover(circuit)
    joins = Joins(prover)
    asked = joins.questions()
    yield ""
    yield "== Poles that switching could join ==" if asked else "Nothing that moves lies between two poles that must not meet."
    for question in asked:
        verdict = joins.verdict(question)
        pairs = ", ".join(f"{one.potential.id} and {other.potential.id}" for _, one, other in question.pairs)
        yield _plain(f"{pairs}:")
        if verdict.answer is Answer.NEVER:
            yield _plain(_bare(f"    never: {barrier(joins, question)}"))
        elif verdict.poles is not None:
            one, other = (pole.potential.id for pole in verdict.poles)
            yield _plain(_bare(f"    joined: {told.joining(circuit, verdict)}"))
            yield _plain(f"    {told.way_words(one, verdict.way, other)}")
        else:
            yield _plain(_bare(f"    not proved: {verdict.reason}"))


def table_lines(circuit: Circuit, tests: Sequence[tuple[str, BenchTest]]) -> Iterator[str]:
    """The functional test as a table to print and tick: the only one of `tests`, or one after the other, by function."""
    yield _plain(f"Functional test of {circuit.network.plant.project.title or 'the plant'}")
    yield ABOUT
    yield from CAUTIONS
    number = 0
    for function, test in tests:
        yield ""
        if len(tests) > 1:
            yield _plain(f"{function or 'Common part'}: what changes here")
        yield from _test_lines(test, number)
        number += len(test.rows)
    for unjudged in circuit.unjudged:
        yield _plain(f"Not followed: {unjudged.device}: {unjudged.reason}")


def _bare(text: str) -> str:
    """Without the quotes that findings put round names."""
    return text.replace("`", "")


def _plain(text: str) -> str:
    """`text` without anything that would act on a terminal: it may quote the plant's text."""
    return cells(text)[0]


def _test_lines(test: BenchTest, first: int) -> Iterator[str]:
    """The rows of one test, its steps numbered from `first` on."""
    rows = [("step", "operate", "expect", "done"), ("----", "-------", "------", "----")]
    for number, row in enumerate(test.rows, start=first):
        for line, seen in enumerate(row.expect):
            rows.append((str(number), _bare(row.operate), seen, "[ ]") if line == 0 else ("", "", seen, ""))
    widths = [max(len(cells_of[column]) for cells_of in rows) for column in range(4)]
    for cells_of in rows:
        yield _plain("  ".join(cell.ljust(width) for cell, width in zip(cells_of, widths, strict=True)).rstrip())
    if test.not_reached:
        yield ""
        yield _plain(f"Not in the test, no short sequence brings voltage to: {', '.join(test.not_reached)}")
