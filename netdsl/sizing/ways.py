"""The conductors that the value of a result depends on."""

from __future__ import annotations

from netdsl.calc.basis import Result
from netdsl.calc.circuit import Circuit

_ALONG = ("voltage-drop", "disconnection", "supply-trip", "control-drop", "loop-burden")


def is_along(result: Result) -> bool:
    """Whether a result adds up along a whole way, so that any conductor of it may be the cure."""
    return result.question.startswith(_ALONG)


def way(result: Result, circuit: Circuit) -> tuple[str, ...]:
    """Conductors that the value of a result depends on: of the path to its subject, and of the way back through earth."""
    found = list(result.conductors)
    path = circuit.path(result.subject)
    if path is not None:
        for step in path.steps:
            found += [*step.conductors, *step.neutral]
            found += [name for first in step.conductors for piece in circuit.impedances.chain(step, first) for name in piece]
    if result.question.startswith("disconnection"):
        found += [name for edge in back(result.subject, circuit) for name in edge]
    return tuple(dict.fromkeys(found))


def back(device: str, circuit: Circuit) -> tuple[tuple[str, ...], ...]:
    """Protective conductors back from a device, edge by edge; of one without an earth terminal, from its enclosure."""
    own = circuit.earths.path(device)
    if own is None and device in circuit.plant.devices:
        place = circuit.plant.places.get(circuit.plant.devices[device].place)
        own = circuit.earths.path(place.enclosure) if place is not None and place.enclosure else None
    return own or ()
