"""Choosing of the library's parts: motor, drive, contactor, isolator, supply; each the smallest that does."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from functools import cache

from netdsl.calc.basis import standard
from netdsl.library.catalogue import entries

#: largest motor of each way of running, kW: its scheme's clamps and breakers, or the library's largest drive, set it
LIMITS_KW = {
    "two-wire": 160.0,
    "three-wire": 160.0,
    "local-remote": 160.0,
    "closed-loop": 160.0,
    "preset-speeds": 160.0,
    "serial-bus": 160.0,
    "mains-bypass": 15.0,
    "direct-on-line": 15.0,
    "star-delta": 15.0,
    "reversing": 15.0,
}
WAYS = tuple(LIMITS_KW)
#: smallest motor: below it no motor breaker of the library has a range
LEAST_KW = 0.09
#: ways of running that have a drive, and those that need 24 V of the panel
WITH_DRIVE = frozenset(WAYS) - {"direct-on-line", "star-delta", "reversing"}
ON_RAIL = frozenset({"direct-on-line", "star-delta", "reversing", "mains-bypass", "serial-bus"})
#: between two fuses in series, the larger over the smaller
SELECTIVE = 1.6


@dataclass(frozen=True, slots=True)
class Infeed:
    """What carries a fuse's rating, mm2 and A: PVC cable on a tray (from 250 A on two of XLPE side by side), single cores in a
    duct of the panel (from 200 A on copper bars), the main isolator, its strip's clamps, the conductor that bonds the cabinet."""

    fuse: int
    cable: int
    panel: int
    bonding: int
    isolator: int
    clamp: int

    @property
    def doubled(self) -> bool:
        """Whether two cables lie side by side, with a protective conductor of its own."""
        return self.fuse > 200

    @property
    def bars(self) -> bool:
        """Whether bars lead from the incoming terminals to the busbars."""
        return self.fuse > 160


_INFEEDS = (
    Infeed(25, 4, 6, 16, 40, 16),
    Infeed(32, 6, 10, 16, 40, 16),
    Infeed(40, 10, 16, 16, 63, 25),
    Infeed(50, 10, 16, 16, 63, 25),
    Infeed(63, 16, 25, 16, 100, 50),
    Infeed(80, 25, 35, 16, 100, 50),
    Infeed(100, 35, 50, 16, 160, 95),
    Infeed(125, 50, 70, 25, 160, 95),
    Infeed(160, 70, 95, 35, 250, 150),
    Infeed(200, 95, 240, 50, 400, 300),
    Infeed(250, 50, 240, 50, 400, 300),
    Infeed(315, 70, 240, 70, 400, 300),
    Infeed(400, 95, 240, 95, 630, 300),
    Infeed(500, 120, 240, 120, 630, 300),
    Infeed(630, 185, 240, 185, 630, 300),
)
UPSTREAM_A = tuple(infeed.fuse for infeed in _INFEEDS)
_FEEDERS_A = (6, 10, 13, 16, 20, *UPSTREAM_A)


@dataclass(frozen=True, slots=True)
class Part:
    """A part with its power in W, current and input current in A (0 where it states none) and winding."""

    name: str
    power: float
    current: float
    input: float
    winding: str


@cache
def _series(pattern: str) -> tuple[Part, ...]:
    """Shipped parts whose name fits a pattern, by power, then current."""
    found = []
    for entry in entries():
        part = entry.part
        if part is not None and re.fullmatch(pattern, entry.name):
            numbers = [part.ratings.amount(word) or 0.0 for word in ("power", "current", "input-current")]
            found.append(
                Part(
                    entry.name,
                    numbers[0],
                    numbers[1],
                    numbers[2],
                    part.ratings.text("winding"),
                )
            )
    return tuple(sorted(found, key=lambda part: (part.power, part.current)))


def cage_motor(watts: float) -> Part | None:
    """The 4-pole motor of the library for a power, the next larger where none has just this; None beyond its end."""
    return next((part for part in _series(r"motor-[\d.]+kw-4p") if part.power >= watts - 1e-6), None)


def drive_for(watts: float, amps: float) -> Part | None:
    """The smallest drive for a motor's power and current."""
    return next((part for part in _series(r"vsd-[\d.]+kw") if part.power >= watts - 1e-6 and part.current >= amps - 1e-9), None)


def contactor_for(watts: float, amps: float) -> str:
    """The smallest contactor for a motor's power and current in AC-3."""
    fitting = [part for part in _series(r"contactor-\d+a") if part.power >= watts - 1e-6 and part.current >= amps - 1e-9]
    return min(fitting, key=lambda part: part.current).name


def motor_current(watts: float) -> float:
    """Rated current of a motor at 400 V, A: that of the library's motor, in proportion where none has just this power."""
    part = cage_motor(watts)
    assert part is not None  # the reading refused powers beyond the library
    return part.current if part.power <= watts + 1e-6 else math.ceil(part.current * watts / part.power * 100) / 100


def inrush() -> tuple[float, float]:
    """Rated current of a protective device over what the drive or supply behind it takes, and the least of it, A."""
    usual = standard("choices")
    return usual["inrush-factor"]["value"], usual["smallest-inrush-rating"]["value"]


def feeder_device(amps: float) -> tuple[str, str]:
    """Designation and part of the protective device of a drive that takes `amps`."""
    wanted = amps * inrush()[0]
    if wanted <= 63:
        return "-Q1", "mcb-3p"
    return "-F1", next(
        part for most, part in ((160, "fuse-nh00-gg"), (250, "fuse-nh1-gg"), (400, "fuse-nh2-gg")) if wanted <= most
    )


def feeder_rating(amps: float) -> float:
    """Rated current of the protective device of a feeder that takes `amps`, inrush counted."""
    factor, least = inrush()
    wanted = max(factor * amps, least)
    return next(rating for rating in _FEEDERS_A if rating >= wanted - 1e-9)


def upstream_for(amps: float, largest: float) -> int | None:
    """Rating of the fuse at the origin of the incoming cable, A, for all motors and ahead of the largest protective device behind
    it; None where more than one incoming supply is needed."""
    fitting = [rating for rating in UPSTREAM_A if rating >= max(amps, largest + 1)]
    return next((rating for rating in fitting if rating >= SELECTIVE * largest), fitting[-1] if fitting else None)


def infeed_for(rating: int) -> Infeed:
    """The infeed behind a fuse of `rating`, A."""
    return next(infeed for infeed in _INFEEDS if rating <= infeed.fuse)
