"""What motors on the mains may give where the voltages of their supply differ."""

from __future__ import annotations

from collections.abc import Iterator

from netdsl.calc.basis import Answer, Given, Result, SheetQuestion, amount, between, formula, one_table, rating
from netdsl.calc.circuit import Circuit
from netdsl.calc.loads.currents import LoadCurrents
from netdsl.model.kinds import Kind
from netdsl.model.plant import Device


class UnbalancedMotors(SheetQuestion):
    """Power that a motor gives without running hotter than by a balanced supply: a negative sequence in its currents heats it."""

    place = 120
    answers = (Answer("motor.unbalance", "Power of a motor at the unbalance of its supply", "P_b"),)

    def results(self) -> Iterator[Result]:
        """`motor.unbalance` of each motor of three phases on the mains of a supply that states its `voltage-unbalance`, W."""
        loads = self._calculation.of(LoadCurrents)
        for device in loads.wiring.stages:
            made = self._calculation.plant.devices.get(device)
            if made is not None and made.kind == Kind.MOTOR and loads.is_load(device) and loads.demands.phases(device) == 3:
                found = self._of(made, loads.demands.origins(device))
                if found is not None:
                    yield found

    def _of(self, made: Device, origins: tuple[str, ...]) -> Result | None:
        supplies = [self._calculation.plant.devices[name] for name in origins if name in self._calculation.plant.devices]
        stated = [(percent, each) for each in supplies if (percent := amount(each, "voltage-unbalance")) is not None]
        if not stated or not amount(made, "power"):
            return None
        percent, supply = max(stated, key=lambda pair: pair[0])
        table = one_table("devices", "motor_unbalance")
        most = table["percent"][-1]
        factor = between(table, "percent", min(percent, most), "factor")
        if factor is None:
            return None
        words = f"share of its power at {percent:g} % unbalance of {supply.id}, as stated there"
        givens = (
            Given("k_u", factor.value, "", words, supply.span, factor.source, factor.confidence),
            rating(made, "power", "P", "W", f"power at the shaft of {made.id}"),
        )
        note = f"beyond {most:g} % a motor is not to run" if percent > most else "what it drives is to take no more"
        feeder = self._calculation.of(Circuit).feeder(made.id)
        key = "motor.unbalance"
        return Result.worked(key, made.id, feeder, formula("{k_u} * {P}"), "W", givens, factor.source, note=note, span=made.span)
