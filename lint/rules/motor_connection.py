"""How a motor's winding is linked, and the voltage that feeds it."""

from __future__ import annotations

from collections.abc import Iterator
from math import sqrt

from lint.facts import Facts
from lint.motors import Motors
from lint.registry import Rule, Said, rule
from lint.schemes import IN_SCHEME
from lint.subjects import of_kind
from netdsl.calc.basis import amount
from netdsl.calc.circuit import Circuit
from netdsl.findings import Related, Severity
from netdsl.model.kinds import Kind
from netdsl.model.plant import Device, Role
from netdsl.network.queries import upstream
from netdsl.quantities import Quantity, number_text

#: supply and winding voltages within this share of each other are taken as one (IEC 60034-1, 7.3)
TOLERANCE = 0.1
#: frequency at which a winding for 230 V in delta gets 400 V: the same flux as at 50 Hz
RAISED_HZ = 87.0
#: motors of less power may have any efficiency, W
_SMALL_W = 250.0


@rule(
    "winding-connection",
    Severity.ERROR,
    source="IEC 60034-1 and IEC 60034-8",
    silences=("overload", "rating-exceeded", "voltage-drop"),
    judges=of_kind(Kind.MOTOR),
)
def winding_connection(facts: Facts, this: Rule) -> Iterator[Said]:
    """The winding of a motor does not fit what feeds it.

    Reports:
      A motor connected in `star` where its `winding` takes this voltage in delta, or the other way round; a motor started in
      star and run in delta (both ends of its windings wired) whose winding does not take the voltage in delta; winding voltages,
      or a single stated `voltage`, none of which fits; of a single `winding` voltage, which is that in delta, a connection in
      which it does not fit. Behind a drive the voltage is that of the drive's supply. At the `connect` where there is one.
    Silent:
      Motors that nothing feeds, or that get several voltages; motors that state no voltage; winding voltages of which one fits,
      where no `connect` is written; voltages within 10 %; behind a drive, a motor in delta for a lower voltage that states
      `frequency=87Hz`: it is run beyond its rated speed on purpose. Motors of a drive that itself gets a voltage which it is not
      made for: `voltage-mismatch` speaks of that.
    Why:
      In delta for star the winding gets 1.7 times its voltage and burns; in star for delta the motor has a third of its torque.
    Failing:
      device -F0 mcb-3p at=+MCP current=13A
      wire -WB1:L1,L2,L3 to -F0:1,3,5 4mm2 BK
      device -M1 motor at=+HALL current=6.5A power-factor=0.8 winding=230/400V
      cable -W1 4G2.5 length=5m method=C {
        BN -F0:2 to -M1:U1
        BK -F0:4 to -M1:V1
        GY -F0:6 to -M1:W1
        GNYE -XE1:3 to -M1:PE
      }
      connect -M1 delta
    Passing:
      - connect -M1 delta
      + connect -M1 star
    Remedy:
      Connect the winding for this voltage, or take a motor wound for it.
    """
    motors = facts.of(Motors)
    for motor in motors:
        stated = motor.ratings.quantity("winding") or motor.ratings.quantity("voltage")
        if not any(t.role is Role.WINDING for t in motor.terminals.values()):
            continue
        if stated is None:
            yield this.not_judged(motor.id, "its winding's voltage is not stated")
            continue
        volts = motors.volts(motor)
        if volts is None:
            yield this.not_judged(motor.id, "the voltage it gets is not known")
        found = _misfit(motors, motor, stated, volts) if volts is not None else None
        if found is not None:
            message, remedy = found
            yield this.report(
                f"motor `{motor.id}` {message}",
                remedy,
                motor.connected or motor.span,
                (motor.id,),
                about=(motor.id,),
                related=_places(motor),
                explains=_loaded(facts, motor.id),
            )


#: share of what a motor takes that it may give out: more than all it cannot, and what gives out less is no motor of that power
#: (common practice: small motors have an efficiency of a half at the least)
_SHARES = (0.35, 1.0)


