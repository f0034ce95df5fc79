"""Filters on supplies that are not earthed."""

from __future__ import annotations

from collections.abc import Iterator

from lint.facts import Facts
from lint.registry import Rule, Said, rule
from lint.subjects import of_kind
from netdsl.calc.basis import word
from netdsl.findings import Severity
from netdsl.model.kinds import Category, Kind
from netdsl.model.plant import Device, Role


@rule(
    "filter-on-unearthed-supply",
    Severity.ERROR,
    source="IEC 61800-3; drive installation instructions",
    judges=of_kind(Kind.DRIVE, Kind.FILTER),
)
def filter_on_unearthed_supply(facts: Facts, this: Rule) -> Iterator[Said]:
    """A line filter ties a supply to earth that has no earthed neutral.

    Reports:
      A drive whose filter is connected (`emc-filter=connected`, or as delivered), or a line filter, on an IT supply, on a supply
      of which a phase is earthed, and behind a transformer inside the plant of which no pole is earthed.
    Silent:
      Drives set `emc-filter=disconnected`; drives without such a setting; filters between drive and motor.
    Why:
      The filter's capacitors carry current to earth all the time, spoil the insulation monitoring, and are overloaded at the
      first earth fault.
    Failing:
      part filtered "Frequency converter with a filter" {
        kind = drive   letter = T   class = I   voltage = 380..480V   input-current = 3.9A   current = 4.1A
        terminal :L1 :L2 :L3 line-in 0.5..6mm2
        terminal :PE :PE2 earth 1.5..10mm2
        setting emc-filter connected disconnected
      }
      supply -G1 system=IT voltage=400V frequency=50Hz fault-current=3kA earth-fault-current=1A upstream=fuse-gG-10A
      device -T1 filtered at=+HALL
      set -T1 emc-filter=connected
      cable -W1 4G4 length=10m method=C {
        BN -G1:L1 to -T1:L1
        BK -G1:L2 to -T1:L2
        GY -G1:L3 to -T1:L3
        GNYE -XE1:3 to -T1:PE
      }
      cable -W2 1G10 length=10m {
        GNYE -XE1:4 to -G1:PE
      }
      cable -W3 1G10 length=10m {
        GNYE -XE1:5 to -T1:PE2
      }
    Passing:
      - set -T1 emc-filter=connected
      + set -T1 emc-filter=disconnected
    Remedy:
      Disconnect the filter as the drive's instructions say (`set -T1 emc-filter=disconnected`), or use a filter made for such
      supplies.
    """
    for device in facts.plant.devices.values():
        emc = device.kind == Kind.DRIVE and word(device, "emc-filter") == "connected"
        line = device.kind == Kind.FILTER and not word(device, "filter")
        if device.kind in (Kind.DRIVE, Kind.FILTER) and not (emc or line):
            yield this.spared(device.id, _why_no_filter(device))
        why = _unearthed(facts, device) if emc or line else ""
        if why:
            yield this.report(
                f"{'filter' if line else 'the built-in filter of drive'} `{device.id}` is connected to earth, and {why}",
                "take a filter made for such supplies"
                if line
                else f"write `set {device.id} emc-filter=disconnected`, and disconnect it",
                device.span,
                (device.id,),
                about=(device.id,),
            )


def _why_no_filter(device: Device) -> str:
    if device.kind == Kind.FILTER:
        return "it lies between a drive and its motor"
    return "its filter is disconnected" if word(device, "emc-filter") else "it has no such filter to set"


def _unearthed(facts: Facts, device: Device) -> str:
    """Why the supply of a device has no earthed neutral; "" where it has one, or nothing feeds the device."""
    for name, terminal in device.terminals.items():
        if terminal.role is not Role.LINE_IN:
            continue
        net = facts.network.net(f"{device.id}:{name}")
        for potential in net.possible if net is not None else ():
            source = facts.plant.devices.get(potential.device)
            if potential.kind != "ac" or source is None:
                continue
            earthed = [point.of.terminal for point in facts.plant.reference_points if point.of.device == source.id]
            if source.category == Category.SUPPLY:
                if word(source, "system") == "IT":
                    return f"supply `{source.id}` is an IT system"
                if any(pole.startswith("L") for pole in earthed):
                    return f"phase `{source.id}:{earthed[0]}` of its supply is earthed"
            elif source.kind == Kind.TRANSFORMER and not earthed:
                return f"no pole of transformer `{source.id}` is earthed"
    return ""
