"""From texts to a Plant, in the order that names need: parts and schemes, places, routes, devices, settings, conductors."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import TypeVar

from netdsl.collector import collector_paused
from netdsl.findings import Finding, Related, arranged
from netdsl.model import statements as short
from netdsl.model.connect import connect_cable, connect_wire
from netdsl.model.declare import (
    declare,
    declare_outside,
    declare_place,
    declare_route,
    designation,
    settle_places,
)
from netdsl.model.desk import Desk, Scope
from netdsl.model.files import Texts, read_texts
from netdsl.model.parts import make_part
from netdsl.model.plant import Plant
from netdsl.model.slips import note_slips
from netdsl.model.strips import declare_strip
from netdsl.model.unfold import Flat, unfold
from netdsl.syntax import tree

VERSIONS = ("1",)
_Head = TypeVar("_Head", tree.Part, tree.Scheme)


def read_plant(path: Path) -> tuple[Plant | None, tuple[Finding, ...]]:
    """Read the plant at `path`, a file or a folder that holds `plant.netdsl`.

    Returns the plant and what is wrong with its text. The plant is None only where its own file could not be read; any other
    fault leaves out what it concerns. Never raises for what a file may hold.
    """
    with collector_paused():
        return plant_of(read_texts(path))


def plant_of(texts: Texts) -> tuple[Plant | None, tuple[Finding, ...]]:
    """The plant that `texts` describe."""
    if not texts.main:
        return None, arranged(texts.findings)
    desk = Desk()
    desk.take_reading(texts.findings)
    statements = [statement for each in texts.trees for statement in each.statements]
    note_slips(statements, desk)
    project = _heads(statements, desk)
    data = short.project_data(project, desk)
    flat = unfold(statements, desk)
    _declarations(flat, desk)
    _settings(flat, desk)
    _conductors(flat, desk)
    desk.hidden_names()
    plant = Plant(
        data,
        desk.places,
        desk.functions,
        desk.devices,
        desk.conductors,
        desk.cables,
        desk.routes,
        tuple(desk.relations),
        tuple(desk.defaults),
        tuple(desk.exceptions),
        tuple(desk.potentials),
        tuple(desk.reference_points),
        tuple(desk.interlocks),
        desk.shades,
        frozenset(desk.doubtful),
        tuple(desk.notes),
        tuple(desk.open_values),
    )
    return plant, arranged(desk.findings)


def _heads(statements: list[tree.Statement], desk: Desk) -> tree.Project | None:
    """Version, project, shades, and the names of parts and schemes."""
    project: tree.Project | None = None
    for statement in _everywhere(statements):
        if isinstance(statement, tree.Version) and statement.number.text not in VERSIONS:
            desk.fault(
                "version-unsupported",
                statement.number.span,
                f"language version {statement.number.text} is not known",
                f"this tool reads version {', '.join(VERSIONS)}",
            )
        elif isinstance(statement, tree.Project):
            if project is not None:
                desk.fault(
                    "duplicate-name",
                    statement.title.span,
                    "the project is described twice",
                    "keep one `project` statement",
                    related=(Related("first here", project.title.span),),
                )
            else:
                project = statement
        elif isinstance(statement, tree.Shade):
            short.shade(statement, desk)
        elif isinstance(statement, tree.Part):
            _own(statement, desk.part_texts, "part", desk)
        elif isinstance(statement, tree.Scheme):
            _own(statement, desk.schemes, "scheme", desk)
    for name, part in desk.part_texts.items():
        faults = len(desk.findings)
        desk.parts[name] = make_part(part, desk)
        if len(desk.findings) > faults or any(True for _ in desk.broken_lines(part.span)):
            desk.faulty_parts.add(name)
    return project


def _own(statement: _Head, table: dict[str, _Head], what: str, desk: Desk) -> None:
    name = statement.name.text
    first = table.get(name)
    if first is not None:
        desk.fault(
            "duplicate-name",
            statement.name.span,
            f"{what} `{name}` is described twice",
            "give one of them another name",
            related=(Related("first described here", first.name.span),),
        )
    else:
        table[name] = statement


def _everywhere(statements: list[tree.Statement] | tuple[tree.Statement, ...]) -> list[tree.Statement]:
    """All statements, those in functions too: a part or scheme may be described anywhere."""
    result: list[tree.Statement] = []
    for statement in statements:
        result.append(statement)
        if isinstance(statement, tree.Function):
            inside = _everywhere(statement.body)
            result += [each for each in inside if not isinstance(each, (tree.Version, tree.Project))]
    return result


def _declarations(flat: Flat, desk: Desk) -> None:
    for statement, scope in flat:
        if isinstance(statement, tree.Declaration) and statement.keyword == "place":
            declare_place(statement, scope, desk)
    settle_places(desk)
    for name, function in list(desk.functions.items()):
        if function.place and function.place not in desk.places:
            desk.functions[name] = replace(function, place=None)
            desk.unknown("place", function.place, function.span, Scope(name), desk.places)
    for statement, scope in flat:
        if isinstance(statement, tree.Declaration) and statement.keyword == "route":
            declare_route(statement, scope, desk)
    for statement, scope in flat:
        known, faults = len(desk.declared), len(desk.findings)
        match statement:
            case tree.Declaration(keyword=keyword) if keyword not in ("place", "route"):
                declare(statement, scope, desk)
            case tree.Strip():
                declare_strip(statement, scope, desk)
            case tree.Outside():
                declare_outside(statement, scope, desk)
            case tree.Cable():
                named = designation(statement.name, scope, desk)
                if named is not None:
                    desk.declare(*named, scope, named[1])
        if len(desk.declared) > known and (len(desk.findings) > faults or any(True for _ in desk.broken_lines(statement.span))):
            identity = next(reversed(desk.declared))
            desk.incomplete.add(identity)
            desk.doubtful.add(identity)


def _settings(flat: Flat, desk: Desk) -> None:
    for statement, scope in flat:
        if isinstance(statement, tree.Fit):
            short.fit(statement, scope, desk)
    for statement, scope in flat:
        match statement:
            case tree.Setting():
                short.setting(statement, scope, desk)
            case tree.Interlock():
                short.interlock(statement, scope, desk)
            case tree.Connect():
                short.connect_winding(statement, scope, desk)
            case tree.Earthing():
                short.earthing(statement, scope, desk)
            case tree.PotentialName():
                short.potential(statement, scope, desk)
            case tree.Relation():
                short.relation(statement, scope, desk)
            case tree.Remark():
                short.remark(statement, scope, desk)
            case tree.Defaults():
                short.defaults(statement, scope, desk)


def _conductors(flat: Flat, desk: Desk) -> None:
    for statement, scope in flat:
        match statement:
            case tree.Wire():
                connect_wire(statement, scope, desk)
            case tree.Cable():
                connect_cable(statement, scope, desk)
    for statement, scope in flat:
        if isinstance(statement, tree.Allow):
            short.allow(statement, scope, desk)
