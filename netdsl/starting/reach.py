"""What the library reaches: how many motors of which power a way of running serves; what is beyond is a finding."""

from __future__ import annotations

import re

from netdsl.quantities import number_text
from netdsl.starting.cell_values import Reader
from netdsl.starting.choosing import brake_watts, cage_motor, drive_for, isolator_for, motor_current, own_part, own_parts
from netdsl.starting.practice import Way, practice, ways
from netdsl.starting.table import Cell


def quantity_of(reader: Reader, cell: Cell, way: str, assumed: dict[str, str]) -> int:
    """How many motors are on the drive of a line; 1 for all ways that have each motor on its own."""
    running = ways().get(way)
    usual, most = (running.quantity if running else 1), practice()["motors"]["most_on_a_drive"]
    if not cell.text:
        if usual > 1:
            assumed["quantity"] = f"{usual} motors on the drive"
        return usual
    match = re.fullmatch(r"([0-9]{1,4})\s*(?:x|pcs|pieces)?", cell.text.lower())
    number = int(match[1]) if match else 0
    if not number >= 1 or (usual > 1 and not 2 <= number <= most):
        least = 2 if usual > 1 else 1
        up_to = f" to {most}" if usual > 1 else ""
        remedy = f"write a whole number, {least}{up_to}"
        reader.fault("out-of-range", cell.span, f"`{cell.text}` is no number of motors on one drive", remedy)
        return usual
    if running is not None and usual == 1 and number not in (1, running.motors):
        message = f"`{cell.text}` motors in one line: by `{way}` each has a function of its own"
        reader.fault("out-of-range", cell.span, message, "write one line for each, or run them by `shared-drive`")
        return 1
    return number if usual > 1 else 1


def within_reach(reader: Reader, cell: Cell, way: str, watts: float, quantity: int) -> None:
    """Refuse powers that no part of the library, or the scheme of this way of running, serves."""
    if not watts or not way:
        return
    running = ways()[way]
    if running.parts:
        _own(reader, cell, running, watts)
    elif not _reached(running, watts, quantity):
        _beyond(reader, cell, running, watts, quantity)


def brake_within_reach(reader: Reader, cell: Cell, way: str, watts: float, metres: float) -> None:
    """Refuse a holding brake so far away that its 24 V drops too much on the way."""
    part = own_part(ways()[way], watts) if way == "brake-motor" else None
    taken = brake_watts(part) if part else 0.0
    longest = int(practice()["brakes"]["longest_w_m"] / taken) if taken else metres
    if metres > longest:
        reader.fault(
            "out-of-range",
            cell.span,
            f"the holding brake takes {number_text(taken)} W of 24 V, {number_text(metres)} m are too long for it",
            f"give at most {longest} m, or plan this one by hand with a brake for a higher voltage",
        )


def _reached(way: Way, watts: float, quantity: int) -> bool:
    """Whether the library has motor, drive and isolator for so many motors of a power."""
    if watts > way.largest_kw * 1000 + 1e-6 or cage_motor(watts) is None:
        return False
    amps = motor_current(watts)
    if way.driven and drive_for(quantity * watts, quantity * amps) is None:
        return False
    return way.name != "drive-isolator" or isolator_for(amps) is not None


def _own(reader: Reader, cell: Cell, way: Way, watts: float) -> None:
    if own_part(way, watts) is not None:
        return
    powers = [f"{number_text(part.power / 1000)} kW" for part in own_parts(way)]
    reader.fault(
        "out-of-range",
        cell.span,
        f"the library has no {way.part} of {number_text(watts / 1000)} kW",
        f"take {'one of ' if len(powers) > 1 else ''}{', '.join(powers)}, or plan this one by hand",
    )


def _beyond(reader: Reader, cell: Cell, way: Way, watts: float, quantity: int) -> None:
    others = ", ".join(
        other.name for other in ways().values() if other is not way and not other.parts and _reached(other, watts, other.quantity)
    )
    each = f"{quantity} motors of " if quantity > 1 else ""
    reader.fault(
        "out-of-range",
        cell.span,
        f"{each}{number_text(watts / 1000)} kW is more than the library reaches by `{way.name}`"
        f"{'' if quantity > 1 else f', {way.largest_kw:g} kW'}",
        f"run it by one of {others}" if others else "plan this motor by hand, with the data of the manufacturer chosen",
    )
