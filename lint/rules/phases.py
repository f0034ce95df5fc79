"""Whether what takes three phases gets each once, and in which order."""

from __future__ import annotations

from collections.abc import Iterator

from lint.facts import Facts
from lint.motors import Motors
from lint.phases import Phases
from lint.poles import Poles
from lint.registry import Report, Rule, Said, rule
from lint.subjects import of_kind
from lint.wording import listed
from netdsl.findings import Related, Severity
from netdsl.model.kinds import Kind
from netdsl.model.plant import Conductor, Device
from netdsl.network.types import Potential

#: the order of poles of a source, and of a drive's output
_ORDER = {"L1": 0, "L2": 1, "L3": 2, "U": 0, "V": 1, "W": 2}


def _of_three(facts: Facts) -> Iterator[str]:
    """Devices with three line terminals, all of them wired."""
    return (device.id for device, _ in facts.of(Phases).takers)


@rule(
    "phase-missing",
    Severity.ERROR,
    source="IEC 60204-1, 4.3; common practice",
    silences=("pole-open",),
    judges=_of_three,
)
def phase_missing(facts: Facts, this: Rule) -> Iterator[Said]:
    """What takes three phases gets one of them twice, or one not at all.

    Reports:
      A drive, a supply, a motor or another device with three line terminals, all of them wired, of which two get the same phase
      over the same contactors, or one gets none: in any state, or over contactors that bring the other two. One finding for all
      that one conductor, or one net, leaves so.
    Silent:
      Terminals without a conductor (`terminal-open`); a neutral at a line terminal (`voltage-mismatch`); ways over parts that do
      not say what they join, or over equipment beyond the scope; star contactors.
    Why:
      A motor hums and burns on two phases; a drive trips on ripple when it is loaded, not when it is tried out.
    Failing:
      device -T1 drive at=+MCP
      device -F1 mcb-3p at=+MCP current=10A
      wire -WB1:L1,L2 to -F1:1,3 2.5mm2 BK
      wire -WB1:L2 to -F1:5 2.5mm2 BK
      wire -F1:2,4,6 to -T1:L1,L2,L3 2.5mm2 BK
      wire -T1:PE to -XE1:3 10mm2 GNYE
    Passing:
      - wire -WB1:L2 to -F1:5 2.5mm2 BK
      + wire -WB1:L3 to -F1:5 2.5mm2 BK
    Remedy:
      Lead each phase to a terminal of its own.
    """
    phases = facts.of(Phases)
    twice: dict[str, list[tuple[Device, str, str, Potential]]] = {}
    missing: dict[tuple[str, ...], list[tuple[Device, str, frozenset[str]]]] = {}
    for device, nodes in phases.takers:
        mappings = phases.mappings(nodes)
        for over, poles in mappings.items():
            pair = _same(nodes, poles)
            if pair is not None:
                one, other, pole = pair
                twice.setdefault(phases.parting(one, other) or other, []).append((device, one, other, pole))
                break
            left = [node for node, found in zip(nodes, poles, strict=True) if not found]
            if len(left) != 1 or (len(mappings) > 1 and not over) or any(len(found) > 1 for found in poles):
                continue
            if any(name.partition(":")[0] in facts.plant.doubtful for name in facts.of(Poles).around(left[0])):
                yield this.not_judged(device.id, f"what leads to `{left[0]}` could not be read")
                break
            if phases.at(left[0]) or phases.is_missing(left[0]):
                nets = facts.of(Poles).closed(facts.network.net_of[left[0]])
                missing.setdefault(nets if not over else (left[0],), []).append((device, left[0], over))
                break
            yield this.not_judged(device.id, f"which phase comes to `{left[0]}` is not shown")
    for name, cases in twice.items():
        yield _twice(facts, this, facts.plant.conductors.get(name), cases)
    for lacks in missing.values():
        yield _missing(facts, this, phases, lacks)


def _same(nodes: tuple[str, ...], poles: tuple[tuple[Potential, ...], ...]) -> tuple[str, str, Potential] | None:
    """Two terminals that get one phase, where each gets one at the most."""
    if any(len(found) > 1 for found in poles):
        return None
    seen: dict[str, str] = {}
    for node, found in zip(nodes, poles, strict=True):
        for pole in found:
            if pole.pole in _ORDER and pole.id in seen:
                return seen[pole.id], node, pole
            seen[pole.id] = node
    return None


