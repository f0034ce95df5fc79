"""The lines of a function that is more than a motor on the mains: a valve, a heater, a dosing pump, a submersible pump."""

from __future__ import annotations

from netdsl.quantities import number_text
from netdsl.starting.choosing import contactor_for
from netdsl.starting.feeders import (
    DOOR,
    Ways,
    cable_words,
    length,
    line_current,
    links,
    motor_part,
    motor_words,
    part_of,
    power,
    rail,
)
from netdsl.starting.mains_circuits import field_strip
from netdsl.starting.motor_list import Motor
from netdsl.starting.practice import practice
from netdsl.starting.using import use_lines


def valve(motor: Motor, ways: Ways) -> list[str]:
    """An actuator that opens and closes."""
    return [
        *field_strip(motor, "end and torque contacts"),
        f"# {motor_words(motor)}{cable_words(motor, '; ')}",
        *use_lines(
            motor.running.scheme,
            _supplied(ways),
            _field(motor),
            f"current={number_text(line_current(motor))}A rating=auto actuator-part={part_of(motor).name}",
            "section=auto",
            f"construction=4Gauto length={length(motor)}",
        ),
        *links(motor),
    ]


def heater(motor: Motor, ways: Ways) -> list[str]:
    """A heating element held by a thermostat; its contactors have clamps for what its breaker asks of the wires."""
    amps, margin = line_current(motor), practice()["heaters"]["contactor"]
    return [
        *field_strip(motor, "limiter, flow, temperature"),
        f"# {motor_words(motor)}{cable_words(motor, '; ')}",
        *use_lines(
            motor.running.scheme,
            _supplied(ways),
            _field(motor),
            f"rating=auto element-part={part_of(motor).name} contactor-part={contactor_for(0.0, amps * margin)}",
            "section=auto",
            f"construction=4Gauto length={length(motor)}",
        ),
    ]


def commanded(motor: Motor, ways: Ways) -> list[str]:
    """A motor by hand or by a controller, over the panel's inputs and outputs."""
    amps = line_current(motor)
    names = ("command-from", "tell-auto", "tell-running", "tell-tripped")
    return [
        f"# {motor_words(motor)}; a motor breaker bears the starting current{cable_words(motor, '; ')}",
        *use_lines(
            motor.running.scheme,
            f"bus=-WB1 {rail(ways)} bar=-XE1 earth={ways.earth}",
            " ".join(f"{name}={channel}" for name, channel in zip(names, ways.channels, strict=True)),
            f"{DOOR} field=+{motor.place} way={motor.place}-MAINS",
            f"power={power(motor)} current={number_text(amps)}A rating=auto",
            f"contactor-part={contactor_for(motor.power_w, amps)} motor-part={motor_part(motor)}",
            "section=auto",
            f"construction=4Gauto length={length(motor)}",
        ),
        *links(motor),
    ]


def submersible(motor: Motor, ways: Ways) -> list[str]:
    """A pump that must not run dry, of which the winding and the seal are watched."""
    amps = line_current(motor)
    return [
        *field_strip(motor, "water"),
        'device -X2 screen-bar "Screens" at=+MCP ways=2',
        f"# {motor_words(motor)}; a motor breaker bears the starting current{cable_words(motor, '; ')}",
        *use_lines(
            motor.running.scheme,
            _supplied(ways),
            "screens=-X2 screen=1",
            _field(motor),
            f"power={power(motor)} current={number_text(amps)}A rating=auto",
            f"contactor-part={contactor_for(motor.power_w, amps)} motor-part={motor_part(motor)}",
            "section=auto",
            f"construction=4Gauto length={length(motor)}",
        ),
        *links(motor),
    ]


def dosing(motor: Motor, ways: Ways) -> list[str]:
    """A dosing pump that the flow and its pump release, at the rate that a controller outside gives."""
    return [
        'strip -X1 "Field terminals" at=+MCP {',
        '  :1..2 2.5mm2 "flow"',
        '  :3..5 2.5mm2 "chemical in the tank"',
        '  :6..7 2.5mm2 "pump of the flow runs"',
        '  :8..9 2.5mm2 "rate, 4..20 mA"',
        "}",
        'device -X2 screen-bar "Screens" at=+MCP ways=2',
        'outside -A1 "Controller" at=+CTRL {',
        '  terminal :AO analogue-out common=:AG "rate, 4..20 mA"',
        "  terminal :AG analogue-common",
        '  terminal :13 :14 contact voltage=250V current=3A "pump of the flow runs"',
        "}",
        'cable -W6 2x1.5 "pump of the flow runs" length=40m along=RISER1,DUCT2 {',
        "  BN -A1:13 to -X1:6",
        "  BU -A1:14 to -X1:7",
        "}",
        'cable -W7 1x2x0.75 screened "rate" length=40m along=RISER1,DUCT3 {',
        "  1a -A1:AO to -X1:8/in",
        "  1b -A1:AG to -X1:9/in",
        "  screen -A1 open to -X2:2 clamp",
        "}",
        *use_lines(
            motor.running.scheme,
            f"phase=-WB1:L2 neutral=-WB1:N {rail(ways)} bar=-XE1 earth={ways.earth}",
            "strip=-X1 first=1 running-from=-X1:6 running-to=-X1:7 signal=-X1:8 signal-common=-X1:9",
            "screens=-X2 screen=1",
            _field(motor),
            f"section=auto length={length(motor)}",
        ),
    ]


def _supplied(ways: Ways) -> str:
    return f"bus=-WB1 {rail(ways)} bar=-XE1 earth={ways.earth} strip=-X1 first=1"


def _field(motor: Motor) -> str:
    return f"{DOOR} field=+{motor.place} way={motor.place}-MAINS control-way={motor.place}-CONTROL/1,DUCT2"
