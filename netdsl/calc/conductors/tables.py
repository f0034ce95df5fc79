"""Tables of current-carrying capacity and its factors, for lookup by what a conductor is and how it is laid."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from functools import cache
from typing import Any, NamedTuple

from netdsl.calc.basis import Figure, at_or_above, between, exactly, figure, one_table, standard, tables

#: the table of an insulation: EPR is rated as XLPE is
_LIKE = {"PVC": "PVC", "XLPE": "XLPE", "EPR": "XLPE"}
#: row of the grouping factors: bunched, single layer on a surface, on perforated tray, on ladder
BUNCHED, SURFACE, PERFORATED, LADDER = 1, 2, 4, 5
#: what is laid in the ground
GROUND = "D"
#: sections up to which the machinery standard's table is used for everything, mm²: the other begins here
SMALLEST_MM2 = 1.5


class Base(NamedTuple):
    """A table value: `figure` in A; `machine`: of IEC 60204-1 table 6, whose reference is 40 °C, else 30 °C (20 °C in the
    ground); `loaded`: conductors that carry current in that table, 2 or 3; `metal`: what it is for."""

    figure: Figure
    machine: bool
    loaded: int = 3
    metal: str = "Cu"


class Harmonic(NamedTuple):
    """Row of the harmonic factors: `basis` "line" or "neutral"; `capacity`: what the line's capacity is multiplied by; where the
    neutral decides, its factor over three times the share of the third harmonic."""

    figure: Figure
    basis: str
    capacity: float


@cache
def base(method: str, insulation: str, section_mm2: float, machine: bool, loaded: int = 3, metal: str = "Cu") -> Base | None:
    """Capacity, A, of a conductor of which `loaded` carry current; None where the tables have no such row.

    `machine`: the machinery standard's table where it has the insulation and section, else that for buildings. Where only three
    loaded conductors are tabled, two bear at least as much. Where aluminium is not, the row of copper is given.
    """
    if (machine and insulation == "PVC") or section_mm2 < SMALLEST_MM2:
        found = _of(tables("conductors", "machine_ampacity"), method, section_mm2)
        if found is None and section_mm2 < SMALLEST_MM2:
            found = _of(tables("installation", "machine_small"), "B2", section_mm2)
        if found is not None:
            return Base(found, True)
    known = [
        table
        for table in (*tables("conductors", "ampacity"), *tables("installation", "ampacity"))
        if table["insulation"] == _LIKE.get(insulation)
    ]
    for kind, count in dict.fromkeys(((metal, loaded), (metal, 3), ("Cu", loaded), ("Cu", 3))):
        rows = (table for table in known if (table.get("metal", "Cu"), table["loaded"]) == (kind, count))
        found = _of(rows, "D1" if method == GROUND else method, section_mm2)
        if found is not None:
            return Base(found, False, count, kind)
    return None


def _of(rows: Iterable[Mapping[str, Any]], method: str, section_mm2: float) -> Figure | None:
    """The capacity of a section by a method; a method may have several tables, one section in one of them."""
    known = (exactly(table, "section_mm2", section_mm2, "amps") for table in rows if table["method"] == method)
    return next((found for found in known if found is not None), None)


@cache
def ambient(insulation: str, celsius: float, machine: bool, ground: bool = False) -> Figure | None:
    """Factor of the temperature of the air or of the ground, in a straight line between the rows, that of the first row below
    it; None above."""
    name = "machine_ambient_factor" if machine else "ambient_factor"
    kind = "PVC" if machine else _LIKE.get(insulation)
    known = tables("installation", "ground_factor") if ground else tables("conductors", name)
    table = next(table for table in known if table["insulation"] == kind)
    if celsius < table["ambient_C"][0]:
        return figure(table, "factor", 0)
    return between(table, "ambient_C", celsius, "factor")


@cache
def grouping(item: int, circuits: int, method: str, machine: bool) -> Figure | None:
    """Factor of `circuits` loaded side by side; None where so many lie bunched that no table says.

    The machinery standard gives 2, 4, 6 and 9 circuits; the rows between are those of the building's table, which agree.
    """
    if method.startswith(GROUND):
        table = next(table for table in tables("installation", "ground_grouping") if method in table["methods"])
        return at_or_above(table, "circuits", circuits, "factor")
    row = BUNCHED if method[0] in "AB" else item
    if machine and circuits in (2, 4, 6, 9):
        like = {BUNCHED: "B1", SURFACE: "C"}.get(row, "E")
        table = next(table for table in tables("conductors", "machine_grouping_factor") if like in table["methods"])
        return exactly(table, "circuits", circuits, "factor")
    table = next(table for table in tables("conductors", "grouping_factor") if table["item"] == row)
    found = at_or_above(table, "circuits", circuits, "factor")
    return found if found is not None or row == BUNCHED else figure(table, "factor", len(table["factor"]) - 1)


@cache
def harmonic(percent: float) -> Harmonic:
    """Factor for a loaded neutral in a cable of four or five cores; `percent`: third harmonic of the line current."""
    table = one_table("conductors", "harmonic_factor")
    upto: list[float] = table["h3_percent_upto"]
    index = next((n for n, limit in enumerate(upto) if percent <= limit), len(upto) - 1)
    found, basis = figure(table, "factor", index), str(table["basis"][index])
    return Harmonic(found, basis, found.value / (3 * percent / 100) if basis == "neutral" else found.value)


def aluminium() -> Figure:
    """Capacity of aluminium over that of copper."""
    table = standard("installation")["aluminium"]
    return Figure(table["factor"], table["source"], table["confidence"])


def route_method(kind: str, single: bool) -> str:
    """Installation method in a route of this kind, "" where it is not certain. `single`: wires, cables of one core."""
    found: Mapping[str, Any] = standard("installation")["route_method"]
    return str(found[kind][1 if single else 0]) if kind in found else ""


def route_grouping(kind: str) -> int:
    """Row of the grouping factors for what lies in a route of this kind."""
    return int(standard("installation")["route_grouping"][kind])
