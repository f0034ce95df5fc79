"""Small networks built by hand for tests of drawings: devices, cables and the power tree, without reading any text."""

from __future__ import annotations

import random

import networkx as nx

from netdsl.findings import Source, Span
from netdsl.model.plant import (
    Cable,
    Clamp,
    Conductor,
    CoreType,
    Device,
    End,
    FunctionScope,
    InnerSource,
    Place,
    Plant,
    Ratings,
    Role,
    Terminal,
)
from netdsl.model.project import ProjectData, ProjectRevision
from netdsl.network.types import CableUse, ConductorClass, EarthGraph, EarthNode, Net, Network, PowerTree, Run
from netdsl.quantities import parse_quantity

HERE = Span(Source("plant.netdsl", "netdsl 1\n"), 0, 6)


class Workshop:
    """Collects devices and what feeds what, then gives the Network."""

    def __init__(self, title: str = "Recirculation hall", size: str = "A3") -> None:
        attributes = {"number": "RH-E-010", "owner": "Alder hatchery", "sheet-size": size}
        revisions = (ProjectRevision("A", "2026-05-04", "first issue"), ProjectRevision("B", "2026-06-11", "second pump added"))
        self.project = ProjectData(title, attributes, revisions, HERE)
        self.devices: dict[str, Device] = {}
        self.functions: dict[str, FunctionScope] = {}
        self.cables: dict[str, Cable] = {}
        self.uses: dict[str, CableUse] = {}
        self.runs: dict[str, Run] = {}
        self.conductors: dict[str, Conductor] = {}
        self.graph = nx.DiGraph()
        self.earthed: list[str] = []
        self.places = {
            "+MCP": Place("+MCP", "Motor control panel", "cabinet", None, "+MCP", True, "", Ratings(), HERE),
            "+HALL": Place("+HALL", "Hall floor", "field", None, "", False, "", Ratings(), HERE),
        }

    def function(self, name: str, title: str) -> str:
        """Declare a function and give its name back."""
        self.functions[name] = FunctionScope(name, title, None, "+MCP", HERE)
        return name

    def device(
        self,
        name: str,
        kind: str,
        *,
        place: str = "+MCP",
        symbol: str = "",
        title: str = "",
        category: str = "device",
        earth: bool = False,
        terminals: str = "",
        connection: str = "",
        source: str = "",
        operated_at: str = "",
        **ratings: str,
    ) -> str:
        """Declare a device; ratings as they are written, `_` for `-` in their names."""
        values = Ratings()
        for key, text in ratings.items():
            values[key.replace("_", "-")] = parse_quantity(text) or text
        made = {word: Terminal(word, Role.PLAIN, Clamp(), HERE) for word in terminals.split()}
        inner = (InnerSource(("+", "0V"), parse_quantity(source), "dc", None, HERE),) if source else ()
        function = name[: name.index("-")]
        self.devices[name] = Device(
            id=name,
            title=title,
            category=category,
            kind=kind,
            function=function,
            place=place,
            operated_at=operated_at,
            ratings=values,
            terminals=made,
            sources=inner,
            connection=connection,
            symbol=symbol,
            protection_class="I" if earth else "",
            span=HERE,
            whole=HERE,
        )
        self.graph.add_node(name)
        if earth:
            self.earthed.append(name)
        return name

    def feed(
        self,
        a: str,
        b: str,
        *,
        poles: int = 3,
        neutral: bool = False,
        cable: str = "",
        construction: str = "4G10",
        length: float | None = 35.0,
        screened: bool = False,
    ) -> None:
        """Let `a` feed `b`, through a cable where one is named."""
        cables: tuple[str, ...] = ()
        wires = []
        if cable:
            cables = (cable,)
            earth_core = "G" in construction
            names = ["BN", "BK", "GY"][:poles] + (["BU"] if neutral else []) + (["GNYE"] if earth_core else [])
            cores = tuple(CoreType(core, core, 10.0, core == "GNYE") for core in names)
            for core in names:
                wires.append(self._wire(f"{cable} {core}", a, b, cable, core))
            self.cables[cable] = Cable(
                cable,
                "",
                construction,
                "outer" if screened else "",
                cores,
                tuple(wires),
                (),
                ("TRAY1",),
                length,
                "",
                "",
                1,
                cable[: cable.index("-")],
                Ratings(),
                HERE,
                HERE,
            )
            klass = ConductorClass.MOTOR if screened else ConductorClass.MAINS
            self.uses[cable] = CableUse(self.cables[cable], klass, frozenset((klass,)), None, b, ((a,), (b,)), 400.0)
        self.graph.add_edge(a, b, conductors=tuple(wires), cables=cables, poles=poles, neutral=neutral)

    def _wire(self, name: str, a: str, b: str, cable: str, core: str) -> str:
        ends = (End(a, core, HERE), End(b, core, HERE))
        wire = Conductor(name, ends, cable, core, 10.0, core, (), None, None, "", HERE)
        self.conductors[name] = wire
        klass = ConductorClass.EARTH if core == "GNYE" else ConductorClass.MAINS
        self.runs[name] = Run(wire, name, klass, 10.0, core, (), None, name, (f"{a}:{core}", f"{b}:{core}"))
        return name

    def network(self) -> Network:
        """The Network of what was declared."""
        plant = Plant(
            self.project, self.places, self.functions, self.devices, self.conductors, self.cables, {}, (), (), (), (), (), (), {}
        )
        order: list[str] = []
        waiting = [name for name in self.devices if not self.graph.in_degree(name)]
        while waiting:
            name = waiting.pop(0)
            if name not in order:
                order.append(name)
                waiting += [fed for fed in self.devices if self.graph.has_edge(name, fed)]
        nets = {run.net: Net(run.net, (), (run.id,), (), (), run.klass, 0.0) for run in self.runs.values()}
        return Network(plant, nets, {}, self.runs, self.uses, {}, self._earth(), PowerTree(self.graph, tuple(order)), ())

    def _earth(self) -> EarthGraph:
        graph = nx.Graph()
        graph.add_node("-XE1", node=EarthNode("-XE1", "bar", ("-XE1",), False, HERE))
        for name in self.earthed:
            graph.add_node(name, node=EarthNode(name, "device", (name,), True, HERE))
            graph.add_edge("-XE1", name, conductors=(f"{name}:PE -- -XE1:1",))
        return EarthGraph(graph, "-XE1", {name: name for name in ["-XE1", *self.earthed]})


