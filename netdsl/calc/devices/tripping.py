"""A protective device as the calculation sees it, and what its ratings say."""

from __future__ import annotations

from msgspec import Struct, field

from netdsl.calc.basis import Given, Settings, amount
from netdsl.findings import Span
from netdsl.model.plant import Device

#: seconds
HOUR = 3600.0


class Point(Struct, frozen=True):
    """A device has operated within `seconds` at `amps` and above. `joined`: between the point before and this one the time falls
    along a straight line on logarithmic axes; else it stays that of the point before up to this one."""

    amps: float
    seconds: float
    words: str
    source: str
    confidence: str
    joined: bool = False
    span: Span | None = None


class Characteristic(Struct, frozen=True):
    """A protective device as the calculation sees it.

    `device`: its id, or that of the supply whose `upstream` it is. `kind`: "breaker" (IEC 60898-1 or 60947-2), "fuse",
    "motor-breaker", "overload", "residual-device". `curve`: B, C, D, gG, aR or "". `rated_a`: rated current; `set_a`: the current
    its overload release is set to (rated where it has no setting); `tripping_a`: conventional tripping current I2;
    `instantaneous_a`: lower and upper end of the instantaneous band, None without one; `overload`, `short_circuit`: whether it
    protects against that; `residual_a`: rated residual current. Currents in A, each None if unknown. `givens`: where these come
    from. `points`: currents with the times within which the device is certain to have operated, both ascending in current;
    `residual_points`: the same for currents to earth. `energy`: a limit of what it lets through, A2s; `energies`: the same by
    prospective current, A, ascending, where it depends on it. `clearing`: the time, s, in which the netlist says it breaks a
    fault, whatever its characteristic. `holds`: currents at and below which it has certainly not operated within a time,
    ascending in current; `pre_arcing`: the energy below which a fuse does not melt, A2s; `delay`: how long the
    short-circuit release of an industrial breaker waits, s.
    """

    device: str
    kind: str
    curve: str
    rated_a: float | None
    set_a: float | None
    tripping_a: float | None
    instantaneous_a: tuple[float, float] | None
    overload: bool
    short_circuit: bool
    residual_a: float | None = None
    givens: tuple[Given, ...] = ()
    points: tuple[Point, ...] = ()
    residual_points: tuple[Point, ...] = ()
    energy: Given | None = None
    energies: tuple[tuple[float, float], ...] = ()
    clearing: Given | None = None
    holds: tuple[Point, ...] = ()
    pre_arcing: Given | None = None
    delay: Given | None = None


class Sought(Struct):
    """A device under study: `curve`, rated current, its givens so far."""

    device: Device
    settings: Settings
    kind: str
    curve: str
    rated: float
    givens: list[Given] = field(default_factory=list)
    stated: bool = True

    def stating(self, name: str, symbol: str, unit: str, words: str) -> Given | None:
        """A rating or setting of the device as a value to put in; None where it is not stated, or `upstream` only names it."""
        value = amount(self.device, name) if self.stated else None
        if value is None:
            return None
        return Given(symbol, value, unit, f"{words} of {self.device.id}", place(self.device, name))


def place(device: Device, name: str) -> Span:
    """Where a rating is stated: on the device, or in its part."""
    part = device.part
    if (
        part is not None
        and name not in device.settings_set
        and name in part.ratings
        and part.ratings[name] is device.ratings.get(name)
    ):
        return part.span
    return device.span
