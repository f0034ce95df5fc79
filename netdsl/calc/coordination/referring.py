"""Devices ahead of a transformer as a current behind it sees them."""

from __future__ import annotations

from math import sqrt

from msgspec.structs import replace

from netdsl.calc.devices import Characteristic, Point

#: by the lines ahead of a transformer, what stands before the ratio of its voltages: with three (delta and star) a fault between
#: two conductors behind it flows in one of them 2 / sqrt(3) times as large as a fault of three phases would
WORST_SHARE = {2: 1.0, 3: sqrt(3) / 2}


def referred(device: Characteristic, ratio: float, words: str) -> Characteristic:
    """A device with the currents and energies behind a transformer that flow through it as its own: times `ratio`, the energies
    times its square. Its rated current stays its own."""
    band, melts = device.instantaneous_a, device.pre_arcing
    return replace(
        device,
        holds=tuple(_point(point, ratio, words) for point in device.holds),
        points=tuple(_point(point, ratio, words) for point in device.points),
        tripping_a=None if device.tripping_a is None else ratio * device.tripping_a,
        instantaneous_a=None if band is None else (ratio * band[0], ratio * band[1]),
        pre_arcing=None if melts is None else replace(melts, value=ratio**2 * melts.value, words=_said(melts.words, words)),
    )


def _point(point: Point, ratio: float, words: str) -> Point:
    return replace(point, amps=ratio * point.amps, words=_said(point.words, words))


def _said(own: str, words: str) -> str:
    return f"{own}, referred to the secondary, {words}"
