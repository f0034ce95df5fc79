"""What switches a motor, and what protects a drive."""

from __future__ import annotations

import re
from collections.abc import Iterator

from lint.facts import Facts
from lint.motors import STAR_SHARE, Motors
from lint.registry import Rule, Said, rule
from lint.subjects import of_kind
from lint.wording import amps, listed
from netdsl.calc.basis import amount, word
from netdsl.calc.circuit import Circuit
from netdsl.calc.loads import Exclusive
from netdsl.calc.protection import kind_names
from netdsl.findings import Related, Severity
from netdsl.model.kinds import BREAKING, Category, Kind
from netdsl.model.plant import Device
from netdsl.network.queries import downstream
from netdsl.network.search import walk
from netdsl.quantities import parse_quantity
from netdsl.sums import sum_of

#: utilisation categories of contactors that may switch motors (IEC 60947-4-1)
MOTOR_DUTY = ("AC-2", "AC-3", "AC-3e", "AC-4")


@rule(
    "contactor-undersized",
    Severity.ERROR,
    source="IEC 60947-4-1, utilisation categories",
    silences=("clamp-range", "equipment-withstand"),
    judges=of_kind(Kind.CONTACTOR, Kind.SOFT_STARTER),
)
def contactor_undersized(facts: Facts, this: Rule) -> Iterator[Said]:
    """A contactor is too small for what it switches.

    Reports:
      A contactor whose `current` lies below the rated current of the motors it feeds; one of a category that is not for motors
      (`utilisation=AC-1`) in a motor's circuit, behind a drive too; one that is not AC-4 for a motor stated `utilisation=AC-4`
      (inching, plugging); one ahead of a drive whose `thermal-current` lies below the drive's input current.
      Of a motor with six wired ends, the contactors that feed one end of its windings are held to 0.58 of its current, the
      star contactor to 0.33.
    Silent:
      Contactors ahead of a drive by their AC-3 rating: the drive starts the motor, so `thermal-current` (AC-1) is enough there;
      whatever current is not stated; contactors without a stated category are judged by their current.
    Why:
      Its contacts weld or burn, and then it does not open.
    Failing:
      device -F0 mcb-3p at=+MCP current=13A
      wire -WB1:L1,L2,L3 to -F0:1,3,5 4mm2 BK
      part contactor "Contactor" {
        kind = contactor   letter = K   class = II   current = 9A   utilisation = AC-3
        terminal :1 :3 :5 line-in 0.5..6mm2
        terminal :2 :4 :6 load-out 0.5..6mm2
        pole :1,3,5 to :2,4,6 switched by=coil
      }
      device -K1 contactor at=+MCP
      device -M1 motor at=+HALL current=11.5A power-factor=0.8
      wire -F0:2,4,6 to -K1:1,3,5 2.5mm2 BK
      cable -W1 4G2.5 length=5m method=C {
        BN -K1:2 to -M1:U1
        BK -K1:4 to -M1:V1
        GY -K1:6 to -M1:W1
        GNYE -XE1:3 to -M1:PE
      }
    Passing:
      - device -M1 motor at=+HALL current=11.5A power-factor=0.8
      + device -M1 motor at=+HALL current=8.5A power-factor=0.8
    Remedy:
      Take a contactor rated for the motor's current in its category.
    """
    motors = facts.of(Motors)
    star = {contactor.id: motor for motor in motors for contactor in motors.star_contactors(motor)}
    devices = facts.plant.devices
    for name, device in devices.items():
        if device.kind == Kind.CONTACTOR:
            loads = (star[name].id,) if name in star else motors.behind(name)
            if loads and (amount(device, "current") is None or any(not motors.current(devices[load]) for load in loads)):
                yield this.not_judged(name, "its current, or that of a motor it switches, is not stated")
            message = _for_motors(motors, device, loads, name in star) or _for_drives(motors, device)
            if message:
                yield this.report(
                    f"contactor `{name}` {message}",
                    "take a contactor with the rating for it",
                    device.span,
                    (name, *loads),
                    about=(name,),
                    explains=[f"{name}:{terminal}" for terminal in device.terminals],
                    related=[
                        Related(f"motor `{load}` is declared here", motors.facts.plant.devices[load].span) for load in loads[:4]
                    ],
                )


