"""Size of drives against the motors behind them."""

from __future__ import annotations

from collections.abc import Iterator

from lint.facts import Facts
from lint.registry import Rule, Said, rule
from lint.subjects import of_kind
from lint.wording import listed
from netdsl.calc.basis import amount
from netdsl.calc.heat import Deratings
from netdsl.findings import Related, Severity
from netdsl.model.kinds import Kind
from netdsl.model.plant import Device

#: by how much rated powers may differ through rounding of preferred values
_ROUNDING = 1.01


@rule(
    "drive-undersized",
    Severity.ERROR,
    source="drive installation instructions; IEC 61800-2, rated values and derating",
    silences=("drive-protection",),
    judges=of_kind(Kind.DRIVE),
)
def drive_undersized(facts: Facts, this: Rule) -> Iterator[Said]:
    """A drive gives less current or power than its motors take.

    Reports:
      A drive whose rated current, less the derating for the altitude of the site and for the temperature inside its enclosure, is
      below the current of the motor behind it, of several motors their sum; or whose rated power is below theirs.
    Silent:
      What a drive or motor does not state. Of motors behind contactors that are interlocked with each other the largest counts
      alone. Where the enclosure is hotter than allowed, the temperature allowed counts: the enclosure has its own rule.
    Why:
      The drive limits its current and the motor does not start or loses speed, or the drive trips when it is warm.
    Failing:
      device -T1 drive at=+MCP current=9A
      device -M1 motor at=+HALL current=11.5A
      device -F1 mcb-3p at=+MCP current=16A
      wire -WB1:L1,L2,L3 to -F1:1,3,5 4mm2 BK
      wire -F1:2,4,6 to -T1:L1,L2,L3 4mm2 BK
      wire -T1:PE to -XE1:3 6mm2 GNYE
      cable -W1 4G2.5 screened length=20m method=C {
        BN -T1:U to -M1:U1
        BK -T1:V to -M1:V1
        GY -T1:W to -M1:W1
        GNYE -T1:PE2 to -M1:PE
        screen -T1:SH clamp to -M1:SH gland
      }
    Passing:
      - device -T1 drive at=+MCP current=9A
      + device -T1 drive at=+MCP current=13A
    Remedy:
      Take the next larger drive, or bring it where it is cooler.
    """
    for drive in facts.plant.devices.values():
        if drive.kind != Kind.DRIVE:
            continue
        motors = facts.calculation.of(Deratings).motors(drive.id)
        if motors and facts.calculation.of(Deratings).of(drive.id) is None:
            yield this.not_judged(drive.id, "its current, or that of a motor it feeds, is not stated")
        said = _current(facts, drive, motors) or _power(drive, motors)
        if said:
            yield this.report(
                said,
                "take a larger drive",
                drive.span,
                (drive.id, *(motor.id for motor in motors)),
                about=(drive.id,),
                related=[Related(f"`{motor.id}` is fed by it", motor.span) for motor in motors[:8]],
            )


def _takes(motors: tuple[Device, ...]) -> str:
    return f"{listed([motor.id for motor in motors])} {'takes' if len(motors) == 1 else 'together take'}"


def _current(facts: Facts, drive: Device, motors: tuple[Device, ...]) -> str:
    """What is wrong with the current, "" for nothing or where it is not known."""
    result = facts.calculation.of(Deratings).of(drive.id)
    if result is None or result.holds:
        return ""
    rated = amount(drive, "current") or 0.0
    where = "" if result.value >= rated - 1e-9 else f" of its {rated:.3g} A where it stands"
    return f"`{drive.id}` gives {result.value:.3g} A{where}, {_takes(motors)} {result.limit or 0:.3g} A"


def _power(drive: Device, motors: tuple[Device, ...]) -> str:
    rated, powers = amount(drive, "power"), [amount(motor, "power") for motor in motors]
    needed = sum(power or 0.0 for power in powers)
    if rated is None or not powers or None in powers or needed <= rated * _ROUNDING:
        return ""
    return f"`{drive.id}` is made for {rated / 1000:.3g} kW, {_takes(motors)} {needed / 1000:.3g} kW"
