"""Drives as installed: motor cables, residual-current devices, filters on unearthed supplies."""

from __future__ import annotations

from collections.abc import Iterator

from lint.facts import Facts
from lint.registry import Report, Rule, Said, rule
from lint.subjects import of_kind
from lint.wording import amps, listed, metres
from netdsl.calc.basis import Result, amount, standard, word
from netdsl.calc.drives import Leakages, MotorCables
from netdsl.findings import Related, Severity
from netdsl.model.kinds import Kind
from netdsl.model.plant import Device, Role


@rule(
    "motor-cable-long",
    Severity.WARNING,
    source="drive installation instructions; IEC TS 60034-25",
    judges=of_kind(Kind.DRIVE),
)
def motor_cable_long(facts: Facts, this: Rule) -> Iterator[Said]:
    """The motor cables of a drive are longer than it allows, or the reflected voltage is more than the winding bears.

    Reports:
      The sum of all motor cables behind a drive above its `max-cable-length`, above that of the category of emission it has to
      keep (`max-cable-length-c2` with `emission=C2` of the drive or the project), or above that of the filter or reactor at its
      output. A peak at the motor above its `peak-voltage`.
    Silent:
      Drives that state no limit; cables behind a sine filter, which the drive does not see; motors that do not state what their
      winding bears; the peak with cables below 15 m, which do not reflect in full, and behind a filter that limits the slope.
    Why:
      The cable's capacitance loads the drive and carries its disturbances to earth; on a long cable the voltage at the motor
      doubles at every edge and wears its winding out.
    Failing:
      device -T1 drive at=+MCP max-cable-length=50m
      device -M1 motor at=+HALL
      wire -T1:PE to -XE1:3 6mm2 GNYE
      cable -W1 4G2.5 screened length=80m method=C {
        BN -T1:U to -M1:U1
        BK -T1:V to -M1:V1
        GY -T1:W to -M1:W1
        GNYE -T1:PE2 to -M1:PE
        screen -T1:SH clamp to -M1:SH gland
      }
    Passing:
      - device -T1 drive at=+MCP max-cable-length=50m
      + device -T1 drive at=+MCP max-cable-length=100m
    Remedy:
      Move the drive to the motor, put a choke or filter at its output, or take equipment made for the length.
    """
    for result in facts.calculation.results_of(MotorCables):
        if result.limit is None and result.question == "motor-cable.length":
            yield this.not_judged(result.subject, "how long a motor cable it allows is not stated")
        if result.holds or result.limit is None:
            continue
        if result.question == "motor-cable.length":
            yield _too_long(facts, this, result)
        elif result.limit_given is not None and result.limit_given.span is not None:
            yield _too_high(facts, this, result)


def _too_long(facts: Facts, this: Rule, result: Result) -> Report:
    drive = facts.plant.devices[result.subject]
    cables = [cable.id for cable in facts.calculation.of(MotorCables).of_drive[drive.id]]
    return this.report(
        f"{listed(cables)} at the output of `{drive.id}` "
        f"{'is' if len(cables) == 1 else 'are together'} {metres(result.value)} long, "
        f"at most {metres(result.limit or 0.0)} allowed {result.limit_words}",
        "move the drive nearer, put a filter at its output, or take one made for the length",
        facts.plant.cables[cables[0]].span,
        (*cables, drive.id),
        about=(drive.id,),
        related=[Related(f"`{drive.id}` is declared here", drive.span)],
    )


def _too_high(facts: Facts, this: Rule, result: Result) -> Report:
    motor = facts.plant.devices[result.subject]
    cables = [use.cable.id for use in facts.network.cables.values() if use.load == motor.id and use.drive]
    return this.report(
        f"up to {result.value:.0f} V between the terminals of `{motor.id}` behind its drive, "
        f"its winding bears {result.limit or 0:.0f} V",
        "take a motor for converter duty, a sine or slope filter at the drive, or a cable below 15 m",
        motor.span,
        (motor.id, *cables),
        about=(motor.id,),
    )


