"""Ways back of consumers."""

from __future__ import annotations

from collections.abc import Iterator

from lint.facts import Facts
from lint.registry import Report, Rule, rule
from lint.wording import listed
from netdsl.findings import Related, Severity
from netdsl.model.kinds import TAPPED, Category, Kind
from netdsl.model.plant import Device, Role
from netdsl.network.search import walk

#: what may lead a net back to a source in a way the plant does not show
_UNSEEN = frozenset({Role.DIGITAL_OUT, Role.DIGITAL_COMMON, Role.SUPPLY_COMMON, Role.SUPPLY_OUT, Role.SAFETY_OUT, Role.CONTACT})
_LIVE = frozenset({"ac", "dc"})


@rule("return-missing", Severity.ERROR, source="IEC 60364-1, 312; IEC 60204-1, 9.4.3")
def return_missing(facts: Facts, this: Rule) -> Iterator[Report]:
    """What feeds a consumer reaches it, but nothing leads its current back.

    Reports:
      A consumer of two poles, or a device with a neutral terminal, of which one terminal gets a phase or the plus of a source and
      the other is wired to a net that no neutral, phase or 0 V of any source reaches, even with all contacts closed. One finding
      for all that end in the same net.
    Silent:
      Terminals without a conductor, which `terminal-open` reports; nets that a contact, an output or equipment outside may lead
      on; consumers that nothing feeds.
    Why:
      Nothing works; and where loads of several phases share the open neutral, each gets a part of the voltage between phases.
    Failing:
      device -F5 mcb-1p at=+MCP current=10A
      device -XS1 socket at=+MCP
      strip -X5 at=+MCP {
        :1..2 neutral 4mm2
        bridge :1..2
      }
      wire -WB1:L1 to -F5:1 4mm2
      wire -F5:2 to -XS1:L 2.5mm2
      wire -XS1:N to -X5:1 2.5mm2 BU
      wire -XS1:PE to -XE1:4 2.5mm2 GNYE
    Passing:
      - wire -XS1:N to -X5:1 2.5mm2 BU
      + wire -XS1:N to -X5:1 2.5mm2 BU
      + wire -X5:2 to -WB1:N 2.5mm2 BU
    Remedy:
      Connect the net to the neutral or the 0 V of the source that feeds its consumers.
    """
    open_: dict[tuple[str, ...], list[str]] = {}
    for device in facts.plant.devices.values():
        for fed, back in _pairs(device):
            net, live = facts.network.net(f"{device.id}:{back}"), facts.network.net(f"{device.id}:{fed}")
            if net is None or live is None or net.possible or f"{device.id}:{back}" not in facts.landed:
                continue
            if any(potential.kind in _LIVE and potential.voltage for potential in live.possible):
                open_.setdefault(_joined(facts, net.id), []).append(f"{device.id}:{back}")
    for nets, terminals in open_.items():
        nodes = [node for name in nets for node in facts.network.nets[name].nodes]
        if not any(_unseen(facts, node) for node in nodes):
            yield _report(facts, this, list(dict.fromkeys(terminals)), nodes)


def _report(facts: Facts, this: Rule, own: list[str], nodes: list[str]) -> Report:
    tapped = [node for node in nodes if node not in own and _category(facts, node) in TAPPED]
    others = tapped or [node for node in nodes if node not in own]
    where = f" at {listed(others, 3)}" if others else ""
    devices = list(dict.fromkeys(terminal.rpartition(":")[0] for terminal in own))
    return this.report(
        f"{listed(own)} {'lead' if len(own) > 1 else 'leads'} back to no source: no neutral or 0 V is connected{where}",
        "connect it to the neutral or the 0 V of the source that feeds it",
        facts.plant.devices[devices[0]].span,
        (*devices, *own),
        about=(*own, *nodes),
        related=[Related(f"nor does `{device}` have a way back", facts.plant.devices[device].span) for device in devices[1:]],
    )


def _joined(facts: Facts, net: str) -> tuple[str, ...]:
    """Nets that closed poles and split terminals join to a net, itself included, sorted."""
    nets = facts.network.nets
    beyond = facts.certain_neighbours
    return tuple(sorted(walk((net,), lambda at: (other for other in beyond.get(at, ()) if not nets[other].possible))))


def _category(facts: Facts, node: str) -> str:
    device = facts.plant.devices.get(node.partition(":")[0])
    return device.category if device else ""


def _pairs(device: Device) -> Iterator[tuple[str, str]]:
    """Terminals of a device between which current flows: what feeds it, and its way back."""
    for consumer in device.consumers:
        yield consumer.a, consumer.b
        yield consumer.b, consumer.a
    neutral = [name for name, terminal in device.terminals.items() if terminal.role is Role.NEUTRAL]
    lines = [name for name, terminal in device.terminals.items() if terminal.role is Role.LINE_IN]
    passes = {name for path in device.paths for name in (path.a, path.b)}
    for back in neutral:
        if device.category == Category.DEVICE and back not in passes and not device.consumers:
            yield from ((line, back) for line in lines[:1])


def _unseen(facts: Facts, node: str) -> bool:
    """Whether what has a terminal may lead on in a way that the plant does not show."""
    name, _, terminal = node.partition(":")
    device = facts.plant.devices.get(name)
    if device is None:
        return False
    made = device.terminals.get(terminal.split("/")[0])
    return device.category == Category.OUTSIDE or device.kind == Kind.CONTROLLER or (made is not None and made.role in _UNSEEN)
