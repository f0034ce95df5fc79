"""Impedance of a supply as seen from its terminals, by the way the netlist states it (IEC 60909-0)."""

from __future__ import annotations

from math import sqrt

from msgspec.structs import replace

from netdsl.calc.basis import Calculation, Formula, Gap, Given, Result, amount, formula, rating, word
from netdsl.calc.circuit import Circuit
from netdsl.calc.faults.source import FAULT_LEVEL_REMEDY, STANDARD, TRANSFORMER, Source, direction
from netdsl.calc.faults.supply_returns import LEVEL, TN, SupplyReturns, phases_of, split
from netdsl.model.plant import Device

#: earthing systems in which a fault to earth returns through metal
ABSENT = ("fault currents", "breaking capacity", "disconnection", "let-through")
_STATED = Formula("sqrt({R}^2 + {X}^2)")
_POWER = Formula("{c} * {U}^2 / {S_Q}")
_NETWORK = Formula("{c_Q} * {U_r}^2 / {S_Q}")
_ALONE = Formula("sqrt({R_T}^2 + {X_T}^2)")
_BEHIND_NETWORK = Formula("sqrt(({R_T} + {R_Q})^2 + ({X_T} + {X_Q})^2)")


class Supplies:
    """Supplies by the way they are stated: fault level, impedance, or a transformer behind a network.

    A stated `fault-current` is the largest prospective current at the terminals, so it contains the voltage factor:
    Z = c_max * U / (sqrt(3) * Ik), the same impedance for the largest and the smallest current. `earth-fault-current` gives the
    whole loop of line and return in the same way. The correction factor of a transformer counts for the largest current only.
    """

    def __init__(self, calculation: Calculation) -> None:
        self._calculation = calculation
        self._settings = calculation.settings
        self._returns = SupplyReturns(calculation, self._ratio)

    def of(self, supply: Device) -> Source | None:
        """The impedance of a supply; None for direct current, and where too little is stated (the gap is noted)."""
        system = word(supply, "system")
        if system == "DC" or not amount(supply, "voltage"):
            return None
        found = self._by_what_is_stated(supply, system)
        if found is not None and found.impedance.largest and found.impedance.smallest:
            if system in TN:
                return found
            return self._by_electrodes(supply, found) or _unearthed(found, system)
        feeder = self._calculation.of(Circuit).feeder(supply.id)
        self._calculation.gaps.note(Gap(feeder, "fault level", (supply.id,), ABSENT, supply.span, FAULT_LEVEL_REMEDY))
        return None

    def _by_electrodes(self, supply: Device, source: Source) -> Source | None:
        """A TT source with its own electrode known: a fault to earth returns through both electrodes; None where one is not."""
        own, plant = amount(supply, "source-earth-resistance"), amount(supply, "earth-resistance")
        if word(supply, "system") != "TT" or own is None or plant is None:
            return None
        back = complex(own + plant)
        last = source.results[-1]
        words = f"TT: a fault to earth returns through the electrodes, {plant:g} Ω of the plant and {own:g} Ω of the source"
        noted = replace(last, note=f"{last.note}; {words}" if last.note else words)
        impedance = replace(source.impedance, earth_max=back, earth_min=back, earthed=True)
        return Source(impedance, (*source.results[:-1], noted))

    def _by_what_is_stated(self, supply: Device, system: str) -> Source | None:
        if amount(supply, "resistance") or amount(supply, "reactance"):
            return self._stated(supply, system)
        if amount(supply, "fault-current"):
            return self._by_level(supply, system)
        if amount(supply, "transformer") and amount(supply, "transformer-impedance"):
            return self._transformer(supply, system)
        if not amount(supply, "transformer") and (amount(supply, "network-power") or amount(supply, "network-fault-current")):
            return self._by_power(supply, system)
        return None

    # --- ways a supply is stated ----------------------------------------------------------------------------------
    def _stated(self, supply: Device, system: str) -> Source:
        ohms, reactance = amount(supply, "resistance") or 0.0, amount(supply, "reactance") or 0.0
        z = complex(ohms, reactance)
        givens = (rating(supply, "resistance", "R", "Ω"), rating(supply, "reactance", "X", "Ω"))
        result = self._result(supply, _STATED, givens, "impedance of one pole as stated")
        return Source(self._returns.impedance(supply, system, z, z, known_return=True), (result,))

    def _by_level(self, supply: Device, system: str) -> Source:
        ratio = self._ratio(supply)
        factor = self._settings.given("voltage-factor-max", "c")
        words = "prospective current at the terminals, voltage factor included"
        givens = (factor, rating(supply, "voltage", "U", "V"), rating(supply, "fault-current", "I_k", "A", words), ratio)
        note = f"R/X = {ratio.shown}; both poles together" if phases_of(supply) == 1 else f"R/X = {ratio.shown}"
        result = self._result(supply, LEVEL[phases_of(supply)], givens, note)
        z = split(result.value, ratio.value)
        return Source(self._returns.impedance(supply, system, z, z, known_return=False), (result,))

    def _by_power(self, supply: Device, system: str) -> Source:
        """A supply at whose own terminals the network's short-circuit power is stated."""
        ratio, factor = self._ratio(supply), self._settings.given("voltage-factor-max", "c")
        power = self._network_power(supply, amount(supply, "voltage") or 0.0)
        givens = (factor, rating(supply, "voltage", "U", "V"), power, ratio)
        result = self._result(supply, _POWER, givens, f"R/X = {ratio.shown}")
        z = split(result.value, ratio.value)
        return Source(self._returns.impedance(supply, system, z, z, known_return=False), (result,))

    def _network_power(self, supply: Device, volts: float) -> Given:
        """Short-circuit power of the network, VA: as stated, or from its fault current at `network-voltage` (or at `volts`)."""
        if amount(supply, "network-power"):
            return rating(supply, "network-power", "S_Q", "VA")
        current = amount(supply, "network-fault-current") or 0.0
        power = sqrt(3) * (amount(supply, "network-voltage") or volts) * current
        return Given(
            "S_Q",
            power,
            "VA",
            f"short-circuit power of the network, sqrt(3) U I by its fault current of {current:g} A",
            supply.span,
        )

    def _transformer(self, supply: Device, system: str) -> Source:
        rated = "transformer-voltage" if amount(supply, "transformer-voltage") else "voltage"
        winding = self._winding(supply)
        text = TRANSFORMER
        givens = [
            rating(supply, "transformer-impedance", "u_k", "%"),
            rating(supply, rated, "U_r", "V"),
            rating(supply, "transformer", "S_r", "VA"),
        ]
        plain = formula(text).of(givens) * winding
        if self._settings.word("transformer-correction") == "yes":
            text = f"0.95 * {{c}} / (1 + 0.6 * {{x_T}}) * {text}"
            per_unit = winding.imag * givens[0].value / 100
            reactance = Given("x_T", per_unit, "", "reactance of the transformer per unit", givens[0].span)
            givens += [self._settings.given("voltage-factor-max", "c"), reactance]
        own = self._result(supply, formula(text), tuple(givens), "", "transformer-impedance")
        network, before = self._network(supply, givens[1].value)
        largest = own.value * winding
        total = self._sum(supply, own, largest, before, network)
        impedance = self._returns.impedance(supply, system, largest + network, plain + network, known_return=True)
        return Source(impedance, (own, *((before,) if before else ()), total))

    def _winding(self, supply: Device) -> complex:
        """Resistance and reactance of a transformer over its impedance, the resistance from the load losses where stated."""
        losses = amount(supply, "transformer-losses")
        if losses is None:
            words = "a supply's transformer counts as a reactance where its load losses are not stated"
            self._settings.assume("transformer-losses", words, STANDARD, "common practice")
        percent = 100 * (losses or 0.0) / (amount(supply, "transformer") or 1.0)
        return direction(percent, amount(supply, "transformer-impedance") or 0.0)

    def _network(self, supply: Device, volts: float) -> tuple[complex, Result | None]:
        """The network before a transformer, on the secondary side: its voltage cancels against the transformer's ratio."""
        if not amount(supply, "network-power") and not (
            amount(supply, "network-fault-current") and amount(supply, "network-voltage")
        ):
            words = "the network before a supply's transformer counts as infinitely strong where its power is not stated"
            self._settings.assume("network-power", words, STANDARD, "common practice")
            return 0j, None
        factor, ratio = self._settings.given("network-voltage-factor", "c_Q"), self._ratio(supply)
        power = self._network_power(supply, volts)
        rated = "transformer-voltage" if amount(supply, "transformer-voltage") else "voltage"
        givens = (factor, rating(supply, rated, "U_r", "V"), power, ratio)
        note = f"referred to the secondary side of the transformer; R/X = {ratio.shown}"
        result = self._result(supply, _NETWORK, givens, note, "network-impedance")
        return split(result.value, ratio.value), result

    def _sum(self, supply: Device, own: Result, z: complex, before: Result | None, network: complex) -> Result:
        givens = [
            Given("R_T", z.real, "Ω", "resistance of the transformer", result=own.key),
            Given("X_T", z.imag, "Ω", "reactance of the transformer", result=own.key),
        ]
        if before is None:
            return self._result(supply, _ALONE, tuple(givens), "")
        givens += [
            Given("R_Q", network.real, "Ω", "resistance of the network", result=before.key),
            Given("X_Q", network.imag, "Ω", "reactance of the network", result=before.key),
        ]
        return self._result(supply, _BEHIND_NETWORK, tuple(givens), "")

    def _ratio(self, supply: Device) -> Given:
        if amount(supply, "r-over-x") is None:
            return self._settings.given("source-r-over-x", "r")
        return rating(supply, "r-over-x", "r", "", "resistance over reactance")

    def _result(
        self, supply: Device, how: Formula, givens: tuple[Given, ...], note: str, question: str = "source-impedance"
    ) -> Result:
        feeder = self._calculation.of(Circuit).feeder(supply.id)
        return Result.worked(
            question,
            supply.id,
            feeder,
            how,
            "Ω",
            givens,
            STANDARD,
            note=note,
            span=supply.span,
        )


def _unearthed(source: Source, system: str) -> Source:
    """A source without metallic return, which its result says."""
    last = source.results[-1]
    words = f"{system}: a fault to earth has no metallic return, its current is not computed"
    noted = replace(last, note=f"{last.note}; {words}" if last.note else words)
    return Source(source.impedance, (*source.results[:-1], noted))
