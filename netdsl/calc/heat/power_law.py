"""Rise of temperature in an enclosure without forced air by the power law of IEC TR 60890, at half height and at the top."""

from __future__ import annotations

from typing import NamedTuple

from netdsl.calc.basis import Calculation, Given, between, one_table, single
from netdsl.calc.heat.surroundings import Surroundings
from netdsl.model.plant import Place

SOURCE = "IEC TR 60890, power law for enclosures without ventilation"
#: temperatures at half height and at the top, and the losses with which the top reaches a limit
MIDDLE = "{T_a} + {k} * {d} * {P}^{x}"
TOP = "{T_a} + {c} * {k} * {d} * {P}^{x}"
SHED = "(({T_max} - {T_a}) / ({c} * {k} * {d}))^(1 / {x})"
#: effective cooling surface up to which an enclosure counts as small, m2
SMALL_M2 = 1.25


class PowerLaw(NamedTuple):
    """What the method takes for one enclosure: enclosure constant `k`, factor of partitions `d`, distribution factor `c`,
    exponent `x`."""

    k: Given
    d: Given
    c: Given
    x: Given


def power_law(calculation: Calculation, place: Place, surface: Given) -> PowerLaw | None:
    """The values for an enclosure of a surface, m2; None where its size is not stated, or is beyond the tables of the method."""
    size = place.attributes.quantity("size")
    if size is None or len(size.values) != 3:
        return None
    width, height, depth = size.values
    if surface.value > SMALL_M2:
        column = _COLUMNS[calculation.of(Surroundings).word(place, "mounting", "against-wall")]
        shape, file, shown = height**1.35 / (width * depth), "distribution", "f = h^1.35 / A_b"
    else:
        column, shape, file, shown = "c", height / width, "distribution_small", "g = h / w"
    k, c = between(one_table("thermal", "enclosure_constant"), "surface_m2", surface.value, "k"), None
    table = one_table("thermal", file)
    least, most = table["shape"][0], table["shape"][-1]
    if shape <= most:
        c = between(table, "shape", max(shape, least), column)
    parts = _partitions(calculation, place)
    if k is None or c is None:
        return None
    exponent = single(one_table("thermal", "power_law"), "exponent")
    return PowerLaw(
        Given("k", k.value, "", f"enclosure constant at {surface.value:.3g} m²", None, k.source, k.confidence),
        parts,
        Given("c", c.value, "", f"distribution factor at {shown} = {shape:.3g}", None, c.source, c.confidence),
        Given("x", exponent.value, "", "exponent without ventilation openings", None, exponent.source, exponent.confidence),
    )


def _partitions(calculation: Calculation, place: Place) -> Given:
    """The factor of horizontal partitions: of as many as the place states, else none."""
    own = place.attributes.amount("partitions")
    if own is None:
        words = "enclosures that do not say `partitions`: no horizontal ones inside"
        calculation.settings.assume("partitions", words, "common practice", "common practice")
    table = one_table("thermal", "partition_factor")
    number = min(int(own or 0), len(table["d"]) - 1)
    words = f"{number} horizontal partitions"
    return Given("d", table["d"][number], "", words, place.span if own else None, str(table["source"]), str(table["confidence"]))


#: the column of the distribution factor by how an enclosure stands
_COLUMNS = {
    "free": "c_1",
    "row-end": "c_2",
    "against-wall": "c_3",
    "row-middle": "c_3",
    "row-end-against-wall": "c_4",
    "row-middle-against-wall": "c_5",
    "row-middle-covered": "c_5",
}
