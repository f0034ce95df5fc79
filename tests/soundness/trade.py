"""What a panel builder looks up: motors, parts by rating, sections that carry a rating. Figures rounded to the safe side."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from functools import cache

from netdsl.library.catalogue import parts_called
from netdsl.model.kinds import Kind
from netdsl.model.plant import PartType, Role
from netdsl.quantities import Quantity

#: mm2, and what wires of this section carry in a duct at 40 °C, cables on a tray at 30 °C, A
WIRES = (
    (1.5, 13.5),
    (2.5, 18.3),
    (4, 24),
    (6, 31),
    (10, 44),
    (16, 59),
    (25, 77),
    (35, 96),
    (50, 117),
    (70, 149),
    (95, 180),
    (120, 208),
)
CABLES = (
    (1.5, 17.5),
    (2.5, 24),
    (4, 32),
    (6, 41),
    (10, 57),
    (16, 76),
    (25, 96),
    (35, 119),
    (50, 144),
    (70, 184),
    (95, 223),
    (120, 259),
    (150, 299),
    (185, 341),
)
#: of circuits that lie together
IN_DUCT = ((1, 1.0), (2, 0.8), (4, 0.65), (6, 0.57), (9, 0.5), (12, 0.45), (16, 0.41), (20, 0.38))
ON_TRAY = ((1, 1.0), (2, 0.87), (4, 0.77), (6, 0.73), (99, 0.7))
#: a fuse of conventional tripping current 1.6 In protects what carries 1.6 / 1.45 of its rating
FUSE = 1.11
RATINGS = (6, 10, 13, 16, 20, 25, 32, 40, 50, 63)
FUSES = (16, 20, 25, 32, 35, 40, 50, 63, 80, 100, 125, 160, 200)
MARGIN = 1.03


@dataclass(frozen=True)
class Part:
    """A shipped part: its ratings in base units, the sections its power clamps and its earth take, mm2."""

    name: str
    values: dict[str, float]
    winding: str
    power_clamp: tuple[float, float]
    earth_clamp: tuple[float, float]
    setting: tuple[float, float]


def number(value: float) -> str:
    """A number as a person writes it."""
    return f"{value:.4g}"


@cache
def series(*beginnings: str) -> tuple[Part, ...]:
    """Shipped parts whose names begin so, by rated current."""
    found = []
    for entry in parts_called(f"({'|'.join(map(re.escape, beginnings))}).*"):
        part = entry.part
        if part is None or is_special(part):
            continue
        values = {name: value.values[0] for name, value in part.ratings.items() if isinstance(value, Quantity)}
        winding = part.ratings.get("winding")
        power = [
            t.clamp.section
            for t in part.terminals.values()
            if t.role.value in ("line-in", "winding", "load-out") and t.clamp.section
        ]
        earth = [t.clamp.section for t in part.terminals.values() if t.role.value.startswith("earth") and t.clamp.section]
        setting = part.ratings.get("setting-range")
        span = (setting.value, setting.last) if isinstance(setting, Quantity) else (0.0, 0.0)
        text = winding.text if isinstance(winding, Quantity) else ""
        found.append(Part(entry.name, values, text, meet(power), meet(earth), span))
    return tuple(sorted(found, key=lambda part: (part.values.get("current", 0), part.name)))


def is_special(part: PartType) -> bool:
    """Whether a reactor or filter is for one phase, or a motor has more to connect than one winding: a brake, a second speed."""
    if part.kind in (Kind.REACTOR, Kind.FILTER):
        return sum(terminal.role == Role.LINE_IN for terminal in part.terminals.values()) < 3
    roles = {terminal.role for terminal in part.terminals.values()}
    return part.kind == Kind.MOTOR and ("U1" not in part.terminals or Role.COIL in roles)


def meet(ranges: Iterable[tuple[float, float]]) -> tuple[float, float]:
    """What all clamps take."""
    known = list(ranges)
    return (max((low for low, _ in known), default=0.0), min((high for _, high in known), default=1000.0))


def smallest(parts: Iterable[Part], fits: Callable[[Part], bool]) -> Part | None:
    """The first that fits."""
    return next((part for part in parts if fits(part)), None)


def factor(table: tuple[tuple[int, float], ...], circuits: int) -> float:
    """Reduction for so many circuits: that of the next larger number in the table."""
    return next((value for most, value in table if circuits <= most), table[-1][1])


def section(
    amps: float, table: tuple[tuple[float, float], ...] = WIRES, reduced: float = 1.0, least: float = 1.5
) -> float | None:
    """The smallest section that carries a rating, mm2; None beyond the table."""
    return next((size for size, carried in table if size >= least and carried * reduced >= amps * MARGIN), None)


def earth_of(phase: float) -> float:
    """Protective conductor beside phases of a section, by the table: as the phase, 16, half."""
    if phase <= 16:
        return phase
    if phase <= 35:
        return 16
    return next(size for size, _ in CABLES if size >= phase / 2)


def rating(amps: float, series_of: tuple[int, ...] = RATINGS) -> int | None:
    """The next rated current."""
    return next((value for value in series_of if value >= amps - 1e-9), None)
