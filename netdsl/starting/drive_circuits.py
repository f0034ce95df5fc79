"""The lines of a function whose motor runs on a drive: its feeder, its cable, the `use` of its way of running."""

from __future__ import annotations

from netdsl.quantities import number_text
from netdsl.starting.choosing import contactor_for, feeder_device
from netdsl.starting.feeders import (
    DOOR,
    Ways,
    cable_words,
    drive_of,
    length,
    line_current,
    links,
    motor_part,
    motor_words,
    part_of,
    power,
    rail,
    rating,
    taken_current,
)
from netdsl.starting.mains_circuits import CURVE_D_WORDS, field_strip
from netdsl.starting.motor_list import Motor
from netdsl.starting.practice import practice
from netdsl.starting.using import use_lines


def with_drive(motor: Motor, ways: Ways) -> list[str]:
    """Feeder, drive, cable, motor, and how it is run."""
    lines = fed_drive(motor, ways)
    if motor.way == "mains-bypass":
        return [*lines, *_bypass(motor, ways, line_current(motor))]
    return [*lines, *motor_and_cable(motor), *(by_hand() if motor.way == "drive" else _run(motor, ways))]


def fed_drive(motor: Motor, ways: Ways) -> list[str]:
    """A drive with its protective device, settings and protective conductor."""
    amps = motor.quantity * line_current(motor)
    drive = drive_of(motor)
    name, device = feeder_device(taken_current(motor))
    watts = number_text(motor.quantity * motor.power_w / 1000)
    return [
        f"device {name} {device} current=auto",
        f"device -T1 {drive.name}  # the smallest for {watts} kW and {number_text(amps)} A",
        drive_settings(motor),
        f"wire -WB1:L1,L2,L3 to {name}:1,3,5",
        f"wire {name}:2,4,6 to -T1:L1,L2,L3",
        drive_earth(motor, ways),
    ]


def drive_settings(motor: Motor) -> str:
    """What its drive is set to."""
    amps = number_text(motor.quantity * line_current(motor))
    return " ".join((f"set -T1 motor-current={amps}A", *(motor.running.settings or ())))


def drive_earth(motor: Motor, ways: Ways) -> str:
    """The protective conductor of its drive."""
    earth = "10mm2" if drive_of(motor).input <= 50 else "auto"  # above 50 A the phases ask for more than a leakage current does
    why = "a drive leaks more than 3.5 mA: 10 mm2, or a second conductor"
    return f"wire -T1:PE to -XE1:{ways.earth} {earth} along={ways.duct}  # {why}"


def motor_and_cable(motor: Motor) -> list[str]:
    """A motor in the field with its screened cable from the drive."""
    part, amps = part_of(motor), line_current(motor)
    xlpe = " insulation=XLPE" if amps > practice()["motors"]["xlpe_above_a"] else ""
    current = "" if part.power <= motor.power_w + 1e-6 else f" current={number_text(amps)}A"
    return [
        f"device -M1 {part.name} at=+{motor.place} power={power(motor)}{current} winding={motor.winding}  # {motor_words(motor)}",
        *links(motor),
        f'cable -W1 4Gauto screened{xlpe} "motor cable" length={length(motor)} method=E along={motor.place}-DRIVES {{'
        + cable_words(motor, "  # "),
        "  BN -T1:U to -M1:U1",
        "  BK -T1:V to -M1:V1",
        "  GY -T1:W to -M1:W1",
        "  GNYE -T1:PE2 to -M1:PE",
        "  screen -T1:SH clamp to -M1:SH gland",
        "}",
    ]


def by_hand() -> list[str]:
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
        "use drive-lamps drive=-T1 feed=-T1:(supply-24v) fault=-P1 running=-P2 door-way=DUCT2,HINGE1",
        'caution on -T1 "Set the drive to start on a pulse and stop on an opening contact: a maintained start only jogs."',
        'caution on -T1 "Its stop button is no emergency stop and isolates nothing."',
    ]


def _run(motor: Motor, ways: Ways) -> list[str]:
    field = f"field=+{motor.place} field-way={motor.place}-CONTROL/2,DUCT3 length={length(motor)}"
    if motor.way == "preset-speeds":
        return use_lines("preset-speeds", "drive=-T1 panel=+MCP", DOOR)
    if motor.way == "local-remote":
        room = "control-room=+CTRL control-way=RISER1,DUCT3 control-length=40m"
        return use_lines("local-remote", "drive=-T1 panel=+MCP", DOOR, field, room)
    if motor.way == "serial-bus":
        return _station(motor.running.scheme, ways)
    return use_lines(motor.running.scheme, "drive=-T1 panel=+MCP", DOOR, field)


def _station(scheme: str, ways: Ways) -> list[str]:
    place = "last" if ways.station == ways.stations else "first" if ways.station == 1 else "middle"
    before = "master==SL1-A1" if place == "first" else f"previous=={ways.before}"
    return use_lines(
        f"{scheme}-{place}",
        f"{before} drive=-T1 address={10 + ways.station}",
        f"{rail(ways)} enable==SL1-X3:{ways.station + 1}",
        f"{DOOR} speed-way=DUCT3,HINGE1",
        "way=RISER1,DUCT3 length=40m" if ways.station == 1 else "way=DUCT3",
    )


def _bypass(motor: Motor, ways: Ways, amps: float) -> list[str]:
    return [
        *field_strip(motor, "release"),
        'device -X2 screen-bar "Screens" at=+MCP ways=2',
        'device -R1 potentiometer "Speed" at=+MCP.D',
        f"# {motor_words(motor)}; {CURVE_D_WORDS}{cable_words(motor, '; ')}",
        *use_lines(
            motor.running.scheme,
            f"drive=-T1 bus=-WB1 {rail(ways)} bar=-XE1 earth={ways.earth + 1}",
            f"screens=-X2 screen=1 strip=-X1 first=1 {DOOR}",
            f"field=+{motor.place} way={motor.place}-DRIVES control-way={motor.place}-CONTROL/1 panel-way={ways.output}",
            f"power={power(motor)} current={number_text(amps)}A rating={rating(motor)}",
            f"contactor-part={contactor_for(motor.power_w, amps)} motor-part={motor_part(motor)}",
            "section=auto",
            f"construction={motor.running.cores}Gauto length={length(motor)}",
            "drive-construction=3xauto",
        ),
        "use drive-potentiometer drive=-T1 speed=-R1 cable=-W4 door-way=DUCT2,HINGE1",
        *links(motor),
    ]
