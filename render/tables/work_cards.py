"""Work cards: what the shop does in the order of the trade, each step with terminals, conductor, strip length and torque."""

from __future__ import annotations

import re
from collections.abc import Iterator

from msgspec import Struct

from netdsl.model.kinds import Category, Kind
from netdsl.model.plant import Clamp, Device, Plant, Terminal
from netdsl.network.types import ConductorClass, Run
from netdsl.quantities import number_text
from render.drawing import Drawing, in_set
from render.sheet import Sheet
from render.tables.grid import table_sheets
from render.tables.listing import listing, place_rank, side_by_side
from render.tables.measured import to_motor
from render.tables.shown import Shown
from render.tables.table import Cell, Column, Entry, Table
from render.words.cables import how_text, place_text, type_text
from render.words.remarks import CAUTION
from render.words.terminals import section_text, span_text

_COLUMNS = (
    Column("no", most=12.0, least=8.0),
    Column("what, terminals", most=60.0, least=34.0),
    Column("done", ticks=True),
    Column("conductor", most=70.0, least=30.0),
    Column("strip", most=16.0, least=12.0, unit="mm"),
    Column("tighten", most=26.0, least=16.0),
)
_NOTES = (
    "Boxes: done, checked. The two ends of a conductor are steps where they are. No strip length or torque: as the maker states.",
    CAUTION,
)
MOUNT, BOND, EARTH, MOTOR, SUPPLY, CONTROL, BUS, COVERS, TORQUE = range(1, 10)
#: headed by those of them that there are, numbered one after the other: a number left out would be looked for
PHASES = {
    MOUNT: "Mount",
    BOND: "Bond enclosures and bars",
    EARTH: "Earth first",
    MOTOR: "Motor side",
    SUPPLY: "Supply side",
    CONTROL: "Control",
    BUS: "Bus",
    COVERS: "Covers and labels",
    TORQUE: "Torque",
}
#: what is done at every place in the end
_LAST = {
    COVERS: "Covers, labels and warnings in place, no tool or cutting left inside.",
    TORQUE: "Every clamp again to its torque, with a calibrated tool, and marked.",
}
_ALL = -1  # in place of the number of a place
_OTHERS = {ConductorClass.MOTOR: MOTOR, ConductorClass.MAINS: SUPPLY, ConductorClass.BUS: BUS}
_POWER = frozenset({ConductorClass.MOTOR, ConductorClass.MAINS})
_BARS = frozenset({Kind.EARTH_BAR, Kind.SCREEN_BAR})


class _Step(Struct, frozen=True):
    """What is alike in all terminals that one step connects: `phase`, `place` and `device` in their order, conductor, clamp."""

    phase: int
    place: int
    device: int
    of: str
    conductor: str
    strip_m: float | None
    torque: str


@listing("work", "work cards in the order of the trade: terminals, conductor, strip length, torque")
def work(drawing: Drawing) -> Table:
    """A row per step, phase by phase and place by place."""
    plant = drawing.plant
    names = [*plant.places, ""]
    steps = _connecting(drawing)
    rows: dict[tuple[int, int], list[Entry]] = {}
    for place, entry in _mounting(drawing):
        rows.setdefault((MOUNT, place), []).append(entry)
    for step in sorted(steps, key=lambda step: (step.phase, step.place, step.device)):
        rows.setdefault((step.phase, step.place), []).append(_row(drawing, step, steps[step]))
    for name in (names[place] for place in sorted({place for _, place in rows}) if names[place]):
        for phase, words in _LAST.items():
            said = Entry((), "", words, remark=True)
            rows.setdefault((phase, _ALL), [said]).append(_plain(name, plant.places[name].title))
    entries: list[Entry] = []
    number = 0
    counted = {phase: count for count, phase in enumerate(sorted({phase for phase, _ in rows}), start=1)}
    for (phase, place), found in sorted(rows.items()):
        entries.append(_heading(plant, f"{counted[phase]} {PHASES[phase]}", names[place] if place != _ALL else None))
        for entry in found:
            if entry.remark:
                entries.append(entry)
                continue
            number += 1
            entries.append(Entry((Cell(str(number), value=number), *entry.cells[1:]), entry.of))
    title = plant.project.title
    blocks = side_by_side(drawing)
    return Table(
        "work",
        "WK",
        "Work cards",
        "Work cards",
        title,
        _COLUMNS,
        tuple(entries),
        _NOTES,
        blocks=blocks,
        counted=True,
        later=(CAUTION,),
        by="step",
    )


@in_set(440)
def work_sheets(drawing: Drawing) -> list[Sheet]:
    """The work cards, without frames."""
    return table_sheets(work(drawing), drawing.size)


# --- mounting ---------------------------------------------------------------------------------------------------------
def _mounting(drawing: Drawing) -> Iterator[tuple[int, Entry]]:
    """Devices alike by place, and what belongs to them: what is mounted. A row belongs to the first and the last of its devices:
    between them the text declares all."""
    plant, rank = drawing.plant, place_rank(drawing.plant)
    found: dict[tuple[int, str], list[str]] = {}
    for device in plant.devices.values():
        if device.category in (Category.DEVICE, Category.BUSBAR, Category.STRIP):
            for called in (_called(device), *(f"with it: {each.part.title}" for each in device.accessories)):
                found.setdefault((rank.get(device.place, len(rank)), called), []).append(device.id)
    for (place, called), devices in found.items():
        cells = (
            Cell(),
            Cell(", ".join(dict.fromkeys(devices)), devices[0], drawing.of(Shown).key(devices[0])),
            Cell(),
            Cell(called, devices[-1]),
            Cell(),
            Cell(),
        )
        yield place, Entry(cells, devices[0])