def _for_motors(motors: Motors, contactor: Device, loads: tuple[str, ...], star: bool) -> str:
    """What is wrong with a contactor for the motors it switches, "" for nothing."""
    if not loads:
        return ""
    made = [motors.facts.plant.devices[load] for load in loads]
    category = word(contactor, "utilisation")
    if category and category not in MOTOR_DUTY:
        return f"is made for {category}, and switches motor {listed(list(loads))}: that takes AC-3"
    inching = [motor.id for motor in made if word(motor, "utilisation") == "AC-4"]
    if inching and category and category != "AC-4":
        return f"is made for {category}, and motor {listed(inching)} is inched or plugged: that takes AC-4"
    currents = [motors.current(motor) for motor in made]
    rated = amount(contactor, "current")
    known = [current for current in currents if current is not None]
    if rated is None or len(known) < len(currents):
        return ""
    together = motors.facts.calculation.of(Exclusive).together(dict(zip(loads, known, strict=True)))
    made = [motor for motor in made if motor.id in together]
    loads, known = tuple(motor.id for motor in made), [motors.current(motor) or 0.0 for motor in made]
    shares = [STAR_SHARE if star else motors.share(contactor, motor) for motor in made]
    need = sum_of(current * share for current, share in zip(known, shares, strict=True))
    part = next((f", {share:.2f} of {amps(sum_of(known))}" for share in shares if share < 1), "")
    if need <= rated:
        return ""
    return f"is rated {amps(rated)}{f' in {category}' if category else ''}, motor {listed(list(loads))} takes {amps(need)}{part}"


def _for_drives(motors: Motors, contactor: Device) -> str:
    """What is wrong with a contactor for the drives behind it, "" for nothing."""
    drives = motors.drives_behind(contactor.id)
    rated = max((value for name in ("thermal-current", "current") if (value := amount(contactor, name))), default=None)
    currents = []
    for name in drives:
        drive = motors.facts.plant.devices[name]
        stated = amount(drive, "input-current")
        currents.append(stated if stated is not None else amount(drive, "current"))
    known = [current for current in currents if current is not None]
    if not drives or rated is None or len(known) < len(currents) or sum_of(known) <= rated:
        return ""
    return f"carries {amps(rated)} at most, drive {listed(list(drives))} takes {amps(sum_of(known))}"


#: what follows from a device that is too large for what it feeds
_OF_ITS_SIZE = ("overload", "fault-loop", "fault-withstand", "earth-undersized", "equipment-withstand")


