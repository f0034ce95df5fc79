"""What several rules ask of a network, worked out once: earth terminals, places, who feeds whom, ends of a cable."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Iterator, Mapping
from typing import Any, Protocol, TypeVar, cast

from netdsl.calc import Calculation, calculate
from netdsl.findings import Span
from netdsl.kept import Answers, alike, cached_property, kept
from netdsl.model.kinds import Category
from netdsl.model.plant import Conductor, Device, End, Place, Plant, Terminal
from netdsl.network.queries import is_protective, neighbours, protective_end
from netdsl.network.search import walk
from netdsl.network.types import CableUse, Network, Run
from netdsl.network.unused import terminals_in_use

_T = TypeVar("_T")


class Looks(Protocol):
    """What gives what a helper makes of facts."""

    def __call__(self, view: Callable[[Facts], _T], /) -> _T: ...


class Facts:
    """A network and what is derived from it on first use. Nothing here judges.

    `of`: what a helper of several rules makes of these facts, made once: `facts.of(Motors)`.
    """

    def __init__(self, network: Network, calculation: Calculation | None = None) -> None:
        self.network = network
        self.plant: Plant = network.plant
        self.calculation = calculation or calculate(network)
        self.of = cast("Looks", Answers[Any, Any](lambda view: view(self)).__getitem__)

    # --- places ---------------------------------------------------------------------------------------------------
    def place_of(self, thing: str) -> Place | None:
        """The place of a device, or the place itself."""
        if thing in self.plant.places:
            return self.plant.places[thing]
        device = self.plant.devices.get(thing)
        return self.plant.places.get(device.place) if device else None

    @kept
    def enclosure_of(self, thing: str) -> str:
        """The outermost cabinet or box that holds `thing`, "" in the field."""
        place = self.place_of(thing)
        return place.enclosure if place else ""

    def enclosure_kind(self, thing: str) -> str:
        """`cabinet`, `box` ... of the enclosure that holds `thing`, "" in the field."""
        place = self.plant.places.get(self.enclosure_of(thing))
        return place.kind if place else ""

    def around(self, thing: str) -> Iterator[Place]:
        """The place of `thing` and those that hold it, from the inside out."""
        place = self.place_of(thing)
        while place is not None:
            yield place
            place = self.plant.places.get(place.parent) if place.parent else None

    def span_of(self, thing: str) -> Span | None:
        """Where a device, place, cable or route is declared."""
        for table in (self.plant.devices, self.plant.places, self.plant.cables, self.plant.routes):
            if thing in table:
                found: Span = table[thing].span
                return found
        return None

    # --- terminals ------------------------------------------------------------------------------------------------
    def terminal(self, end: End) -> Terminal | None:
        """The terminal a conductor lands on; None at a place."""
        device = self.plant.devices.get(end.device)
        return device.terminals.get(end.terminal) if device else None

    def earth_terminals(self, thing: str) -> tuple[str, ...]:
        """Ids of the protective-earth terminals of a device or place."""
        if thing in self.plant.places:
            return (f"{thing}:PE",)
        device = self.plant.devices.get(thing)
        if device is None:
            return ()
        return tuple(f"{thing}:{name}" for name in device.terminals if is_protective(device, name))

    @cached_property
    def landed(self) -> frozenset[str]:
        """Ids of terminals on which a conductor, a bridge or a screen lands."""
        return terminals_in_use(self.network)

    # --- conductors -----------------------------------------------------------------------------------------------
    @alike(lambda _self, conductor: conductor.id)
    def protective(self, conductor: Conductor) -> bool:
        """Whether a conductor is a protective one: it joins two terminals of the protective earth."""
        return all(protective_end(self.plant, end) for end in conductor.ends)

    @kept
    def conductors(self) -> tuple[tuple[Conductor, Run], ...]:
        """Every conductor with its resolved run, in order of declaration."""
        runs = self.network.runs
        return tuple((conductor, runs[name]) for name, conductor in self.plant.conductors.items() if name in runs)

    @cached_property
    def clamps(self) -> dict[tuple[str, str, str], list[Conductor]]:
        """Conductors in each clamping point, by (device or place, terminal, side); sides only at strips."""
        found: dict[tuple[str, str, str], list[Conductor]] = {}
        for conductor in self.plant.conductors.values():
            for end in conductor.ends:
                device = self.plant.devices.get(end.device)
                strip = device is not None and device.category == Category.STRIP
                # unnamed, a cable lands outside and a wire inside, as in the network
                side = "/" + (end.side or ("out" if conductor.cable else "in")) if strip else ""
                found.setdefault((end.device, end.terminal, side), []).append(conductor)
        return found

    def pieces(self, conductor: Conductor) -> int:
        """How many cores lie in parallel where a conductor is drawn: those of a cable laid several times."""
        cable = self.plant.cables.get(conductor.cable or "")
        return max(1, cable.parallel) if cable else 1

    def where(self, thing: str) -> str:
        """Id of the place of a device, "" if unknown."""
        place = self.place_of(thing)
        return place.id if place else ""

    def earth_node_at(self, end: End) -> str | None:
        """The earth node of a conductor's end: of a strip that of this very terminal."""
        earth = self.network.earth
        device = self.plant.devices.get(end.device)
        for bridge in ((end.terminal,), *(device.bridges if device and device.category == Category.STRIP else ())):
            found = next((f"{end.device}:{name}" for name in bridge if f"{end.device}:{name}" in earth.graph), None)
            if found is not None and end.terminal in bridge:
                return found
        return earth.node_of.get(end.device)

    @cached_property
    def certain_neighbours(self) -> dict[str, tuple[str, ...]]:
        """Nets next to each net over ways that are closed in service: closed poles, split strip terminals."""
        found: dict[str, dict[str, None]] = {}
        for device in self.plant.devices.values():
            pairs = [(f"{device.id}:{path.a}", f"{device.id}:{path.b}") for path in device.paths if path.certain]
            pairs += [(f"{device.id}:{t.name}/in", f"{device.id}:{t.name}/out") for t in device.terminals.values() if t.split]
            for a, b in pairs:
                one, other = self.network.net_of.get(a), self.network.net_of.get(b)
                if one is not None and other is not None and one != other:
                    found.setdefault(one, {})[other] = None
                    found.setdefault(other, {})[one] = None
        return {net: tuple(others) for net, others in found.items()}

    def joined_in_service(self, nodes: Iterable[str]) -> frozenset[str]:
        """Nets of terminals, and those joined to them over ways that are closed in service."""
        net_of = self.network.net_of
        starts = (net_of[node] for node in nodes if node in net_of)
        return frozenset(walk(starts, lambda net: self.certain_neighbours.get(net, ())))

    def circuit_volts(self, net: str) -> float:
        """The highest voltage, V, of the sources a net belongs to: a neutral or 0 V counts as its live poles do."""
        found = self.network.nets[net]
        groups = (self._source_volts.get(potential.group, 0.0) for potential in found.possible if potential.kind != "earth")
        return max(found.voltage, *groups, 0.0)

    @cached_property
    def neighbours(self) -> dict[str, list[tuple[str, str | None]]]:
        """Nodes next to each node on ways closed in service, with the conductor between."""
        return neighbours(self.plant)

    @cached_property
    def _source_volts(self) -> dict[str, float]:
        found: dict[str, float] = {}
        for net in self.network.nets.values():
            for potential in net.certain:
                found[potential.group] = max(found.get(potential.group, 0.0), potential.voltage or 0.0)
        return found

    @cached_property
    def parallel_nets(self) -> frozenset[str]:
        """Nets that a potential declared `parallel=yes` reaches on ways closed in service."""
        marked = {self.network.net_of.get(named.end.id) for named in self.plant.potentials if named.parallel}
        return frozenset(walk((net for net in marked if net is not None), lambda net: self.certain_neighbours.get(net, ())))

    # --- power ----------------------------------------------------------------------------------------------------
    def feeders(self, device: str) -> frozenset[str]:
        """Devices from which power comes to `device`, however many others lie between; the drive of a motor's cable also
        where the drive's own supply is not drawn."""
        return self._walk(device, self.network.power.graph.pred) | self._drives.get(device, frozenset())

    @cached_property
    def _drives(self) -> dict[str, frozenset[str]]:
        """Drives whose output reaches each device by a cable."""
        found: dict[str, set[str]] = {}
        for use in self.network.cables.values():
            for device in (*use.devices[0], *use.devices[1]) if use.drive else ():
                if use.drive and device != use.drive:
                    found.setdefault(device, set()).add(use.drive)
        return {device: frozenset(drives) for device, drives in found.items()}

    @cached_property
    def cables_behind(self) -> dict[str | None, list[CableUse]]:
        """The cables at the output of each drive; under None those at none."""
        found: dict[str | None, list[CableUse]] = {}
        for use in self.network.cables.values():
            found.setdefault(use.drive, []).append(use)
        return found

    def fed(self, device: str) -> frozenset[str]:
        """Devices to which power goes from `device`."""
        return self._walk(device, self.network.power.graph.succ)

    def _walk(self, start: str, steps: Mapping[str, Any]) -> frozenset[str]:
        if start not in self.network.power.graph:
            return frozenset()
        return frozenset(walk((start,), steps.__getitem__)) - {start}

    def fed_past(self, load: str | None, drive: str | None) -> bool:
        """Whether power also reaches `load` from a supply on a way past `drive`: a bypass."""
        graph = self.network.power.graph
        if load is None or load not in graph:
            return False
        reached = walk((load,), lambda name: (feeder for feeder in graph.pred[name] if feeder != drive))
        return any(self.plant.devices[name].category == Category.SUPPLY for name in reached)

    def feeding_cables(self, device: str) -> frozenset[str]:
        """Cables that carry power from `device` on, to what it feeds at first and further hand."""
        graph = self.network.power.graph
        found: set[str] = {use.cable.id for use in self.cables_behind.get(device, ())}
        for feeder in (device, *self.fed(device)):
            if feeder in graph:
                for _, _, cables in graph.out_edges(feeder, data="cables", default=()):
                    found |= set(cables)
        return frozenset(found)

    def beside_single_cores(self, conductor: str, cables: Collection[str]) -> bool:
        """Whether a protective conductor of its own takes the whole way of single-core cables of `cables`, whose it then is."""
        run = self.network.runs.get(conductor)
        if run is None or not run.routes:
            return False
        cable = self.plant.cables.get(run.conductor.cable or "")
        if cable is not None and not all(core.earth for core in cable.cores):
            return False
        single = (self.plant.cables[name] for name in cables if len(self.plant.cables[name].cores) == 1)
        return any(set(each.routes) == set(run.routes) for each in single if each.conductors)

    def device(self, name: str | None) -> Device | None:
        """The device of that id."""
        return self.plant.devices.get(name) if name else None
