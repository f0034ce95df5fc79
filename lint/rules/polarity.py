"""Plus and minus of what has a polarity."""

from __future__ import annotations

from collections.abc import Iterator

from lint.facts import Facts
from lint.poles import Poles
from lint.registry import Report, Rule, Said, rule
from lint.voltages import ZERO
from netdsl.findings import Related, Severity
from netdsl.model.kinds import Kind
from netdsl.model.plant import Device, Role
from netdsl.network.types import Potential


def _with_poles(facts: Facts) -> Iterator[str]:
    """Devices that take direct current, and transmitters."""
    for device in facts.plant.devices.values():
        if any(_directed(device)) or any(_signals(device)) or any(c.voltage_kind == "dc" for c in device.consumers):
            yield device.id


@rule("polarity-mismatch", Severity.ERROR, source="instructions of the equipment; IEC 60381-1", judges=_with_poles)
def polarity_mismatch(facts: Facts, this: Rule) -> Iterator[Said]:
    """Plus and minus, or phase and neutral, are exchanged.

    Reports:
      A device whose terminal for the plus gets only the 0 V of a source, and that for the 0 V only its plus; a diode across a
      coil whose cathode `K` is at the 0 V or whose anode `A` at the plus, whatever switches its other end; a transmitter of two
      wires whose signal terminal gets the plus; an analogue signal whose return is led to the input and whose live end to the
      input's common; a coil of direct current with a built-in suppressor and the plus at its second terminal (a warning). A
      socket, load or supply whose terminal for the phase gets only the neutral, and that for the neutral only a phase.
    Silent:
      Coils without a suppressor and lamps, which have no polarity; digital inputs; sources that turn their poles round.
    Why:
      At the best it does not work; a diode across a coil is a short circuit the other way round. A switch or fuse inside, made
      for the phase, opens the neutral: what is behind it stays live.
    Failing:
      part sensor "Sensor" {
        kind = sensor   letter = B   class = III
        terminal :+ supply-in voltage=24V dc common=:-
        terminal :- supply-common
        load :+ to :- voltage=24V dc power=1W
      }
      device -B1 sensor at=+MCP
      device -T1 drive at=+MCP
      wire -T1:PE to -XE1:3 6mm2 GNYE
      wire -T1:24V to -B1:- 0.75mm2 RD
      wire -T1:COM to -B1:+ 0.75mm2 RD
    Passing:
      - wire -T1:24V to -B1:- 0.75mm2 RD
      - wire -T1:COM to -B1:+ 0.75mm2 RD
      + wire -T1:24V to -B1:+ 0.75mm2 RD
      + wire -T1:COM to -B1:- 0.75mm2 RD
    Remedy:
      Exchange the two conductors.
    """
    poles = facts.of(Poles)
    for device in facts.plant.devices.values():
        yield from _left_alone(poles, this, device)
        for plus, minus, sure in _directed(device):
            one, other = _is_minus(poles.at(plus)), _is_plus(poles.at(minus))
            # a diode across a coil has one end at a pole, whatever switches the other
            if (one and other) or (device.kind == Kind.SUPPRESSOR and one != other and not poles.are_one(plus, minus)):
                yield _reversed(poles, this, device, plus, minus, Severity.ERROR if sure else Severity.WARNING)
        for phase, neutral in _phased(poles, device):
            if _is_neutral(poles.at(phase)) and _is_phase(poles.at(neutral)):
                yield _reversed(poles, this, device, phase, neutral, Severity.ERROR, "phase and neutral")
        for plus, minus in _signals(device):
            if (
                _is_plus(poles.at(minus))
                if device.terminals[plus.rpartition(":")[2]].role is Role.SUPPLY_IN
                else _is_crossed(facts, plus, minus)
            ):
                yield _reversed(poles, this, device, plus, minus, Severity.ERROR)


def _left_alone(poles: Poles, this: Rule, device: Device) -> Iterator[Said]:
    """Devices without a polarity, those whose poles some state turns round, and those of which it is not known what they get."""
    directed = [(plus, minus) for plus, minus, _ in _directed(device)]
    if not directed and not any(_signals(device)):
        if any(consumer.voltage_kind == "dc" for consumer in device.consumers):
            coil = any(consumer.kind == "coil" for consumer in device.consumers)
            yield this.spared(device.id, "its coil has no suppressor built in: no polarity" if coil else "it has no polarity")
        return
    for plus, minus in directed:
        at = [poles.at(node) for node in (plus, minus)]
        if not any(at):
            yield this.spared(device.id, f"nothing comes to `{plus}` and `{minus}`")
        elif not all(at):
            yield this.not_judged(device.id, f"what comes to `{minus if at[0] else plus}` is not known")
        elif any(not _is_plus(found) and not _is_minus(found) and len(found) > 1 for found in at):
            yield this.spared(device.id, f"what comes to `{plus}` and `{minus}` is not the same in every state")


