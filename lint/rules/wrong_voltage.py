"""Voltages that a terminal is not made for."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import chain

from lint.arriving import SWITCHING, TAKING, Arriving, Wrong
from lint.facts import Facts
from lint.phases import Phases
from lint.poles import Poles
from lint.registry import Report, Rule, Said, rule
from lint.switching import Switched, behind
from lint.voltages import Volts, across, astray, bears, fits, to_earth
from lint.wording import listed
from netdsl.findings import Related, Severity
from netdsl.model.kinds import Category, Kind
from netdsl.model.plant import Device, End, Role, Terminal
from netdsl.network.queries import mate_of
from netdsl.network.search import between, trace_by
from netdsl.network.types import Potential
from netdsl.quantities import Quantity, number_text
from netdsl.states import Answer
from netdsl.states.told import way_words

_UPPER_ONLY = SWITCHING | {Kind.FILTER, Kind.REACTOR}


@rule(
    "voltage-mismatch",
    Severity.ERROR,
    source="IEC 60204-1 4.3; data of the equipment",
    silences=("return-missing", "colour-reserved"),
)
def voltage_mismatch(facts: Facts, this: Rule) -> Iterator[Said]:
    """A terminal gets a voltage, or a kind of it, that it is not rated for.

    Reports:
      Coils, lamps, inputs and supplies that can only get another voltage (more than 10 % off) or AC instead of DC;
      switching and protective devices, contacts, plugs and drives above their rating; a diode terminal in a circuit of AC;
      a neutral at one of three line terminals, where it leaves the neutral conductors. Also a wrong voltage that contacts
      bring in one of their states only, beside a right one: with the shortest sequence of operations that does; with "not
      proved" (a warning) where the search was given up.
    Silent:
      What interlocks, selectors and delays exclude; a voltage against the return of another source, where it is no higher than
      the rating; what electronic outputs, and contacts of which only the terminals are stated, bring in some state.
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
    neutral = {device.id: node for device, node in _neutrals_at_lines(facts)}
    for name, node in neutral.items():
        yield _neutral(facts, this, facts.plant.devices[name], node)
    wrong = set(neutral)
    for device in facts.plant.devices.values():
        owner = device.host or device.id  # the channels of one housing are one case, and wired at its terminals
        if device.id in neutral or (device.host and owner in wrong):
            continue
        for consumer in device.consumers:
            if consumer.voltage is None and f"{device.id}:{consumer.a}" in facts.landed:
                yield this.not_judged(device.id, f"the voltage it takes at `:{consumer.a}` is not stated")
        found = {**_consumers(facts, device), **_inputs(facts, device), **_power(facts, device)}
        if mate_of(facts.plant, device.id) not in wrong:  # the two halves of a plug connection are one case
            found |= _plug(facts, device)
        found |= _diodes(facts, device)
        if found:
            wrong.add(owner)
            terminal, (rated, volts) = next(iter(found.items()))
            ids = [f"{owner}:{name}" for name in found]
            conductors = [name for end in ids for name in facts.network.at_terminal.get(end, ())]
            span = facts.plant.conductors[conductors[0]].span if conductors else device.span
            yield this.report(
                f"{listed(ids)}, rated for {rated}, {'get' if len(ids) > 1 else 'gets'} {number_text(round(volts.value))} V "
                f"{volts.kind.upper()} from `{volts.of.id}`",
                "use equipment for this voltage, or connect it to the right source",
                span,
                (owner, *ids, volts.of.device, *conductors),
                about=[f"{owner}:{terminal}"],
                # what it gets it gets from the wrong source
                explains=[device.id, *(f"{device.id}:{name}" for c in device.consumers if c.a in found for name in (c.a, c.b))],
                related=[Related(f"`{device.id}` is declared here", device.span)],
            )
    for arriving in facts.of(Arriving).wrong(wrong):
        yield _in_a_state(facts, this, arriving)
        if arriving.outcome.answer is Answer.NOT_PROVED:
            yield this.not_judged(arriving.places[0].device.id, arriving.outcome.reason)


