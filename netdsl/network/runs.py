"""Conductors with everything resolved: what they say themselves, what their cable says, what `defaults` add."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from netdsl.findings import Finding, Related, Severity, Span
from netdsl.model.plant import Cable, Conductor, DefaultChoice, Open, Plant
from netdsl.network.classes import Classes
from netdsl.network.nets import Joined
from netdsl.network.potentials import Spread
from netdsl.network.types import ConductorClass, Net, Run

_EMPTY: Mapping[str, Span] = {}


def inside(place_or_function: str, within: str) -> bool:
    """Whether a place or function is `within` or nested in it: `+MCP.D` is inside `+MCP`, `=A.B` inside `=A`."""
    return place_or_function == within or place_or_function.startswith(within + ".")


def net_marks(plant: Plant, joined: Joined, spread: Spread) -> tuple[dict[int, str], tuple[Finding, ...]]:
    """Marks that `potential` statements give to nets, and a finding for each net that is given two.

    None where unlike poles meet on the net: that is the fault, two names are right.
    """
    marks: dict[int, str] = {}
    givers: dict[int, Span] = {}
    findings = []
    for named in plant.potentials:
        node = joined.nodes.of_terminal(named.end.device, named.end.terminal, named.end.side or "in")
        if node is None:
            continue
        net = joined.net_of_node[node]
        mark = named.mark or named.name
        if marks.setdefault(net, mark) != mark and len({potential.pole for potential in spread.certain[net]}) < 2:
            findings.append(_marked_twice(mark, marks[net], named.span, givers[net]))
        givers.setdefault(net, named.span)
    return marks, tuple(findings)


def _marked_twice(mark: str, earlier: str, span: Span, other: Span) -> Finding:
    return Finding(
        "duplicate-name",
        Severity.ERROR,
        f"`{mark}` names a net that is named `{earlier}` already",
        "give the net one name, or separate what joins the two potentials",
        span,
        (mark,),
        "common practice",
        (Related(f"named `{earlier}` here", other),),
    )


def resolve_runs(plant: Plant, joined: Joined, classes: Classes, nets: Mapping[int, Net]) -> dict[str, Run]:
    """Every conductor as a Run, in order of text."""
    chooser = _Chooser(plant)
    by_potential = plant.project.attributes.get("marks") == "potential"
    sections: dict[str, tuple[float, str]] = {}
    for cable in plant.cables.values():
        sections.update({f"{cable.id} {core.name}": (core.section_mm2, core.colour) for core in cable.cores})
    runs = {}
    for conductor in plant.conductors.values():
        net = nets[joined.net_of_conductor[conductor.id]]
        mark = conductor.mark or (net.mark if by_potential else "")
        klass = classes.conductors[conductor.id]
        nodes = joined.nodes.names_of(conductor)
        if conductor.cable is not None:
            runs[conductor.id] = _core_run(plant.cables[conductor.cable], conductor, net.id, klass, mark, nodes, sections)
        else:
            runs[conductor.id] = chooser.run(conductor, net.id, klass, mark, nodes)
    return runs


def _core_run(
    cable: Cable,
    conductor: Conductor,
    net: str,
    klass: ConductorClass,
    mark: str,
    nodes: tuple[str, str],
    cores: dict[str, tuple[float, str]],
) -> Run:
    """A cable core: its construction gives section and colour, its cable route and length."""
    section, colour = cores.get(f"{conductor.cable} {conductor.core}", (None, None))
    return Run(
        conductor,
        net,
        klass,
        (section or None) if conductor.section_mm2 is None else conductor.section_mm2,
        colour if conductor.colour is None else conductor.colour,
        cable.routes,
        cable.length_m,
        mark,
        nodes,
        _EMPTY,
    )


class _Chooser:
    """Applies `defaults` to wires; the last matching statement wins, value by value."""

    def __init__(self, plant: Plant) -> None:
        self._plant = plant
        self._known: dict[tuple[str, str, str, ConductorClass], tuple[DefaultChoice, ...]] = {}
        self._by_within: dict[str, list[int]] = {}
        for number, choice in enumerate(plant.defaults):
            self._by_within.setdefault(choice.within, []).append(number)

    def run(self, conductor: Conductor, net: str, klass: ConductorClass, mark: str, nodes: tuple[str, str]) -> Run:
        """`conductor` with the open values filled."""
        section, colour = conductor.section_mm2, conductor.colour
        routes, length = conductor.routes, conductor.length_m
        origin: dict[str, Span] = {}
        if conductor.is_tooth:
            return Run(conductor, net, klass, section, colour, routes, length, mark, nodes, _EMPTY)
        is_open = isinstance(conductor.attributes.get("section"), Open)
        for choice in self._matching(conductor, klass):
            if section is None and not is_open and (choice.section_mm2 is not None or choice.section_open):
                section, is_open, origin["section"] = choice.section_mm2, choice.section_open, choice.span
            if colour is None and choice.colour is not None:
                colour, origin["colour"] = choice.colour, choice.span
            if not routes and choice.routes:
                routes, origin["routes"] = choice.routes, choice.span
            if length is None and choice.length_m is not None:
                length, origin["length"] = choice.length_m, choice.span
        kept = self._on_door(conductor, routes)
        if kept != routes:
            origin.pop("routes", None)
        return Run(conductor, net, klass, section, colour, kept, length, mark, nodes, origin or _EMPTY)

    def _on_door(self, conductor: Conductor, routes: tuple[str, ...]) -> tuple[str, ...]:
        """Those of its `routes` that a wire takes: one from device to device of a door leaves it neither by its hinge nor for
        a duct of the panel, whatever the other wires of its chain do."""
        if not routes:
            return routes
        one, other = (self._place(end.device) for end in conductor.ends)
        door = self._plant.places.get(one)
        if one != other or door is None or door.kind != "door":
            return routes
        ways = {name: self._plant.routes.get(name) or self._plant.routes.get(name.rpartition("/")[0]) for name in routes}
        return tuple(
            name
            for name, way in ways.items()
            if way is None or (way.kind != "hinge" and (not way.place or inside(way.place, one)))
        )

    def _matching(self, conductor: Conductor, klass: ConductorClass) -> tuple[DefaultChoice, ...]:
        """The statements that hold for a conductor, the last first."""
        one, other = self._place(conductor.ends[0].device), self._place(conductor.ends[1].device)
        # a plant has thousands of wires and few pairs of places: the statements are held against each pair once
        key = (one, other, conductor.function, klass)
        known = self._known.get(key)
        if known is None:
            known = self._known[key] = tuple(
                choice
                for choice in self._stated(one, conductor.function)
                if (not choice.klass or choice.klass == klass.value) and _within(choice.within, one, other, conductor.function)
            )
        return known

    def _stated(self, place: str, function: str) -> Iterator[DefaultChoice]:
        """The statements for all of the plant, for a place or function and for what they are nested in, the last first."""
        around = {"", *_around(place), *_around(function)}
        numbers = sorted((number for within in around for number in self._by_within.get(within, ())), reverse=True)
        return (self._plant.defaults[number] for number in numbers)

    def _place(self, owner: str) -> str:
        device = self._plant.devices.get(owner)
        return device.place if device else owner


def _around(name: str) -> Iterator[str]:
    """A place or function and those that it is nested in, by their names."""
    yield name
    while "." in name:
        name = name.rpartition(".")[0]
        yield name


def _within(within: str, one: str, other: str, function: str) -> bool:
    """Whether a wire lies in a function, or with both its ends in a place."""
    if not within:
        return True
    if within.startswith("="):
        return inside(function, within)
    return inside(one, within) and inside(other, within)
