"""A panel under construction: what stands where, ways of the earth bar, taps of 24 V, how a person writes conductors."""

from __future__ import annotations

import random
from collections.abc import Iterable
from dataclasses import dataclass, field
from typing import Any

from tests.soundness.trade import number

SHARE_OF_A_DUCT = 5
TAPS_A = 0.8


@dataclass
class Rail:
    """A branch of 24 V: its strip's designation, taps used, current taken."""

    name: str
    number: int
    plus: int = 1
    zero: int = 1
    amps: float = 0.0


@dataclass
class Style:
    """How this designer writes: chosen once for a plant."""

    routes: bool  # ducts and trays are named, else cables say their method
    explicit: bool  # every conductor says all, else `defaults` say it
    flat: bool  # no functions: designations carry the feeder's number
    divided: bool  # one divided tray for control and signals, else two
    control: str  # colour of 24 V
    power: str  # colour of phases
    own_drives: bool  # drives of own parts, whose terminals are called otherwise
    blocks: bool  # 24 V on distribution blocks in place of strips
    comb: bool  # motor breakers on a comb
    plate: bool  # devices stand on a mounting plate
    door: str  # "metal", "plastic" or "none": what the operating devices stand on
    nested: bool  # several machines stand in a function around them
    rail_earth: bool  # protective conductors of field cables end on earth terminals of a bonded rail


@dataclass
class Feeder:
    """One machine: its number, the designations it uses, its lines."""

    panel: Panel
    index: int
    title: str
    lines: list[str] = field(default_factory=list)
    amps: float = 0.0  # taken from the busbars
    largest: float = 0.0  # rating of its protective device
    drive: Any = None  # its drive, where it has one

    def n(self, short: str) -> str:
        """A designation as this feeder's own lines write it: `Q1`."""
        return f"-{short[0]}{self.index}{int(short[1:]):02}" if self.panel.style.flat else f"-{short}"

    def full(self, short: str) -> str:
        """The same as other feeders write it."""
        return (
            self.n(short)
            if self.panel.style.flat
            else f"={self.panel.scope.removeprefix('=')}{self.group}{self.function}-{short}"
        )

    @property
    def group(self) -> str:
        """The function around it, with its dot."""
        return f"G{(self.index - 1) // 3 + 1}." if self.panel.style.nested else ""

    @property
    def function(self) -> str:
        return f"{self.panel.prefix}{self.index}"

    def add(self, *lines: str) -> None:
        self.lines += lines

    def device(self, short: str, part: str, text: str = "", **values: object) -> str:
        """A device statement; its designation."""
        said = "".join(f" {key.replace('_', '-')}={value}" for key, value in values.items() if value not in (None, ""))
        stands = f" at={self.panel.inside}" if self.panel.style.flat and "at" not in values else ""
        words = f' "{text}"' if text else ""
        self.add(f"device {self.n(short)} {part}{words}{stands}{said}")
        return self.n(short)

    def block(self) -> list[str]:
        """The feeder as it stands in the text."""
        if self.panel.style.flat:
            return [f"# {self.title}", *self.lines, ""]
        inner = [f"  {line}" for line in self.lines]
        return [f'function ={self.function} "{self.title}" at={self.panel.inside} {{', *inner, "}", ""]


