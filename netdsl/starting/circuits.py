"""The text of one function per motor: its feeder, its cable, the `use` of its way of running."""

from __future__ import annotations

import math

from msgspec import Struct

from netdsl.quantities import number_text
from netdsl.starting.choosing import (
    cage_motor,
    contactor_for,
    drive_for,
    feeder_device,
    feeder_rating,
    motor_breaker_for,
    motor_current,
    soft_starter_for,
    two_speed_motor,
)
from netdsl.starting.motor_list import Motor
from netdsl.starting.practice import CURVE_D, practice

_CURVE_D = "a breaker of curve D, with the margin of an inrush, bears the starting current"
#: terminals of a strip from here on are 0 V, those before 24 V
ZERO_FROM = 100
#: current in a winding in delta over that of the line, 1 / sqrt(3) as rating plates round it
_PHASE = 0.58
_DOOR = "door=+MCP.D door-way=DUCT2,HINGE1"


class Ways(Struct, frozen=True):
    """What the panel keeps for a motor: its power duct, the 24 V strip with the first terminals, the earth way, its station of
    the serial line (station number from 1, number of stations, designation before it), the duct of its drive's output
    (bypass)."""

    duct: str
    rail: str
    feed: int
    earth: int
    station: int = 0
    stations: int = 0
    before: str = ""
    output: str = ""


def line_current(motor: Motor) -> float:
    """Rated current of a motor at 400 V, A; at the high speed where it has two."""
    if motor.way == "two-speed":
        return two_speed_motor(motor.power_w).high
    return motor_current(motor.power_w)


def drawn_current(motor: Motor) -> float:
    """What all motors of a line of the list take from the busbars together, A."""
    return motor.running.motors * taken_current(motor)


def taken_current(motor: Motor) -> float:
    """What a feeder takes from the busbars at rated load, A."""
    if motor.running.driven:
        drive = drive_for(motor.power_w, line_current(motor))
        assert drive is not None  # as above
        return max(drive.input, line_current(motor))
    return line_current(motor)


def function_text(motor: Motor, ways: Ways) -> str:
    """The function of a motor."""
    driven = motor.running.driven
    body = [
        f"defaults class=mains along={ways.duct}{' section=auto' if driven else ''}",
        *(_with_drive(motor, ways) if driven else _starter(motor, ways)),
    ]
    return "\n".join(
        (
            f"# {motor.way}, {number_text(motor.power_w / 1000)} kW",
            f'function ={motor.designation} "{motor.description}" at=+MCP {{',
            *(f"  {line}" if line else "" for line in body),
            "}\n",
        )
    )


def _starter(motor: Motor, ways: Ways) -> list[str]:
    in_two_steps = motor.way == "star-delta"  # its contactors make the connections that links make elsewhere
    curve_d = motor.running.starting == CURVE_D
    device = _CURVE_D if curve_d else "a motor breaker bears the starting current"
    strip = []
    if motor.running.contacts:
        strip = ['strip -X1 "Field terminals" at=+MCP {', f'  :1..{motor.running.contacts} 2.5mm2 "contacts in the field"', "}"]
    contacts = f" strip=-X1 first=1 control-way={motor.place}-CONTROL/1,DUCT2" if motor.running.contacts else ""
    lines = [
        *strip,
        f"# {_motor_words(motor)}; {device}{_cable_words(motor, '; ')}",
        f"use {motor.running.scheme} bus=-WB1 {_rail(ways)} bar=-XE1 earth={ways.earth}{contacts} {_DOOR} "
        f"field=+{motor.place} way={motor.place}-MAINS power={number_text(motor.power_w / 1000)}kW "
        f"current={number_text(line_current(motor))}A {_choices(motor)} "
        f"section=auto construction={motor.running.cores}Gauto "
        f"contactor-part={contactor_for(motor.power_w, line_current(motor))} "
        f"motor-part={_motor_part(motor)} length={_length(motor)}",
    ]
    if in_two_steps or motor.way == "two-speed":
        return lines
    return [*lines, *_links(motor)]


