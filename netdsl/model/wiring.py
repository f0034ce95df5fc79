"""What joins terminals and where it lies: conductors, cables with their screens, routes."""

from __future__ import annotations

from msgspec import Struct, field

from netdsl.findings import Span
from netdsl.model.ratings import Ratings

#: what a tooth of a comb is made of, as a wire would say it
TOOTH = "comb"


class End(Struct, frozen=True):
    """Where a conductor ends. `device` may be a place (`+MCP`, terminal `PE`). `side`: "in", "out" or "" if unnamed. `use`: which
    of its functions the text asks an input for, "" where it says none."""

    device: str
    terminal: str
    span: Span
    side: str = ""
    use: str = ""

    @property
    def id(self) -> str:
        """`=RP1-T1:U`."""
        return f"{self.device}:{self.terminal}"


class Conductor(Struct, frozen=True):
    """A wire or a connected cable core, between exactly two ends.

    A wire chain A to B to C gives one Conductor per piece, with the same `chain` id. `section_mm2`, `colour`, `routes`,
    `length_m` are as written (None or empty: not written, see Network for the resolved value). `twin_at`:
    terminals, `-K1:A2`, at which it shares a twin ferrule with another conductor.
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
    twin_at: tuple[str, ...] = ()
    use: Span | None = None  # as of a Device
    attributes: Ratings = field(default_factory=Ratings)  # insulation=..., material=...

    @property
    def is_tooth(self) -> bool:
        """Whether it is a tooth of a comb: neither a wire nor a core."""
        return self.attributes.get("material") == TOOTH


class CoreType(Struct, frozen=True):
    """A core of a cable's construction: printed `name` (`BN`, `1`, `1a`), `pair` 0 for none, section in mm2, 0 left open."""

    name: str
    colour: str
    section_mm2: float
    earth: bool
    pair: int = 0


class ScreenTermination(Struct, frozen=True):
    """One end of a screen. `terminal` is "" where only the device is named. `how`: clamp, gland, pigtail, capacitor, open."""

    device: str
    terminal: str
    how: str
    pigtail_m: float | None
    pigtail_width_m: float | None
    bare_m: float | None
    span: Span


class CableScreen(Struct, frozen=True):
    """A screen of a cable: `pair` 0 is the outer one; `ends` none to two, as written."""

    pair: int
    ends: tuple[ScreenTermination, ...]
    span: Span


class Cable(Struct, frozen=True):
    """A cable piece. `screen`: "" none, "outer", "pairs" or "both". `cores`: all of its construction, in order.

    `conductors`: ids of the cores that are connected; the other cores are spare (`spare`: "earthed", "insulated" or ""
    not said). `screens`: terminations as written; a screen that the construction has and no line mentions has ends ().
    `method`: how it is installed (IEC 60364-5-52), "" not said. `parallel`: how many lie under this name. `length_m` in m. The
    devices at its ends are those of its conductors: see `CableUse` of the network.
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
    attributes: Ratings
    span: Span
    whole: Span
    use: Span | None = None  # as of a Device


class RouteWay(Struct, frozen=True):
    """A duct, tray, conduit, hinge; `length_m` in m. With a `divider` it has two compartments, named `TRAY1/1` and `TRAY1/2`."""

    id: str
    title: str
    kind: str
    place: str
    length_m: float | None
    divider: bool
    attributes: Ratings
    span: Span


class RouteRelation(Struct, frozen=True):
    """How two routes lie to each other: `spacing_m` apart over `parallel_m`, or crossing at `crossing_deg`."""

    routes: tuple[str, str]
    spacing_m: float | None
    parallel_m: float | None
    crossing_deg: float | None
    span: Span
