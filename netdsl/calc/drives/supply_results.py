"""Results of distortion: what the simulation was given, the numbers that come of it, what they make of the supply's voltage."""

from __future__ import annotations

from math import sqrt

from netdsl.calc.basis import Calculation, Formula, Given, Result, Words, formula
from netdsl.calc.drives.branches import Branch
from netdsl.calc.faults import SourceImpedance
from netdsl.sums import sum_of

_VOLTAGE = Formula("100 * sqrt(3) * {U_h} / {U}")
_MODEL = "time-domain model of six-pulse rectifiers in steady state, harmonics to the 40th"


class SupplyResults:
    """Results about one supply, or about a drive at it."""

    def __init__(self, calculation: Calculation, supply: str) -> None:
        self._calculation = calculation
        self._supply = calculation.plant.devices[supply]

    def given(self, symbol: str, value: float, unit: str, words: str) -> Given:
        """A value that follows from what the netlist says of the supply's loads."""
        return Given(symbol, value, unit, words, self._supply.span)

    def model(self, source: SourceImpedance, branches: tuple[Branch, ...], capacitance: Given) -> tuple[Given, ...]:
        """What the simulation was given."""
        found = [self.given("Z_s", round(abs(source.largest), 6), "Ω", "impedance of the supply"), capacitance]
        for number, branch in enumerate(branches, 1):
            first = self._calculation.plant.devices[branch.drives[0]]
            names = ", ".join(branch.drives[:4]) + (f" and {len(branch.drives) - 4} more" if len(branch.drives) > 4 else "")
            found.append(Given(f"P_{number}", branch.watts, "W", f"power taken by {names}", first.span))
            found.append(
                Given(f"z_{number}", 100 * abs(branch.z), "%", "impedance from the supply to them, of their power", first.span)
            )
            found.append(Given(f"x_{number}", 100 * branch.dc, "%", "reactance of their DC chokes", first.span))
            if branch.stating:
                whose = f"drives of {100 * branch.stating:.4g} % of that power"
                words = f"distortion that {whose} state; their harmonics are scaled to it"
                found.append(Given(f"T_{number}", branch.stated / branch.stating, "%", words, first.span))
        return tuple(found)

    def result(
        self, name: str, value: float, unit: str, how: Formula | Words, givens: tuple[Given, ...], note: str = ""
    ) -> Result:
        """A result of this supply."""
        question = f"distortion.{name}"
        return Result(
            f"{question} {self._supply.id}",
            question,
            self._supply.id,
            self._supply.id,
            value,
            unit,
            how,
            givens,
            _MODEL,
            note=note,
            span=self._supply.span,
        )

    def worked(self, name: str, unit: str, how: Formula, givens: tuple[Given, ...], note: str = "") -> Result:
        """A result of this supply, worked out by its formula."""
        return self.result(name, how.of(givens), unit, how, givens, note)

    def voltage(self, source: SourceImpedance, currents: dict[int, complex], harmonic: Result) -> Result:
        """Distortion of the voltage at the supply's terminals, of the supply's impedance alone."""
        drops = sum_of(
            abs(complex(source.largest.real, order * source.largest.imag) * value) ** 2
            for order, value in currents.items()
            if order > 1
        )
        givens = (
            Given("U_h", sqrt(drops), "V", "drops of the harmonics in the supply, to the 40th", result=harmonic.key),
            self.given("U", source.voltage, "V", "nominal voltage"),
        )
        return self.worked("voltage", "%", _VOLTAGE, givens)

    def voltage_of(self, source: SourceImpedance, order: int, current: complex, harmonic: Result) -> Result:
        """One harmonic of that voltage."""
        drop = abs(complex(source.largest.real, order * source.largest.imag) * current)
        givens = (
            Given("U_h", drop, "V", f"drop of the harmonic of order {order} in the supply", result=harmonic.key),
            self.given("U", source.voltage, "V", "nominal voltage"),
        )
        return self.worked(f"u{order}", "%", formula("100 * sqrt(3) * {U_h} / {U}"), givens)


def listed(givens: tuple[Given, ...]) -> str:
    """Their symbols in braces, one after the other."""
    return ", ".join(f"{{{given.symbol}}}" for given in givens)
