"""The terminals and contacts of a device as rows: what lands on each, what is free, its net and potentials."""

from __future__ import annotations

from typing import Any

from netdsl.model.kinds import Category
from netdsl.model.plant import Device, Terminal
from netdsl.network.types import Net, Network
from netdsl.network.unused import required_terminals, terminals_in_use
from netdsl.sums import sum_of


def terminal_rows(network: Network, device: Device) -> list[dict[str, Any]]:
    """A row for each terminal of `device`, in their order; a split one of a strip has two nets, those of its sides."""
    needed = required_terminals(device)
    return [_row(network, device, terminal, terminal.name in needed) for terminal in device.terminals.values()]


def _row(network: Network, device: Device, terminal: Terminal, required: bool) -> dict[str, Any]:
    node = f"{device.id}:{terminal.name}"
    sides = ("/in", "/out") if terminal.split else ("",)
    nets = [net for side in sides if (net := network.net(node + side)) is not None]
    strip = device.category == Category.STRIP
    landing = [_landing(network, name, node, strip) for name in network.at_terminal.get(node, ())]
    screens = [
        {"conductor": f"{cable.id} screen", "how": end.how}
        for cable in network.plant.cables.values()
        for screen in cable.screens
        for end in screen.ends
        if (end.device, end.terminal) == (device.id, terminal.name)
    ]
    points = ("in", "out") if strip else ("",)
    room = terminal.clamp.conductors
    free = {point: max(0, room - _held([each for each in landing if each["side"] == point])) for point in points}
    return {
        "terminal": terminal.name,
        "role": terminal.kind or terminal.role.value,
        "functions": list(terminal.functions),
        "text": terminal.text,
        "takes": room,
        "free": free,
        "required": required,
        "conductors": landing,
        "screens": screens,
        "bridged_to": [
            other for bridge in device.bridges if terminal.name in bridge for other in bridge if other != terminal.name
        ],
        "nets": [_net(net) for net in nets],
    }


def _held(landing: list[dict[str, Any]]) -> int:
    """How many conductors a clamp holds: two in a twin ferrule are one."""
    twins: int = sum_of(each["twin"] for each in landing)
    return len(landing) - twins // 2


def _landing(network: Network, name: str, node: str, strip: bool) -> dict[str, Any]:
    conductor, run = network.plant.conductors[name], network.runs.get(name)
    far = [end.id for end in conductor.ends if end.id != node] or [node]
    near = next((end for end in conductor.ends if end.id == node), conductor.ends[0])
    return {
        "conductor": name,
        "to": far[0],
        "side": (near.side or ("out" if conductor.cable else "in")) if strip else "",
        "section_mm2": run.section_mm2 if run else conductor.section_mm2,
        "colour": (run.colour if run else conductor.colour) or "",
        "class": run.klass.value if run else "",
        "mark": run.mark if run else "",
        "twin": node in conductor.twin_at,
    }


def _net(net: Net) -> dict[str, Any]:
    certain = [f"{each.pole} of {each.device}" for each in net.certain]
    switched = [f"{each.pole} of {each.device}" for each in net.possible if each not in net.certain]
    return {"net": net.id, "potentials": certain, "switched": switched, "voltage_V": net.voltage, "class": net.klass.value}


def contact_rows(network: Network, device: Device) -> list[dict[str, Any]]:
    """A row for each pole and contact of `device`: its terminals, what moves it, whether anything lands on both of them."""
    used = terminals_in_use(network)
    return [
        {
            "from": path.a,
            "to": path.b,
            "kind": path.kind,
            "moved_by": path.by,
            "positions": list(path.positions),
            "marks": sorted(path.marks),
            "used": f"{device.id}:{path.a}" in used and f"{device.id}:{path.b}" in used,
        }
        for path in device.paths
        if path.kind != "link"
    ]
