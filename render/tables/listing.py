"""The lists that `netdsl table` writes, by name. A module of `render/tables` decorates a function from a Drawing to a Table; what
becomes a sheet is put into the set beside it, from the same Table.
"""

from __future__ import annotations

from collections.abc import Callable

from msgspec import Struct

from netdsl.model.plant import Plant
from render.drawing import Drawing, members
from render.tables.table import Entry, Table

#: what a list is made by, asked once through `drawing.of`
Rows = Callable[[Drawing], Table]


class Listing(Struct, frozen=True):
    """A list by its `name`; `about`: what it holds, in a line; `rows`: what makes it."""

    name: str
    about: str
    rows: Rows


_FOUND: dict[str, Listing] = {}


def listing(name: str, about: str) -> Callable[[Rows], Rows]:
    """Make a function from a Drawing to a Table one of the lists, called `name`."""

    def take(rows: Rows) -> Rows:
        if name in _FOUND:
            raise ValueError(f"two lists are called {name}")
        _FOUND[name] = Listing(name, about, rows)
        return rows

    return take


def listings() -> dict[str, Listing]:
    """All lists by name, in the order of their names."""
    members()  # loads every module of lists
    return {name: _FOUND[name] for name in sorted(_FOUND)}


def function_heading(plant: Plant, function: str) -> Entry:
    """The heading of a function's rows; that of the common part where it is ""."""
    if not function:
        return Entry((), "", "Common part")
    title = plant.functions[function].title if function in plant.functions else ""
    return Entry((), function, f"{function} {title}".strip())


def place_rank(plant: Plant) -> dict[str, int]:
    """Where each place stands in the order of lists: as declared, what stands nowhere last."""
    return {name: rank for rank, name in enumerate([*plant.places, ""])}


def side_by_side(drawing: Drawing) -> int:
    """How many blocks of narrow rows stand side by side: two on a wide sheet."""
    return 1 if drawing.size == "A4" else 2
