"""What a short circuit does to a thing behind the device that limits it: current of one second, and peak."""

from __future__ import annotations

from typing import NamedTuple

from netdsl.calc.basis import Formula, Given, Question, amount, formula
from netdsl.calc.circuit import Circuit
from netdsl.calc.coordination.exposed import ExposedThings
from netdsl.calc.devices import Characteristic
from netdsl.calc.faults import Faults
from netdsl.calc.protection import Limiting, Withstands

_STATED = formula("{i_D}")
#: the current of a straight rise, as steep as the prospective one at its beginning, when it has let the energy through
_RISEN = formula("(3 * sqrt(2) * 2 * pi * {f} * {I_k} * {E})^(1/3)")
_PROSPECTIVE = formula("{i_p}")
_BY_TIME = formula("{I_k} * sqrt({t} / {t_k})")
_BY_ENERGY = formula("sqrt({E} / {t_k})")
_SECOND = Given("t_k", 1.0, "s", "time for which a short-time current is stated", None, "IEC 60947-1, 4.3.6.4", "memory")


class Stress(NamedTuple):
    """A current, A, that `formula` gives with `givens`; `device`: what breaks or limits it, nearest where nothing does."""

    formula: Formula
    givens: tuple[Given, ...]
    device: Characteristic


class Stressing(Question):
    """The stress at a device, of several ways to it the largest."""

    def second(self, device: str) -> Stress | None:
        """The current that heats in a second as much as the fault does until it is broken; None where nothing ahead breaks it in
        time."""
        level, found = self._calculation.of(ExposedThings).largest(device), list[Stress]()
        limiting, withstands = self._calculation.of(Limiting), self._calculation.of(Withstands)
        for path in limiting.paths(device):
            if level is None:
                return None
            current = Given("I_k", level.value, "A", f"largest prospective current at {device}", result=level.key)
            least = withstands.least(tuple(limiting.ahead(path, device)), current, "beginning")
            if least is None:
                return None
            if least.time is not None:
                found.append(Stress(_BY_TIME, (current, least.time, _SECOND), least.device))
            else:
                found.append(Stress(_BY_ENERGY, (least.energy, _SECOND, current), least.device))
        return max(found, key=lambda each: each.formula.of(each.givens), default=None)

    def peak(self, device: str) -> Stress | None:
        """The peak: prospective, or what a device ahead lets through at most, as it states or as a fuse melts while the current
        rises; None where no device is ahead, or only a fuse of which nothing says what it lets through."""
        level = self._calculation.of(Faults).at(device)
        if level is None:
            return None
        prospective = Given("i_p", level.peak, "A", f"peak fault current at {device}", result=f"fault-current.peak {device}")
        found = list[Stress]()
        for path in self._calculation.of(Limiting).paths(device):
            ahead = self._calculation.of(Limiting).ahead(path, device)
            if not ahead:
                return None
            cut = [each for device_ahead in ahead if (each := self._cut_off(device_ahead, device, level.largest)) is not None]
            if not cut and any(each.kind == "fuse" for each in ahead):
                return None
            uncut = Stress(_PROSPECTIVE, (prospective,), ahead[-1])
            found.append(min((*cut, uncut), key=lambda each: each.formula.of(each.givens)))
        return max(found, key=lambda each: each.formula.of(each.givens), default=None)

    def _cut_off(self, limiter: Characteristic, device: str, amps: float) -> Stress | None:
        """The peak that a device lets through where it limits it; None where nothing says so."""
        made = self._calculation.plant.devices[limiter.device]
        stated = amount(made, "cut-off-current")
        if stated and made.category != "supply":
            return Stress(_STATED, (Given("i_D", stated, "A", f"largest peak that {made.id} lets through", made.span),), limiter)
        if limiter.kind != "fuse" or limiter.energy is None or limiter.clearing is not None:
            return None
        circuit = self._calculation.of(Circuit)
        values = (
            Given("f", circuit.frequency_hz, "Hz", "frequency", self._calculation.plant.devices[limiter.device].span),
            Given("I_k", amps, "A", f"largest prospective current at {device}", result=f"fault-current.largest {device}"),
            limiter.energy,
        )
        return Stress(_RISEN, values, limiter)


def is_cut_off(stress: Stress) -> bool:
    """Whether a peak is less than the prospective one because a device limits it."""
    return stress.formula != _PROSPECTIVE
