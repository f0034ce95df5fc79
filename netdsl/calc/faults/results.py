"""Fault currents and loop impedances as results that lead back, device by device, to the source and the netlist's lines."""

from __future__ import annotations

from collections.abc import Iterator
from functools import cached_property
from math import sqrt

from netdsl.calc.basis import Answer, Calculation, Given, Later, Result, SheetQuestion
from netdsl.calc.circuit import Circuit, Path
from netdsl.calc.faults.currents import FaultLevel, Faults
from netdsl.calc.faults.givens import HOT, FaultGivens
from netdsl.calc.faults.points import Point
from netdsl.calc.faults.source import STANDARD

_SERIES = "sqrt(({R_before} + {R_step})^2 + ({X_before} + {X_step})^2)"
_RETURNING = "sqrt(({R_before} + {R_step} + {R_N})^2 + ({X_before} + {X_step} + {X_N})^2)"
_ALONE = "sqrt({R_before}^2 + {X_before}^2)"
#: current through three, two and one poles over an impedance
_CURRENT = {3: "{c} * {U} / (sqrt(3) * %s)", 2: "{c} * {U} / (2 * %s)", 1: "{c} * {U} / (sqrt(3) * %s)"}
_ONE_PHASE = "{c} * {U} / %s"
_POLES = {3: "three-phase", 2: "between two poles", 1: "one pole to neutral, both conductors counted"}
LOOP_CLAUSE = "IEC 60364-4-41, 411.4.4"


