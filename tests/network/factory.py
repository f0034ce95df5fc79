"""Plants built by hand, in as few words as a test needs."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from netdsl.findings import Source, Span
from netdsl.model.construction import cores_of
from netdsl.model.plant import (
    Cable,
    Clamp,
    Conductor,
    DefaultChoice,
    Device,
    End,
    FunctionScope,
    InnerSource,
    NamedPotential,
    Path,
    Place,
    Plant,
    Ratings,
    ReferencePoint,
    Role,
    RouteWay,
    Terminal,
)
from netdsl.model.project import ProjectData
from netdsl.quantities import parse_quantity

HERE = Span(Source("plant.netdsl", "x" * 10_000), 0, 1)


class Yard:
    """Collects what a test declares; `plant()` gives the Plant."""

    def __init__(self, **project: str) -> None:
        self.project = project
        self.places: dict[str, Place] = {}
        self.functions: dict[str, FunctionScope] = {}
        self.devices: dict[str, Device] = {}
        self.conductors: dict[str, Conductor] = {}
        self.cables: dict[str, Cable] = {}
        self.routes: dict[str, RouteWay] = {}
        self.defaults: list[DefaultChoice] = []
        self.potentials: list[NamedPotential] = []
        self.references: list[ReferencePoint] = []

    def place(self, id: str, kind: str = "cabinet", metal: bool = True, **attributes: str) -> None:
        parent = id.rpartition(".")[0] or None
        enclosure = "" if kind == "field" else id.split(".")[0]
        self.places[id] = Place(id, "", kind, parent, enclosure, metal, "", Ratings(attributes), HERE)

    def device(
        self,
        id: str,
        kind: str,
        terminals: str,
        *,
        at: str = "+MCP",
        category: str = "device",
        paths: tuple[Path, ...] = (),
        sources: tuple[InnerSource, ...] = (),
        klass: str = "II",
        bridges: tuple[tuple[str, ...], ...] = (),
        bonded: bool = False,
        **ratings: str,
    ) -> None:
        """`terminals`: "L1 L2 L3 line-in, PE earth"; kinds of strip terminals `fused` and `earth` are known too."""
        found = {}
        for group in terminals.split(","):
            *names, word = group.split()
            kind_word = word if word in ("fused", "earth") and category == "strip" else ""
            role = Role.PLAIN if word == "fused" else Role(word)
            for name in names:
                found[name] = Terminal(name, role, Clamp(), HERE, kind=kind_word, split=word == "fused")
        values = {name.replace("_", "-"): parse_quantity(value) or value for name, value in ratings.items()}
        function = id[: id.index("-")]
        self.devices[id] = Device(
            id=id,
            category=category,
            kind=kind,
            function=function,
            place=at,
            ratings=Ratings(values),
            terminals=found,
            paths=paths,
            sources=sources,
            protection_class=klass,
            span=HERE,
            whole=HERE,
            bridges=bridges,
            rail_bonded=bonded,
        )

    def supply(self, id: str = "-G0", names: str = "L1 L2 L3 load-out, N neutral, PE earth", **ratings: str) -> None:
        values: dict[str, Any] = {"system": "TN-S", "voltage": "400V", **ratings}
        self.device(id, "supply", names, at="", category="supply", **values)

    def breaker(self, id: str, kind: str = "breaker", switched: bool = False) -> None:
        paths = tuple(Path(a, b, "pole", not switched, "", HERE) for a, b in (("1", "2"), ("3", "4"), ("5", "6")))
        self.device(id, kind, "1 3 5 line-in, 2 4 6 load-out", paths=paths)

    def busbar(self, id: str = "-WB1") -> None:
        self.device(id, "busbar", "L1 L2 L3 N plain", category="busbar")

    def bar(self, id: str = "-XE1") -> None:
        self.device(id, "earth-bar", " ".join(str(n) for n in range(1, 21)) + " earth", klass="")

    def drive(self, id: str) -> None:
        self.device(
            id,
            "drive",
            "L1 L2 L3 line-in, U V W motor-out, PE PE2 earth, 24V supply-out, COM digital-common, DI1 digital-in,"
            "10V reference-out, AI1 analogue-in, AGND analogue-common, A B bus, STO safety-in",
            sources=(source("24V COM", "24V"), source("10V AGND", "10V")),
            klass="I",
        )

    def motor(self, id: str) -> None:
        self.device(id, "motor", "U1 V1 W1 winding, PE earth", at="+HALL", klass="I")

    def wire(self, one: str, other: str, **values: Any) -> str:
        """`one` and `other`: `-X1:5` or `-X1:5/out`; gives the conductor's id."""
        return self._conductor(f"{one} -- {other}", one, other, None, "", values)

    def cable(self, id: str, construction: str, cores: Mapping[str, tuple[str, str]], **values: Any) -> None:
        ids = [self._conductor(f"{id} {core}", *ends, id, core, {}) for core, ends in cores.items()]
        self.cables[id] = Cable(
            id,
            "",
            construction,
            "",
            cores_of(construction) or (),
            tuple(ids),
            (),
            values.get("routes", ()),
            values.get("length_m"),
            "",
            "",
            1,
            id[: id.index("-")],
            Ratings(),
            HERE,
            HERE,
        )

    def _conductor(self, id: str, one: str, other: str, cable: str | None, core: str, values: Mapping[str, Any]) -> str:
        function = values.get("function", "")
        self.conductors[id] = Conductor(
            id,
            (_end(one), _end(other)),
            cable,
            core,
            values.get("section_mm2"),
            values.get("colour"),
            values.get("routes", ()),
            values.get("length_m"),
            values.get("mark"),
            function,
            HERE,
        )
        return id

    def default(self, at: int, within: str = "", klass: str = "", **values: Any) -> None:
        span = Span(HERE.source, at, at + 1)
        routes = values.get("routes", ())
        section, length = values.get("section_mm2"), values.get("length_m")
        self.defaults.append(DefaultChoice(within, klass, section, values.get("colour"), routes, length, span))

    def potential(self, name: str, end: str, mark: str | None = None) -> None:
        self.potentials.append(NamedPotential(name, _end(end), mark, False, HERE))

    def earthing(self, of: str, at: str) -> None:
        self.references.append(ReferencePoint(_end(of), _end(at), HERE))

    def route(self, id: str, divider: bool = False, at: str = "+MCP", kind: str = "duct") -> None:
        self.routes[id] = RouteWay(id, "", kind, at, None, divider, Ratings(), HERE)

    def plant(self) -> Plant:
        project = ProjectData("Alder hatchery", self.project, (), None)
        return Plant(
            project,
            self.places,
            self.functions,
            self.devices,
            self.conductors,
            self.cables,
            self.routes,
            (),
            tuple(self.defaults),
            (),
            tuple(self.potentials),
            tuple(self.references),
            (),
            {},
        )


