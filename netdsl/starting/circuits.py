"""The text of one function per motor: its feeder, its cable, the `use` of its way of running."""

from __future__ import annotations

from netdsl.quantities import number_text
from netdsl.starting.drive_circuits import with_drive
from netdsl.starting.feeders import Ways
from netdsl.starting.mains_circuits import starter
from netdsl.starting.motor_list import Motor


def function_text(motor: Motor, ways: Ways) -> str:
    """The function of a motor."""
    driven = motor.running.driven
    body = [
        f"defaults class=mains along={ways.duct}{' section=auto' if driven else ''}",
        *(with_drive(motor, ways) if driven else starter(motor, ways)),
    ]
    return "\n".join(
        (
            f"# {motor.way}, {number_text(motor.power_w / 1000)} kW",
            f'function ={motor.designation} "{motor.description}" at=+MCP {{',
            *(f"  {line}" if line else "" for line in body),
            "}\n",
        )
    )
