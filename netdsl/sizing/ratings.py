"""The smallest rating of a protective device that carries its load."""

from __future__ import annotations

from netdsl.calc.calculation import Calculation
from netdsl.calc.results import figure_text
from netdsl.sizing.items import Item, setting_ranges

_DRIVE = "drive"


def load_of(calculation: Calculation, device: str) -> float | None:
    """Current of what a device protects or, of a drive, of the motor it feeds, A; None if unknown."""
    made = calculation.plant.devices[device]
    if made.kind == _DRIVE:
        currents = [calculation.loads.device(step.fed) for step in calculation.circuit.out_of.get(device, ())]
        return sum(amps for amps in currents if amps is not None) if currents and None not in currents else None
    return calculation.loads.device(device)


def smallest_rating(calculation: Calculation, item: Item) -> tuple[float, str]:
    """The smallest size of the item's series that carries its load, A, and the words for it; the present size without a load."""
    amps = load_of(calculation, item.device)
    if amps is None or not item.series:
        return item.present or (item.series[0] if item.series else 0.0), "its load is not known: as written"
    words = f"load current {figure_text(amps)} A"
    if calculation.plant.devices[item.device].kind == "motor-breaker":
        fitting = [high for low, high in setting_ranges() if low - 1e-9 <= amps <= high + 1e-9]
        return (fitting[0], f"{words} lies in its setting range") if fitting else (item.series[-1], words)
    size = next((size for size in item.series if size >= amps - 1e-9), None)
    return (size, words) if size is not None else (item.series[-1], f"{words} is more than the series has")
