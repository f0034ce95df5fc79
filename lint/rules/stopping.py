"""What stops: stops, trips, and what runs again when a stop is taken back."""

from __future__ import annotations

from collections.abc import Iterator

from lint.facts import Facts
from lint.registry import Report, Rule, rule
from lint.subjects import of_kind
from lint.switching import Switched
from netdsl.findings import Related, Severity
from netdsl.model.kinds import Kind
from netdsl.states import Answer, Outcome
from netdsl.states.holding import pressed
from netdsl.states.stops import Stop


@rule(
    "stop-circuit",
    Severity.ERROR,
    source="IEC 60204-1, 9.2 and 9.4; ISO 13850, 4.1",
    judges=of_kind(Kind.EMERGENCY_STOP, Kind.PUSH_BUTTON, Kind.OVERLOAD),
)
def stop_circuit(facts: Facts, this: Rule) -> Iterator[Report]:
    """A stop, an emergency stop or a trip does not stop what it is to stop.

    Reports:
      A button with a wired break contact, or an emergency stop, that acts on a contactor or on the inputs by which a drive runs,
      while some sequence of operations leaves these running with the stop actuated; one for which a relay has to pull, so that
      behind a broken wire it does nothing; a single wire with which broken, at any time, what it acts on can run while it is
      actuated, with the sequence of operations; a make contact of a button behind which a coil's holding contact lies, so that it
      holds only while the button is pressed; an emergency stop that acts on nothing; an overload relay with a wired contact
      through whose poles current can flow on after it has tripped.
    Silent:
      Stops that lead to a controller or to equipment beyond the scope, which act by a program; overload relays whose contact
      is not wired (`motor-unprotected`); break contacts that only keep the other direction open.
    Why:
      A stop that some position of a selector bypasses is not there when it is needed.
    Failing:
      device -S1 push-button-stop at=+MCP
      device -S2 selector-2 at=+MCP
      device -S3 selector-2 at=+MCP
      device -F1 mcb-1p-b at=+MCP current=6A
      device -F0 mcb-3p at=+MCP current=16A curve=D
      part contactor "Contactor" {
        kind = contactor   letter = K   class = II   current = 9A
        terminal :1 :3 :5 line-in 0.5..6mm2
        terminal :2 :4 :6 load-out 0.5..6mm2
        terminal :A1 :A2 coil 0.5..2.5mm2 clamps=2
        pole :1,3,5 to :2,4,6 switched by=coil
        coil :A1 to :A2 voltage=230V ac power=3W
      }
      device -K1 contactor at=+MCP
      device -M1 motor at=+HALL power=0.37kW current=1.2A power-factor=0.7
      wire -WB1:L1,L2,L3 to -F0:1,3,5 2.5mm2 BK
      wire -F0:2,4,6 to -K1:1,3,5 2.5mm2 BK
      cable -W1 4G2.5 length=5m method=C {
        BN -K1:2 to -M1:U1
        BK -K1:4 to -M1:V1
        GY -K1:6 to -M1:W1
        GNYE -XE1:3 to -M1:PE
      }
      wire -WB1:L1 to -F1:1 1.5mm2 BK
      wire -F1:2 to -S1:21 1mm2 RD
      wire -S1:21 to -S3:13 1mm2 RD
      wire -S1:22 to -S2:13 1mm2 RD
      wire -S2:14 to -K1:A1 1mm2 RD
      wire -S3:14 to -K1:A1 1mm2 RD
      wire -K1:A2 to -WB1:N 1mm2 BU
    Passing:
      - wire -S1:21 to -S3:13 1mm2 RD
      + wire -S1:22 to -S3:13 1mm2 RD
    Remedy:
      Lead every way to the coil or input through the break contact of the stop.
    """
    switched = facts.of(Switched)
    stops = switched.stops
    devices = facts.plant.devices
    for stop in stops.stops():
        at, target = stop.mover.device, stop.target
        related = [Related(f"`{target}` is declared here", devices[target].span)]
        if stop.outcome.answer is Answer.REACHED:
            message = f"`{target}` runs on while `{at}` is actuated: {switched.told(stop.outcome)}"
        elif stop.by_pulling:
            message = f"a relay has to pull for `{at}` to stop `{target}`: behind a broken wire it stops nothing"
            wires = [facts.plant.conductors[names[0]] for names, outcome in stop.broken if outcome.answer is Answer.REACHED]
            related += [Related(f"behind a break of wire `{wire.id}`, for one", wire.span) for wire in wires]
        elif stop.outcome.answer is Answer.NOT_PROVED:
            message = f"not proved that `{at}` always stops `{target}`: {stop.outcome.reason}"
        else:
            yield from _broken(facts, this, stop)
            continue
        yield this.report(
            message,
            f"lead every way to `{target}` through the break contact of `{at}`",
            devices[at].span,
            (at, target),
            about=(at,),
            related=related,
            severity=_severity(stop.outcome),
        )
    for coil, button in pressed(switched.prover):
        yield this.report(
            f"`{coil.device}` holds itself only while `{button}` is pressed: a stop has to open its circuit, not to close it",
            f"take a break contact for `{button}` where it is to stop, or lead the holding contact past it",
            devices[button].span,
            (button, coil.device),
            about=(button,),
            related=[Related(f"`{coil.device}` is declared here", devices[coil.device].span)],
        )
    for mover, program in stops.idle():
        if not program:
            yield this.report(
                f"emergency stop `{mover.device}` stops nothing",
                "lead its break contacts into the circuits of what it is to stop",
                devices[mover.device].span,
                (mover.device,),
                about=(mover.device,),
            )
    for mover, outcome in switched.trips:
        if outcome.answer in (Answer.REACHED, Answer.NOT_PROVED):
            reached = outcome.answer is Answer.REACHED
            said = "current can flow on through" if reached else "not proved that no current flows on through"
            yield this.report(
                f"{said} overload relay `{mover.device}` after it has tripped: {switched.told(outcome)}",
                "lead every coil and input by which its motor runs through its break contact",
                devices[mover.device].span,
                (mover.device,),
                about=(mover.device,),
                severity=_severity(outcome),
            )


