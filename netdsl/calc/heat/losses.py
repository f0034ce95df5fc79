"""Heat that devices give off inside an enclosure: as stated, else from their efficiency, coils and poles by listed
assumptions."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterator
from math import sqrt

from msgspec import Struct

from netdsl.calc.basis import Calculation, Given, amount, one_table, tables
from netdsl.calc.loads import LoadCurrents
from netdsl.findings import Span
from netdsl.model.plant import Device
from netdsl.sums import sum_of

#: kinds whose losses make an enclosure warm, and must be known
HOT = frozenset({"drive", "reactor", "filter", "supply-24v", "transformer"})
#: kinds of `HOT` whose stated losses alone make the enclosure worth computing
CALLING = frozenset({"drive", "reactor", "supply-24v", "transformer"})
_POLES = {
    "breaker": "pole_losses",
    "motor-breaker": "pole_losses",
    "fuse": "pole_losses",
    "isolator": "pole_losses",
    "residual-device": "pole_losses",
    "contactor": "contactor_pole_losses",
    "overload": "contactor_pole_losses",
}
#: devices whose own consumption becomes heat where they stand; a heater works only while it is cold, a socket feeds what is
#: outside
_WARM = frozenset("controller relay safety-relay contactor lamp fan meter timer sensor transmitter".split())
_GROUPS = {
    "drive": "drives",
    "reactor": "reactors and filters",
    "filter": "reactors and filters",
    "supply-24v": "supplies and transformers",
    "transformer": "supplies and transformers",
}
OTHERS, COILS, POLES = "other devices", "coils and consumption", "poles of switchgear"


class Loss(Struct, frozen=True):
    """What a device gives off, W, None where it must be known and is not. `group`: what it is added up with. `source` and
    `confidence`: of the assumption, empty where the netlist states the value."""

    device: str
    watts: float | None
    group: str
    span: Span
    source: str = ""
    confidence: str = ""


class Losses:
    """Losses by device, at rated load, all devices at once."""

    def __init__(self, calculation: Calculation) -> None:
        self._calculation = calculation

    def of(self, device: Device) -> tuple[Loss, ...]:
        """What a device gives off; empty for what gives off nothing to speak of."""
        stated = amount(device, "losses")
        if stated is not None:
            return (Loss(device.id, stated, _GROUPS.get(device.kind, OTHERS), device.span),)
        if device.kind == "reactor" and not amount(device, "efficiency"):
            return (self._reactor(device),)
        if device.kind in HOT:
            return (self._converter(device),)
        return tuple(self._switchgear(device))

    def _converter(self, device: Device) -> Loss:
        """A drive, supply, transformer or reactor that states no losses: by its efficiency, else by a share of its output."""
        group, watts = _GROUPS[device.kind], _output(device)
        efficiency = amount(device, "efficiency")
        if watts is not None and efficiency:
            return Loss(device.id, watts * (100 / efficiency - 1), group, device.span)
        share = next((row for row in tables("thermal", "share") if row["kind"] == device.kind), None)
        if watts is None or share is None:
            return Loss(device.id, None, group, device.span)
        source, sure = str(share["source"]), str(share["confidence"])
        self._calculation.settings.assume(
            f"losses of {device.kind}",
            f"losses of a {device.kind} that states none: {share['percent']:g} % of its rating",
            source,
            sure,
        )
        return Loss(device.id, watts * share["percent"] / 100, group, device.span, source, sure)

    def _reactor(self, device: Device) -> Loss:
        """A reactor that states no losses: in between those of the shipped parts, by the reactive power it takes."""
        amps, table = amount(device, "current"), one_table("thermal", "reactor_losses")
        if not amps:
            return Loss(device.id, None, _GROUPS["reactor"], device.span)
        drop, volts = amount(device, "drop") or table["drop_percent"], amount(device, "voltage") or table["voltage"]
        alike = amps * drop / table["drop_percent"] * volts / table["voltage"]
        source, sure = str(table["source"]), str(table["confidence"])
        words = (
            "losses of reactors that state none: between those of the shipped parts, by current, drop and voltage"
            f" ({table['drop_percent']:g} % and {table['voltage']:g} V where they state none)"
        )
        self._calculation.settings.assume("reactor-losses", words, source, sure)
        return Loss(device.id, _between(table["current_a"], table["watts"], alike), _GROUPS["reactor"], device.span, source, sure)

    def _switchgear(self, device: Device) -> Iterator[Loss]:
        own = sum_of(consumer.power.value for consumer in device.consumers if consumer.power is not None)
        if not own:
            own = amount(device, "power") or 0.0 if device.kind != "contactor" else 0.0
        if device.kind in _WARM and own:
            yield Loss(device.id, own, COILS, device.span)
        name = _POLES.get(device.kind)
        poles = sum(path.kind == "pole" for path in device.paths)
        if name is not None and poles:
            yield self._poles(device, name, poles)

    def _poles(self, device: Device, name: str, poles: int) -> Loss:
        """Poles in series with the load: by a stated resistance, else by the rated current; of the load's current where known."""
        load = self._calculation.of(LoadCurrents).device(device.id)
        rated, ohms = amount(device, "current"), amount(device, "resistance")
        if ohms is not None and load is not None:
            return Loss(device.id, poles * ohms * load**2, POLES, device.span)
        if rated is None:
            rated = load or 0.0
        table = one_table("thermal", name)
        source, sure = str(table["source"]), str(table["confidence"])
        what = "switchgear that states" if name == "pole_losses" else "contactors and overload relays that state"
        words = f"losses of the poles of {what} none: by the rated current, with the square of the load"
        self._calculation.settings.assume(name.replace("_", "-"), words, source, sure)
        share = min(1.0, load / rated) if load is not None and rated else 1.0
        return Loss(
            device.id, poles * _at_size(table["current_a"], table["watts"], rated) * share**2, POLES, device.span, source, sure
        )


