"""Where current enters a device by one terminal and leaves it by another, and no contact, pole or load says so."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from netdsl.model.kinds import Kind
from netdsl.model.plant import Device, Role
from netdsl.network.nodes import PROTECTIVE_ROLES

#: roles of terminals of what only takes current
SUNK = frozenset({Role.LINE_IN, Role.NEUTRAL, Role.WINDING, Role.LOAD})


def role_of(device: Device, node: str) -> Role:
    """The role of the terminal of a node."""
    return device.terminals[node[len(device.id) + 1 :]].role


def is_pair(device: Device, nodes: Sequence[str], wired: int) -> bool:
    """Whether current enters a device by one of its two terminals and leaves it by the other; `wired`: how many are."""
    if len(nodes) != 2 or wired != 2 or device.kind in (Kind.CONTROLLER, Kind.DRIVE, Kind.MOTOR):
        return False
    roles = {role_of(device, node) for node in nodes}
    if device.kind == Kind.OUTSIDE:  # of what stands elsewhere only what its terminals say: a contact, a load, a transmitter
        return roles in ({Role.CONTACT}, {Role.LOAD}, {Role.SUPPLY_IN, Role.ANALOGUE_OUT})
    return not roles & (SUNK - {Role.LOAD} | PROTECTIVE_ROLES)


def loops(device: Device, nodes: Sequence[str]) -> Iterable[tuple[str, str]]:
    """Analogue inputs that a current enters and leaves by a terminal of their own, and thermistors, so that a loop runs on
    through them; outputs from which it comes and to which it returns."""
    winding = [node for node in nodes if role_of(device, node) == Role.THERMISTOR]
    if device.kind == Kind.MOTOR and len(winding) == 2:
        yield winding[0], winding[1]
    if device.kind in (Kind.CONTROLLER, Kind.DRIVE):
        return
    terminals = device.terminals.values()
    for terminal in terminals:
        node, common = f"{device.id}:{terminal.name}", f"{device.id}:{terminal.common}"
        alone = sum(other.common == terminal.common for other in terminals) == 1
        if terminal.role in (Role.ANALOGUE_IN, Role.ANALOGUE_OUT) and alone and node in nodes and common in nodes:
            yield node, common
