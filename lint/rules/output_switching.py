"""Contactors on either side of a drive that move at the wrong time: in its output while it runs, ahead of it to start it."""

from __future__ import annotations

from collections.abc import Iterator

from lint.facts import Facts
from lint.registry import Report, Rule, rule
from lint.subjects import of_kind
from lint.switching import Switched
from netdsl.findings import Related, Severity
from netdsl.model.kinds import Kind
from netdsl.states import Answer
from netdsl.states.infeeds import line_starts
from netdsl.states.outputs import Switching


@rule("output-switched", Severity.ERROR, source="drive installation instructions", judges=of_kind(Kind.DRIVE))
def output_switched(facts: Facts, this: Rule) -> Iterator[Report]:
    """A contactor or an isolator in the output of a drive moves while the drive is told to run.

    Reports:
      A contactor between a drive and its motor that some sequence of operations opens or closes while the drive's inputs (start,
      stop, enable, safe torque off) tell it to run before and after; one that pulls on the same command that starts the drive,
      so that this starts on an open output; with "not proved" (a warning) where the search was given up. An isolator or another
      handle there: a warning, as a rule because its early contact is not in the enable.
    Silent:
      What drops on the same command that stops the drive; a start that waits for the contactor's make contact or a time, or that
      a relay beside the contactor gives; what pulls as the drive's torque comes back; what the drive's own relay has to
      close, or waits for that to say that the drive stands; drives none of whose inputs that start or release them are wired.
    Why:
      Opened under current it burns and can destroy the output stage; closed onto a running output it starts the motor at once.
    Failing:
      part own-drive "Frequency converter" {
        kind = drive   letter = T   class = I   voltage = 380..480V   current = 4.1A   input-current = 3.9A
        terminal :L1 :L2 :L3 line-in   0.5..6mm2
        terminal :U :V :W    motor-out 0.5..6mm2
        terminal :PE :PE2    earth     1.5..10mm2
        terminal :SH         screen
        terminal :24V supply-out     0.2..2.5mm2 clamps=3 common=:COM voltage=24V dc
        terminal :COM digital-common 0.2..2.5mm2 clamps=2
        terminal :DI1 digital-in     0.2..2.5mm2 function=start common=:COM voltage=24V dc
        source :24V to :COM voltage=24V dc current=500mA
      }
      device -F0 mcb-3p at=+MCP current=10A
      device -T1 own-drive at=+MCP
      device -K1 contactor-9a at=+MCP
      device -S1 selector-2 at=+MCP
      device -S2 selector-2 at=+MCP
      wire -WB1:L1,L2,L3 to -F0:1,3,5 4mm2 BK
      wire -F0:2,4,6 to -T1:L1,L2,L3 2.5mm2 BK
      wire -T1:PE to -XE1:5 10mm2 GNYE
      wire -T1:U,V,W to -K1:1,3,5 2.5mm2 BK length=0.2m
      wire -T1:24V to -S1:13 0.75mm2 RD
      wire -S1:14 to -K1:A1 0.75mm2 RD
      wire -K1:A2 to -T1:COM 0.75mm2 RD
      wire -T1:24V to -S2:13 0.75mm2 RD
      wire -S2:14 to -T1:DI1 0.75mm2 RD
      device -XSH screen-bar at=+MCP ways=1
      device -M1 motor at=+HALL power=1.5kW current=3.6A
      cable -W1 4G1.5 screened length=5m method=C {
        BN -K1:2 to -M1:U1
        BK -K1:4 to -M1:V1
        GY -K1:6 to -M1:W1
        GNYE -T1:PE2 to -M1:PE
        screen -XSH:1 clamp to -M1:SH gland
      }
    Passing:
      - wire -S2:14 to -T1:DI1 0.75mm2 RD
      + wire -S2:14 to -K1:13 0.75mm2 RD
      + wire -K1:14 to -T1:DI1 0.75mm2 RD
    Remedy:
      Lead the drive's start or enable through the contactor's make contact, and hold the contactor until the drive stands; lead
      the enable through the early contact of an isolator.
    """
    switched = facts.of(Switched)
    for switching in switched.switchings:
        if switching.outcome.answer in (Answer.REACHED, Answer.NOT_PROVED):
            yield _moving(switched, this, switching)


