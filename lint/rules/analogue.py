"""Whether what comes to signal terminals is of their kind, and has the reference it is measured against."""

from __future__ import annotations

from collections.abc import Iterator

from lint.analogue import Signal, Signals, is_loop_fed, kind_of, setting_of
from lint.facts import Facts
from lint.poles import Poles
from lint.registry import Report, Rule, Said, rule
from lint.subjects import such
from netdsl.findings import Related, Severity, Span
from netdsl.model.kinds import TAPPED, Category, Kind
from netdsl.model.plant import Device, Role, Terminal
from netdsl.network.types import Net
from netdsl.quantities import number_text

#: terminals of electronics for which no voltage is stated
_SIGNALS = {
    Role.BUS: "a bus",
    Role.ANALOGUE_IN: "an analogue signal",
    Role.ANALOGUE_OUT: "an analogue signal",
    Role.ANALOGUE_COMMON: "an analogue signal",
    Role.REFERENCE_OUT: "an analogue signal",
    Role.THERMISTOR: "thermistors",
    Role.ENCODER: "an encoder",
}
#: terminals to which no analogue output belongs
_OTHER = frozenset(
    {
        Role.CONTACT,
        Role.DIGITAL_IN,
        Role.DIGITAL_OUT,
        Role.SAFETY_IN,
        Role.SAFETY_OUT,
        Role.BUS,
        Role.THERMISTOR,
        Role.COIL,
        Role.LOAD,
    }
)


@rule(
    "signal-mismatch",
    Severity.ERROR,
    source="IEC 61131-2; data of the equipment",
    silences=("reference-missing", "contact-half-wired"),
    judges=such(lambda device: any(terminal.role in _SIGNALS for terminal in device.terminals.values())),
)
def signal_mismatch(facts: Facts, this: Rule) -> Iterator[Said]:
    """A signal terminal gets what it is not made for.

    Reports:
      A terminal of a bus, an analogue signal, thermistors or an encoder that gets a voltage of the mains or the output of a
      drive. An analogue output that comes to a relay contact, a digital input or another terminal of another kind, and to no
      analogue input in any state; one that is joined to another output. An input set to voltage for a signal that is stated in
      mA, and an input set to a current for a potentiometer or a signal stated in volts.
    Silent:
      Terminals with a stated voltage, which `voltage-mismatch` holds to it; contacts that choose between signals; inputs that
      have no setting of their name; signals that state nothing; a resistor at the input, over which a current makes a voltage.
    Why:
      Mains destroys it; a signal of the wrong kind reads as a value that does not move.
    Failing:
      device -T1 drive at=+MCP
      device -B1 transmitter at=+HALL signal=4..20mA
      wire -T1:PE to -XE1:3 10mm2 GNYE
      cable -W1 1x2x0.75 screened length=20m {
        1a -T1:DI1 to -B1:+
        1b -T1:AC to -B1:-
        screen -T1:SH clamp to -B1 open
      }
    Passing:
      -   1a -T1:DI1 to -B1:+
      +   1a -T1:AI1 to -B1:+
    Remedy:
      Connect it to a terminal of its kind, or set the input for the signal that comes.
    """
    yield from _mains(facts, this)
    signals = facts.of(Signals)
    told: set[str] = set()
    for device in facts.plant.devices.values():
        for terminal in device.terminals.values():
            if terminal.role is Role.ANALOGUE_OUT and f"{device.id}:{terminal.name}" in facts.landed:
                yield from _astray(facts, this, signals, device, terminal)
    for signal in signals.all:
        said, wanted = setting_of(signal.sink, signal.into)
        given = kind_of(signal.source)
        if given and wanted and given != wanted and _has_resistor(facts, signal.input):
            yield this.spared(signal.sink.id, f"a resistor hangs at `{signal.input}`, over which a current makes a voltage")
        elif given and wanted and given != wanted and signal.input not in told:
            told.add(signal.input)
            yield _set_wrong(facts, this, signal, said)


