"""Blocks of terminals on a sheet too narrow for both of their sides: what lands from inside and what from the field, apart."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

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
    """`blocks` with what lands on them from inside, then with what lands from the field. Of a block all terminals are in each
    half, of one on which nothing lands from one side none there."""
    found = []
    for name in (INSIDE, FIELD):
        shown = [half for block in blocks if (half := _half(block, name)) is not None]
        if shown:
            found.append((name, shown))
    return found


def _half(block: Block, name: str) -> Block | None:
    """One half of a block; None where nothing lands there that the other half would not show."""
    kept = (0 if block.field == "left" else 1) if name == FIELD else (1 if block.field == "left" else 0)
    lands = [(row.left, row.right)[kept] is not None for row in block.rows]
    if not any(lands) and (name == INSIDE or any(row.left or row.right for row in block.rows)):
        return None
    places: dict[int, int] = {}  # of the rows that stay
    rows: list[Row] = []
    for index, row in enumerate(block.rows):
        if row.first or lands[index]:
            places[index] = len(rows)
            rows.append(replace(row, left=None if kept else row.left, right=row.right if kept else None))
    groups = tuple(replace(each, first=places[each.first], last=places[each.last]) for each in block.groups[kept])
    nothing: tuple[Group, ...] = ()
    return replace(block, rows=tuple(rows), groups=(nothing, groups) if kept else (groups, nothing))
