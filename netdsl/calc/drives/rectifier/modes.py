"""The linear systems of a six-pulse rectifier: which diodes conduct decides which one holds (see `steady`)."""

from __future__ import annotations

from functools import lru_cache
from math import pi, sqrt
from typing import TYPE_CHECKING

from msgspec import Struct

from netdsl.kept import kept

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Matrix = NDArray[np.float64]

#: steps of the grid in a sixth of a period
STEPS = 120
#: terms of the series of the exponential over the smallest part of a step, whose matrix is of the order of 1e-4
TERMS = 5
#: halvings of a step in the search of a switching
HALVINGS = 18
_SHIFT = 2 * pi / 3
_AMPLITUDE = sqrt(2 / 3)
#: how each phase conducts: 1 to the positive rail, -1 to the negative, 0 not
Mode = tuple[int, int, int]


class Rectifier(Struct, frozen=True):
    """One rectifier, per unit. `r`, `x`: of each phase; `r_dc`, `x_dc`: of the DC choke; `b_dc`: susceptance of the capacitor at
    the supply's frequency; `load`: resistance of the load."""

    r: float
    x: float
    r_dc: float
    x_dc: float
    b_dc: float
    load: float


class Systems:
    """The linear systems of one rectifier by conduction mode. State: three line currents, capacitor voltage, sine and cosine of
    time."""

    def __init__(self, made: Rectifier) -> None:
        self._made = made

    @kept
    def grid(self, mode: Mode) -> tuple[Matrix, tuple[Matrix, ...]]:
        """Transition matrices over 1 to STEPS grid steps, stacked; and over a step, its half, its quarter ..."""
        import numpy as np

        parts = [_exponential(self.derivative(mode) * (pi / 3 / STEPS / 2**HALVINGS))]
        for _ in range(HALVINGS):
            parts.append(parts[-1] @ parts[-1])
        parts.reverse()
        stack = np.empty((STEPS, 6, 6))
        stack[0] = parts[0]
        done = 1
        while done < STEPS:
            more = min(done, STEPS - done)
            stack[done : done + more] = stack[:more] @ stack[done - 1]
            done += more
        return stack, tuple(parts)

    @kept
    def derivative(self, mode: Mode) -> Matrix:
        """The matrix of d(state)/d(angle) in a mode."""
        import numpy as np

        made = self._made
        rows = np.zeros((6, 6))
        rows[3, 3] = -1 / (made.load * made.b_dc)
        rows[4, 5], rows[5, 4] = 1.0, -1.0
        upper, lower = [k for k in range(3) if mode[k] > 0], [k for k in range(3) if mode[k] < 0]
        if not upper or not lower:
            return rows
        driving = np.zeros((3, 6))
        driving[:, 4:] = sources()
        for k in range(3):
            driving[k, k] -= made.r
        direct = np.zeros(6)
        direct[upper] = 1.0
        rows[3] += direct / made.b_dc
        count, ups, downs = len(upper) + len(lower), len(upper), len(lower)
        share = ups * downs / count
        rail = np.zeros(6)
        rail[3] = 1.0
        rail += made.r_dc * direct
        pull = (downs * driving[upper].sum(axis=0) - ups * driving[lower].sum(axis=0)) / count - share * rail
        rail = rail + made.x_dc * pull / (made.x + made.x_dc * share)
        neutral = (driving[upper].sum(axis=0) + driving[lower].sum(axis=0) - ups * rail) / count
        for k in upper:
            rows[k] = (driving[k] - rail - neutral) / made.x
        for k in lower:
            rows[k] = (driving[k] - neutral) / made.x
        return rows

    @kept
    def rails(self, mode: Mode) -> Matrix:
        """Potentials of the positive and the negative rail against the supply's star point, as rows over the state."""
        import numpy as np

        rows = np.zeros((2, 6))
        rates = self.derivative(mode)
        for row, sign in ((0, 1), (1, -1)):
            k = mode.index(sign)
            rows[row, 4:] = sources()[k]
            rows[row, k] -= self._made.r
            rows[row] -= self._made.x * rates[k]
        return rows

    @kept
    def guards(self, mode: Mode) -> Matrix:
        """Rows over the state that are all at most zero as long as the mode holds: no current turns, no other diode begins."""
        import numpy as np

        volts = np.zeros((3, 6))
        volts[:, 4:] = sources()
        if not any(mode):
            rail = np.array([0.0, 0.0, 0.0, 1.0, 0.0, 0.0])
            return np.array([volts[j] - volts[k] - rail for j in range(3) for k in range(3) if j != k])
        rails = self.rails(mode)
        rows = [-sign * np.eye(6)[k] for k, sign in enumerate(mode) if sign]
        for k, sign in enumerate(mode):
            if not sign:
                rows += [volts[k] - rails[0], rails[1] - volts[k]]
        return np.array(rows)


def _exponential(small: Matrix) -> Matrix:
    """Exponential of a matrix whose elements are far below one, by its series."""
    import numpy as np

    found = term = np.eye(len(small))
    for order in range(1, TERMS + 1):
        term = term @ small / order
        found = found + term
    return found


@lru_cache(maxsize=1)
def sources() -> Matrix:
    """Phase voltages from sine and cosine of time: one row per phase."""
    import numpy as np

    angles = np.array([0.0, _SHIFT, 2 * _SHIFT])
    return _AMPLITUDE * np.column_stack((np.cos(angles), -np.sin(angles)))
