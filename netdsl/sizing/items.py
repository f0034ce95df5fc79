"""What can be sized: cables, wires, protective conductors and protective devices, each with the series it is chosen from."""

from __future__ import annotations

from collections.abc import Iterator

from msgspec import Struct

from netdsl.calc import Calculation
from netdsl.calc.basis import amount, one_table, tables
from netdsl.findings import Span
from netdsl.model.kinds import BREAKING, PROTECTIVE
from netdsl.model.open_values import OpenValue
from netdsl.model.plant import Cable, Device
from netdsl.network.classes import SIGNAL_CLASSES
from netdsl.network.queries import is_protective
from netdsl.network.types import ConductorClass, Network, Run
from netdsl.quantities import number_text

POWER = frozenset({ConductorClass.MAINS, ConductorClass.MOTOR})


class Item(Struct, frozen=True, eq=False):
    """One thing with a size.

    `kind`: "section" of wires, "cable", "rating" of a protective device, "setting" of its release or of a drive. `name`: what it
    is called in a report; `conductors`: those that take the section; `device`: the protective device. `series`: sizes to
    choose from, ascending, mm2 or A. `written`: as it stands in the text, "auto" where left open. `present`: the size that
    is written, None for an open one. `open_values`: where it is left open. `klass`: the class of its conductors.
    """

    kind: str
    name: str
    conductors: tuple[str, ...]
    device: str
    series: tuple[float, ...]
    written: str
    present: float | None
    open_values: tuple[OpenValue, ...]
    klass: str
    span: Span

    @property
    def unit(self) -> str:
        """Unit of its sizes."""
        return "mm2" if self.kind in ("section", "cable") else "A"


def items_of(network: Network, calculation: Calculation) -> tuple[Item, ...]:
    """Everything with a size, in order of the text: wires by statement (or by the `defaults` that gives their section), cables
    of one section, rated protective devices."""
    return (*_wires(network, calculation), *_cables(network, calculation), *_devices(network, calculation))


def sections(calculation: Calculation, power: bool) -> tuple[float, ...]:
    """The sections to choose from, mm2: those the shop stocks, else IEC 60228, from the smallest that the use allows."""
    stocked = calculation.settings.series("stock-sections")
    table = next(table for table in tables("conductors", "dc_resistance") if table["conductor_class"] == 2)
    smallest = calculation.settings.number("smallest-power-section" if power else "smallest-control-section")
    return tuple(size for size in (stocked or tuple(map(float, table["section_mm2"]))) if size >= smallest - 1e-9)


def ratings(calculation: Calculation, kind: str, curve: str) -> tuple[float, ...]:
    """Rated currents to choose from, A: those the shop stocks, else the usual series of the kind of device."""
    stocked = calculation.settings.series("stock-ratings")
    if stocked:
        return stocked
    series = next(
        table for table in tables("series", "rated_current") if kind in table["kinds"] and curve in table.get("curves", [curve])
    )
    return tuple(map(float, series["amps"]))


def setting_ranges() -> tuple[tuple[float, float], ...]:
    """Setting ranges of motor protection breakers to choose from, A, ascending."""
    table = one_table("series", "setting_range")
    return tuple((float(low), float(high)) for low, high in table["amps"])


def _wires(network: Network, calculation: Calculation) -> Iterator[Item]:
    opened = {name: value for value in network.plant.open_values if value.kind == "section" for name in value.subjects}
    defaults = {value.statement: value for value in network.plant.open_values if value.kind == "defaults"}
    groups: dict[object, list[Run]] = {}
    for run in network.runs.values():
        if run.conductor.cable is None and not run.conductor.is_tooth:
            groups.setdefault(_key(run, opened), []).append(run)
    for runs in groups.values():
        first = runs[0]
        found = [
            value for run in runs if (value := opened.get(run.id) or defaults.get(run.origin.get("section", run.conductor.span)))
        ]
        power = any(run.klass in POWER for run in runs)
        sizes = {run.section_mm2 for run in runs}
        present = first.section_mm2 if len(sizes) == 1 else None
        written = "auto" if found else f"{number_text(present)}mm2" if present else "not stated"
        name = f"wire {first.id}" + (f" and {len(runs) - 1} more" if len(runs) > 1 else "")
        earth = any(run.klass == ConductorClass.EARTH for run in runs)
        yield Item(
            "section",
            name,
            tuple(run.id for run in runs),
            "",
            sections(calculation, power or earth),
            written,
            present,
            tuple(dict.fromkeys(found)),
            first.klass.value,
            first.conductor.span,
        )