def _choices(motor: Motor) -> str:
    """What a scheme on the mains is given beside power and current of its motor."""
    amps = line_current(motor)
    rating = f"rating={_rating(motor)}" if motor.running.starting == CURVE_D else "rating=auto"
    if motor.way == "star-delta":
        in_phase = amps * _PHASE
        # of a small motor two decimals would be below what flows in normal work
        return f"phase-current={number_text(round(in_phase, 2 if in_phase >= 1 else 3))}A {rating}"
    if motor.way == "two-speed":
        return f"{rating} current-low={number_text(two_speed_motor(motor.power_w).low)}A rating-low=auto"
    if motor.way == "soft-starter":
        start = math.ceil(amps * practice()["motors"]["soft_start"])
        starter, breaker = soft_starter_for(motor.power_w, amps), motor_breaker_for(amps)
        return f"starting-current={start}A starter-part={starter} breaker-part={breaker}"
    return rating


def _rail(ways: Ways) -> str:
    """Where a scheme takes 24 V: its strip, the first terminal of each pole."""
    return f"rail={ways.rail} feed={ways.feed} zero={ways.feed + ZERO_FROM}"


def _motor_part(motor: Motor) -> str:
    """The library's motor for a scheme, which sets its winding or leaves it; the general one where the list has another
    winding."""
    part = cage_motor(motor.power_w)
    assert part is not None  # the reading refused powers beyond the library
    if motor.way == "two-speed":
        return two_speed_motor(motor.power_w).name
    set_by_scheme = bool(motor.running.winding)
    return part.name if set_by_scheme or part.winding == motor.winding else "motor"


def _rating(motor: Motor) -> str:
    return f"{number_text(feeder_rating(line_current(motor)))}A"


def _links(motor: Motor) -> list[str]:
    made = "star" if motor.winding == "230/400V" else "delta"
    return [f"connect -M{number} {made}" for number in range(1, motor.running.motors + 1)]


def _length(motor: Motor) -> str:
    return f"{number_text(motor.length_m)}m"


def _motor_words(motor: Motor) -> str:
    """What the current of a motor, and its winding, are taken from."""
    part = two_speed_motor(motor.power_w) if motor.way == "two-speed" else cage_motor(motor.power_w)
    assert part is not None  # the reading refused powers beyond the library
    amps, next_up = number_text(line_current(motor)), number_text(part.power / 1000)
    words = f"{amps} A, of the library's motor of {'two windings' if motor.way == 'two-speed' else '4 poles'}"
    words = words if part.power <= motor.power_w + 1e-6 else f"{amps} A, in proportion to the library's motor of {next_up} kW"
    return f"{words}; winding assumed" if motor.leaves_open("voltage") else words


def _cable_words(motor: Motor, mark: str) -> str:
    return f"{mark}length assumed" if motor.leaves_open("cable length") else ""


def _with_drive(motor: Motor, ways: Ways) -> list[str]:
    amps = line_current(motor)
    drive, part = drive_for(motor.power_w, amps), cage_motor(motor.power_w)
    assert drive is not None and part is not None  # the reading refused powers beyond the library
    name, device = feeder_device(taken_current(motor))
    settings = " ".join((f"motor-current={number_text(amps)}A", *(motor.running.settings or ())))
    earth = "10mm2" if drive.input <= 50 else "auto"  # above 50 A the phases ask for more than a leakage current does
    lines = [
        f"device {name} {device} current=auto",
        f"device -T1 {drive.name}  # the smallest for {number_text(motor.power_w / 1000)} kW and {number_text(amps)} A",
        f"set -T1 {settings}",
        f"wire -WB1:L1,L2,L3 to {name}:1,3,5",
        f"wire {name}:2,4,6 to -T1:L1,L2,L3",
        f"wire -T1:PE to -XE1:{ways.earth} {earth} along={ways.duct}"
        "  # a drive leaks more than 3.5 mA: 10 mm2, or a second conductor",
    ]
    if motor.way == "mains-bypass":
        return [*lines, *_bypass(motor, ways, amps)]
    xlpe = " insulation=XLPE" if amps > practice()["motors"]["xlpe_above_a"] else ""
    current = "" if part.power <= motor.power_w + 1e-6 else f" current={number_text(amps)}A"
    return [
        *lines,
        f"device -M1 {part.name} at=+{motor.place} power={number_text(motor.power_w / 1000)}kW{current} winding={motor.winding}"
        f"  # {_motor_words(motor)}",
        *_links(motor),
        f'cable -W1 4Gauto screened{xlpe} "motor cable" length={_length(motor)} method=E along={motor.place}-DRIVES {{'
        + _cable_words(motor, "  # "),
        "  BN -T1:U to -M1:U1",
        "  BK -T1:V to -M1:V1",
        "  GY -T1:W to -M1:W1",
        "  GNYE -T1:PE2 to -M1:PE",
        "  screen -T1:SH clamp to -M1:SH gland",
        "}",
        *(_by_hand() if motor.way == "drive" else [_run(motor, ways)]),
    ]


