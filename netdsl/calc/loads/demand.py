"""What a single load draws: motors, drives, supplies, heaters and the rest, each from what is stated about it."""

from __future__ import annotations

from collections.abc import Callable
from math import sqrt

from netdsl.calc.basis import Gap, Given, Settings, amount
from netdsl.calc.circuit import Circuit
from netdsl.calc.loads.drawn import Demand, given_of, rated_demand, worked
from netdsl.calc.loads.drive_demand import DriveDemands
from netdsl.calc.loads.nominal import motor_current, motor_voltage, to_neutral
from netdsl.calc.loads.wiring import Wiring, speed_of
from netdsl.kept import kept
from netdsl.model.kinds import PASSED, PROTECTIVE
from netdsl.model.plant import Device
from netdsl.sums import sum_of

#: devices that draw nothing themselves
PASSIVE = (
    PROTECTIVE
    | PASSED
    | frozenset(
        "contactor soft-starter isolator reactor filter thermostat switch selector surge-protection aux-"
        " contact interlock meter relay suppressor relay-socket timer emergency-stop safety-relay potentiometer level-"
        " switch push-button earth-bar screen-bar strip busbar comb distribution-block supply".split()
    )
)
#: loads whose current is in phase with their voltage
_RESISTIVE = frozenset({"heater", "resistor"})
_ABSENT = ("load currents", "voltage drop")
_ROOT3 = sqrt(3)