class Panel:
    """A cabinet with what it feeds."""

    def __init__(self, chance: random.Random, style: Style, name: str, system: str) -> None:
        self.chance, self.style, self.name, self.system = chance, style, name, system
        self.prefix = chance.choice(("P", "PU", "M", "DR", "F"))
        self.common: list[str] = []
        self.feeders: list[Feeder] = []
        self.rails: list[Rail] = []
        self.bus = chance.choice(("-WB1", "-WB10", "-WB0"))
        self.bar = chance.choice(("-XE1", "-XPE", "-XE0"))
        self.ways = 0
        self.planned = 1
        self.scope = ""  # the function it stands in, with its dot
        self.first_index = 0
        self.limit = 34.0 if system == "TT" else 140.0
        self.alternating = chance.random() < 0.2  # contactors of 230 V, from a control transformer or a phase
        self.alternating_taps = {"L": 1, "N": 1}
        self.beside = 6.0  # taken by what is no machine, A
        self.stations: list[Any] = []
        self.field_earths = 0
        self.combs = 0
        self.ducts = 0
        self.in_duct = 0
        self.output_ducts: list[str] = []
        self.losses = 0.0
        self.places: list[str] = []
        self.needs_door = False
        self.screens = 0
        self.hall = chance.choice(("+HALL", "+FIELD", "+ROOF"))
        self.used: set[str] = set()
        self.earthing_lines: list[str] = []

    @property
    def inside(self) -> str:
        """Where devices of the panel stand."""
        return f"{self.name}.P" if self.style.plate else self.name

    @property
    def door(self) -> str:
        """Where buttons and lamps stand."""
        self.needs_door = True
        return f"{self.name}.D"

    @property
    def neutral(self) -> bool:
        return self.system not in ("IT",)

    def share(self) -> float:
        """The most that the next feeder may take of what the infeed has left, A."""
        left = self.limit - sum(feeder.amps for feeder in self.feeders)
        return max(1.9, 1.6 * left / max(1, self.planned - len(self.feeders) + 1))

    # --- earth, 24 V ------------------------------------------------------------------------------------------------
    def earth(self) -> str:
        """A free way of the earth bar."""
        self.ways += 1
        return f"{self.bar}:{self.ways}"

    def field_earth(self) -> str:
        """Where the protective core of a field cable ends: the bar, or an earth terminal of a bonded rail."""
        if not self.style.rail_earth:
            return self.earth()
        self.field_earths += 1
        return f"-X8:{self.field_earths}"

    def rail(self, amps: float) -> Rail:
        """A branch of 24 V that has room for `amps` more."""
        if not self.rails or self.rails[-1].amps + amps > TAPS_A:
            number_ = len(self.rails) + 1
            self.rails.append(Rail(f"-X{20 + number_}", number_))
        self.rails[-1].amps += amps
        return self.rails[-1]

    def plus(self, rail: Rail) -> str:
        """A free 24 V tap."""
        rail.plus += 1
        return f"{rail.name}P:L1" if self.style.blocks else f"{rail.name}:{rail.plus}"

    def alternating_tap(self, pole: str) -> str:
        """A free terminal of the 230 V control voltage."""
        self.alternating_taps[pole] += 1
        return f"-X60:{pole}{self.alternating_taps[pole]}"

    def zero(self, rail: Rail) -> str:
        """A free 0 V tap."""
        rail.zero += 1
        return f"{rail.name}N:L1" if self.style.blocks else f"{rail.name}:{100 + rail.zero}"

    # --- ways ---------------------------------------------------------------------------------------------------------
    def power_way(self) -> str:
        """The duct of a feeder's power wires, one more circuit in it."""
        if not self.ducts or self.in_duct >= SHARE_OF_A_DUCT:
            self.ducts += 1
            self.in_duct = 0
        self.in_duct += 1
        return f"DUCT1{self.ducts}"

    def way(self, what: str) -> str:
        """`along=` of a field cable: "motor", "mains", "control", "signal"; method where no routes are named."""
        self.used.add(what)
        if not self.style.routes:
            return " method=E" if what in ("motor", "mains") else ""
        if what in ("motor", "mains"):
            return f" method=E along={'TRAY1' if what == 'motor' else 'TRAY2'}"
        inside = ",DUCT3" if what == "signal" and self.chance.random() < 0.6 else ""
        name = (
            ("TRAY3/1" if what == "control" else "TRAY3/2") if self.style.divided else ("TRAY3" if what == "control" else "TRAY4")
        )
        return f" along={name}{inside}"

    def to_door(self, what: str = "control") -> str:
        """`along=` of a conductor to the door."""
        if not self.style.routes:
            return ""
        self.used.add("signal-duct" if what == "signal" else "control-duct")
        if what == "signal":
            return f" along=DUCT3,{'HINGE2' if self.alternating else 'HINGE1'}"
        return " along=DUCT2,HINGE1"

    # --- conductors -----------------------------------------------------------------------------------------------------
    def wire(
        self, ends: str, klass: str, size: float | None = None, *, way: str = "", length: float = 0, colour: str = ""
    ) -> str:
        """A wire. `klass`: mains, neutral, control, earth, motor; `way`: " along=..." where it is not the usual one."""
        usual = {"mains": 2.5, "neutral": 2.5, "control": 0.75, "earth": 2.5, "motor": 2.5}[klass]
        shade = (
            colour
            or {
                "mains": self.style.power,
                "neutral": "BU",
                "control": self.style.control,
                "earth": "GNYE",
                "motor": self.style.power,
            }[klass]
        )
        words = [f"wire {ends}"]
        if self.style.explicit or klass == "neutral" or size not in (None, usual):
            words.append(f"{number(size or usual)}mm2")
        if self.style.explicit or colour or klass == "neutral":
            words.append(shade)
        if not way and self.style.explicit and self.style.routes and klass in ("control",):
            self.used.add("control-duct")
            way = " along=DUCT2"
        if length or self.style.explicit:
            way += f" length={number(length or self.chance.choice((0.8, 1, 1.5, 2)))}m"
        return " ".join(words) + way

    def control(self, *ends: str, door: bool = False, neutral: bool = False) -> str:
        """A chain of control wires; at 230 V the neutral is light blue there too."""
        colour = "BU" if neutral or any(end.startswith("-X60:N") for end in ends) else ""
        return self.wire(" to ".join(ends), "control", way=self.to_door() if door else "", colour=colour)

    def cable(
        self,
        name: str,
        construction: str,
        length: float,
        what: str,
        cores: Iterable[str],
        *,
        screened: bool = False,
        words: str = "",
    ) -> list[str]:
        """A field cable."""
        shield = " screened" if screened else ""
        head = f"cable {name} {construction}{shield}{words} length={number(length)}m{self.way(what)} {{"
        return [head, *(f"  {core}" for core in cores), "}"]
