"""What stops: buttons, emergency stops and trips, and whether each takes the voltage from what it is to stop, in every state."""

from __future__ import annotations

from collections.abc import Mapping

from msgspec import Struct

from netdsl.model.kinds import Category, Kind
from netdsl.model.plant import Role
from netdsl.states.formulas import FALSE, TRUE
from netdsl.states.loops import influences, signs_in
from netdsl.states.machine import Note
from netdsl.states.prover import Answer, Outcome, Prover
from netdsl.states.reach import Reach
from netdsl.states.targets import Target, is_wired, motor_points, targets, told_to_run
from netdsl.states.types import GIVEN, Cause, Edge, Mover, Pole
from netdsl.states.ways import Noted
from netdsl.states.wires import Broken, effects

#: kinds whose inputs act by a program that no netlist states
_PROGRAMMED = frozenset({Kind.CONTROLLER, Kind.OUTSIDE})
#: terminals at which such a program hears something
_HEARING = frozenset({Role.DIGITAL_IN, Role.SAFETY_IN})


class Stop(Struct, frozen=True):
    """A stop and a thing that it is to stop. `outcome`: whether that can run while the stop is actuated; `by_pulling`: it is a
    relay that has to pull for it, or a contact that has to close, so that behind a broken wire the stop does nothing. `broken`:
    conductors with one of which broken it can run while the stop is actuated, those of one effect together."""

    mover: Mover
    target: str
    outcome: Outcome
    by_pulling: bool = False
    broken: tuple[Broken, ...] = ()


class Stops:
    """The stops of a circuit."""

    def __init__(self, prover: Prover) -> None:
        self._prover = prover
        self._circuit = prover.circuit
        self._devices = prover.circuit.network.plant.devices

    def stops(self) -> tuple[Stop, ...]:
        """Each stop with each contactor and drive on which it acts."""
        found = []
        order = {mover: place for place, mover in enumerate(self._circuit.movements)}
        for target in targets(self._prover):
            acting = influences(self._prover.wants, self._circuit, self._prover.variables, target.wanted)
            for mover in sorted(acting, key=order.__getitem__):
                signs = acting[mover]
                if True not in signs:
                    continue
                if self.is_emergency(mover) or (self._is_button(mover) and signs == {True}):
                    outcome = self._asked(mover, target)
                    broken = () if outcome.answer is Answer.REACHED else self._broken(mover, target, acting)
                    found.append(Stop(mover, target.device, outcome, self._by_pulling(mover, target), broken))
        return tuple(found)

    def idle(self) -> tuple[tuple[Mover, str], ...]:
        """Emergency stops that act on nothing, and why that is not judged where a program may act ("" where none can)."""
        wants = self._prover.wants
        moved = [wants.of(m) for m, moves in self._circuit.movements.items() if moves.cause in (Cause.COIL, Cause.RELEASE)]
        taken = [wants.fed(load) for load in self._circuit.loads if load.kind == "input"]
        acting = set(self._prover.builder.read_by((*moved, *taken)))
        found = []
        for mover in self._circuit.movements:
            if self.is_emergency(mover) and mover not in acting:
                found.append((mover, programmed(self._prover, mover)))
        return tuple(found)

    def is_emergency(self, mover: Mover) -> bool:
        """Whether a mover is the actuator of an emergency stop."""
        return self._devices[mover.device].kind == Kind.EMERGENCY_STOP if mover.device in self._devices else False

    def _is_button(self, mover: Mover) -> bool:
        return self._devices[mover.device].kind == Kind.PUSH_BUTTON and self._breaks(mover)

    def _breaks(self, mover: Mover) -> bool:
        """Whether a wired contact opens when the mover is actuated."""
        return any(not edge.closed.on and is_wired(self._prover, edge) for edge in self._edges(mover))

    def _by_pulling(self, mover: Mover, target: Target) -> bool:
        """Whether what is stopped may be kept from running only by a coil that the stop makes pull: not where what it drops is
        enough, as at the contactors of star and delta behind a safety relay, of which one may pull as the other drops."""
        variables = self._prover.variables
        stopped = self._prover.at_rest(target.wanted, {mover: True})
        if stopped == FALSE:
            return False
        for relay, signs in signs_in(variables, stopped).items():
            if self._circuit.movements[relay].cause is Cause.COIL and True in signs:
                acting = influences(self._prover.wants, self._circuit, variables, self._prover.wants.of(relay))
                if False in acting.get(mover, ()):
                    return True
        return False

    def _broken(self, stop: Mover, target: Target, acting: Mapping[Mover, frozenset[bool]]) -> tuple[Broken, ...]:
        """Conductors that, broken, let the target run while the stop is actuated. None where it stands still whether or not what
        keeps it from running by pulling does pull: broken conductors take contacts away, and pull nothing."""
        movements = self._circuit.movements
        held = [m for m, signs in acting.items() if signs == {True} and movements[m].cause not in GIVEN]
        if not held or self._prover.at_rest(target.wanted, {stop: True, **dict.fromkeys(held, False)}) == FALSE:
            return ()
        return effects(self._prover, stop, target, acting)

    def _edges(self, mover: Mover) -> list[Edge]:
        return [edge for edge in self._circuit.edges if mover in edge.closed.movers]

    def _asked(self, mover: Mover, target: Target) -> Outcome:
        """Whether the target can run while the stop is actuated and everything has come to rest."""
        if self._prover.at_rest(target.wanted, {mover: True}) == FALSE:
            return Outcome(Answer.NEVER)
        bad = self._prover.variables.formulas.both(target.runs, self._prover.variables.of(mover))
        noted = Noted("nothing")
        return self._prover.outcome(bad, (Note(noted, (), lambda _: FALSE),))


