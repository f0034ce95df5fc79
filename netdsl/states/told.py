"""Operations, movements and ways in words, as findings and the command print them."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from netdsl.model.ends import relay_of
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
#: what moves a contact, where the word of the text says it too briefly beside "opens" and "closes"
_WORDS = {
    "open": "at the end open",
    "closed": "at the end closed",
    "torque-open": "torque while opening",
    "torque-close": "torque while closing",
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
    relay = _relay(circuit, mover) if words is not None and known is None else ""
    if relay:
        return f"{relay} of {name} {'pulls' if on else 'drops'}"
    if words is not None:
        return words[on].format(name)
    if mover.word.endswith(" early"):
        return f"the early contact of {name} {'closes' if on else 'opens'}"
    return _by_contacts(circuit, mover, on)


def _by_contacts(circuit: Circuit, mover: Mover, on: bool) -> str:
    """What the wired contacts of a device do that something outside moves, and what moves them: `11-14 of -B1 closes (level)`.

    A relay that watches something pulls while all is well, so of it the contacts alone are said.
    """
    moved: dict[bool, list[str]] = {True: [], False: []}
    for edge in _contacts(circuit, mover):
        moved[edge.closed.on is on].append(edge_words(edge).partition(":")[2])
    device = circuit.network.plant.devices[mover.device]
    by = "" if device.kind == Kind.RELAY or [mover.word] in moved.values() else f" ({_WORDS.get(mover.word, mover.word)})"
    verbs = {True: ("closes", "close"), False: ("opens", "open")}
    said = [(", ".join(ends), verbs[closed][len(ends) > 1]) for closed, ends in sorted(moved.items()) if ends]
    if not said:
        return f"{mover.word} of `{mover.device}` {'on' if on else 'off'}"
    (ends, verb), *others = said
    return f"{ends} of `{mover.device}` {verb}" + "".join(f", {ends} {verb}" for ends, verb in others) + by


def _contacts(circuit: Circuit, mover: Mover) -> list[Edge]:
    """The ways that a mover closes or opens: those that conductors lead to at both ends, all of them where there is none."""
    ways = [edge for edge in circuit.edges if mover in edge.closed.movers]
    network = circuit.network
    return [edge for edge in ways if all(network.nets[network.net_of[node]].conductors for node in edge.nodes)] or ways


def _relay(circuit: Circuit, mover: Mover) -> str:
    """`relay 1`, where the text asks for contacts of a device by that alone, so that what the relay is told to say is not known;
    else ""."""
    network = circuit.network
    nodes = {node for edge in _contacts(circuit, mover) for node in edge.nodes}
    conductors = {name for node in nodes for name in network.at_terminal.get(node, ())}
    ends = [end for name in conductors for end in network.plant.conductors[name].ends if end.id in nodes and end.use]
    stems = {relay_of(end.use) for end in ends}
    return stems.pop().replace("-", " ") if len(stems) == 1 and mover.word not in stems else ""


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
