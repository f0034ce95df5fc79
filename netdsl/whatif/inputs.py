"""Inputs that may be varied, and the network with another value of one in its place."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from math import isnan, nan

from msgspec import Struct
from msgspec.structs import replace

from netdsl.calc.basis import standard
from netdsl.findings import Span
from netdsl.model.plant import Cable, Conductor, Device
from netdsl.model.project import Choice
from netdsl.model.ratings import Ratings
from netdsl.network.types import Network
from netdsl.quantities import BASE_UNIT, UNITS, Quantity, number_text, parse_quantity, shown


class Vary(Struct, frozen=True):
    """An input over a range: `name`; `at`, the one thing whose value it is, "" for all; `low` to `high` in the base unit of
    `kind`, printed in `unit`, of which one is `factor` base units. `present`: the value as it is written, None where there is
    none, or several. `things`: whose values are changed."""

    name: str
    at: str
    low: float
    high: float
    kind: str
    unit: str
    factor: float
    present: float | None
    things: tuple[str, ...]

    def shown(self, value: float) -> str:
        """A value as printed: `6 kA`, `40 °C`, `3`."""
        return shown(f"{number_text(float(f'{value / self.factor:.4g}'))}{self.unit}")

    def network(self, network: Network, value: float) -> Network:
        """`network` with that value, in the base unit."""
        return (_INPUTS.get(self.name) or _CHOICE).put(self, network, value)


class _Input(Struct, frozen=True):
    """How an input is varied: `kind` of its value; `values` of the things that have it; `put`: the network with another."""

    kind: str
    values: Callable[[Network, str], Mapping[str, float]]
    put: Callable[[Vary, Network, float], Network]


def read_vary(text: str, at: str, network: Network) -> Vary | str:
    """What `NAME=a..b` asks for; else what is wrong with it, in words. `at`: the cable, route, place or supply whose value is
    meant."""
    name, equals, span = text.partition("=")
    parts = span.split("..") if equals else []
    unit = parts[-1].lstrip("-0123456789.") if parts else ""
    if len(parts) == 2 and parts[0][-1:].isdigit():
        parts[0] += unit
    ends = [parse_quantity(part) for part in parts]
    if len(ends) != 2 or ends[1] is None:
        return f"`{text}` is no range: write it as `fault-level=1kA..20kA`"
    known = _INPUTS.get(name) or _of_choice(name, network)
    if known is None:
        return f"`{name}` cannot be varied: {', '.join(NAMES)}, or a number that a project statement takes"
    low, high = (_in_kind(end, ends[1].kind) for end in ends)
    if low is None or high is None or not low < high:
        return f"`{span}` is no range from less to more, in one unit"
    kind = "number" if name == "length" and not at else known.kind
    if ends[1].kind != kind:
        return f"`{span}` is no {kind}" + (": name one cable with --at, or a factor on all lengths" if name == "length" else "")
    values = known.values(network, at)
    if not values:
        return f"nothing here states a `{name}`" if not at else f"`{at}` has no `{name}` to vary"
    single = {value for value in values.values() if not isnan(value)}
    present = 1.0 if name == "length" and not at else single.pop() if len(single) == 1 else None
    return Vary(name, at, low, high, kind, unit, UNITS[unit][1], present, tuple(values))


def _in_kind(end: Quantity | None, kind: str) -> float | None:
    """The value of an end of a range, where it is one number of that kind."""
    if end is None or len(end.values) != 1:
        return None
    return end.value if end.kind == kind else None


# --- supplies -----------------------------------------------------------------------------------------------------------------
def _levels(network: Network, at: str) -> dict[str, float]:
    devices = [device for device in network.plant.devices.values() if device.category == "supply" and at in ("", device.id)]
    return {device.id: amps for device in devices if (amps := device.ratings.amount("fault-current"))}


def _level(vary: Vary, network: Network, value: float) -> Network:
    """The fault level of supplies, the current to earth in the same proportion."""
    devices: dict[str, Device] = dict(network.plant.devices)
    for name in vary.things:
        ratings = Ratings(devices[name].ratings)
        before = ratings.amount("fault-current") or value
        for rating in ("fault-current", "earth-fault-current"):
            amps = ratings.amount(rating)
            if amps is not None:
                ratings[rating] = _quantity(value * amps / before, "current")
        devices[name] = replace(devices[name], ratings=ratings)
    return replace(network, plant=replace(network.plant, devices=devices))


# --- cables and ways ----------------------------------------------------------------------------------------------------------
def _lengths(network: Network, at: str) -> dict[str, float]:
    cables = network.plant.cables.values()
    return {cable.id: cable.length_m for cable in cables if cable.length_m is not None and at in ("", cable.id)}


def _length(vary: Vary, network: Network, value: float) -> Network:
    """The length of one cable, m, or a factor on the lengths of all."""
    cables: dict[str, Cable] = dict(network.plant.cables)
    runs, uses = dict(network.runs), dict(network.cables)
    for name in vary.things:
        length = value if vary.at else value * (cables[name].length_m or 0.0)
        cables[name] = replace(cables[name], length_m=length)
        if name in uses:
            uses[name] = replace(uses[name], cable=cables[name])
        for core in cables[name].conductors:
            runs[core] = replace(runs[core], length_m=length)
    return replace(network, plant=replace(network.plant, cables=cables), runs=runs, cables=uses)


def _stating(name: str, kind: str) -> _Input:
    """What cables and wires, routes and places state under a name; of a cable and a route that is named also where it states
    nothing yet. The air around all is also that of which the project says it; circuits are counted for every cable."""

    def values(network: Network, at: str) -> dict[str, float]:
        plant, found = network.plant, dict[str, float]()
        for table in (plant.cables, plant.routes, plant.places, plant.conductors):
            for thing in table.values():
                stated = thing.attributes.amount(name)
                if stated is not None and at in ("", thing.id):
                    found[thing.id] = stated
        if at and not found and at in (*plant.cables, *plant.routes):
            found[at] = nan
        if not at and name == "circuits":
            found = {cable: found.get(cable, nan) for cable in plant.cables}
        if not at and name == "ambient":
            chosen = plant.project.choices.get(name)
            found[""] = chosen.values[0] if chosen is not None else nan
        return found

    def put(vary: Vary, network: Network, value: float) -> Network:
        plant = network.plant
        cables: dict[str, Cable] = dict(plant.cables)
        conductors: dict[str, Conductor] = dict(plant.conductors)
        routes, places, choices = dict(plant.routes), dict(plant.places), dict(plant.project.choices)
        runs, uses = dict(network.runs), dict(network.cables)
        for thing in vary.things:
            said = {name: _quantity(value, kind)}
            if thing in cables:
                cables[thing] = replace(cables[thing], attributes=Ratings({**cables[thing].attributes, **said}))
                if thing in uses:
                    uses[thing] = replace(uses[thing], cable=cables[thing])
            elif thing in routes:
                routes[thing] = replace(routes[thing], attributes=Ratings({**routes[thing].attributes, **said}))
            elif thing in places:
                places[thing] = replace(places[thing], attributes=Ratings({**places[thing].attributes, **said}))
            elif thing in conductors:
                conductors[thing] = replace(conductors[thing], attributes=Ratings({**conductors[thing].attributes, **said}))
                runs[thing] = replace(runs[thing], conductor=conductors[thing])
        if not vary.at and name == "ambient":
            choices[name] = Choice((value,), "", _place(network))
        project = replace(plant.project, choices=choices)
        plant = replace(plant, cables=cables, conductors=conductors, routes=routes, places=places, project=project)
        return replace(network, plant=plant, runs=runs, cables=uses)

    return _Input(kind, values, put)


def _quantity(value: float, kind: str) -> Quantity:
    unit = BASE_UNIT[kind]
    return Quantity((value,), kind, "single", f"{number_text(value)}{unit}")


# --- what a project chooses -----------------------------------------------------------------------------------------------------
#: unit of a usual value as it is printed -> kind of a quantity; all others are plain numbers
_KINDS = {"%": "percent", "°C": "temperature", "A": "current", "s": "time", "m": "length", "Ω": "resistance", "mm²": "section"}


def _of_choice(name: str, network: Network) -> _Input | None:
    usual = standard("choices").get(name)
    if usual is None or isinstance(usual.get("value"), str) or usual.get("series"):
        return None
    chosen = network.plant.project.choices.get(name)
    present = chosen.values[0] if chosen is not None and chosen.values else usual.get("value")
    values = {name: nan if present is None else float(present)}
    return _Input(_KINDS.get(usual["unit"], "number"), lambda _, at: {} if at else values, _choose)


def _place(network: Network) -> Span:
    """Where a choice that is tried would stand."""
    return network.plant.project.span or next(iter(network.plant.devices.values())).span


def _choose(vary: Vary, network: Network, value: float) -> Network:
    plant = network.plant
    choices = {**plant.project.choices, vary.name: Choice((value,), "", _place(network))}
    return replace(network, plant=replace(plant, project=replace(plant.project, choices=choices)))


_INPUTS = {
    "fault-level": _Input("current", _levels, _level),
    "length": _Input("length", _lengths, _length),
    "ambient": _stating("ambient", "temperature"),
    "grouping": _stating("circuits", "number"),
}
#: what may be varied by a name of its own
NAMES = tuple(_INPUTS)
_CHOICE = _Input("number", lambda *_: {}, _choose)
