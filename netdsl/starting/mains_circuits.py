"""The lines of a function whose motor runs on the mains: the `use` of its way of running."""

from __future__ import annotations

import math

from netdsl.quantities import number_text
from netdsl.starting.choosing import contactor_for, low_current, motor_breaker_for, soft_starter_for
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
    rating,
)
from netdsl.starting.motor_list import Motor
from netdsl.starting.practice import CURVE_D, practice
from netdsl.starting.using import use_lines

CURVE_D_WORDS = "a breaker of curve D, with the margin of an inrush, bears the starting current"
#: current in a winding in delta over that of the line, 1 / sqrt(3) as rating plates round it
_PHASE = 0.58


def field_strip(motor: Motor, words: str) -> list[str]:
    """The strip for what a motor's contacts in the field land on; none where it has none."""
    if not motor.running.contacts:
        return []
    return ['strip -X1 "Field terminals" at=+MCP {', f'  :1..{motor.running.contacts} 2.5mm2 "{words}"', "}"]


def starter(motor: Motor, ways: Ways) -> list[str]:
    """Breaker, contactors, cable and motor."""
    amps = line_current(motor)
    device = CURVE_D_WORDS if motor.running.starting == CURVE_D else "a motor breaker bears the starting current"
    lines = [
        *field_strip(motor, "contacts in the field"),
        f"# {motor_words(motor)}; {device}{cable_words(motor, '; ')}",
        *use_lines(
            motor.running.scheme,
            f"bus=-WB1 {rail(ways)} bar=-XE1 earth={ways.earth}",
            f"strip=-X1 first=1 control-way={motor.place}-CONTROL/1,DUCT2" if motor.running.contacts else "",
            f"{DOOR} field=+{motor.place} way={motor.place}-MAINS",
            f"power={power(motor)} current={number_text(amps)}A {_choices(motor)}",
            f"contactor-part={contactor_for(motor.power_w, amps)} motor-part={motor_part(motor)}",
            "section=auto",
            f"construction={motor.running.cores}Gauto length={length(motor)}",
        ),
    ]
    # star-delta: its contactors make the connections that links make elsewhere
    return lines if motor.way in ("star-delta", "two-speed") else [*lines, *links(motor)]


def _choices(motor: Motor) -> str:
    """What a scheme on the mains is given beside power and current of its motor."""
    amps = line_current(motor)
    rated = f"rating={rating(motor)}" if motor.running.starting == CURVE_D else "rating=auto"
    if motor.way == "star-delta":
        in_phase = amps * _PHASE
        # of a small motor two decimals would be below what flows in normal work
        return f"phase-current={number_text(round(in_phase, 2 if in_phase >= 1 else 3))}A {rated}"
    if motor.way == "two-speed":
        return f"{rated} current-low={number_text(low_current(part_of(motor)))}A rating-low=auto"
    if motor.way == "soft-starter":
        start = math.ceil(amps * practice()["motors"]["soft_start"])
        part, breaker = soft_starter_for(motor.power_w, amps), motor_breaker_for(amps)
        return f"starting-current={start}A starter-part={part} breaker-part={breaker}"
    return rated