def _by_hand() -> list[str]:
    """Buttons, potentiometer and lamps of a drive that is run at the panel alone."""
    return [
        'device -R1 potentiometer "Speed" at=+MCP.D',
        'device -S1 push-button-stop "Stop" at=+MCP.D',
        'device -S2 push-button-start "Start" at=+MCP.D',
        'device -P1 lamp "Fault" at=+MCP.D',
        'device -P2 lamp "Running" at=+MCP.D',
        "wire -T1:(supply-24v) to -S1:21 to -S2:13 along=DUCT2,HINGE1",
        "wire -S1:22 to -T1:(stop) along=DUCT2,HINGE1",
        "wire -S2:14 to -T1:(start) along=DUCT2,HINGE1",
        "use drive-potentiometer drive=-T1 speed=-R1 cable=-W2 door-way=DUCT2,HINGE1",
        "use drive-lamps drive=-T1 feed=-S2:13 fault=-P1 running=-P2 door-way=DUCT2,HINGE1",
        'caution on -T1 "Set the drive to start on a pulse and stop on an opening contact: a maintained start only jogs."',
        'caution on -T1 "Its stop button is no emergency stop and isolates nothing."',
    ]


def _run(motor: Motor, ways: Ways) -> str:
    field = f"panel=+MCP field=+{motor.place} field-way={motor.place}-CONTROL/2,DUCT3 length={_length(motor)} {_DOOR}"
    if motor.way == "preset-speeds":
        return f"use preset-speeds drive=-T1 panel=+MCP {_DOOR}"
    if motor.way == "local-remote":
        return f"use local-remote drive=-T1 {field} control-room=+CTRL control-way=RISER1,DUCT3 control-length=40m"
    if motor.way == "serial-bus":
        return _station(motor.running.scheme, ways)
    return f"use {motor.running.scheme} drive=-T1 {field}"


def _station(scheme: str, ways: Ways) -> str:
    place = "last" if ways.station == ways.stations else "first" if ways.station == 1 else "middle"
    before = "master==SL1-A1" if place == "first" else f"previous=={ways.before}"
    way = "way=RISER1,DUCT3 length=40m" if ways.station == 1 else "way=DUCT3"
    return (
        f"use {scheme}-{place} {before} drive=-T1 address={10 + ways.station} {_rail(ways)} "
        f"enable==SL1-X3:{ways.station + 1} {_DOOR} speed-way=DUCT3,HINGE1 {way}"
    )


def _bypass(motor: Motor, ways: Ways, amps: float) -> list[str]:
    return [
        'strip -X1 "Field terminals" at=+MCP {',
        '  :1..2 2.5mm2 "release"',
        "}",
        'device -X2 screen-bar "Screens" at=+MCP ways=2',
        'device -R1 potentiometer "Speed" at=+MCP.D',
        f"# {_motor_words(motor)}; {_CURVE_D}{_cable_words(motor, '; ')}",
        f"use {motor.running.scheme} drive=-T1 bus=-WB1 {_rail(ways)} bar=-XE1 earth={ways.earth + 1} "
        f"screens=-X2 screen=1 strip=-X1 first=1 {_DOOR} field=+{motor.place} way={motor.place}-DRIVES "
        f"control-way={motor.place}-CONTROL/1 panel-way={ways.output} power={number_text(motor.power_w / 1000)}kW "
        f"current={number_text(amps)}A rating={_rating(motor)} section=auto construction={motor.running.cores}Gauto "
        f"drive-construction=3xauto contactor-part={contactor_for(motor.power_w, amps)} "
        f"motor-part={_motor_part(motor)} length={_length(motor)}",
        "use drive-potentiometer drive=-T1 speed=-R1 cable=-W4 door-way=DUCT2,HINGE1",
        *_links(motor),
    ]
