"""Which cells a branch of the single-line diagram is made of: those of its chain, and those of the load at its foot."""

from __future__ import annotations

from collections.abc import Iterator

from render.drawings.cell_maker import CellMaker
from render.drawings.feeder_steps import Branch, Step
from render.drawings.power_cells import Cell
from render.words.ratings import consumes


def is_load(step: Step, maker: CellMaker) -> bool:
    """Whether a last device consumes: it stands on the row of loads."""
    return maker.cells(step)[-1].kind == "device" and consumes(maker.network.plant.devices[step.device])


def feeder_cells(branch: Branch, maker: CellMaker, first: bool) -> Iterator[Cell]:
    """Cells of a branch's chain above the load row. `first`: it begins at a bar, where its conductors are counted."""
    steps = branch.steps
    head = steps[0]
    if first and not head.wiring.cables and maker.cells(head)[0].kind != "strokes" and head.wiring.poles:
        yield Cell("strokes", head.device, strokes=head.wiring)
    for step in steps[:-1] if pinned_cells(branch, maker) else steps:
        yield from maker.cells(step)
    if branch.cut:
        yield Cell("end", steps[-1].device, (), ("continued",), refer=f"head {steps[-1].device}")


def pinned_cells(branch: Branch, maker: CellMaker) -> tuple[Cell, ...]:
    """Cells of the load at the foot of a chain, its cable first; none where the chain ends otherwise."""
    if branch.children or branch.cut or not is_load(branch.steps[-1], maker):
        return ()
    return maker.cells(branch.steps[-1])


def load_height(branch: Branch, maker: CellMaker) -> float:
    """Height of the row of loads that the loads of a branch need, mm."""
    if branch.children:
        return max(load_height(child, maker) for child in branch.children)
    pinned = pinned_cells(branch, maker)
    body = pinned[-1].body if pinned else None
    return max(2 * body.half, pinned[-1].label_height) if body else 0.0
