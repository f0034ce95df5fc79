"""What can be bought: a part with its terminals and what lies between them."""

from __future__ import annotations

from collections.abc import Mapping
from enum import StrEnum

from msgspec import Struct, field

from netdsl.findings import Span
from netdsl.model.ratings import Ratings
from netdsl.quantities import Quantity

#: the mark of a pole that trips alone, of several in one housing
CHANNEL = "channel"


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


class Clamp(Struct, frozen=True):
    """One clamping point: `conductors` allowed, section range in mm2 (None not stated), torque N m, strip length m."""

    conductors: int = 1
    section: tuple[float, float] | None = None
    section_pair: tuple[float, float] | None = None  # range where two conductors share it
    torque_nm: tuple[float, float] | None = None
    strip_m: float | None = None


class Terminal(Struct, frozen=True):
    """A terminal of a device, place or strip.

    `split`: its two sides are two potentials (fused, knife disconnect). `kind` is the strip terminal's kind
    (a word of `STRIP_KINDS`, `earth` for an earth level), "" on devices.
    `level`: from 1 on for a level of a strip terminal that has several (each a Terminal then, named `5.1`, `5.PE`), else 0.
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
    attributes: Ratings = field(default_factory=Ratings)


class Path(Struct, frozen=True):
    """A way a current can take inside a device, between terminals `a` and `b`.

    `kind`: "link" (always), "pole" (main contact), "make", "break" (auxiliary contact, or one arm of a changeover).
    `certain`: closed in service whatever the control does (link; pole of an isolator, breaker, fuse, overload relay,
    filter, reactor). `by`: what moves it: "coil" or another coil's name, "handle", a quantity or function word, "" for none.
    `marks`: early, late, delayed, guided, positive; channel of a pole that trips alone. `positions`: selector positions in
    which it is closed.
    """

    a: str
    b: str
    kind: str
    certain: bool
    by: str
    span: Span
    marks: frozenset[str] = frozenset()
    positions: tuple[str, ...] = ()


class InnerSource(Struct, frozen=True):
    """A source inside a device: 24 V supply, transformer secondary, drive auxiliary, 10 V reference.

    `poles`: its terminals, the positive or live first, the common last. `voltage_kind`: "ac", "dc" or "signal".
    """

    poles: tuple[str, ...]
    voltage: Quantity | None
    voltage_kind: str
    current: Quantity | None
    span: Span


class Consumer(Struct, frozen=True):
    """A coil or another load between terminals `a` and `b` of a device; `kind` "coil" or "load"; `name` of the coil."""

    a: str
    b: str
    kind: str
    name: str
    voltage: Quantity | None
    voltage_kind: str  # "ac", "dc" or "" for either
    power: Quantity | None
    span: Span
    pull_in: Quantity | None = None  # apparent power of a coil while it pulls in
    operates_from: Quantity | None = None  # percent of its voltage from which it does so


class Requirement(Struct, frozen=True):
    """Terminals that must be connected: all, or one of them (`alternative`), always or when `setting` is `value`."""

    terminals: tuple[str, ...]
    alternative: bool
    setting: str | None
    value: str | None
    span: Span


class SettingKind(Struct, frozen=True):
    """A setting of a part: permitted `words` (the first is the default), or a `range` in which a quantity of its kind may lie."""

    name: str
    words: tuple[str, ...]
    range: Quantity | None
    span: Span


class Selective(Struct, frozen=True):
    """A row of a maker's table of selectivity: with a part or kind of device `other`, `behind` this one or ahead of it, the one
    behind alone operates up to `up_to_a`, A, infinite for all that it breaks, 0 for none.

    `current_a`: rated current of the other, at most that where it is behind, at least that where it is ahead, A; `rated_a`: of
    this one, the other way round; None for any.
    """

    other: str
    behind: bool
    current_a: float | None
    rated_a: float | None
    up_to_a: float
    span: Span


class PartType(Struct, frozen=True):
    """What can be bought. `kind` (drive, motor, contactor, earth-bar, ...) is what rules and drawings go by."""

    name: str
    title: str
    kind: str
    symbol: str
    letter: str
    protection_class: str  # "I", "II", "III" or "" where it does not apply
    ratings: Ratings
    terminals: Mapping[str, Terminal]
    paths: tuple[Path, ...]
    sources: tuple[InnerSource, ...]
    consumers: tuple[Consumer, ...]
    requirements: tuple[Requirement, ...]
    settings: Mapping[str, SettingKind]
    span: Span
    selective: tuple[Selective, ...] = ()
