"""Renaming, inserting and moving terminals: what `netdsl rename` and `netdsl renumber` do, as edits of an editor."""

from __future__ import annotations

import asyncio
from collections.abc import Callable

from lsprotocol import types

from netdsl.findings import Source
from netdsl.renaming import Refused, Renaming, inserted, moved, rename
from netdsl.serving.desk import Desk, Open
from netdsl.serving.names import identity_at, word_at
from netdsl.serving.pieces import Document
from netdsl.serving.places import Places
from netdsl.serving.plants import OpenPlant


def prepare(here: Open, position: types.Position) -> types.Range | None:
    """The characters whose name would be changed at a place; None where nothing is named there."""
    identity = identity_at(here.plant.at_hand(), here, position)
    _, span = word_at(here, position)
    return None if identity is None and not span.text else here.places.range(span)


async def renamed(desk: Desk, here: Open, position: types.Position, new: str) -> types.WorkspaceEdit:
    """The edits that call what is named at a place `new`. Raises Refused with the reason where that cannot be."""
    plant = here.plant
    identity = identity_at(plant.at_hand(), here, position) or word_at(here, position)[0]
    if not identity:
        raise Refused("nothing is named here")
    texts = plant.texts
    return await _worked_out(desk, plant, lambda: rename(plant.file, identity, new, texts))


async def insert_terminal(desk: Desk, plant: OpenPlant, strip: str, number: str) -> types.WorkspaceEdit:
    """The edits that put a terminal into a strip. Raises Refused."""
    texts = plant.texts
    return await _worked_out(desk, plant, lambda: inserted(plant.file, strip, number, texts))


async def move_terminals(desk: Desk, plant: OpenPlant, strip: str, terminals: str, to: str) -> types.WorkspaceEdit:
    """The edits that give terminals the numbers from `to` on. Raises Refused."""
    texts = plant.texts
    return await _worked_out(desk, plant, lambda: moved(plant.file, strip, terminals, to, texts))


async def _worked_out(desk: Desk, plant: OpenPlant, work: Callable[[], Renaming]) -> types.WorkspaceEdit:
    """What is worked out, of a large plant beside the server's other work. Raises Refused where the text was edited meanwhile."""
    version = plant.version
    found = await asyncio.to_thread(work) if plant.is_large else work()
    if plant.version != version:
        raise Refused("the text was edited meanwhile: ask again")
    return _edit(desk, plant, found)


def _edit(desk: Desk, plant: OpenPlant, found: Renaming) -> types.WorkspaceEdit:
    changes: dict[str, list[types.TextEdit]] = {}
    places: dict[Source, Callable[[int], types.Position]] = {}
    for edit in found.edits:
        source = edit.span.source
        if source not in places:
            places[source] = _positions(source, desk.encoding)
        at = places[source]
        where = types.Range(at(edit.span.start), at(edit.span.end))
        changes.setdefault(desk.uri(plant, source.path), []).append(types.TextEdit(where, edit.text))
    return types.WorkspaceEdit(changes=changes)


def _positions(source: Source, encoding: str) -> Callable[[int], types.Position]:
    document = Document(source.path, "")
    units = Places(document, encoding).units

    def at(offset: int) -> types.Position:
        line, column = source.place(offset)
        return types.Position(line - 1, units(source.line(line), column - 1))

    return at
