"""The text of one function per motor: its feeder, its cable, the `use` of its way of running."""

from __future__ import annotations

from dataclasses import dataclass

from netdsl.quantities import number_text
from netdsl.starting.choosing import WITH_DRIVE, cage_motor, contactor_for, drive_for, feeder_device, feeder_rating, motor_current
from netdsl.starting.motor_list import Motor

_CURVE_D = "a breaker of curve D, with the margin of an inrush, bears the starting current"
_DOOR = "door=+MCP.D door-way=DUCT2,HINGE1"


@dataclass(frozen=True, slots=True)
class Ways:
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
    """Rated current of a motor at 400 V, A."""
    return motor_current(motor.power_w)


def taken_current(motor: Motor) -> float:
    """What the feeder takes from the busbars at rated load, A."""
    if motor.way in WITH_DRIVE:
        drive = drive_for(motor.power_w, line_current(motor))
        assert drive is not None  # as above
        return max(drive.input, line_current(motor))
    return line_current(motor)


def function_text(motor: Motor, ways: Ways) -> str:
    """The function of a motor."""
    body = [
        f"defaults class=mains along={ways.duct}{' section=auto' if motor.way in WITH_DRIVE else ''}",
        *(_with_drive(motor, ways) if motor.way in WITH_DRIVE else _starter(motor, ways)),
    ]
    lines = "\n".join(f"  {line}" if line else "" for line in body)
    return f'# {motor.way}, {number_text(motor.power_w / 1000)} kW\nfunction ={motor.designation} "{motor.description}" at=+MCP {{\n{lines}\n}}\n'


def _starter(motor: Motor, ways: Ways) -> list[str]:
    amps = number_text(line_current(motor))
    cores = 7 if motor.way == "star-delta" else 4
    phase = f" phase-current={number_text(round(line_current(motor) * 0.58, 2))}A" if motor.way == "star-delta" else ""
    part = contactor_for(motor.power_w, line_current(motor))
    device, rating = (
        (_CURVE_D, _rating(motor)) if motor.way == "star-delta" else ("a motor breaker bears the starting current", "auto")
    )
    lines = [
        f"# {_motor_words(motor)}; {device}{_cable_words(motor, '; ')}",
        f"use {motor.way} bus=-WB1 rail={ways.rail} feed={ways.feed} zero={ways.feed + 100} bar=-XE1 earth={ways.earth} {_DOOR} "
        f"field=+{motor.place} way={motor.place}-MAINS power={number_text(motor.power_w / 1000)}kW current={amps}A{phase} "
        f"rating={rating} section=auto construction={cores}Gauto contactor-part={part} motor-part={_motor_part(motor)} length={_length(motor)}",
    ]
    return lines if motor.way == "star-delta" else [*lines, _links(motor)]


def _motor_part(motor: Motor) -> str:
    """The library's motor for a scheme, which sets its winding or leaves it; the general one where the list has another
    winding."""
    part = cage_motor(motor.power_w)
    assert part is not None  # the reading refused powers beyond the library
    set_by_scheme = motor.way in ("star-delta", "mains-bypass")
    return part.name if set_by_scheme or part.winding == motor.winding else "motor"


def _rating(motor: Motor) -> str:
    return f"{number_text(feeder_rating(line_current(motor)))}A"


def _links(motor: Motor) -> str:
    return f"connect -M1 {'star' if motor.winding == '230/400V' else 'delta'}"


def _length(motor: Motor) -> str:
    return f"{number_text(motor.length_m)}m"


def _motor_words(motor: Motor) -> str:
    """What the current of a motor, and its winding, are taken from."""
    part = cage_motor(motor.power_w)
    assert part is not None  # the reading refused powers beyond the library
    amps, next_up = number_text(line_current(motor)), number_text(part.power / 1000)
    words = f"{amps} A, of the library's motor of 4 poles"
    words = words if part.power <= motor.power_w + 1e-6 else f"{amps} A, in proportion to the library's motor of {next_up} kW"
    return f"{words}; winding assumed" if motor.leaves_open("voltage") else words


def _cable_words(motor: Motor, mark: str) -> str:
    return f"{mark}length assumed" if motor.leaves_open("cable length") else ""


