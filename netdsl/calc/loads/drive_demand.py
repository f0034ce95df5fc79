"""What a drive draws: from what its motors need, bounded by what it is rated for, or as it is rated."""

from __future__ import annotations

from collections.abc import Callable
from math import sqrt
from typing import Protocol

from msgspec.structs import replace

from netdsl.calc.basis import Given, Settings, amount
from netdsl.calc.circuit import Circuit
from netdsl.calc.loads.drawn import Demand, given_of, rated_demand, worked
from netdsl.calc.loads.nominal import motor_current, motor_voltage
from netdsl.model.plant import Device
from netdsl.sums import sum_of

_ROOT3 = sqrt(3)


class Loads(Protocol):
    """What is asked of all loads: what another draws, its nominal voltage, the current by a power; what is missing is noted."""

    def of(self, device: str) -> Demand | None: ...
    def nominal(self, device: str) -> Given | None: ...
    def by_power(self, made: Device, above: str, givens: tuple[Given, ...], source: str, note: str = "") -> Demand: ...
    def gap(self, made: Device, kind: str, remedy: str) -> None: ...


class DriveDemands:
    """Demands of drives. `motors_behind`: the motors a drive feeds."""

    def __init__(
        self, circuit: Circuit, settings: Settings, motors_behind: Callable[[str], tuple[str, ...]], loads: Loads
    ) -> None:
        self._circuit, self._settings, self._motors_behind, self._loads = circuit, settings, motors_behind, loads

    def of(self, made: Device) -> Demand | None:
        """Input current of a drive, from what its motors need; else as it is rated."""
        stated, cos = amount(made, "input-current"), self._drive_power_factor(made)
        needed, nominal = self._needed(made), self._loads.nominal(made.id)
        losses, efficiency = amount(made, "losses"), amount(made, "efficiency")
        if needed and nominal is not None and (losses is not None or efficiency):
            motors = " + ".join("{" + given.symbol + "}" for given in needed)
            more = self._set_above(made)
            if more:
                motors = f"({motors}) * {{I_set}} / {{I_M}}" if len(needed) > 1 else f"{motors} * {{I_set}} / {{I_M}}"
                needed = (*needed, *more)
            if efficiency:
                last = given_of(made, "eta", efficiency / 100, "", "efficiency of the drive")
                above = (f"({motors})" if len(needed) > 1 and not more else motors) + " / {eta}"
            else:
                last = given_of(made, "P_v", losses or 0.0, "W", "losses of the drive")
                above = f"({motors} + {{P_v}})"
            found = self._loads.by_power(
                made, above, (*needed, last, nominal, cos), "IEC 61800-2", "from the power its motors need"
            )
            return self._bounded(made, found, stated)
        if stated is not None:
            return rated_demand(
                made, stated, "rated input current", cos, "rated input current: what its motors need is not stated in full"
            )
        remedy = (
            "give its `input-current=`, or its `efficiency=` or `losses=` and the power, efficiency and power factor of its"
            " motors"
        )
        self._loads.gap(made, "drive input current", remedy)
        return None

    def _set_above(self, made: Device) -> tuple[Given, ...]:
        """The current to which a drive is set and that of its motors, where it is set to give more than these need: it may."""
        amps = made.settings.amount("motor-current")
        drawn = [demand.amps for motor in self._motors_behind(made.id) if (demand := self._loads.of(motor)) is not None]
        if amps is None or not drawn or amps <= sum_of(drawn) * 1.0001:
            return ()
        return (
            given_of(made, "I_set", amps, "A", "motor current set at"),
            given_of(made, "I_M", sum_of(drawn), "A", "rated current of the motors behind"),
        )

    def _drive_power_factor(self, drive: Device) -> Given:
        """Power factor of a drive's input: as stated, else as the project chooses for drives with a choke, or without."""
        factor = amount(drive, "power-factor")
        if factor:
            return given_of(drive, "cos", factor, "", "power factor of its input")
        choke = amount(drive, "choke") or any(
            self._circuit.plant.devices[step.feeder].kind == "reactor" for step in self._circuit.into.get(drive.id, ())
        )
        return self._settings.given("drive-power-factor" if choke else "drive-power-factor-without-choke", "cos")

    def _bounded(self, made: Device, found: Demand, stated: float | None) -> Demand:
        """No more than the rated input current, where the motors need no more than the rated output."""
        output = amount(made, "output-current") or amount(made, "current")
        amps = [demand.amps for motor in self._motors_behind(made.id) if (demand := self._loads.of(motor)) is not None]
        if stated is None or found.amps <= stated or output is None or (len(amps) == 1 and amps[0] > output * 1.0001):
            return found
        givens = (*found.givens, given_of(made, "I_n", stated, "A", "rated input current"))
        note = "from the power its motors need, not more than its rated input current"
        return worked(f"min({{I_n}}; {found.formula.text})", found.cos, givens, found.source, note)

    def _needed(self, made: Device) -> tuple[Given, ...]:
        """Electrical power of each motor behind a drive, W; empty where one is unknown or there is none."""
        found = []
        motors = self._motors_behind(made.id)
        for number, motor in enumerate(motors, 1):
            watts = self._electrical(self._circuit.plant.devices[motor])
            if watts is None:
                return ()
            symbol = "P_m" if len(motors) == 1 else f"P_m{number}"
            found.append(replace(watts, symbol=symbol))
        return tuple(found)

    def _electrical(self, motor: Device) -> Given | None:
        """Electrical power a motor needs: from shaft power and efficiency, else from its rated current and power factor."""
        power, efficiency, cosine = (amount(motor, name) for name in ("power", "efficiency", "power-factor"))
        if power and efficiency:
            words = f"shaft power of {motor.id} {power / 1000:.4g} kW over its efficiency {efficiency:.4g} %"
            return given_of(motor, "P_m", power / efficiency * 100, "W", words)
        current, volts = motor_current(motor), motor_voltage(motor)
        if volts is None:
            nominal = self._loads.nominal(motor.id)
            volts = nominal.value if nominal else None
        if not current or not cosine or not volts:
            return None
        words = f"power of {motor.id} at {current:.4g} A, {volts:.4g} V, power factor {cosine:.4g}"
        return given_of(motor, "P_m", _ROOT3 * volts * current * cosine, "W", words)
