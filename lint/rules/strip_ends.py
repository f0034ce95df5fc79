"""Cores from the field that end on a strip."""

from __future__ import annotations

from collections.abc import Iterator

from lint.contacts import Pairs, contacts, poles
from lint.facts import Facts
from lint.registry import Rule, Said, rule
from netdsl.findings import Related, Severity
from netdsl.model.kinds import Category
from netdsl.model.plant import Conductor, Device, Role

#: terminals of one device that are of use together alone
_TOGETHER = (frozenset({Role.SUPPLY_IN, Role.SUPPLY_COMMON}), frozenset({Role.WINDING}), frozenset({Role.LINE_IN, Role.NEUTRAL}))


def _ends(facts: Facts) -> Iterator[tuple[str, Conductor]]:
    """Terminals of strips on which a core lands and nothing else, without a bridge."""
    for strip in facts.plant.devices.values():
        if strip.category != Category.STRIP:
            continue
        bridged = {name for bridge in strip.bridges for name in bridge}
        for terminal in strip.terminals.values():
            held = facts.network.at_terminal.get(f"{strip.id}:{terminal.name}", ())
            core = facts.plant.conductors[held[0]] if len(held) == 1 else None
            if core is not None and core.cable and terminal.role is not Role.EARTH and terminal.name not in bridged:
                yield f"{strip.id}:{terminal.name}", core


def _judged(facts: Facts) -> Iterator[str]:
    """Such terminals."""
    return (node for node, _ in _ends(facts))


@rule("strip-end-open", Severity.WARNING, source="common practice", judges=_judged)
def strip_end_open(facts: Facts, this: Rule) -> Iterator[Said]:
    """A core from a device outside ends on a terminal with nothing on its other side.

    Reports:
      A core of a cable from a device in another enclosure or in the field, alone on its terminal of a strip, where the device's
      contact, coil, lamp, winding or supply is in use by its other end.
    Silent:
      Spare cores, from strip to strip; what is prepared whole for later: contacts and consumers of which all ends stand so; a
      throw of a changeover that is not needed; protective conductors; wires inside, which wait for a cable.
    Why:
      The circuit is drawn to the strip from both sides, and does not pass it.
    Failing:
      strip -X1 at=+MCP {
        :1..2 2.5mm2
      }
      route A at=+HALL kind=perforated-tray
      device -T1 drive at=+MCP
      wire -T1:PE to -XE1:3 6mm2 GNYE
      wire -T1:24V to -X1:1 0.75mm2 RD
      part float "Float switch" {
        kind = level-switch   letter = B   class = III
        terminal :11 :14 contact 0.5..2.5mm2
        contact :11 to :14 make by=level
      }
      device -B1 float at=+HALL
      cable -W1 2x1.5 length=10m along=A {
        BN -X1:1 to -B1:11
        BU -X1:2 to -B1:14
      }
    Passing:
      + wire -X1:2 to -T1:DI1 0.75mm2 RD
    Remedy:
      Connect the other side of the terminal.
    """
    for node, core in _ends(facts):
        strip = facts.plant.devices[node.partition(":")[0]]
        ends = [name for name in _nodes(facts, node) if facts.plant.devices[name.partition(":")[0]].category == Category.DEVICE]
        device = facts.plant.devices[ends[0].partition(":")[0]] if len(ends) == 1 else None
        if device is None or facts.enclosure_of(device.id) == facts.enclosure_of(strip.id):
            continue
        if not _is_needed(facts, device, ends[0].partition(":")[2]):
            yield this.spared(node, f"what `{ends[0]}` belongs to is not in use by its other ends, or is in use without it")
            continue
        yield this.report(
            f"the core from `{ends[0]}` ends on `{node}`: nothing is connected to the other side of the terminal",
            f"connect the other side of `{node}`",
            core.span,
            (node, core.id, device.id, ends[0]),
            about=(node, ends[0]),
            related=[Related(f"`{device.id}` is declared here", device.span)],
        )


def _nodes(facts: Facts, node: str) -> list[str]:
    """Terminals of devices joined to one in service, itself left out."""
    nets = facts.network.nets
    found = (other for net in sorted(facts.joined_in_service(_sides(facts, node))) for other in nets[net].nodes)
    return [other for other in found if other.partition("/")[0] != node and other.partition(":")[0] in facts.plant.devices]


def _sides(facts: Facts, node: str) -> list[str]:
    """A terminal of a strip, with its two sides where it can be split."""
    return [name for name in (node, f"{node}/in", f"{node}/out") if name in facts.network.net_of]


def _is_needed(facts: Facts, device: Device, name: str) -> bool:
    """Whether a terminal is missing to something of which another end is in use."""
    for pairs in _groups(device):
        if any(name in pair for pair in pairs):
            used = {end for pair in pairs for end in pair if end != name and _goes_on(facts, f"{device.id}:{end}")}
            return bool(used) and not any(a in used and b in used for a, b in pairs)
    return False


def _groups(device: Device) -> Iterator[Pairs]:
    """Terminals of a device that are of use together, by pairs."""
    yield from contacts(device)
    yield from ([pole] for pole in poles(device))
    yield from ([(each.a, each.b)] for each in device.consumers)
    for roles in _TOGETHER:
        names = [name for name, terminal in device.terminals.items() if terminal.role in roles]
        yield [(one, other) for one in names for other in names if one < other and len(names) == 2]


def _goes_on(facts: Facts, node: str) -> bool:
    """Whether a terminal is joined to one of another device that is no strip, or to a source."""
    net = facts.network.net(node)
    if net is None or node not in facts.landed:
        return False
    device = node.partition(":")[0]
    others = (other.partition(":")[0] for other in _nodes(facts, node))
    return bool(net.certain) or any(name != device and facts.plant.devices[name].category != Category.STRIP for name in others)
