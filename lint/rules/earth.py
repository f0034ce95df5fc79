"""Protective earth as a graph: parts cut off, parts in series, rings."""

from __future__ import annotations

from collections.abc import Iterator

from lint.earthing import Earthing, Ring
from lint.facts import Facts
from lint.free_earths import earth_wire
from lint.registry import Report, Rule, Said, rule
from lint.wording import listed
from netdsl.calc.protection import NeededEarths
from netdsl.findings import Edit, Related, Severity


@rule(
    "earth-missing",
    Severity.ERROR,
    source="IEC 60204-1 8.2 and IEC 60364-4-41 411.3.1",
    silences=("terminal-open", "earth-not-at-drive", "earth-colour"),
)
def earth_missing(facts: Facts, this: Rule) -> Iterator[Said]:
    """A part that must be earthed has no path to the main earth bar.

    Reports:
      A part of class I or with an earth terminal, an enclosure, or a door or plate of metal from which no protective
      conductor leads to the main earth bar, or a supply whose own does not. Parts that hang together are one finding, at
      the one nearest the break.
    Silent:
      Class II and class III parts; parts earthed by mounting on a bonded plate; supplies of extra-low voltage. An installation
      in enclosures of its own, all of it and nothing else fed by a supply whose protective conductor leads to a bar there.
    Why:
      A fault to the body of the part leaves it live: nothing trips, and whoever touches it closes the circuit.
    Failing:
      device -T1 drive at=+MCP
    Passing:
      + wire -T1:PE to -XE1:3 6mm2 GNYE
    Remedy:
      Lay a protective conductor of its own from the part's earth terminal to the earth bar, of the section named. `check --fix`
      writes it where the terminal, a free way of the bar in the same enclosure and a length are all stated.
    """
    earth = facts.of(Earthing)
    yield from (this.spared(device, f"it is of class {made}") for device, made in _insulated(facts))
    if earth.root is None:
        yield from _no_bar(earth, this)
        return
    taken: set[str] = set()
    for group in earth.cut_off():
        head = earth.head(group)
        members = [member for node in group for member in earth.nodes[node].members]
        others = [earth.name(node) for node in group if node != head and earth.needs(node)]
        message = f"`{earth.name(head)}` has no path to the main earth bar `{earth.name(earth.root)}`"
        if others:
            message += f"; {listed(others)} {'is' if len(others) == 1 else 'are'} cut off with it"
        hanging = earth.strips_at(head)
        if hanging:
            message += f"; {listed(hanging)}, where its conductor ends, {'has' if len(hanging) == 1 else 'have'} none either"
        astray = _astray(facts, [member for node in group for member in earth.nodes[node].members])
        if astray:
            message += f"; {listed(list(astray))} {'leads' if len(astray) == 1 else 'lead'} to no earth"
        related = [
            Related(f"`{earth.name(node)}` is cut off with it", earth.nodes[node].span)
            for node in group
            if node != head and earth.needs(node)
        ][:8]
        remedy, fix = _remedy(facts, earth, head, hanging, taken if len(group) == 1 and not astray else None)
        yield this.report(
            message,
            remedy,
            earth.nodes[head].span,
            (earth.name(head), *members),
            about=[*astray, *(terminal for member in members for terminal in facts.earth_terminals(member))],
            related=related,
            fix=fix,
        )


def _insulated(facts: Facts) -> Iterator[tuple[str, str]]:
    """Devices that need no protective earth, with their class."""
    for device in facts.plant.devices.values():
        if device.protection_class in ("II", "III") and not facts.earth_terminals(device.id):
            yield device.id, device.protection_class


def _astray(facts: Facts, members: list[str]) -> list[str]:
    """Green-yellow conductors that land on an earth terminal of `members` and lead to something that is no earth."""
    ends = [terminal for member in members for terminal in facts.earth_terminals(member)]
    names = [name for terminal in ends for name in facts.network.at_terminal.get(terminal, ())]
    runs = facts.network.runs
    return [name for name in names if name in runs and runs[name].colour == "GNYE" and not facts.protective(runs[name].conductor)]


def _remedy(facts: Facts, earth: Earthing, head: str, hanging: list[str], taken: set[str] | None) -> tuple[str, tuple[Edit, ...]]:
    """What earths a node, with the section where it can be computed; and the edit that does, where it invents nothing.

    `taken`: ways of bars promised to other edits; None where none is to be made.
    """
    if hanging:
        return f"connect {listed(hanging)} to the earth bar", ()
    name = earth.name(head)
    remedy = f"connect the earth terminal of `{name}` to the earth bar by a conductor of its own"
    section = facts.calculation.of(NeededEarths).section(name)
    if section is None:
        return remedy, ()
    members = earth.nodes[earth.root or ""].members
    wire = earth_wire(facts, name, members, section, taken) if taken is not None else None
    return (f"{remedy}: `{wire.text}`", (wire.edit,)) if wire else (f"{remedy}, {section:g} mm² or more", ())


