"""Ways back of consumers."""

from __future__ import annotations

from collections.abc import Iterator

from lint.facts import Facts
from lint.poles import Poles, Taker, is_unseen
from lint.registry import Report, Rule, Said, rule
from lint.voltages import ZERO
from lint.wording import listed
from netdsl.findings import Related, Severity
from netdsl.model.kinds import INNER_SUPPLIES, TAPPED, Category
from netdsl.model.plant import Device, Role
from netdsl.network.unused import required_terminals


def _taking(facts: Facts) -> Iterator[str]:
    """Devices with something that takes current between two terminals."""
    return (device.id for device in facts.plant.devices.values() if any(_pairs(device)) or _inputs(device))


@rule(
    "return-missing",
    Severity.ERROR,
    source="IEC 60364-1, 312; IEC 60204-1, 9.4.3",
    silences=("control-earthing",),
    judges=_taking,
)
def return_missing(facts: Facts, this: Rule) -> Iterator[Said]:
    """What feeds a consumer reaches it, but nothing leads its current back.

    Reports:
      A consumer of two poles, or a device with a neutral terminal, of which one terminal gets a phase or the plus of a source and
      the other is wired to a net that no neutral, phase or 0 V of any source reaches, even with all contacts closed; at the
      source where its own common is left open. One finding for all that end in the same net.
      A consumer, or a digital input and its common, between poles of two sources whose commons are not wired together, in every
      state: at the conductor that leads back. Digital inputs that get a voltage and to whose common nothing is connected.
    Silent:
      Terminals without a conductor, which `terminal-open` and `load-open` report; nets that a contact, an output or equipment
      outside may lead on; consumers that nothing feeds; sources whose 0 V or neutrals are wired together. That both are earthed
      does not join them: earth is no return.
    Why:
      Nothing works; and where loads of several phases share the open neutral, each gets a part of the voltage between phases.
    Failing:
      device -F5 mcb-1p at=+MCP current=10A
      device -XS1 socket at=+MCP
      strip -X5 at=+MCP {
        :1..2 neutral 4mm2
        bridge :1..2
      }
      wire -WB1:L1 to -F5:1 4mm2 BK
      wire -F5:2 to -XS1:L 2.5mm2 BK
      wire -XS1:N to -X5:1 2.5mm2 BU
      wire -XS1:PE to -XE1:4 2.5mm2 GNYE
    Passing:
      - wire -XS1:N to -X5:1 2.5mm2 BU
      + wire -XS1:N to -X5:1 2.5mm2 BU
      + wire -X5:2 to -WB1:N 2.5mm2 BU
    Remedy:
      Connect the net to the neutral or the 0 V of the source that feeds its consumers.
    """
    poles = facts.of(Poles)
    left = _left_open(facts, poles)
    yield from _astray(facts, this, poles, {node for found in left.values() for node in found})
    open_: dict[tuple[str, ...], list[str]] = {}
    for device in facts.plant.devices.values():
        for fed, back in _pairs(device):
            net, live = facts.network.net(f"{device.id}:{back}"), f"{device.id}:{fed}"
            if net is None or net.possible or f"{device.id}:{back}" not in facts.landed or not poles.is_live(live):
                continue
            open_.setdefault(poles.closed(net.id), []).append(f"{device.id}:{back}")
    yield from _without_common(facts, this, poles)
    for common, found in left.items():
        yield _at_source(facts, this, common, found)
    told = {node for found in left.values() for node in found}
    for nets, terminals in open_.items():
        nodes = [node for name in nets for node in facts.network.nets[name].nodes]
        own = [node for node in dict.fromkeys(terminals) if node not in told]
        beyond = next((node for node in nodes if is_unseen(facts, node)), None)
        if own and beyond is None:
            yield _report(facts, this, own, nodes)
        for name in dict.fromkeys(node.partition(":")[0] for node in own if beyond is not None):
            yield this.not_judged(name, f"whether `{beyond}` leads its current back is not shown")
    yield from _left_alone(facts, this, poles)


def _left_alone(facts: Facts, this: Rule, poles: Poles) -> Iterator[Said]:
    """Devices that nothing feeds, and those with an end that another rule finds open."""
    for device in facts.plant.devices.values():
        pairs = [(f"{device.id}:{a}", f"{device.id}:{b}") for a, b in (*_pairs(device), *_inputs(device))]
        if pairs and device.category == Category.DEVICE:
            wired = [pair for pair in pairs if facts.landed.intersection(pair)]
            live = [pair for pair in wired if any(map(poles.is_live, pair))]
            bare = next((end for pair in live for end in pair if end not in facts.landed), None)
            if not live:
                yield this.spared(device.id, "nothing feeds it" if wired else "it is not wired")
            elif bare is not None:
                yield this.spared(device.id, f"nothing is connected to `{bare}`, of which another rule speaks where it must be")