def source(poles: str, voltage: str, kind: str = "dc") -> InnerSource:
    """`poles`: live first, common last."""
    return InnerSource(tuple(poles.split()), parse_quantity(voltage), kind, None, HERE)


def contact(a: str, b: str, kind: str = "make") -> Path:
    """A contact that the control moves."""
    return Path(a, b, kind, False, "hand", HERE)


def _end(text: str) -> End:
    device, _, terminal = text.rpartition(":")
    terminal, _, side = terminal.partition("/")
    return End(device, terminal, HERE, side)


def feeder(yard: Yard, function: str, drive_earth: str, motor_cable: bool = True) -> None:
    """A drive feeder from `-WB1` on: breaker, drive, motor, motor cable, earth to `drive_earth`."""
    yard.breaker(f"{function}-Q1")
    yard.drive(f"{function}-T1")
    yard.motor(f"{function}-M1")
    for bar, line, load in (("L1", "1", "2"), ("L2", "3", "4"), ("L3", "5", "6")):
        yard.wire(f"-WB1:{bar}", f"{function}-Q1:{line}", function=function)
        yard.wire(f"{function}-Q1:{load}", f"{function}-T1:{bar}", function=function)
    yard.wire(f"{function}-T1:PE", drive_earth, function=function)
    if motor_cable:
        t, m = f"{function}-T1", f"{function}-M1"
        cores = {"BN": "U U1", "BK": "V V1", "GY": "W W1", "GNYE": "PE2 PE"}
        ends = {core: (f"{t}:{pair.split()[0]}", f"{m}:{pair.split()[1]}") for core, pair in cores.items()}
        yard.cable(f"{function}-W1", "4G10", ends, routes=("TRAY1",), length_m=35.0)


def panel(**project: str) -> Yard:
    """Supply, incoming strip and cable, isolator, busbar, earth bar, cabinet with its door; no feeder yet."""
    yard = Yard(**project)
    yard.place("+MCP")
    yard.place("+MCP.D", "door")
    yard.place("+HALL", "field", metal=False)
    yard.supply()
    yard.device("-X0", "strip", "L1 L2 L3 N plain, PE earth", category="strip")
    cores = {"BN": "L1", "BK": "L2", "GY": "L3", "BU": "N", "GNYE": "PE"}
    yard.cable("-W0", "5G35", {core: (f"-G0:{pole}", f"-X0:{pole}") for core, pole in cores.items()})
    yard.bar()
    yard.breaker("-Q0", "isolator")
    yard.busbar()
    for pole, line, load in (("L1", "1", "2"), ("L2", "3", "4"), ("L3", "5", "6")):
        yard.wire(f"-X0:{pole}", f"-Q0:{line}")
        yard.wire(f"-Q0:{load}", f"-WB1:{pole}")
    yard.wire("-X0:N", "-WB1:N")
    yard.wire("-X0:PE", "-XE1:1")
    yard.wire("-XE1:2", "+MCP:PE")
    yard.wire("+MCP:PE", "+MCP.D:PE")
    return yard
