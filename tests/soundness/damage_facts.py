"""What systematic damage needs to know of a plant: what things are, what hangs where, what a rule exempts."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator

from netdsl.findings import Span
from netdsl.model.plant import Cable, Conductor, Device, Plant
from netdsl.network.queries import downstream, upstream
from netdsl.network.types import ConductorClass, Potential
from tests.soundness.bases import Base, Damage, Edit

Maker = Callable[[Base], Iterator[Damage]]
MAKERS: dict[str, Maker] = {}

POWER = (ConductorClass.MAINS, ConductorClass.MOTOR)
SIGNALS = (ConductorClass.ANALOGUE, ConductorClass.BUS, ConductorClass.THERMISTOR, ConductorClass.ENCODER)
BREAKERS = ("breaker", "motor-breaker", "fuse")


def damages(rule: str) -> Callable[[Maker], Maker]:
    """Enter what damages a plant so that `rule` has to speak."""

    def take(maker: Maker) -> Maker:
        before = MAKERS.get(rule)

        def both(base: Base) -> Iterator[Damage]:
            if before is not None:
                yield from before(base)
            yield from maker(base)

        MAKERS[rule] = both
        return maker

    return take


def made(what: str, about: Iterable[str], *edits: Edit | None) -> Iterator[Damage]:
    """A damage, unless an edit was not possible."""
    kept = tuple(edit for edit in edits if edit is not None)
    if len(kept) == len(edits):
        yield Damage(what, kept, frozenset(about))


def changed(what: str, about: Iterable[str], plant: Plant) -> Iterator[Damage]:
    """A damage to the plant as it was read."""
    yield Damage(what, (), frozenset(about), plant)


def device_of(base: Base, end: int, conductor: Conductor) -> Device | None:
    return base.plant.devices.get(conductor.ends[end].device)


def on_mains(base: Base, device: Device) -> bool:
    """Whether mains reaches a device's terminals."""
    return any(
        base.network.runs[name].klass is ConductorClass.MAINS
        for terminal in device.terminals
        for name in base.network.at_terminal.get(f"{device.id}:{terminal}", ())
    )


def behind_drive(base: Base, device: Device) -> bool:
    return any(base.plant.devices[name].kind == "drive" for name in upstream(base.network, device.id))


def of_kind(base: Base, *kinds: str) -> list[Device]:
    return [device for device in base.devices if device.kind in kinds]


def klass_of(base: Base, cable: Cable) -> ConductorClass:
    return base.network.cables[cable.id].klass


def cores(base: Base, cable: Cable) -> list[Conductor]:
    return [conductor for conductor in base.conductors if conductor.cable == cable.id]


def loads_of(base: Base) -> list[Device]:
    return [device for device in base.plant.devices.values() if device.kind == "motor" and any(upstream(base.network, device.id))]


def bar_of(base: Base) -> Device | None:
    return next((device for device in base.plant.devices.values() if device.kind == "earth-bar"), None)


def more_ways(base: Base, count: int = 1) -> tuple[list[str], Edit] | None:
    """Ways of the earth bar that nothing holds, and the edit that adds them."""
    bar = bar_of(base)
    if bar is None or bar.use is not None:
        return None
    ways = len(bar.terminals)
    return [f"{bar.id}:{ways + k}" for k in range(1, count + 1)], base.valued(bar, ways=str(ways + count))


def protective(base: Base, conductor: Conductor) -> bool:
    roles = []
    for end in conductor.ends:
        device = base.plant.devices.get(end.device)
        terminal = device.terminals.get(end.terminal) if device else None
        roles.append(
            end.device.startswith("+")
            or (
                terminal is not None
                and (terminal.role.value.startswith("earth") or (device is not None and device.kind == "earth-bar"))
            )
            or (device is not None and device.category == "supply" and end.terminal in ("PE", "PEN"))
        )
    return all(roles) and not is_reference(base, conductor)


def is_reference(base: Base, conductor: Conductor) -> bool:
    return any(end.id in {point.at.id for point in base.plant.reference_points} for end in conductor.ends)


def statement_of(span: Span) -> Span:
    """The whole line a span stands in."""
    text = span.source.text
    start = text.rfind("\n", 0, span.start) + 1
    end = text.find("\n", span.start)
    return Span(span.source, start, len(text) if end < 0 else end)


def classes_in(base: Base, route: str) -> set[ConductorClass]:
    """What lies in a route."""
    name = route.partition("/")[0]
    return {run.klass for run in base.network.runs.values() if any(each.partition("/")[0] == name for each in run.routes)} - {
        ConductorClass.EARTH,
        ConductorClass.NONE,
    }


def apart(base: Base, routes: tuple[str, ...]) -> bool:
    """Whether the separation table asks for a distance between the contents of two ways, whatever the screens."""
    one, two = (classes_in(base, name) for name in routes)
    inside = any(
        base.plant.places[base.plant.routes[name.partition("/")[0]].place].kind in ("cabinet", "door") for name in routes
    )
    conduit = any(base.plant.routes[name.partition("/")[0]].kind == "conduit" for name in routes)
    motor, mains, control = ConductorClass.MOTOR, ConductorClass.MAINS, ConductorClass.CONTROL
    signals = set(SIGNALS)
    for a, b in ((one, two), (two, one)):
        if motor in a and b & {mains, control, *signals}:
            return not conduit
        if mains in a and b & (signals if inside else {control, *signals}):
            return not conduit
    return False


def transformer_fed(base: Base, device: Device) -> bool:
    return any(base.plant.devices[name].kind in ("transformer", "supply-24v") for name in upstream(base.network, device.id))


def behind_cable(base: Base, cable: Cable) -> set[str]:
    """What a cable feeds, and all behind."""
    names = {n for side in base.network.cables[cable.id].devices for n in side}
    return names | {other for name in names for other in downstream(base.network, name)}


def certain(base: Base, terminal: str) -> tuple[Potential, ...]:
    """Potentials that reach a terminal whatever the control does."""
    net = base.network.net(terminal)
    return net.certain if net is not None else ()


def possible(base: Base, terminal: str) -> tuple[Potential, ...]:
    """Potentials that can reach a terminal."""
    net = base.network.net(terminal)
    return net.possible if net is not None else ()
