"""Wires of a stop circuit that, broken, take the effect of the stop away."""

from __future__ import annotations

from collections.abc import Collection, Mapping

from netdsl.states.breaks import BROKEN, conductors_at, with_breaks
from netdsl.states.formulas import FALSE
from netdsl.states.machine import Note
from netdsl.states.prover import Answer, Outcome, Prover
from netdsl.states.targets import Target, targets
from netdsl.states.types import Cause, Mover
from netdsl.states.ways import Noted

#: conductors that, broken, have one and the same effect, and what comes of it
Broken = tuple[tuple[str, ...], Outcome]


def effects(prover: Prover, stop: Mover, target: Target, acting: Mapping[Mover, frozenset[bool]]) -> tuple[Broken, ...]:
    """Conductors with one of which broken, at any time, the target can run while the stop is actuated, or is not proved not to.
    `acting`: what acts on the target at first and further hand, and how. Only a break that takes the voltage from something that
    keeps the target from running can let it run: any other takes contacts away, and pulls nothing."""
    circuit = prover.circuit
    points = _points(prover, target, acting)
    names = conductors_at(circuit, points)
    whole = Prover(with_breaks(circuit, points, names))
    formulas, variables = whole.variables.formulas, whole.variables
    same = _same(prover, whole, target)
    decided = [m for m in acting if circuit.movements[m].cause in (Cause.COIL, Cause.RELEASE)]
    wanted = [*map(whole.wants.of, decided), same.wanted]
    holding = [number for number, mover in enumerate(decided) if True in acting[mover]]
    breaking = {name: Mover(name, BROKEN) for name in names}
    read = set(whole.builder.read_by(wanted))
    intact = {variables.number(mover): False for mover in breaking.values()}
    as_drawn = [formulas.assuming(formula, intact) for formula in wanted]
    alike: dict[tuple[int, ...], list[str]] = {}
    for name, mover in breaking.items():
        if mover in read:
            given = {**intact, variables.number(mover): True}
            effect = tuple(formulas.assuming(formula, given) for formula in wanted)
            if any(effect[number] != as_drawn[number] for number in holding):
                alike.setdefault(effect, []).append(name)
    found = []
    for together in alike.values():
        given_movers = {mover: name == together[0] for name, mover in breaking.items()}
        if whole.at_rest(same.wanted, {stop: True, **given_movers}) != FALSE:
            outcome = _asked(prover, stop, target, together[0], points)
            if outcome.answer is not Answer.NEVER:
                found.append((tuple(together), outcome))
    return tuple(found)


def _points(prover: Prover, target: Target, acting: Collection[Mover]) -> frozenset[int]:
    """Points in the circuits of what acts on a target, and of the target."""
    circuit, islands = prover.circuit, prover.islands
    loads = [load for mover in acting for load in circuit.coils.get(mover, ())]
    loads += [load for load in circuit.loads if load.device == target.device and load.kind in ("coil", "input")]
    ends = {point for load in loads for point in (load.a, load.b)}
    ends |= {point for m in acting for channel in circuit.releases.get(m, ()) for point in (channel.feed, channel.back)}
    near = {island for point in ends for island in islands.at(point)}
    edges = (edge for island in near for edge in islands.edges.get(island, ()))
    return frozenset(ends | {point for edge in edges for point in (edge.a, edge.b)})


def _same(prover: Prover, other: Prover, target: Target) -> Target:
    """A target among those of another prover of the same plant."""
    here = [each for each in targets(prover) if each.device == target.device]
    return [each for each in targets(other) if each.device == target.device][here.index(target)]


def _asked(prover: Prover, stop: Mover, target: Target, name: str, points: Collection[int]) -> Outcome:
    """Whether the target can run while the stop is actuated, with one conductor that breaks at any time."""
    breaking = Prover(with_breaks(prover.circuit, points, (name,)))
    same = _same(prover, breaking, target)
    bad = breaking.variables.formulas.both(same.runs, breaking.variables.of(stop))
    return breaking.outcome(bad, (Note(Noted("nothing"), (), lambda _: FALSE),))