def _output(device: Device) -> float | None:
    """Rated power of a converter, W or VA; of a reactor that it passes."""
    if device.kind in ("reactor", "filter"):
        volts, amps = amount(device, "voltage"), amount(device, "current")
        return sqrt(3) * volts * amps if volts and amps else None
    stated = amount(device, "power") or amount(device, "apparent-power")
    if stated is not None or device.kind == "drive":
        return stated
    source = next((source for source in device.sources if source.voltage is not None and source.current is not None), None)
    return source.voltage.value * source.current.value if source and source.voltage and source.current else None


def _between(sizes: list[float], watts: list[float], current: float) -> float:
    """Losses in a straight line between the sizes beside; below the first no less than its own, beyond the last in proportion."""
    above = bisect_left(sizes, current)
    if above in (0, len(sizes)):
        return watts[0] if above == 0 else watts[-1] * current / sizes[-1]
    share = (current - sizes[above - 1]) / (sizes[above] - sizes[above - 1])
    return watts[above - 1] + share * (watts[above] - watts[above - 1])


def _at_size(sizes: list[float], watts: list[float], current: float) -> float:
    """Losses at the next size, beyond the last in proportion; nothing without a current."""
    if not current:
        return 0.0
    for size, value in zip(sizes, watts, strict=True):
        if current <= size + 1e-9:
            return value
    return watts[-1] * current / sizes[-1]


def group_given(number: int, name: str, members: list[Loss]) -> Given:
    """Losses of devices of one group, the devices named with theirs."""
    words = f"{name}: " + ", ".join(f"{loss.device} {loss.watts or 0:.4g} W" for loss in members)
    guessed = next((loss for loss in members if loss.source), None)
    total = sum(loss.watts or 0.0 for loss in members)
    return Given(
        f"P_{number}",
        total,
        "W",
        words,
        members[0].span,
        guessed.source if guessed else "",
        guessed.confidence if guessed else "",
    )
