"""A source of fault currents: its impedance as seen from its terminals, and the results that lead to it."""

from __future__ import annotations

from math import sqrt

from msgspec import Struct

from netdsl.calc.basis import Result

STANDARD = "IEC 60909-0"
#: impedance of a transformer's windings by its rating plate
TRANSFORMER = "{u_k} / 100 * {U_r}^2 / {S_r}"
FAULT_LEVEL_REMEDY = (
    "add `fault-current=` and `earth-fault-current=` at its terminals, `resistance=` and `reactance=`, or `transformer=` with"
    " `transformer-impedance=`, or `network-power=` at its terminals"
)


class SourceImpedance(Struct, frozen=True):
    """A source as seen from its terminals, ohm of one pole: for the largest and the smallest fault current, and the return
    through earth inside the source (`earth_max`, `earth_min`), through its neutral (`neutral_max`, `neutral_min`). `voltage`:
    nominal, line to line (line to neutral of a single-phase source), V. `earthed`: a fault to earth returns through metal, and
    its return in the source is known. A single-phase source's impedance is that of both poles together."""

    largest: complex
    smallest: complex
    earth_max: complex
    earth_min: complex
    voltage: float
    phases: int
    neutral_max: complex = 0j
    neutral_min: complex = 0j
    earthed: bool = True


class Source(Struct, frozen=True):
    """An impedance and the results that lead to it, the impedance itself (`source-impedance DEVICE`) last."""

    impedance: SourceImpedance
    results: tuple[Result, ...]

    @property
    def key(self) -> str:
        """Key of the result that gives the impedance for the largest current."""
        return self.results[-1].key


def direction(resistance: float, impedance: float) -> complex:
    """Resistance and reactance of an impedance over its amount: of a transformer's windings, both in percent of its rating.
    Losses beyond the impedance count as no more than that."""
    real = min(resistance / impedance, 1.0)
    return complex(real, sqrt(1 - real**2))
