"""Terminal drawings: every strip, and every device on which a cable lands, as the shop and the site wire from them."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from render.drawing import Drawing, Wired, in_set
from render.drawings.far_sheets import FarSheets
from render.drawings.terminal_page import Ways, drawn
from render.drawings.terminal_pages import Piece
from render.drawings.terminal_plan import Stacked, TerminalPlan, remarks
from render.layout.remarks import Remarks
from render.sheet import Sheet
from render.words.remarks import shade_words

KIND = "Terminal diagram"


def terminal_keys(drawing: Drawing) -> Mapping[str, str]:
    """Key of the sheet that shows each terminal, and of the first sheet of each device."""
    return drawing.of(TerminalPlan).keys


def terminal_wired(drawing: Drawing) -> Mapping[Wired, str]:
    """Key of the sheet that shows each terminal, each conductor at a terminal, and of the first sheet of each device."""
    plan = drawing.of(TerminalPlan)
    return {**{(thing, ""): key for thing, key in plan.keys.items()}, **plan.ends}


def _count(drawing: Drawing) -> int:
    return len(drawing.of(TerminalPlan).stacks)


@in_set(300, keys=terminal_keys, wired=terminal_wired, count=_count, plan=TerminalPlan)
def terminal_sheets(drawing: Drawing, share: slice = slice(None)) -> Iterator[Sheet]:
    """The terminal drawings of the whole plant, or of a share of its stacks, without frames, function by function."""
    for each in drawing.of(TerminalPlan).stacks[share]:
        yield from _sheets(drawing, each)


def _sheets(drawing: Drawing, each: Stacked) -> Iterator[Sheet]:
    plan = drawing.of(TerminalPlan)
    numbers = [each.number + each.part(index) for index in range(len(each.stack.pages))]
    part_of = drawing.part_of(each.function, each.place)
    for index, number in enumerate(numbers):
        key = each.key + each.part(index)

        def link(identity: str, key: str = key) -> str:
            found = drawing.key_of(identity)
            return found if found != key else ""

        def sheet(terminal: str, conductor: str, key: str = key) -> tuple[str, str]:
            found = drawing.of(FarSheets).at(terminal, conductor)
            return found if found[0] != key else ("", "")

        blocks = [piece.laid.block for piece in each.stack.pages[index]]
        others = {(block.id, block.half): plan.other(block, number) for block in blocks}
        page = drawn(each.stack, index, numbers, Ways(link, sheet, others), drawing.area)
        said = _remarks(drawing, each.function, each.stack.pages[index])
        yield Sheet(key, number, each.titles[index], KIND, part_of, (*page, *said.labels), drawing.size)


def _remarks(drawing: Drawing, function: str, page: Sequence[Piece]) -> Remarks:
    """Of all remarks those that this page needs: of the project's colour words the ones on it, LIVE where something is."""
    points = [point for piece in page for point in piece.laid.block.points.values()]
    live, plugs = any(point.live for point in points), any(point.contacts for point in points)
    rows = [row for piece in page for row in piece.laid.block.rows]
    cores = {entry.core for row in rows for entry in (row.left, row.right) if entry is not None}
    shades = [words for words in shade_words(drawing.plant) if words.partition(":")[0] in cores]
    return remarks(function, drawing.live.isolators if live else (), shades, plugs, drawing.notes)