class Demands:
    """Demands by device, each worked out once. `motors_behind`: the motors a drive feeds."""

    def __init__(
        self, circuit: Circuit, settings: Settings, wiring: Wiring, motors_behind: Callable[[str], tuple[str, ...]]
    ) -> None:
        self._circuit, self._settings, self._wiring = circuit, settings, wiring
        self._drives = DriveDemands(circuit, settings, motors_behind, self)

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
        find = {"motor": self._motor, "drive": self._drives.of, "supply-24v": self._supply, "transformer": self._transformer}
        return find.get(made.kind, self._capacitor if made.kind == "capacitor" else self._other)(made)

    def fed_by(self, device: str) -> tuple[str, ...]:
        """Nets that feed a device."""
        return tuple(self._wiring.stages[device].fed_by)

    def by_speed(self, device: str) -> bool:
        """Whether a motor has a winding for each of several speeds, fed one at a time."""
        return any(speed_of(nodes) for nodes in self._wiring.stages[device].fed_by.values())

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
            return given_of(made, "cos", stated, "", "power factor")
        lives = self._wiring.lives(made.id)
        if made.kind in _RESISTIVE or (lives and lives[0].direct):
            return Given("cos", 1.0, "", "power factor of a resistance", None, "current and voltage in phase", "verified")
        return self._settings.given("load-power-factor", "cos")

    # --- kinds of load --------------------------------------------------------------------------------------------
    def _motor(self, made: Device) -> Demand | None:
        rated = motor_current(made)
        if rated is not None:
            return rated_demand(made, rated, "rated current", self.power_factor(made))
        power, cosine, efficiency = (amount(made, name) for name in ("power", "power-factor", "efficiency"))
        volts = motor_voltage(made)
        nominal = given_of(made, "U", volts, "V", "rated voltage") if volts else self.nominal(made.id)
        lacking = [name for name, value in (("power", power), ("power-factor", cosine), ("efficiency", efficiency)) if not value]
        if lacking or nominal is None or not power or not cosine or not efficiency:
            self.gap(
                made, "motor current", f"give its `current=`, or {' and '.join(f'`{name}=`' for name in lacking or ['voltage'])}"
            )
            return None
        givens = (
            given_of(made, "P", power, "W", "power at the shaft"),
            nominal,
            given_of(made, "cos", cosine, "", "power factor"),
            given_of(made, "eta", efficiency / 100, "", "efficiency"),
        )
        return worked(f"{{P}} / ({self._root(made)}{{U}} * {{cos}} * {{eta}})", cosine, givens, "IEC 60034-1")

    def _supply(self, made: Device) -> Demand | None:
        """Input current of a 24 V supply at its rated output."""
        stated, output, efficiency, losses = (amount(made, n) for n in ("input-current", "current", "efficiency", "losses"))
        cos = self.power_factor(made)
        if stated is not None:
            return rated_demand(made, stated, "rated input current", cos)
        nominal = self.nominal(made.id)
        volts = next((source.voltage.value for source in made.sources if source.voltage), None)
        if not output or not volts or nominal is None or not (efficiency or losses is not None):
            self.gap(made, "supply input current", "give its `input-current=`, or its `current=` and `efficiency=`")
            return None
        if efficiency:
            last, above = given_of(made, "eta", efficiency / 100, "", "efficiency"), "{U_o} * {I_o} / {eta}"
        else:
            last, above = given_of(made, "P_v", losses or 0.0, "W", "losses"), "({U_o} * {I_o} + {P_v})"
        givens = (
            given_of(made, "I_o", output, "A", "rated output current"),
            given_of(made, "U_o", volts, "V", "output voltage"),
            last,
            nominal,
            cos,
        )
        return self.by_power(made, above, givens, "energy balance", "at its rated output, the most it can give")

    def _transformer(self, made: Device) -> Demand | None:
        """Primary current of a transformer at its rated power."""
        stated, power = amount(made, "input-current"), amount(made, "apparent-power")
        nominal, cos = self.nominal(made.id), self.power_factor(made)
        if stated is None and (not power or nominal is None):
            self.gap(made, "transformer current", "give its `apparent-power=`")
            return None
        if stated is not None or not power or nominal is None:
            return rated_demand(made, stated or 0.0, "rated input current", cos)
        givens = (given_of(made, "S", power, "VA", "rated power"), nominal, cos)
        return self._by_apparent_power(made, givens, "energy balance", "at its rated power, the most it can give")

    def _capacitor(self, made: Device) -> Demand | None:
        """Current of a capacitor bank: as rated, else by its reactive power at its rated voltage."""
        words = "capacitor banks add nothing to fault currents: they are discharged within the first half wave"
        self._settings.assume("capacitor-infeed", words, "IEC 60909-0, which leaves shunt capacitances out", "memory")
        current, power, volts = (amount(made, name) for name in ("current", "reactive-power", "voltage"))
        zero = Given("cos", 0.0, "", "power factor of a capacitor, which leads", None, "current and voltage", "verified")
        if current is not None:
            return rated_demand(made, current, "rated current", zero)._replace(leading=True)
        nominal = given_of(made, "U", volts, "V", "rated voltage") if volts else self.nominal(made.id)
        if not power or nominal is None:
            self.gap(made, "capacitor current", "give its `current=`, or its `reactive-power=` and `voltage=`")
            return None
        givens = (given_of(made, "Q", power, "var", "reactive power"), nominal)
        return worked(f"{{Q}} / ({self._root(made)}{{U}})", 0.0, givens, "ratings")._replace(leading=True)

    def _other(self, made: Device) -> Demand | None:
        """Current of any other load: as rated, else from its power."""
        current, cos = amount(made, "current"), self.power_factor(made)
        if current is not None:
            ahead = self._ahead(made) if made.kind == "socket" else None
            if ahead is not None and (least := amount(ahead, "current") or 0.0) < current:
                return rated_demand(ahead, least, "rated current of what protects the socket", cos)
            return rated_demand(made, current, "rated current", cos)
        power = amount(made, "power") or sum_of(c.power.value for c in made.consumers if c.power and c.kind == "load")
        volts, apparent = amount(made, "voltage"), amount(made, "apparent-power")
        nominal = given_of(made, "U", volts, "V", "rated voltage") if volts else self.nominal(made.id)
        if not (power or apparent) or nominal is None:
            self.gap(made, "load current", "give its `current=`, `power=` or `apparent-power=`")
            return None
        if not power and apparent:
            stated = given_of(made, "S", apparent, "VA", "apparent power")
            return self._by_apparent_power(made, (stated, nominal, cos), "ratings")
        return self.by_power(made, "{P}", (given_of(made, "P", power, "W", "power"), nominal, cos), "ratings")

    # --- formulas -------------------------------------------------------------------------------------------------
    def _root(self, made: Device) -> str:
        """What stands before the voltage in the power of a load: the root of 3 with three phases."""
        return "sqrt(3) * " if self.phases(made.id) == 3 else ""

    def by_power(self, made: Device, above: str, givens: tuple[Given, ...], source: str, note: str = "") -> Demand:
        """Current by active power, W, of which `above` is the formula; `givens` end with voltage and power factor."""
        return worked(f"{above} / ({self._root(made)}{{U}} * {{cos}})", givens[-1].value, givens, source, note)

    def _by_apparent_power(self, made: Device, givens: tuple[Given, ...], source: str, note: str = "") -> Demand:
        """Current by apparent power, VA; `givens` are that power, voltage and power factor."""
        return worked(f"{{S}} / ({self._root(made)}{{U}})", givens[-1].value, givens, source, note)

    def _ahead(self, made: Device) -> Device | None:
        """The protective device of the least rating ahead of a device: a socket gives no more than that for long."""
        path = self._circuit.path(made.id)
        devices = [self._circuit.plant.devices[name] for name in path.devices] if path else []
        rated = [device for device in devices if device.kind in PROTECTIVE and amount(device, "current")]
        return min(rated, key=lambda device: amount(device, "current") or 0.0, default=None)

    def gap(self, made: Device, kind: str, remedy: str) -> None:
        """Note data that is missing for the current of a load."""
        self._circuit.gaps.note(Gap(self._circuit.feeder(made.id), kind, (made.id,), _ABSENT, made.span, remedy))
