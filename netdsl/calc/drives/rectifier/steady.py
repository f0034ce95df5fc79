"""Time-domain model of the six-pulse diode rectifier with capacitor: exact between the switchings, steady state by symmetry.

Per unit of the rectifier itself: voltage 1 is the supply's, line to line, r.m.s.; power 1 is what the rectifier takes; time is
the angle of the supply, rad, so that a reactance and its inductance are the same number. Each phase has a resistance and an
inductance (supply, cable, line reactor), the DC side a choke, a capacitor and a resistive load.

Which diodes conduct decides which linear system holds. Its transition matrices over a grid of half a degree are exact (matrix
exponential); a switching inside a grid step is found by halving. In steady state a sixth of a period later the same happens with
the phases exchanged and reversed, so only a sixth is followed, until it repeats.
"""

from __future__ import annotations

from functools import lru_cache
from math import log, pi, sqrt
from typing import TYPE_CHECKING

from msgspec import Struct
from msgspec.structs import replace

from netdsl.calc.drives.rectifier.modes import HALVINGS, STEPS, Mode, Rectifier, Systems, sources

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Vector = NDArray[np.float64]
    Matrix = NDArray[np.float64]

#: highest order of harmonics told
ORDERS = 40
#: mean of the rectified voltage at no load, per unit
NO_LOAD = 3 * sqrt(2) / pi
#: change of the state from one sixth to the next at which it is steady, and at which its power is known to a thousandth
_SETTLED, _ROUGH = 2e-5, 1e-3
#: usual slope of power over load, in logarithms: below one as the voltage falls with the load
_SLOPE = 0.82
#: the load to begin with, of that given: what usual impedances take of the voltage
_GUESS = 0.8
#: how near to power 1 the load is sought, and in how many turns
_CLOSE, _TRIES = 3e-3, 12
_ZERO = 1e-9


class Spectrum(Struct, frozen=True):
    """Line current in steady state. `orders`: complex amplitude (r.m.s., per unit, against the phase's own voltage, lagging
    negative) by order, 1 to 40; `power`: taken from the supply's inner voltage; `voltage`: mean of the capacitor's; `settled`:
    whether the steady state was reached."""

    orders: dict[int, complex]
    power: float
    voltage: float
    settled: bool

    @property
    def fundamental(self) -> float:
        """The fundamental, r.m.s., per unit."""
        return abs(self.orders[1])

    def percent(self, order: int) -> float:
        """A harmonic in percent of the fundamental."""
        return 100 * abs(self.orders.get(order, 0)) / self.fundamental


class _Run:
    """A sixth of a period after the other, on the grid."""

    def __init__(self, made: Rectifier) -> None:
        self._systems = Systems(made)

    def sixth(self, state: Vector, mode: Mode) -> tuple[Matrix, Mode]:
        """States on the grid over a sixth of a period from `state` on, the last not included; the last row is the state after
        it."""
        import numpy as np

        rows = np.empty((STEPS + 1, 6))
        rows[0] = state
        at = 0
        mode = self._changed(state, mode) or mode
        while at < STEPS:
            ahead = self._systems.grid(mode)[0][: STEPS - at] @ rows[at]
            count = self._first_fault(ahead, mode)
            rows[at + 1 : at + 1 + count] = ahead[:count]
            at += count
            if at < STEPS:
                rows[at + 1], mode = self._through(rows[at], mode)
                at += 1
        return rows, mode

    def _through(self, state: Vector, mode: Mode) -> tuple[Vector, Mode]:
        """One grid step in which diodes switch: halved until each switching is found."""
        left = 1 << HALVINGS
        for _ in range(64):
            here, left = self._before_fault(state, mode, left)
            if not left:
                return here, mode
            state = here.copy()
            mode = self._changed(state, mode) or mode
        return state, mode

    def _before_fault(self, state: Vector, mode: Mode, left: int) -> tuple[Vector, int]:
        """The last moment within `left` parts of a step at which `mode` holds, one part beyond it; and the parts left then."""
        parts = self._systems.grid(mode)[1]
        for halving in range(HALVINGS + 1):
            size = 1 << (HALVINGS - halving)
            if size > left:
                continue
            ahead = parts[halving] @ state
            if self._holds(ahead, mode):
                state, left = ahead, left - size
        if left:
            state, left = parts[HALVINGS] @ state, left - 1
        return state, left

    def _first_fault(self, ahead: Matrix, mode: Mode) -> int:
        """How many of the states ahead the mode holds for."""
        bad = (ahead @ self._systems.guards(mode).T > _ZERO).any(axis=1)
        return int(bad.argmax()) if bad.any() else len(ahead)

    def _holds(self, state: Vector, mode: Mode) -> bool:
        # of half a dozen numbers a list is looked through in a third of the time that an array takes
        return bool(max((self._systems.guards(mode) @ state).tolist()) <= _ZERO)

    def _changed(self, state: Vector, mode: Mode) -> Mode | None:
        """The mode that follows at `state`, whose currents that ended are set to zero; None where `mode` holds on."""
        if self._holds(state, mode):
            return None
        new = tuple(0 if sign * state[k] < -_ZERO else sign for k, sign in enumerate(mode))
        if 1 not in new or -1 not in new:
            new = (0, 0, 0)
        state[:3] *= [abs(sign) for sign in new]
        here: Mode = (new[0], new[1], new[2])
        return self._turned_on(state, here)

    def _turned_on(self, state: Vector, mode: Mode) -> Mode:
        """The mode with the phases added that begin to conduct at `state`."""
        volts = sources() @ state[4:]
        if not any(mode):
            high, low = int(volts.argmax()), int(volts.argmin())
            if volts[high] - volts[low] <= state[3]:
                return mode
            return _as_mode({high: 1, low: -1})
        rail, floor = self._systems.rails(mode) @ state
        return _as_mode({k: sign or (int(volts[k] > rail) - int(volts[k] < floor)) for k, sign in enumerate(mode)})


