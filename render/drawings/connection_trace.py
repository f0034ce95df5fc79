"""Where a terminal of a drive leads: along conductors, through strips, boxes and contacts, up to the devices in the field."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from msgspec import Struct
from msgspec.structs import replace

from netdsl.model.kinds import Kind
from netdsl.model.plant import Conductor, Device, Path, Role
from netdsl.network.queries import held_in
from netdsl.network.types import ConductorClass, Net, Network

#: kinds of devices at which a way ends: what lies beyond belongs to other drawings
_ENDS = frozenset(
    {"busbar", "comb", "distribution-block", "earth-bar", "screen-bar", "motor", "supply-24v", "transformer", "supply"}
)
_FEEDS = _ENDS - {"motor", "screen-bar"} | {"breaker", "fuse", "housing"}
_FEW = 3  # a bridge over more terminals is a distribution, at which a way ends
_DEEPEST = 24  # steps of one way: a guard: the longest in the examples has 17
_DETOUR = 2  # contacts by which another way to a feed may be longer
_BRANCHES = 12  # ways shown of one terminal
_SWITCHED = ("make", "break")


class Step(Struct, frozen=True):
    """One step of a way, and the ways on from there.

    `kind`: "wire", "core", "contact" (inside a device, `path` says which), "joined" (bridge or link). `of`: the conductor, or
    the device it lies inside. `device`, `terminal`: where it arrives. `skipped`: stations of a chain left out before it.
    """

    kind: str
    of: str
    device: str
    terminal: str
    path: Path | None = None
    ways: tuple[Step, ...] = ()
    skipped: int = 0

    @property
    def id(self) -> str:
        """The terminal at which it arrives."""
        return f"{self.device}:{self.terminal}"


def steps_of(step: Step) -> Iterator[Step]:
    """`step` and all behind it, as they are drawn."""
    yield step
    for way in step.ways:
        yield from steps_of(way)


class Tracer:
    """Follows the terminals of one drive after the other, or of another device.

    Where some of the ways on from a point lead to what feeds the circuit, the others, to what else it feeds, are left out.
    """

    def __init__(self, network: Network) -> None:
        self._network = network
        self._plant = network.plant
        self._start = ""
        self._source = False  # whether the start is a source of the drive's own: its ways lead to what it feeds
        self._outgoing = False  # whether power leaves at the start: its ways lead away from what feeds it
        self._seen: set[str] = set()

    def ways(self, drive: str, terminal: str) -> tuple[tuple[Step, ...], int]:
        """The ways from a terminal, and how many more there are than are shown."""
        self._start = drive
        self._seen = {f"{drive}:{terminal}"}
        self._outgoing = self._plant.devices[drive].terminals[terminal].role in (Role.LOAD_OUT, Role.MOTOR_OUT)
        self._source = any(terminal in source.poles for source in self._plant.devices[drive].sources)
        found = tuple(self._along(drive, terminal, "", 0))
        return cut(found, _BRANCHES)

    def _along(self, device: str, terminal: str, arrived: str, depth: int) -> Iterator[Step]:
        """Steps along the conductors of a terminal, but the one by which it was reached."""
        for conductor in self._conductors(f"{device}:{terminal}"):
            near = 0 if conductor.ends[0].id == f"{device}:{terminal}" else 1
            far = conductor.ends[1 - near]
            if conductor.id != arrived and far.id not in self._seen:
                self._seen.add(far.id)
                kind = "core" if conductor.cable else "wire"
                yield self._arrive(Step(kind, conductor.id, far.device, far.terminal), conductor.id, depth + 1)

    def _conductors(self, key: str) -> list[Conductor]:
        return [self._plant.conductors[name] for name in dict.fromkeys(self._network.at_terminal.get(key, ()))]

    def _arrive(self, step: Step, conductor: str, depth: int) -> Step:
        """`step` with what lies behind it."""
        device = self._plant.devices.get(step.device)
        if device is None or depth >= _DEEPEST or self._is_end(device, step.terminal):
            return step
        if device.kind == "drive":
            return self._past_drive(step, conductor, depth)
        ways = [*self._along(step.device, step.terminal, conductor, depth)]
        ways += self._inside(device, step, depth)
        # what else hangs on the circuit belongs to the drawings of that: shown here it would bury the way to the drive's own
        if self._outgoing:
            ways = [way for way in ways if self._distance(way) is None] or ways
        elif not self._source:
            ways = self._towards_feed(ways, self._fed(step.device, step.terminal))
        return replace(step, ways=tuple(ways))

    def _is_end(self, device: Device, terminal: str) -> bool:
        net = self._network.net(f"{device.id}:{terminal}")
        klass = net.klass if net is not None else ConductorClass.NONE
        if self._outgoing and device.category == "busbar" and klass is ConductorClass.MOTOR:
            return False  # a bar that a drive feeds is no source
        if device.id == self._start or device.kind in _ENDS or device.category in ("supply", "outside"):
            return True
        if device.kind == "drive":
            return klass is ConductorClass.BUS
        return any(terminal in bridge and len(bridge) > _FEW for bridge in device.bridges)

    def _past_drive(self, step: Step, conductor: str, depth: int) -> Step:
        """A conductor may be looped from drive to drive: past another one the way goes on if it leads to something else."""
        ways = []
        for way in self._along(step.device, step.terminal, conductor, depth):
            if any(self._is_other(each) for each in steps_of(way)):
                single = way.ways[0] if len(way.ways) == 1 and self._is_drive(way.device) else None
                skip = single is not None and self._is_drive(single.device)
                ways.append(replace(single, skipped=single.skipped + 1) if skip and single is not None else way)
        return replace(step, ways=tuple(ways))

    def _is_drive(self, identity: str) -> bool:
        device = self._plant.devices.get(identity)
        return device is not None and device.kind == "drive"

    def _is_other(self, step: Step) -> bool:
        return not self._is_drive(step.device)

    def _inside(self, device: Device, step: Step, depth: int) -> Iterator[Step]:
        """Steps inside a device: bridges, links, poles, and contacts until the way has come to a potential."""
        for bridge in device.bridges:
            for name in bridge if step.terminal in bridge else ():
                yield from self._inner("joined", device, name, None, depth)
        channels = held_in(self._plant, device.id) if device.kind == Kind.HOUSING else ()
        for path in (*device.paths, *(path for channel in channels for path in channel.paths)):
            if step.terminal not in (path.a, path.b) or step.kind == "contact":
                continue
            name = path.b if path.a == step.terminal else path.a
            if path.kind == "link":
                yield from self._inner("joined", device, name, None, depth)
            elif path.kind not in _SWITCHED or self._passes(device, step.terminal):
                found = self._inner("contact", device, name, path, depth)
                yield from (way for way in found if way.ways)  # an arm that nothing is wired to leads nowhere

    def _inner(self, kind: str, device: Device, name: str, path: Path | None, depth: int) -> Iterator[Step]:
        key = f"{device.id}:{name}"
        if key not in self._seen:
            self._seen.add(key)
            yield self._arrive(Step(kind, device.id, device.id, name, path), "", depth + 1)

    def _passes(self, device: Device, terminal: str) -> bool:
        """Whether a contact is followed: not beyond the point where the way has reached what feeds it."""
        return not self._fed(device.id, terminal)

    def _fed(self, device: str, terminal: str) -> bool:
        """Whether a terminal is for certain at the potential of a source."""
        return bool(feeding(self._network.net(f"{device}:{terminal}")))

    def _towards_feed(self, ways: list[Step], fed: bool) -> list[Step]:
        """Those of `ways` that lead to what feeds the circuit, through few contacts more than the shortest; where the circuit is
        `fed` already, the shortest alone. All of them where none leads there."""
        found = [(distance, way) for way in ways if (distance := self._distance(way)) is not None]
        if not found:
            return ways
        if fed:
            return [min(found, key=lambda each: each[0])[1]]
        least = min(distance[0] for distance, _ in found)
        return [way for distance, way in found if distance[0] <= least + _DETOUR]

    def _distance(self, way: Step) -> tuple[int, int, int] | None:
        """How far a feed lies along a way: contacts, equipment outside passed over for sources of the plant, steps."""
        own = int(way.path is not None and way.path.kind in _SWITCHED)
        if self._is_feed(way):
            device = self._plant.devices.get(way.device)
            return own, int(device is not None and device.category == "outside"), 1
        beyond = [distance for each in way.ways if (distance := self._distance(each)) is not None]
        if not beyond:
            return None
        contacts, outside, steps = min(beyond)
        return contacts + own, outside, steps + 1

    def _is_feed(self, step: Step) -> bool:
        """Whether a step arrives where a circuit is fed from: a source, a distribution, protection, equipment outside."""
        device = self._plant.devices.get(step.device)
        if device is None:
            return False
        poles = {pole for source in device.sources for pole in source.poles}
        return (
            step.terminal in poles
            or device.kind in _FEEDS
            or device.category == "outside"
            or any(step.terminal in bridge and len(bridge) > _FEW for bridge in device.bridges)
        )


def feeding(net: Net | None) -> tuple[str, ...]:
    """Ids of the potentials that are certain on a net, those of earth aside."""
    return tuple(one.id for one in net.certain if one.kind in ("ac", "dc")) if net is not None else ()


def cut(ways: Sequence[Step], most: int) -> tuple[tuple[Step, ...], int]:
    """`ways` with `most` ends at the most, the first ones, and how many ends were left out."""
    kept: list[Step] = []
    left, out = most, 0
    for way in ways:
        count = ends(way)
        if left <= 0:
            out += count
            continue
        shown, beyond = cut(way.ways, left)
        kept.append(replace(way, ways=shown))
        out += beyond
        left -= count - beyond
    return tuple(kept), out


def ends(step: Step) -> int:
    """In how many places a way ends."""
    return sum(ends(way) for way in step.ways) or 1
