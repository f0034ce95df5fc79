"""The row of a circuit on the first sheet of the calculation."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from netdsl.calc.basis import Result, figure_text
from netdsl.calc.sheet import CircuitRow, margin_text, selectivity_word, title
from render.sheet import DESIGNATION
from render.tables.table import Cell, Column

CIRCUITS = (
    Column("circuit", DESIGNATION, 34.0, 16.0),
    Column("what it is", most=40.0, least=22.0),
    Column("load", most=20.0, least=14.0),
    Column("device", most=40.0, least=24.0),
    Column("conductor", most=46.0, least=26.0),
    Column("Iz", most=20.0, least=14.0),
    Column("voltage drop", most=24.0, least=18.0),
    Column("Ik max", most=20.0, least=15.0),
    Column("Ik min", most=20.0, least=15.0),
    Column("disconnection", most=30.0, least=20.0),
    Column("selectivity", most=24.0, least=18.0),
    Column("margin", most=24.0, least=14.0),
    Column("margin of", most=60.0, least=30.0),
)
#: on a sheet too narrow for that: what belongs together below each other
CIRCUITS_NARROW = (
    Column("circuit", DESIGNATION, 30.0, 16.0),
    Column("device, conductor", most=46.0, least=30.0),
    Column("load, Iz", most=22.0, least=16.0),
    Column("voltage drop", most=24.0, least=18.0),
    Column("Ik max, min", most=22.0, least=18.0),
    Column("disconnection", most=28.0, least=20.0),
    Column("selectivity", most=24.0, least=18.0),
    Column("margin", most=24.0, least=14.0),
    Column("margin of", most=60.0, least=30.0, below=True),
)


def circuit_cells(
    row: CircuitRow, where: Mapping[str, str], sheet_of: Callable[[str], str], narrow: bool = False
) -> tuple[Cell, ...]:
    """The cells of a circuit: its name leads to the single line, each figure to its derivation."""

    def cell(result: Result | None, text: str) -> Cell:
        return Cell(
            text, link=where.get(result.key, "") if result is not None else "", bold=result is not None and not result.holds
        )

    worst = row.worst
    of = f"{title(worst.question)}, {worst.subject}" if worst is not None else "nothing: no limit is computed"
    of += f"; not computed: {', '.join(row.missing)}" if row.missing else ""
    of += f"; not judged: {row.left}" if row.left else ""
    last = (
        cell(row.disconnection, _of_limit(row.disconnection)),
        cell(row.selectivity, selectivity_word(row.selectivity) if row.selectivity is not None else ""),
        cell(worst, margin_text(worst) if worst is not None else ""),
        cell(worst, of),
    )
    name = Cell(row.circuit, row.circuit, sheet_of(row.circuit))
    load, capacity, most, least = (
        each.shown if each is not None else "" for each in (row.load, row.capacity, row.largest, row.smallest)
    )
    if narrow:
        return (
            name,
            Cell("\n".join(text for text in (row.device, row.conductor) if text)),
            cell(row.capacity, f"{load or '-'}\n{capacity or '-'}"),
            cell(row.drop, _of_limit(row.drop)),
            cell(row.largest, f"{most or '-'}\n{least or '-'}"),
            *last,
        )
    return (
        name,
        Cell(row.title),
        cell(row.load, load),
        Cell(row.device, link=sheet_of(row.device.partition(" (")[0])),
        Cell(row.conductor),
        cell(row.capacity, capacity),
        cell(row.drop, _of_limit(row.drop)),
        cell(row.largest, most),
        cell(row.smallest, least),
        *last,
    )


def _of_limit(result: Result | None) -> str:
    """`0.56 of 0.874 Ω`: the value and the most it may be."""
    if result is None:
        return ""
    return (
        f"{figure_text(result.value)} of {figure_text(result.limit)} {result.unit}" if result.limit is not None else result.shown
    )
