"""What a single load draws: motors, drives, supplies, heaters and the rest, each from what is stated about it."""

from __future__ import annotations

from collections.abc import Callable
from math import sqrt
from typing import NamedTuple

from netdsl.calc.basis import Formula, Gap, Given, Settings, amount, formula
from netdsl.calc.circuit import Circuit
from netdsl.calc.loads.nominal import motor_current, motor_voltage, to_neutral
from netdsl.calc.loads.wiring import Wiring
from netdsl.kept import kept
from netdsl.model.kinds import PROTECTIVE
from netdsl.model.plant import Device

#: devices that draw nothing themselves
PASSIVE = PROTECTIVE | frozenset(
    "contactor soft-starter isolator reactor filter terminal-box thermostat switch selector surge-protection aux-"
    " contact interlock meter relay suppressor relay-socket timer emergency-stop safety-relay potentiometer level-"
    " switch push-button earth-bar screen-bar strip busbar comb distribution-block supply".split()
)
#: loads whose current is in phase with their voltage
_RESISTIVE = frozenset({"heater", "resistor"})
_ABSENT = ("load currents", "voltage drop")
_ROOT3 = sqrt(3)


class Demand(NamedTuple):
    """The current of one load, A, with its power factor, and how it was found: `amps` is what `formula` gives with `givens`."""

    amps: float
    cos: float
    formula: Formula
    givens: tuple[Given, ...]
    source: str
    note: str = ""