def _broken(facts: Facts, this: Rule, stop: Stop) -> Iterator[Report]:
    """What breaks of single wires do to a stop, one report for wires that do the same."""
    at, target, switched = stop.mover.device, stop.target, facts.of(Switched)
    for names, outcome in stop.broken:
        reached = outcome.answer is Answer.REACHED
        wires = [facts.plant.conductors[name] for name in names]
        said = "runs on" if reached else "may run on, as the opposite is not proved,"
        yield this.report(
            f"`{target}` {said} while `{at}` is actuated if wire `{names[0]}` is broken: {switched.told(outcome)}",
            f"lead every way to `{target}` through the break contact of `{at}`, so that no broken wire takes its effect away",
            wires[0].span,
            (at, target, *names, *(end.device for wire in wires[:1] for end in wire.ends)),
            about=(at,),
            related=[
                Related(f"`{at}` is declared here", facts.plant.devices[at].span),
                *(Related("a break of this wire does the same", wire.span) for wire in wires[1:4]),
            ],
            severity=_severity(outcome),
        )


@rule(
    "restart-unexpected",
    Severity.ERROR,
    source="ISO 13850, 4.1.4; IEC 60204-1, 9.2.3.4.2; ISO 14118",
    judges=of_kind(Kind.MOTOR, Kind.DRIVE),
)
def restart_unexpected(facts: Facts, this: Rule) -> Iterator[Report]:
    """A motor runs again by itself when an emergency stop is taken back, or the stop button of a soft starter is let go.

    Reports:
      A motor on the mains, or a drive set to `restart=automatic`, that an emergency stop has stopped and that runs again when
      the stop is pulled out and the safety relay reset, while nothing else is operated: its start stays asked for. A motor that
      a stop button has stopped and that runs again when it is let go, as a soft starter is held by a contact of its own that
      stays closed while it ramps down.
    Silent:
      Drives that need a new command after their torque was off (`restart=new-command`); contactors that hold themselves and have
      dropped; what no emergency stop stops, so also a restart when the supply returns.
    Why:
      Whoever pulls the button out, or resets, does not expect the machine to move.
    Failing:
      part contactor "Contactor" {
        kind = contactor   letter = K   class = II   current = 9A
        terminal :1 :3 :5 line-in 0.5..6mm2
        terminal :2 :4 :6 load-out 0.5..6mm2
        terminal :13 :14 contact 0.5..2.5mm2 clamps=2
        terminal :A1 :A2 coil 0.5..2.5mm2 clamps=2
        pole :1,3,5 to :2,4,6 switched by=coil
        contact :13 to :14 make by=coil
        coil :A1 to :A2 voltage=230V ac power=3W
      }
      device -F0 mcb-3p at=+MCP current=16A curve=D
      device -F1 mcb-1p-b at=+MCP current=6A
      device -K1 contactor at=+MCP
      device -M1 motor at=+HALL power=0.37kW current=1.2A power-factor=0.7
      device -S1 emergency-stop at=+MCP
      device -S2 selector-2 at=+MCP
      wire -WB1:L1,L2,L3 to -F0:1,3,5 2.5mm2 BK
      wire -F0:2,4,6 to -K1:1,3,5 2.5mm2 BK
      cable -W1 4G2.5 length=5m method=C {
        BN -K1:2 to -M1:U1
        BK -K1:4 to -M1:V1
        GY -K1:6 to -M1:W1
        GNYE -XE1:3 to -M1:PE
      }
      wire -WB1:L1 to -F1:1 1.5mm2 BK
      wire -F1:2 to -S1:11 1mm2 RD
      wire -S1:12 to -S2:13 1mm2 RD
      wire -S2:14 to -K1:A1 1mm2 RD
      wire -K1:A2 to -WB1:N 1mm2 BU
    Passing:
      - device -S2 selector-2 at=+MCP
      + device -S2 push-button-start at=+MCP
      - wire -S1:12 to -S2:13 1mm2 RD
      + wire -S1:12 to -S2:13 to -K1:13 1mm2 RD
      + wire -S2:14 to -K1:14 1mm2 RD
      - wire -S2:14 to -K1:A1 1mm2 RD
      + wire -K1:14 to -K1:A1 1mm2 RD
    Remedy:
      Let the stop drop a contactor or relay that holds itself, or that a selector arms only in its position off.
    """
    switched = facts.of(Switched)
    told: set[str] = set()
    for restart in switched.restarts:
        answer = restart.outcome.answer
        if answer not in (Answer.REACHED, Answer.NOT_PROVED) or restart.target in told:
            continue
        told.add(restart.target)
        said = "runs again by itself" if answer is Answer.REACHED else "may run again by itself, as the opposite is not proved,"
        yield this.report(
            f"`{restart.target}` {said} when `{restart.mover.device}` is taken back: {switched.told(restart.outcome)}",
            "let a new command be needed: a start that holds itself, or a relay that a selector arms in its position off",
            facts.plant.devices[restart.target].span,
            (restart.target, restart.mover.device),
            about=(restart.target,),
            related=[Related(f"`{restart.mover.device}` is declared here", facts.plant.devices[restart.mover.device].span)],
            severity=_severity(restart.outcome),
        )


def _severity(outcome: Outcome) -> Severity:
    """A warning where nothing is proved either way."""
    return Severity.WARNING if outcome.answer is Answer.NOT_PROVED else Severity.ERROR
