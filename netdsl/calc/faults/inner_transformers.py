"""Transformers inside the plant as sources of their secondary circuits: their own impedance behind that of the primary side."""

from __future__ import annotations

from math import sqrt

from netdsl.calc.basis import Calculation, Gap, Given, Result, amount, rating
from netdsl.calc.circuit import Circuit
from netdsl.calc.faults.source import STANDARD, Source, SourceImpedance
from netdsl.model.kinds import PROTECTIVE
from netdsl.model.plant import Device
from netdsl.network.search import walk


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
    base = volts**2 / power
    resistance = min((amount(transformer, "losses") or 0.0) / power, percent / 100)
    if resistance:
        calculation.settings.assume(
            "inner-transformer-losses",
            "the stated losses of a transformer inside the plant are those of its windings at rated load",
            STANDARD,
            "common practice",
        )
    own = complex(resistance, sqrt((percent / 100) ** 2 - resistance**2)) * base
    scale = (volts / rated) ** 2
    largest, smallest = (own + z * scale for z in primary)
    before = abs(primary[0] * scale)
    givens = (
        rating(transformer, "short-circuit-voltage", "u_k", "%"),
        Given("U_2", volts, "V", "secondary voltage", transformer.span),
        rating(transformer, "apparent-power", "S_r", "VA"),
        Given("Z_1", before, "Ω", "primary side, referred to the secondary", result=key),
    )
    feeder = calculation.of(Circuit).feeder(transformer.id)
    result = Result(
        f"source-impedance {transformer.id}",
        "source-impedance",
        transformer.id,
        feeder,
        abs(largest),
        "Ω",
        "{u_k} / 100 * {U_2}^2 / {S_r} + {Z_1}",
        givens,
        STANDARD,
        note="added with their angles",
        span=transformer.span,
    )
    return Source(SourceImpedance(largest, smallest, 0j, 0j, volts, 1, earthed=False), (result,))


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
