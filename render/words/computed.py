"""What the calculation says of a load, in the words of the band under the single-line diagram."""

from __future__ import annotations

from netdsl.calc import Calculation
from netdsl.calc.basis import Result, fault_text, figure_text
from netdsl.calc.circuit import Circuit
from netdsl.calc.conductors import VoltageDrops
from netdsl.calc.faults import FaultResults
from netdsl.calc.loads import LoadCurrents, MotorWay
from netdsl.quantities import number_text
from render.words.ratings import NOT_COMPUTED


def load_words(calculation: Calculation, load: str) -> str:
    """The load current that follows from a load's power, where its rating states no current; "" where it does not."""
    amps = calculation.of(LoadCurrents).device(load) if calculation.of(LoadCurrents).is_load(load) else None
    return f"{number_text(float(f'{amps:.3g}'))} A" if amps else ""


def drop_words(calculation: Calculation, load: str, way: MotorWay | None = None) -> str:
    """Voltage drop to a load, of its limit: `1.3 % of 5 %, starting 7.2 %`; behind a drive up to it and from it; to what only
    passes power on `0.4 % to -K1`. `way`: that to a motor, of several that differ."""
    drops = calculation.of(VoltageDrops)
    path = calculation.of(Circuit).path(load)
    drive = way.drive if way is not None else path.drive if path is not None else ""
    running, starting = drops.by(way) if way is not None else (drops.running(load), drops.starting(load))
    if drive and drive != load:
        before = drops.running(drive)
        parts = [f"{_percent(before)} to {drive}"] if before is not None else []
        words = "motor cable {}" if calculation.of(LoadCurrents).is_load(load) else "{} from it to " + load
        parts += [words.format(_percent(running))] if running is not None else []
        return ", ".join(parts) or NOT_COMPUTED
    if running is not None and not calculation.of(LoadCurrents).is_load(load):
        return f"{_percent(running)} to {load}"
    limit = f" of {figure_text(running.limit)} %" if running is not None and running.limit is not None else ""
    parts = [f"{_percent(running)}{limit}"] if running is not None else []
    parts += [f"starting {_percent(starting)}"] if starting is not None else []
    return ", ".join(parts) or NOT_COMPUTED


def fault_words(calculation: Calculation, load: str, breaking: str, way: MotorWay | None = None) -> str:
    """Largest fault current at the device that breaks it and smallest to earth at the load: `Ik 5.2 kA at -Q1, to earth 410 A at
    -M1`. Behind a drive the load's end is the drive's input. `way`: that to a motor, of several that differ."""
    path = calculation.of(Circuit).path(load)
    drive = way.drive if way is not None else path.drive if path is not None else ""
    end = drive or load
    largest = calculation.of(FaultResults).largest(breaking or end)
    earth = calculation.of(FaultResults).earth(end)
    parts = [f"Ik {fault_text(largest.value)} at {breaking or end}"] if largest is not None else []
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