def _twice(facts: Facts, this: Rule, conductor: Conductor | None, cases: list[tuple[Device, str, str, Potential]]) -> Report:
    device, one, other, pole = cases[0]
    devices = list(dict.fromkeys(case[0].id for case in cases))
    return this.report(
        f"`{device.id}` gets `{pole.id}` twice, at `{one}` and `{other}`, and another phase not at all",
        "lead each phase to a terminal of its own",
        conductor.span if conductor is not None else device.span,
        (*devices, one, other, *([conductor.id] if conductor is not None else [])),
        about=(one, other),
        related=[Related(f"`{name}` is declared here", facts.plant.devices[name].span) for name in devices],
    )


def _missing(facts: Facts, this: Rule, phases: Phases, lacks: list[tuple[Device, str, frozenset[str]]]) -> Report:
    device, node, over = lacks[0]
    devices = list(dict.fromkeys(lack[0].id for lack in lacks))
    when = f" over {listed(sorted(over))}" if over and phases.at(node) else ""
    return this.report(
        f"no phase comes to `{node}`{when}: `{device.id}` gets two of three",
        "lead each phase to a terminal of its own",
        device.span,
        (*devices, node, *sorted(over)),
        about=(node,),
        explains=facts.of(Poles).around(node),
        related=[Related(f"nor does `{name}` get three", facts.plant.devices[name].span) for name in devices[1:]],
    )


@rule("phase-order", Severity.ERROR, source="IEC 60034-8; common practice", judges=of_kind(Kind.MOTOR))
def phase_order(facts: Facts, this: Rule) -> Iterator[Report]:
    """Phases arrive in another order, or in the same where they have to be exchanged.

    Reports:
      Two interlocked contactors between the same conductors that give a motor its phases in one order: it is not reversed. A
      motor that the mains turn the other way than the drive that it is handed over from (a warning). A motor on the mains that
      gets L1, L2, L3 in another order at U1, V1, W1, or one that turns the other way than another on the same drive: a note, as
      that may be how it is to turn.
    Silent:
      Drives, which make their own order, and motors behind them alone; reversing contactors; contactors for soft starting and for
      two feeders, which do not lie between the same conductors.
    Why:
      A pump that turns the wrong way runs, and delivers too little; a gate that cannot be reversed drives into its end.
    Failing:
      part contactor "Contactor" {
        kind = contactor   letter = K   class = II   current = 9A
        terminal :1 :3 :5 line-in 0.5..6mm2 clamps=3
        terminal :2 :4 :6 load-out 0.5..6mm2 clamps=2
        terminal :A1 :A2 coil 0.5..2.5mm2
        pole :1,3,5 to :2,4,6 switched by=coil
        coil :A1 to :A2 voltage=24V dc power=2W
      }
      device -F1 mcb-3p at=+MCP current=10A curve=D
      device -K1 contactor at=+MCP
      device -K2 contactor at=+MCP
      fit mechanical-interlock on -K1
      interlock -K1 -K2 mechanical
      device -M1 motor at=+HALL power=0.37kW current=1.2A power-factor=0.7
      wire -WB1:L1,L2,L3 to -F1:1,3,5 2.5mm2 BK
      wire -F1:2,4,6 to -K1:1,3,5 to -K2:1,3,5 2.5mm2 BK
      wire -K1:2,4,6 to -K2:2,4,6 2.5mm2 BK
      cable -W1 4G2.5 length=5m method=C {
        BN -K1:2 to -M1:U1
        BK -K1:4 to -M1:V1
        GY -K1:6 to -M1:W1
        GNYE -XE1:3 to -M1:PE
      }
    Passing:
      - wire -K1:2,4,6 to -K2:2,4,6 2.5mm2 BK
      + wire -K1:2,4,6 to -K2:6,4,2 2.5mm2 BK
    Remedy:
      Exchange two phases behind one of the contactors, or at the motor.
    """
    yield from _not_reversed(facts, this)
    phases = facts.of(Phases)
    together: dict[str, dict[bool, list[tuple[Device, tuple[str, ...]]]]] = {}
    for device, nodes in phases.takers:
        if device.kind != Kind.MOTOR:
            continue
        turns: dict[str, set[bool]] = {"ac": set(), "pwm": set()}
        for poles in phases.mappings(nodes).values():
            turn = _turn(poles)
            if turn is not None:
                turns[poles[0][0].kind].add(turn)
        mains, drive = turns["ac"], turns["pwm"]
        if len(drive) == 1 and not mains:
            for source in {poles[0][0].device for poles in phases.mappings(nodes).values() if _turn(poles) is not None}:
                together.setdefault(source, {}).setdefault(next(iter(drive)), []).append((device, nodes))
        if len(mains) == 1 and len(drive) == 1 and mains != drive:
            text = f"the mains turn `{device.id}` the other way than its drive does"
            yield _at_motor(facts, this, device, nodes, text, Severity.WARNING)
        elif mains == {False} and not drive:
            text = f"phases come to `{device.id}` in another order than L1, L2, L3 at {listed(list(nodes))}"
            yield _at_motor(facts, this, device, nodes, text, Severity.NOTE)
    for source, ways in together.items():
        if len(ways) > 1:
            other, at = ways[False][0]
            text = f"`{other.id}` turns the other way than `{ways[True][0][0].id}` on drive `{source}`"
            yield _at_motor(facts, this, other, at, text, Severity.NOTE)


