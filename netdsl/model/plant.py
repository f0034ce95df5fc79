"""The Plant: everything the text declares, names resolved, schemes unfolded, parts and units checked.

Identities are strings: a device is `=RP1-T1` (function and product; `-Q0` in the common part), a place `+MCP.D`, a
function `=RP1`, a terminal `=RP1-T1:U`. Mappings keep the order of declaration.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum

from netdsl.findings import Span
from netdsl.model.open_values import OpenValue
from netdsl.model.project import ProjectData
from netdsl.model.project import Rating as Rating
from netdsl.quantities import Quantity


class Role(StrEnum):
    """What a terminal is for. Roles and potentials decide the class of every conductor."""

    LINE_IN = "line-in"  # power into a device: drive input, breaker supply side, DOL motor
    LOAD_OUT = "load-out"  # power out of a switching or protective device
    MOTOR_OUT = "motor-out"  # output of a drive
    WINDING = "winding"  # terminal of a motor winding
    NEUTRAL = "neutral"
    EARTH = "earth"  # protective earth, the body
    EARTH_THROUGH = "earth-through"  # earth terminal made to carry on: isolators, boxes, filters
    FUNCTIONAL_EARTH = "functional-earth"
    SCREEN = "screen"  # a clamp, plate or gland for a screen
    SUPPLY_IN = "supply-in"  # + of an extra-low or control voltage a device consumes
    SUPPLY_OUT = "supply-out"  # + of a source inside
    SUPPLY_COMMON = "supply-common"  # 0 V of a source or consumer
    REFERENCE_OUT = "reference-out"  # 10 V
    DIGITAL_IN = "digital-in"
    DIGITAL_OUT = "digital-out"
    DIGITAL_COMMON = "digital-common"
    ANALOGUE_IN = "analogue-in"
    ANALOGUE_OUT = "analogue-out"
    ANALOGUE_COMMON = "analogue-common"
    CONTACT = "contact"
    COIL = "coil"
    BUS = "bus"  # data line; `line` attribute a, b or common
    SAFETY_IN = "safety-in"
    SAFETY_OUT = "safety-out"
    THERMISTOR = "thermistor"
    ENCODER = "encoder"
    LOAD = "load"  # two-pole consumer: lamp, fan, heater
    PLAIN = "plain"  # strip terminal, busbar pole: takes its meaning from the net


@dataclass(frozen=True, slots=True)
class Clamp:
    """One clamping point: `conductors` allowed, section range in mm2 (None not stated), torque N m, strip length m."""

    conductors: int = 1
    section: tuple[float, float] | None = None
    section_pair: tuple[float, float] | None = None  # range where two conductors share it
    torque_nm: tuple[float, float] | None = None
    strip_m: float | None = None


@dataclass(frozen=True, slots=True)
class Terminal:
    """A terminal of a device, place or strip.

    `split`: its two sides are two potentials (fused, knife disconnect). `kind` is the strip terminal's kind
    ("feed-through", "earth", "neutral", "fused", "disconnect", "two-level", "screened"), "" on devices.
    `level`: 1 or 2 on a two-level strip terminal (two Terminals then, named `5.1` and `5.2`), else 0.
    """

    name: str
    role: Role
    clamp: Clamp
    span: Span
    text: str = ""
    kind: str = ""
    split: bool = False
    level: int = 0
    functions: tuple[str, ...] = ()  # start, stop, enable, supply-24v ... as schemes address them
    common: str | None = None  # name of the terminal it is measured against
    voltage: Quantity | None = None  # rated voltage, where stated
    current: Quantity | None = None
    voltage_kind: str = ""  # "ac", "dc" or ""
    attributes: Mapping[str, Rating] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Path:
    """A way a current can take inside a device, between terminals `a` and `b`.

    `kind`: "link" (always), "pole" (main contact), "make", "break" (auxiliary contact, or one arm of a changeover).
    `certain`: closed in service whatever the control does (link; pole of an isolator, breaker, fuse, overload relay,
    filter, reactor). `by`: what moves it: "coil" or another coil's name, "handle", a quantity or function word, "" for none.
    `marks`: early, late, delayed, guided, positive. `positions`: selector positions in which it is closed.
    """

    a: str
    b: str
    kind: str
    certain: bool
    by: str
    span: Span
    marks: frozenset[str] = frozenset()
    positions: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class InnerSource:
    """A source inside a device: 24 V supply, transformer secondary, drive auxiliary, 10 V reference.

    `poles`: its terminals, the positive or live first, the common last. `voltage_kind`: "ac", "dc" or "signal".
    """

    poles: tuple[str, ...]
    voltage: Quantity | None
    voltage_kind: str
    current: Quantity | None
    span: Span


@dataclass(frozen=True, slots=True)
class Consumer:
    """A coil or another load between terminals `a` and `b` of a device; `kind` "coil" or "load"; `name` of the coil."""

    a: str
    b: str
    kind: str
    name: str
    voltage: Quantity | None
    voltage_kind: str  # "ac", "dc" or "" for either
    power: Quantity | None
    span: Span


@dataclass(frozen=True, slots=True)
class Requirement:
    """Terminals that must be connected: all, or one of them (`alternative`), always or when `setting` is `value`."""

    terminals: tuple[str, ...]
    alternative: bool
    setting: str | None
    value: str | None
    span: Span


@dataclass(frozen=True, slots=True)
class SettingKind:
    """A setting a part has: permitted words (first the default), or a range; `kind` of quantity where it takes one."""

    name: str
    words: tuple[str, ...]
    range: Quantity | None
    span: Span


@dataclass(frozen=True, slots=True)
class PartType:
    """What can be bought. `kind` (drive, motor, contactor, earth-bar, ...) is what rules and drawings go by."""

    name: str
    title: str
    kind: str
    symbol: str
    letter: str
    protection_class: str  # "I", "II", "III" or "" where it does not apply
    ratings: Mapping[str, Rating]
    terminals: Mapping[str, Terminal]
    paths: tuple[Path, ...]
    sources: tuple[InnerSource, ...]
    consumers: tuple[Consumer, ...]
    requirements: tuple[Requirement, ...]
    settings: Mapping[str, SettingKind]
    span: Span


@dataclass(frozen=True, slots=True)
class Place:
    """`kind`: cabinet, door, plate, box, field. `metal` ones are exposed parts with a terminal `PE`.

    `enclosure`: the outermost cabinet or box it belongs to (itself, for one), or "" for a field place.
    """

    id: str
    title: str
    kind: str
    parent: str | None
    enclosure: str
    metal: bool
    bonding: str  # "" or "meshed"
    attributes: Mapping[str, Rating]
    span: Span


@dataclass(frozen=True, slots=True)
class FunctionScope:
    """A function: `id` such as `=RP1` (nested: `=WTR.RP1`), the unit of paper."""

    id: str
    title: str
    parent: str | None
    place: str | None
    span: Span


@dataclass(frozen=True, slots=True)
class Accessory:
    """A part fitted on a device; its terminals and paths are among the host's."""

    part: PartType
    span: Span


