"""Formulas of fault currents, and the impedances in them part by part: they are worked out from the text that is printed."""

from __future__ import annotations

from functools import cache

from msgspec import Struct

from netdsl.calc.basis import formula
from netdsl.calc.faults.points import Point

#: current through three, two and one poles over an impedance (IEC 60909-0)
_CURRENT = {3: "{c} * {U} / (sqrt(3) * %s)", 2: "{c} * {U} / (2 * %s)", 1: "{c} * {U} / (sqrt(3) * %s)"}
_ONE_PHASE = "{c} * {U} / %s"


class Series(Struct, frozen=True):
    """Impedance of a fault, ohm: `before`, of the source and all up to the device before; `step`, of the last step; `neutral` and
    `earth`, of the neutral and protective conductors. None: not a part of its own."""

    before: complex
    step: complex | None = None
    neutral: complex | None = None
    earth: complex | None = None

    @property
    def text(self) -> str:
        """Its formula."""
        return _series(self.step is not None, self.neutral is not None, self.earth is not None)

    @property
    def values(self) -> dict[str, float]:
        """The values in it by their symbols, ohm."""
        found = {"R_before": self.before.real, "X_before": self.before.imag}
        if self.step is not None:
            found["R_step"], found["X_step"] = self.step.real, self.step.imag
        if self.neutral is not None:
            found["R_N"], found["X_N"] = self.neutral.real, self.neutral.imag
        if self.earth is not None:
            found["R_PE"], found["X_PE"] = self.earth.real, self.earth.imag
        return found

    @property
    def ohms(self) -> float:
        """Its magnitude, ohm."""
        return formula(self.text)(**self.values)


@cache
def _series(step: bool, neutral: bool, earth: bool) -> str:
    names = ["before", *(["step"] if step else []), *(["N"] if neutral else []), *(["PE"] if earth else [])]
    r, x = (" + ".join(f"{{{axis}_{name}}}" for name in names) for axis in "RX")
    return f"sqrt(({r})^2 + ({x})^2)" if len(names) > 1 else f"sqrt({r}^2 + {x}^2)"


@cache
def current_text(poles: int, phases: int, ohms: str) -> str:
    """The formula of a current through `poles`, of a source of `phases`, over an impedance whose formula is `ohms`."""
    return (_CURRENT[poles] if phases == 3 else _ONE_PHASE) % ohms


def of_largest(point: Point) -> Series:
    """The impedance of the largest current of one source, conductors cold; with one pole the return is in it."""
    near, parent = point.near, point.near.parent
    own = point.out - point.strong.impedance.neutral_max if point.poles == 1 else 0j
    step = near.cold - parent.cold if parent else 0j
    back = own if point.returning else 0j
    if point.poles == 1 and parent is not None and not point.returning:
        step += own - parent.neutral_cold
    return _parted(point, point.cold + point.out, None if parent is None else step, back)


def of_smallest(point: Point) -> Series:
    """The impedance of the smallest current between conductors, at the end of the fault; with one pole the return is in it."""
    far, parent = point.far, point.far.parent
    whole = point.end + point.back if point.poles == 1 and point.has_neutral else point.end
    back = point.back - point.weak.impedance.neutral_min if point.returning else 0j
    return _parted(point, whole, far.end - parent.end if parent else None, back)


def of_loop(point: Point) -> Series:
    """The impedance of the earth-fault loop, at the end of the fault."""
    far, parent = point.far, point.far.parent
    line, step = point.end + point.weak.impedance.earth_min, far.end - parent.end if parent else None
    return Series(line - (step or 0j), step, earth=point.earth or 0j)


def largest_text(point: Point, motors: float) -> str:
    """The formula of the largest current; `motors`: what running motors add, A."""
    ohms = _series(point.near.parent is not None, bool(point.returning), False)
    text = current_text(point.poles, point.strong.impedance.phases, ohms)
    return text + (" + {I_P}" if point.together is not None else "") + (" + {I_M}" if motors > 0 else "")


def smallest_text(point: Point) -> str:
    """The formula of the smallest current between conductors."""
    ohms = _series(point.far.parent is not None, bool(point.returning), False)
    return current_text(min(point.poles, 2), point.weak.impedance.phases, ohms)


def earth_text(point: Point) -> str:
    """The formula of the smallest current of one pole to earth."""
    return current_text(1, point.weak.impedance.phases, "{Z_s}")


def _parted(point: Point, whole: complex, step: complex | None, back: complex) -> Series:
    return Series(whole - (step or 0j) - back, step, back if point.returning else None)