def programmed(prover: Prover, mover: Mover) -> str:
    """What the contacts of a mover lead to that acts by a program, in words: what it stops is not known then; "" for nothing."""
    circuit, islands = prover.circuit, prover.islands
    edges = [edge for edge in circuit.edges if mover in edge.closed.movers and is_wired(prover, edge)]
    points = {point for edge in edges for point in (edge.a, edge.b)} - circuit.roots.keys()
    near = {island for point in points for island in islands.at(point)}
    for name, device in circuit.network.plant.devices.items():
        if device.kind not in _PROGRAMMED and device.category != Category.OUTSIDE:
            continue
        for terminal in device.terminals.values():
            node = f"{name}:{terminal.name}"
            if terminal.role in _HEARING and node in circuit.network.net_of:
                point = circuit.node_point(node)
                if point not in circuit.roots and near.intersection(islands.at(point)):
                    return f"it leads to `{name}`, which acts by its program"
    return ""


def trips(prover: Prover) -> tuple[tuple[Mover, Outcome], ...]:
    """Each overload relay with a wired contact, and whether current can flow on through its poles while it has tripped."""
    circuit = prover.circuit
    found = []
    for device in circuit.network.plant.devices.values():
        if device.kind != Kind.OVERLOAD:
            continue
        mover = Mover(device.id, "overload")
        if not any(mover in edge.closed.movers and is_wired(prover, edge) for edge in circuit.edges):
            continue
        flows = _flows(prover, device.id)
        followed = prover.builder.cone((flows,))
        if not any(circuit.movements[m].cause is Cause.COIL for m in followed):
            continue  # nothing between source and motor that it could open: for other rules to say
        reason = programmed(prover, mover) if mover not in followed else ""
        if reason:
            found.append((mover, Outcome(Answer.NOT_JUDGED, reason=reason)))
            continue
        if prover.at_rest(flows, {mover: True}) == FALSE:
            found.append((mover, Outcome(Answer.NEVER)))
            continue
        bad = prover.variables.formulas.both(prover.variables.of(mover), flows)
        found.append((mover, prover.outcome(bad, (Note(Noted("nothing"), (), lambda _: FALSE),))))
    return tuple(found)


def _flows(prover: Prover, relay: str) -> int:
    """When a source (a drive, if told to run) comes to one side of an overload relay's poles and a motor to the other."""
    circuit, formulas = prover.circuit, prover.variables.formulas
    own = [edge for edge in circuit.edges if edge.device == relay and edge.path is not None and edge.path.kind == "pole"]
    motors = motor_points(circuit)
    found = FALSE
    for edge in own:
        inner = next((point for point in (edge.a, edge.b) if point not in circuit.roots), None)
        if inner is None:
            continue
        (island,) = prover.islands.at(inner)
        others = [other for other in prover.islands.edges[island] if other not in own]
        ends = {point for other in others for point in (other.a, other.b)} | {edge.a, edge.b}
        served = motors & ends
        reach = Reach(formulas, others, prover.islands.roots_of.get(island, {}).keys() | served, prover.wants.closed)
        for near, far in ((edge.a, edge.b), (edge.b, edge.a)):
            fed = formulas.any(
                formulas.both(reach.joined(near, root), _gives(prover, pole))
                for root in prover.islands.roots_of.get(island, {})
                for pole in circuit.roots[root]
            )
            taken = formulas.any(reach.joined(far, motor) for motor in sorted(served))
            found = formulas.either(found, formulas.both(fed, taken))
    return found


def _gives(prover: Prover, pole: Pole) -> int:
    """When a pole gives out current: that of a drive while its inputs tell it to run."""
    if pole.potential.kind != "pwm":
        return TRUE
    runs = told_to_run(prover, prover.circuit.network.plant.devices[pole.potential.device])
    return TRUE if runs is None else runs
