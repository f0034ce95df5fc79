"""The text of one function per motor: its feeder, its cable, the `use` of its way of running."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from types import MappingProxyType

from netdsl.quantities import number_text
from netdsl.starting import drive_tasks, pump_pairs, task_circuits
from netdsl.starting.drive_circuits import with_drive
from netdsl.starting.feeders import Ways
from netdsl.starting.mains_circuits import starter
from netdsl.starting.motor_list import Motor

_Body = Callable[[Motor, Ways], list[str]]
#: ways that are more than a motor on the mains, or on a drive with its commands
_TASKS: Mapping[str, _Body] = MappingProxyType(
    {
        "hand-off-auto": task_circuits.commanded,
        "submersible": task_circuits.submersible,
        "valve-actuator": task_circuits.valve,
        "heater": task_circuits.heater,
        "dosing-pump": task_circuits.dosing,
        "brake-motor": drive_tasks.braked,
        "shared-drive": drive_tasks.shared,
        "drive-isolator": drive_tasks.isolated,
        "emergency-stop": drive_tasks.stopped,
        "gate-lock": drive_tasks.locked,
        "alternating-pumps": pump_pairs.alternating,
        "fixed-lead-pumps": pump_pairs.assisted,
    }
)


def function_text(motor: Motor, ways: Ways) -> str:
    """The function of a motor."""
    driven = motor.running.driven
    body = [
        # what the scheme of a brake wires has its section from the scheme
        f"defaults class=mains along={ways.duct}{' section=auto' if driven and motor.way != 'brake-motor' else ''}",
        *_TASKS.get(motor.way, with_drive if driven else starter)(motor, ways),
    ]
    return "\n".join(
        (
            f"# {motor.way}, {f'{motor.quantity} of ' if motor.quantity > 1 else ''}{number_text(motor.power_w / 1000)} kW",
            f'function ={motor.designation} "{motor.description}" at=+MCP {{',
            *(f"  {line}" if line else "" for line in body),
            "}\n",
        )
    )