def _as_mode(signs: dict[int, int]) -> Mode:
    return signs.get(0, 0), signs.get(1, 0), signs.get(2, 0)


def steady(made: Rectifier, sixths: int = 240) -> Spectrum:
    """The line current of `made` in steady state, followed over at most `sixths` sixths of a period."""
    return _settled(_Run(made), _begin(), sixths, _SETTLED)[0]


@lru_cache(maxsize=256)
def at_full_power(made: Rectifier) -> Spectrum:
    """The line current with the load so set that the rectifier takes power 1, within half a percent; where its source gives less
    whatever the load, that of about the most it gives.

    The load is sought on a line through the last two in logarithms, roughly settled until it is near. Kept, since proposing sizes
    works the same drive out at the same supply in every turn."""
    made = replace(made, load=_GUESS * made.load)
    found, start = _settled(_Run(made), _begin(), 240, _ROUGH)
    slope, fine = _SLOPE, False
    for _ in range(_TRIES):
        close = abs(found.power - 1) < _CLOSE
        if close and fine:
            break
        before, tried = max(found.power, 1e-3), made.load
        if not close:
            made = replace(made, load=tried * before ** (1 / slope))
        best = found
        found, start = _settled(_Run(made), start, 240, _SETTLED if close else _ROUGH)
        if not close and made.load < tried and found.power < before + _CLOSE:
            return best  # a lower load takes no more
        fine = close
        if abs(log(made.load / tried)) > 1e-3 and found.power > 0:
            slope = min(1.0, max(0.3, log(before / found.power) / log(made.load / tried)))
    return found


def _begin() -> tuple[Vector, Mode]:
    import numpy as np

    return np.array([0.0, 0.0, 0.0, NO_LOAD, 0.0, 1.0]), (0, 0, 0)


def _settled(run: _Run, start: tuple[Vector, Mode], sixths: int, change: float) -> tuple[Spectrum, tuple[Vector, Mode]]:
    """The steady state reached from `start`, to within `change` a sixth, and its first moment."""
    import numpy as np

    state, mode = start
    for _ in range(sixths):
        rows, after = run.sixth(state, mode)
        a, b, c, volts = rows[STEPS, :4]
        follows = np.array([-c, -a, -b, volts, 0.0, 1.0])
        settled = bool(np.abs(follows - state).max() < change)
        state, mode = follows, (-after[2], -after[0], -after[1])
        if settled:
            break
    return _spectrum(rows[:STEPS], settled), (state, mode)


def _spectrum(rows: Matrix, settled: bool) -> Spectrum:
    import numpy as np

    a, b, c = rows[:, 0], rows[:, 1], rows[:, 2]
    whole = np.concatenate((a, -b, c, -a, b, -c))
    found = np.fft.rfft(whole)[: ORDERS + 1] * (2 / len(whole)) * 1j / sqrt(2)
    orders = {order: complex(found[order]) for order in range(1, ORDERS + 1)}
    return Spectrum(orders, sqrt(3) * orders[1].real, float(rows[:, 3].mean()), settled)