class Demands:
    """Demands by device, each worked out once. `motors_behind`: the motors a drive feeds."""

    def __init__(
        self, circuit: Circuit, settings: Settings, wiring: Wiring, motors_behind: Callable[[str], tuple[str, ...]]
    ) -> None:
        self._circuit, self._settings, self._wiring, self._motors_behind = circuit, settings, wiring, motors_behind

    def draws(self, device: str) -> bool:
        """Whether a device is a load: at the end of a circuit, or a drive, transformer or supply at whose output one begins."""
        made = self._circuit.plant.devices[device]
        if made.kind == "outside":
            return "current" in made.ratings or "power" in made.ratings
        return made.kind not in PASSIVE and bool(self._wiring.stages[device].fed_by)

    @kept
    def of(self, device: str) -> Demand | None:
        """What a load draws; None with the gap noted where the netlist does not tell."""
        made = self._circuit.plant.devices[device]
        find = {"motor": self._motor, "drive": self._drive, "supply-24v": self._supply, "transformer": self._transformer}
        return find.get(made.kind, self._other)(made)

    def fed_by(self, device: str) -> tuple[str, ...]:
        """Nets that feed a device."""
        return tuple(self._wiring.stages[device].fed_by)

    def origins(self, device: str) -> tuple[str, ...]:
        """Supplies and converters from which power comes to a device."""
        return self._wiring.origins(device)

    # --- what feeds it --------------------------------------------------------------------------------------------
    def phases(self, device: str) -> int:
        """Number of phases that feed a load."""
        lives = self._wiring.lives(device)
        return min(3, len({live.phase for live in lives}) if len(lives) < 3 else 3)

    @kept
    def nominal(self, device: str) -> Given | None:
        """Nominal voltage of the circuit at a device: between phases, to neutral for a single phase; None if unknown."""
        lives = self._wiring.lives(device)
        if not lives or lives[0].volts is None:
            return None
        volts = lives[0].volts
        if self.phases(device) == 1 and lives[0].between_phases:
            volts = to_neutral(volts)
        origin = next(iter(self.origins(device)), device)
        return Given("U", volts, "V", f"nominal voltage behind {origin}", self._circuit.span_of(origin))

    def power_factor(self, made: Device) -> Given:
        """Power factor of a load: as stated; 1 of direct current and of what is a plain resistance; else as chosen."""
        stated = amount(made, "power-factor")
        if stated is not None:
            return _stated(made, "cos", stated, "", "power factor")
        lives = self._wiring.lives(made.id)
        if made.kind in _RESISTIVE or (lives and lives[0].direct):
            return Given("cos", 1.0, "", "power factor of a resistance", None, "current and voltage in phase", "verified")
        return self._settings.given("load-power-factor", "cos")

    # --- kinds of load --------------------------------------------------------------------------------------------
    def _motor(self, made: Device) -> Demand | None:
        rated = motor_current(made)
        if rated is not None:
            return _rated(made, rated, "rated current", self.power_factor(made))
        power, cosine, efficiency = (amount(made, name) for name in ("power", "power-factor", "efficiency"))
        volts = motor_voltage(made)
        nominal = _stated(made, "U", volts, "V", "rated voltage") if volts else self.nominal(made.id)
        lacking = [name for name, value in (("power", power), ("power-factor", cosine), ("efficiency", efficiency)) if not value]
        if lacking or nominal is None or not power or not cosine or not efficiency:
            self._gap(
                made, "motor current", f"give its `current=`, or {' and '.join(f'`{name}=`' for name in lacking or ['voltage'])}"
            )
            return None
        givens = (
            _stated(made, "P", power, "W", "power at the shaft"),
            nominal,
            _stated(made, "cos", cosine, "", "power factor"),
            _stated(made, "eta", efficiency / 100, "", "efficiency"),
        )
        return _demand(f"{{P}} / ({self._root(made)}{{U}} * {{cos}} * {{eta}})", cosine, givens, "IEC 60034-1")

    def _drive(self, made: Device) -> Demand | None:
        """Input current of a drive, from what its motors need; else as it is rated."""
        stated, cos = amount(made, "input-current"), self._drive_power_factor(made)
        needed, nominal = self._needed(made), self.nominal(made.id)
        losses, efficiency = amount(made, "losses"), amount(made, "efficiency")
        if needed and nominal is not None and (losses is not None or efficiency):
            motors = " + ".join("{" + given.symbol + "}" for given in needed)
            more = self._set_above(made)
            if more:
                motors = f"({motors}) * {{I_set}} / {{I_M}}" if len(needed) > 1 else f"{motors} * {{I_set}} / {{I_M}}"
                needed = (*needed, *more)
            if efficiency:
                last = _stated(made, "eta", efficiency / 100, "", "efficiency of the drive")
                above = (f"({motors})" if len(needed) > 1 and not more else motors) + " / {eta}"
            else:
                last = _stated(made, "P_v", losses or 0.0, "W", "losses of the drive")
                above = f"({motors} + {{P_v}})"
            found = self._by_power(made, above, (*needed, last, nominal, cos), "IEC 61800-2", "from the power its motors need")
            return self._bounded(made, found, stated)
        if stated is not None:
            return _rated(
                made, stated, "rated input current", cos, "rated input current: what its motors need is not stated in full"
            )
        remedy = (
            "give its `input-current=`, or its `efficiency=` or `losses=` and the power, efficiency and power factor of its"
            " motors"
        )
        self._gap(made, "drive input current", remedy)
        return None

    def _set_above(self, made: Device) -> tuple[Given, ...]:
        """The current to which a drive is set and that of its motors, where it is set to give more than these need: it may."""
        amps = made.settings.amount("motor-current")
        drawn = [demand.amps for motor in self._motors_behind(made.id) if (demand := self.of(motor)) is not None]
        if amps is None or not drawn or amps <= sum(drawn) * 1.0001:
            return ()
        return (
            _stated(made, "I_set", amps, "A", "motor current set at"),
            _stated(made, "I_M", sum(drawn), "A", "rated current of the motors behind"),
        )

    def _drive_power_factor(self, drive: Device) -> Given:
        """Power factor of a drive's input: as stated, else as the project chooses for drives with a choke, or without."""
        factor = amount(drive, "power-factor")
        if factor:
            return _stated(drive, "cos", factor, "", "power factor of its input")
        choke = amount(drive, "choke") or any(
            self._circuit.plant.devices[step.feeder].kind == "reactor" for step in self._circuit.into.get(drive.id, ())
        )
        return self._settings.given("drive-power-factor" if choke else "drive-power-factor-without-choke", "cos")

    def _bounded(self, made: Device, found: Demand, stated: float | None) -> Demand:
        """No more than the rated input current, where the motors need no more than the rated output."""
        output = amount(made, "output-current") or amount(made, "current")
        amps = [demand.amps for motor in self._motors_behind(made.id) if (demand := self.of(motor)) is not None]
        if stated is None or found.amps <= stated or output is None or (len(amps) == 1 and amps[0] > output * 1.0001):
            return found
        givens = (*found.givens, _stated(made, "I_n", stated, "A", "rated input current"))
        note = "from the power its motors need, not more than its rated input current"
        return _demand(f"min({{I_n}}; {found.formula.text})", found.cos, givens, found.source, note)

    def _needed(self, made: Device) -> tuple[Given, ...]:
        """Electrical power of each motor behind a drive, W; empty where one is unknown or there is none."""
        found = []
        motors = self._motors_behind(made.id)
        for number, motor in enumerate(motors, 1):
            watts = self._electrical(self._circuit.plant.devices[motor])
            if watts is None:
                return ()
            symbol = "P_m" if len(motors) == 1 else f"P_m{number}"
            found.append(watts._replace(symbol=symbol))
        return tuple(found)

    def _electrical(self, motor: Device) -> Given | None:
        """Electrical power a motor needs: from shaft power and efficiency, else from its rated current and power factor."""
        power, efficiency, cosine = (amount(motor, name) for name in ("power", "efficiency", "power-factor"))
        if power and efficiency:
            words = f"shaft power of {motor.id} {power / 1000:.4g} kW over its efficiency {efficiency:.4g} %"
            return _stated(motor, "P_m", power / efficiency * 100, "W", words)
        current, volts = motor_current(motor), motor_voltage(motor)
        if volts is None:
            nominal = self.nominal(motor.id)
            volts = nominal.value if nominal else None
        if not current or not cosine or not volts:
            return None
        words = f"power of {motor.id} at {current:.4g} A, {volts:.4g} V, power factor {cosine:.4g}"
        return _stated(motor, "P_m", _ROOT3 * volts * current * cosine, "W", words)

    def _supply(self, made: Device) -> Demand | None:
        """Input current of a 24 V supply at its rated output."""
        stated, output, efficiency, losses = (amount(made, n) for n in ("input-current", "current", "efficiency", "losses"))
        cos = self.power_factor(made)
        if stated is not None:
            return _rated(made, stated, "rated input current", cos)
        nominal = self.nominal(made.id)
        volts = next((source.voltage.value for source in made.sources if source.voltage), None)
        if not output or not volts or nominal is None or not (efficiency or losses is not None):
            self._gap(made, "supply input current", "give its `input-current=`, or its `current=` and `efficiency=`")
            return None
        if efficiency:
            last, above = _stated(made, "eta", efficiency / 100, "", "efficiency"), "{U_o} * {I_o} / {eta}"
        else:
            last, above = _stated(made, "P_v", losses or 0.0, "W", "losses"), "({U_o} * {I_o} + {P_v})"
        givens = (
            _stated(made, "I_o", output, "A", "rated output current"),
            _stated(made, "U_o", volts, "V", "output voltage"),
            last,
            nominal,
            cos,
        )
        return self._by_power(made, above, givens, "energy balance", "at its rated output, the most it can give")

    def _transformer(self, made: Device) -> Demand | None:
        """Primary current of a transformer at its rated power."""
        stated, power = amount(made, "input-current"), amount(made, "apparent-power")
        nominal, cos = self.nominal(made.id), self.power_factor(made)
        if stated is None and (not power or nominal is None):
            self._gap(made, "transformer current", "give its `apparent-power=`")
            return None
        if stated is not None or not power or nominal is None:
            return _rated(made, stated or 0.0, "rated input current", cos)
        givens = (_stated(made, "S", power, "VA", "rated power"), nominal, cos)
        return self._by_apparent_power(made, givens, "energy balance", "at its rated power, the most it can give")

    def _other(self, made: Device) -> Demand | None:
        """Current of any other load: as rated, else from its power."""
        current, cos = amount(made, "current"), self.power_factor(made)
        if current is not None:
            ahead = self._ahead(made) if made.kind == "socket" else None
            if ahead is not None and (least := amount(ahead, "current") or 0.0) < current:
                return _rated(ahead, least, "rated current of what protects the socket", cos)
            return _rated(made, current, "rated current", cos)
        power = amount(made, "power") or sum(c.power.value for c in made.consumers if c.power and c.kind == "load")
        volts, apparent = amount(made, "voltage"), amount(made, "apparent-power")
        nominal = _stated(made, "U", volts, "V", "rated voltage") if volts else self.nominal(made.id)
        if not (power or apparent) or nominal is None:
            self._gap(made, "load current", "give its `current=`, `power=` or `apparent-power=`")
            return None
        if not power and apparent:
            stated = _stated(made, "S", apparent, "VA", "apparent power")
            return self._by_apparent_power(made, (stated, nominal, cos), "ratings")
        return self._by_power(made, "{P}", (_stated(made, "P", power, "W", "power"), nominal, cos), "ratings")

    # --- formulas -------------------------------------------------------------------------------------------------
    def _root(self, made: Device) -> str:
        """What stands before the voltage in the power of a load: the root of 3 with three phases."""
        return "sqrt(3) * " if self.phases(made.id) == 3 else ""

    def _by_power(self, made: Device, above: str, givens: tuple[Given, ...], source: str, note: str = "") -> Demand:
        """Current by active power, W, of which `above` is the formula; `givens` end with voltage and power factor."""
        return _demand(f"{above} / ({self._root(made)}{{U}} * {{cos}})", givens[-1].value, givens, source, note)

    def _by_apparent_power(self, made: Device, givens: tuple[Given, ...], source: str, note: str = "") -> Demand:
        """Current by apparent power, VA; `givens` are that power, voltage and power factor."""
        return _demand(f"{{S}} / ({self._root(made)}{{U}})", givens[-1].value, givens, source, note)

    def _ahead(self, made: Device) -> Device | None:
        """The protective device of the least rating ahead of a device: a socket gives no more than that for long."""
        path = self._circuit.path(made.id)
        devices = [self._circuit.plant.devices[name] for name in path.devices] if path else []
        rated = [device for device in devices if device.kind in PROTECTIVE and amount(device, "current")]
        return min(rated, key=lambda device: amount(device, "current") or 0.0, default=None)

    def _gap(self, made: Device, kind: str, remedy: str) -> None:
        self._circuit.gaps.note(Gap(self._circuit.feeder(made.id), kind, (made.id,), _ABSENT, made.span, remedy))


def _stated(made: Device, symbol: str, value: float, unit: str, words: str) -> Given:
    return Given(symbol, value, unit, words if made.id in words else f"{words} of {made.id}", made.span)


def _rated(made: Device, amps: float, words: str, cos: Given, note: str = "") -> Demand:
    """The current that a device states, A."""
    return _demand("{I_n}", cos.value, (_stated(made, "I_n", amps, "A", words), cos), "rating plate", note)


def _demand(text: str, cos: float, givens: tuple[Given, ...], source: str, note: str = "") -> Demand:
    """A demand worked out by its formula."""
    return Demand(formula(text).of(givens), cos, formula(text), givens, source, note)