@rule(
    "drive-protection",
    Severity.ERROR,
    source="IEC 61800-5-1, ratings of the drive's maker",
    silences=_OF_ITS_SIZE,
    judges=of_kind(Kind.DRIVE),
)
def drive_protection(facts: Facts, this: Rule) -> Iterator[Said]:
    """A drive is fed through a protective device that its maker does not allow.

    Reports:
      The nearest breaker, fuse or motor breaker ahead of a drive, or the `upstream` of its supply where the plant has none, whose
      rated current exceeds the drive's `max-upstream`, or whose kind is not among its `upstream-kind` (`fuse`, `fuse-gG`,
      `breaker`, `breaker-C`, `motor-breaker`; several separated by commas).
    Silent:
      Drives that state neither; devices without a stated current; residual current devices.
    Why:
      The drive withstands a fault only for as long as this device takes to clear it.
    Failing:
      part breaker "Breaker, 3 poles" {
        kind = breaker   letter = Q   class = II   breaking = 10kA
        terminal :1 :3 :5 line-in 0.5..6mm2
        terminal :2 :4 :6 load-out 0.5..6mm2
        pole :1,3,5 to :2,4,6
      }
      device -Q1 breaker at=+MCP current=32A
      device -T1 drive at=+MCP max-upstream=25A input-current=16A
      wire -WB1:L1,L2,L3 to -Q1:1,3,5 6mm2 BK
      wire -Q1:2,4,6 to -T1:L1,L2,L3 6mm2 BK
      wire -T1:PE to -XE1:3 10mm2 GNYE
    Passing:
      - device -Q1 breaker at=+MCP current=32A
      + device -Q1 breaker at=+MCP current=25A
    Remedy:
      Protect the drive by what its maker states.
    """
    motors = facts.of(Motors)
    for name in facts.network.power.order:
        drive = facts.plant.devices[name]
        if drive.kind != Kind.DRIVE:
            continue
        if not {"max-upstream", "upstream-kind"} & set(drive.ratings):
            yield this.not_judged(name, "its part does not state what may protect it")
            continue
        for ahead in _nearest(facts, motors, name):
            message = _not_allowed(drive, ahead)
            if message:
                yield this.report(
                    f"drive `{name}` {message}",
                    "protect the drive by a device within what it states",
                    ahead.span,
                    (name, ahead.id),
                    about=(name,),
                    explains=_behind(facts, ahead),
                    related=[Related(f"drive `{name}` is declared here", drive.span)],
                )
                break


def _behind(facts: Facts, ahead: Device) -> Iterator[str]:
    """What the size of a protective device bears on: all it feeds, live and protective conductors there, their cables."""
    circuit = facts.calculation.of(Circuit)
    for device in (ahead.id, *(downstream(facts.network, ahead.id) if ahead.category != Category.SUPPLY else ())):
        yield device
        conductors = [name for step in circuit.out_of.get(device, ()) for name in step.conductors]
        for name in (*conductors, *(name for edge in circuit.earths.path(device) or () for name in edge)):
            yield name
            yield facts.plant.conductors[name].cable or name


def _nearest(facts: Facts, motors: Motors, drive: str) -> list[Device]:
    """The nearest protective device on each way to a drive; a supply where there is none."""
    devices = facts.plant.devices

    def protects(name: str) -> bool:
        return name != drive and (devices[name].kind in BREAKING or devices[name].category == Category.SUPPLY)

    reached = walk((drive,), lambda name: () if protects(name) else motors.feeders(name))
    return [devices[name] for name in reached if protects(name)]


def _not_allowed(drive: Device, ahead: Device) -> str:
    """Why a device may not protect a drive, "" where it may."""
    kind, curve, current = _read(ahead)
    limit = amount(drive, "max-upstream")
    if limit is not None and current is not None and current > limit:
        return f"allows {amps(limit)} ahead of it, `{ahead.id}` has {amps(current)}"
    wanted = [entry for entry in re.split(r"[,;/ ]+", word(drive, "upstream-kind")) if entry]
    if wanted and kind and not set(wanted) & set(kind_names(kind, curve)):
        has = f"{kind}-{curve}" if curve else kind
        return f"is to be protected by {' or '.join(wanted)}, `{ahead.id}` is {has}"
    return ""


def _read(ahead: Device) -> tuple[str, str, float | None]:
    """Kind, curve and rated current, A, of a protective device, or of what a supply's `upstream` says; "" and None unknown."""
    if ahead.category != Category.SUPPLY:
        return ahead.kind, word(ahead, "curve"), amount(ahead, "current")
    said = word(ahead, "upstream").split("-")
    kind = {"fuse": "fuse", "mcb": "breaker", "mccb": "breaker"}.get(said[0], "")
    size = parse_quantity(said[-1])
    current = size.value if size is not None and size.kind == "current" else None
    return kind, said[1] if len(said) == 3 else "", current
