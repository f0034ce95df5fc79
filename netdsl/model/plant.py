"""The Plant: everything the text declares, names resolved, schemes unfolded, parts and units checked.

Identities are strings: a device is `=RP1-T1` (function and product; `-Q0` in the common part), a place `+MCP.D`, a
function `=RP1`, a terminal `=RP1-T1:U`. Mappings keep the order of declaration.
"""

from __future__ import annotations

from collections.abc import Mapping

from msgspec import Struct

from netdsl.findings import Span
from netdsl.model.device import Accessory, Device
from netdsl.model.open_values import OpenValue
from netdsl.model.part_type import (
    Clamp,
    Consumer,
    InnerSource,
    PartType,
    Path,
    Requirement,
    Role,
    SettingKind,
    Terminal,
)
from netdsl.model.project import Choice, ProjectData, ProjectRevision
from netdsl.model.ratings import Open, Rating, Ratings
from netdsl.model.wiring import (
    Cable,
    CableScreen,
    Conductor,
    CoreType,
    End,
    RouteRelation,
    RouteWay,
    ScreenTermination,
)

#: what other rooms read, under one roof
__all__ = [
    "Accessory",
    "Cable",
    "CableScreen",
    "Choice",
    "Clamp",
    "Conductor",
    "Consumer",
    "CoreType",
    "DefaultChoice",
    "Device",
    "End",
    "Exception_",
    "FunctionScope",
    "InnerSource",
    "InterlockPair",
    "NamedPotential",
    "Note",
    "Open",
    "OpenValue",
    "PartType",
    "Path",
    "Place",
    "Plant",
    "ProjectData",
    "ProjectRevision",
    "Rating",
    "Ratings",
    "ReferencePoint",
    "Requirement",
    "Role",
    "RouteRelation",
    "RouteWay",
    "ScreenTermination",
    "SettingKind",
    "Terminal",
]


class Place(Struct, frozen=True):
    """`kind`: cabinet, door, plate, box, panel, field. `metal` ones are exposed parts with a terminal `PE`.

    `enclosure`: the outermost cabinet, box or panel it belongs to (itself, for one), or "" for a field place. `attributes`: what
    it states besides, by the names of its statement. `rails_m`: its mounting rails, from its upper edge to the middle of each.
    """

    id: str
    title: str
    kind: str
    parent: str | None
    enclosure: str
    metal: bool
    bonding: str  # "" or "meshed"
    attributes: Ratings
    span: Span
    rails_m: tuple[float, ...] = ()


class FunctionScope(Struct, frozen=True):
    """A function: `id` such as `=RP1` (nested: `=WTR.RP1`), the unit of paper."""

    id: str
    title: str
    parent: str | None
    place: str | None
    span: Span


class DefaultChoice(Struct, frozen=True):
    """What a conductor takes where it says nothing, of a `defaults`. Empty filters match all.

    `within`: a place or a function; `klass`: a conductor class. The last matching statement wins, value by value.
    """

    within: str
    klass: str
    section_mm2: float | None
    colour: str | None
    routes: tuple[str, ...]
    length_m: float | None
    span: Span
    section_open: bool = False  # `section=auto`


class Exception_(Struct, frozen=True):
    """A reviewed exception to `rule` on `subject`, of an `allow`."""

    rule: str
    subject: str
    reason: str
    until: str | None
    span: Span


class SeverityChoice(Struct, frozen=True):
    """How bad a project takes the findings of `rule`: `level` is error, warning or note; `reason` "" where none is given."""

    rule: str
    level: str
    reason: str
    span: Span


class OwnSeparation(Struct, frozen=True):
    """How far apart this project keeps conductors of two `classes`: m, None where it says nothing; `reason` "" where none is
    given."""

    classes: tuple[str, str]
    inside_m: float | None
    outside_m: float | None
    reason: str
    span: Span


class OwnSection(Struct, frozen=True):
    """The least section of this project for one kind of conductor: `kind` as `least-section` calls it, `least_mm2` in mm²,
    `reason` "" where none is given."""

    kind: str
    least_mm2: float
    reason: str
    span: Span


class NamedPotential(Struct, frozen=True):
    """`potential NAME of END mark=...`."""

    name: str
    end: End
    mark: str | None
    parallel: bool  # `parallel=yes`: several sources may feed it together
    span: Span


class ReferencePoint(Struct, frozen=True):
    """`earthing of -T2:0V at -XE1:9`."""

    of: End
    at: End
    span: Span


class InterlockPair(Struct, frozen=True):
    """`interlock -K1 -K2 mechanical`."""

    devices: tuple[str, ...]
    kind: str
    span: Span


class Note(Struct, frozen=True):
    """`caution on` or `remark on` a device: `kind` is that word, `subject` the device's id."""

    kind: str
    subject: str
    text: str
    span: Span
    use: Span | None = None  # as of a Device


class Coupling(Struct, frozen=True):
    """`couple -XP1 -XJ1`: two halves of a plug connection, in the order in which they are named; contacts of one name meet."""

    halves: tuple[str, str]
    span: Span


class Plant(Struct, frozen=True):
    """The whole plant; things by designation, each mapping and tuple in order of text.

    `shades`: own word of colour -> (base colour, text). `doubtful`: designations in statements that could not be read: no rule
    judges them.
    """

    project: ProjectData
    places: Mapping[str, Place]
    functions: Mapping[str, FunctionScope]
    devices: Mapping[str, Device]
    conductors: Mapping[str, Conductor]
    cables: Mapping[str, Cable]
    routes: Mapping[str, RouteWay]
    relations: tuple[RouteRelation, ...]
    defaults: tuple[DefaultChoice, ...]
    exceptions: tuple[Exception_, ...]
    potentials: tuple[NamedPotential, ...]
    reference_points: tuple[ReferencePoint, ...]
    interlocks: tuple[InterlockPair, ...]
    shades: Mapping[str, tuple[str, str]]
    doubtful: frozenset[str] = frozenset()
    notes: tuple[Note, ...] = ()
    severities: tuple[SeverityChoice, ...] = ()
    separations: tuple[OwnSeparation, ...] = ()
    least_sections: tuple[OwnSection, ...] = ()
    open_values: tuple[OpenValue, ...] = ()
    couplings: tuple[Coupling, ...] = ()
