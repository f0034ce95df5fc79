"""The lines of a function with a drive that is more than one with its commands: a brake, several motors, an isolator, a stop, a
gate."""

from __future__ import annotations

from netdsl.quantities import number_text
from netdsl.starting.choosing import brake_resistor_for, contactor_for, isolator_for
from netdsl.starting.drive_circuits import drive_earth, drive_settings, fed_drive, motor_and_cable
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
    taken_current,
)
from netdsl.starting.motor_list import Motor
from netdsl.starting.using import use_lines

_SPEED = 'device -R{} potentiometer "Speed" at=+MCP.D'


def braked(motor: Motor, ways: Ways) -> list[str]:
    """A motor with a holding brake and a brake resistor, which stands in the room of the panel."""
    drive, amps = drive_of(motor), line_current(motor)
    return [
        'strip -X1 "Field terminals" at=+MCP {',
        '  :1..2 2.5mm2 "brake resistor not too hot"',
        "}",
        'device -X2 screen-bar "Screens" at=+MCP ways=4',
        f"device -T1 {drive.name}  # the smallest for {number_text(motor.power_w / 1000)} kW and {number_text(amps)} A",
        drive_settings(motor),
        drive_earth(motor, ways),
        "wire -T1:COM to -T1:DCM",
        f"# {motor_words(motor)}{cable_words(motor, '; ')}",
        *use_lines(
            motor.running.scheme,
            f"drive=-T1 bus=-WB1 {rail(ways)} bar=-XE1 earth={ways.earth + 1}",
            f"screens=-X2 screen=1 strip=-X1 first=1 {DOOR}",
            f"field=+{motor.place} way={motor.place}-DRIVES control-way={motor.place}-CONTROL/1,DUCT2",
            f"resistor-at=+ROOM resistor-way={ways.resistor} resistor-part={brake_resistor_for(motor.power_w)}",
            f"power={power(motor)} current={number_text(amps)}A rating=auto motor-part={part_of(motor).name}",
            f"contactor-part={contactor_for(0.0, taken_current(motor))}",
            "brake-construction=2xauto",
            "section=auto",
            f"construction=4Gauto length={length(motor)}",
        ),
        _SPEED.format(2),
        "use drive-potentiometer drive=-T1 speed=-R2 cable=-W5 door-way=DUCT2,HINGE1",
        *links(motor),
    ]


def shared(motor: Motor, ways: Ways) -> list[str]:
    """Several motors on one drive, each behind a breaker of its own."""
    number, amps = motor.quantity, line_current(motor)
    lines = [
        *fed_drive(motor, ways),
        f'busbar -WB2 "Output of the drive" at=+MCP poles=3 current={max(25, -(-int(number * amps + 1) // 25) * 25)}A',
        f'device -X2 screen-bar "Screens" at=+MCP ways={number + 2}',
        *use_lines(
            motor.running.scheme,
            f"drive=-T1 bars=-WB2 last=-Q{number + 10}:14 {DOOR}",
            f"panel-way={ways.output} screens=-X2 screen=1 construction=3xauto",
        ),
        _SPEED.format(1),
        f"use drive-potentiometer drive=-T1 speed=-R1 cable=-W{number + 2} door-way=DUCT2,HINGE1",
        f"# {motor_words(motor)}{cable_words(motor, '; ')}",
    ]
    for each in range(1, number + 1):
        lines += use_lines(
            f"{motor.running.scheme}-motor",
            f"motor=-M{each} breaker=-Q{each + 10} cable=-W{each + 1} bars=-WB2",
            f"permit-from={'-T1:(supply-24v)' if each == 1 else f'-Q{each + 9}:14'}",
            f"bar=-XE1 earth={ways.earth + each} screens=-X2 screen={each + 1}",
            f"field=+{motor.place} way={motor.place}-DRIVES",
            f"power={power(motor)} current={number_text(amps)}A rating=auto motor-part={motor_part(motor)}",
            "section=auto",
            f"construction=4Gauto length={length(motor)}",
        )
    return [*lines, *links(motor)]


def isolated(motor: Motor, ways: Ways) -> list[str]:
    """A drive with an isolator beside its motor, run by buttons."""
    amps = line_current(motor)
    return [
        *fed_drive(motor, ways),
        'strip -X1 "Field terminals" at=+MCP {',
        '  :1..2 2.5mm2 "isolator closed"',
        "}",
        'device -X2 screen-bar "Screens" at=+MCP ways=2',
        f"# {motor_words(motor)}{cable_words(motor, '; ')}",
        *use_lines(
            motor.running.scheme,
            "drive=-T1 strip=-X1 first=1 screens=-X2 screen=1 plus=-X3:2/out",
            f"field=+{motor.place} way={motor.place}-DRIVES control-way={motor.place}-CONTROL/1,DUCT2",
            f"power={power(motor)} current={number_text(amps)}A motor-part={motor_part(motor)}",
            f"isolator-part={isolator_for(amps)} construction=4Gauto length={length(motor)}",
        ),
        *_buttons(motor, "strip=-X3 bar=-X4"),
        *links(motor),
    ]


def stopped(motor: Motor, ways: Ways) -> list[str]:
    """A drive run by buttons, of which an emergency stop takes the torque."""
    return [
        *fed_drive(motor, ways),
        *motor_and_cable(motor),
        *_buttons(motor),
        *use_lines(
            motor.running.scheme,
            f"drive=-T1 plus={ways.rail}:{ways.feed} zero={ways.rail}:{ways.feed + 100} panel=+MCP",
            _field(motor),
            "button=-S5 field-button=-S6 reset=-S7 strip=-X3 bar=-X4 cable=-W13 torque-cable=-W14",
        ),
    ]


def locked(motor: Motor, ways: Ways) -> list[str]:
    """A drive run by buttons at the panel, whose gate stays locked until it stands."""
    return [
        *fed_drive(motor, ways),
        *motor_and_cable(motor),
        'device -S3 push-button-start "Start" at=+MCP.D',
        'device -S4 push-button-stop "Stop" at=+MCP.D',
        "wire -T1:(supply-24v) to -S4:21 to -S3:13 along=DUCT2,HINGE1",
        "wire -S4:22 to -T1:(stop) along=DUCT2,HINGE1",
        "wire -S3:14 to -T1:(start) along=DUCT2,HINGE1",
        _SPEED.format(1),
        "use drive-potentiometer drive=-T1 speed=-R1 cable=-W2 door-way=DUCT2,HINGE1",
        *use_lines(
            motor.running.scheme,
            f"drive=-T1 plus={ways.rail}:{ways.feed} zero={ways.rail}:{ways.feed + 100} panel=+MCP",
            _field(motor),
        ),
    ]


def _field(motor: Motor) -> str:
    """Door and field of a circuit of safety, with the ways of its cables."""
    way = f"field-way={motor.place}-CONTROL/1,DUCT2 torque-way=DUCT2"
    return f"{DOOR} field=+{motor.place} {way} length={length(motor)}"


def _buttons(motor: Motor, named: str = "") -> list[str]:
    """Start and stop at the panel and beside the motor."""
    way = f"field-way={motor.place}-CONTROL/2,DUCT3"
    return use_lines(
        "three-wire-start", "drive=-T1 panel=+MCP", DOOR, f"field=+{motor.place} {way} length={length(motor)}", named
    )
