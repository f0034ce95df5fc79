"""Where a circuit ends at a body that a fault can make live to the touch: at these disconnection is judged."""

from __future__ import annotations

from collections.abc import Iterator

from netdsl.calc.basis import Calculation, Question
from netdsl.calc.circuit import Circuit, Path
from netdsl.kept import Asking, meanwhile
from netdsl.model.kinds import CONVERTERS, PROTECTIVE, TAPPED
from netdsl.model.plant import Device


class CircuitEnds(Question):
    """Ends of final circuits at what they feed, and of distribution circuits at what they are shared out from, or, where a board
    has one way alone, at what is ahead of its first protective device."""

    def __init__(self, calculation: Calculation) -> None:
        super().__init__(calculation)
        self._circuit = calculation.of(Circuit)
        self._plant = calculation.plant

    def at(self, device: str) -> bool:
        """Whether a circuit ends at a device that can become live to the touch: a load of class I, a converter; a busbar or strip
        from which several circuits leave, or none; where it is one, the last of them before a protective device; or that
        device itself, where a circuit from elsewhere ends in its enclosure and no bar or strip lies before it."""
        made = self._plant.devices[device]
        if not self._circuit.into.get(device):
            return False
        if made.category in TAPPED:
            return not self.passes_on(device) or (self._earthed(device) and self._last(device))
        if self._arriving(device):
            return True
        if self._circuit.out_of.get(device) and made.kind not in CONVERTERS:
            return False
        return self.exposed(made)

    def passes_on(self, device: str) -> bool:
        """Whether a board has one way alone and `device` stands for its body."""
        made = self._plant.devices[device]
        return made.kind in PROTECTIVE or (made.category in TAPPED and len(self._circuit.out_of.get(device, ())) == 1)

    def ahead(self, path: Path) -> Path:
        """The way on which what disconnects a fault at the end of a path lies: a protective device does not see what happens
        where power enters it."""
        parent = path.parent
        return parent if parent is not None and self._plant.devices[path.device].kind in PROTECTIVE else path

    def exposed(self, made: Device) -> bool:
        """Whether a device is an exposed part: of class I or with a protective earth of its own."""
        node = self._calculation.network.earth.node_of.get(made.id)
        if node is None or made.protection_class in ("II", "III"):
            return False
        return bool(self._calculation.network.earth.graph.nodes[node]["node"].needs_earth)

    def in_metal(self, device: str) -> bool:
        """Whether anything around a device is a body that a fault could make live."""
        here = self._plant.places.get(self._plant.devices[device].place)
        while here is not None:
            if here.metal:
                return True
            here = self._plant.places.get(here.parent) if here.parent else None
        return False

    def _earthed(self, device: str) -> bool:
        """Whether a device stands in metal that a protective conductor joins to a source of its circuit."""
        return self.in_metal(device) and any(self._back(device))

    def _back(self, device: str) -> Iterator[tuple[tuple[str, ...], ...]]:
        """Protective conductors from a device, or else from its enclosure, to each of its sources, edge by edge."""
        own = device in self._calculation.network.earth.node_of
        thing = device if own else self._plant.devices[device].place
        for path in self._circuit.paths(device):
            yield self._circuit.earths.path(thing, path.origin) or ()

    @meanwhile(False)
    def _last(self, device: str) -> Asking[bool]:
        """Whether a protective device comes behind a device before any bar, strip, load or converter does."""
        for step in self._circuit.out_of.get(device, ()):
            made = self._plant.devices[step.fed]
            if made.kind in PROTECTIVE:
                return True
            if made.category in TAPPED or made.kind in CONVERTERS:
                continue
            if (yield self._last, step.fed):
                return True
        return False

    def _arriving(self, device: str) -> bool:
        """Whether a circuit from outside ends at a protective device, in an enclosure of metal."""
        made = self._plant.devices[device]
        if made.kind not in PROTECTIVE or not self._enclosure(device) or not self._earthed(device):
            return False
        return all(self._from_outside(step.feeder, self._enclosure(device)) for step in self._circuit.into[device])

    @meanwhile(False)
    def _from_outside(self, device: str, enclosure: str) -> Asking[bool]:
        """Whether power comes to a device from outside an enclosure without a bar, a strip or protection in between there."""
        made = self._plant.devices[device]
        if self._enclosure(device) != enclosure:
            return True
        if made.category in TAPPED or made.kind in PROTECTIVE or made.kind in CONVERTERS or not self._circuit.into.get(device):
            return False
        for step in self._circuit.into[device]:
            if not (yield self._from_outside, step.feeder, enclosure):
                return False
        return True

    def _enclosure(self, device: str) -> str:
        place = self._plant.places.get(self._plant.devices[device].place)
        return place.enclosure if place else ""
