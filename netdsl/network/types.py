"""The Network: what the plant's conductors make of it. Nets, potentials, classes, earth graph, power tree, routes.

A node is an electrical point: `=RP1-T1:U`; a split strip terminal has two, `-X1:5/in` and `-X1:5/out`.
"""

from __future__ import annotations

from collections.abc import Mapping
from enum import StrEnum
from typing import TYPE_CHECKING

from msgspec import Struct, field

from netdsl.findings import Span
from netdsl.model.plant import Cable, Conductor, Plant

if TYPE_CHECKING:
    import networkx as nx


class ConductorClass(StrEnum):
    """What a conductor carries."""

    MOTOR = "motor"  # output of a drive, up to the motor
    MAINS = "mains"  # power from the supply, direct-on-line motors included
    CONTROL = "control"  # control and auxiliary circuits, AC or DC, 24 V included
    ANALOGUE = "analogue"
    BUS = "bus"
    SAFETY = "safety"  # safe-torque-off and safety-relay input circuits
    THERMISTOR = "thermistor"
    ENCODER = "encoder"
    EARTH = "earth"  # protective and functional earth
    NONE = "none"  # reaches no role and no potential


class Potential(Struct, frozen=True):
    """A potential and where it comes from.

    `id`: source terminal, `-G0:L1`. `group`: the source it belongs to (potentials of one group have voltages between them).
    `pole`: L1, L2, L3, N, PE, PEN, +, 0V, U, V, W, signal. `kind`: "ac", "dc", "pwm", "earth", "signal".
    `voltage`: nominal, V; line to line for a three-phase ac pole, else to the group's common; None if unknown.
    """

    id: str
    group: str
    device: str
    pole: str
    kind: str
    voltage: float | None


class Net(Struct, frozen=True):
    """Nodes joined by conductors, bridges and links. `certain` and `possible`: potentials that reach it, sorted by id.

    `voltage`: highest nominal voltage to earth or between poles that its possible potentials bring, V, 0 if none.
    `mark`: from a `potential` statement, else "".
    """

    id: str
    nodes: tuple[str, ...]
    conductors: tuple[str, ...]
    certain: tuple[Potential, ...]
    possible: tuple[Potential, ...]
    klass: ConductorClass
    voltage: float
    mark: str = ""


class Run(Struct, frozen=True):
    """A conductor with everything resolved. `origin`: for section, colour, routes, length: the span of the `defaults`
    that gave it, where it was not written. `klass`: of its net, or of its cable where its net alone says only "control".
    `nodes`: where its two ends land."""

    conductor: Conductor
    net: str
    klass: ConductorClass
    section_mm2: float | None
    colour: str | None
    routes: tuple[str, ...]
    length_m: float | None
    mark: str
    nodes: tuple[str, str]
    origin: Mapping[str, Span] = field(default_factory=dict)

    @property
    def id(self) -> str:
        """The conductor's id."""
        return self.conductor.id


class CableUse(Struct, frozen=True):
    """What a cable does. `klass`: the most demanding class of its cores. `drive`: the drive whose output it carries
    (through boxes and isolators too), `load`: the motor it serves, where it does. `devices`: at its first and second side."""

    cable: Cable
    klass: ConductorClass
    classes: frozenset[ConductorClass]
    drive: str | None
    load: str | None
    devices: tuple[tuple[str, ...], tuple[str, ...]]
    voltage: float


class EarthNode(Struct, frozen=True):
    """A node of the protective-earth graph.

    `kind`: "supply", "bar" (bars, rails, plates, doors, enclosures bonded into one), "place" (an enclosure or door not yet
    joined by bonding), "strip" (earth terminals of a strip not bonded to its rail), "through" (device with earth
    through-terminals only), "device". `members`: ids of devices, places merged in it. `needs_earth`: class I, earth
    terminal or metal enclosure. `span`: where its first member is declared.
    """

    id: str
    kind: str
    members: tuple[str, ...]
    needs_earth: bool
    span: Span


class EarthGraph(Struct, frozen=True):
    """`graph`: undirected; nodes are EarthNode ids, with the EarthNode as attribute `node`, edges have as `conductors` a tuple
    of conductor ids (parallel ones in one edge). `root`: id of the node that holds the main bar, None without a supply or bar.
    `bars`: for each supply with a protective conductor the node of the bar nearest to it, in order of declaration."""

    graph: nx.Graph
    root: str | None
    node_of: Mapping[str, str]  # device or place id -> EarthNode id (a strip: its first earth terminal's)
    bars: Mapping[str, str] = field(default_factory=dict)


class PowerTree(Struct, frozen=True):
    """`graph`: directed, nodes are device ids, an edge from what feeds to what is fed, edge attributes `conductors`
    (tuple of ids), `cables` (tuple of ids), `poles` (number of phases), `neutral` (bool). `order`: devices from supplies on,
    breadth first, in order of declaration. Motors and other loads are leaves."""

    graph: nx.DiGraph
    order: tuple[str, ...]


class RouteContent(Struct, frozen=True):
    """What lies in one route (or one compartment, `TRAY1/1`): wires as ids of runs, cables as ids."""

    route: str
    compartment: str
    runs: tuple[str, ...]
    cables: tuple[str, ...]


class Network(Struct, frozen=True):
    """Everything later rooms ask for."""

    plant: Plant
    nets: Mapping[str, Net]
    net_of: Mapping[str, str]  # node -> net id
    runs: Mapping[str, Run]  # conductor id -> Run
    cables: Mapping[str, CableUse]
    at_terminal: Mapping[str, tuple[str, ...]]  # `device:terminal` -> conductor ids that land there, in order of text
    earth: EarthGraph
    power: PowerTree
    contents: tuple[RouteContent, ...]

    def net(self, node: str) -> Net | None:
        """The net of a node; None for a node that does not exist."""
        name = self.net_of.get(node)
        return self.nets[name] if name is not None else None
