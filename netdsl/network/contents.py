"""What lies in every route and in every compartment of a divided one."""

from __future__ import annotations

from collections.abc import Mapping

from netdsl.model.plant import Plant
from netdsl.network.types import RouteContent, Run


def route_contents(plant: Plant, runs: Mapping[str, Run]) -> tuple[RouteContent, ...]:
    """Contents of all routes in order of declaration, compartments by name; wires and cables in order of text.

    What is laid in a divided route without naming a compartment lies in compartment "".
    """
    wires: dict[str, list[str]] = {}
    cables: dict[str, list[str]] = {}
    for run in runs.values():
        for way in run.routes if run.conductor.cable is None else ():
            wires.setdefault(way, []).append(run.id)
    for cable in plant.cables.values():
        for way in cable.routes:
            cables.setdefault(way, []).append(cable.id)
    addresses: dict[str, set[str]] = {route: set() for route in plant.routes}
    for way in (*wires, *cables):
        addresses.setdefault(route_of(plant, way), set()).add(way)
    found = []
    for route, ways in addresses.items():
        for way in sorted(ways) or [route]:
            compartment = "" if way == route else way
            found.append(RouteContent(route, compartment, _once(wires.get(way)), _once(cables.get(way))))
    return tuple(found)


def route_of(plant: Plant, way: str) -> str:
    """The route of an address as written: `TRAY1` of `TRAY1/1`."""
    return way if way in plant.routes or "/" not in way else way.rpartition("/")[0]


def _once(ids: list[str] | None) -> tuple[str, ...]:
    return tuple(dict.fromkeys(ids or ()))
