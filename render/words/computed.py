"""What the calculation says of a load, in the words of the band under the single-line diagram."""

from __future__ import annotations

from netdsl.calc import Calculation
from netdsl.calc.basis import Result, fault_text, figure_text
from netdsl.calc.circuit import Circuit
from netdsl.calc.conductors import VoltageDrops
from netdsl.calc.faults import FaultResults
from netdsl.calc.loads import LoadCurrents
from netdsl.quantities import number_text
from render.words.ratings import NOT_COMPUTED


def load_words(calculation: Calculation, load: str) -> str:
    """The load current that follows from a load's power, where its rating states no current; "" where it does not."""
    amps = calculation.of(LoadCurrents).device(load) if calculation.of(LoadCurrents).is_load(load) else None
    return f"{number_text(float(f'{amps:.3g}'))} A" if amps else ""


def drop_words(calculation: Calculation, load: str) -> str:
    """Voltage drop to a load, of its limit: `1.3 % of 5 %, starting 7.2 %`; behind a drive up to it and from it."""
    path = calculation.of(Circuit).path(load)
    parts = []
    if path is not None and path.drive and path.drive != load:
        before = calculation.of(VoltageDrops).running(path.drive)
        parts += [f"{_percent(before)} to {path.drive}"] if before is not None else []
        own = calculation.of(VoltageDrops).running(load)
        parts += [f"motor cable {_percent(own)}"] if own is not None else []
        return ", ".join(parts) or NOT_COMPUTED
    running, starting = calculation.of(VoltageDrops).running(load), calculation.of(VoltageDrops).starting(load)
    if running is not None:
        limit = f" of {figure_text(running.limit)} %" if running.limit is not None else ""
        parts.append(f"{_percent(running)}{limit}")
    if starting is not None:
        parts.append(f"starting {_percent(starting)}")
    return ", ".join(parts) or NOT_COMPUTED


def fault_words(calculation: Calculation, load: str, protecting: str) -> str:
    """Largest fault current at the protective device and smallest to earth at the load: `Ik 5.2 kA at -Q1, earth 410 A`.

    Behind a drive the load's end is the drive's input.
    """
    path = calculation.of(Circuit).path(load)
    end = path.drive if path is not None and path.drive else load
    largest = calculation.of(FaultResults).largest(protecting or end)
    earth = calculation.of(FaultResults).earth(end)
    parts = [f"Ik {fault_text(largest.value)} at {protecting or end}"] if largest is not None else []
    parts += [f"to earth {fault_text(earth.value)} at {end}"] if earth is not None else []
    return ", ".join(parts) or NOT_COMPUTED


#: what a bar or its assembly states that it bears
_BORNE = (("short-time-withstand", "Icw"), ("peak-withstand", "Ipk"), ("conditional-current", "Icc"))


def bar_words(calculation: Calculation, bar: str) -> str:
    """What a bar has to bear and bears: `Ik 5.2 kA, Icw 10 kA`; of its own ratings, else of those of its enclosure."""
    plant = calculation.plant
    device = plant.devices[bar]
    place = plant.places.get(device.place)
    whole = plant.places.get(place.enclosure) if place is not None else None
    largest = calculation.of(FaultResults).largest(bar)
    stated: list[str] = []
    for ratings in (device.ratings, *(held.attributes for held in (place, whole) if held is not None)):
        stated = stated or [f"{sign} {ratings.shown(name)}" for name, sign in _BORNE if ratings.shown(name)]
    return ", ".join(
        (f"Ik {fault_text(largest.value)}" if largest is not None else "Ik not computed", *(stated or ["withstand not stated"]))
    )


def _percent(result: Result) -> str:
    return f"{result.value:.1f} %"