def _mains(facts: Facts, this: Rule) -> Iterator[Report]:
    """Signal terminals that the mains or a drive's output reaches: one finding for all of a net."""
    poles = facts.of(Poles)
    told: set[str] = set()
    for device in facts.plant.devices.values():
        for terminal in device.terminals.values():
            node = f"{device.id}:{terminal.name}"
            if terminal.role not in _SIGNALS or terminal.voltage is not None or device.category in TAPPED:
                continue
            live = [p for p in poles.at(node) if p.kind in ("ac", "pwm") and p.voltage and p.voltage > 60]
            net = facts.network.net_of.get(node, "")
            if live and net not in told:
                told.add(net)
                volts = number_text(round(live[0].voltage or 0.0))
                yield this.report(
                    f"`{node}` is made for {_SIGNALS[terminal.role]} and gets `{live[0].id}`, {volts} V",
                    "take it from there, and connect it to what it is made for",
                    _at(poles, node, device),
                    (device.id, node, live[0].device),
                    about=(node,),
                    related=[Related(f"`{device.id}` is declared here", device.span)],
                )


def _astray(facts: Facts, this: Rule, signals: Signals, device: Device, terminal: Terminal) -> Iterator[Report]:
    """An output that comes to no input, and to something else; one that is joined to another."""
    poles, node = facts.of(Poles), f"{device.id}:{terminal.name}"
    own = facts.network.net(node)
    loose = [other for other in poles.around(node) if other != node and ((net := poles.net(other)) is own or not _is_held(net))]
    others = [(other, found) for other in loose if (found := signals.terminal(other)) is not None]
    beside = [(other, made) for other, (owner, made) in others if owner is not device and owner.category not in TAPPED]
    if all(made.role in _OTHER for _, made in beside) and beside:
        other = beside[0][0]
        yield this.report(
            f"`{other}` is no analogue input, and the signal of `{node}` comes to it and to none",
            "connect the signal to an analogue input",
            _at(poles, other, device),
            (facts.plant.devices[other.partition(":")[0]].id, other, device.id, node),
            about=(node, other),
            related=[Related(f"`{device.id}` is declared here", device.span)],
        )
    doubled = [o for o, made in beside if made.role is Role.ANALOGUE_OUT and own is not None and o in own.nodes and o > node]
    if doubled and _drives(device) and all(_drives(facts.plant.devices[other.partition(":")[0]]) for other in doubled):
        yield this.report(
            f"outputs `{node}` and `{doubled[0]}` are joined",
            "lead each to an input of its own",
            _at(poles, doubled[0], device),
            (device.id, node, doubled[0].partition(":")[0], doubled[0]),
            about=(node, *doubled),
        )


def _is_held(net: Net | None) -> bool:
    """Whether a source holds a net: what else is on it is not reached by a signal."""
    return net is not None and bool(net.certain)


def _drives(device: Device) -> bool:
    """Whether an output makes a signal by itself, which a resistor or a potentiometer does not."""
    return device.kind not in (Kind.POTENTIOMETER, Kind.SENSOR) and device.category == Category.DEVICE


def _set_wrong(facts: Facts, this: Rule, signal: Signal, said: str) -> Report:
    shown = signal.source.ratings.shown("signal") or "a voltage of a potentiometer"
    name = signal.into.name.lower()
    place = signal.sink.settings_at.get(name) or _at(facts.of(Poles), signal.input, signal.sink)
    return this.report(
        f"`{signal.input}` is set to {said} and gets {shown} from `{signal.source.id}`",
        f"set `{name}` of `{signal.sink.id}` to the signal that comes",
        place,
        (signal.sink.id, signal.input, signal.source.id, signal.output),
        about=(signal.input,),
        related=[Related(f"`{signal.source.id}` is declared here", signal.source.span)],
    )


def _has_resistor(facts: Facts, node: str) -> bool:
    net = facts.network.net(node)
    names = {other.partition(":")[0] for other in net.nodes} if net is not None else set()
    return any(facts.plant.devices[name].kind == Kind.RESISTOR for name in names if name in facts.plant.devices)


