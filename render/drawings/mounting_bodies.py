"""What is mounted in an enclosure and on its door: how large it is, what room it needs, and to which row it belongs."""

from __future__ import annotations

from enum import IntEnum

from msgspec import Struct

from netdsl.model.kinds import CONVERTERS, Category, Kind
from netdsl.model.plant import Device, Role
from netdsl.sums import sum_of


class Zone(IntEnum):
    """Rows of a plate from above: what gives off heat, power, control, terminals. BESIDE: not on the plate."""

    HEAT = 0
    POWER = 1
    CONTROL = 2
    TERMINALS = 3
    BESIDE = 4


#: kinds that need no place of their own: they sit on another device or in its wiring
_CARRIED = {Kind.SUPPRESSOR, Kind.AUX_CONTACT, Kind.GLAND, Kind.INTERLOCK, Kind.COMB}
_HEATING = {*CONVERTERS, Kind.SOFT_STARTER, Kind.REACTOR, Kind.FILTER, Kind.RESISTOR} - {Kind.SUPPLY_24V}
_POWERED = {
    Kind.ISOLATOR,
    Kind.BREAKER,
    Kind.MOTOR_BREAKER,
    Kind.CONTACTOR,
    Kind.OVERLOAD,
    Kind.FUSE,
    Kind.RESIDUAL_DEVICE,
    Kind.BUSBAR,
    Kind.DISTRIBUTION_BLOCK,
    Kind.SURGE_PROTECTION,
}
_TERMINALS = {Kind.STRIP, Kind.EARTH_BAR, Kind.SCREEN_BAR, Kind.TERMINAL_BOX, Kind.PLUG}
_IN_WALLS = {Kind.FAN, Kind.LAMP}
#: width, height, depth in mm of what states no size, as such things commonly have it; by kind
_TYPICAL: dict[str, tuple[float, float, float]] = {
    Kind.BREAKER: (54.0, 90.0, 75.0),
    Kind.FUSE: (54.0, 90.0, 75.0),
    Kind.RESIDUAL_DEVICE: (72.0, 90.0, 75.0),
    Kind.MOTOR_BREAKER: (45.0, 90.0, 90.0),
    Kind.CONTACTOR: (45.0, 85.0, 85.0),
    Kind.OVERLOAD: (45.0, 80.0, 80.0),
    Kind.ISOLATOR: (90.0, 100.0, 90.0),
    Kind.SURGE_PROTECTION: (72.0, 90.0, 75.0),
    Kind.BUSBAR: (140.0, 90.0, 60.0),
    Kind.DISTRIBUTION_BLOCK: (100.0, 80.0, 60.0),
    Kind.REACTOR: (120.0, 130.0, 90.0),
    Kind.FILTER: (80.0, 200.0, 90.0),
    Kind.RESISTOR: (80.0, 220.0, 60.0),
    Kind.DRIVE: (130.0, 260.0, 190.0),
    Kind.SOFT_STARTER: (120.0, 180.0, 150.0),
    Kind.TRANSFORMER: (100.0, 110.0, 90.0),
    Kind.SUPPLY_24V: (60.0, 125.0, 120.0),
    Kind.CONTROLLER: (130.0, 100.0, 75.0),
    Kind.SAFETY_RELAY: (22.5, 100.0, 115.0),
    Kind.RELAY: (22.5, 80.0, 70.0),
    Kind.TIMER: (22.5, 80.0, 70.0),
    Kind.SIGNAL_CONVERTER: (22.5, 100.0, 115.0),
    Kind.THERMOSTAT: (40.0, 65.0, 40.0),
    Kind.HEATER: (70.0, 120.0, 80.0),
    Kind.EARTH_BAR: (200.0, 30.0, 40.0),
    Kind.SCREEN_BAR: (200.0, 30.0, 40.0),
    Kind.SOCKET: (45.0, 90.0, 60.0),
}
_LARGE_BAR = (160.0, 250.0, 120.0, 80.0)  # busbars of more than the first, A
_OTHER = (45.0, 80.0, 70.0)
#: fronts of what is mounted in a door, mm, and its cut-out: width and height, one alone a diameter, none where there
#: is no usual one (IEC 60947-5-1, from memory)
_FRONTS: dict[str, tuple[tuple[float, float], tuple[float, ...]]] = {
    Kind.METER: ((48.0, 48.0), (45.0, 45.0)),
    Kind.FAN: ((252.0, 252.0), (224.0, 224.0)),
    Kind.CONTROLLER: ((212.0, 156.0), (198.0, 142.0)),
    Kind.SOCKET: ((85.0, 85.0), (68.0,)),
    Kind.ISOLATOR: ((64.0, 64.0), ()),  # a rotary handle: which holes it takes, its own drawing alone says
    Kind.EMERGENCY_STOP: ((60.0, 60.0), (22.5,)),
}
_FRONT: tuple[tuple[float, float], tuple[float, ...]] = ((30.0, 40.0), (22.5,))
_POLE = 17.5  # width of a pole of a device on a rail, mm
#: width of a terminal for a section, mm
_TERMINAL_WIDTHS = ((2.5, 5.2), (4.0, 6.2), (6.0, 8.2), (10.0, 10.2), (16.0, 12.2), (35.0, 16.0), (70.0, 20.0), (240.0, 31.0))
_STRIP_HEIGHT, _STRIP_DEPTH, _STRIP_ENDS = 60.0, 50.0, 20.0