def _reversed(
    poles: Poles, this: Rule, device: Device, plus: str, minus: str, severity: Severity, what: str = "plus and minus"
) -> Report:
    conductor = poles.conductor(minus)
    return this.report(
        f"{what} of `{device.id}` are exchanged, at `{plus}` and `{minus}`",
        "exchange the two conductors",
        conductor.span if conductor is not None else device.span,
        (device.id, plus, minus, *([conductor.id] if conductor is not None else [])),
        about=(plus, minus),
        related=[Related(f"`{device.id}` is declared here", device.span)],
        severity=severity,
    )


def _is_plus(potentials: tuple[Potential, ...]) -> bool:
    return bool(potentials) and all(p.kind == "dc" and p.pole not in ZERO for p in potentials)


def _is_minus(potentials: tuple[Potential, ...]) -> bool:
    return bool(potentials) and all(p.kind == "dc" and p.pole in ZERO for p in potentials)


def _is_neutral(potentials: tuple[Potential, ...]) -> bool:
    return bool(potentials) and all(p.pole == "N" for p in potentials)


def _is_phase(potentials: tuple[Potential, ...]) -> bool:
    return bool(potentials) and all(p.kind == "ac" and p.pole != "N" for p in potentials)


def _phased(poles: Poles, device: Device) -> Iterator[tuple[str, str]]:
    """Terminals for the phase and for the neutral of what is fed by one phase."""
    for taker in poles.takers_of(device.id):
        made = device.terminals.get(taker.b)
        if made is not None and (taker.b == "N" or made.role is Role.NEUTRAL):
            yield taker.ends


def _directed(device: Device) -> Iterator[tuple[str, str, bool]]:
    """Terminals for plus and for minus, and whether their roles say so; else a suppressor makes it likely."""
    found: dict[tuple[str, str], bool] = {}
    for consumer in device.consumers:
        a, b = device.terminals.get(consumer.a), device.terminals.get(consumer.b)
        marked = (consumer.a, consumer.b) == ("+", "-")
        if marked or (b is not None and b.role is Role.SUPPLY_COMMON) or (a is not None and a.role is Role.SUPPLY_IN):
            found[consumer.a, consumer.b] = True
        elif consumer.kind == "coil" and consumer.voltage_kind == "dc" and device.word("suppressor") == "built-in":
            found[consumer.a, consumer.b] = False
    for terminal in device.terminals.values():
        if terminal.role is Role.SUPPLY_IN and terminal.common is not None:
            found[terminal.name, terminal.common] = True
    if device.kind == Kind.SUPPRESSOR and {"K", "A"} <= device.terminals.keys():
        found["K", "A"] = True  # cathode and anode of a diode across a coil
    for (plus, minus), sure in found.items():
        yield f"{device.id}:{plus}", f"{device.id}:{minus}", sure


def _signals(device: Device) -> Iterator[tuple[str, str]]:
    """Of a transmitter fed by its loop its supply and its signal terminal, else each signal with its common."""
    if device.kind != Kind.TRANSMITTER:
        return
    signals = [t for t in device.terminals.values() if t.role is Role.ANALOGUE_OUT]
    feeds = [t.name for t in device.terminals.values() if t.role is Role.SUPPLY_IN]
    if len(feeds) == 1 and not any(t.role is Role.SUPPLY_COMMON for t in device.terminals.values()):
        yield from ((f"{device.id}:{feeds[0]}", f"{device.id}:{t.name}") for t in signals)
    yield from ((f"{device.id}:{t.name}", f"{device.id}:{t.common}") for t in signals if t.common is not None)


def _is_crossed(facts: Facts, live: str, back: str) -> bool:
    """Whether the common of a signal is at an input and its live end at the common of that input."""
    network, devices = facts.network, facts.plant.devices
    net = network.net(back)
    for node in net.nodes if net is not None else ():
        name, _, terminal = node.partition(":")
        made = devices[name].terminals.get(terminal) if name in devices else None
        if made is not None and made.role is Role.ANALOGUE_IN and made.common is not None:
            return network.net_of.get(f"{name}:{made.common}") == network.net_of.get(live)
    return False
