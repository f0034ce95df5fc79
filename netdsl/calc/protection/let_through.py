"""What a short circuit lets through, and the section that this demands of a conductor by the adiabatic equation."""

from __future__ import annotations

from collections.abc import Iterable
from math import log, sqrt

from msgspec import Struct

from netdsl.calc.basis import Given, one_table
from netdsl.calc.devices import Characteristic
from netdsl.calc.protection.heating import APART_C, LIVE, SHED

#: by how much rounding alone may make a value larger than another
ROUNDING = 1 + 1e-9


class Stress(Struct, frozen=True):
    """The energy of a short circuit, A2s: `current` at the place `where` ("beginning", "middle", "end"), `time` of `device` where
    it is slow."""

    energy: Given
    current: Given
    time: Given | None
    device: Characteristic
    where: str

    def exceeds(self, other: Stress | None) -> bool:
        """Whether more is let through, by more than rounding: a fuse lets the same through at both ends of a conductor, and that
        must not decide which of them is named."""
        return other is None or self.energy.value > other.energy.value * ROUNDING


def largest(found: Iterable[Stress | None]) -> Stress | None:
    """The largest of some, of those alike the first; None where there is none."""
    most: Stress | None = None
    for each in found:
        if each is not None and each.exceeds(most):
            most = each
    return most


def demanded(stress: Stress, factor: Given, shed: tuple[Given, ...] = ()) -> tuple[str, tuple[Given, ...]]:
    """The formula of the section, mm2, that a stress demands, and what is put in; `shed`: what tells the heat that leaves the
    conductor meanwhile, which counts where the fault lasts."""
    if stress.time is not None and shed:
        givens = (stress.current, stress.time, factor, *shed, *stress.device.givens)
        return f"{{I_k}} * sqrt({{t}}) / ({{k}} * {SHED})", givens
    if stress.time is not None:
        return "{I_k} * sqrt({t}) / {k}", (stress.current, stress.time, factor, *stress.device.givens)
    return "sqrt({E}) / {k}", (stress.energy, factor, stress.current, *stress.device.givens)


def adiabatic_constant(metal: str, insulation: str, large: bool, earth_alone: bool) -> Given:
    """k of IEC 60364-5-54: for copper from its table; for aluminium by annex A from the metal's constants and the temperatures of
    the same insulation."""
    name = LIVE.get(insulation, insulation)
    live = one_table("conductors", "k_live")
    row = live["insulation"].index(name)
    table = one_table("conductors", "k_pe") if earth_alone else live
    words = f"constant of {'a separate protective conductor' if earth_alone else 'a conductor'}, {metal}, {name}"
    if metal != "Al":
        column = "k_over_300mm2" if large else "k_upto_300mm2"
        value = float(table[column][table["insulation"].index(name)])
        return Given("k", value, "A√s/mm²", words, None, table["source"], table["confidence"])
    constants = one_table("conductors", "adiabatic_constants", metal="aluminium")
    beta = constants["beta_C"]
    begin = APART_C if earth_alone else live["theta_i_C"][row]
    value = constants["K_rounded"] * sqrt(log((live["theta_f_C"][row] + beta) / (begin + beta)))
    return Given("k", value, "A√s/mm²", words, None, constants["source"], constants["confidence"])
