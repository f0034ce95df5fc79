"""The front door: the texts of a plant read into a Plant, stage by stage."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from pathlib import Path
from typing import NamedTuple, TypeVar

from msgspec.structs import replace

from netdsl.collector import collector_paused
from netdsl.findings import Finding, Related, Span, arranged
from netdsl.model.channel_devices import part_channels
from netdsl.model.desk import Desk, TooMuch
from netdsl.model.files import Texts, read_texts
from netdsl.model.here import Here, Scope
from netdsl.model.input_logic import turn_inputs
from netdsl.model.language import Reader, Stage, readers_of
from netdsl.model.mentions import Mentions
from netdsl.model.named_values import with_values
from netdsl.model.plant import Plant
from netdsl.model.project import ProjectData
from netdsl.model.racks import settle_cards
from netdsl.model.slips import note_slips
from netdsl.model.statements.colours import declare_shade
from netdsl.model.statements.layouts import settle_layouts
from netdsl.model.statements.parts import make_part
from netdsl.model.statements.places import settle_places
from netdsl.model.statements.project import project_data
from netdsl.model.unfold import Flat, unfold
from netdsl.syntax import tree

VERSIONS = ("1",)
#: what is read before all else, wherever it stands
_HEADS = frozenset((tree.Version, tree.Project, tree.Shade, tree.Part, tree.Scheme))
#: of all devices and strips, of all wires and cables; three thousand drives with their cabinets have 250,000 and 110,000
MAX_TERMINALS, MAX_CONDUCTORS = 500_000, 300_000
_Head = TypeVar("_Head", tree.Part, tree.Scheme)


def read_plant(path: Path, instead: Mapping[str, str] | None = None) -> tuple[Plant | None, tuple[Finding, ...]]:
    """Read the plant at `path`, a file or a folder that holds `plant.netdsl`; with `instead`, texts by path from its folder, in
    place of what those files hold.

    Returns the plant and what is wrong with its text. The plant is None only where its own file could not be read, or where it
    is beyond a bound of the whole; any other fault leaves out what it concerns. Never raises for what a file may hold.
    """
    with collector_paused():
        return plant_of(read_texts(path, instead))


class Reading(NamedTuple):
    """What the texts of a plant give: all that was entered, the values of the whole plant, what its project states."""

    desk: Desk
    scope: Scope
    project: ProjectData


def read_desk(texts: Texts, mentions: Mentions | None = None) -> Reading:
    """All statements of `texts` entered, stage by stage; what they name is kept in `mentions`. Raises TooMuch."""
    desk = Desk()
    desk.mentions = mentions
    desk.take_reading(texts.findings)
    statements = [statement for each in texts.trees for statement in each.statements]
    before = Here(desk, Scope(), Span(texts.trees[0].source, 0, 0))
    note_slips(statements, before)
    scope = with_values(statements, before)
    project = _heads(statements, desk, scope)
    data = project_data(project, desk, scope)
    _read(unfold(statements, desk, scope), desk)
    desk.hidden_names()
    desk.doubted()
    return Reading(desk, scope, data)


def plant_of(texts: Texts, mentions: Mentions | None = None) -> tuple[Plant | None, tuple[Finding, ...]]:
    """The plant that `texts` describe, None where it is more than is read; what they name is kept in `mentions`."""
    if not texts.main:
        return None, arranged(texts.findings)
    try:
        read = read_desk(texts, mentions)
    except TooMuch as beyond:
        return None, arranged(beyond.findings)
    desk = read.desk
    plant = Plant(
        project=read.project,
        places=desk.places,
        functions=desk.functions,
        devices=desk.devices,
        conductors=desk.conductors,
        cables=desk.cables,
        routes=desk.routes,
        relations=tuple(desk.relations),
        defaults=tuple(desk.defaults),
        exceptions=tuple(desk.exceptions),
        severities=tuple(desk.severities),
        separations=tuple(desk.separations),
        least_sections=tuple(desk.least_sections),
        potentials=tuple(desk.potentials),
        reference_points=tuple(desk.reference_points),
        interlocks=tuple(desk.interlocks),
        couplings=tuple(desk.couplings),
        shades=desk.shades,
        doubtful=frozenset(desk.doubtful),
        notes=tuple(desk.notes),
        open_values=tuple(desk.open_values),
    )
    return plant, arranged(desk.findings)


def _heads(statements: list[tree.Statement], desk: Desk, scope: Scope) -> tree.Project | None:
    """Version, project, shades, and the names of parts and schemes."""
    project: tree.Project | None = None
    plain = Scope()
    for statement in _everywhere(statements):
        if type(statement) not in _HEADS:
            continue
        here = Here(desk, plain, statement.span)
        match statement:
            case tree.Version(number=number) if number.text not in VERSIONS:
                message = f"language version {number.text} is not known"
                here.fault("version-unsupported", number.span, message, f"this tool reads version {', '.join(VERSIONS)}")
            case tree.Project() if project is not None:
                _twice(
                    "the project is described twice",
                    "keep one `project` statement",
                    statement.title.span,
                    project.title.span,
                    here,
                )
            case tree.Project():
                project = statement
            case tree.Shade():
                declare_shade(statement, here)
            case tree.Part():
                _own(statement, desk.part_texts, "part", here)
            case tree.Scheme():
                _own(statement, desk.schemes, "scheme", here)
    for name, part in desk.part_texts.items():
        faults = len(desk.findings)
        desk.parts[name] = make_part(part, desk, scope)
        if len(desk.findings) > faults or desk.is_broken(part.span):
            desk.faulty_parts.add(name)
    return project


def _own(statement: _Head, table: dict[str, _Head], what: str, here: Here) -> None:
    """Enter a part or scheme of the plant under its name."""
    name = statement.name
    first = table.setdefault(name.text, statement)
    if first is not statement:
        _twice(f"{what} `{name.text}` is described twice", "give one of them another name", name.span, first.name.span, here)


def _twice(message: str, remedy: str, span: Span, first: Span, here: Here) -> None:
    words = "first here" if message.startswith("the project") else "first described here"
    here.fault("duplicate-name", span, message, remedy, related=(Related(words, first),))


def _everywhere(statements: Iterable[tree.Statement]) -> list[tree.Statement]:
    """All statements, those in functions too: a part or scheme may be described anywhere."""
    result: list[tree.Statement] = []
    for statement in statements:
        result.append(statement)
        if type(statement) is tree.Function:
            inside = _everywhere(statement.body)
            result += [each for each in inside if not isinstance(each, (tree.Version, tree.Project))]
    return result


def _read(flat: Flat, desk: Desk) -> None:
    """Read the statements stage by stage, each stage in order of text."""
    stages: dict[Stage, list[tuple[Reader, tree.Statement, Here]]] = {stage: [] for stage in Stage}
    for statement, here in flat:
        for stage, reader in readers_of(statement):
            stages[stage].append((reader, statement, here))
    for stage, lines in stages.items():
        declaring = stage is Stage.DEVICES
        for reader, statement, here in lines:
            if declaring:
                _declare(reader, statement, here)
            else:
                reader(statement, here)
                if len(desk.conductors) > MAX_CONDUCTORS:
                    here.beyond(statement.span, f"the plant has more than {MAX_CONDUCTORS} conductors")
        if stage is Stage.PLACES:
            _settle(desk)
        if declaring:
            settle_cards(desk)
        if stage is Stage.SETTINGS:
            part_channels(desk)
            turn_inputs(desk)
        if stage is Stage.EXCEPTIONS:
            settle_layouts(desk)


def _declare(reader: Reader, statement: tree.Statement, here: Here) -> None:
    """Read a declaration; where it has a fault, what it declares is not judged."""
    desk = here.desk
    known, faults = len(desk.declared), len(desk.findings)
    reader(statement, here)
    if len(desk.declared) > known:
        device = desk.devices.get(next(reversed(desk.declared)))
        desk.terminals += 0 if device is None else len(device.terminals)
        if desk.terminals > MAX_TERMINALS:
            here.beyond(statement.span, f"the devices of the plant have more than {MAX_TERMINALS} terminals")
    if len(desk.declared) > known and (len(desk.findings) > faults or desk.is_broken(statement.span)):
        identity = next(reversed(desk.declared))
        desk.incomplete.add(identity)
        desk.doubtful.add(identity)
        for number in range(faults, len(desk.findings)):
            desk.doubts.setdefault(number, []).append(identity)


def _settle(desk: Desk) -> None:
    """Find the parents of places and the places of functions, now that all places are known."""
    settle_places(desk)
    for name, function in list(desk.functions.items()):
        if function.place and function.place not in desk.places:
            desk.functions[name] = replace(function, place=None)
            Here(desk, Scope(name), function.span).unknown("place", function.place, function.span, desk.places)
