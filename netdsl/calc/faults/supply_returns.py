"""What the return through neutral and earth adds to the impedance of a supply."""

from __future__ import annotations

from collections.abc import Callable
from math import sqrt

from netdsl.calc.basis import Calculation, Formula, Gap, Given, amount
from netdsl.calc.circuit import Circuit
from netdsl.calc.faults.source import STANDARD, SourceImpedance
from netdsl.model.plant import Device

TN = frozenset({"TN-S", "TN-C", "TN-C-S"})
#: impedance by a prospective current, of three phases and of one
LEVEL = {3: Formula("{c} * {U} / (sqrt(3) * {I_k})"), 1: Formula("{c} * {U} / {I_k}")}


class SupplyReturns:
    """Impedances of supplies with their returns; `ratio`: resistance over reactance of a supply."""

    def __init__(self, calculation: Calculation, ratio: Callable[[Device], Given]) -> None:
        self._calculation, self._settings, self._ratio = calculation, calculation.settings, ratio

    def impedance(
        self, supply: Device, system: str, largest: complex, smallest: complex, *, known_return: bool
    ) -> SourceImpedance:
        """`known_return`: line and return are known together, so that no earth-fault level is needed."""
        returned = self._return(supply, system, largest) if system != "IT" else None
        earthed = system in TN
        if returned is None and earthed and not known_return:
            earthed = False
            self._calculation.gaps.note(
                Gap(
                    self._calculation.of(Circuit).feeder(supply.id),
                    "earth-fault level",
                    (supply.id,),
                    ("smallest earth-fault current", "disconnection"),
                    supply.span,
                    "add `earth-fault-current=` at its terminals",
                )
            )
        back = returned or 0j
        neutral = back
        if phases_of(supply) == 1:
            neutral = 0j
        elif returned is None and known_return:
            words = (
                "the return through a supply's star point adds no impedance where no earth-fault level is stated"
                " (delta-star transformer, zero-sequence impedance that of the winding)"
            )
            self._settings.assume("zero-sequence", words, STANDARD, "common practice")
        elif returned is None and "N" in supply.terminals:
            neutral = largest
            words = (
                "the neutral of a supply without earth-fault level has the impedance of one of its poles at the smallest current,"
                " none at the largest"
            )
            self._settings.assume("supply-neutral", words, "no earth-fault level stated", "common practice")
        return SourceImpedance(
            largest,
            smallest,
            back,
            back,
            amount(supply, "voltage") or 0.0,
            phases_of(supply),
            back if phases_of(supply) == 3 else 0j,
            neutral,
            earthed,
        )

    def _return(self, supply: Device, system: str, z: complex) -> complex | None:
        """What the return through earth adds to one pole, ohm, by the stated earth-fault current; None where not stated."""
        if system not in TN or not amount(supply, "earth-fault-current"):
            return None
        ratio = z.real / z.imag if z.imag else self._ratio(supply).value
        factor = self._settings.number("voltage-factor-max")
        volts, amps = amount(supply, "voltage") or 0.0, amount(supply, "earth-fault-current") or 1.0
        return split(LEVEL[phases_of(supply)](c=factor, U=volts, I_k=amps), ratio) - z


def phases_of(supply: Device) -> int:
    """1 or 3."""
    return 1 if amount(supply, "phases") == 1 else 3


def split(ohms: float, ratio: float) -> complex:
    """An impedance from its magnitude and the ratio of resistance to reactance."""
    reactance = ohms / sqrt(1 + ratio**2)
    return complex(ratio * reactance, reactance)
