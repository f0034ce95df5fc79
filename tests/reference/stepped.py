"""The current of a rectifier with six diodes, integrated step by step by a general-purpose solver over whole periods: diodes as
steep resistances, a damped capacitor across the bridge where a choke follows it; nothing of the program's modes or symmetry."""

from __future__ import annotations

from math import exp, pi, sin, sqrt
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from tests.reference.others import found

#: points of the period that is looked at
POINTS = 4096
#: largest step of time, an angle
STEP = 0.01
#: across the bridge, where a choke follows it
DAMPING, ACROSS = 3.0, 0.002


class Bridge(NamedTuple):
    """A rectifier at a supply of 1 between two lines, per unit: `r` and `x` of a line, `x_link` of a choke in the link, 0 where
    there is none, `b_link` of its capacitor, the resistance of its `load`; `on` that of a diode, which leaks by `off`."""

    r: float
    x: float
    x_link: float
    b_link: float
    load: float
    on: float = 1e-4
    off: float = 3e3

    def begin(self) -> list[float]:
        """Currents of two lines, voltage of the link; of a choke the voltage before it and its current."""
        return [0.0, 0.0, 1.35, 1.35, 1 / 1.35] if self.x_link else [0.0, 0.0, 1.35]

    def slope(self, t: float, state: NDArray[np.float64]) -> list[float]:
        """How the state moves, by plain floats: on vectors of three, arrays take four times as long."""
        one, two, voltage, *further = state.tolist()
        currents = (one, two, -one - two)
        direct = max(one, 0.0) + max(two, 0.0) + max(-one - two, 0.0)
        rail = further[0] + DAMPING * (direct - further[1]) if self.x_link else voltage
        driving = []
        for current, shift in zip(currents, _SHIFTS, strict=True):
            leaking = rail / 2 * exp(-abs(current) * self.off)
            terminal = rail + self.on * current - leaking if current > 0 else self.on * current + leaking
            driving.append(_PEAK * sin(t - shift) - self.r * current - terminal)
        mean = sum(driving) / 3
        rates = [(driving[0] - mean) / self.x, (driving[1] - mean) / self.x]
        if not self.x_link:
            return [*rates, (direct - voltage / self.load) / self.b_link]
        through = further[1]
        return [
            *rates,
            (through - voltage / self.load) / self.b_link,
            (direct - through) / ACROSS,
            (rail - voltage) / self.x_link,
        ]


_SHIFTS = (0.0, 2 * pi / 3, 4 * pi / 3)
_PEAK = sqrt(2 / 3)


#: harmonics of a period that are told
ORDERS = 42


class Period(NamedTuple):
    """The last of some periods: r.m.s. of the harmonics of a line current, the power taken, the state at its end."""

    spectrum: NDArray[np.float64]
    power: float
    end: list[float]


def last_period(bridge: Bridge, begin: list[float], periods: int) -> Period:
    """The last of so many periods from a state on."""

    def ask() -> list[float]:
        from scipy.integrate import odeint  # takes half a second, which the other tests need not wait for

        end = 2 * pi * periods
        times = np.array([0.0, *np.linspace(end - 2 * pi, end, POINTS + 1)])
        states = odeint(bridge.slope, begin, times, tfirst=True, rtol=1e-5, atol=1e-7, hmax=STEP, mxstep=1_000_000)
        harmonics = np.fft.rfft(states[1:-1, 0]) * 2j / POINTS / sqrt(2)
        return [*np.abs(harmonics[:ORDERS]).tolist(), float(sqrt(3) * harmonics[1].real), *states[-1].tolist()]

    numbers = found("scipy", f"{bridge} {begin} {periods}", ask)
    return Period(np.array(numbers[:ORDERS]), numbers[ORDERS], numbers[ORDERS + 1 :])