@dataclass(frozen=True, slots=True)
class Device:
    """Anything with terminals: device, strip, busbar, supply, outside equipment.

    `category`: "device", "strip", "busbar", "supply" or "outside". `kind`: the part's kind; "strip"; "busbar", "comb",
    "distribution-block"; "supply"; "outside". `ratings` holds the part's ratings overlaid with the device's own.
    `terminals`: in rail order for a strip; accessories' terminals follow the device's own. `settings`: as `set` or by
    default; `settings_set`: the names that a `set` gave. `connection`: "star", "delta" or "" as `connect` gave.
    `earthed_by_mounting`: the part says so.
    """

    id: str
    title: str
    category: str
    kind: str
    part: PartType | None
    function: str  # "" in the common part
    place: str
    operated_at: str
    ratings: Mapping[str, Rating]
    terminals: Mapping[str, Terminal]
    paths: tuple[Path, ...]
    sources: tuple[InnerSource, ...]
    consumers: tuple[Consumer, ...]
    requirements: tuple[Requirement, ...]
    settings: Mapping[str, Rating]
    settings_set: frozenset[str]
    accessories: tuple[Accessory, ...]
    connection: str
    symbol: str
    protection_class: str
    span: Span  # of its name
    whole: Span  # of its statement
    use: Span | None = None  # made by a `use` (its span is that statement then): the line in the scheme
    bridges: tuple[tuple[str, ...], ...] = ()  # strip: terminals bridged together
    rail_bonded: bool = False  # strip: rail bonded to the plate
    field_side: str = "right"  # strip: side that faces the field

    @property
    def product(self) -> str:
        """The product part of the designation, `-T1`."""
        return self.id[self.id.index("-") :]


@dataclass(frozen=True, slots=True)
class End:
    """Where a conductor ends. `device` may be a place (`+MCP`, terminal `PE`). `side`: "in", "out" or "" if unnamed."""

    device: str
    terminal: str
    span: Span
    side: str = ""

    @property
    def id(self) -> str:
        """`=RP1-T1:U`."""
        return f"{self.device}:{self.terminal}"


