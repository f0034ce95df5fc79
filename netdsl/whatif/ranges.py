"""Over a range of one input: where each limit holds, and which breaks first."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from itertools import pairwise

from msgspec import Struct

from netdsl.calc import Calculation
from netdsl.calc.basis import Result
from netdsl.network.types import Network
from netdsl.whatif.inputs import Vary

#: values that are tried first, evenly; then between two of which a limit holds at one and not at the other
FIRST = 9
#: calculations at most
MOST = 48
#: how near the two values come between which a limit breaks, share of the range
NEAR = 0.004


class Kept(Struct, frozen=True):
    """A limit over the range. `result`: as it is at `tried`, where it is nearest to its limit. `holds`: the stretches in which it
    is kept, from and to in the base unit of what is varied, as far as values were tried; `breaks`: of each value at which it
    stops or begins to hold the two tried ones between which that lies, the kept one first. `unknown`: values at which it could
    not be computed."""

    result: Result
    tried: float
    holds: tuple[tuple[float, float], ...]
    breaks: tuple[tuple[float, float], ...]
    unknown: tuple[float, ...]


class Ranges(Struct, frozen=True):
    """`broken`: limits that are kept in a part of the range, that which breaks nearest to `start` first; `never` and `always`:
    those that are kept nowhere, and wherever they could be computed. `start`: the value as it is written where that lies in the
    range, else its lower end. `values`: all that were tried."""

    vary: Vary
    start: float
    broken: tuple[Kept, ...]
    never: tuple[Kept, ...]
    always: tuple[Kept, ...]
    values: tuple[float, ...]


def ranges(network: Network, vary: Vary) -> Ranges:
    """Try a range: evenly, then between values where a verdict changes, until these are near each other."""
    tried: dict[float, Mapping[str, Result]] = {}
    start = vary.present if vary.present is not None and vary.low <= vary.present <= vary.high else vary.low
    step = (vary.high - vary.low) / (FIRST - 1)
    for value in sorted({*(vary.low + step * n for n in range(FIRST)), start}):
        tried[value] = _limits(network, vary, value)
    while len(tried) < MOST and (between := _between(tried, (vary.high - vary.low) * NEAR, start)) is not None:
        tried[between] = _limits(network, vary, between)
    values = tuple(sorted(tried))
    found = [_kept(key, tried, values) for key in dict.fromkeys(key for value in values for key in tried[value])]
    broken = sorted((each for each in found if each.breaks), key=lambda each: _distance(each, start))
    rest = [each for each in found if not each.breaks]
    return Ranges(
        vary,
        start,
        tuple(broken),
        tuple(each for each in rest if not each.holds),
        tuple(each for each in rest if each.holds),
        values,
    )


def _limits(network: Network, vary: Vary, value: float) -> dict[str, Result]:
    judged = Calculation(vary.network(network, value)).judged
    return {result.key: result for result in judged if result.limit is not None}


def _between(tried: Mapping[float, Mapping[str, Result]], near: float, start: float) -> float | None:
    """The middle of the stretch nearest to `start` at whose ends a limit differs and that is still wide; None where none is."""
    values = sorted(tried)
    wide = [
        (min(abs(low - start), abs(high - start)), low, high)
        for low, high in pairwise(values)
        if high - low > near and _differ(tried[low], tried[high])
    ]
    return (min(wide)[1] + min(wide)[2]) / 2 if wide else None


def _differ(one: Mapping[str, Result], other: Mapping[str, Result]) -> bool:
    return any(key in other and result.holds != other[key].holds for key, result in one.items())


def _kept(key: str, tried: Mapping[float, Mapping[str, Result]], values: Sequence[float]) -> Kept:
    known = [(value, tried[value][key]) for value in values if key in tried[value]]
    holds: list[tuple[float, float]] = []
    breaks: list[tuple[float, float]] = []
    before: tuple[float, Result] | None = None
    for value, result in known:
        if result.holds:
            fresh = before is None or not before[1].holds
            holds = [*holds, (value, value)] if fresh else [*holds[:-1], (holds[-1][0], value)]
        if before is not None and before[1].holds != result.holds:
            breaks.append((before[0], value) if before[1].holds else (value, before[0]))
        before = value, result
    tightest = min(known, key=lambda each: each[1].margin_percent if each[1].margin_percent is not None else 0.0)
    unknown = tuple(value for value in values if key not in tried[value])
    return Kept(tightest[1], tightest[0], tuple(holds), tuple(breaks), unknown)


def _distance(kept: Kept, start: float) -> tuple[float, str]:
    return min(abs(one - start) for pair in kept.breaks for one in pair), kept.result.key
