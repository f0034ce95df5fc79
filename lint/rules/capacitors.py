"""Capacitor banks: what stays on them once they are switched off."""

from __future__ import annotations

from collections.abc import Iterator

from lint.facts import Facts
from lint.registry import Rule, Said, rule
from lint.subjects import of_kind
from netdsl.calc.basis import amount, one_table
from netdsl.findings import Severity
from netdsl.model.kinds import Kind
from netdsl.quantities import number_text


@rule("capacitor-charged", Severity.WARNING, source="IEC 60831-1, 22", judges=of_kind(Kind.CAPACITOR))
def capacitor_charged(facts: Facts, this: Rule) -> Iterator[Said]:
    """A capacitor bank stays charged for too long once it is switched off.

    Reports:
      A capacitor bank that states a `discharge-time=` to 75 V of more than three minutes.
    Silent:
      Banks that discharge sooner. One that does not state its time is not judged.
    Why:
      Whoever opens the panel finds the voltage of the mains on terminals that are switched off; a bank that is switched on again
      while it is charged draws many times its current.
    Failing:
      part bank "Capacitor bank" {
        kind = capacitor   letter = C   class = II   voltage = 400V   reactive-power = 5kvar
        terminal :L1 :L2 :L3 line-in 1..16mm2
      }
      device -C1 bank at=+MCP discharge-time=10min
      wire -WB1:L1,L2,L3 to -C1:L1,L2,L3 16mm2 length=1m BK
    Passing:
      - device -C1 bank at=+MCP discharge-time=10min
      + device -C1 bank at=+MCP discharge-time=60s
    Remedy:
      Take a bank with discharge resistors that bring it to 75 V within three minutes, and wait for that before any work.
    """
    most = one_table("devices", "capacitor_discharge")["seconds"]
    for device in facts.plant.devices.values():
        if device.kind != Kind.CAPACITOR:
            continue
        seconds = amount(device, "discharge-time")
        if seconds is None:
            yield this.not_judged(device.id, "in which time it discharges is not stated")
        elif seconds > most:
            yield this.report(
                f"`{device.id}` takes {number_text(seconds)} s to discharge to 75 V, at most {most:g} s is allowed",
                f"take a bank that discharges within {most:g} s",
                device.span,
                (device.id,),
                about=(device.id,),
            )
