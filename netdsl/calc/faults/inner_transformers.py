"""Transformers inside the plant as sources of their secondary circuits: their own impedance behind that of the primary side."""

from __future__ import annotations

from netdsl.calc.basis import Calculation, Formula, Gap, Given, Result, amount, rating
from netdsl.calc.circuit import Circuit
from netdsl.calc.faults.source import STANDARD, TRANSFORMER, Source, SourceImpedance, direction
from netdsl.model.kinds import PROTECTIVE
from netdsl.model.plant import Device
from netdsl.network.search import walk

_WINDING = Formula(TRANSFORMER)
_TOGETHER = Formula("sqrt(({R_T} + {R_1})^2 + ({X_T} + {X_1})^2)")


def secondary_volts(transformer: Device) -> float | None:
    """Voltage of the secondary, V: that of its first alternating source; None where none is stated."""
    stated = (source.voltage for source in transformer.sources if source.voltage_kind == "ac")
    return next((volts.value for volts in stated if volts is not None), None)


def inner_source(
    calculation: Calculation, transformer: Device, primary: tuple[complex, complex] | None, key: str
) -> Source | None:
    """The secondary of a transformer as a source of two poles.

    `primary`: what a current through the primary passes, there and back, ohm, for the largest and the smallest current; None:
    not known. `key`: the result of the primary side. None where the netlist does not say enough; that is noted where a
    protective device stands behind the transformer.
    """
    volts, rated, power = secondary_volts(transformer), amount(transformer, "voltage"), amount(transformer, "apparent-power")
    percent = amount(transformer, "short-circuit-voltage")
    if not volts or not rated or not power or primary is None:
        return None
    if not percent:
        _note_missing(calculation, transformer)
        return None
    losses = amount(transformer, "losses")
    if losses:
        calculation.settings.assume(
            "inner-transformer-losses",
            "the stated losses of a transformer inside the plant are those of its windings at rated load",
            STANDARD,
            "common practice",
        )
    winding = _result(
        calculation,
        transformer,
        "transformer-impedance",
        _WINDING,
        (
            rating(transformer, "short-circuit-voltage", "u_k", "%"),
            Given("U_r", volts, "V", "secondary voltage", transformer.span),
            rating(transformer, "apparent-power", "S_r", "VA"),
        ),
    )
    own = winding.value * direction(100 * (losses or 0.0) / power, percent)
    scale = (volts / rated) ** 2
    before, (largest, smallest) = primary[0] * scale, (own + z * scale for z in primary)
    words = "of the primary side, referred to the secondary"
    total = _result(
        calculation,
        transformer,
        "source-impedance",
        _TOGETHER,
        (
            Given("R_T", own.real, "Ω", "resistance of the transformer", result=winding.key),
            Given("X_T", own.imag, "Ω", "reactance of the transformer", result=winding.key),
            Given("R_1", before.real, "Ω", f"resistance {words}", result=key),
            Given("X_1", before.imag, "Ω", f"reactance {words}", result=key),
        ),
    )
    return Source(SourceImpedance(largest, smallest, 0j, 0j, volts, 1, earthed=False), (winding, total))


def _result(calculation: Calculation, transformer: Device, question: str, how: Formula, givens: tuple[Given, ...]) -> Result:
    return Result.worked(
        question,
        transformer.id,
        calculation.of(Circuit).feeder(transformer.id),
        how,
        "Ω",
        givens,
        STANDARD,
        span=transformer.span,
    )


def _note_missing(calculation: Calculation, transformer: Device) -> None:
    circuit = calculation.of(Circuit)
    if any(calculation.plant.devices[device].kind in PROTECTIVE for device in _behind(calculation, transformer.id)):
        calculation.gaps.note(
            Gap(
                circuit.feeder(transformer.id),
                "short-circuit voltage",
                (transformer.id,),
                ("fault currents behind the transformer",),
                transformer.span,
                "add `short-circuit-voltage=` to the transformer",
            )
        )


def _behind(calculation: Calculation, start: str) -> set[str]:
    """Devices that a transformer feeds, at first and further hand."""
    out_of = calculation.of(Circuit).out_of
    return set(walk((start,), lambda device: (step.fed for step in out_of.get(device, ())))) - {start}
