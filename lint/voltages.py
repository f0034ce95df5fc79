"""Voltages between potentials, and how a rating compares with them."""

from __future__ import annotations

from collections.abc import Iterable
from math import sqrt

from msgspec import Struct

from lint.facts import Facts
from netdsl.network.types import Potential
from netdsl.quantities import Quantity

TOLERANCE = 0.1  # of a nominal voltage: 230 V and 240 V, 400 V and 415 V are taken as one
ZERO = frozenset({"N", "0V", "-", "PE", "PEN"})


class Volts(Struct, frozen=True):
    """A voltage that arrives: `value` V, `kind` ac or dc, `of` the potential that brings it."""

    value: float
    kind: str
    of: Potential


def is_three_phase(facts: Facts, potential: Potential) -> bool:
    """Whether a potential is a pole of a three-phase source."""
    device = facts.device(potential.device)
    if device is None or potential.kind != "ac":
        return False
    return "L2" in device.terminals or any(len(source.poles) > 3 for source in device.sources)


def between(facts: Facts, a: Potential, b: Potential) -> Volts | None:
    """The voltage between two poles of one source; None for poles of different sources, or where it is not known."""
    # pulses have no voltage that a rating in AC or DC could be held against
    if a.group != b.group or a.pole == b.pole or a.kind == "pwm" or b.kind == "pwm":
        return None
    live = b if a.pole in ZERO else a
    if live.voltage is None or live.pole in ZERO or live.kind not in {"ac", "dc"}:
        return None
    phase = is_three_phase(facts, live) and (a.pole in ZERO or b.pole in ZERO)
    return Volts(live.voltage / sqrt(3) if phase else live.voltage, live.kind, live)


def across(facts: Facts, a: Iterable[Potential], b: Iterable[Potential]) -> list[Volts]:
    """Voltages that can lie between two nets."""
    others = list(b)
    found = (between(facts, one, other) for one in a for other in others)
    return [volts for volts in found if volts is not None]


def to_earth(facts: Facts, potentials: Iterable[Potential]) -> list[Volts]:
    """Voltages of live potentials against the common of their own source."""
    found = []
    for potential in potentials:
        if potential.voltage and potential.pole not in ZERO and potential.kind in {"ac", "dc"}:
            value = potential.voltage / sqrt(3) if is_three_phase(facts, potential) else potential.voltage
            found.append(Volts(value, potential.kind, potential))
    return found


def astray(facts: Facts, a: tuple[Potential, ...], b: tuple[Potential, ...]) -> list[Volts]:
    """Voltages of live poles at one side of a consumer whose other side gets only zero poles, of other sources."""
    pairs = ((a, b), (b, a))
    return [volts for one, other in pairs if other and all(p.pole in ZERO for p in other) for volts in to_earth(facts, one)]


def fits(rating: Quantity, volts: Volts, kind: str) -> bool:
    """Whether a consumer rated for `rating` (a range, alternatives, one value) and `kind` (ac, dc, "" either) stands `volts`."""
    if kind and volts.kind != kind:
        return False
    if rating.form == "range":
        return rating.value * (1 - TOLERANCE) <= volts.value <= rating.last * (1 + TOLERANCE)
    return any(abs(volts.value - value) <= TOLERANCE * value for value in rating.values)


def bears(rating: Quantity, volts: Volts) -> bool:
    """Whether something rated for at most `rating` bears `volts`."""
    return volts.value <= max(rating.values) * (1 + TOLERANCE)
