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
    return [sheet for sheets in _shares(drawing) for sheet in sheets]


def _shares(drawing: Drawing) -> list[list[Sheet]]:
    """The sheets of lists that share them: of all where those of the terminals leave room, else of those, then the others.
    Settings stand below inputs and outputs if these leave room, else below the terminals, else above what is spare, which then
    leaves the terminals."""
    # made for these sheets alone: tables of a large plant are not to be kept
    terminals, free, io, own = strip_pieces(drawing), spare(drawing), channels(drawing), settings(drawing)
    made: dict[tuple[int, ...], list[Sheet]] = {}  # by the lists: what was tried is taken where it is chosen

    def stacked(*lists: Table) -> list[Sheet]:
        key = tuple(map(id, lists))
        if key not in made:
            made[key] = stacked_sheets(lists, drawing.size)
        return made[key]

    def fits(lists: Sequence[Table], more: Sequence[Table]) -> bool:
        """Whether further lists have room below others, on their last sheet."""
        alone = len(stacked(*lists))
        return bool(alone) and len(stacked(*lists, *more)) == alone

    if fits([terminals, free], [io, own]):
        return [stacked(terminals, free, io, own)]
    if not own.entries or (io.entries and fits([io], [own])):
        return [stacked(terminals, free), stacked(io, own)]
    if fits([terminals, free], [own]):
        return [stacked(terminals, free, own), stacked(io)]
    if terminals.entries and fits([own], [free]):
        return [stacked(terminals), stacked(io), stacked(own, free)]
    return [stacked(terminals, free), stacked(io), stacked(own)]
