"""Choosing of the library's parts: motor, drive, contactor, isolator, supply; each the smallest that does."""

from __future__ import annotations

import math
import re
from functools import cache

from msgspec import Struct

from netdsl.calc.basis import standard
from netdsl.library.catalogue import entries
from netdsl.starting.practice import Infeed, infeeds, practice


class Part(Struct, frozen=True):
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


def soft_starter_for(watts: float, amps: float) -> str:
    """The smallest soft starter for a motor's power and current."""
    series = _series(r"soft-starter-[\d.]+kw")
    return next(part.name for part in series if part.power >= watts - 1e-6 and part.current >= amps - 1e-9)


def motor_breaker_for(amps: float) -> str:
    """The smallest motor breaker that can be set to a current."""
    return next(part.name for part in _series(r"motor-breaker-[\d.]+a") if part.current >= amps - 1e-9)


class TwoSpeed(Struct, frozen=True):
    """A motor with two windings: its part, power in W, rated currents at the high and the low speed in A."""

    name: str
    power: float
    high: float
    low: float


@cache
def two_speed_motors() -> tuple[TwoSpeed, ...]:
    """The library's motors with two windings, by power."""
    found = []
    for part in _series(r"motor-two-speed-[\d.]+kw"):
        shipped = next(entry.part for entry in entries() if entry.name == part.name)
        low = shipped.terminals["1U"].current if shipped else None
        assert low is not None  # each of its windings states its current
        found.append(TwoSpeed(part.name, part.power, part.current, low.value))
    return tuple(found)


def two_speed_motor(watts: float) -> TwoSpeed:
    """The library's motor with two windings for just this power at its high speed. Raises StopIteration where it has none."""
    return next(part for part in two_speed_motors() if abs(part.power - watts) < 1e-6)


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
    wanted, feeders = amps * inrush()[0], practice()["feeders"]
    if wanted <= feeders["breaker_up_to"]:
        return "-Q1", "mcb-3p"
    return "-F1", next(part for most, part in feeders["bases"] if wanted <= most)


def feeder_rating(amps: float) -> float:
    """Rated current of the protective device of a feeder that takes `amps`, inrush counted."""
    factor, least = inrush()
    wanted = max(factor * amps, least)
    series = (*practice()["feeders"]["ratings"], *(infeed.fuse for infeed in infeeds()))
    return float(next(rating for rating in series if rating >= wanted - 1e-9))


def upstream_for(amps: float, largest: float) -> int | None:
    """Rating of the fuse at the origin of the incoming cable, A, for all motors and ahead of the largest protective device behind
    it; None where more than one incoming supply is needed."""
    fitting = [infeed.fuse for infeed in infeeds() if infeed.fuse >= max(amps, largest + 1)]
    return next((rating for rating in fitting if rating >= selective() * largest), fitting[-1] if fitting else None)


def selective() -> float:
    """Between two fuses in series, the larger over the smaller."""
    return float(practice()["feeders"]["selective"])


def infeed_for(rating: int) -> Infeed:
    """The infeed behind a fuse of `rating`, A."""
    return next(infeed for infeed in infeeds() if rating <= infeed.fuse)
