"""How the conductors of a circuit leave an enclosure: together, and not as loose wires."""

from __future__ import annotations

from collections.abc import Iterator

from lint.facts import Facts
from lint.poles import Poles
from lint.registry import Report, Rule, Said, rule
from lint.subjects import wires_and_cores
from lint.wording import listed
from netdsl.findings import Related, Severity
from netdsl.model.kinds import Category, Kind
from netdsl.model.plant import Conductor, Device, End, Role
from netdsl.network.types import ConductorClass

#: routes that close in wires without a sheath
_CLOSED = ("duct", "conduit", "hinge")
#: where a circuit of the plant ends for what this plant shows
_BEYOND = (Category.SUPPLY, Category.OUTSIDE)


def _loads(facts: Facts) -> Iterator[str]:
    """What takes power of the mains or of a drive outside enclosures."""
    return (device.id for device in facts.plant.devices.values() if any(_circuits(facts, device)))


@rule("circuit-split", Severity.ERROR, source="IEC 60364-5-52, 521.8", judges=_loads)
def circuit_split(facts: Facts, this: Rule) -> Iterator[Said]:
    """The conductors of one circuit run apart from each other.

    Reports:
      A load whose phases, or phase and neutral, reach it in several cables, or as single cores along several ways, of which one
      does not hold all of them; a load whose protective conductor is a core of another cable than its phases (a warning).
    Silent:
      Several cables that each hold all phases: parallel ones, and the two of a motor with six ends; a protective conductor
      that is a wire, or a cable, of its own; loads in the enclosure that feeds them. Single cores whose way is not stated are
      not judged.
    Why:
      What flows out is not undone by what flows back beside it: steel around the cores heats up, signals nearby are disturbed,
      and a cable that is cut off alone leaves a phase on the load.
    Failing:
      device -F1 mcb-1p at=+MCP current=6A
      device -E1 heater at=+HALL
      wire -WB1:L1 to -F1:1 2.5mm2 BK
      cable -W1 3G1.5 length=5m method=E {
        BN -F1:2 to -E1:L
        GNYE -XE1:3 to -E1:PE
      }
      cable -W2 2x1.5 length=5m method=E {
        BU -WB1:N to -E1:N
      }
    Passing:
      device -F1 mcb-1p at=+MCP current=6A
      device -E1 heater at=+HALL
      wire -WB1:L1 to -F1:1 2.5mm2 BK
      cable -W1 3G1.5 length=5m method=E {
        BN -F1:2 to -E1:L
        BU -WB1:N to -E1:N
        GNYE -XE1:3 to -E1:PE
      }
    Remedy:
      Lead all conductors of the circuit in one cable, or its single cores along one way.
    """
    for device in facts.plant.devices.values():
        for circuit, number in _circuits(facts, device):
            holders: dict[tuple[str, ...], list[Conductor]] = {}
            for conductor in circuit:
                holders.setdefault(_holder(facts, conductor), []).append(conductor)
            if () in holders:
                yield this.not_judged(device.id, f"the way of {listed([c.id for c in holders[()]], 3)} is not stated")
                continue
            if len(holders) > 1 and any(len(each) % number for each in holders.values()):
                yield _split(this, device, holders)
                break
            earths = _earths(facts, device)
            cables = {_holder(facts, conductor) for conductor in earths}
            if earths and cables.isdisjoint(holders) and all(way[:1] == ("in",) for way in cables):
                yield _earth_apart(this, device, earths[0], circuit[0])
                break


def _split(this: Rule, device: Device, holders: dict[tuple[str, ...], list[Conductor]]) -> Report:
    ways = sorted(holders.items(), key=lambda item: len(item[1]))
    words = "; ".join(
        f"{listed([c.id for c in found], 4)} {'along' if way[0] == 'along' else 'in'} {listed(list(way[1:]))}"
        for way, found in ways
    )
    first = ways[0][1][0]
    return this.report(
        f"the conductors of one circuit reach `{device.id}` apart from each other: {words}",
        "lead all conductors of the circuit in one cable, or its single cores along one way",
        first.span,
        (device.id, *(name for way, _ in ways for name in way[1:]), *(c.id for _, found in ways for c in found)),
        about=[conductor.id for _, found in ways for conductor in found],
        related=[Related(f"`{device.id}` is declared here", device.span)],
    )


def _earth_apart(this: Rule, device: Device, earth: Conductor, phase: Conductor) -> Report:
    holder = phase.cable or phase.id
    return this.report(
        f"the protective conductor of `{device.id}` runs in `{earth.cable}`, its phases in `{holder}`",
        "lead it in the cable of the phases",
        earth.span,
        (device.id, earth.cable or "", earth.id, holder),
        about=(earth.id,),
        related=[Related(f"`{device.id}` is declared here", device.span)],
        severity=Severity.WARNING,
    )


def _circuits(facts: Facts, device: Device) -> Iterator[tuple[list[Conductor], int]]:
    """Power conductors that reach a load from another enclosure, circuit by circuit, with how many make a whole."""
    if device.category != Category.DEVICE or device.kind == Kind.DRIVE:
        return
    winding = [name for name, terminal in device.terminals.items() if terminal.role is Role.WINDING]
    groups: list[tuple[list[str], int]] = [(winding, 3)] if device.kind == Kind.MOTOR and len(winding) in (3, 6) else []
    if not winding:
        takers = [taker for taker in facts.of(Poles).takers_of(device.id) if taker.kind in ("load", "supply")]
        groups = [([taker.a, taker.b], 2) for taker in takers]
    for names, number in groups:
        found = [
            conductor
            for name in names
            for id_ in facts.network.at_terminal.get(f"{device.id}:{name}", ())
            if _comes_in(facts, conductor := facts.plant.conductors[id_]) and facts.network.runs[id_].klass in _POWER
        ]
        if len(found) >= number:
            yield found, number


