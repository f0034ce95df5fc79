"""Whether each consumer gets both poles."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from lint.analogue import is_loop_fed
from lint.facts import Facts
from lint.misnamed import may_be_misnamed
from lint.phases import Phases
from lint.poles import Poles, Taker
from lint.registry import Report, Rule, Said, rule
from lint.switching import Switched
from lint.wording import listed
from netdsl.findings import Related, Severity
from netdsl.model.input_logic import SETTING, SINK
from netdsl.model.kinds import Kind
from netdsl.model.plant import Role
from netdsl.network.unused import required_terminals
from netdsl.states.channels import SafetyRelays

_LOADS = frozenset({"coil", "load", "supply"})


def _loads(facts: Facts) -> Iterator[str]:
    """Devices with a coil, a load or a supply of their own between two terminals."""
    return (taker.device.id for taker in facts.of(Poles).takers if taker.kind in _LOADS or _logic(taker))


def _logic(taker: Taker) -> str:
    """How a digital input is set, source or sink; "" for what is none, or where nothing says it."""
    return taker.device.word(SETTING) if taker.kind == "input" else ""


@rule("load-shorted", Severity.ERROR, source="common practice", judges=_loads)
def load_shorted(facts: Facts, this: Rule) -> Iterator[Said]:
    """Both ends of a consumer are on one potential.

    Reports:
      A coil, lamp, sounder or another load, or a device that is fed between two line terminals or a line terminal and the
      neutral, of which both terminals are wired together, or get the same pole of one source in every state; a winding of a motor
      with six ends, of which both ends get one phase over the contactors. A digital input of a device that states
      `input-logic=source` or `sink`, which gets the pole alone at which it is off.
    Silent:
      Digital inputs of devices that do not say how the jumper is set, which turns them round; what equipment beyond the scope
      may lead on.
    Why:
      It never works, and nothing trips: the fault is looked for in everything that commands it.
    Failing:
      part demo-lamp "Lamp" {
        kind = lamp   letter = P   class = II
        terminal :X1 :X2 load
        load :X1 to :X2 voltage=24V dc power=1W
      }
      device -P1 demo-lamp at=+MCP
      device -T1 drive at=+MCP
      wire -T1:PE to -XE1:3 6mm2 GNYE
      wire -T1:COM to -P1:X1 0.75mm2 RD
      wire -T1:COM to -P1:X2 0.75mm2 RD
    Passing:
      - wire -T1:COM to -P1:X1 0.75mm2 RD
      + wire -T1:24V to -P1:X1 0.75mm2 RD
    Remedy:
      Connect its two ends to the two poles of its source.
    """
    poles = facts.of(Poles)
    for taker in poles.takers:
        a, b = taker.ends
        if _logic(taker) and a in facts.landed and poles.are_one(a, b):
            if any(poles.is_hidden(each) for each in poles.around(a) if each.partition(":")[0] != taker.device.id):
                yield this.not_judged(taker.device.id, f"what comes to `{a}` is not all shown")
            else:
                yield _wrong_pole(facts, this, taker)
            continue
        wired = a in facts.landed and b in facts.landed
        if taker.kind in _LOADS and not wired:
            yield this.spared(taker.device.id, f"not both of `{a}` and `{b}` are wired")
        if taker.kind not in _LOADS or not wired or not poles.are_one(a, b):
            continue
        one = facts.network.net_of.get(a) == facts.network.net_of.get(b)
        if not one and (poles.may_differ(a) or poles.may_differ(b)):
            yield this.not_judged(taker.device.id, f"what comes to `{a if poles.may_differ(a) else b}` is not all shown")
            continue
        got = next((potential.id for potential in (*poles.at(a), *poles.at(b))), "")
        yield this.report(
            f"`{a}` and `{b}` are {f'both on `{got}`' if got else 'wired together'}: `{taker.device.id}` never gets a voltage",
            "connect its two ends to the two poles of its source",
            taker.device.span,
            (taker.device.id, a, b),
            about=(a, b),
        )
    yield from _windings(facts, this)


def _wrong_pole(facts: Facts, this: Rule, taker: Taker) -> Report:
    """A digital input that gets the pole against which it is measured, as its device is set."""
    (a, b), logic = taker.ends, _logic(taker)
    other, volts = ("source", "0 V") if logic == SINK else ("sink", "24 V")
    conductor = facts.of(Poles).conductor(a)
    return this.report(
        f"`{a}` is never on: by `input-logic={logic}` of `{taker.device.id}` it is on at {volts}, and it gets what `{b}` has",
        f"lead the other pole to it, or set `input-logic={other}` and the jumper so",
        conductor.span if conductor is not None else taker.device.span,
        (taker.device.id, a, b),
        about=(a, b),
        related=[Related(f"`{taker.device.id}` is declared here", taker.device.span)],
    )


def _windings(facts: Facts, this: Rule) -> Iterator[Report]:
    """Motors of which a winding lies between a phase and itself, over whatever contactors."""
    phases = facts.of(Phases)
    for motor, _ in phases.takers:
        for one, other in phases.windings(motor):
            got = {arrival.pole.id for end in (one, other) for arrival in phases.at(end)}
            if len(got) == 1 and phases.at(one) and phases.at(other):
                conductor = facts.of(Poles).conductor(other)
                yield this.report(
                    f"`{one}` and `{other}` both get `{min(got)}`: this winding of `{motor.id}` lies between a phase and itself",
                    "exchange the second ends of the windings",
                    conductor.span if conductor is not None else motor.span,
                    (motor.id, one, other),
                    about=(one, other),
                    related=[Related(f"`{motor.id}` is declared here", motor.span)],
                )
                break  # ends that are exchanged, or turned by one, make others of it


@rule("load-open", Severity.ERROR, source="common practice", silences=("pole-open",), judges=_loads)
def load_open(facts: Facts, this: Rule) -> Iterator[Said]:
    """One end of a consumer leads to nothing.

    Reports:
      A coil, lamp, sounder or another load with a conductor on one terminal and none on the other; a warning where the other is
      wired, as far as to contacts and loads like it at the most, and no source is there in any state; the same of a power supply.
      A contactor whose poles lead to the second ends of a motor's windings and, on the other side, neither to a source nor all to
      one star point. A transmitter that its loop feeds, and to which no source comes. A channel or reset loop of a safety relay
      that is wired at both ends and that no position of the contacts closes.
    Silent:
      Terminals that the part requires, which `terminal-open` reports; a way back that is missing (`return-missing`); one of
      several loads of a device with a common terminal, of which others are in use; what ends on a strip, for a wire yet to come,
      or at outputs and equipment beyond the scope; where a name of no device in the text may mean it, or where it leads to what
      could not be read.
    Why:
      It never works, and nothing says so.
    Failing:
      part demo-lamp "Lamp" {
        kind = lamp   letter = P   class = II
        terminal :X1 :X2 load
        load :X1 to :X2 voltage=24V dc power=1W
      }
      device -P1 demo-lamp at=+MCP
      device -T1 drive at=+MCP
      wire -T1:PE to -XE1:3 6mm2 GNYE
      wire -T1:24V to -P1:X1 0.75mm2 RD
    Passing:
      + wire -T1:COM to -P1:X2 0.75mm2 RD
    Remedy:
      Connect the open end to the other pole of the source.
    """
    poles = facts.of(Poles)
    unfed: dict[str, list[tuple[Taker, str, str]]] = {}
    for taker in poles.takers:
        if taker.kind == "input":
            continue
        a, b = taker.ends
        for here, there, name in ((a, b, taker.b), (b, a, taker.a)):
            if here not in facts.landed:
                continue
            if there not in facts.landed:
                if taker.kind == "supply":
                    yield this.spared(taker.device.id, f"`{there}` is the supply of a device, which `terminal-open` judges")
                elif name in required_terminals(taker.device):
                    yield this.spared(taker.device.id, f"its part requires `{there}`, of which `terminal-open` speaks")
                elif may_be_misnamed(facts, taker.device):
                    yield this.not_judged(taker.device.id, f"a name that is no device's may mean `{there}`")
                elif poles.has_room(taker):
                    yield this.spared(taker.device.id, f"`{there}` is spare: another load of it is in use")
                else:
                    yield _open(this, taker, here, there, f"`{there}` is not connected, and `{here}` is")
            elif not poles.at(there) and poles.at(here) and not poles.is_live(here):
                if any(node.partition(":")[0] in facts.plant.doubtful for node in poles.around(there)):
                    yield this.not_judged(taker.device.id, f"what `{there}` leads to could not be read")
                elif poles.leads_nowhere(there):
                    unfed.setdefault(facts.network.net_of[there], []).append((taker, here, there))
                else:
                    yield this.spared(taker.device.id, f"what `{there}` leads to may be led on")
    for together in unfed.values():  # one wire is missing to all that are joined
        (taker, here, there), *more = together
        ends = [there, *(node for _, _, node in more)]
        text = f"nothing feeds {listed(ends)}: no source comes there in any state"
        yield _open(this, taker, here, there, text, Severity.WARNING, poles.around(there), [each for each, _, _ in more])
    for device in facts.plant.devices.values():
        live = any(poles.is_live(f"{device.id}:{name}") for name in device.terminals)
        for name, terminal in device.terminals.items() if is_loop_fed(device) and not live else ():
            node = f"{device.id}:{name}"
            if terminal.role is Role.SUPPLY_IN and node in facts.landed and not poles.may_differ(node):
                yield this.report(
                    f"nothing feeds `{node}`: no source comes to the loop",
                    "connect it to the plus of the source that is to feed the loop",
                    device.span,
                    (device.id, node),
                    about=(node,),
                )
    yield from _star_points(facts, this)
    yield from _loops(facts, this)


def _loops(facts: Facts, this: Rule) -> Iterator[Report]:
    """Channels and reset loops that are never closed."""
    if not any(device.kind == Kind.SAFETY_RELAY for device in facts.plant.devices.values()):
        return
    poles = facts.of(Poles)
    for relay, channel in SafetyRelays(facts.of(Switched).prover).never_closed():
        if not all(node in facts.landed for node in channel.nodes):
            continue
        beside = {other for node in channel.nodes for other in poles.around(node) if other.partition(":")[0] != relay}
        if any(map(poles.is_hidden, beside)):
            continue
        a, b = channel.nodes
        what = "reset loop" if channel.reset else "channel"
        conductor = poles.conductor(b)
        device = facts.plant.devices[relay]
        yield this.report(
            f"the {what} from `{a}` to `{b}` of safety relay `{relay}` is closed in no position of the contacts",
            f"lead it from `{a}` through the contacts that are to close it to `{b}`",
            conductor.span if conductor is not None else device.span,
            (relay, a, b),
            about=(a, b),
            related=[Related(f"`{relay}` is declared here", device.span)],
        )


def _star_points(facts: Facts, this: Rule) -> Iterator[Report]:
    """Contactors at the second ends of a motor's windings that join them to no star point."""
    phases = facts.of(Phases)
    for motor, _ in phases.takers:
        seconds = phases.around(other for _, other in phases.windings(motor))
        for contactor in facts.plant.devices.values() if seconds else ():
            if contactor.kind != Kind.CONTACTOR:
                continue
            poles = phases.poles_of(contactor)
            for side in (0, 1):
                near, far = {pole[side] for pole in poles}, {pole[1 - side] for pole in poles}
                ends = [node for net in sorted(far) for node in facts.network.nets[net].nodes]
                if len(near) == 3 and near <= seconds and len(far) > 1 and all(n.startswith(f"{contactor.id}:") for n in ends):
                    yield this.report(
                        f"{listed(ends)} are not all wired together: `{contactor.id}` makes no star point for `{motor.id}`",
                        f"wire {listed(ends)} together",
                        contactor.span,
                        (contactor.id, motor.id, *ends),
                        about=(contactor.id, *ends),
                        explains=(f"{contactor.id}:{name}" for name in contactor.terminals),
                    )


def _open(
    this: Rule,
    taker: Taker,
    here: str,
    there: str,
    text: str,
    severity: Severity = Severity.ERROR,
    explains: Iterable[str] = (),
    beside: Iterable[Taker] = (),
) -> Report:
    others = {other.device.id: other.device for other in beside if other.device is not taker.device}
    return this.report(
        text,
        f"connect `{there}` to the other pole of the source",
        taker.device.span,
        (taker.device.id, there, here, *others),
        about=(there,),
        explains=explains,
        related=[Related(f"`{name}` is declared here", device.span) for name, device in others.items()],
        severity=severity,
    )