def _no_bar(earth: Earthing, this: Rule) -> Iterator[Report]:
    """Without any bar or supply nothing can reach it: said once, at the first part concerned."""
    needing = [node for node in earth.nodes if earth.needs(node)]
    if needing:
        terminals = [t for node in needing for m in earth.nodes[node].members for t in earth.facts.earth_terminals(m)]
        names = [earth.name(node) for node in needing]
        yield this.report(
            f"there is no earth bar that {listed(names)} could be earthed at",
            "declare the earth bar and connect the supply's protective conductor and each part to it",
            earth.nodes[needing[0]].span,
            names,
            about=terminals,
        )


@rule(
    "earth-in-series",
    Severity.ERROR,
    source="IEC 60204-1 8.2.3; drive installation instructions",
    silences=("earth-not-at-drive",),
)
def earth_in_series(facts: Facts, this: Rule) -> Iterator[Said]:
    """A part is earthed only through another device.

    Reports:
      Another device lies on every path from the part to the main earth bar.
    Silent:
      Bars, rails, earth terminals of strips, enclosure studs and earth through-terminals (isolators, boxes, filters that
      have them) are no other device; nor is the drive or device that feeds the part through the part's own cable, or through
      single cores on whose way the protective conductor lies.
    Why:
      Taking the other device out for service interrupts the earth of this one while it stays live.
    Failing:
      device -T1 drive at=+MCP
      device -T2 drive at=+MCP
      wire -T1:PE to -XE1:3 6mm2 GNYE
      wire -T2:PE to -T1:PE2 6mm2 GNYE
    Passing:
      - wire -T2:PE to -T1:PE2 6mm2 GNYE
      + wire -T2:PE to -XE1:4 6mm2 GNYE
    Remedy:
      Take the part's protective conductor to the earth bar by itself.
    """
    earth = facts.of(Earthing)
    for node, device in earth.in_series():
        part, other = earth.name(node), earth.name(device)
        if earth.own_cable(node, device):
            yield this.spared(part, f"its earth comes from `{other}`, which feeds it, in its own cable")
            continue
        yield this.report(
            f"every earth path from `{part}` to `{earth.name(earth.root_of(node))}` passes through `{other}`",
            f"take the protective conductor of `{part}` to the earth bar by itself, past `{other}`",
            earth.nodes[node].span,
            (*earth.nodes[node].members, other),
            about=facts.earth_terminals(part),
            related=[Related(f"`{other}` lies in its way", earth.nodes[device].span)],
        )


@rule("earth-loop", Severity.WARNING, source="drive installation instructions")
def earth_loop(facts: Facts, this: Rule) -> Iterator[Said]:
    """Protective conductors of several devices close a ring.

    Reports:
      A ring of protective conductors through two or more devices of which neither feeds the other, listed in order.
    Silent:
      Where the place of one of its members declares `bonding=meshed`; screens and parallel conductors
      between the same two points make no ring.
    Why:
      High-frequency currents of one drive circulate through the other and disturb its signals.
    Failing:
      device -T1 drive at=+MCP
      device -T2 drive at=+MCP
      wire -T1:PE to -XE1:3 6mm2 GNYE
      wire -T2:PE to -XE1:4 6mm2 GNYE
      wire -T1:PE2 to -T2:PE2 6mm2 GNYE
    Passing:
      - wire -T1:PE2 to -T2:PE2 6mm2 GNYE
    Remedy:
      Remove the conductor between the devices, or declare the place's bonding as meshed where that is intended.
    """
    earth = facts.of(Earthing)
    for ring in earth.rings():
        devices = [earth.name(node) for node in ring.nodes if earth.nodes[node].kind == "device"]
        strangers = _strangers(facts, devices)
        if strangers and _meshed(facts, earth, ring):
            yield from (this.spared(device, "it stands where the bonding is meshed") for device in devices)
        elif strangers:
            names = [earth.name(node) for node in ring.nodes]
            closing = facts.plant.conductors.get(ring.closing[-1]) if ring.closing else None
            yield this.report(
                f"protective conductors form a ring: {' - '.join(f'`{name}`' for name in (*names, names[0]))}",
                "remove the conductor that closes the ring; earth each device at the bar only",
                closing.span if closing else earth.nodes[ring.nodes[1]].span,
                (*devices, *names, *ring.closing),
            )


def _strangers(facts: Facts, devices: list[str]) -> bool:
    """Whether two of the devices do not feed one another."""
    feeders = {device: facts.feeders(device) for device in devices}
    return any(a not in feeders[b] and b not in feeders[a] for n, a in enumerate(devices) for b in devices[n + 1 :])


def _meshed(facts: Facts, earth: Earthing, ring: Ring) -> bool:
    members = [member for node in ring.nodes for member in earth.nodes[node].members]
    return any(place.bonding == "meshed" for member in members for place in facts.around(member))