@rule(
    "residual-device",
    Severity.ERROR,
    source="IEC 61800-5-1 4.3; IEC 60755; IEC 62423",
    judges=of_kind(Kind.RESIDUAL_DEVICE),
)
def residual_device(facts: Facts, this: Rule) -> Iterator[Said]:
    """A residual-current device does not suit the drives behind it.

    Reports:
      A device of type AC, A or F ahead of a three-phase drive, of type AC ahead of any drive, of type A or F ahead of a
      single-phase drive that does not state its `smooth-direct-current`, or states more than 6 mA (A) or 10 mA (F). A device of
      another type ahead of one of type B. As a warning: a rating below 300 mA ahead of drives; standing leakage of drives and
      filters above its share of the rating (`standing-share`).
    Silent:
      Devices that do not state their type, or with no drive behind them; what stands behind a transformer.
    Why:
      Smooth direct current saturates all types but B, which then do not trip when somebody is in the circuit; a rating too small
      trips on the leakage of filters and gets bridged.
    Failing:
      device -F0 mcb-3p at=+MCP current=13A
      wire -WB1:L1,L2,L3 to -F0:1,3,5 4mm2 BK
      part residual "Residual-current device" {
        kind = residual-device   letter = F   class = II   current = 25A   residual-current = 300mA   residual-type = A
        terminal :1 :3 :5 line-in  0.5..16mm2
        terminal :2 :4 :6 load-out 0.5..16mm2
        pole :1,3,5 to :2,4,6 by=handle
      }
      device -F1 residual at=+MCP
      device -T1 drive at=+MCP touch-current=5mA
      wire -WB1:L1,L2,L3 to -F1:1,3,5 4mm2 BK
      wire -F1:2,4,6 to -T1:L1,L2,L3 4mm2 BK
      wire -T1:PE to -XE1:3 10mm2 GNYE
    Passing:
      -   kind = residual-device   letter = F   class = II   current = 25A   residual-current = 300mA   residual-type = A
      +   kind = residual-device   letter = F   class = II   current = 25A   residual-current = 300mA   residual-type = B
    Remedy:
      Take type B with 300 mA or more for drives, or share the drives out among several devices.
    """
    standing = {
        result.subject: result for result in facts.calculation.results_of(Leakages) if result.question == "standing-leakage"
    }
    for device in facts.plant.devices.values():
        if device.kind != Kind.RESIDUAL_DEVICE:
            continue
        drives = [facts.plant.devices[name] for name in facts.calculation.of(Leakages).behind(device.id)]
        drives = [made for made in drives if made.kind == Kind.DRIVE]
        if not drives:
            yield this.spared(device.id, "no drive is behind it")
        if drives and not _type(device):
            yield this.not_judged(device.id, "its type (A, F, B) is not stated")
        blind, grave = _blind(facts, device, drives), True
        wrong = blind or _ahead_of_b(facts, device)
        if not wrong:
            wrong, grave = _tripping(device, drives, standing.get(device.id)), False
        if wrong:
            yield this.report(
                f"residual-current device `{device.id}`{wrong}",
                "take type B for three-phase drives, with 300 mA or more, or share the drives out among several devices",
                device.span,
                (device.id, *(drive.id for drive in drives)),
                about=(device.id,),
                severity=None if grave else Severity.WARNING,
            )


def _type(device: Device) -> str:
    return word(device, "residual-type").upper()


def _blind(facts: Facts, device: Device, drives: list[Device]) -> str:
    """What makes the type of a device unfit for the drives behind it; "" for nothing."""
    kind = _type(device)
    if not kind or kind.startswith("B"):
        return ""
    for drive in drives:
        if _phases(facts, drive) > 1:
            return f" of type {kind} feeds the three-phase drive `{drive.id}`, whose smooth direct current only type B sees"
        most = standard("emc")["residual_device"]["smooth_a"].get(kind)
        smooth = amount(drive, "smooth-direct-current")
        if most is None:
            return f" of type {kind} feeds the drive `{drive.id}`, whose direct current it does not see"
        if smooth is None or smooth > most:
            said = (
                "does not state its smooth direct current"
                if smooth is None
                else f"can put {amps(smooth)} of smooth direct current on it"
            )
            return f" of type {kind} bears {most * 1000:g} mA of smooth direct current, and drive `{drive.id}` {said}"
    return ""


def _phases(facts: Facts, drive: Device) -> int:
    """Number of line terminals of a drive on which something lands."""
    return sum(
        terminal.role is Role.LINE_IN and f"{drive.id}:{name}" in facts.landed and not _neutral(facts, drive, name)
        for name, terminal in drive.terminals.items()
    )


def _neutral(facts: Facts, drive: Device, terminal: str) -> bool:
    net = facts.network.net(f"{drive.id}:{terminal}")
    return net is not None and any(potential.pole == "N" for potential in net.possible)


def _ahead_of_b(facts: Facts, device: Device) -> str:
    """That a device of another type stands ahead of one of type B; "" where none does."""
    kind = _type(device)
    if not kind or kind.startswith("B"):
        return ""
    for name in sorted(facts.fed(device.id)):
        other = facts.plant.devices[name]
        if other.kind == Kind.RESIDUAL_DEVICE and _type(other).startswith("B"):
            return f" of type {kind} stands ahead of `{name}` of type B, whose smooth direct current blinds it"
    return ""


def _tripping(device: Device, drives: list[Device], standing: Result | None) -> str:
    """Why a device would trip without a fault; "" for no reason."""
    figures, rated = standard("emc")["residual_device"], amount(device, "residual-current")
    found = []
    if drives and rated is not None and rated < figures["smallest_a"] - 1e-9:
        found.append(f"its {rated * 1000:g} mA are less than the {figures['smallest_a'] * 1000:g} mA usual ahead of drives")
    if standing is not None and standing.limit is not None and not standing.holds:
        found.append(
            f"drives and filters leak {standing.value * 1000:.3g} mA, its share for that is {standing.limit * 1000:.3g} mA"
        )
    return f" would trip without a fault: {'; '.join(found)}" if found else ""
