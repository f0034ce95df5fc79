"""Reading a list of motors: comma, semicolon or tab separated, one motor a line, every fault a finding."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from msgspec import Struct

from netdsl.findings import Finding, Source
from netdsl.starting.cell_values import (
    Reader,
    designation_of,
    length_of,
    place_of,
    power_of,
    way_of,
    winding_of,
    words_of,
)
from netdsl.starting.columns import Kind, cells_of, columns_of, rows_within, whole_row
from netdsl.starting.practice import Way, practice, ways
from netdsl.starting.reach import brake_within_reach, quantity_of, within_reach
from netdsl.starting.table import Cell

#: motors of a list; three thousand make a draft in a minute
MAX_MOTORS = 3000


class Motor(Struct, frozen=True):
    """One line of the list. `power_w`: in W; `winding`: 400/690V or 230/400V; `way`: one of `ways()`; `length_m`: of the motor
    cable, m; `place`: designation without `+`, `place_title` its words; `assumed`: column and words of what the line leaves
    open; `panel`: words of the panel that feeds it, "" where the list names none; `quantity`: motors on its drive."""

    designation: str
    description: str
    power_w: float
    winding: str
    way: str
    length_m: float
    place: str
    place_title: str
    assumed: tuple[tuple[str, str], ...] = ()
    panel: str = ""
    quantity: int = 1

    @property
    def running(self) -> Way:
        """What its way of running means."""
        return ways()[self.way]

    def leaves_open(self, column: str) -> bool:
        """Whether the list leaves a column of this motor open."""
        return column in dict(self.assumed)


def read_motor_list(text: str, path: str) -> tuple[tuple[Motor, ...], tuple[Finding, ...]]:
    """The motors of a list and everything that is wrong with it, in order of its lines; notes stop nothing."""
    source = Source(path, text.removeprefix("\ufeff"))
    reader = Reader(source)
    rows = rows_within(reader, _kind())
    if rows is None:
        return (), tuple(reader.findings)
    columns = columns_of(reader, rows[0], _kind())
    motors = [motor for row in rows[1:] if columns and (motor := _motor(reader, row, columns))]
    if columns and len(rows) == 1:
        reader.fault("motor-list", whole_row(rows[0]), "the list holds a heading and no motor", "add one line for each motor")
    return tuple(motors), tuple(reader.findings)


def columns_known() -> Mapping[str, list[str]]:
    """The columns, each with the spellings of its heading."""
    found: Mapping[str, list[str]] = practice()["columns"]
    return found


def _kind() -> Kind:
    return Kind("motor list", columns_known(), ("designation", "power", "way of running"), MAX_MOTORS, "motor")


def _motor(reader: Reader, row: tuple[Cell, ...], columns: list[str]) -> Motor | None:
    """The motor of a line; None where it has a fault."""
    before, assumed = reader.errors, dict[str, str]()
    if (cell := cells_of(reader, row, columns, _kind())) is None:
        return None
    designation = designation_of(reader, cell["designation"])
    way = way_of(reader, cell["way of running"])
    watts = power_of(reader, cell["power"], way, assumed)
    quantity = quantity_of(reader, cell["quantity"], way, assumed)
    winding = winding_of(reader, cell["voltage"], watts, way, assumed)
    length = length_of(reader, cell["cable length"], assumed)
    place, title = place_of(reader, cell["place"], assumed)
    within_reach(reader, cell["power"], way, watts, quantity)
    brake_within_reach(reader, cell["cable length"], way, watts, length)
    if reader.errors != before:
        return None
    description = words_of(cell["description"]) or designation
    panel = words_of(cell["panel"])
    return Motor(designation, description, watts, winding, way, length, place, title, tuple(assumed.items()), panel, quantity)


def assumptions(motors: tuple[Motor, ...]) -> Iterator[str]:
    """What the list leaves open, one sentence each kind, with the motors."""
    by_kind: dict[str, list[str]] = {}
    for motor in motors:
        for _, what in motor.assumed:
            by_kind.setdefault(what, []).append(f"={motor.designation}")
    for what, names in by_kind.items():
        yield f"{what} of {', '.join(names)}"
