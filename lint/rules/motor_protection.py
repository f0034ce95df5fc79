"""Overload protection of motors: that there is one, and that it is set to the motor."""

from __future__ import annotations

from collections.abc import Iterator

from lint.facts import Facts
from lint.motors import Motors
from lint.registry import Report, Rule, Said, rule
from lint.subjects import of_kind
from lint.wording import amps, listed
from netdsl.calc.basis import amount
from netdsl.calc.circuit import Circuit
from netdsl.calc.conductors import Overloads
from netdsl.calc.loads import Exclusive
from netdsl.findings import Related, Severity
from netdsl.model.kinds import SET_TO_MOTOR, Category, Kind
from netdsl.model.plant import Device, Role
from netdsl.network.queries import devices_on
from netdsl.network.search import trace, walk, way_to

#: a setting may exceed the motor's current by so much: it is chosen on a scale
ABOVE = 1.05
#: and lie below it by so much
BELOW = 0.99
#: motors up to this power need no overload protection of their own (IEC 60204-1, 7.3.1)
SMALL_W = 500.0


@rule(
    "overload-setting",
    Severity.ERROR,
    source="IEC 60204-1 7.3.2 and IEC 60947-4-1",
    silences=("overload", "clamp-range"),
    judges=of_kind(*SET_TO_MOTOR),
)
def overload_setting(facts: Facts, this: Rule) -> Iterator[Said]:
    """An overload device is not set to the rated current of its motor.

    Reports:
      A motor breaker, overload relay or `motor-current` of a drive set above 1.05 times the rated current of the one motor it
      feeds (above its `service-factor`, where the motor states a larger one) or, as a warning, below it; a device whose setting
      range or current does not reach the motor's current. A device that feeds one end of the windings of a motor with six
      wired ends lies in the phases: it is held to 0.58 of the motor's current.
    Silent:
      Devices that feed several motors, or feed a drive; motors and settings whose current is not stated; settings up to 1 %
      below the motor's current.
    Why:
      Set too high, the winding burns before the device trips; set too low, it trips in normal work and is then turned up.
    Failing:
      part overload "Overload relay" {
        kind = overload   letter = B   class = II
        terminal :1 :3 :5 line-in 0.5..6mm2
        terminal :2 :4 :6 load-out 0.5..6mm2
        terminal :95 :96 contact 0.5..2.5mm2
        pole :1,3,5 to :2,4,6
        contact :95 to :96 break by=overload
        setting tripping-current 6.3..10A
      }
      device -B1 overload at=+MCP
      device -M1 motor at=+HALL current=6.5A power-factor=0.8
      wire -WB1:L1,L2,L3 to -B1:1,3,5 2.5mm2 BK
      cable -W1 4G2.5 length=5m method=C {
        BN -B1:2 to -M1:U1
        BK -B1:4 to -M1:V1
        GY -B1:6 to -M1:W1
        GNYE -XE1:3 to -M1:PE
      }
      set -B1 tripping-current=8.5A
    Passing:
      - set -B1 tripping-current=8.5A
      + set -B1 tripping-current=6.5A
    Remedy:
      Set the device to the current on the motor's rating plate; where its range does not reach it, take another device.
    """
    motors = facts.of(Motors)
    for name in facts.network.power.order:
        device = facts.plant.devices[name]
        if device.kind not in SET_TO_MOTOR and name not in motors.drives:
            continue
        behind = motors.behind(name)
        if _one_at_a_time(facts, behind) and not motors.drives_behind(name):
            said = [each for motor in behind for each in _judged(motors, device, facts.plant.devices[motor], this)]
            reports = [each for each in said if isinstance(each, Report)]
            yield from (*(each for each in said if each not in reports), *reports[:1])


