"""The network as it would be with other sizes: sections of runs and cables, ratings of devices, put in place of the written
ones.

Rejected: writing the sizes into the text and reading it anew. A search makes up to a hundred of these, and what is joined to
what, which takes most of the reading, does not depend on a size.
"""

from __future__ import annotations

from collections.abc import Mapping

from msgspec.structs import replace

from netdsl.model.plant import Cable, Conductor, Device, Ratings
from netdsl.network.types import CableUse, Network, Run
from netdsl.quantities import Quantity, number_text
from netdsl.sizing.items import Item, setting_ranges


def with_sizes(network: Network, sizes: Mapping[Item, float]) -> Network:
    """`network` with each item at its size, mm2 or A; everything that depends on connections alone stays."""
    plant = network.plant
    runs: dict[str, Run] = dict(network.runs)
    conductors: dict[str, Conductor] = dict(plant.conductors)
    cables: dict[str, Cable] = dict(plant.cables)
    uses: dict[str, CableUse] = dict(network.cables)
    devices: dict[str, Device] = dict(plant.devices)
    for item, size in sizes.items():
        if not size:
            continue  # nothing is known of it: as written
        for name in item.conductors:
            conductors[name] = replace(conductors[name], section_mm2=size)
            runs[name] = replace(runs[name], conductor=conductors[name], section_mm2=size)
        if item.kind == "cable":
            cable = cables[item.name.removeprefix("cable ")]
            cables[cable.id] = replace(cable, cores=tuple(replace(core, section_mm2=size) for core in cable.cores))
            uses[cable.id] = replace(uses[cable.id], cable=cables[cable.id])
        elif item.kind == "rating":
            devices[item.device] = _rated(devices[item.device], size)
        elif item.kind == "setting":
            devices[item.device] = _set(devices[item.device], item, size)
    changed = replace(plant, conductors=conductors, cables=cables, devices=devices)
    return replace(network, plant=changed, runs=runs, cables=uses)


def amps(value: float) -> Quantity:
    """A current as a quantity, A."""
    return Quantity((value,), "current", "single", f"{number_text(value)}A")


def _rated(device: Device, size: float) -> Device:
    ratings = Ratings(device.ratings, current=amps(size))
    if device.kind == "motor-breaker":
        low, high = range_up_to(size)
        ratings["setting-range"] = Quantity((low, high), "current", "range", f"{number_text(low)}..{number_text(high)}A")
    return replace(device, ratings=ratings)


def range_up_to(size: float) -> tuple[float, float]:
    """The setting range whose upper end is `size`, A."""
    return next((found for found in setting_ranges() if found[1] >= size - 1e-9), (size, size))


def _set(device: Device, item: Item, size: float) -> Device:
    name = item.open_values[0].kind
    return replace(device, settings=Ratings({**device.settings, name: amps(size)}), settings_set=device.settings_set | {name})
