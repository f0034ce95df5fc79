"""Drives started by the contactor that feeds them: their own start is bridged, and what closes the contactor is a command."""

from __future__ import annotations

from msgspec import Struct

from netdsl.model.kinds import Kind
from netdsl.model.plant import Device, Role
from netdsl.states.loops import influences
from netdsl.states.prover import Prover
from netdsl.states.targets import is_start_unsaid, told_to_run
from netdsl.states.types import Cause, Mover

#: kinds that give commands; what an emergency stop, a trip or a protective contact moves is no command
_COMMANDS = frozenset({Kind.PUSH_BUTTON, Kind.SELECTOR, Kind.CONTROLLER, Kind.TIMER, Kind.THERMOSTAT, Kind.LEVEL_SWITCH})


class LineStart(Struct, frozen=True):
    """A drive told to run whenever it has voltage, the contactor ahead of it, and what commands that."""

    drive: str
    contactor: str
    command: str


def line_starts(prover: Prover) -> tuple[LineStart, ...]:
    """Each drive that only its supply starts and stops, with each commanded contactor ahead of it."""
    found = []
    for drive in prover.circuit.network.plant.devices.values():
        ahead = _ahead(prover, drive) if drive.kind == Kind.DRIVE else []
        runs = told_to_run(prover, drive) if ahead else None
        if (
            runs is None
            or is_start_unsaid(prover, drive)
            or any(not _is_standing(prover, mover) for mover in prover.builder.read_by((runs,)))
        ):
            continue
        for coil in ahead:
            command = _command(prover, coil)
            if command is not None:
                found.append(LineStart(drive.id, coil.device, command))
    return tuple(found)


def _is_standing(prover: Prover, mover: Mover) -> bool:
    """Whether a mover stands as in service, whatever is commanded: voltage there, handles on."""
    movement = prover.circuit.movements[mover]
    return movement.cause is Cause.VOLTAGE or (movement.cause is Cause.FREE and movement.rest)


def _ahead(prover: Prover, drive: Device) -> list[Mover]:
    """Coils of contactors on the ways to the supply terminals of a drive."""
    circuit = prover.circuit
    found: dict[Mover, None] = {}
    for terminal in drive.terminals.values():
        node = f"{drive.id}:{terminal.name}"
        if terminal.role is not Role.LINE_IN or node not in circuit.network.net_of:
            continue
        for island in prover.islands.at(circuit.node_point(node)):
            for edge in prover.islands.edges.get(island, ()):
                near = circuit.node_point(node) in (edge.a, edge.b)
                if near and edge.path is not None and edge.path.kind == "pole":
                    found.update((m, None) for m in edge.closed.movers if circuit.movements[m].cause is Cause.COIL)
    return list(found)


def _command(prover: Prover, coil: Mover) -> str | None:
    """What closes a contactor by command, None where only protective contacts and releases of safety relays do."""
    circuit = prover.circuit
    acting = influences(prover.wants, circuit, prover.variables, prover.wants.of(coil), through=(Cause.COIL, Cause.DELAY))
    for mover, signs in sorted(acting.items()):
        device = circuit.network.plant.devices.get(mover.device)
        if device is not None and device.kind in _COMMANDS and False in signs and mover != coil:
            return mover.device
    return None
