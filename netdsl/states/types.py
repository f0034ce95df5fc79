"""What conducts and what moves it: movers, conditions, edges between points, loads, poles of sources."""

from __future__ import annotations

from collections.abc import Mapping
from enum import StrEnum
from typing import NamedTuple

from msgspec import Struct

from netdsl.model.plant import Path
from netdsl.network import Network
from netdsl.network.types import Potential


class Cause(StrEnum):
    """What decides the state of a mover."""

    COIL = "coil"  # its coil: pulled while that is energised
    RELEASE = "release"  # the channels and the reset of a safety relay
    DELAY = "delay"  # a coil, some time later
    POSITION = "position"  # a selector stands there, or does not: one position of it at a time
    VOLTAGE = "voltage"  # a source gives its voltage
    FREE = "free"  # nothing in the netlist: hands, handles, sensors, trips, outputs of drives and controllers


#: what no netlist decides
GIVEN = (Cause.FREE, Cause.POSITION, Cause.VOLTAGE)


class Mover(NamedTuple):
    """What moves contacts together: of `device`, `word` says which: a coil's name, `handle`, `level`, `at hand`, `15-18`."""

    device: str
    word: str


class Movement(NamedTuple):
    """A mover and how it moves. `rest`: its state at rest (voltage on, nothing actuated, nothing pulled). `follows`: the coil
    behind delayed contacts; `slow`: whether they wait when it pulls, when it drops (both: nothing is said about them)."""

    mover: Mover
    cause: Cause
    rest: bool
    follows: Mover | None = None
    slow: tuple[bool, bool] = (False, False)


class Closed(NamedTuple):
    """A condition: closed while one of `movers` is on, or with `on` False while none is (always, where there are none)."""

    movers: tuple[Mover, ...]
    on: bool = True


class Edge(NamedTuple):
    """A way through a device between two points. `path`: None for what is no contact: outputs of electronics.
    `nodes`: the terminals at `a` and `b`."""

    device: str
    a: int
    b: int
    closed: Closed
    path: Path | None
    nodes: tuple[str, str]


class Pole(NamedTuple):
    """A pole of a source and the point at which it stands."""

    potential: Potential
    point: int

    @property
    def group(self) -> str:
        """The source it belongs to."""
        return self.potential.group

    @property
    def voltage(self) -> Mover:
        """The mover that says whether its device gives voltage."""
        return Mover(self.potential.device, "voltage")


class Load(NamedTuple):
    """What takes current between points `a` and `b`: `kind` is `coil`, `load` or `input`; `name` that of the coil, or the
    input's terminal. `nodes`: its terminals."""

    device: str
    name: str
    kind: str
    a: int
    b: int
    nodes: tuple[str, str]


class Channel(NamedTuple):
    """A loop of a safety relay from the terminal that feeds it to the one that hears it; `reset`: the one that releases."""

    feed: int
    back: int
    nodes: tuple[str, str]
    reset: bool


class Unjudged(NamedTuple):
    """A device about whose movement the netlist says too little, and why."""

    device: str
    reason: str


class Circuit(Struct, frozen=True):
    """A plant as what moves and what conducts. A point is one or more nets that nothing can part.

    `point_of`: by net id. `movements`: in order of the plant. `selectors`: positions of each, by device. `interlocked`: pairs
    of coils that cannot be pulled together. `exclusive`: delayed contacts of one timer that never follow each other without a
    pause. `early`: contact movers that open before their handle moves and close after it. `coils`, `releases`: the loads and
    channels that decide those movers. `fed_by`: points at which a source inside a device takes its own supply, by group.
    `roots`: points at which ways end: those of poles, with their poles, and the feeds of channels, with none.
    """

    network: Network
    point_of: Mapping[str, int]
    points: int
    edges: tuple[Edge, ...]
    poles: tuple[Pole, ...]
    loads: tuple[Load, ...]
    movements: Mapping[Mover, Movement]
    selectors: Mapping[str, tuple[Mover, ...]]
    interlocked: tuple[tuple[Mover, Mover], ...]
    exclusive: tuple[tuple[Mover, ...], ...]
    early: Mapping[Mover, Mover]
    coils: Mapping[Mover, tuple[Load, ...]]
    releases: Mapping[Mover, tuple[Channel, ...]]
    fed_by: Mapping[str, tuple[int, ...]]
    unjudged: tuple[Unjudged, ...]
    roots: Mapping[int, tuple[Pole, ...]]

    def node_point(self, node: str) -> int:
        """The point of a terminal."""
        return self.point_of[self.network.net_of[node]]
