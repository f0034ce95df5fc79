"""The rework list: what is released, taken out, put in and connected since an earlier state of the plant, in order."""

from __future__ import annotations

from netdsl.comparing import rework_between
from netdsl.comparing.rework import Phase, Step
from render.drawing import Drawing, in_set
from render.sheet import Sheet
from render.tables.grid import table_sheets
from render.tables.listing import listing
from render.tables.shown import Shown
from render.tables.table import Cell, Column, Entry, Table
from render.words.remarks import CAUTION

#: behind the register, which lists what does not hang on an earlier state
PLACE = 495
_COLUMNS = (
    Column("no", most=12.0, least=8.0),
    Column("step", most=24.0, least=16.0),
    Column("at", most=50.0, least=30.0),
    Column("done", ticks=True),
    Column("conductor", most=80.0, least=34.0),
    Column("remark", most=110.0, least=40.0),
)
_NOTES = (
    "In this order no loose end is live, as far as the text tells what feeds it: the feeding end is released first and connected"
    " last. What is released has the names of before.",
    CAUTION,
)
_HEADINGS = {
    Phase.RELEASE: "Release",
    Phase.RELEASE_EARTH: "Release protective conductors, after all others",
    Phase.TAKE_OUT: "Take out",
    Phase.PUT_IN: "Put in",
    Phase.CONNECT_EARTH: "Connect protective conductors, before all others",
    Phase.CONNECT: "Connect",
    Phase.SET: "Set and mark",
}


@listing("rework", "what to release, move and add since an earlier state, given by --since")
def rework(drawing: Drawing) -> Table:
    """A row per step, in order; none without an earlier state."""
    steps = rework_between(drawing.earlier, drawing.network) if drawing.earlier is not None else ()
    entries: list[Entry] = []
    phase, count = None, 0
    for number, step in enumerate(steps, start=1):
        if step.phase is not phase:
            phase, count = step.phase, count + 1
            entries.append(Entry((), "", f"{count} {_HEADINGS[phase]}"))
        entries.append(_row(drawing, number, step))
    return Table("rework", "RW", "Rework", "Rework list", "", _COLUMNS, tuple(entries), _NOTES, later=(CAUTION,), by="phase")


def _row(drawing: Drawing, number: int, step: Step) -> Entry:
    key = drawing.of(Shown).key(step.at.removesuffix("/out"))
    cells = (
        Cell(str(number)),
        Cell(step.what),
        Cell(step.at, step.of, key),
        Cell(),
        Cell(step.conductor),
        Cell(step.remark),
        Cell(),
    )
    return Entry(cells, step.of)


@in_set(PLACE)
def rework_sheets(drawing: Drawing) -> list[Sheet]:
    """The rework list, without frames; none without an earlier state."""
    return table_sheets(rework(drawing), drawing.size) if drawing.earlier is not None else []