@rule("motor-data", Severity.WARNING, source="common practice", judges=of_kind(Kind.MOTOR))
def motor_data(facts: Facts, this: Rule) -> Iterator[Said]:
    """The figures of a motor contradict each other.

    Reports:
      A three-phase motor whose `power` is more than it takes from the mains by its `current`, `power-factor` and each of its
      stated voltages (one alone: in delta and in star), or less than 35 % of that by each of them. Without a power factor the
      first alone is judged, at 1.
    Silent:
      Motors of less than 250 W; figures that are computed from the power, which fit it.
    Why:
      One of the figures is wrong, and sections, protection and the drive are chosen by them.
    Failing:
      device -M1 motor at=+HALL power=11kW current=8.5A power-factor=0.83 winding=230/400V
      wire -XE1:3 to -M1:PE 6mm2 GNYE
    Passing:
      - device -M1 motor at=+HALL power=11kW current=8.5A power-factor=0.83 winding=230/400V
      + device -M1 motor at=+HALL power=4kW current=8.5A power-factor=0.83 winding=230/400V
    Remedy:
      Compare power, current, power factor and voltage with the rating plate.
    """
    for motor in facts.of(Motors):
        power, current, factor = (amount(motor, name) for name in ("power", "current", "power-factor"))
        stated = motor.ratings.quantity("voltage") or motor.ratings.quantity("winding")
        if power is None or current is None or not any(t.role is Role.WINDING for t in motor.terminals.values()):
            continue
        if stated is None:
            yield this.not_judged(motor.id, "its voltage is not stated, so that its figures cannot be compared")
            continue
        if power < _SMALL_W:
            yield this.spared(motor.id, "a small motor, whose efficiency may be low")
            continue
        voltages = stated.values if len(stated.values) > 1 else (stated.value, sqrt(3) * stated.value)  # in delta, in star
        taken = [sqrt(3) * volts * current * (1 if factor is None else factor) for volts in voltages]
        least, most = power / max(taken), power / min(taken)
        if least <= _SHARES[1] and (most >= _SHARES[0] or factor is None):
            continue
        share = least if least > _SHARES[1] else most
        yield this.report(
            f"motor `{motor.id}` would give out {100 * share:.0f} % of what it takes: {power / 1000:g} kW at {current:g} A",
            "compare power, current, power factor and voltage with the rating plate",
            motor.span,
            (motor.id,),
            about=(motor.id,),
        )


def _places(motor: Device) -> Iterator[Related]:
    """Where a motor whose `connect` is wrong is declared; of a scheme its line with the `connect`."""
    if motor.connected_use is not None:
        yield Related(IN_SCHEME, motor.connected_use)
    elif motor.connected is not None:
        yield Related(f"`{motor.id}` is declared here", motor.span)


def _loaded(facts: Facts, motor: str) -> Iterator[str]:
    """Devices and conductors whose load follows from what a motor takes: all that lead to it, and what hangs beside it."""
    circuit = facts.calculation.of(Circuit)
    for device in upstream(facts.network, motor):
        yield device
        for step in circuit.out_of.get(device, ()):
            yield step.fed
            yield from step.conductors


def _misfit(motors: Motors, motor: Device, stated: Quantity, volts: float) -> tuple[str, str] | None:
    """What does not fit and what to do, None where all does."""
    gets, has = f"gets {number_text(round(volts))} V", f"its winding {stated.shown}"
    other = f"take a motor wound for {number_text(round(volts))} V, or feed it at its own voltage"
    if stated.form == "range":
        fits = stated.value * (1 - TOLERANCE) <= volts <= stated.last * (1 + TOLERANCE)
        return None if fits else (f"{gets}, it is made for {stated.text}", other)
    links = [link for link, value in zip(("delta", "star"), stated.values, strict=False) if _same(value, volts)]
    pair = stated.form == "alternatives"
    if not pair and motor.connection == "star" and "winding" in motor.ratings:
        star = stated.value * sqrt(3)
        if _same(star, volts):
            return None
        takes = f"{has}, of one voltage, takes {number_text(round(star))} V in star"
        if not links:
            return f"is connected in star, it {gets}: {takes}", other
        return f"is connected in star, it {gets}: {takes} and this voltage in delta", _links(motor, "delta")
    if pair and motors.six_ends(motor):
        if "delta" in links:
            return None
        return f"is started in star and run in delta, it {gets}, its winding takes {number_text(stated.value)} V in delta", other
    if pair and motor.connection == "delta" and amount(motor, "frequency") == RAISED_HZ and motors.on_drive(motor.id):
        return None
    if not links:
        return f"{gets}, its winding is made for {stated.shown}", other
    if not pair or not motor.connection or motor.connection in links:
        return None
    takes = ", ".join(f"{number_text(value)} V in {link}" for link, value in zip(("delta", "star"), stated.values, strict=False))
    return f"is connected in {motor.connection}, it {gets}: its winding takes {takes}", _links(motor, links[0])


def _links(motor: Device, link: str) -> str:
    return f"write `connect {motor.product} {link}`, and set the links in its terminal box so"


def _same(value: float, volts: float) -> bool:
    return abs(value - volts) <= TOLERANCE * value
