"""Voltage at every load in service, with its angle: each current against the voltage at the terminals of its own load."""

from __future__ import annotations

from cmath import phase
from collections.abc import Iterator
from math import degrees

from netdsl.calc.basis import Answer, Calculation, Given, Result, SheetQuestion, formula
from netdsl.calc.circuit import Circuit
from netdsl.calc.conductors.losses import Loss, VoltageLosses
from netdsl.calc.loads import LoadCurrents
from netdsl.kept import cached_property

_VOLTAGE = formula("sqrt(({U} - {dU_r})^2 + {dU_i}^2)")
#: an angle, rad, by which a further round would move no figure, and the rounds after which it is left at that
_NEARLY = 1e-6
_ROUNDS = 6


class LoadVoltages(SheetQuestion):
    """Voltages at loads as phasors.

    Drops count all currents as if each lagged against the voltage of the source; here each lags against the voltage of its own
    load, turned by what is lost on the way there, until nothing moves any more. The currents stay those of the ratings.
    """

    place = 1890
    answers = (Answer("load-voltage", "Voltage at a load in service", "U_L"),)
    judged = False

    def __init__(self, calculation: Calculation) -> None:
        super().__init__(calculation)
        self._circuit = calculation.of(Circuit)
        self._loads = calculation.of(LoadCurrents)

    def results(self) -> Iterator[Result]:
        """`load-voltage` of every load whose drop can be computed, V."""
        for device, loss in self._turned.items():
            yield self._result(device, loss)

    def phasor(self, device: str) -> complex | None:
        """The voltage at a load, V: between phases, to neutral of a single phase, against that of its origin; None if unknown."""
        loss = self._turned.get(device)
        return None if loss is None else self._voltage(device, loss)

    @cached_property
    def _turned(self) -> dict[str, Loss]:
        """What is lost up to each load, currents turned by the angle of their own voltage."""
        devices = self._circuit.plant.devices
        names = [name for name in self._loads.wiring.stages if name in devices and self._loads.is_load(name)]
        losses, angles = self._calculation.of(VoltageLosses), dict[str, float]()
        for _ in range(_ROUNDS):
            found = {name: loss for name in names if (loss := losses.to(name)) is not None}
            turned = {name: phase(self._voltage(name, loss)) for name, loss in found.items()}
            if all(abs(angle - angles.get(name, 0.0)) < _NEARLY for name, angle in turned.items()):
                break
            angles = turned
            losses = VoltageLosses(self._calculation, self._loads.turned(angles))
        return found

    def _voltage(self, device: str, loss: Loss) -> complex:
        nominal = self._loads.demands.nominal(device)
        return (nominal.value if nominal else 0.0) - loss.phasor

    def _result(self, device: str, loss: Loss) -> Result:
        made, nominal = self._circuit.plant.devices[device], self._loads.demands.nominal(device)
        angle = degrees(phase(self._voltage(device, loss)))
        drop = f"voltage-drop.running {device}"
        givens = (
            *((nominal,) if nominal else ()),
            Given("dU_r", loss.phasor.real, "V", "lost in phase with the voltage of the origin", result=drop),
            Given("dU_i", loss.phasor.imag, "V", "lost at right angles to it", result=drop),
            Given("delta", angle, "°", f"angle against the voltage of {loss.reach.origin}", made.span),
        )
        return Result.worked(
            "load-voltage",
            device,
            self._circuit.feeder(device),
            _VOLTAGE,
            "V",
            givens,
            "phasors, each current against the voltage of its own load",
            note=f"at {angle:.2f}° against the voltage of {loss.reach.origin}",
            span=made.span,
        )