def _judged(motors: Motors, device: Device, motor: Device, this: Rule) -> Iterator[Said]:
    """The report on an overload device of one motor, if there is one."""
    current = motors.current(motor)
    if not current:
        yield this.not_judged(device.id, f"the current of `{motor.id}` is not stated")
        return
    drive = device.id in motors.drives
    share = 1.0 if drive else motors.share(device, motor)
    need, top = current * share, max(ABOVE, amount(motor, "service-factor") or 0.0)
    whose = f"motor `{motor.id}` takes {amps(current)}" + (f", {amps(need)} in each phase" if share < 1 else "")
    name = "motor-current" if drive else "tripping-current"
    setting = amount(device, name)
    reach = None if drive else _reach(device)
    if setting is None and reach is None:
        yield this.not_judged(device.id, f"neither `{name}` nor what it can be set to is stated")
        return
    if setting is not None and setting > need * top:
        message = f"`{device.id}` is set to {amps(setting)}, {whose}: at most {amps(need * top)} ({top:g} times)"
        remedy, severity = f"write `set {device.product} {name}={need:.3g}A`", this.severity
    elif reach is not None and not reach[0] / top <= need <= reach[1]:
        message = f"`{device.id}` can be set from {amps(reach[0])} to {amps(reach[1])}, {whose}"
        message = message if reach[0] else f"`{device.id}` is made for {amps(reach[1])}, {whose}"
        remedy, severity = "take a device whose setting range reaches the motor's current", this.severity
    elif setting is not None and setting < need * BELOW:
        message = f"`{device.id}` is set to {amps(setting)}, {whose}: it trips in normal work"
        remedy, severity = f"write `set {device.product} {name}={need:.3g}A`", Severity.WARNING
    else:
        return
    yield this.report(
        message,
        remedy,
        device.span,
        (device.id, motor.id),
        about=(device.id,),
        severity=severity,
        explains=_follows(motors, device, need),
        related=[Related(f"motor `{motor.id}` is declared here", motor.span)],
    )


def _follows(motors: Motors, device: Device, need: float) -> Iterator[str]:
    """What is too small for a device set wrongly, and would do for one set to the motor's current: its conductors, its clamps."""
    calculation = motors.facts.calculation
    for result in calculation.results_of(Overloads):
        if result.holds or (result.limit or 0.0) < need:
            continue
        release = calculation.of(Overloads).device_for(calculation.of(Circuit).step_of[result.conductors[0]])
        if release is not None and release.device == device.id:
            yield from result.conductors
            yield from (step.fed for step in calculation.of(Circuit).out_of.get(device.id, ()))
    yield from (f"{device.id}:{name}" for name in device.terminals)


def _one_at_a_time(facts: Facts, motors: tuple[str, ...]) -> bool:
    """Whether there is one motor, or several of which the interlocks let one run at a time."""
    return len(motors) == 1 or (bool(motors) and facts.calculation.of(Exclusive).alone(motors))


def _reach(device: Device) -> tuple[float, float] | None:
    """The least and greatest setting of a device, A; 0 for the least where only its current is known."""
    stated = device.ratings.quantity("setting-range")
    kind = device.part.settings.get("tripping-current") if device.part else None
    ranges = [value for value in (stated, kind.range if kind else None) if value is not None and value.kind == "current"]
    if ranges:
        return ranges[0].value, ranges[0].last
    current = amount(device, "current") if device.kind == Kind.MOTOR_BREAKER else None
    return None if current is None else (0.0, current)


