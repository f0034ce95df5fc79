"""What rows of a strip and terminals of a part say of their clamps."""

from __future__ import annotations

from msgspec.structs import replace

from netdsl.model.here import Here
from netdsl.model.measures import Amount, Measure
from netdsl.model.part_type import Clamp
from netdsl.model.usual_measures import COUNT, RANGE
from netdsl.model.value_kinds import ValueKind
from netdsl.quantities import Quantity
from netdsl.syntax.written import Attr


class Conductors(ValueKind[int]):
    """How many conductors a clamp takes: one at least."""

    manual = "a whole number"

    def read(self, attr: Attr, here: Here) -> int | None:
        quantity = COUNT.read(attr, here)
        return None if quantity is None else int(quantity.value)


class Bounds(ValueKind[tuple[float, float]], eq=False):
    """A value or a range, as its two ends in the base unit."""

    of: Measure

    @property
    def manual(self) -> str:
        return f"{self.of.manual} or a range"

    def read(self, attr: Attr, here: Here) -> tuple[float, float] | None:
        quantity = self.of.read(attr, here)
        return None if quantity is None else (quantity.value, quantity.last)


CONDUCTORS = Conductors()
TORQUE = Bounds(Measure("torque", positive=True, forms=RANGE))
STRIPPING = Amount(Measure("length", positive=True))


def fitted(clamp: Clamp, conductors: int | None, torque_nm: tuple[float, float] | None, strip_m: float | None) -> Clamp:
    """`clamp` with what is stated in place of what it has; torque in N m, length to be stripped in m."""
    return replace(
        clamp,
        conductors=clamp.conductors if conductors is None else conductors,
        torque_nm=clamp.torque_nm if torque_nm is None else torque_nm,
        strip_m=clamp.strip_m if strip_m is None else strip_m,
    )


def section_range(quantity: Quantity) -> tuple[float, float]:
    """Least and largest section, mm², that a clamp takes: `0.75..16mm2`, or `16mm2`, which takes anything thinner too."""
    return (quantity.value if quantity.form == "range" else 0.0, quantity.last)
