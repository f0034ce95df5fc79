"""Line reactors: drives without any choke at a stiff supply."""

from __future__ import annotations

from collections.abc import Iterator
from math import sqrt

from lint.facts import Facts
from lint.registry import Report, Rule, Said, rule
from lint.subjects import of_kind
from netdsl.calc.basis import amount, one_table
from netdsl.calc.circuit import Circuit
from netdsl.calc.faults import Faults
from netdsl.findings import Related, Severity
from netdsl.model.kinds import Category, Kind
from netdsl.model.plant import Device

#: distortion of the supply current below which a drive has a choke, or is no plain rectifier
_CHOKED_PERCENT = 60.0


@rule(
    "reactor-missing",
    Severity.WARNING,
    source="drive installation instructions; IEC 61000-3-12",
    silences=("distortion-exceeded",),
    judges=of_kind(Kind.DRIVE),
)
def reactor_missing(facts: Facts, this: Rule) -> Iterator[Said]:
    """A drive without any choke hangs at a stiff supply.

    Reports:
      A three-phase drive without a choke of its own (`choke=`) and without a reactor on its way to a supply of 500 kVA or more
      that is at least ten times the drive's rating. Of a supply that states its fault level alone, the capacity is that of a
      transformer of 4 % impedance with this fault level. Drives of one circuit behind the same device are reported each. The same
      at a supply that states `voltage-unbalance=` of 3 % or more, or that feeds a capacitor bank which a contactor switches.
    Silent:
      Drives with `choke=` other than 0 %, or with a reactor, own or shared, between supply and drive; drives that state a
      `current-distortion` below 60 %, which none without a choke keeps at a stiff supply; supplies that state neither
      transformer nor fault level nor impedance; drives that state neither current nor power; drives of one phase.
    Why:
      The rectifier draws short, high peaks: capacitors and diodes of the drive age, fuses warm, the current is distorted, and a
      surge on the supply reaches the drive undamped.
    Failing:
      supply -G1 at=+MCP system=TN-S voltage=400V frequency=50Hz transformer=1000kVA transformer-impedance=6% upstream=fuse-gG-16A
      device -T1 drive at=+MCP current=9A
      wire -G1:PE to -XE1:3 6mm2 GNYE length=2m
      wire -T1:PE to -XE1:4 6mm2 GNYE length=2m
      wire -G1:L1,L2,L3 to -T1:L1,L2,L3 4mm2 length=2m BK
    Passing:
      - device -T1 drive at=+MCP current=9A
      + device -T1 drive at=+MCP current=9A choke=4%
    Remedy:
      Put a line reactor of 3 % or more before the drive, or take one with a choke in its DC link.
    """
    figures = one_table("harmonics", "reactor")
    capacities: dict[str, float | None] = {}
    for drive in facts.plant.devices.values():
        path = facts.calculation.of(Circuit).path(drive.id) if drive.kind == Kind.DRIVE else None
        if path is None or path.step is None or path.step.phases != 3 or amount(drive, "choke"):
            continue
        distortion = amount(drive, "current-distortion")
        if distortion is not None and distortion < _CHOKED_PERCENT:
            continue
        if any(facts.plant.devices[name].kind == Kind.REACTOR for name in path.devices):
            continue
        origin = facts.plant.devices[path.origin]
        disturbed = _disturbed(facts, origin, figures["unbalance_percent"])
        if disturbed:
            yield _report(
                this, drive, origin, f"`{drive.id}` has no choke and hangs at `{origin.id}`, {disturbed}", figures["percent"]
            )
            continue
        if origin.id not in capacities:
            capacities[origin.id] = _capacity(facts, origin)
        capacity, size = capacities[origin.id], _rating(drive, origin)
        if capacity is None or size is None:
            whose = f"the fault level at `{origin.id}`" if capacity is None else "its current or power"
            yield this.not_judged(drive.id, f"{whose} is not known")
            continue
        if capacity < max(figures["capacity_va"], figures["ratio"] * size):
            continue
        yield _report(
            this,
            drive,
            origin,
            f"`{drive.id}` of {size / 1000:.3g} kVA has no choke and hangs at `{origin.id}` of {capacity / 1000:.0f} kVA:"
            f" {capacity / size:.0f} times its rating",
            figures["percent"],
        )


def _report(this: Rule, drive: Device, origin: Device, message: str, percent: float) -> Report:
    return this.report(
        message,
        f"put a line reactor of {percent:g} % or more before it, or state the choke it has with `choke=`",
        drive.span,
        (drive.id, origin.id),
        about=(drive.id,),
        related=[Related(f"`{origin.id}` feeds it", origin.span)],
    )


def _disturbed(facts: Facts, origin: Device, most_percent: float) -> str:
    """What makes a supply hard on a rectifier without a choke, however large it is; "" for nothing."""
    unbalance = amount(origin, "voltage-unbalance")
    if unbalance is not None and unbalance >= most_percent:
        return f"whose voltages differ by {unbalance:g} %"
    devices = facts.plant.devices
    for device in devices.values():
        path = facts.calculation.of(Circuit).path(device.id) if device.kind == Kind.CAPACITOR else None
        switch = next((name for name in path.devices if devices[name].kind == Kind.CONTACTOR), "") if path is not None else ""
        if switch and path is not None and path.origin == origin.id:
            return f"at which `{switch}` switches the capacitors `{device.id}`"
    return ""


def _capacity(facts: Facts, origin: Device) -> float | None:
    """Capacity of a supply or transformer, VA: as stated, else by its fault level; None where it states neither."""
    stated = amount(origin, "transformer") or (amount(origin, "apparent-power") if origin.kind == Kind.TRANSFORMER else None)
    level = facts.calculation.of(Faults).at(origin.id) if stated is None and origin.category == Category.SUPPLY else None
    amps, volts = level.three_max if level else None, amount(origin, "voltage")
    if stated is not None or amps is None or volts is None:
        return stated
    return float(sqrt(3) * volts * amps * one_table("harmonics", "transformer")["impedance_percent"] / 100)


def _rating(drive: Device, origin: Device) -> float | None:
    """What a drive is rated for at its input, VA; by its power where it states no current."""
    amps = amount(drive, "input-current") or amount(drive, "current")
    volts = amount(origin, "voltage") or amount(drive, "voltage")
    return sqrt(3) * volts * amps if amps and volts else amount(drive, "power")