@rule("motor-unprotected", Severity.ERROR, source="IEC 60204-1 7.3.1", judges=of_kind(Kind.MOTOR))
def motor_unprotected(facts: Facts, this: Rule) -> Iterator[Said]:
    """A motor has no overload protection of its own.

    Reports:
      A motor above 0.5 kW that power reaches on a way without a motor breaker, an overload relay with a wired contact (past which
      no wire leads) or a drive that serve this motor alone. A drive with several motors protects none of them: each needs its
      own device, its contact in the enable or trip circuit.
    Silent:
      Motors up to 0.5 kW, and those whose power is not stated; motors whose thermistors are wired to a relay or to the input of
      a drive (unless its setting `thermistor=off`), or whose own thermal contact is wired; breakers with a `trip-class` count as
      motor breakers; motors that nothing feeds. Of motors behind contactors that are interlocked with each other one runs at a
      time: a device that serves these alone protects each, and `overload-setting` holds it to the current of each.
    Why:
      A breaker or fuse is sized for the cable: it lets a stalled motor burn.
    Failing:
      device -F0 mcb-3p at=+MCP current=13A
      wire -WB1:L1,L2,L3 to -F0:1,3,5 4mm2 BK
      part breaker "Breaker, 3 poles" {
        kind = breaker   letter = Q   class = II   breaking = 10kA
        terminal :1 :3 :5 line-in 0.5..6mm2
        terminal :2 :4 :6 load-out 0.5..6mm2
        pole :1,3,5 to :2,4,6
      }
      device -Q1 breaker at=+MCP current=10A curve=C
      device -M1 motor at=+HALL power=3kW current=6.5A power-factor=0.8
      wire -F0:2,4,6 to -Q1:1,3,5 2.5mm2 BK
      cable -W1 4G2.5 length=5m method=C {
        BN -Q1:2 to -M1:U1
        BK -Q1:4 to -M1:V1
        GY -Q1:6 to -M1:W1
        GNYE -XE1:3 to -M1:PE
      }
    Passing:
      - part breaker "Breaker, 3 poles" {
      -   kind = breaker   letter = Q   class = II   breaking = 10kA
      + part motor-breaker "Motor breaker" {
      +   kind = motor-breaker   letter = Q   class = II   breaking = 50kA
      - device -Q1 breaker at=+MCP current=10A curve=C
      + device -Q1 motor-breaker at=+MCP current=6.5A setting-range=4..8A
    Remedy:
      Put a motor breaker or an overload relay ahead of each motor, or use its thermistors.
    """
    motors = facts.of(Motors)
    for motor in motors:
        power = amount(motor, "power")
        if power is None:
            yield this.not_judged(motor.id, "its power is not stated")
            continue
        if power <= SMALL_W or _senses_heat(facts, motor):
            small = f"it takes no more than {SMALL_W / 1000:g} kW"
            yield this.spared(motor.id, small if power <= SMALL_W else "its own temperature sensors are wired")
            continue
        open_way = _open_way(facts, motors, motor.id)
        if open_way is not None:
            end = facts.plant.devices[open_way[-1]]
            yield this.report(
                f"motor `{motor.id}` of {power / 1000:g} kW has no overload protection of its own"
                f"{_why(facts, motors, end, open_way)}",
                "add a motor breaker, or an overload relay with its contact in the enable or trip circuit, for this motor alone",
                motor.span,
                (motor.id, *open_way),
                about=(motor.id,),
                related=[Related(f"`{end.id}` is declared here", end.span)],
            )


def _open_way(facts: Facts, motors: Motors, motor: str) -> tuple[str, ...] | None:
    """Devices on a way from `motor` back to a source that holds no overload protection of it alone, nearest first."""
    if _in_phases(facts, motors, facts.plant.devices[motor]):
        return None
    devices = facts.plant.devices

    def ends(name: str) -> bool:
        return name != motor and (devices[name].category == Category.SUPPLY or name in motors.drives or not motors.feeders(name))

    def beyond(name: str) -> Iterator[str]:
        for feeder in () if ends(name) else reversed(motors.feeders(name)):
            # of another circuit that shares a strip or box with this one
            beside = (
                feeder not in motors.drives and devices[feeder].category != Category.SUPPLY and motor not in motors.behind(feeder)
            )
            if not beside and not _protects(facts, motors, devices[feeder], motor):
                yield feeder

    # deep: a way through all that lies in the circuit says more of why than the shortest, which may be a branch beside
    came = trace((motor,), beyond, deep=True)
    end = next((name for name in came if ends(name)), None)
    return tuple(way_to(end, came)[1:]) if end is not None else None