class Body(Struct, frozen=True):
    """A device with its body and the room to keep free round it, mm. `stated`: the size is that of its part. `at`: where
    `position=` puts it, from the left and the upper edge of its place, `row`: the row that `row=` states, else 0. `cutout`: of
    what goes through a door, () where it is not known, `cutout_stated`: by its part. `fixing`, `hole`: between the middles of its
    fixing holes, or (), and their diameter, 0 where that is not stated."""

    device: Device
    width: float
    height: float
    depth: float
    zone: Zone
    stated: bool = True
    above: float = 0.0
    below: float = 0.0
    beside: float = 0.0
    at: tuple[float, float] | None = None
    row: int = 0
    cutout: tuple[float, ...] = ()
    cutout_stated: bool = False
    fixing: tuple[float, ...] = ()
    hole: float = 0.0

    @property
    def size_words(self) -> str:
        """`45 x 90 x 75`, and whether that is only a usual size."""
        words = f"{self.width:g} x {self.height:g}" + (f" x {self.depth:g}" if self.depth else "")
        return words if self.stated else f"{words}, size not stated"


def is_mounted(device: Device) -> bool:
    """Whether a device needs a place of its own."""
    return device.category in (Category.DEVICE, Category.STRIP, Category.BUSBAR) and device.kind not in _CARRIED


def inside_body(device: Device) -> Body:
    """A device as it stands on a plate."""
    size, stated = _size(device)
    above, below, beside = (1000 * (device.ratings.amount(f"clearance-{side}") or 0.0) for side in ("above", "below", "beside"))
    row = int(device.ratings.amount("row") or 0)
    fixing, hole = _lengths(device, "fixing"), 1000 * (device.ratings.amount("fixing-hole") or 0.0)
    return Body(device, *size, _zone(device), stated, above, below, beside, _position(device), row, fixing=fixing, hole=hole)


def door_body(device: Device, worked_here: bool) -> Body:
    """A device that is mounted in a door; `worked_here`: its handle alone is there, itself stands on the plate."""
    front, usual = _FRONTS[Kind.ISOLATOR] if worked_here else _FRONTS.get(device.kind, _FRONT)
    stated = _lengths(device, "cutout")
    return Body(
        device,
        *front,
        0.0,
        Zone.BESIDE,
        False,
        at=None if worked_here else _position(device),
        cutout=stated or usual,
        cutout_stated=bool(stated),
    )


def _lengths(device: Device, name: str) -> tuple[float, ...]:
    stated = device.ratings.quantity(name)
    return tuple(round(1000 * value, 2) for value in stated.values) if stated is not None else ()


def _position(device: Device) -> tuple[float, float] | None:
    position = device.ratings.quantity("position")
    return (1000 * position.values[0], 1000 * position.last) if position is not None and len(position.values) > 1 else None


def _zone(device: Device) -> Zone:
    kind = device.kind
    if kind in _IN_WALLS:
        return Zone.BESIDE
    if kind in _HEATING:
        return Zone.HEAT
    if kind in _TERMINALS or device.category == Category.STRIP:
        return Zone.TERMINALS
    return Zone.POWER if kind in _POWERED else Zone.CONTROL


def _size(device: Device) -> tuple[tuple[float, float, float], bool]:
    """Width, height and depth, and whether they are stated."""
    body = device.ratings.quantity("body")
    if body is not None and len(body.values) > 1:
        width, height, *depth = (round(1000 * value, 1) for value in body.values)
        return (width, height, depth[0] if depth else 0.0), True
    if device.category == Category.STRIP:
        return (strip_width(device), _STRIP_HEIGHT, _STRIP_DEPTH), False
    width, height, deep = _TYPICAL.get(device.kind, _OTHER)
    if device.kind in (Kind.BREAKER, Kind.FUSE, Kind.RESIDUAL_DEVICE):
        poles = sum(terminal.role in (Role.LINE_IN, Role.NEUTRAL) for terminal in device.terminals.values())
        width = _POLE * max(min(poles, 4), 1)
    if device.kind == Kind.BUSBAR and (device.ratings.amount("current") or 0.0) > _LARGE_BAR[0]:
        width, height, deep = _LARGE_BAR[1:]
    if device.kind in (Kind.EARTH_BAR, Kind.SCREEN_BAR):
        width = 20.0 + 8.0 * max(len(device.terminals), 4)
    return (width, height, deep), False


def strip_width(strip: Device) -> float:
    """Width of a strip by the sizes of its terminals, with its end brackets, mm."""
    levels = {name.partition(".")[0]: terminal for name, terminal in strip.terminals.items()}
    widths = (_terminal_width(terminal.clamp.section) for terminal in levels.values())
    return round(sum_of(widths) + _STRIP_ENDS, 1)


def _terminal_width(sections: tuple[float, float] | None) -> float:
    most = sections[1] if sections is not None else 2.5
    return next((width for section, width in _TERMINAL_WIDTHS if most <= section), _TERMINAL_WIDTHS[-1][1])