@dataclass(frozen=True, slots=True)
class Conductor:
    """A wire or a connected cable core, between exactly two ends.

    A wire chain A to B to C gives one Conductor per piece, with the same `chain` id. `section_mm2`, `colour`, `routes`,
    `length_m` are as written (None or empty: not written, see Network for the resolved value). `twin`: the two
    conductors of a chain share a twin ferrule at the middle terminal.
    `id`: stable, made from its two ends, or cable and core: `-X1:3 -- =RP1-T1:DI1`, `=RP1-W1 BN`.
    """

    id: str
    ends: tuple[End, End]
    cable: str | None
    core: str
    section_mm2: float | None
    colour: str | None
    routes: tuple[str, ...]
    length_m: float | None
    mark: str | None
    function: str
    span: Span
    text: str = ""
    chain: str = ""
    twin: bool = False
    use: Span | None = None  # as of a Device
    attributes: Mapping[str, Rating] = field(default_factory=dict)  # insulation=..., material=...


@dataclass(frozen=True, slots=True)
class CoreType:
    """A core that a cable's construction has: printed `name` (`BN`, `1`, `1a`), `pair` 0 for none, section in mm2, 0 left open."""

    name: str
    colour: str
    section_mm2: float
    earth: bool
    pair: int = 0


@dataclass(frozen=True, slots=True)
class ScreenTermination:
    """One end of a screen. `terminal` is "" where only the device is named. `how`: clamp, gland, pigtail, capacitor, open."""

    device: str
    terminal: str
    how: str
    pigtail_m: float | None
    pigtail_width_m: float | None
    bare_m: float | None
    span: Span


@dataclass(frozen=True, slots=True)
class CableScreen:
    """A screen of a cable: `pair` 0 is the outer one; `ends` none to two, as written."""

    pair: int
    ends: tuple[ScreenTermination, ...]
    span: Span


@dataclass(frozen=True, slots=True)
class Cable:
    """A cable piece. `screen`: "" none, "outer", "pairs" or "both". `cores`: all of its construction, in order.

    `conductors`: ids of the cores that are connected; the other cores are spare (`spare`: "earthed", "insulated" or ""
    not said). `screens`: terminations as written; a screen that the construction has and no line mentions has ends ().
    `devices`: the devices at its ends, in order of first mention by the cores: (first side, second side).
    """

    id: str
    title: str
    construction: str
    screen: str
    cores: tuple[CoreType, ...]
    conductors: tuple[str, ...]
    screens: tuple[CableScreen, ...]
    routes: tuple[str, ...]
    length_m: float | None
    method: str
    spare: str
    parallel: int
    function: str
    attributes: Mapping[str, Rating]
    span: Span
    whole: Span
    use: Span | None = None  # as of a Device


@dataclass(frozen=True, slots=True)
class RouteWay:
    """A duct, tray, conduit, hinge. `compartments`: those named as `TRAY1/1` when it has a divider, else 1 in all."""

    id: str
    title: str
    kind: str
    place: str
    length_m: float | None
    divider: bool
    attributes: Mapping[str, Rating]
    span: Span


@dataclass(frozen=True, slots=True)
class RouteRelation:
    """How two routes lie to each other: `spacing_m` over `parallel_m`, or crossing at `crossing_deg`."""

    routes: tuple[str, str]
    spacing_m: float | None
    parallel_m: float | None
    crossing_deg: float | None
    span: Span


@dataclass(frozen=True, slots=True)
class DefaultChoice:
    """`defaults`: what a conductor takes where it says nothing. Empty filters match all.

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


@dataclass(frozen=True, slots=True)
class Exception_:
    """`allow`: a reviewed exception to `rule` on `subject`."""

    rule: str
    subject: str
    reason: str
    until: str | None
    span: Span


@dataclass(frozen=True, slots=True)
class NamedPotential:
    """`potential NAME of END mark=...`."""

    name: str
    end: End
    mark: str | None
    parallel: bool  # `parallel=yes`: several sources may feed it together
    span: Span


@dataclass(frozen=True, slots=True)
class ReferencePoint:
    """`earthing of -T2:0V at -XE1:9`."""

    of: End
    at: End
    span: Span


@dataclass(frozen=True, slots=True)
class InterlockPair:
    """`interlock -K1 -K2 mechanical`."""

    devices: tuple[str, ...]
    kind: str
    span: Span


@dataclass(frozen=True, slots=True)
class Note:
    """`caution on` or `remark on` a device: `kind` is that word, `subject` the device's id."""

    kind: str
    subject: str
    text: str
    span: Span
    use: Span | None = None  # as of a Device


@dataclass(frozen=True, slots=True)
class Plant:
    """The whole plant. `folder` is where drawings go by default; never part of any output."""

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
    shades: Mapping[str, tuple[str, str]]  # own colour word -> (base colour, text)
    doubtful: frozenset[str] = frozenset()  # designations in statements that could not be read: no rule judges them
    notes: tuple[Note, ...] = ()  # in order of text
    open_values: tuple[OpenValue, ...] = ()  # in order of text
