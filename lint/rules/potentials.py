"""Potentials that meet, and voltages a terminal is not made for."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from lint.facts import Facts
from lint.joined import clash_of, way
from lint.registry import Report, Rule, Said, rule
from lint.voltages import Volts, across, astray, bears, fits, to_earth
from lint.wording import listed
from netdsl.findings import Related, Severity, Span
from netdsl.model.kinds import PROTECTIVE, SWITCHES, Category, Kind
from netdsl.model.plant import Conductor, Device, Role, Terminal
from netdsl.network.queries import node_name
from netdsl.network.types import Net, Potential
from netdsl.quantities import Quantity, number_text

_SWITCHING = PROTECTIVE | SWITCHES
_TAKING = frozenset(
    {
        Kind.DRIVE,
        Kind.SUPPLY_24V,
        Kind.TRANSFORMER,
        Kind.FAN,
        Kind.HEATER,
        Kind.SOCKET,
        Kind.SAFETY_RELAY,
        Kind.FILTER,
        Kind.REACTOR,
    }
)
_UPPER_ONLY = _SWITCHING | {Kind.FILTER, Kind.REACTOR}


@rule("potentials-joined", Severity.ERROR, source="common practice", silences=("voltage-mismatch", "earth-colour"))
def potentials_joined(facts: Facts, this: Rule) -> Iterator[Report]:
    """Two potentials that must not meet are joined.

    Reports:
      One net, closed isolators and protective devices included, that holds two live poles, a live pole and neutral or earth,
      neutral and earth, outputs of two sources, or the 0 V of a source and earth without a declared reference point.
    Silent:
      Protective earths among themselves; the 0 V or neutral of several sources; a PEN with neutral or earth;
      sources declared parallel (`potential ... parallel=yes`); a source whose reference point is declared (`earthing of`).
    Why:
      It is a short circuit, or two sources work against one another, as soon as it is switched on.
    Failing:
      strip -X1 at=+MCP {
        :1..2 4mm2
        bridge :1..2
      }
      wire -WB1:L1 to -X1:1 4mm2 BK
      wire -WB1:L2 to -X1:2 4mm2 BK
    Passing:
      -   bridge :1..2
    Remedy:
      Separate them, or declare that they belong together.
    """
    clusters: dict[frozenset[str], list[Net]] = {}
    for net in facts.network.nets.values():
        clash = clash_of(facts, net) if len(net.certain) > 1 else []
        if clash:
            clusters.setdefault(frozenset(potential.id for potential in clash), []).append(net)
    lines: dict[tuple[str, int], list[_Meeting]] = {}
    for nets in clusters.values():
        met = _meeting(facts, nets)
        if met is not None:
            lines.setdefault((met.span.source.path, met.span.start), []).append(met)
    for meetings in lines.values():
        yield _joined(facts, this, meetings)


@dataclass(frozen=True, slots=True)
class _Meeting:
    """Potentials that meet, the net in which they do, the conductor that joins them, all nets they reach, the place."""

    clash: list[Potential]
    net: Net
    culprit: Conductor | None
    nets: list[Net]
    span: Span


def _meeting(facts: Facts, nets: list[Net]) -> _Meeting | None:
    """Of the conductors on the way between the first two potentials the one declared last is the likeliest to be wrong."""
    clash = clash_of(facts, nets[0])
    known = way(facts, clash[0], clash[1])
    known = known or [facts.plant.conductors[name] for name in nets[0].conductors if name in facts.plant.conductors]
    culprit = max(known, key=lambda conductor: (conductor.span.source.path, conductor.span.start), default=None)
    nodes = [node_name(facts.plant, culprit, end) for end in culprit.ends] if culprit is not None else []
    net = next((net for net in nets if net.id in {facts.network.net_of.get(node) for node in nodes}), nets[0])
    span = culprit.span if culprit is not None else facts.span_of(net.nodes[0].rpartition(":")[0])
    return _Meeting(clash, net, culprit, nets, span) if span is not None else None


def _joined(facts: Facts, this: Rule, meetings: list[_Meeting]) -> Report:
    """One report for all that one line of text joins."""
    first = meetings[0]
    names = [potential.id for potential in first.clash]
    subjects = [subject for met in meetings for subject in _subjects(met.net, met.culprit)]
    potentials = [potential for met in meetings for potential in met.clash]
    also = "".join(f"; {listed([potential.id for potential in met.clash])} meet too" for met in meetings[1:])
    culprits = [met.culprit.id for met in meetings if met.culprit is not None]
    ends = [end.id for end in first.culprit.ends] if first.culprit is not None else []
    at = listed(list(dict.fromkeys((*ends, *first.net.nodes))), 4)
    return this.report(
        f"{listed(names)} meet in one net, at {at}{also}",
        "separate them, or declare them parallel or the reference point of the source",
        first.span,
        (*subjects, *(p.id for p in potentials), *(p.device for p in potentials)),
        about=[*culprits, *(node for met in meetings for touched in met.nets for node in touched.nodes)],
        related=[
            Related("another conductor of the net", facts.plant.conductors[name].span)
            for name in first.net.conductors
            if name not in culprits
        ][:4],
    )


def _subjects(net: Net, culprit: Conductor | None) -> tuple[str, ...]:
    ends = tuple(end.device for end in culprit.ends) if culprit else ()
    return (*ends, *([culprit.id] if culprit else []), *(node.rpartition(":")[0] for node in net.nodes))


@rule("voltage-mismatch", Severity.ERROR, source="IEC 60204-1 4.3; data of the equipment", silences=("return-missing",))
def voltage_mismatch(facts: Facts, this: Rule) -> Iterator[Said]:
    """A terminal gets a voltage, or a kind of it, that it is not rated for.

    Reports:
      Coils, lamps, inputs and supplies that can only get another voltage (more than 10 % off) or AC instead of DC; switching
      and protective devices, contacts and drives above their rating.
    Silent:
      Terminals without a stated rating; nominal neighbours such as 230 V and 240 V; the pulsed output of a drive; windings
      of a motor.
    Why:
      Too much destroys, too little does not work, and both look right on the drawing.
    Failing:
      part demo-lamp "Lamp, 24 V" {
        kind = lamp   letter = P   class = II
        terminal :X1 :X2 load
        load :X1 to :X2 voltage=24V dc
      }
      device -P1 demo-lamp at=+MCP
      wire -WB1:L1 to -P1:X1 1.5mm2 BK
      wire -WB1:N to -P1:X2 1.5mm2 BU
    Passing:
      - part demo-lamp "Lamp, 24 V" {
      + part demo-lamp "Lamp, 230 V" {
      -   load :X1 to :X2 voltage=24V dc
      +   load :X1 to :X2 voltage=230V ac
    Remedy:
      Use equipment for this voltage, or take it from the right source.
    """
    for device in facts.plant.devices.values():
        for consumer in device.consumers:
            if consumer.voltage is None and f"{device.id}:{consumer.a}" in facts.landed:
                yield this.not_judged(device.id, f"the voltage it takes at `:{consumer.a}` is not stated")
        found = {**_consumers(facts, device), **_inputs(facts, device), **_power(facts, device)}
        if found:
            terminal, (rated, volts) = next(iter(found.items()))
            ids = [f"{device.id}:{name}" for name in found]
            conductors = [name for end in ids for name in facts.network.at_terminal.get(end, ())]
            span = facts.plant.conductors[conductors[0]].span if conductors else device.span
            yield this.report(
                f"{listed(ids)}, rated for {rated}, {'get' if len(ids) > 1 else 'gets'} {number_text(round(volts.value))} V "
                f"{volts.kind.upper()} from `{volts.of.id}`",
                "use equipment for this voltage, or connect it to the right source",
                span,
                (device.id, *ids, volts.of.device, *conductors),
                about=[f"{device.id}:{terminal}"],
                # what it gets it gets from the wrong source
                explains=[device.id, *(f"{device.id}:{name}" for c in device.consumers if c.a in found for name in (c.a, c.b))],
                related=[Related(f"`{device.id}` is declared here", device.span)],
            )


Found = dict[str, tuple[str, Volts]]


def _possible(facts: Facts, device: Device, terminal: str) -> tuple[Potential, ...]:
    net = facts.network.net(f"{device.id}:{terminal}")
    return net.possible if net is not None else ()


def _said(rating: Quantity, kind: str) -> str:
    return f"{rating.shown} {kind.upper()}".strip()


def _consumers(facts: Facts, device: Device) -> Found:
    """Coils and loads that cannot get the voltage they are made for."""
    found: Found = {}
    for consumer in device.consumers:
        if consumer.voltage is None:
            continue
        a, b = _possible(facts, device, consumer.a), _possible(facts, device, consumer.b)
        volts = across(facts, a, b) or astray(facts, a, b)
        if volts and not any(fits(consumer.voltage, entry, consumer.voltage_kind) for entry in volts):
            found[consumer.a] = (_said(consumer.voltage, consumer.voltage_kind), volts[0])
    return found


def _inputs(facts: Facts, device: Device) -> Found:
    """Terminals with a rated voltage of their own."""
    consumed = {name for consumer in device.consumers if consumer.voltage is not None for name in (consumer.a, consumer.b)}
    sources = {name for source in device.sources for name in source.poles}
    found: Found = {}
    for terminal in device.terminals.values():
        if terminal.voltage is None or terminal.name in consumed or terminal.name in sources:
            continue
        potentials = _possible(facts, device, terminal.name)
        volts = across(facts, potentials, _possible(facts, device, terminal.common)) if terminal.common else []
        volts = volts or _between_alike(facts, device, terminal) or to_earth(facts, potentials)
        if terminal.role == Role.CONTACT:
            wrong = [entry for entry in volts if not bears(terminal.voltage, entry)]
        else:
            fit = any(fits(terminal.voltage, entry, terminal.voltage_kind) for entry in volts)
            wrong = [] if fit else volts
        if wrong:
            found[terminal.name] = (_said(terminal.voltage, terminal.voltage_kind), wrong[0])
    return found


def _between_alike(facts: Facts, device: Device, terminal: Terminal) -> list[Volts]:
    """Voltages between a terminal without a common and others of its device with the same role and rating: its other pole."""
    others = [
        other.name
        for other in device.terminals.values()
        if other is not terminal and other.role is terminal.role and other.voltage == terminal.voltage and not terminal.common
    ]
    potentials = _possible(facts, device, terminal.name)
    return [volts for other in others for volts in across(facts, potentials, _possible(facts, device, other))]


def _power(facts: Facts, device: Device) -> Found:
    """Power terminals of a device that is rated as a whole: at least its range, for switching devices at most its rating."""
    rating = device.ratings.quantity("voltage")
    if rating is None or device.kind not in _SWITCHING | _TAKING or device.category == Category.SUPPLY:
        return {}
    ways = [t.name for t in device.terminals.values() if t.role in {Role.LINE_IN, Role.NEUTRAL} and t.voltage is None]
    nets = [_possible(facts, device, name) for name in ways]
    pairs = [entry for number, one in enumerate(nets) for other in nets[number + 1 :] for entry in across(facts, one, other)]
    volts = pairs or [entry for one in nets for entry in to_earth(facts, one)]
    if device.kind in _UPPER_ONLY:
        wrong = [entry for entry in volts if not bears(rating, entry)]
    else:
        lines = [net for name, net in zip(ways, nets, strict=True) if device.terminals[name].role == Role.LINE_IN]
        fit = any(fits(rating, entry, "") for entry in volts)
        wrong = [entry for entry in _phases(facts, lines) if not fits(rating, entry, "")] if fit else pairs
    if not wrong:
        return {}
    reached = [name for name, potentials in zip(ways, nets, strict=True) if potentials]
    return dict.fromkeys(reached, (rating.shown, wrong[0]))


def _phases(facts: Facts, lines: list[tuple[Potential, ...]]) -> list[Volts]:
    """Voltages between phase terminals of which each can get one potential only: all of them must fit."""
    sure = [net for net in lines if len(net) == 1]
    return [entry for number, one in enumerate(sure) for other in sure[number + 1 :] for entry in across(facts, one, other)]
