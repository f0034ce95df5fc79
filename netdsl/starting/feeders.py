"""What a motor of the list takes from its panel, what the panel keeps for it, and words that say where its figures are from."""

from __future__ import annotations

from collections.abc import Iterable

from msgspec import Struct

from netdsl.quantities import number_text
from netdsl.starting.choosing import Part, brake_watts, cage_motor, drive_for, feeder_rating, motor_current, own_part
from netdsl.starting.motor_list import Motor
from netdsl.sums import sum_of

#: terminals of a strip from here on are 0 V, those before 24 V
ZERO_FROM = 100
#: where a door's wires lie
DOOR = "door=+MCP.D door-way=DUCT2,HINGE1"


class Ways(Struct, frozen=True):
    """What the panel keeps for a motor: its power duct, the 24 V strip with the first terminals, the earth way, its station of
    the serial line (station number from 1, number of stations, designation before it), the duct of its drive's output to
    what stands in the panel, the conduit of its brake resistor, the channels by which a controller commands it."""

    duct: str
    rail: str
    feed: int
    earth: int
    station: int = 0
    stations: int = 0
    before: str = ""
    output: str = ""
    resistor: str = ""
    channels: tuple[str, ...] = ()


def part_of(motor: Motor) -> Part:
    """The library's part that its power and current are those of: its way's own, else the cage motor of 4 poles."""
    part = own_part(motor.running, motor.power_w) if motor.running.parts else cage_motor(motor.power_w)
    assert part is not None  # the reading refused powers beyond the library
    return part


def line_current(motor: Motor) -> float:
    """Rated current of a motor at 400 V, A; at the high speed where it has two."""
    return part_of(motor).current if motor.running.parts else motor_current(motor.power_w)


def drive_of(motor: Motor) -> Part:
    """The smallest drive for all motors on it."""
    series = "vsd-brake" if motor.way == "brake-motor" else "vsd"
    drive = drive_for(motor.quantity * motor.power_w, motor.quantity * line_current(motor), series)
    assert drive is not None  # as above
    return drive


def drawn_current(motor: Motor) -> float:
    """What all motors of a line of the list take from the busbars together, A."""
    return motor.running.motors * taken_current(motor)


def taken_current(motor: Motor) -> float:
    """What a feeder takes from the busbars at rated load, A."""
    amps = motor.quantity * line_current(motor)
    return max(drive_of(motor).input, amps) if motor.running.driven else amps


def rail_watts(motors: Iterable[Motor]) -> float:
    """What motors take from their panel's 24 V with all of it on, W."""
    return sum_of((motor.running.rail_w or 0.0) + (brake_watts(part_of(motor)) if _braked(motor) else 0.0) for motor in motors)


def _braked(motor: Motor) -> bool:
    return motor.way == "brake-motor"


def rail(ways: Ways) -> str:
    """Where a scheme takes 24 V: its strip, the first terminal of each pole."""
    return f"rail={ways.rail} feed={ways.feed} zero={ways.feed + ZERO_FROM}"


def length(motor: Motor) -> str:
    """Length of its cables as the language writes it."""
    return f"{number_text(motor.length_m)}m"


def power(motor: Motor) -> str:
    """Its power as the language writes it."""
    return f"{number_text(motor.power_w / 1000)}kW"


def rating(motor: Motor) -> str:
    """Rating of a device with the margin of an inrush, as the language writes it."""
    return f"{number_text(feeder_rating(line_current(motor)))}A"


def motor_part(motor: Motor) -> str:
    """The library's motor for a scheme, which sets its winding or leaves it; the general one where the list has another
    winding."""
    part = part_of(motor)
    set_by_scheme = bool(motor.running.winding)
    return part.name if motor.running.parts or set_by_scheme or part.winding == motor.winding else "motor"


def links(motor: Motor) -> list[str]:
    """How the windings of the motors of a line are joined."""
    made = "star" if motor.winding == "230/400V" else "delta"
    return [f"connect -M{number} {made}" for number in range(1, motor.quantity * motor.running.motors + 1)]


def motor_words(motor: Motor) -> str:
    """What the current of a motor, and its winding, are taken from."""
    part = part_of(motor)
    amps, next_up = number_text(line_current(motor)), number_text(part.power / 1000)
    words = f"{amps} A, of the library's {motor.running.part or 'motor of 4 poles'}"
    words = words if part.power <= motor.power_w + 1e-6 else f"{amps} A, in proportion to the library's motor of {next_up} kW"
    return f"{words}; winding assumed" if motor.leaves_open("voltage") and motor.winding else words


def cable_words(motor: Motor, mark: str) -> str:
    """That the length of its cable is assumed, behind `mark`; "" where the list gives it."""
    return f"{mark}length assumed" if motor.leaves_open("cable length") else ""
