"""Conductors in series as a sheet lists them: those alike together, with what their resistance comes from."""

from __future__ import annotations

from collections.abc import Callable

from msgspec.structs import replace

from netdsl.calc.basis import Calculation, Given, Input
from netdsl.calc.circuit import OPERATING_C, Circuit, Lead, in_service


def in_series(calculation: Calculation, conductors: tuple[str, ...], mark: Callable[[Input], str]) -> str:
    """`2 of 1.5 mm², 24 m, 12.1 Ω/km [4], 70 °C [5]; 5 of 0.75 mm², 2 m, ...`; "" without conductors. `mark` gives the number
    of a source."""
    alike: dict[tuple[Input, ...], int] = {}
    for name in conductors:
        values = tuple(replace(given, words="", span=None) for given in _values(calculation, name))
        alike[values] = alike.get(values, 0) + 1
    texts = (", ".join(f"{value.shown} {mark(value)}".strip() for value in values) for values in alike)
    return "; ".join(f"{count} of {text}" for count, text in zip(alike.values(), texts, strict=True))


def _values(calculation: Calculation, name: str) -> tuple[Input, ...]:
    """Section, length, resistance per length and temperature of a conductor; what it does not state as the project assumes it."""
    leads, run = calculation.of(Circuit).leads, calculation.network.runs[name]
    lead = leads.of(name)
    if isinstance(lead, Lead):
        givens = leads.givens(lead)
        return givens if lead.stated else (*givens, in_service(lead.operating_c))
    settings = calculation.settings
    section = Given("S", run.section_mm2, "mm²") if run.section_mm2 else settings.given("control-wire-section", "S")
    length = Given("L", run.length_m, "m") if run.length_m is not None else settings.given("control-wire-length", "L")
    figure = leads.ohm_per_km(section.value, leads.fine(run.conductor))
    per_length = Given("r20", figure.value, "Ω/km", "", None, figure.source, figure.confidence)
    return section, length, per_length, in_service(OPERATING_C[leads.insulation(run.conductor)])
