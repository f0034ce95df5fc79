"""Choosing of the library's parts: motor, drive, contactor, isolator, supply; each the smallest that does."""

from __future__ import annotations

import math
from functools import cache

from msgspec import Struct

from netdsl.calc.basis import standard
from netdsl.library.catalogue import part_entry, parts_called
from netdsl.model.part_type import PartType
from netdsl.starting.practice import Infeed, Way, infeeds, practice
from netdsl.sums import sum_of


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
    for entry in parts_called(pattern):
        part = entry.part
        if part is not None:
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


def own_parts(way: Way) -> tuple[Part, ...]:
    """The parts of the library that alone serve a way of running, by power; none where any motor does."""
    return _series(way.parts) if way.parts else ()


def own_part(way: Way, watts: float) -> Part | None:
    """That of them for just this power; None where there is none."""
    return next((part for part in own_parts(way) if abs(part.power - watts) < 1e-6), None)


def drive_for(watts: float, amps: float, series: str = "vsd") -> Part | None:
    """The smallest drive of a series for a motor's power and current."""
    drives = _series(rf"{series}-[\d.]+kw")
    return next((part for part in drives if part.power >= watts - 1e-6 and part.current >= amps - 1e-9), None)


def isolator_for(amps: float) -> str | None:
    """The smallest maintenance isolator for a motor's current; None beyond its end."""
    return next((part.name for part in _series(r"field-isolator-\d+a") if part.current >= amps - 1e-9), None)


def brake_resistor_for(watts: float) -> str:
    """The brake resistor for a drive of a motor's power."""
    return str(next(part for most, part in practice()["brakes"]["resistors"] if watts <= most * 1000 + 1e-6))


def soft_starter_for(watts: float, amps: float) -> str:
    """The smallest soft starter for a motor's power and current."""
    series = _series(r"soft-starter-[\d.]+kw")
    return next(part.name for part in series if part.power >= watts - 1e-6 and part.current >= amps - 1e-9)


def motor_breaker_for(amps: float) -> str:
    """The smallest motor breaker that can be set to a current."""
    return next(part.name for part in _series(r"motor-breaker-[\d.]+a") if part.current >= amps - 1e-9)


def _shipped(part: Part) -> PartType | None:
    entry = part_entry(part.name)
    return entry.part if entry is not None else None


def low_current(part: Part) -> float:
    """Rated current at the low speed of a motor with two windings, A."""
    shipped = _shipped(part)
    low = shipped.terminals["1U"].current if shipped else None
    assert low is not None  # each of its windings states its current
    return low.value


def brake_watts(part: Part) -> float:
    """What the coil of a motor's holding brake takes, W; 0 for a motor without one."""
    shipped = _shipped(part)
    powers = [each.power.value for each in shipped.consumers if each.power] if shipped else []
    return sum_of(powers)


def electronic_fuse_for(watts: float) -> str:
    """The smallest electronic fuse for a branch of 24 V with a margin."""
    amps = watts / 24 * inrush()[0]
    return next(part.name for part in _series(r"electronic-fuse-\d+a") if part.current >= amps)


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


def supply_for(watts: float) -> str | None:
    """The smallest supply of 24 V for what is on it; None beyond its end."""
    return next((part for most, part in practice()["rail"]["supplies"] if watts <= most), None)


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
