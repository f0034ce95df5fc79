"""Blocks of terminals on a sheet too narrow for both of their sides: what lands from inside and what from the field, apart."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from collections.abc import Set as AbstractSet

from msgspec.structs import replace

from render.drawings.terminal_block import Block, Group, Row
from render.drawings.terminal_pages import too_wide
from render.layout.fonts import Box

#: what the sheets of a half are called: in titles, and in keys and numbers
INSIDE, FIELD = "inside", "field"


def fitting(blocks: list[Block], area: Box) -> Iterator[tuple[str, list[Block]]]:
    """`blocks` as they fit the width of the area: together; else in halves, and of a half those together that fit. Each with what
    its sheets are called for it, "" where they show all."""
    if not too_wide(blocks, area):
        yield "", blocks
        return
    for name, half in _halves(blocks):
        runs: list[list[Block]] = []
        for block in half:
            if runs and not too_wide([*runs[-1], block], area):
                runs[-1].append(block)
            else:
                runs.append([block])
        for run in runs:
            yield (name if len(runs) == 1 else f"{name}-{run[0].id.rpartition('-')[2].lstrip('+')}"), run


def _halves(blocks: Sequence[Block]) -> list[tuple[str, list[Block]]]:
    """`blocks` with what lands on them from inside, then with what lands from the field."""
    found = []
    for name in (INSIDE, FIELD):
        shown = [half for block in blocks if (half := _half(block, name)) is not None]
        if shown:
            found.append((name, shown))
    return found


def _half(block: Block, name: str) -> Block | None:
    """One half of a block; None where nothing lands there that the other half would not show.

    The first half is of a strip all of it with its bridges, of a device all on which nothing lands from the other side; the
    second has the terminals on which something lands from there."""
    kept = (0 if block.field == "left" else 1) if name == FIELD else (1 if block.field == "left" else 0)
    here = [(row.left, row.right)[kept] is not None for row in block.rows]
    there = [(row.left, row.right)[1 - kept] is not None for row in block.rows]
    if not any(here) and (name == INSIDE or any(there)):
        return None
    first = name == INSIDE or not any(there)
    landed, others = _terminals(block, here), _terminals(block, there)
    shown = [row.terminal for row in block.rows if (first and (block.strip or row.terminal not in others))]
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
        half=name,
        other=_said(block, name, first) if any(there) else "",
    )


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


def _said(block: Block, name: str, first: bool) -> str:
    """What the other half of a block shows."""
    if first:
        return f"From {'the field' if name == INSIDE else 'inside'}:"
    return "All terminals with bridges, and from inside:" if block.strip else "From inside, and the other terminals:"