def _turn(poles: tuple[tuple[Potential, ...], ...]) -> bool | None:
    """Whether three phases of one source come in their own order; None where each is not there once."""
    if any(len(found) != 1 for found in poles) or len({found[0].group for found in poles}) > 1:
        return None
    order = [_ORDER.get(found[0].pole, -1) for found in poles]
    return order in ([0, 1, 2], [1, 2, 0], [2, 0, 1]) if sorted(order) == [0, 1, 2] else None


def _at_motor(facts: Facts, this: Rule, motor: Device, nodes: tuple[str, ...], text: str, severity: Severity) -> Report:
    """At the first conductor at the motor that brings another phase than its place in the order."""
    phases = facts.of(Phases)
    wrong = [
        node
        for number, node in enumerate(nodes)
        if any(a.pole.kind == "ac" and _ORDER.get(a.pole.pole) != number for a in phases.at(node))
    ]
    ends = [conductor for node in wrong if (conductor := facts.of(Poles).conductor(node)) is not None]
    first = min(ends, key=lambda conductor: (conductor.span.source.path, conductor.span.start), default=None)
    return this.report(
        text,
        "exchange two phases at it, unless this is how it is to turn",
        first.span if first is not None else motor.span,
        (motor.id, *nodes),
        about=(motor.id,),
        related=[Related(f"`{motor.id}` is declared here", motor.span)],
        severity=severity,
    )


def _not_reversed(facts: Facts, this: Rule) -> Iterator[Report]:
    phases, told = facts.of(Phases), set()
    for pair in facts.plant.interlocks:
        made = [facts.plant.devices[name] for name in pair.devices if name in facts.plant.devices]
        for number, one in enumerate(made):
            for other in made[number + 1 :]:
                a, b = phases.poles_of(one), phases.poles_of(other)
                if (one.id, other.id) in told or len(a) != 3 or len(b) != 3 or not _is_parallel(a, b):
                    continue
                told.add((one.id, other.id))
                leads = dict(b)
                swapped = sum(leads.get(near) != far for near, far in a)
                if swapped != 2:
                    yield _parallel(facts, this, one, other)


def _is_parallel(a: tuple[tuple[str, str], ...], b: tuple[tuple[str, str], ...]) -> bool:
    """Whether the poles of two contactors lie between the same three nets on each side."""
    sides = [[{pole[side] for pole in poles} for poles in (a, b)] for side in (0, 1)]
    return all(one == other and len(one) == 3 for one, other in sides)


def _parallel(facts: Facts, this: Rule, one: Device, other: Device) -> Report:
    motors = facts.of(Motors).behind(other.id)
    ends = [path.b for path in other.paths if path.kind == "pole"]
    conductor = facts.of(Poles).conductor(f"{other.id}:{ends[0]}")
    whom = listed(list(motors)) if motors else "what is behind them"
    return this.report(
        f"`{one.id}` and `{other.id}` give {whom} the phases in the same order: it is not reversed",
        f"exchange two phases behind `{other.id}`",
        conductor.span if conductor is not None else other.span,
        (other.id, one.id, *motors),
        about=(one.id, other.id),
        related=[Related(f"`{each.id}` is declared here", each.span) for each in (one, other)],
    )
