"""How protective devices act: rated and conventional currents, time against current, what they let through and break."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from netdsl.calc.results import Given

if TYPE_CHECKING:
    from netdsl.calc.calculation import Calculation


@dataclass(frozen=True, slots=True)
class Characteristic:
    """A protective device as the calculation sees it.

    `device`: its id, or that of the supply whose `upstream` it is. `kind`: "breaker" (IEC 60898-1 or 60947-2), "fuse",
    "motor-breaker", "overload", "residual-device". `curve`: B, C, D, gG, aR or "". `rated_a`: rated current; `set_a`: the current
    its overload release is set to (rated where it has no setting); `tripping_a`: conventional tripping current I2;
    `instantaneous_a`: lower and upper end of the instantaneous band, None without one; `breaking_a`: rated breaking
    capacity; `overload`, `short_circuit`: whether it protects against that; `residual_a`: rated residual current. Each None if unknown.
    `givens`: where these come from.
    """

    device: str
    kind: str
    curve: str
    rated_a: float | None
    set_a: float | None
    tripping_a: float | None
    instantaneous_a: tuple[float, float] | None
    breaking_a: float | None
    overload: bool
    short_circuit: bool
    residual_a: float | None = None
    givens: tuple[Given, ...] = ()


class Characteristics:
    """Characteristics by device."""

    def __init__(self, calculation: Calculation) -> None:
        self._calculation = calculation

    def of(self, device: str) -> Characteristic | None:
        """The characteristic of a protective device; None for any other, or where its rating is not stated."""
        return None

    def upstream(self, supply: str) -> Characteristic | None:
        """What the `upstream` of a supply says (`fuse-gG-125A`, `mcb-C-32A`, `mccb-160A`); None without one."""
        return None

    def current_for(self, device: Characteristic, seconds: float) -> Given | None:
        """The current, A, at which a device is certain to have operated within `seconds`; None where nothing says so."""
        return None

    def time_for(self, device: Characteristic, amps: float) -> float | None:
        """The longest time, s, that a device takes at a current; None where nothing says so."""
        return None

    def let_through(self, device: Characteristic, amps: float) -> Given | None:
        """Energy per ohm, A2s, that a device lets through at a prospective current; None where nothing says so."""
        return None
