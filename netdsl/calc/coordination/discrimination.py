"""Up to which current the hindmost of two protective devices alone operates, by their characteristics."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from typing import NamedTuple

from msgspec.structs import replace

from netdsl.calc.basis import Formula, Given, formula
from netdsl.calc.devices import Characteristic, Characteristics, Point

#: a value that is stated or a figure, taken as it is
_TAKEN = formula("{I_s}")
#: where the energy let through, that of the current for the opening time, reaches what the fuse ahead bears
_BY_TIME = formula("sqrt({E_a} / {t})")
#: the same of a release that waits
_BY_WAITING = formula("sqrt({E_a} / ({t} + {t_v}))")
#: where it does so between two currents for which the standard limits it
_BY_CLASS = formula("{I_low} + ({I_high} - {I_low}) * ({E_a} - {E_low}) / ({E_high} - {E_low})")
#: what the one ahead bears while it waits, or what the one behind breaks
_BY_DELAY = formula("min({I_cw}; {I_cn})")
RANGE = "the range of overload by conventional currents alone"


class Discrimination(NamedTuple):
    """Up to `formula` with `givens`, A, the hindmost of two devices alone operates. `words`: by what. `overload`: whether it does
    so at overloads."""

    formula: Formula
    givens: tuple[Given, ...]
    words: str
    overload: bool = True


def discriminate(
    ahead: Characteristic, behind: Characteristic, breaking: Given | None, known: Characteristics
) -> Discrimination | str:
    """Up to which current `behind` alone operates, by the characteristics of both; or, in words, why that cannot be said.

    Overload: what is ahead bears the conventional tripping current of what is behind it. Short circuit behind a fuse: the energy
    let through against that which melts the fuse (IEC 60269-1); behind a breaker: up to the lower end of the band in which it
    trips at once, or, where its release waits longer than what is behind it takes, up to what it bears while it
    waits (IEC 60947-2, annex A). `breaking`: breaking capacity of `behind`.
    """
    if not ahead.holds:
        return f"of {ahead.device} no current is known at which it does not operate"
    hold = ahead.holds[0]
    if behind.tripping_a is None and not (behind.kind == "fuse" and behind.energy is not None):
        return f"of {behind.device} no current is known at which it operates"
    held = _point(hold, "I_s")
    if behind.tripping_a is not None and hold.amps * (1 + 1e-9) < behind.tripping_a:
        return Discrimination(_TAKEN, (held, tripping_of(behind)), "an overload may trip the one ahead first", overload=False)
    if ahead.kind == "fuse":
        return _behind_fuse(ahead, behind, breaking, known, held)
    if ahead.instantaneous_a is None:
        return f"at which current {ahead.device} trips at once is not known"
    if ahead.delay is not None:
        return _behind_delayed(ahead, ahead.delay, behind, breaking, known)
    return Discrimination(_TAKEN, (_point(ahead.holds[-1], "I_s"), tripping_of(behind)), f"{RANGE}, beyond it at once")


def _behind_delayed(
    ahead: Characteristic, delay: Given, behind: Characteristic, breaking: Given | None, known: Characteristics
) -> Discrimination:
    """By time: what is behind a breaker whose release waits breaks the fault while it does."""
    lower = ahead.holds[-1]
    taken = known.time_given(behind, lower.amps)
    last = tripping_of(behind)
    if taken is None or taken.value > delay.value * (1 + 1e-9):
        words = f"{RANGE}: beyond it the one ahead may wait less than the one behind takes"
        return Discrimination(_TAKEN, (_point(lower, "I_s"), delay, last), words)
    borne = known.borne_while_waiting(ahead)
    if borne is None or breaking is None:
        unknown = "what the one behind breaks" if borne is not None else "what the one ahead bears while it waits"
        return Discrimination(_TAKEN, (_point(lower, "I_s"), delay, last), f"{RANGE}: {unknown} is not stated")
    values = (borne, replace(breaking, symbol="I_cn"), delay, replace(taken, symbol="t"), last)
    return Discrimination(_BY_DELAY, values, f"the one ahead waits {delay.shown}")


def tripping_of(device: Characteristic) -> Given:
    """The conventional tripping current of a device, A; 0 of what does not protect against overload."""
    words = f"conventional tripping current of {device.device}"
    source = device.points[0] if device.points else None
    if source is None:
        return Given("I_2", device.tripping_a or 0.0, "A", words)
    return Given("I_2", device.tripping_a or 0.0, "A", words, source.span, source.source, source.confidence)


def _behind_fuse(
    ahead: Characteristic, behind: Characteristic, breaking: Given | None, known: Characteristics, held: Given
) -> Discrimination | str:
    bears = ahead.pre_arcing
    if bears is None:
        return f"what energy melts {ahead.device} is not known"
    last = tripping_of(behind)
    if behind.kind == "fuse":
        operates = behind.energy
        if operates is None:
            return f"what energy {behind.device} lets through is not known"
        values = (bears, replace(operates, symbol="E_d"), last)
        if operates.value <= bears.value * (1 + 1e-9):
            return _total(breaking, values, f"its I²t of {operates.shown} melts no fuse that bears {bears.shown}")
        return Discrimination(_TAKEN, (held, *values), f"{RANGE}: its I²t may melt the fuse ahead")
    if behind.instantaneous_a is None and behind.clearing is None:
        return f"at which current {behind.device} trips at once is not known"
    late = ahead.holds[-1] if behind.delay is None else _held_for(ahead, behind.points[-1].seconds)
    if behind.clearing is None and behind.instantaneous_a is not None and late.amps < behind.instantaneous_a[1] * (1 - 1e-9):
        upper = behind.instantaneous_a[1]
        at_once = next((point for point in behind.points if abs(point.amps - upper) <= 1e-9 * upper), behind.points[-1])
        quick = _point(at_once, "I_m")
        return Discrimination(
            _TAKEN, (held, quick, _point(late, "I_a"), last), f"{RANGE}: the fuse may melt before it trips at once"
        )
    return _by_energy(behind, bears, breaking, known, last)


def _held_for(ahead: Characteristic, seconds: float) -> Point:
    """The current at which a device has certainly not operated within a time."""
    return max((point for point in ahead.holds if point.seconds >= seconds), key=lambda point: point.amps, default=ahead.holds[0])


def _by_energy(
    behind: Characteristic, bears: Given, breaking: Given | None, known: Characteristics, last: Given
) -> Discrimination | str:
    if breaking is not None:
        most = known.let_through(behind, breaking.value)
        if most is not None and most.value <= bears.value * (1 + 1e-9):
            return _total(breaking, (bears, replace(most, symbol="E_d"), last), "what it lets through melts no fuse ahead")
    opening = behind.clearing or known.opening_time
    words = "beyond it the energy let through may melt the fuse ahead"
    if behind.delay is not None and behind.clearing is None:
        return Discrimination(_BY_WAITING, (bears, replace(opening, symbol="t"), behind.delay, last), words)
    by_time = (bears, replace(opening, symbol="t"), last)
    amps, rows = _BY_TIME.of(by_time), behind.energies
    if behind.clearing is None and behind.energy is not None:
        values = _between(rows, bears, behind.energy)
        if values is not None and _BY_CLASS.of(values) > amps:
            return Discrimination(_BY_CLASS, (*values, last), words)
    return Discrimination(_BY_TIME, by_time, words)


def _between(rows: Sequence[tuple[float, float]], bears: Given, limit: Given) -> tuple[Given, ...] | None:
    """The two currents for which a standard limits the energy let through and between which it reaches what the fuse bears, with
    their energies; None where it does not."""
    for (low, least), (high, most) in pairwise(rows):
        if least <= bears.value < most:
            where = (None, limit.source, limit.confidence)
            return (
                bears,
                Given("I_low", low, "A", "breaking capacity of the standard's table below", *where),
                Given("I_high", high, "A", "breaking capacity of the standard's table above", *where),
                Given("E_low", least, "A²s", "energy let through there", *where),
                Given("E_high", most, "A²s", "energy let through there", *where),
            )
    return None


def _total(breaking: Given | None, values: tuple[Given, ...], words: str) -> Discrimination | str:
    if breaking is None:
        return "its breaking capacity is not stated"
    return Discrimination(_TAKEN, (replace(breaking, symbol="I_s"), *values), words)


def _point(point: Point, symbol: str) -> Given:
    return Given(symbol, point.amps, "A", point.words, point.span, point.source, point.confidence)
