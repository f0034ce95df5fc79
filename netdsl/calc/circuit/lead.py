"""The impedance of a conductor, and of several in parallel."""

from __future__ import annotations

from collections.abc import Iterable
from functools import cache
from typing import NamedTuple

from msgspec import Struct

from netdsl.calc.basis import Given
from netdsl.sums import sum_of

#: operating temperature of the conductor by insulation, °C (IEC 60364-5-52, table 52.1)
OPERATING_C = {"PVC": 70.0, "XLPE": 90.0, "EPR": 90.0}
#: ohm: of cold conductors, in service, at the end of a fault
Impedances = tuple[complex, complex, complex]


class Lead(Struct, frozen=True):
    """One conductor, or one core of all cables laid in parallel under one name.

    `r20`: resistance, ohm, at 20 °C; `x`: reactance, ohm, at the supply's frequency; both of all `parallel` ones together.
    `stated`: the netlist gives the impedance, as in service: no correction for temperature. `operating_c`: temperature of the
    conductor in service, °C. `alpha`: temperature coefficient, 1/K. `fine`: IEC 60228 class 5, else class 2.
    """

    conductor: str
    section_mm2: float | None
    length_m: float | None
    parallel: int
    material: str
    insulation: str
    fine: bool
    r20: float
    x: float
    stated: bool
    operating_c: float
    alpha: float

    def at(self, celsius: float | None) -> complex:
        """Impedance, ohm, with the conductor at `celsius`; None: at its operating temperature."""
        if self.stated:
            return complex(self.r20, self.x)
        warm = self.operating_c if celsius is None else celsius
        return complex(self.r20 * (1 + self.alpha * (warm - 20)), self.x)


class Missing(NamedTuple):
    """What the impedance of a conductor lacks: `kind` is "length" or "section"."""

    conductor: str
    kind: str


def in_parallel(impedances: Iterable[complex]) -> complex:
    """Impedance of several in parallel, ohm; 0 where one of them is 0 or there is none."""
    found = list(impedances)
    if len(found) == 1:
        return found[0]
    if not found or any(z == 0 for z in found):
        return 0j
    return 1 / sum_of(1 / z for z in found)


@cache
def in_service(celsius: float) -> Given:
    """Temperature of a conductor in service as a value to put in."""
    source = "IEC 60364-5-52, conductor temperature of the tables of annex B"
    return Given("T", celsius, "°C", "temperature of the conductor in service", None, source, "verified")
