"""Operations, movements and ways in words, as findings and the command print them."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from netdsl.model.kinds import Kind
from netdsl.model.plant import Terminal
from netdsl.states.breaks import BROKEN
from netdsl.states.joins import Verdict
from netdsl.states.traces import Stage
from netdsl.states.types import Cause, Circuit, Edge, Load, Mover

_TURNED = {True: "switch {} on", False: "switch {} off"}
_BY_WORD = {
    "handle": _TURNED,
    "overload": {True: "trip {}", False: "reset {}"},
    "running": {True: "{} reports that it runs", False: "{} reports that it no longer runs"},
    "fault": {True: "relay `fault` of {} pulls", False: "relay `fault` of {} drops"},
}
_BY_KIND = {
    Kind.PUSH_BUTTON: {True: "press {}", False: "release {}"},
    Kind.EMERGENCY_STOP: {True: "press {}", False: "pull {} out"},
}


def operation(circuit: Circuit, mover: Mover, on: bool) -> str:
    """What is done, or happens from outside: `press -S1`, `turn -S2 to hand`."""
    name = f"`{mover.device}`"
    if mover.word == BROKEN:
        return f"wire {name} breaks" if on else f"wire {name} is mended"
    movement = circuit.movements[mover]
    if movement.cause is Cause.POSITION:
        position = mover.word.removeprefix("at ")
        return f"turn {name} to {position}" if on else f"turn {name} away from {position}"
    if movement.cause is Cause.VOLTAGE:
        return f"the voltage of {name} {'returns' if on else 'fails'}"
    if movement.cause is Cause.DELAY:
        return moved(circuit, mover, on)
    device = circuit.network.plant.devices[mover.device]
    known = _BY_KIND.get(Kind(device.kind)) if device.kind in set(Kind) else None
    words = known or _BY_WORD.get(mover.word)
    if words is not None:
        return words[on].format(name)
    if mover.word.endswith(" early"):
        return f"the early contact of {name} {'closes' if on else 'opens'}"
    return f"{mover.word} of {name} {'on' if on else 'off'}"


def moved(circuit: Circuit, mover: Mover, on: bool) -> str:
    """What moves by itself: `-K1 pulls`, `-K4 lets its time go by`."""
    movement = circuit.movements[mover]
    if movement.cause is Cause.DELAY:
        return f"delayed contact {mover.word} of `{mover.device}` {'closes' if on else 'opens'}"
    if movement.cause is Cause.RELEASE:
        return f"`{mover.device}` {'releases' if on else 'trips'}"
    return f"`{mover.device}` {'pulls' if on else 'drops'}"


def operations(circuit: Circuit, given: Iterable[tuple[Mover, bool]]) -> str:
    """Several operations at once. Turning a selector away is not said beside what it is turned to."""
    listed = list(given)
    positions = {mover for movers in circuit.selectors.values() for mover in movers}
    turned = {mover.device for mover, on in listed if on and mover in positions}
    parts = []
    for mover, on in listed:
        away = mover in positions and not on
        follows = mover in circuit.early and (circuit.early[mover], on) in listed
        if not (away and mover.device in turned) and not follows:
            parts.append(operation(circuit, mover, on))
    return " and ".join(parts)


def movements(circuit: Circuit, listed: Iterable[tuple[Mover, bool]]) -> str:
    """What moves one after the other."""
    return ", ".join(moved(circuit, mover, on) for mover, on in listed)


def stages(circuit: Circuit, listed: Iterable[Stage]) -> str:
    """A sequence in a line: `1. turn -S1 to hand: -K1 pulls; 2. ...`."""
    steps = [text for text in (_stage(circuit, stage) for stage in listed) if text]
    return "; ".join(f"{number}. {text}" for number, text in enumerate(steps, 1)) or "as soon as the supply is on"


def _stage(circuit: Circuit, stage: Stage) -> str:
    done, moves = operations(circuit, stage.given), movements(circuit, stage.moved)
    return f"{done}: {moves}" if done and moves else done or moves


def joining(circuit: Circuit, verdict: Verdict) -> str:
    """The sequence that joins two poles, with what is late in the end."""
    late = ", ".join(f"`{mover.device}`" for mover in verdict.late)
    arcs = ", ".join(f"`{mover.device}`" for mover in sorted(verdict.arcs))
    return (
        stages(circuit, verdict.stages)
        + (f" before {late} drops" if late else "")
        + (f" while an arc still burns in {arcs}" if arcs else "")
    )


def way_words(start: str, way: Sequence[tuple[Edge, int]], end: str) -> str:
    """A way device by device, `-T9:+ > -F2:1-2 > -S1:13-14`: from a terminal over the ways through devices to another."""
    return " > ".join((start, *(edge_words(edge, point) for edge, point in way), end))


def edge_words(edge: Edge, towards: int | None = None) -> str:
    """A way through a device, `-K1:13-14`, in the direction of the point it leads to."""
    near, far = edge.nodes if towards is None or edge.b == towards else edge.nodes[::-1]
    return f"{near}-{far.partition(':')[2]}"


def load_words(circuit: Circuit, load: Load) -> str:
    """A load, `coil of -K1`, `lamp -H1`, `start of -T1`."""
    device = circuit.network.plant.devices[load.device]
    if load.kind == "coil":
        return f"{load.device}" if load.name == "coil" else f"{load.device} {load.name}"
    if load.kind == "input":
        use = use_words(device.terminals[load.name])
        return f"{load.device}:{load.name}" + (f" ({use})" if use else "")
    return load.device


def use_words(terminal: Terminal) -> str:
    """What an input may be for: `start`, `preset 1 or reset`, "" where nothing says it."""
    return " or ".join(function.replace("-", " ") for function in terminal.functions)