def _in_phases(facts: Facts, motors: Motors, motor: Device) -> bool:
    """Whether an overload device lies in the phases of a motor started in star: the current of each winding passes it, whatever
    way leads to the other end."""
    ahead = sorted(facts.feeders(motor.id)) if motors.six_ends(motor) else []
    devices = (facts.plant.devices[name] for name in ahead if name not in motors.drives)
    return any(motors.share(device, motor) < 1 for device in devices if _protects(facts, motors, device, motor.id))


def _protects(facts: Facts, motors: Motors, device: Device, motor: str) -> bool:
    """Whether a device is the overload protection of this motor and no other that runs with it."""
    behind = motors.behind(device.id)
    if device.id in motors.drives:
        return behind == (motor,)
    own = device.kind in SET_TO_MOTOR or (device.kind == Kind.BREAKER and "trip-class" in device.ratings)
    return own and motor in behind and _one_at_a_time(facts, behind) and not _mute(facts, device)


def _mute(facts: Facts, device: Device) -> bool:
    """Whether an overload relay has contacts and none is wired, or a wire leads past each: it opens nothing."""
    contacts = [name for name, terminal in device.terminals.items() if terminal.role is Role.CONTACT]
    nets = {name: facts.network.net_of.get(f"{device.id}:{name}") for name in contacts if f"{device.id}:{name}" in facts.landed}
    past = {
        name
        for path in device.paths
        if path.kind != "pole" and nets.get(path.a) and nets[path.a] == nets.get(path.b)
        for name in (path.a, path.b)
    }
    return device.kind == Kind.OVERLOAD and bool(contacts) and not nets.keys() - past


def _why(facts: Facts, motors: Motors, end: Device, way: tuple[str, ...]) -> str:
    """What stands in the way instead."""
    mute = [name for name in way if _mute(facts, facts.plant.devices[name])]
    if mute:
        return f": no contact of {listed(mute)} is wired to open anything"
    shared = [name for name in way if facts.plant.devices[name].kind in SET_TO_MOTOR or name in motors.drives]
    if shared:
        return f": `{shared[-1]}` serves {listed(list(motors.behind(shared[-1])))} together"
    return f" on the way from `{end.id}`"


def _senses_heat(facts: Facts, motor: Device) -> bool:
    """Whether a motor's thermistors reach an input that is on, or its thermal contact is wired."""
    landed = [t for t in motor.terminals.values() if f"{motor.id}:{t.name}" in facts.landed]
    if any(terminal.role is Role.CONTACT for terminal in landed):
        return True
    starts = [facts.network.net_of[f"{motor.id}:{t.name}"] for t in landed if t.role is Role.THERMISTOR]
    reached = walk(
        starts, lambda net: (other for device, name in devices_on(facts.network, net) for other in _through(facts, device, name))
    )
    return any(_evaluates(device, name) for net in reached for device, name in devices_on(facts.network, net))


def _evaluates(device: Device, terminal: str) -> bool:
    """Whether a terminal is an input for thermistors that is on."""
    found = device.terminals.get(terminal)
    senses = device.kind != Kind.MOTOR and found is not None and found.role is Role.THERMISTOR
    return senses and device.settings.get("thermistor") != "off"


def _through(facts: Facts, device: Device, terminal: str) -> list[str]:
    """Nets on the other side of a split strip terminal, or of another motor's thermistors in series."""
    if terminal.endswith(("/in", "/out")):
        others = [f"{terminal.rpartition('/')[0]}/{side}" for side in ("in", "out")]
    elif device.kind == Kind.MOTOR:
        others = [name for name, found in device.terminals.items() if found.role is Role.THERMISTOR]
    else:
        return []
    return [facts.network.net_of[f"{device.id}:{name}"] for name in others]