def _called(device: Device) -> str:
    if device.category == Category.STRIP:
        return "terminal strip"
    return device.part.title if device.part is not None else device.title or device.kind


# --- conductors -------------------------------------------------------------------------------------------------------
def _connecting(drawing: Drawing) -> dict[_Step, list[tuple[str, str]]]:
    """Steps with the terminals and screens that they take."""
    plant, rank = drawing.plant, place_rank(drawing.plant)
    order = {name: number for number, name in enumerate([*plant.devices, *plant.places])}
    found: dict[_Step, list[tuple[str, str]]] = {}
    for run in drawing.network.runs.values():
        phase = _phase(drawing, run)
        words = _words(plant, run)
        for end in run.conductor.ends:
            device = plant.devices.get(end.device)
            clamp = device.terminals[end.terminal].clamp if device and end.terminal in device.terminals else Clamp()
            place = rank.get(place_text(plant, end.device), len(rank) - 1)
            step = _Step(
                phase,
                place,
                order[end.device],
                end.device,
                words,
                clamp.strip_m,
                _torque(clamp),
            )
            found.setdefault(step, []).append((end.terminal, run.conductor.core if run.conductor.cable else ""))
    for use in drawing.network.cables.values():
        phase = MOTOR if to_motor(plant, use) and use.klass in _POWER else _OTHERS.get(use.klass, CONTROL)
        for screen in use.cable.screens:
            for made in screen.ends:
                place = rank.get(place_text(plant, made.device), len(rank) - 1)
                words = f"{use.cable.id} screen, {how_text(made)}"
                step = _Step(phase, place, order.get(made.device, len(order)), made.device, words, made.bare_m, "")
                found.setdefault(step, []).append((made.terminal, ""))
    return found


def _phase(drawing: Drawing, run: Run) -> int:
    """To which step of the trade a conductor belongs: the cable of a motor is motor side without a drive too."""
    if run.klass is ConductorClass.EARTH:
        ends = [drawing.plant.devices.get(end.device) for end in run.conductor.ends]
        return BOND if all(device is None or device.kind in _BARS for device in ends) else EARTH
    use = drawing.network.cables.get(run.conductor.cable or "")
    if run.klass is ConductorClass.MAINS and use is not None and to_motor(drawing.plant, use):
        return MOTOR
    return _OTHERS.get(run.klass, CONTROL)


def _words(plant: Plant, run: Run) -> str:
    """What is connected: a cable with its section, or a wire with section and colour."""
    if run.conductor.is_tooth:
        return "tooth of a comb"
    if run.conductor.cable is not None:
        kind, section = type_text(plant.cables[run.conductor.cable]), section_text(run)
        # `4G4` says it
        known = re.search(rf"\d[xG]{re.escape(section.removesuffix(' mm²'))}(?![\d.])", kind)
        return f"{run.conductor.cable} {kind}" if known or not section else f"{run.conductor.cable} {kind}, {section}"
    said = " ".join(part for part in (section_text(run), run.colour or "", run.conductor.attributes.shown("ferrule")) if part)
    return f"wire {said}" if said else "wire"


def _torque(clamp: Clamp) -> str:
    if clamp.torque_nm is None:
        return ""
    low, high = (number_text(value) for value in clamp.torque_nm)
    return f"{low} N m" if low == high else f"{low}..{high} N m"


def _row(drawing: Drawing, step: _Step, taken: list[tuple[str, str]]) -> Entry:
    """The row of a step. `taken`: each terminal with the core that goes there, "" for a wire."""
    device = drawing.plant.devices.get(step.of)
    known: dict[str, Terminal] = dict(device.terminals) if device is not None else {}
    order = {name: number for number, name in enumerate(known)}
    taken = sorted(taken, key=lambda each: order.get(each[0], 0))
    names = list(dict.fromkeys(name for name, _ in taken))
    cores = ", ".join(core for _, core in taken if core)
    where = f"{step.of}:{span_text(names)}" if any(names) else step.of
    key = drawing.of(Shown).key(f"{step.of}:{names[0]}" if names[0] else step.of)
    strip = round(step.strip_m * 1000, 3) if step.strip_m is not None else None
    cells = (
        Cell(),
        Cell(where, step.of, key),
        Cell(),
        Cell(f"{step.conductor}: {cores}" if cores else step.conductor),
        Cell(f"{number_text(strip)} mm" if strip is not None else "", value=strip),
        Cell(step.torque),
    )
    return Entry(cells, step.of)


def _heading(plant: Plant, phase: str, place: str | None) -> Entry:
    """The heading of a phase at a place; None: at all of them, which then stay together."""
    where = f"{place} {plant.places[place].title}".strip() if place else "no place stated"
    return Entry((), place or "", phase if place is None else f"{phase}: {where}", whole=place is None)


def _plain(what: str, words: str) -> Entry:
    return Entry((Cell(), Cell(what), Cell(), Cell(words), Cell(), Cell()), what)
