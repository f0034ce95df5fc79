"""What running motors without a drive add to the largest fault current (IEC 60909-0, asynchronous motors)."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from math import sqrt

from netdsl.calc.basis import Calculation, amount
from netdsl.calc.circuit import Path
from netdsl.calc.loads import LoadCurrents
from netdsl.kept import Asking, meanwhile

#: motors count where their rated currents together exceed this share of the fault current
SHARE = 0.01
STANDARD = "IEC 60909-0, 3.8"


class MotorInfeed:
    """Motors on the tree of least impedance. Solved as one network: at a point, a motor counts with all that lies between.

    `motors`: three-phase motors without a drive. `paths`: the way that counts to each device. `sources`: impedance of each
    supply, ohm.
    """

    def __init__(
        self, calculation: Calculation, motors: Iterable[str], paths: Mapping[str, Path], sources: Mapping[str, complex]
    ) -> None:
        self._paths = paths
        self._sources = sources
        self._below: dict[str, complex] = {}
        self.rated: dict[str, float] = {}
        for motor in motors:
            self._enter(calculation, motor)

    def at(self, device: str, ohms: complex, fault_a: float) -> complex:
        """Impedance of everything that feeds a fault at `device`, ohm; `ohms` and `fault_a` are those of the supply alone.
        Where the motors are small against the fault they are left out."""
        path = self._paths.get(device)
        if path is None or self.rated.get(path.origin, 0.0) <= SHARE * fault_a:
            return ohms
        return 1 / self._total(path)

    def _enter(self, calculation: Calculation, motor: str) -> None:
        path = self._paths[motor]
        device, supply = calculation.plant.devices[motor], calculation.plant.devices[path.origin]
        demand = calculation.of(LoadCurrents).demands.of(motor)
        current = amount(device, "current") or (demand.amps if demand else None)
        if not current:
            return
        settings = calculation.settings
        ratio = settings.number("motor-infeed-r-over-x")
        words = f"motors are left out where their rated currents together are at most {SHARE:.0%} of the fault current"
        settings.assume("motor-infeed-share", words, STANDARD, "memory")
        starting = amount(device, "starting-current") or settings.number("motor-infeed-ratio") * current
        reactance = (amount(supply, "voltage") or 0.0) / (sqrt(3) * starting) / sqrt(1 + ratio**2)
        admittance = 1 / complex(ratio * reactance, reactance)
        self.rated[path.origin] = self.rated.get(path.origin, 0.0) + current
        for here in self._way(path):
            self._below[here.device] = self._below.get(here.device, 0j) + admittance
            admittance = _through(admittance, _between(here))

    def _way(self, path: Path) -> list[Path]:
        """Paths from a device back to its supply, each the one that counts for its device."""
        found = [path]
        while path.parent is not None:
            path = self._paths[path.parent.device]
            found.append(path)
        return found

    @meanwhile(0j, key=lambda _, path: path.device)
    def _total(self, path: Path) -> Asking[complex]:
        """Admittance of supply and motors as seen from a device, S."""
        below, between = self._below.get(path.device, 0j), _between(path)
        if path.parent is None:
            above = 1 / self._sources[path.device]
        else:
            total: complex = yield self._total, self._paths[path.parent.device]
            above = total - _through(below, between)
        return _through(above, between) + below


def _between(path: Path) -> complex:
    """Impedance of the last step of a path, ohm."""
    return path.cold - path.parent.cold if path.parent else 0j


def _through(admittance: complex, ohms: complex) -> complex:
    """An admittance as seen through an impedance."""
    return admittance / (1 + ohms * admittance)
