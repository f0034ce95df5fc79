"""A Network as a Circuit: points, the ways between them, what takes current, what moves."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from netdsl.model.kinds import Category, Kind
from netdsl.model.plant import Device, Role
from netdsl.network import Network
from netdsl.network.types import Potential
from netdsl.states.movers import STAR_DELTA, coil_of, moves_of
from netdsl.states.types import Cause, Channel, Circuit, Closed, Edge, Load, Movement, Mover, Pole, Unjudged

#: functions by which the terminals of a safety relay say what they are for
_CHANNELS = ("channel-1", "channel-2", "reset")
#: terminals at which a source inside a device takes its own supply
_TAKES = frozenset({Role.LINE_IN, Role.NEUTRAL, Role.SUPPLY_IN, Role.SUPPLY_COMMON})


def _roots(poles: tuple[Pole, ...], releases: Mapping[Mover, tuple[Channel, ...]]) -> dict[int, tuple[Pole, ...]]:
    found: dict[int, tuple[Pole, ...]] = {}
    for pole in poles:
        found[pole.point] = (*found.get(pole.point, ()), pole)
    for channel in (channel for channels in releases.values() for channel in channels):
        found.setdefault(channel.feed, ())
    return found


def circuit_of(network: Network) -> Circuit:
    """What moves and what conducts in the plant of `network`. Nothing in it depends on the hash seed."""
    return _Maker(network).made()


class _Maker:
    """Collects a Circuit device by device."""

    def __init__(self, network: Network) -> None:
        self.network = network
        self.devices = network.plant.devices
        self.parent: dict[str, str] = {}
        self.open: list[tuple[str, str, str, Closed, int]] = []
        self.movements: dict[Mover, Movement] = {}
        self.early: dict[Mover, Mover] = {}
        self.unjudged: list[Unjudged] = []
        self.number: dict[str, int] = {}

    def made(self) -> Circuit:
        """The circuit of the whole plant."""
        for device in self.devices.values():
            self._paths(device)
        self._number_points()
        edges = [
            Edge(
                device,
                self._point(a),
                self._point(b),
                closed,
                self.devices[device].paths[which] if which >= 0 else None,
                (a, b),
            )
            for device, a, b, closed, which in self.open
        ]
        poles = tuple(self._poles())
        edges += self._outputs(poles)
        edges += self._outside_contacts()
        loads = tuple(load for device in self.devices.values() for load in self._loads(device))
        for pole in poles:
            if pole.potential.kind in ("ac", "dc"):
                self.movements.setdefault(pole.voltage, Movement(pole.voltage, Cause.VOLTAGE, True))
        coils = self._coils(loads)
        releases = {mover: found for mover, found in self._releases() if found}
        selectors: dict[str, list[Mover]] = {}
        for mover, movement in self.movements.items():
            if movement.cause is Cause.POSITION:
                selectors.setdefault(mover.device, []).append(mover)
        return Circuit(
            self.network,
            {net: self.number[self._find(net)] for net in self.network.nets},
            len(set(self.number.values())),
            tuple(edge for edge in edges if edge.a != edge.b),
            poles,
            loads,
            self.movements,
            {device: tuple(movers) for device, movers in selectors.items()},
            tuple(self._interlocks()),
            tuple(self._exclusive()),
            self.early,
            coils,
            releases,
            dict(self._fed(poles)),
            tuple(self.unjudged),
            _roots(poles, releases),
        )

    # --- points and edges -------------------------------------------------------------------------------------------
    def _find(self, net: str) -> str:
        while net in self.parent:
            net = self.parent[net]
        return net

    def _join(self, one: str, other: str) -> None:
        a, b = self._find(self.network.net_of[one]), self._find(self.network.net_of[other])
        if a != b:
            self.parent[b] = a

    def _number_points(self) -> None:
        for net in self.network.nets:
            self.number.setdefault(self._find(net), len(self.number))

    def _point(self, node: str) -> int:
        return self.number[self._find(self.network.net_of[node])]

    def _node(self, device: Device, terminal: str) -> str | None:
        """The node of a terminal; of a split one its inner side."""
        name = f"{device.id}:{terminal}"
        return next((node for node in (name, f"{name}/in", f"{name}.1") if node in self.network.net_of), None)

    def _paths(self, device: Device) -> None:
        for terminal in device.terminals.values():
            if terminal.split:
                self._join(f"{device.id}:{terminal.name}/in", f"{device.id}:{terminal.name}/out")
        for which, path in enumerate(device.paths):
            a, b = self._node(device, path.a), self._node(device, path.b)
            if a is None or b is None:
                continue
            moves = moves_of(device, path)
            if moves.closed is None:
                self._join(a, b)
                continue
            self.open.append((device.id, a, b, moves.closed, which))
            for movement in moves.movements:
                self.movements.setdefault(movement.mover, movement)
            if moves.early_of is not None:
                self.early[moves.closed.movers[0]] = moves.early_of

    def _free(self, device: str, word: str) -> Closed:
        mover = Mover(device, word)
        self.movements.setdefault(mover, Movement(mover, Cause.FREE, False))
        return Closed((mover,))

    def _outputs(self, poles: tuple[Pole, ...]) -> Iterator[Edge]:
        """Outputs of electronics: on, they bring the voltage their device is supplied with."""
        for device in self.devices.values():
            outputs = [t for t in device.terminals.values() if t.role is Role.DIGITAL_OUT and self._wired(device, t.name)]
            if not outputs:
                continue
            feed = next((t.name for t in device.terminals.values() if t.role is Role.SUPPLY_IN), None)
            node = self._node(device, feed) if feed else self._plus(poles)
            if node is None:
                self.unjudged.append(Unjudged(device.id, "nothing says from which source its outputs are fed"))
                continue
            for terminal in outputs:
                out = self._node(device, terminal.name)
                if out is not None:
                    closed = self._free(device.id, f"output {terminal.name}")
                    yield Edge(device.id, self._point(out), self._point(node), closed, None, (out, node))

    def _plus(self, poles: tuple[Pole, ...]) -> str | None:
        """The live pole of the only control source there is; None where there are several."""
        live = [pole.potential.id for pole in poles if pole.potential.kind == "dc" and pole.potential.pole not in ("0V", "-")]
        kept = [node for node in live if self.devices[node.partition(":")[0]].kind != Kind.DRIVE]
        return kept[0] if len(kept) == 1 else None

    def _outside_contacts(self) -> Iterator[Edge]:
        """Contacts of equipment beyond the scope: terminals of that role in pairs, in the order in which they are written."""
        for device in self.devices.values():
            if device.category != Category.OUTSIDE:
                continue
            held = {name for path in device.paths for name in (path.a, path.b)}
            loose = [t.name for t in device.terminals.values() if t.role is Role.CONTACT and t.name not in held]
            for one, other in zip(loose[::2], loose[1::2], strict=False):
                a, b = self._node(device, one), self._node(device, other)
                if a is not None and b is not None:
                    yield Edge(device.id, self._point(a), self._point(b), self._free(device.id, f"{one}-{other}"), None, (a, b))

    # --- sources and loads --------------------------------------------------------------------------------------------
    def _poles(self) -> Iterator[Pole]:
        known: dict[str, Potential] = {}
        for net in self.network.nets.values():
            for potential in net.certain:
                if potential.kind in ("ac", "dc", "pwm") or potential.pole == "PEN":  # by which current returns as by a neutral
                    known.setdefault(potential.id, potential)
        for name in sorted(known):
            yield Pole(known[name], self._point(name))

    def _wired(self, device: Device, terminal: str) -> bool:
        """Whether a conductor, a bridge or a link lands on a terminal."""
        node = self._node(device, terminal)
        return node is not None and len(self.network.nets[self.network.net_of[node]].nodes) > 1

    def _loads(self, device: Device) -> Iterator[Load]:
        for consumer in device.consumers:
            a, b = self._node(device, consumer.a), self._node(device, consumer.b)
            if a is not None and b is not None:
                yield Load(device.id, consumer.name, consumer.kind, self._point(a), self._point(b), (a, b))
        if device.kind == Kind.SAFETY_RELAY:
            return  # its channels are loops of their own
        for terminal in device.terminals.values():
            if terminal.role in (Role.DIGITAL_IN, Role.SAFETY_IN) and terminal.common is not None:
                a, b = self._node(device, terminal.name), self._node(device, terminal.common)
                if a is not None and b is not None and self._wired(device, terminal.name):
                    yield Load(device.id, terminal.name, "input", self._point(a), self._point(b), (a, b))

    def _coils(self, loads: tuple[Load, ...]) -> dict[Mover, tuple[Load, ...]]:
        found: dict[Mover, list[Load]] = {}
        for load in loads:
            if load.kind == "coil":
                found.setdefault(Mover(load.device, load.name), []).append(load)
        for mover, movement in self.movements.items():
            ends = [node for load in found.get(mover, ()) for node in load.nodes]
            if movement.cause is Cause.COIL and any(len(self.network.nets[self.network.net_of[node]].nodes) < 2 for node in ends):
                self.unjudged.append(
                    Unjudged(mover.device, "its coil is not connected at both ends: it is taken as never pulled")
                )
        for mover in found:
            self.movements.setdefault(mover, Movement(mover, Cause.COIL, False))
        return {mover: tuple(coil) for mover, coil in found.items()}

    def _releases(self) -> Iterator[tuple[Mover, tuple[Channel, ...]]]:
        """Channels of safety relays. One that does not say which its channels are stays free."""
        for device in self.devices.values():
            mover = Mover(device.id, "release")
            if device.kind != Kind.SAFETY_RELAY or mover not in self.movements:
                continue
            channels = tuple(self._channels(device))
            if any(channel.reset for channel in channels) and len(channels) > 1:
                self.movements[mover] = Movement(mover, Cause.RELEASE, False)
                yield mover, channels
            else:
                self.unjudged.append(Unjudged(device.id, "its part does not say which terminals are its channels and its reset"))

    def _channels(self, device: Device) -> Iterator[Channel]:
        by_function = {function: t.name for t in device.terminals.values() for function in t.functions}
        for word in _CHANNELS:
            feed, back = by_function.get(f"{word}-feed"), by_function.get(f"{word}-return")
            a, b = (self._node(device, name) if name else None for name in (feed, back))
            if a is not None and b is not None:
                yield Channel(self._point(a), self._point(b), (a, b), word == "reset")

    def _fed(self, poles: tuple[Pole, ...]) -> Iterator[tuple[str, tuple[int, ...]]]:
        for pole in poles:
            device = self.devices[pole.potential.device]
            if device.category == Category.DEVICE:
                own = {source.poles[-1] for source in device.sources} | {name for s in device.sources for name in s.poles}
                names = [t.name for t in device.terminals.values() if t.role in _TAKES and t.name not in own]
                nodes = [self._node(device, name) for name in names if self._wired(device, name)]
                yield pole.group, tuple(dict.fromkeys(self._point(node) for node in nodes if node is not None))

    # --- what cannot be together ------------------------------------------------------------------------------------
    def _interlocks(self) -> Iterator[tuple[Mover, Mover]]:
        for pair in self.network.plant.interlocks:
            if pair.kind != "mechanical":
                continue
            movers = [self._main_coil(name) for name in pair.devices]
            known = [mover for mover in movers if mover is not None]
            yield from ((one, other) for n, one in enumerate(known) for other in known[n + 1 :])

    def _main_coil(self, name: str) -> Mover | None:
        device = self.devices.get(name)
        coil = coil_of(device, "coil") if device else None
        return Mover(name, coil) if coil is not None else None

    def _exclusive(self) -> Iterator[tuple[Mover, ...]]:
        for device in self.devices.values():
            if device.symbol == STAR_DELTA:
                found = tuple(m for m, moved in self.movements.items() if m.device == device.id and moved.cause is Cause.DELAY)
                if len(found) > 1:
                    yield found
