"""Which short lists share a sheet: terminals and what is spare; inputs and outputs; settings with the one or the other."""

from __future__ import annotations

from collections.abc import Sequence

from render.drawing import Drawing, in_set
from render.sheet import Sheet
from render.tables.channels import channels, settings
from render.tables.grid import stacked_sheets
from render.tables.strips import spare, strip_pieces
from render.tables.table import Table


@in_set(420)
def short_list_sheets(drawing: Drawing) -> list[Sheet]:
    """Terminals with their accessories, what is spare, inputs and outputs, settings, without frames."""
    return [sheet for lists in _shares(drawing) for sheet in stacked_sheets(lists, drawing.size)]


def _shares(drawing: Drawing) -> list[list[Table]]:
    """Lists that share sheets: all of them where those of the terminals leave room, else those, then the others. Settings stand
    below inputs and outputs if these leave room, else below the terminals, else above what is spare, which then leaves the
    terminals."""
    # made for these sheets alone: tables of a large plant are not to be kept
    terminals, free, io, own = strip_pieces(drawing), spare(drawing), channels(drawing), settings(drawing)
    size = drawing.size
    if _fits([terminals, free], [io, own], size):
        return [[terminals, free, io, own]]
    if not own.entries or (io.entries and _fits([io], [own], size)):
        return [[terminals, free], [io, own]]
    if _fits([terminals, free], [own], size):
        return [[terminals, free, own], [io]]
    if terminals.entries and _fits([own], [free], size):
        return [[terminals], [io], [own, free]]
    return [[terminals, free], [io], [own]]


def _fits(lists: Sequence[Table], more: Sequence[Table], size: str) -> bool:
    """Whether further lists have room below others, on their last sheet."""
    alone = len(stacked_sheets(lists, size))
    return bool(alone) and len(stacked_sheets([*lists, *more], size)) == alone
