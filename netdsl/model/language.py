"""The statements of the language by keyword, and what each makes of a plant, in the order in which a plant is read."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from enum import IntEnum
from typing import Any

from netdsl.model.here import Here
from netdsl.model.statements import (
    cables,
    channels,
    colours,
    couplings,
    defaults,
    devices,
    functions,
    layouts,
    least_sections,
    part_lines,
    places,
    potentials,
    project,
    remarks,
    routes,
    screens,
    separations,
    settings,
    strips,
    supplies,
    teeth,
    twins,
    wire_says,
    wires,
)
from netdsl.model.table import Nothing, Statement, fixed
from netdsl.syntax import tree

VERSION = Statement("netdsl", Nothing, "The version of the language", fixed("NUMBER", "`1`", "this is version 1", ("1",)))
INCLUDE = Statement(
    "include",
    Nothing,
    "Another file of the plant, read once",
    fixed('"PATH"', "a text in quotes", "relative to this file"),
)

_ALL: tuple[Statement[Any], ...] = (
    VERSION,
    INCLUDE,
    project.PROJECT,
    places.PLACE,
    supplies.SUPPLY,
    *supplies.BARS,
    routes.ROUTE,
    routes.RELATION,
    layouts.LAYOUT,
    devices.DEVICE,
    devices.OUTSIDE,
    settings.SET,
    devices.FIT,
    settings.CONNECT,
    settings.INTERLOCK,
    strips.STRIP,
    wire_says.WIRE,
    twins.TWIN,
    teeth.TEETH,
    couplings.COUPLE,
    channels.CHANNEL,
    colours.SHADE,
    cables.CABLE,
    defaults.DEFAULTS,
    functions.FUNCTION,
    functions.LET,
    functions.SCHEME,
    functions.USE,
    potentials.EARTHING,
    potentials.POTENTIAL,
    remarks.ALLOW,
    remarks.SEVERITY,
    separations.SEPARATION,
    least_sections.LEAST_SECTION,
    remarks.CAUTION,
    remarks.REMARK,
    part_lines.PART,
)
#: statements by their keyword
STATEMENTS: Mapping[str, Statement[Any]] = {statement.keyword: statement for statement in _ALL}
#: lines inside the blocks of statements, by the keyword of the statement; one without a keyword of its own has the keyword ""
LINES: Mapping[str, tuple[Statement[Any], ...]] = {
    "project": (project.REVISION,),
    "strip": (strips.ROW, strips.BRIDGE, strips.PARTITION, strips.END_PLATE),
    "cable": (cables.CORE, screens.SCREEN),
    "part": part_lines.LINES,
    "outside": part_lines.LINES,
}


class Stage(IntEnum):
    """What a plant is read for, one after the other, so that nothing needs to be declared before it is named.

    Places come before what stands at them, routes before what lies along them, devices before what is fitted on them, accessories
    before what sets them, and all of these before conductors, since a terminal may be one of theirs. Last comes what
    is about all that is there: exceptions may name any, twin ferrules join conductors, layouts give way to relations.
    """

    PLACES = 1
    ROUTES = 2
    DEVICES = 3
    ACCESSORIES = 4
    SETTINGS = 5
    CONDUCTORS = 6
    EXCEPTIONS = 7


Reader = Callable[[Any, Here], None]

#: what is read of a declaration, by its keyword
_DECLARATIONS: Mapping[str, tuple[tuple[Stage, Reader], ...]] = {
    "place": ((Stage.PLACES, places.declare_place),),
    "route": ((Stage.ROUTES, routes.declare_route),),
    "supply": ((Stage.DEVICES, supplies.declare_supply), (Stage.SETTINGS, supplies.join_earths)),
    "busbar": ((Stage.DEVICES, supplies.declare_bar),),
    "comb": ((Stage.DEVICES, supplies.declare_bar),),
    "distribution-block": ((Stage.DEVICES, supplies.declare_bar),),
    "device": ((Stage.DEVICES, devices.declare_device),),
}
#: what is read of the other statements; of a cable its name first, so that every name is known when conductors are read
_READERS: Mapping[type, tuple[tuple[Stage, Reader], ...]] = {
    tree.Strip: ((Stage.DEVICES, strips.declare_strip),),
    tree.Outside: ((Stage.DEVICES, devices.declare_outside),),
    tree.Cable: ((Stage.DEVICES, cables.name_cable), (Stage.CONDUCTORS, cables.connect_cable)),
    tree.Fit: ((Stage.ACCESSORIES, devices.fit),),
    tree.Setting: ((Stage.SETTINGS, settings.choose_settings),),
    tree.Interlock: ((Stage.SETTINGS, settings.interlock),),
    tree.Connect: ((Stage.SETTINGS, settings.connect_winding),),
    tree.Earthing: ((Stage.SETTINGS, potentials.enter_earthing),),
    tree.PotentialName: ((Stage.SETTINGS, potentials.name_potential),),
    tree.Relation: ((Stage.SETTINGS, routes.relate),),
    tree.Twin: ((Stage.EXCEPTIONS, twins.share_ferrules),),
    tree.Layout: ((Stage.EXCEPTIONS, layouts.lay_out),),
    tree.Remark: ((Stage.SETTINGS, remarks.remark),),
    tree.Defaults: ((Stage.SETTINGS, defaults.enter_defaults),),
    tree.Channel: ((Stage.SETTINGS, channels.name_channel),),
    tree.Couple: ((Stage.SETTINGS, couplings.couple),),
    tree.Teeth: ((Stage.CONDUCTORS, teeth.set_teeth),),
    tree.Wire: ((Stage.CONDUCTORS, wires.connect_wire),),
    tree.Allow: ((Stage.EXCEPTIONS, remarks.allow),),
    tree.RuleSeverity: ((Stage.EXCEPTIONS, remarks.severity),),
    tree.ClassSeparation: ((Stage.EXCEPTIONS, separations.keep_apart),),
    tree.LeastSection: ((Stage.EXCEPTIONS, least_sections.enter_sections),),
}


def readers_of(statement: tree.Statement) -> Iterable[tuple[Stage, Reader]]:
    """What reads `statement`, and when; nothing reads what was read before or lies in a block of another."""
    if type(statement) is tree.Declaration:
        return _DECLARATIONS[statement.keyword]
    return _READERS.get(type(statement), ())
