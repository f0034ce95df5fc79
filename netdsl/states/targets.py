"""What stops are for: contactors and the like that feed something, and drives as their inputs tell them to run."""

from __future__ import annotations

from typing import NamedTuple

from netdsl.model.kinds import STARTING, Kind
from netdsl.model.plant import Device, Role
from netdsl.states.formulas import FALSE
from netdsl.states.prover import Prover
from netdsl.states.types import Cause, Circuit, Edge, Load, Mover

#: functions of inputs without which a drive gives nothing out
PERMITS = ("enable", "stop")
#: functions of the inputs by which a drive takes its torque off
_TORQUE = ("safe-torque-off-1", "safe-torque-off-2")


class Target(NamedTuple):
    """A contactor, or a drive: `wanted` is when its circuit asks it to run, `runs` when it does."""

    device: str
    wanted: int
    runs: int


def targets(prover: Prover) -> tuple[Target, ...]:
    """Contactors, soft starters and starters whose poles are wired, and drives with an input that starts or releases them."""
    found = []
    for device in prover.circuit.network.plant.devices.values():
        if device.kind in STARTING and any(consumer.kind == "coil" for consumer in device.consumers):
            found += [Target(device.id, prover.wants.of(coil), prover.variables.of(coil)) for coil in _coils(prover, device)]
        elif device.kind == Kind.DRIVE and (told := told_to_run(prover, device)) is not None:
            found.append(Target(device.id, told, told))
    return tuple(found)


def told_to_run(prover: Prover, drive: Device, *, heard: bool = False) -> int | None:
    """When the inputs of a drive tell it to run; with `heard` not while its own relay, where that is read, says that it stands.
    None where no input of it is wired that does so: it runs by its bus, or nothing is drawn."""
    by_function: dict[str, int] = {}
    for load in inputs(prover, drive):
        for function in drive.terminals[load.name].functions:
            by_function[function] = prover.wants.fed(load)
    permits = [by_function[function] for function in PERMITS if function in by_function]
    permits += map(prover.wants.fed, torque_inputs(prover, drive))
    if "start" in by_function and "stop" not in by_function:
        permits.append(by_function["start"])
    if not permits:
        return None
    running = Mover(drive.id, "running")
    if heard and any(running in edge.closed.movers and is_wired(prover, edge) for edge in prover.circuit.edges):
        permits.append(prover.variables.of(running))
    return prover.variables.formulas.all(permits)


def inputs(prover: Prover, drive: Device) -> list[Load]:
    """The wired inputs of a drive."""
    return prover.inputs.get(drive.id, [])


def is_start_unsaid(prover: Prover, drive: Device) -> bool:
    """Whether inputs of a drive are wired and nothing says which of them start or release it: safe torque off aside."""
    digital = [terminal for load in inputs(prover, drive) if (terminal := drive.terminals[load.name]).role is Role.DIGITAL_IN]
    said = any(function in ("start", *PERMITS) for terminal in digital for function in terminal.functions)
    return not said and any(not terminal.functions for terminal in digital)


def torque_inputs(prover: Prover, drive: Device) -> list[Load]:
    """The wired inputs by which a drive takes its torque off, the first channel first: those that say so, then safety inputs of
    which no function is stated, as they are there for nothing else."""
    wired = inputs(prover, drive)
    said = [load for function in _TORQUE for load in wired if function in drive.terminals[load.name].functions]
    silent = [drive.terminals[load.name] for load in wired]
    return said + [
        load for load, terminal in zip(wired, silent, strict=True) if terminal.role is Role.SAFETY_IN and not terminal.functions
    ]


def motor_points(circuit: Circuit) -> set[int]:
    """Points at the terminals of motors."""
    found = set()
    for device in circuit.network.plant.devices.values():
        if device.kind == Kind.MOTOR:
            nodes = (f"{device.id}:{name}" for name in device.terminals)
            found |= {circuit.node_point(node) for node in nodes if node in circuit.network.net_of}
    return found


def fed_motors(prover: Prover) -> tuple[Target, ...]:
    """Motors that contactors feed from the mains: each runs while one of its terminals comes to a live pole."""
    circuit, formulas = prover.circuit, prover.variables.formulas
    found = []
    for device in circuit.network.plant.devices.values():
        nodes = [f"{device.id}:{t.name}" for t in device.terminals.values() if t.role in (Role.WINDING, Role.LINE_IN)]
        if device.kind != Kind.MOTOR:
            continue
        fed = FALSE
        for point in {circuit.node_point(node): None for node in nodes if node in circuit.network.net_of}:
            for root, formula in prover.wants.roots_of(point).items():
                if any(pole.potential.kind == "ac" and pole.potential.pole != "N" for pole in circuit.roots[root]):
                    fed = formulas.either(fed, formula)
        if any(circuit.movements[mover].cause is Cause.COIL for mover in prover.builder.read_by((fed,))):
            found.append(Target(device.id, fed, fed))
    return tuple(found)


def is_wired(prover: Prover, edge: Edge) -> bool:
    """Whether something lands on both sides of a way."""
    nets = [prover.circuit.network.net(node) for node in edge.nodes]
    return all(net is not None and len(net.nodes) > 1 for net in nets)


def _coils(prover: Prover, device: Device) -> list[Mover]:
    """Coils of a contactor that move wired poles."""
    found: dict[Mover, None] = {}
    for edge in prover.circuit.edges:
        if edge.device == device.id and edge.path is not None and edge.path.kind == "pole" and is_wired(prover, edge):
            found.update((m, None) for m in edge.closed.movers if prover.circuit.movements[m].cause is Cause.COIL)
    return list(found)