class FaultResults(SheetQuestion):
    """Fault currents as results. Each gives the impedance up to the device before and that of the last step."""

    place = 400
    answers = (
        Answer("fault-current.largest", "Largest fault current", "I_k"),
        Answer("fault-current.smallest", "Smallest fault current between conductors", "I_k2"),
        Answer("fault-current.earth", "Smallest line-to-earth fault current", "I_k1"),
        Answer("fault-current.peak", "Peak fault current", "i_p"),
        Answer("loop-impedance", "Earth-fault loop impedance", "Z_s"),
        Answer("source-impedance", "Source impedance", "Z"),
        Answer("transformer-impedance", "Transformer impedance", "Z_T"),
        Answer("network-impedance", "Network impedance", "Z_Q"),
    )

    def __init__(self, calculation: Calculation) -> None:
        super().__init__(calculation)
        self._circuit = calculation.of(Circuit)
        self._faults = calculation.of(Faults)
        self._values = calculation.of(FaultGivens)

    def largest(self, device: str) -> Result | None:
        """The largest prospective current at a device as a result, A (three-phase, or line to neutral of one phase)."""
        point, level = self._faults.points.at(device), self._faults.at(device)
        return self._largest(point, level) if point and level else None

    def earth(self, device: str) -> Result | None:
        """The smallest line-to-earth current at a device as a result, A."""
        point, level = self._faults.points.at(device), self._faults.at(device)
        return self._earth(point, level) if point and level and level.earth_min is not None else None

    def results(self) -> Iterator[Result]:
        """`fault-current.*` and `loop-impedance` of every device of the power circuit."""
        for device in self._calculation.network.power.order:
            source = self._faults.points.source(device) if self._origin(device) else None
            yield from source.results if source else ()
            point, level = self._faults.points.at(device), self._faults.at(device)
            if point and level:
                yield self._largest(point, level)
                yield self._peak(point, level)
                yield self._smallest(point, level)
                if level.earth_min is not None:
                    yield self._loop(point)
                    yield self._earth(point, level)
                elif (second := self._faults.points.second_fault(device, point.far.origin)) is not None:
                    yield self._second_loop(second)

    def _origin(self, device: str) -> bool:
        made = self._calculation.plant.devices[device]
        return made.category == "supply" or made.kind == "transformer"

    # --- results of points ----------------------------------------------------------------------------------------
    def _largest(self, point: Point, level: FaultLevel) -> Result:
        """`fault-current.largest`: cold conductors, voltage factor c_max."""
        ohms = point.cold + point.out
        near = point.near
        own = point.out - point.strong.impedance.neutral_max if point.poles == 1 else 0j
        step = near.cold - near.parent.cold if near.parent else 0j
        back = own if point.returning else 0j
        if point.poles == 1 and near.parent is not None and not point.returning:
            step += own - near.parent.neutral_cold
        formula = self._formula(point, near, point.strong.impedance.phases)
        if point.together is not None:
            formula += " + {I_P}"
        if level.motors > 0:
            formula += " + {I_M}"
        givens = Later(self._of_largest, point, level, ohms - step - back, step, back)
        return self._result("fault-current.largest", point, level.largest, "A", formula, givens, _POLES[point.poles])

    def _of_largest(self, point: Point, level: FaultLevel, before: complex, step: complex, back: complex) -> tuple[Given, ...]:
        near = point.near
        givens = (
            self._c_max,
            self._values.volts(near.origin),
            *self._values.series(point.strong.key, near, before, step, self._values.cold),
            *self._values.returning(point, back, self._values.cold),
        )
        if point.together is not None:
            beside = [name for name in point.together.origins if name != near.origin]
            span = self._calculation.plant.devices[beside[0]].span
            givens += (Given("I_P", level.beside, "A", f"from {', '.join(beside)} in parallel", span),)
        if level.motors > 0:
            givens += (
                Given("I_M", level.motors, "A", "from running motors without a drive", source=STANDARD, confidence="memory"),
            )
        return givens

    def _peak(self, point: Point, level: FaultLevel) -> Result:
        """`fault-current.peak`: the peak of the largest fault current."""
        givens = Later(self._of_peak, point, level)
        return self._result(
            "fault-current.peak", point, level.peak or 0.0, "A", "{kappa} * sqrt(2) * {I_k}", givens, _POLES[point.poles]
        )

    def _of_peak(self, point: Point, level: FaultLevel) -> tuple[Given, ...]:
        kappa = (level.peak or 0.0) / (sqrt(2) * level.largest) if level.largest else 0.0
        words = "1.02 + 0.98 exp(-3 R/X), R/X of the impedance up to the fault"
        key = f"fault-current.largest {point.device}"
        return (
            Given("kappa", kappa, "", words, point.span, result=key),
            Given("I_k", level.largest, "A", f"largest fault current at {point.device}", result=key),
        )

    def _smallest(self, point: Point, level: FaultLevel) -> Result:
        """`fault-current.smallest`: between two poles, or one pole to neutral; conductors at the end of the fault, c_min."""
        far = point.far
        value, ohms = (level.two_min, point.end) if point.poles > 1 else (level.neutral_min, point.end + point.back)
        if value is None:
            value, ohms = (level.three_min or 0.0), point.end
        step = far.end - far.parent.end if far.parent else 0j
        back = point.back - point.weak.impedance.neutral_min if point.returning else 0j
        givens = Later(self._of_smallest, point, ohms - step - back, step, back)
        poles = min(point.poles, 2)
        formula = _CURRENT[poles] if point.weak.impedance.phases == 3 else _ONE_PHASE
        return self._result("fault-current.smallest", point, value, "A", formula % self._ohms(point, far), givens, _POLES[poles])

    def _of_smallest(self, point: Point, before: complex, step: complex, back: complex) -> tuple[Given, ...]:
        series = self._values.series(point.weak.key, point.far, before, step, HOT)
        return (self._c_min, self._values.volts(point.far.origin), *series, *self._values.returning(point, back, HOT))

    def _second_loop(self, point: Point) -> Result:
        """`loop-impedance` of an IT system: of each of the two circuits that a second fault joins."""
        note = "line and protective conductors of the circuit, source included; a second fault flows through two such loops"
        return self._loop(point, note, "IEC 60364-4-41, 411.6.4")

    def _loop(self, point: Point, note: str = "return in the source included", clause: str = LOOP_CLAUSE) -> Result:
        """`loop-impedance`: source, poles and protective conductors at the smallest current."""
        earth = point.earth or 0j
        line = point.end + point.weak.impedance.earth_min
        return_ = "sqrt(({R_before} + {R_step} + {R_PE})^2 + ({X_before} + {X_step} + {X_PE})^2)"
        if point.far.parent is None:
            return_ = "sqrt(({R_before} + {R_PE})^2 + ({X_before} + {X_PE})^2)"
        givens = Later(self._of_loop, point, line, earth)
        return self._result("loop-impedance", point, abs(line + earth), "Ω", return_, givens, note, clause)

    def _of_loop(self, point: Point, line: complex, earth: complex) -> tuple[Given, ...]:
        far = point.far
        step = far.end - far.parent.end if far.parent else 0j
        return (
            *self._values.series(point.weak.key, far, line - step, step, HOT),
            Given("R_PE", earth.real, "Ω", f"protective conductors, {HOT}", point.span),
            Given("X_PE", earth.imag, "Ω", f"protective conductors, {HOT}", point.span),
            *self._values.protective(point),
        )

    def _earth(self, point: Point, level: FaultLevel) -> Result:
        """`fault-current.earth`: the smallest current of one pole to earth."""
        formula = _CURRENT[1] if point.weak.impedance.phases == 3 else _ONE_PHASE
        givens = Later(self._of_earth, point)
        return self._result(
            "fault-current.earth", point, level.earth_min or 0.0, "A", formula % "{Z_s}", givens, "one pole to earth"
        )

    def _of_earth(self, point: Point) -> tuple[Given, ...]:
        loop = Given(
            "Z_s", abs(point.loop or 0j), "Ω", "impedance of the earth-fault loop", result=f"loop-impedance {point.device}"
        )
        return self._c_min, self._values.volts(point.far.origin), loop

    # --- parts of results -----------------------------------------------------------------------------------------
    def _result(
        self, question: str, point: Point, value: float, unit: str, formula: str, givens: Later, note: str, source: str = STANDARD
    ) -> Result:
        device = point.device
        conductors = point.near.step.conductors if point.near.step else ()
        return Result(
            f"{question} {device}",
            question,
            device,
            self._circuit.feeder(device),
            value,
            unit,
            formula,
            givens,
            source,
            None,
            note=note,
            conductors=conductors,
            span=point.span,
        )

    def _formula(self, point: Point, path: Path, phases: int) -> str:
        return (_CURRENT[point.poles] if phases == 3 else _ONE_PHASE) % self._ohms(point, path)

    def _ohms(self, point: Point, path: Path) -> str:
        if path.parent is None:
            return _ALONE
        return _RETURNING if point.returning else _SERIES

    @cached_property
    def _c_max(self) -> Given:
        return self._calculation.settings.given("voltage-factor-max", "c")

    @cached_property
    def _c_min(self) -> Given:
        return self._calculation.settings.given("voltage-factor-min", "c")
