"""The smallest rating of a protective device that carries its load."""

from __future__ import annotations

from collections.abc import Iterator
from math import inf
from typing import NamedTuple

from netdsl.calc import Calculation
from netdsl.calc.basis import amount, figure_text
from netdsl.calc.circuit import Circuit
from netdsl.calc.control import ControlBranches
from netdsl.calc.loads import LoadCurrents, RatedLoads
from netdsl.model.kinds import CONVERTERS, PROTECTIVE, Kind
from netdsl.network.search import walk
from netdsl.sizing.items import Item, setting_ranges
from netdsl.sums import sum_of

_DRIVE = "drive"


class Rating(NamedTuple):
    """A rated current, A, to begin with, and what decides it. `known`: whether the load is; `obstacle`: why none of the series
    fits it."""

    size: float
    words: str
    known: bool = True
    obstacle: str = ""


def load_of(calculation: Calculation, device: str) -> float | None:
    """Current of what a device protects or, of a drive, of the motor it feeds, A; None if unknown."""
    made = calculation.plant.devices[device]
    if made.kind == _DRIVE:
        currents = [calculation.of(LoadCurrents).device(step.fed) for step in calculation.of(Circuit).out_of.get(device, ())]
        return sum_of(amps for amps in currents if amps is not None) if currents and None not in currents else None
    amps = calculation.of(RatedLoads).device(device)
    return calculation.of(ControlBranches).load_a(device) if amps is None else amps


def smallest_rating(calculation: Calculation, item: Item) -> Rating:
    """The smallest size of the item's series that carries its load; the present one where none does.

    Ahead of what draws an inrush (drive, transformer, supply) a breaker or fuse gets the margin that the project chooses.
    """
    asked = _of_arresters(calculation, item.device) or _of_load(calculation, item.device)
    if asked is None or not item.series:
        return Rating(item.present or 0.0, "its load is not known", known=False)
    amps, words = asked
    if not 0 < amps < inf:
        return Rating(item.present or 0.0, words, known=False)
    if calculation.plant.devices[item.device].kind == "motor-breaker":
        fitting = [high for low, high in setting_ranges() if low - 1e-9 <= amps <= high + 1e-9]
        if fitting:
            return Rating(fitting[0], f"{words} lies in its setting range")
        return Rating(item.present or 0.0, words, obstacle="it lies in no setting range of the series")
    size = next((size for size in item.series if size >= amps - 1e-9), None)
    if size is not None:
        return Rating(size, words)
    return Rating(item.series[-1], words, obstacle=f"the series ends at {figure_text(item.series[-1])} A")


def _of_load(calculation: Calculation, device: str) -> tuple[float, str] | None:
    """The current that a device carries for long, with the margin for what draws an inrush, A, and the words for it; None where
    it is not known."""
    amps = load_of(calculation, device)
    if amps is None:
        return None
    if not amps:
        return 0.0, "nothing behind it states a current"
    charged = () if calculation.plant.devices[device].kind == "motor-breaker" else tuple(_charged(calculation, device))
    return _with_inrush(calculation, amps, charged) if charged else (amps, f"load current {figure_text(amps)} A")


def _of_arresters(calculation: Calculation, device: str) -> tuple[float, str] | None:
    """The least rated current that arresters behind a device state, A, and the words for it; None where it feeds anything else.
    Of those that state none, infinite: nothing can be proposed."""
    behind = [name for name in _fed(calculation, device) if not calculation.of(Circuit).out_of.get(name)]
    devices = [calculation.plant.devices[name] for name in behind]
    if not devices or any(made.kind != Kind.SURGE_PROTECTION for made in devices):
        return None
    stated = [(amount(made, "min-upstream") or 0.0, made.id) for made in devices]
    if not all(amps for amps, _ in stated):
        return inf, f"{stated[0][1]} does not state the smallest protection ahead of it"
    amps, name = max(stated)
    return amps, f"surges of {name}: no less than {figure_text(amps)} A"


def _fed(calculation: Calculation, device: str) -> list[str]:
    """What a device feeds, itself left out."""
    out_of = calculation.of(Circuit).out_of
    return list(walk((device,), lambda name: [step.fed for step in out_of.get(name, ())]))[1:]


def _charged(calculation: Calculation, device: str) -> Iterator[str]:
    """What draws an inrush behind a device, up to the next protection."""
    for step in calculation.of(Circuit).out_of.get(device, ()):
        kind = calculation.plant.devices[step.fed].kind
        if kind in CONVERTERS:
            yield step.fed
        elif kind not in PROTECTIVE:
            yield from _charged(calculation, step.fed)


def _with_inrush(calculation: Calculation, amps: float, charged: tuple[str, ...]) -> tuple[float, str]:
    """The least rated current ahead of what draws an inrush, A, and the words for it."""
    factor, least = calculation.settings.number("inrush-factor"), calculation.settings.number("smallest-inrush-rating")
    for name in charged:
        load = calculation.of(RatedLoads).device(name) or 0.0
        amps += max(load, amount(calculation.plant.devices[name], "input-current") or 0.0) - load
    if factor * amps < least:
        return least, f"inrush of {_listed(charged)}: no less than {figure_text(least)} A"
    return factor * amps, f"inrush of {_listed(charged)}: {figure_text(factor)} times its current of {figure_text(amps)} A"


def _listed(names: tuple[str, ...]) -> str:
    return names[0] if len(names) == 1 else f"{names[0]} and {len(names) - 1} more"
