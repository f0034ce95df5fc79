"""Guards that open while what they keep people from is told to run."""

from __future__ import annotations

from collections.abc import Iterator

from lint.facts import Facts
from lint.registry import Report, Rule, rule
from lint.switching import Switched
from netdsl.findings import Related, Severity
from netdsl.states import Answer


def _locked(facts: Facts) -> Iterator[str]:
    """Guards with locking that stop a drive."""
    return (unlocking.lock.device for unlocking in facts.of(Switched).unlockings)


@rule("guard-unlocked", Severity.ERROR, source="ISO 14119; ISO 12100, 6.3.3.2.3", judges=_locked)
def guard_unlocked(facts: Facts, this: Rule) -> Iterator[Report]:
    """The lock of a guard is released while the drive behind the guard is told to run.

    Reports:
      A guard switch with a coil that releases it (kind `switch`, a positive break contact moved by the coil) whose contacts take
      the torque of a drive, where some sequence of operations pulls that coil when the drive was told to run, and its own relay,
      where that is read, reports that it runs; with "not proved" (a warning) where the search was given up.
    Silent:
      Locks whose coil waits for the drive's relay to say that it stands, or for contacts that take its command first; guards that
      stop no drive here.
    Why:
      Released, the guard opens at once: the torque goes, and what turns runs on for seconds within reach of hands.
    Failing:
      part own-drive "Frequency converter" {
        kind = drive   letter = T   class = I   voltage = 380..480V   current = 4.1A   input-current = 3.9A
        terminal :L1 :L2 :L3 line-in   0.5..6mm2
        terminal :U :V :W    motor-out 0.5..6mm2
        terminal :PE :PE2    earth     1.5..10mm2
        terminal :24V supply-out     0.2..2.5mm2 clamps=6 common=:COM voltage=24V dc
        terminal :COM digital-common 0.2..2.5mm2 clamps=6
        terminal :DI1 digital-in     0.2..2.5mm2 function=start common=:COM voltage=24V dc
        terminal :STO1 safety-in     0.2..2.5mm2 function=safe-torque-off-1 common=:COM voltage=24V dc
        terminal :STO2 safety-in     0.2..2.5mm2 function=safe-torque-off-2 common=:COM voltage=24V dc
        terminal :R1 :R2 contact     0.2..2.5mm2
        source :24V to :COM voltage=24V dc current=500mA
        contact :R1 to :R2 break by=running
      }
      device -T1 own-drive at=+MCP
      device -B1 guard-lock at=+MCP
      device -S1 selector-2 "Run" at=+MCP
      device -S2 selector-2-key "Open the gate" at=+MCP
      wire -T1:PE to -XE1:5 10mm2 GNYE
      wire -T1:24V to -S1:13 0.75mm2 RD
      wire -S1:14 to -T1:DI1 0.75mm2 RD
      wire -T1:24V to -B1:11 0.75mm2 RD
      wire -B1:12 to -B1:31 0.75mm2 RD
      wire -B1:32 to -T1:STO1 0.75mm2 RD
      wire -T1:24V to -B1:21 0.75mm2 RD
      wire -B1:22 to -B1:41 0.75mm2 RD
      wire -B1:42 to -T1:STO2 0.75mm2 RD
      wire -T1:24V to -S2:13 0.75mm2 RD
      wire -S2:14 to -B1:A1 0.75mm2 RD
      wire -B1:A2 to -T1:COM 0.75mm2 RD
    Passing:
      - wire -S2:14 to -B1:A1 0.75mm2 RD
      + wire -S2:14 to -T1:R1 0.75mm2 RD
      + wire -T1:R2 to -B1:A1 0.75mm2 RD
    Remedy:
      Lead the coil of the lock through a break contact of the drive's relay that reports running, and a timer or a monitor of
      standstill behind it.
    """
    switched = facts.of(Switched)
    devices = switched.network.plant.devices
    for unlocking in switched.unlockings:
        name, outcome = unlocking.lock.device, unlocking.outcome
        if outcome.answer not in (Answer.REACHED, Answer.NOT_PROVED):
            continue
        reached = outcome.answer is Answer.REACHED
        said = "is released" if reached else "may be released, as the opposite is not proved,"
        yield this.report(
            f"guard `{name}` {said} while drive `{unlocking.drive}` is told to run: {switched.told(outcome)}",
            f"lead its coil through a contact that closes when `{unlocking.drive}` reports that it stands",
            devices[name].span,
            (name, unlocking.drive),
            about=(name,),
            related=(Related(f"drive `{unlocking.drive}` is declared here", devices[unlocking.drive].span),),
            severity=Severity.ERROR if reached else Severity.WARNING,
        )
