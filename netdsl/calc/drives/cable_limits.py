"""The longest motor cable that a drive, its category of emission, or a filter at its output allows."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from msgspec import Struct

from netdsl.calc.basis import Calculation, Gap, Given, amount, word
from netdsl.calc.circuit import Circuit
from netdsl.kept import cached_property
from netdsl.model.plant import Cable, Device
from netdsl.sums import sum_of

ABSENT = ("motor cable length", "peak voltage at the motor")


class CableLimit(Struct, frozen=True):
    """What limits the motor cables of a drive: where it is stated, in words, and what else must be known."""

    given: Given | None
    words: str = ""
    note: str = ""


class CableLimits:
    """Limits by drive; `emission`: the category that a drive has to keep, "" where nobody says."""

    def __init__(self, calculation: Calculation, emission: Callable[[Device], str]) -> None:
        self._calculation, self._plant, self._emission = calculation, calculation.plant, emission

    def of(self, drive: Device, cables: tuple[Cable, ...]) -> CableLimit:
        """The shortest of the limits that hold: of the drive, of its category of emission, of a filter at its output."""
        soft = [*self.soft(cables, "dvdt"), *self.soft(cables, "reactor")]
        if soft:
            stated = [_limit_of(device, "max-cable-length") for device in soft]
            found = [given for given in stated if given is not None]
            shown = ", ".join(device.id for device in soft)
            if not found:
                return self._own_or_missing(drive, cables, soft, shown)
            return CableLimit(min(found, key=_value), f"stated for {shown}")
        screened = all(cable.screen for cable in cables)
        plain = _limit_of(drive, "max-cable-length")
        if not screened:
            plain = _limit_of(drive, "max-cable-length-unscreened") or plain
        emission = self._emission(drive)
        category = _limit_of(drive, f"max-cable-length-{emission.lower()}") if emission else None
        if category is not None and screened and (plain is None or _value(category) <= _value(plain)):
            return CableLimit(category, f"of the drive in category {emission}")
        note = "" if plain else "the drive states no longest motor cable"
        return CableLimit(plain, "of the drive" if plain else "", note)

    def _own_or_missing(self, drive: Device, cables: tuple[Cable, ...], soft: list[Device], shown: str) -> CableLimit:
        """Behind filters of which no longest cable is stated: what the drive allows without them is allowed with them; beyond
        that it is not known, and noted as missing."""
        own = _limit_of(drive, "max-cable-length")
        total = sum_of((cable.length_m or 0.0) * cable.parallel for cable in cables)
        if own is not None and total <= _value(own):
            return CableLimit(own, "of the drive", f"{shown} states none of its own")
        things = (*(cable.id for cable in cables), *(device.id for device in soft))
        remedy = "add `max-cable-length=` to the filter or reactor, or to its part"
        feeder = self._calculation.of(Circuit).feeder(drive.id)
        gap = Gap(feeder, "longest motor cable behind the filter", things, ABSENT[:1], cables[0].span, remedy)
        self._calculation.gaps.note(gap)
        return CableLimit(None, "", f"behind {shown}, of which no `max-cable-length` is stated: its data hold")

    @cached_property
    def _before(self) -> dict[str, tuple[str, ...]]:
        """Filters and reactors between the drive and each cable behind them."""
        circuit, found = self._calculation.of(Circuit), {}
        softening = {device.id for device in self._plant.devices.values() if device.kind in ("filter", "reactor")}
        for device in self._plant.devices if softening else ():
            for path in circuit.paths(device):
                if path.drive and path.step is not None and path.parent is not None:
                    between = tuple(name for name in path.parent.devices if name in softening)
                    found.update(dict.fromkeys(path.step.cables, between) if between else {})
        return found

    def soft(self, cables: Sequence[Cable], kind: str) -> list[Device]:
        """Filters of a kind (`sine`, `dvdt`) or output reactors (`reactor`) ahead of any of the cables."""
        names = dict.fromkeys(name for cable in cables for name in self._before.get(cable.id, ()))
        devices = (self._plant.devices[name] for name in names)
        return [device for device in devices if (device.kind if kind == "reactor" else word(device, "filter")) == kind]


def rated(device: Device, name: str, symbol: str, words: str, unit: str = "V") -> Given | None:
    """A rating of a device as a value to put in; None where it states none."""
    value = amount(device, name)
    return None if value is None else Given(symbol, value, unit, f"{words}, `{name}` of {device.id}", device.span)


def _limit_of(device: Device, name: str) -> Given | None:
    return rated(device, name, "L_max", "longest motor cable", "m")


def _value(given: Given) -> float:
    return given.value
