"""What is to be seen in a step of the functional test, in words."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from netdsl.model.plant import Role, Terminal
from netdsl.states import told
from netdsl.states.types import Circuit, Load


def seen(circuit: Circuit, changed: Mapping[Load, bool]) -> list[str]:
    """What is seen of loads that are on or off now: safety inputs of one device that go together are told together."""
    together: dict[tuple[str, bool], list[Load]] = {}
    for load, on in changed.items():
        if _is_safety_input(circuit, load):
            together.setdefault((load.device, on), []).append(load)
    said = []
    for load, on in changed.items():
        group = together.get((load.device, on), []) if _is_safety_input(circuit, load) else []
        if len(group) < 2:
            said.append(_one(circuit, load, on))
        elif load is group[0]:
            said.append(f"{_inputs(circuit, group)} {'on' if on else 'off'}")
    return said


def devices_of(loads: Iterable[Load]) -> tuple[str, ...]:
    """The devices of loads, each once."""
    return tuple(dict.fromkeys(load.device for load in loads))


def _is_safety_input(circuit: Circuit, load: Load) -> bool:
    return load.kind == "input" and _terminal(circuit, load).role is Role.SAFETY_IN


def _terminal(circuit: Circuit, load: Load) -> Terminal:
    return circuit.network.plant.devices[load.device].terminals[load.name]


def _inputs(circuit: Circuit, loads: Sequence[Load]) -> str:
    """Inputs of one device with what they are for, said once where that differs by a number alone."""
    uses = dict.fromkeys(use.rstrip("0123456789 ") for load in loads if (use := told.use_words(_terminal(circuit, load))))
    said = f" ({', '.join(uses)})" if uses else ""
    return f"{loads[0].device}:{', '.join(load.name for load in loads)}{said}"


def _one(circuit: Circuit, load: Load, on: bool) -> str:
    name = told.load_words(circuit, load)
    if load.kind == "coil":
        return f"{name} {'pulls' if on else 'drops'}"
    if load.kind == "input":
        return f"{name} {'on' if on else 'off'}"
    lamp = circuit.network.plant.devices[load.device].kind == "lamp"
    return f"{name} {('lights' if on else 'goes out') if lamp else ('gets voltage' if on else 'gets none')}"