def _moving(switched: Switched, this: Rule, switching: Switching) -> Report:
    name, drive, outcome = switching.mover.device, switching.drive, switching.outcome
    device = switched.network.plant.devices[name]
    reached = outcome.answer is Answer.REACHED
    said = "moves" if reached else "may move, as the opposite is not proved,"
    return this.report(
        f"`{name}` in the output of drive `{drive}` {said} while the drive is told to run: {switched.told(outcome)}",
        f"lead the enable of `{drive}` through "
        + (
            f"an early contact of `{name}`"
            if switching.manual
            else f"the make contact of `{name}`, and hold it until the drive stands"
        ),
        device.span,
        (name, drive),
        about=(name,),
        related=(Related(f"drive `{drive}` is declared here", switched.network.plant.devices[drive].span),),
        severity=Severity.WARNING if switching.manual or not reached else Severity.ERROR,
    )


@rule("line-used-as-start", Severity.WARNING, source="drive installation instructions", judges=of_kind(Kind.DRIVE))
def line_used_as_start(facts: Facts, this: Rule) -> Iterator[Report]:
    """A drive is started and stopped by the contactor that feeds it.

    Reports:
      A drive that its inputs tell to run whenever there is voltage, as its start is bridged, behind a contactor that a button, a
      selector, a controller, a timer, a thermostat or a level switch closes.
    Silent:
      Contactors that only emergency stops, safety relays, trips or other protective contacts move; drives whose start has a
      command of its own, or is not wired.
    Why:
      Each start charges the DC link anew: its charging circuit bears a few an hour, and the motor coasts at each stop.
    Failing:
      part own-drive "Frequency converter" {
        kind = drive   letter = T   class = I   voltage = 380..480V   current = 4.1A   input-current = 3.9A
        terminal :L1 :L2 :L3 line-in   0.5..6mm2
        terminal :U :V :W    motor-out 0.5..6mm2
        terminal :PE :PE2    earth     1.5..10mm2
        terminal :SH         screen
        terminal :24V supply-out     0.2..2.5mm2 clamps=3 common=:COM voltage=24V dc
        terminal :COM digital-common 0.2..2.5mm2 clamps=2
        terminal :DI1 digital-in     0.2..2.5mm2 function=start common=:COM voltage=24V dc
        source :24V to :COM voltage=24V dc current=500mA
      }
      device -F0 mcb-3p at=+MCP current=10A
      device -F1 mcb-1p-b at=+MCP current=6A
      device -T1 own-drive at=+MCP
      device -K1 contactor-9a-230v at=+MCP
      device -S1 selector-2 at=+MCP
      wire -WB1:L1,L2,L3 to -F0:1,3,5 4mm2 BK
      wire -F0:2,4,6 to -K1:1,3,5 2.5mm2 BK
      wire -K1:2,4,6 to -T1:L1,L2,L3 2.5mm2 BK
      wire -T1:PE to -XE1:5 10mm2 GNYE
      wire -WB1:L1 to -F1:1 1.5mm2 BK
      wire -F1:2 to -S1:13 1mm2 RD
      wire -S1:14 to -K1:A1 1mm2 RD
      wire -K1:A2 to -WB1:N 1mm2 BU
      wire -T1:24V to -T1:DI1 0.75mm2 RD
      device -M1 motor at=+HALL power=1.5kW current=3.6A
      cable -W1 4G1.5 screened length=5m method=C {
        BN -T1:U to -M1:U1
        BK -T1:V to -M1:V1
        GY -T1:W to -M1:W1
        GNYE -T1:PE2 to -M1:PE
        screen -T1:SH clamp to -M1:SH gland
      }
    Passing:
      - wire -T1:24V to -T1:DI1 0.75mm2 RD
      + device -S2 selector-2 at=+MCP
      + wire -T1:24V to -S2:13 0.75mm2 RD
      + wire -S2:14 to -T1:DI1 0.75mm2 RD
    Remedy:
      Start the drive by its own input, and leave it under voltage.
    """
    devices = facts.plant.devices
    for start in line_starts(facts.of(Switched).prover):
        yield this.report(
            f"drive `{start.drive}` is told to run whenever it has voltage, "
            f"and `{start.command}` gives it that by `{start.contactor}`",
            f"start `{start.drive}` by its own input, and leave it under voltage",
            devices[start.drive].span,
            (start.drive, start.contactor, start.command),
            about=(start.drive,),
            related=(Related(f"contactor `{start.contactor}` is declared here", devices[start.contactor].span),),
        )
