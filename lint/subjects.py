"""What there is in a plant to be judged, kind by kind: a rule says which of these it looks at."""

from __future__ import annotations

from collections.abc import Callable, Iterable

from lint.facts import Facts
from netdsl.calc.basis import SheetQuestion
from netdsl.calc.control import SerialLines
from netdsl.model.kinds import Category, Kind
from netdsl.model.plant import Device

#: gives the ids of what a rule looks at, in the order of the text
Subjects = Callable[[Facts], Iterable[str]]


def devices(facts: Facts) -> Iterable[str]:
    """Everything with terminals: devices, strips, supplies, equipment of others."""
    return facts.plant.devices


def of_kind(*kinds: Kind) -> Subjects:
    """Devices of these kinds."""
    return lambda facts: (device.id for device in facts.plant.devices.values() if device.kind in kinds)


def such(fits: Callable[[Device], bool]) -> Subjects:
    """Devices that fit."""
    return lambda facts: (device.id for device in facts.plant.devices.values() if fits(device))


def supplies(facts: Facts) -> Iterable[str]:
    """Supplies of the plant."""
    return (device.id for device in facts.plant.devices.values() if device.category == Category.SUPPLY)


def cables(facts: Facts) -> Iterable[str]:
    """Cables."""
    return facts.plant.cables


def wires_and_cores(facts: Facts) -> Iterable[str]:
    """Wires and cores."""
    return facts.plant.conductors


def routes(facts: Facts) -> Iterable[str]:
    """Ducts, trays, conduits."""
    return facts.plant.routes


def enclosures(facts: Facts) -> Iterable[str]:
    """Cabinets and boxes."""
    return (place.id for place in facts.plant.places.values() if place.enclosure == place.id)


def results_of(*questions: type[SheetQuestion]) -> Subjects:
    """What a calculation gives a figure with a limit for; where it gives none, data that is missing says so."""

    def found(facts: Facts) -> Iterable[str]:
        return dict.fromkeys(
            result.subject
            for question in questions
            for result in facts.calculation.results_of(question)
            if result.limit is not None
        )

    return found


def bus_stations(facts: Facts) -> Iterable[str]:
    """Stations of serial lines."""
    return (station.id for line in facts.calculation.of(SerialLines).lines() for station in line.stations)


def everything(facts: Facts) -> Iterable[str]:
    """All that a plant has by name, wires included."""
    plant = facts.plant
    for table in (plant.places, plant.devices, plant.cables, plant.conductors, plant.routes):
        yield from table