def _inputs(device: Device) -> list[tuple[str, str]]:
    """Digital inputs of a device with their commons."""
    found = (terminal for terminal in device.terminals.values() if terminal.role is Role.DIGITAL_IN)
    return [(terminal.name, terminal.common) for terminal in found if terminal.common is not None]


def _left_open(facts: Facts, poles: Poles) -> dict[str, list[str]]:
    """Commons of sources to which nothing is connected, with the far ends of the consumers that their live poles alone feed."""
    commons = {
        f"{device.id}:{source.poles[-1]}"
        for device in facts.plant.devices.values()
        for source in (device.sources if device.kind in INNER_SUPPLIES else ())
    }
    found: dict[str, list[str]] = {}
    for taker in poles.takers:
        for fed, back in (taker.ends, taker.ends[::-1]):
            groups = {p.group for p in poles.at(fed) if p.voltage and p.pole not in ZERO}
            common = groups.pop() if len(groups) == 1 else ""
            if common in commons and common not in facts.landed and back in facts.landed and not poles.is_live(back):
                found.setdefault(common, []).append(back)
    return found


def _at_source(facts: Facts, this: Rule, common: str, own: list[str]) -> Report:
    device = common.partition(":")[0]
    devices = list(dict.fromkeys(terminal.rpartition(":")[0] for terminal in own))
    return this.report(
        f"nothing is connected to `{common}`: {listed(own)} {'lead' if len(own) > 1 else 'leads'} back to no source",
        f"connect `{common}` to what leads the current of its consumers back",
        facts.plant.devices[device].span,
        (device, common, *devices, *own),
        about=(common, *own),
        related=[Related(f"`{name}` is declared here", facts.plant.devices[name].span) for name in devices],
    )


def _astray(facts: Facts, this: Rule, poles: Poles, told: set[str]) -> Iterator[Report]:
    """What lies between poles of two sources: inputs of one device with one common together. Without `told`."""
    found: dict[tuple[str, ...], list[Taker]] = {}
    for taker in poles.takers:
        a, b = taker.ends
        if told.intersection(taker.ends) or not poles.at(a) or not poles.at(b) or poles.is_fed(a, b) or poles.are_one(a, b):
            continue
        if not (poles.is_live(a) or poles.is_live(b)) or any(poles.may_differ(end) for end in taker.ends):
            continue
        net = facts.network.net_of[b]
        found.setdefault((taker.device.id, taker.b) if taker.kind == "input" else ("", net), []).append(taker)
    for takers in found.values():
        first = takers[0]
        near, far = first.ends if poles.is_live(first.ends[0]) else first.ends[::-1]
        at = near if first.kind == "input" else far
        conductor = poles.conductor(at) or poles.conductor(near)
        sources = [next(iter(poles.at(end))) for end in (near, far)]
        ids = list(dict.fromkeys(taker.ends[0] if taker.kind == "input" else taker.device.id for taker in takers))
        yield this.report(
            f"{listed(ids)} {'lie' if len(ids) > 1 else 'lies'} between two sources: `{near}` gets `{sources[0].id}`, "
            f"`{far}` gets `{sources[1].id}`, and nothing but earth joins them",
            f"lead `{far}` to the 0 V or neutral of the source that feeds it, or wire the commons of the two sources together",
            conductor.span if conductor is not None else first.device.span,
            (first.device.id, *ids, near, far, *(source.device for source in sources)),
            about=(near, far, *ids),
            related=[Related(f"`{first.device.id}` is declared here", first.device.span)],
        )


def _without_common(facts: Facts, this: Rule, poles: Poles) -> Iterator[Report]:
    """Inputs that get a voltage, and to whose common nothing is connected."""
    found: dict[str, list[Taker]] = {}
    for taker in poles.takers:
        a, b = taker.ends
        bare = b not in facts.landed and not poles.at(b) and taker.b not in required_terminals(taker.device)
        digital = taker.kind == "input" and taker.device.terminals[taker.a].role is Role.DIGITAL_IN
        if digital and bare and poles.is_live(a):
            found.setdefault(b, []).append(taker)
    for common, takers in found.items():
        device, ids = takers[0].device, [taker.ends[0] for taker in takers]
        conductor = poles.conductor(ids[0])
        yield this.report(
            f"nothing is connected to `{common}`, the common of {listed(ids, 3)}: no current flows in them",
            f"lead `{common}` to the 0 V of the source that feeds its inputs",
            conductor.span if conductor is not None else device.span,
            (device.id, common, *ids),
            about=(common, *ids),
            related=[Related(f"`{device.id}` is declared here", device.span)],
        )


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