def incoming(shop: Workshop, neutral: bool = True) -> str:
    """Supply, cable, incoming terminals, isolator and bar; gives the bar."""
    shop.device(
        "-G0",
        "supply",
        category="supply",
        place="",
        terminals="L1 L2 L3 N PE",
        title="Site distribution, way 7",
        system="TN-S",
        voltage="400V",
        frequency="50Hz",
        fault_current="12kA",
        earth_fault_current="6kA",
        upstream="fuse-gG-125A",
    )
    shop.device("-X0", "strip", category="strip", title="Incoming")
    shop.device("-Q0", "isolator", current="100A", title="Main isolator")
    shop.device("-WB1", "busbar", category="busbar", current="100A")
    shop.feed("-G0", "-X0", neutral=neutral, cable="-W0", construction="5G35", length=22)
    shop.feed("-X0", "-Q0")
    shop.feed("-Q0", "-WB1")
    return "-WB1"


def drive_feeder(shop: Workshop, bar: str, number: int, extras: tuple[str, ...] = ()) -> None:
    """A pump on a drive; `extras`: `reactor`, `filter`, `contactor`, `isolator`, `box` in its path, `second` motor."""
    f = shop.function(f"=RP{number}", f"Recirculation pump {number}")
    chain = [shop.device(f"{f}-Q1", "breaker", current="40A", breaking="25kA")]
    for kind in ("contactor", "reactor", "filter"):
        if kind in extras:
            chain.append(shop.device(f"{f}-{kind[0].upper()}9", kind, current="40A", utilisation="AC-1"))
    chain.append(shop.device(f"{f}-T1", "drive", power="15kW", current="32A", emission="C2", earth=True))
    for a, b in zip([bar, *chain], chain, strict=False):
        shop.feed(a, b)
    last = chain[-1]
    for kind in ("isolator", "terminal-box"):
        if kind in extras or (kind == "terminal-box" and "box" in extras):
            name = shop.device(f"{f}-{'Q' if kind == 'isolator' else 'X'}2", kind, place="+HALL", current="40A", earth=True)
            shop.feed(last, name, cable=f"{f}-W{len(shop.cables)}", screened=True)
            last = name
    for motor in ("-M1", "-M2") if "second" in extras else ("-M1",):
        name = shop.device(
            f"{f}{motor}",
            "motor",
            place="+HALL",
            earth=True,
            power="15kW",
            current="28.5A",
            power_factor="0.86",
            winding="400/690V",
            connection="delta",
        )
        shop.feed(last, name, cable=f"{f}-W1{motor[-1]}", screened=True)


