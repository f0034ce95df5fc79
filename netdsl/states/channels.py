"""Safety relays: two channels that each emergency stop opens by a contact of its own, two ways out, contactors that are heard."""

from __future__ import annotations

from collections.abc import Iterator

from msgspec import Struct

from netdsl.model.kinds import Kind
from netdsl.model.plant import Device
from netdsl.states.clauses import is_possible
from netdsl.states.formulas import FALSE, TRUE
from netdsl.states.prover import Prover
from netdsl.states.targets import torque_inputs
from netdsl.states.types import Cause, Channel, Edge, Load, Mover
from netdsl.states.ways import Islands, Variables, Wants


class Single(Struct, frozen=True):
    """Something that one fault takes away from both channels, or from one that should have it: `at` the device, `why` in words
    with the names in backticks, `subjects` the devices concerned. `joined`: terminals between which, or one at which, a conductor
    is what is wrong; empty where none is known."""

    at: str
    why: str
    subjects: tuple[str, ...]
    joined: tuple[str, ...] = ()


class Unheard(Struct, frozen=True):
    """A contactor that a safety relay drops and whose weld its reset does not notice."""

    contactor: str
    relay: str


class SafetyRelays:
    """The safety relays of a circuit that say which their channels are."""

    def __init__(self, prover: Prover) -> None:
        self._prover = prover
        self._circuit = prover.circuit
        self._devices = prover.circuit.network.plant.devices

    def singles(self) -> tuple[Single, ...]:
        """Where two channels are one: in what opens them, and in what they open."""
        found: list[Single] = []
        for relay, channels in self._circuit.releases.items():
            found += self._inputs(relay, [channel for channel in channels if not channel.reset])
        for device in self._devices.values():
            if device.kind == Kind.DRIVE:
                found += self._torque(device.id)
        return tuple(found) or tuple(self._bridged())

    def _bridged(self) -> Iterator[Single]:
        """Contacts that a safety relay opens and a wire leads past: what hangs behind stays on."""
        net_of = self._circuit.network.net_of
        for relay in self._circuit.releases:
            for path in self._devices[relay.device].paths:
                ends = (f"{relay.device}:{path.a}", f"{relay.device}:{path.b}")
                if path.kind == "make" and path.by == "release" and ends[0] in net_of and net_of[ends[0]] == net_of.get(ends[1]):
                    why = f"a wire leads past contact `{ends[0]}` to `{ends[1]}` of `{relay.device}`: what is behind stays on"
                    yield Single(relay.device, why, (relay.device,), ends)

    # --- what opens the channels --------------------------------------------------------------------------------------
    def _inputs(self, relay: Mover, channels: list[Channel]) -> list[Single]:
        closed = [self._prover.wants.roots_of(channel.back).get(channel.feed, FALSE) for channel in channels]
        stops = [{m for m in self._prover.builder.read_by((formula,)) if self._is_stop(m)} for formula in closed]
        found = []
        for channel, formula in zip(channels, closed, strict=True):
            if formula == TRUE:
                ends = " to ".join(f"`{node}`" for node in channel.nodes)
                passed = self._passed(channel)
                past = f" past {', '.join(f'`{name}`' for name in passed)}" if passed else ""
                why = f"channel {ends} is closed by wire{past}: nothing opens it"
                found.append(Single(relay.device, why, (relay.device, *passed), channel.nodes))
        if found or len(channels) < 2:
            return found
        for mover in sorted(set().union(*stops)):
            missing = [channel for channel, own in zip(channels, stops, strict=True) if mover not in own]
            for channel in missing:
                ends = " to ".join(f"`{node}`" for node in channel.nodes)
                why = f"`{mover.device}` does not open channel {ends} of `{relay.device}`"
                found.append(Single(mover.device, why, (mover.device, relay.device)))
        return found + self._shared(relay, channels)

    def _passed(self, channel: Channel) -> tuple[str, ...]:
        """Stops with a contact both sides of which are on the wire that closes a channel."""
        net_of, point = self._circuit.network.net_of, channel.feed
        found: dict[str, None] = {}
        for device in self._devices.values():
            for path in device.paths if device.kind in (Kind.EMERGENCY_STOP, Kind.SWITCH) else ():
                nodes = (f"{device.id}:{path.a}", f"{device.id}:{path.b}")
                if all(node in net_of and self._circuit.node_point(node) == point for node in nodes):
                    found[device.id] = None
        return tuple(found)

    def _is_stop(self, mover: Mover) -> bool:
        kind = self._devices[mover.device].kind if mover.device in self._devices else ""
        return kind in (Kind.EMERGENCY_STOP, Kind.SWITCH) and self._circuit.movements[mover].cause is Cause.FREE

    def _shared(self, relay: Mover, channels: list[Channel]) -> list[Single]:
        """Contacts that lie in both channels."""
        found = []
        for number, one in enumerate(channels):
            for other in channels[number + 1 :]:
                islands = set(self._prover.islands.at(one.back)) & set(self._prover.islands.at(other.back))
                if islands:
                    edges = [edge for island in sorted(islands) for edge in self._prover.islands.edges.get(island, ())]
                    both = tuple(dict.fromkeys(edge.device for edge in edges if edge.closed.movers))
                    whose = f" of {', '.join(f'`{name}`' for name in both[:3])}" if both else ""
                    why = f"both channels of `{relay.device}` are joined: a contact{whose} or a wire lies in both"
                    ends = one.nodes[:1] + other.nodes[:1] if one.feed == other.feed else one.nodes[1:] + other.nodes[1:]
                    wired = one.feed == other.feed or one.back == other.back
                    found.append(Single(relay.device, why, (relay.device, *both), ends if wired else ()))
        return found

    # --- what the channels open -----------------------------------------------------------------------------------------
    def _torque(self, drive: str) -> list[Single]:
        """A single contact of a safety relay that, stuck, leaves both inputs of a drive on."""
        device = self._devices[drive]
        loads = torque_inputs(self._prover, device)[:2]
        relays = [m for m in self._circuit.releases if m in self._prover.builder.read_by(map(self._prover.wants.fed, loads))]
        if len(loads) < 2 or not relays:
            return self._past(device, loads)
        if loads[0].a == loads[1].a:
            why = f"both safe-torque-off inputs of drive `{drive}` hang on one wire: one contact opens both channels"
            return [Single(drive, why, (drive, *(relay.device for relay in relays)), (loads[0].nodes[0], loads[1].nodes[0]))]
        found = []
        for edge in self._circuit.edges:
            if edge.closed.movers and edge.closed.movers[0] in relays and edge.closed.on and self._stuck(edge, drive, relays):
                why = f"contact `{edge.nodes[0]}` to `{edge.nodes[1]}` alone opens both safe-torque-off inputs of drive `{drive}`"
                found.append(Single(drive, why, (drive, edge.device)))
        return found

    def _past(self, drive: Device, loads: list[Load]) -> list[Single]:
        """Inputs of a drive set to have its torque taken off by wire that nothing but handles takes the voltage from."""
        if drive.word("safe-torque-off") != "wired":
            return []
        past = [load for load in loads if self._is_standing(self._prover.wants.fed(load))]
        names = ", ".join(f"`{load.nodes[0]}`" for load in past)
        why = f"nothing takes the voltage from {names}: the torque of drive `{drive.id}` is never taken off"
        return [Single(drive.id, why, (drive.id, *(load.nodes[0] for load in past)), past[0].nodes[:1])] if past else []

    def _is_standing(self, fed: int) -> bool:
        """Whether an input is fed, and whatever might open its circuit stands closed in service and is no stop."""
        if fed == FALSE:
            return False
        for mover in self._prover.builder.read_by((fed,)):
            movement = self._circuit.movements[mover]
            handle = movement.cause is Cause.FREE and movement.rest and not self._is_stop(mover)
            if movement.cause is not Cause.VOLTAGE and not handle:
                return False
        return True

    def _stuck(self, stuck: Edge, drive: str, relays: list[Mover]) -> bool:
        """Whether both inputs can stay on with one contact stuck and the relays tripped."""
        circuit, variables = self._circuit, Variables()
        wants = Wants(circuit, Islands(circuit), variables)
        plain = wants.closed

        def closed(edge: Edge) -> int:
            return TRUE if edge == stuck else plain(edge)

        held = Wants(circuit, Islands(circuit), variables, closed)
        tripped = {variables.number(relay): False for relay in relays}
        both = [held.fed(load) for load in torque_inputs(self._prover, self._devices[drive])]
        return variables.formulas.assuming(variables.formulas.all(both), tripped) != FALSE

    def never_closed(self) -> tuple[tuple[str, Channel], ...]:
        """Channels and reset loops that no state of the contacts closes, with their relays."""
        roots_of = self._prover.wants.roots_of
        return tuple(
            (relay.device, channel)
            for relay, channels in self._circuit.releases.items()
            for channel in channels
            if not is_possible(self._prover.variables.formulas, roots_of(channel.back).get(channel.feed, FALSE))
        )

    # --- what is heard ------------------------------------------------------------------------------------------------
    def unheard(self) -> tuple[Unheard, ...]:
        """Contactors whose coil a safety relay's contact opens, and that can be closed while its reset loop is closed."""
        found = []
        formulas, variables = self._prover.variables.formulas, self._prover.variables
        for relay, channels in self._circuit.releases.items():
            loops = [c for c in channels if c.reset]
            reset = formulas.all(self._prover.wants.roots_of(c.back).get(c.feed, FALSE) for c in loops)
            for coil in self._circuit.coils:
                contactor = self._devices[coil.device].kind == Kind.CONTACTOR
                if not contactor or relay not in self._prover.builder.read_by((self._prover.wants.of(coil),)):
                    continue
                dropped = formulas.assuming(self._prover.wants.of(coil), {variables.number(relay): False}) == FALSE
                if dropped and formulas.assuming(reset, {variables.number(coil): True}) != FALSE:
                    found.append(Unheard(coil.device, relay.device))
        return tuple(found)