_POWER = (ConductorClass.MAINS, ConductorClass.MOTOR)


def _comes_in(facts: Facts, conductor: Conductor) -> bool:
    """Whether a conductor leads from one enclosure, or the field, to another."""
    one, other = (facts.enclosure_of(end.device) for end in conductor.ends)
    return one != other or (not one and conductor.cable is not None)


def _holder(facts: Facts, conductor: Conductor) -> tuple[str, ...]:
    """What a conductor runs in: `("in", cable)` of several cores, else `("along", *routes)`; () where no way is stated."""
    cable = facts.plant.cables.get(conductor.cable or "")
    if cable is not None and len(cable.cores) > 1:
        return ("in", cable.id)
    routes = facts.network.runs[conductor.id].routes
    return ("along", *routes) if routes else ()


def _earths(facts: Facts, device: Device) -> list[Conductor]:
    """Protective conductors at a device."""
    nodes = facts.earth_terminals(device.id)
    return [facts.plant.conductors[name] for node in nodes for name in facts.network.at_terminal.get(node, ())]


@rule(
    "leaves-unprotected",
    Severity.ERROR,
    source="IEC 60364-5-52, 521.10 and table A.52.1; IEC 60204-1, 13.4",
    silences=("relation-unknown",),
    judges=wires_and_cores,
)
def leaves_unprotected(facts: Facts, this: Rule) -> Iterator[Said]:
    """Loose wires leave their enclosure.

    Reports:
      A wire, which has no sheath, between two enclosures or from one to the field, along a tray, a ladder or the floor; a
      warning where no way is stated for it. One finding for all that leave by one way.
    Silent:
      Wires in a conduit, a closed duct or a hinge loop; protective and bonding conductors; wires to the site's supply and to
      equipment beyond the scope, whose place is not the plant's to say.
    Why:
      A wire has one thin insulation and nothing around it: a tread, an edge or a rodent bares it.
    Failing:
      device -F1 mcb-1p at=+MCP current=6A
      device -E1 heater at=+HALL
      route TRAY1 "hall" at=+HALL kind=tray
      wire -WB1:L1 to -F1:1 2.5mm2 BK
      wire -F1:2 to -E1:L 1.5mm2 BK length=5m along=TRAY1 method=E
      wire -WB1:N to -E1:N 1.5mm2 BU length=5m along=TRAY1 method=E
      wire -E1:PE to -XE1:3 4mm2 GNYE length=5m along=TRAY1
    Passing:
      - route TRAY1 "hall" at=+HALL kind=tray
      + route TRAY1 "hall" at=+HALL kind=conduit
    Remedy:
      Take a cable, or lead the wires through a conduit or closed duct.
    """
    told: dict[tuple[str, ...], list[tuple[Conductor, str]]] = {}
    for conductor, run in facts.conductors():
        if conductor.cable is not None or not _leaves(facts, conductor):
            continue
        if facts.protective(conductor):
            yield this.spared(conductor.id, "it is a protective conductor")
            continue
        if any(_is_beyond(facts, end) for end in conductor.ends):
            yield this.spared(conductor.id, "it leads to what is beyond the scope")
            continue
        kinds = {name: facts.plant.routes[name].kind for name in run.routes if name in facts.plant.routes}
        bare = [name for name, kind in kinds.items() if kind not in _CLOSED]
        if bare or not kinds:
            way = bare[0] if bare else ""
            key = (*sorted(facts.enclosure_of(end.device) for end in conductor.ends), way)
            told.setdefault(key, []).append((conductor, way))
    for together in told.values():
        yield _loose(facts, this, together)


def _loose(facts: Facts, this: Rule, together: list[tuple[Conductor, str]]) -> Report:
    first, way = together[0]
    names = [conductor.id for conductor, _ in together]
    one, other = (facts.enclosure_of(end.device) or facts.where(end.device) or "the field" for end in first.ends)
    along = f"along `{way}`, {_a(facts.plant.routes[way].kind)}" if way else "and no way is stated"
    return this.report(
        f"{listed(names, 3)} {'leads' if len(names) == 1 else 'lead'} loose from `{one}` to `{other}`, {along}",
        "take a cable, or lead the wires through a conduit or closed duct",
        first.span,
        (*names, way, *(end.device for end in first.ends)),
        about=(*names, way),
        related=[Related(f"`{way}` is declared here", facts.plant.routes[way].span)] if way else [],
        severity=None if way else Severity.WARNING,
    )


def _a(kind: str) -> str:
    return f"a {kind.replace('-', ' ')}"


def _leaves(facts: Facts, conductor: Conductor) -> bool:
    one, other = (facts.enclosure_of(end.device) for end in conductor.ends)
    return one != other


def _is_beyond(facts: Facts, end: End) -> bool:
    device = facts.device(end.device)
    return device is not None and device.category in _BEYOND