def _key(run: Run, opened: dict[str, OpenValue]) -> object:
    """What wires are sized together, since one word of the text gives their section: those of one open value, of one `defaults`,
    of one statement."""
    if run.id in opened:
        return opened[run.id].span
    return run.origin.get("section") or (run.conductor.span, run.conductor.use, run.section_mm2)


def _cables(network: Network, calculation: Calculation) -> Iterator[Item]:
    opened = {value.subjects[0]: value for value in network.plant.open_values if value.kind == "construction"}
    for use in network.cables.values():
        cable = use.cable
        if not _of_one_section(cable) or not cable.conductors:
            continue
        value = opened.get(cable.id)
        power = use.klass in POWER or all(network.runs[core].klass == ConductorClass.EARTH for core in cable.conductors)
        present = cable.cores[0].section_mm2 or None
        series = sections(calculation, power)
        if use.klass in SIGNAL_CLASSES and present is not None:
            series = (present, *(size for size in series if size > present))  # its data sheet decides, not a check here
        yield Item(
            "cable",
            f"cable {cable.id}",
            cable.conductors,
            "",
            series,
            cable.construction,
            present,
            (value,) if value else (),
            use.klass.value,
            cable.span,
        )


def _of_one_section(cable: Cable) -> bool:
    """Whether a construction is one count of cores of one section, `4G10`, `2x2x0.75`: only then one number is its size."""
    return len({core.section_mm2 for core in cable.cores}) == 1 and "+" not in cable.construction


def _devices(network: Network, calculation: Calculation) -> Iterator[Item]:
    opened: dict[tuple[str, str], OpenValue] = {
        (value.subjects[0], value.kind): value
        for value in network.plant.open_values
        if value.subjects and value.kind not in ("section", "construction")
    }
    for device in network.plant.devices.values():
        if device.kind in BREAKING and _in_power(network, device):
            yield _rated(calculation, device, opened)
        for (subject, name), value in opened.items():
            if subject == device.id and name not in ("current", "setting-range"):
                yield Item("setting", f"{name} of {device.id}", (), device.id, (), "auto", None, (value,), "", device.span)


def _in_power(network: Network, device: Device) -> bool:
    return device.id in network.power.graph and device.kind in PROTECTIVE


def _rated(calculation: Calculation, device: Device, opened: dict[tuple[str, str], OpenValue]) -> Item:
    values = tuple(opened[device.id, name] for name in ("current", "setting-range") if (device.id, name) in opened)
    present = amount(device, "current")
    curve = str(device.ratings.get("curve", ""))
    if device.kind == "motor-breaker":
        series = tuple(high for _, high in setting_ranges())
    else:
        series = ratings(calculation, device.kind, curve)
    if present and not values and series and present < series[0]:
        series = (present, *series)  # one less than the series begins with may stay
    written = "auto" if values else f"{number_text(present)}A" if present is not None else "not stated"
    return Item("rating", device.id, (), device.id, series, written, present, values, "", device.span)


def is_earth(network: Network, item: Item) -> bool:
    """Whether all conductors of an item are protective ones."""
    plant = network.plant
    return bool(item.conductors) and all(
        all(
            end.device in plant.places or is_protective(plant.devices[end.device], end.terminal)
            for end in plant.conductors[name].ends
        )
        for name in item.conductors
    )
