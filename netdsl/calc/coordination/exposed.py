"""What is no conductor and must bear a short circuit: switches, relays, bars, and enclosures with all they hold."""

from __future__ import annotations

from collections.abc import Iterator

from msgspec import Struct

from netdsl.calc.basis import Question, Result, amount
from netdsl.calc.circuit import Circuit
from netdsl.calc.faults import FaultResults
from netdsl.findings import Span
from netdsl.kept import kept
from netdsl.model.kinds import BARS, BREAKING, SWITCHES, Kind
from netdsl.model.plant import Device
from netdsl.model.ratings import Ratings


class Exposed(Struct, frozen=True):
    """A thing that a short circuit stresses: a device, or a place with all it holds.

    `device`: where the fault current is computed; `kind`: of the device, "assembly" of a place; `ratings`: what it states;
    `own_a`: its own rated current, A; `feeder`: the circuit it is listed under.
    """

    subject: str
    device: str
    kind: str
    ratings: Ratings
    own_a: float | None
    feeder: str
    span: Span


class ExposedThings(Question):
    """Those of the power circuit, none behind a drive, which limits its own current: what switches or shares power out, and
    whatever else states a conditional rating."""

    def all(self) -> Iterator[Exposed]:
        """Devices in the order of the power tree, then enclosures."""
        plant, circuit = self._calculation.plant, self._calculation.of(Circuit)
        for name in self._calculation.network.power.order:
            made = plant.devices[name]
            if self._counts(made) and any(not path.drive for path in circuit.paths(name)):
                yield Exposed(name, name, made.kind, made.ratings, amount(made, "current"), circuit.feeder(name), made.span)
        for identity, device in self._incoming().items():
            place = plant.places[identity]
            yield Exposed(identity, device, "assembly", place.attributes, None, identity, place.span)

    @kept
    def largest(self, device: str) -> Result | None:
        """The largest fault current at a device as a result."""
        return self._calculation.of(FaultResults).largest(device)

    @staticmethod
    def _counts(made: Device) -> bool:
        if made.kind not in BREAKING and amount(made, "conditional-current"):
            return True
        if made.kind == Kind.RESIDUAL_DEVICE:  # one with a curve, or that states it, breaks faults itself
            return not made.word("curve") and not amount(made, "breaking")
        return made.kind in SWITCHES or made.kind in BARS or made.kind == Kind.OVERLOAD

    def _incoming(self) -> dict[str, str]:
        """Enclosures, each with the device in it at which most flows of those that are fed from outside."""
        plant, found = self._calculation.plant, dict[str, str]()
        for step in self._calculation.of(Circuit).steps.values():
            here, before = (self._enclosure(plant.devices[name]) for name in (step.fed, step.feeder))
            level = self.largest(step.fed) if here and here != before else None
            known = self.largest(found[here]) if here in found else None
            if level is not None and (known is None or level.value > known.value):
                found[here] = step.fed
        return found

    def enclosed(self, device: str) -> bool:
        """Whether a device stands in an enclosure, so that it belongs to an assembly."""
        return bool(self._enclosure(self._calculation.plant.devices[device]))

    def _enclosure(self, made: Device) -> str:
        place = self._calculation.plant.places.get(made.place)
        return place.enclosure if place is not None else ""