def _with_drive(motor: Motor, ways: Ways) -> list[str]:
    amps = line_current(motor)
    drive, part = drive_for(motor.power_w, amps), cage_motor(motor.power_w)
    assert drive is not None and part is not None  # the reading refused powers beyond the library
    name, device = feeder_device(taken_current(motor))
    settings = f"motor-current={number_text(amps)}A"
    settings += " ai2=4..20mA" if motor.way in ("local-remote", "closed-loop") else ""
    settings += " enable-input=on" if motor.way not in ("three-wire", "preset-speeds") else ""
    earth = "10mm2" if drive.input <= 50 else "auto"
    lines = [
        f"device {name} {device} current=auto",
        f"device -T1 {drive.name}  # the smallest for {number_text(motor.power_w / 1000)} kW and {number_text(amps)} A",
        f"set -T1 {settings}",
        f"wire -WB1:L1,L2,L3 to {name}:1,3,5",
        f"wire {name}:2,4,6 to -T1:L1,L2,L3",
        f"wire -T1:PE to -XE1:{ways.earth} {earth} along={ways.duct}  # a drive leaks more than 3.5 mA: 10 mm2, or a second conductor",
    ]
    if motor.way == "mains-bypass":
        return [*lines, *_bypass(motor, ways, amps)]
    current = "" if part.power <= motor.power_w + 1e-6 else f" current={number_text(amps)}A"
    return [
        *lines,
        f"device -M1 {part.name} at=+{motor.place} power={number_text(motor.power_w / 1000)}kW{current} winding={motor.winding}"
        f"  # {_motor_words(motor)}",
        _links(motor),
        f'cable -W1 4Gauto screened "motor cable" length={_length(motor)} method=E along={motor.place}-DRIVES {{{_cable_words(motor, "  # ")}',
        "  BN -T1:U to -M1:U1",
        "  BK -T1:V to -M1:V1",
        "  GY -T1:W to -M1:W1",
        "  GNYE -T1:PE2 to -M1:PE",
        "  screen -T1:SH clamp to -M1:SH gland",
        "}",
        _run(motor, ways),
    ]


def _run(motor: Motor, ways: Ways) -> str:
    field = f"panel=+MCP field=+{motor.place} field-way={motor.place}-CONTROL/2,DUCT3 length={_length(motor)} {_DOOR}"
    if motor.way == "preset-speeds":
        return f"use preset-speeds drive=-T1 panel=+MCP {_DOOR}"
    if motor.way == "local-remote":
        return f"use local-remote drive=-T1 {field} control-room=+CTRL control-way=RISER1,DUCT3 control-length=40m"
    if motor.way == "serial-bus":
        return _station(ways)
    scheme = {"two-wire": "two-wire-start", "three-wire": "three-wire-start", "closed-loop": "closed-loop-two-wire"}[motor.way]
    return f"use {scheme} drive=-T1 {field}"


def _station(ways: Ways) -> str:
    place = "last" if ways.station == ways.stations else "first" if ways.station == 1 else "middle"
    before = "master==SL1-A1" if place == "first" else f"previous=={ways.before}"
    way = "way=RISER1,DUCT3 length=40m" if ways.station == 1 else "way=DUCT3"
    return (
        f"use bus-station-{place} {before} drive=-T1 address={10 + ways.station} rail={ways.rail} feed={ways.feed} zero={ways.feed + 100} "
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
        f"use mains-bypass drive=-T1 bus=-WB1 rail={ways.rail} feed={ways.feed} zero={ways.feed + 100} bar=-XE1 earth={ways.earth + 1} "
        f"screens=-X2 screen=1 strip=-X1 first=1 {_DOOR} field=+{motor.place} way={motor.place}-DRIVES control-way={motor.place}-CONTROL/1 "
        f"panel-way={ways.output} power={number_text(motor.power_w / 1000)}kW current={number_text(amps)}A rating={_rating(motor)} section=auto "
        f"construction=4Gauto drive-construction=3xauto contactor-part={contactor_for(motor.power_w, amps)} "
        f"motor-part={_motor_part(motor)} length={_length(motor)}",
        "use drive-potentiometer drive=-T1 speed=-R1 cable=-W4 door-way=DUCT2,HINGE1",
        _links(motor),
    ]
