"""Conductors of one circuit that do not all pass its residual-current device."""

from __future__ import annotations

from collections.abc import Iterator

from lint.facts import Facts
from lint.poles import Poles
from lint.registry import Report, Rule, rule
from lint.wording import listed
from netdsl.findings import Related, Severity
from netdsl.model.kinds import Category, Kind
from netdsl.model.plant import Device, Role
from netdsl.network.search import walk

#: kinds of potential of the mains: where a PEN divides, the neutral is of that of earth
_MAINS = ("ac", "earth")


def _taking(facts: Facts) -> Iterator[str]:
    """Devices in which current flows from the mains, of a plant that has a residual-current device."""
    some = any(device.kind == Kind.RESIDUAL_DEVICE for device in facts.plant.devices.values())
    return (device.id for device, _ in _circuits(facts) if some)


@rule("residual-bypassed", Severity.ERROR, source="IEC 60364-5-53, 531.3; IEC 61008-1", judges=_taking)
def residual_bypassed(facts: Facts, this: Rule) -> Iterator[Report]:
    """Some conductors of a circuit pass a residual-current device, and others do not.

    Reports:
      What takes current between phases and neutral, of which one conductor comes from behind a residual-current device on every
      way, and another from ahead of it or from another device.
    Silent:
      Circuits that some position of a switch leads past the device altogether; behind a transformer or a supply, where a circuit
      of its own begins; the protective conductor, which never passes it.
    Why:
      The device takes the load current for a fault and trips when the load is switched on; bridged for that, it protects nobody.
    Failing:
      device -F9 rcd-2p-a at=+MCP current=16A
      device -F1 mcb-1p at=+MCP current=6A
      device -E1 heater at=+MCP
      wire -WB1:L1 to -F1:1 2.5mm2 BK
      wire -F1:2 to -F9:1 2.5mm2 BK
      wire -F9:2 to -E1:L 2.5mm2 BK
      wire -WB1:N to -E1:N 2.5mm2 BU
      wire -E1:PE to -XE1:3 2.5mm2 GNYE
    Passing:
      - wire -WB1:N to -E1:N 2.5mm2 BU
      + wire -WB1:N to -F9:N1 2.5mm2 BU
      + wire -F9:N2 to -E1:N 2.5mm2 BU
    Remedy:
      Lead all conductors of the circuit but the protective one through the device.
    """
    poles = facts.of(Poles)
    told: set[str] = set()
    for residual in facts.plant.devices.values():
        if residual.kind != Kind.RESIDUAL_DEVICE:
            continue
        free = _free(facts, residual)
        behind = _behind(facts, residual, free)
        found: dict[str, list[tuple[Device, str]]] = {}
        for device, nodes in _circuits(facts) if behind else ():
            nets = {node: facts.network.net_of[node] for node in nodes}
            past = [node for node, net in nets.items() if net in free and any(p.kind in _MAINS for p in poles.at(node))]
            if device.id not in told and past and any(net in behind for net in nets.values()):
                told.add(device.id)
                found.setdefault(nets[past[0]], []).append((device, past[0]))
        for cases in found.values():
            yield _report(facts, this, residual, cases)


def _report(facts: Facts, this: Rule, residual: Device, cases: list[tuple[Device, str]]) -> Report:
    poles = facts.of(Poles)
    device, node = cases[0]
    neutral = all(potential.pole in ("N", "PEN") for potential in poles.at(node))
    conductor = poles.conductor(node)
    names = list(dict.fromkeys(each.id for each, _ in cases))
    what = "neutral" if neutral else "conductor"
    return this.report(
        f"the {what} at `{node}` does not pass `{residual.id}`, as the others of {listed(names)} do",
        f"lead all conductors of the circuit through `{residual.id}`",
        conductor.span if conductor is not None else device.span,
        (device.id, residual.id, node, *names),
        about=(node,),
        related=[Related(f"`{residual.id}` is declared here", residual.span)],
    )


def _circuits(facts: Facts) -> Iterator[tuple[Device, tuple[str, ...]]]:
    """Terminals of a device between which current flows from the mains: both ends of a load, or all lines and the neutral."""
    for device in facts.plant.devices.values():
        if device.category != Category.DEVICE:
            continue
        passes = {name for path in device.paths for name in (path.a, path.b)}
        groups: list[tuple[str, ...]] = [(consumer.a, consumer.b) for consumer in device.consumers]
        groups.append(tuple(n for n, t in device.terminals.items() if t.role in (Role.LINE_IN, Role.NEUTRAL) and n not in passes))
        for group in groups:
            nodes = tuple(f"{device.id}:{name}" for name in group)
            landed = tuple(node for node in nodes if node in facts.landed and node in facts.network.net_of)
            if len(landed) > 1:
                yield device, landed


def _free(facts: Facts, residual: Device) -> frozenset[str]:
    """Nets to which a source comes on some way past a residual-current device."""
    poles = facts.of(Poles)
    names = {p.id for net in facts.network.nets.values() for p in net.certain if p.kind in _MAINS}
    starts = [facts.network.net_of[name] for name in sorted(names) if name in facts.network.net_of]
    return frozenset(walk(starts, lambda net: poles.beyond(net, residual.id)))


def _behind(facts: Facts, residual: Device, free: frozenset[str]) -> frozenset[str]:
    """Nets that a source reaches through a residual-current device alone."""
    poles = facts.of(Poles)
    nodes = (f"{residual.id}:{name}" for path in residual.paths if path.kind == "pole" for name in (path.a, path.b))
    ends = [facts.network.net_of[node] for node in nodes if node in facts.network.net_of]
    outer = [net for net in ends if net not in free]
    return frozenset(walk(outer, lambda net: (other for other in poles.beyond(net, residual.id) if other not in free)))