def _receiving(facts: Facts) -> Iterator[str]:
    """Devices that an analogue signal comes to."""
    return (signal.sink.id for signal in facts.of(Signals).all)


@rule("reference-missing", Severity.ERROR, source="IEC 61131-2; common practice", judges=_receiving)
def reference_missing(facts: Facts, this: Rule) -> Iterator[Said]:
    """An analogue signal has no way back to what it is measured against.

    Reports:
      An output whose common and that of the input which it comes to are not joined, over closed ways at the most; a transmitter
      that its loop feeds, of which the input's common leads to no pole of the source that feeds it.
    Silent:
      Outputs and inputs that state no common, as those of equipment beyond the scope often do; several inputs in series, of which
      the last leads back; a potentiometer, of which either end may be the reference; signals that come over a contact.
    Why:
      A current does not flow, and a voltage against nothing follows whatever is near.
    Failing:
      part source "Controller" {
        kind = controller   letter = A   class = III
        terminal :AO analogue-out common=:AC
        terminal :AC analogue-common
      }
      device -T1 drive at=+MCP
      device -A1 source at=+HALL
      wire -T1:PE to -XE1:3 10mm2 GNYE
      cable -W1 1x2x0.75 screened length=20m {
        1a -T1:AI1 to -A1:AO
        1b -T1:COM to -A1:AC
        screen -T1:SH clamp to -A1 open
      }
    Passing:
      -   1b -T1:COM to -A1:AC
      +   1b -T1:AC to -A1:AC
    Remedy:
      Lead the common of the output to the common of the input.
    """
    poles, signals = facts.of(Poles), facts.of(Signals)
    told: set[str] = set()
    for signal in signals.all:
        end = signals.end_of(signal)
        if facts.network.net_of[signal.output] != facts.network.net_of[signal.input]:
            yield this.spared(signal.sink.id, f"the signal at `{signal.input}` comes over a contact")
            continue
        if end is None:
            yield this.not_judged(signal.sink.id, f"against what `{signal.input}` is measured is not stated")
            continue
        if signal.out.common is None and not is_loop_fed(signal.source):
            yield this.not_judged(signal.sink.id, f"against what `{signal.output}` is given is not stated")
        if signal.input in told:
            continue
        back = _reference(poles, signals, signal, end)
        if back is not None:
            told.add(signal.input)
            yield this.report(
                f"`{end}`, against which `{signal.input}` is measured, is not joined to {back}",
                f"join `{end}` to {back}",
                _at(poles, signal.input, signal.sink),
                (signal.sink.id, signal.input, end, signal.source.id, signal.output),
                about=(signal.input,),
                related=[Related(f"`{signal.source.id}` is declared here", signal.source.span)],
            )


def _reference(poles: Poles, signals: Signals, signal: Signal, end: str) -> str | None:
    """What the common of an input is to be joined to and is not, in words; None where it is, or nothing is known."""
    source = signal.source
    if is_loop_fed(source):
        plus = next(f"{source.id}:{t.name}" for t in source.terminals.values() if t.role is Role.SUPPLY_IN)
        if not poles.is_live(plus) or poles.may_differ(plus) or poles.may_differ(end):
            return None
        return None if poles.is_fed(plus, end) else f"the source of the loop, `{poles.at(plus)[0].id}`"
    if signal.out.common is None:
        return None
    ends = [f"{source.id}:{signal.out.common}"]
    if source.kind == Kind.POTENTIOMETER:
        ends += [f"{source.id}:{name}" for name in source.terminals if name != signal.out.name]
    if any(signals.are_joined(each, end) or poles.are_one(each, end) for each in ends):
        return None
    return f"`{ends[0]}`, the common of `{signal.output}`"


def _at(poles: Poles, node: str, device: Device) -> Span:
    """The conductor at a terminal, else where its device is declared."""
    conductor = poles.conductor(node)
    return conductor.span if conductor is not None else device.span