def direct_feeder(shop: Workshop, bar: str, number: int) -> None:
    """A pump direct on line."""
    f = shop.function(f"=BW{number}", f"Backwash pump {number}")
    chain = [
        shop.device(f"{f}-Q1", "motor-breaker", current="25A", breaking="25kA", setting_range="8..12A"),
        shop.device(f"{f}-K1", "contactor", utilisation="AC-3", current="25A", coil_voltage="24V"),
        shop.device(f"{f}-F2", "overload", setting_range="8..12A"),
    ]
    for a, b in zip([bar, *chain], chain, strict=False):
        shop.feed(a, b)
    motor = shop.device(f"{f}-M1", "motor", place="+HALL", earth=True, power="5.5kW", current="11A", power_factor="0.84")
    shop.feed(chain[-1], motor, cable=f"{f}-W1", construction="4G2.5", length=28)


def control_supply(shop: Workshop, bar: str, branches: int = 3) -> None:
    """A 24 V supply with fused branches and a cabinet fan."""
    shop.device("-F9", "breaker", current="6A", curve="C")
    shop.device("-T2", "supply-24v", current="10A", power="240W", source="24V", earth=True)
    shop.feed(bar, "-F9", poles=2)
    shop.feed("-F9", "-T2", poles=2)
    for number in range(1, branches + 1):
        fuse = shop.device(f"-F2{number}", "fuse", current="2A", title=f"24 V branch {number}")
        lamp = shop.device(f"-P{number}", "lamp", power="2W")
        shop.feed("-T2", fuse, poles=2)
        shop.feed(fuse, lamp, poles=2)
    shop.device("-F8", "breaker", current="6A", curve="C")
    shop.device("-E1", "fan", power="50W", current="0.3A", title="Cabinet fan")
    shop.feed(bar, "-F8", poles=1, neutral=True)
    shop.feed("-F8", "-E1", poles=1, neutral=True)


def hall(size: str = "A3") -> Network:
    """A plant with every shape of branch the single-line diagram knows."""
    shop = Workshop(size=size)
    bar = incoming(shop)
    drive_feeder(shop, bar, 1)
    drive_feeder(shop, bar, 2, ("second", "isolator"))
    direct_feeder(shop, bar, 3)
    drive_feeder(shop, bar, 4, ("contactor", "reactor", "filter", "isolator", "box"))
    control_supply(shop, bar)
    return shop.network()


def random_plant(seed: int, count: int, size: str = "A3") -> Network:
    """`count` feeders of mixed kinds."""
    chance = random.Random(seed)
    shop = Workshop(size=size)
    bar = incoming(shop, chance.random() < 0.5)
    for number in range(1, count + 1):
        shape = chance.randrange(3)
        if shape == 0:
            direct_feeder(shop, bar, number)
        else:
            words = ("contactor", "reactor", "filter", "isolator", "box", "second")
            drive_feeder(shop, bar, number, tuple(word for word in words if chance.random() < 0.3))
    if chance.random() < 0.7:
        control_supply(shop, bar, chance.randrange(1, 12))
    return shop.network()
