"""Blocks of terminals on a sheet too narrow for both of their sides: what lands from inside and what from the field, apart."""

from __future__ import annotations

from collections.abc import Sequence
from collections.abc import Set as AbstractSet

from msgspec.structs import replace

from render.drawings.terminal_block import Block, Group, Row
from render.drawings.terminal_pages import too_wide
from render.layout.fonts import Box

#: the halves; of a block on which cables alone land, its sides
INSIDE, FIELD, LEFT, RIGHT = "inside", "field", "left", "right"


def fitting(blocks: Sequence[Block], wide: AbstractSet[str]) -> list[Block]:
    """`blocks` as they fit the width of a sheet: as they are, or each in halves, one below the other, where one is too `wide`."""
    if not any(block.id in wide for block in blocks):
        return list(blocks)
    halves = (_half(block, name) for block in blocks for name in (INSIDE, FIELD))
    return [half for half in halves if half is not None]


def is_wide(block: Block, area: Box) -> bool:
    """Whether a block has something on both sides, and is too wide for the area."""
    return any(row.left for row in block.rows) and any(row.right for row in block.rows) and too_wide(block, area)


def _half(block: Block, name: str) -> Block | None:
    """One half of a block; None where nothing lands there that the other half would not show.

    The first half is of a strip, and of what has bridges, all of it with these, of a device all on which nothing lands from the
    other side; the second has the terminals on which something lands from there."""
    kept = (0 if block.field == "left" else 1) if name == FIELD else (1 if block.field == "left" else 0)
    here = [(row.left, row.right)[kept] is not None for row in block.rows]
    there = [(row.left, row.right)[1 - kept] is not None for row in block.rows]
    if not any(here) and (name == INSIDE or any(there)):
        return None
    first = name == INSIDE or not any(there)
    landed, others = _terminals(block, here), _terminals(block, there)
    shown = [row.terminal for row in block.rows if (first and (_whole(block) or row.terminal not in others))]
    kept_terminals = _levels(block, landed | set(shown))
    rows, places = _rows(block, kept, here, kept_terminals)
    groups = tuple(replace(each, first=places[each.first], last=places[each.last]) for each in block.groups[kept])
    nothing: tuple[Group, ...] = ()
    return replace(
        block,
        rows=rows,
        points={terminal: point for terminal, point in block.points.items() if terminal in kept_terminals},
        groups=(nothing, groups) if kept else (groups, nothing),
        bridges=block.bridges if first else (),
        notes=block.notes if first else (),
        half=_called(block, name) if any(there) else "",
        other=_said(block, name, first) if any(there) else "",
    )


def _whole(block: Block) -> bool:
    """Whether the first half of a block shows all of its terminals."""
    return block.strip or bool(block.bridges)


def _terminals(block: Block, lands: Sequence[bool]) -> set[str]:
    """The terminals of rows on which something `lands`."""
    return {row.terminal for row, landing in zip(block.rows, lands, strict=True) if landing}


def _levels(block: Block, terminals: AbstractSet[str]) -> AbstractSet[str]:
    """`terminals` with the other levels of each."""
    bases = {block.points[name].base for name in terminals} - {""}
    return terminals | {name for name, point in block.points.items() if point.base in bases}


def _rows(block: Block, kept: int, lands: Sequence[bool], terminals: AbstractSet[str]) -> tuple[tuple[Row, ...], dict[int, int]]:
    """The rows of `terminals` with their side `kept`, and where each row of the block stands among them."""
    places: dict[int, int] = {}
    rows: list[Row] = []
    apart = False
    for index, row in enumerate(block.rows):
        if row.terminal not in terminals:
            apart = bool(rows)
        elif row.first or lands[index]:
            places[index] = len(rows)
            left, right = (None, row.right) if kept else (row.left, None)
            rows.append(Row(row.terminal, row.first, left, right, apart))
            apart = False
    return tuple(rows), places


def _called(block: Block, name: str) -> str:
    """What a half is called: where no wire lands from inside, the side that it is."""
    inner = 1 if block.field == "left" else 0
    entries = [entry for row in block.rows if (entry := (row.left, row.right)[inner]) is not None]
    if any(not entry.cable for entry in entries):
        return name
    return LEFT if (name == INSIDE) == (inner == 0) else RIGHT


_PLACES = {INSIDE: "from inside", FIELD: "from the field", LEFT: "on the left", RIGHT: "on the right"}


def _said(block: Block, name: str, first: bool) -> str:
    """What a half shows, and what the other one, before where that is."""
    here, there = (_PLACES[_called(block, each)] for each in (name, FIELD if name == INSIDE else INSIDE))
    rest = f"what lands {there}" if first else "bridges and all terminals" if _whole(block) else "the other terminals"
    return f"Here what lands {here}; {rest}:"