def _in_a_state(facts: Facts, this: Rule, wrong: Wrong) -> Report:
    """One report on a voltage that comes to terminals over contacts, at the conductor behind the last of these."""
    first, switched = wrong.places[0], facts.of(Switched)
    ids = list(dict.fromkeys(f"{place.device.id}:{place.terminal}" for place in wrong.places))
    reached = wrong.outcome.answer is Answer.REACHED
    when = "in the moment of changing over" if wrong.in_a_moment else "in some state"
    volts = f"{number_text(round(wrong.volts.value))} V {wrong.volts.kind.upper()} from `{wrong.volts.of.id}`"
    get = "get" if len(ids) > 1 else "gets"
    gets = f"{get} {volts} {when}, over `{way_words(wrong.volts.of.id, wrong.way, ids[0])}`"
    conductor = facts.of(Poles).conductor(behind(wrong.way) or ids[0])
    devices = dict.fromkeys(edge.device for edge, _ in wrong.way)
    return this.report(
        f"{'' if reached else 'not proved that '}{listed(ids)}, rated for {_said(first.rating, first.kind)}, "
        f"{gets if reached else f'never {get} {volts}'}: {switched.told(wrong.outcome)}",
        "lead the voltages over contacts that exclude each other, or connect it to the right source",
        conductor.span if conductor is not None else first.device.span,
        (first.device.id, *ids, wrong.volts.of.device, *devices, *([conductor.id] if conductor is not None else [])),
        about=ids,
        explains=dict.fromkeys(f"{place.device.id}:{place.other}" for place in wrong.places),
        related=[Related(f"`{first.device.id}` is declared here", first.device.span), *switched.along(wrong.way)],
        severity=Severity.ERROR if reached else Severity.WARNING,
    )


def _neutrals_at_lines(facts: Facts) -> Iterator[tuple[Device, str]]:
    """Devices that take three phases, with the first line terminal that gets nothing but a neutral while others get phases."""
    for device, nodes in facts.of(Phases).takers:
        found = [facts.network.nets[facts.network.net_of[node]].possible for node in nodes]
        bare = [node for node, poles in zip(nodes, found, strict=True) if poles and all(pole.pole == "N" for pole in poles)]
        if bare and any(pole.pole in ("L1", "L2", "L3") for poles in found for pole in poles):
            yield device, bare[0]


def _neutral(facts: Facts, this: Rule, device: Device, node: str) -> Report:
    """One report on a neutral that comes to a line terminal, at the conductor by which it leaves the neutral ones."""
    pole = facts.network.nets[facts.network.net_of[node]].possible[0]
    beside = facts.neighbours
    names = between(node, trace_by((pole.id,), lambda here: beside.get(here, ())))
    known = [facts.plant.conductors[name] for name in names if name is not None]
    leaving = next((each for each in known if not all(_is_neutral(facts, end) for end in each.ends)), None)
    return this.report(
        f"neutral `{pole.id}` comes to `{node}`, a line terminal of `{device.id}`, which takes a phase there",
        "take this conductor from a phase",
        leaving.span if leaving is not None else device.span,
        (device.id, node, *([leaving.id, *(end.device for end in leaving.ends)] if leaving is not None else [])),
        about=[f"{device.id}:{name}" for name in device.terminals],
        explains=[each.id for each in known],  # they have the colour of the phase that was to be there
        related=[Related(f"`{device.id}` is declared here", device.span)],
    )


def _is_neutral(facts: Facts, end: End) -> bool:
    terminal = facts.terminal(end)
    return terminal is not None and (terminal.role is Role.NEUTRAL or terminal.name in ("N", "PEN"))


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
    if rating is None or device.kind not in SWITCHING | TAKING or device.category == Category.SUPPLY:
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


def _plug(facts: Facts, device: Device) -> Found:
    """Contacts of the half of a plug connection between which, or to earth, lies more than it is rated for."""
    rating = device.ratings.quantity("voltage")
    if rating is None or device.kind != Kind.PLUG:
        return {}
    live = {t.name: own for t in device.terminals.values() if t.role is Role.PLAIN and (own := _possible(facts, device, t.name))}
    found: Found = {}
    for name, own in live.items():
        beside = (entry for other in live if other != name for entry in across(facts, own, live[other]))
        wrong = next((entry for entry in chain(beside, to_earth(facts, own)) if not bears(rating, entry)), None)
        if wrong is not None:
            found[name] = (rating.shown, wrong)
    return found


def _diodes(facts: Facts, device: Device) -> Found:
    """Diode terminals to which a phase of alternating current comes: half of it is lost, the other half is a direct current."""
    found: Found = {}
    for terminal in device.terminals.values():
        potentials = _possible(facts, device, f"{terminal.name}/in") if terminal.kind == "diode" else ()
        volts = next((entry for entry in to_earth(facts, potentials) if entry.kind == "ac"), None)
        if volts is not None:
            found[terminal.name] = ("DC alone", volts)
    return found


def _phases(facts: Facts, lines: list[tuple[Potential, ...]]) -> list[Volts]:
    """Voltages between phase terminals of which each can get one potential only: all of them must fit."""
    sure = [net for net in lines if len(net) == 1]
    return [entry for number, one in enumerate(sure) for other in sure[number + 1 :] for entry in across(facts, one, other)]
