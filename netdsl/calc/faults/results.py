"""Fault currents and loop impedances as results that lead back, device by device, to the source and the netlist's lines."""

from __future__ import annotations

from collections.abc import Iterator

from netdsl.calc.basis import Answer, Calculation, Given, Input, Later, Result, SheetQuestion, formula
from netdsl.calc.circuit import Circuit
from netdsl.calc.faults.currents import PEAK, FaultLevel, Faults
from netdsl.calc.faults.givens import HOT, FaultGivens
from netdsl.calc.faults.points import Point
from netdsl.calc.faults.series import earth_text, largest_text, of_largest, of_loop, of_smallest, smallest_text
from netdsl.calc.faults.source import STANDARD
from netdsl.kept import cached_property

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
                if level.loop is not None:
                    yield self._loop(point, level.loop)
                    yield self._earth(point, level)
                elif (second := self._faults.points.second_fault(device, point.far.origin)) is not None:
                    yield self._second_loop(second)

    def _origin(self, device: str) -> bool:
        made = self._calculation.plant.devices[device]
        return made.category == "supply" or made.kind == "transformer"

    # --- results of points ----------------------------------------------------------------------------------------
    def _largest(self, point: Point, level: FaultLevel) -> Result:
        """`fault-current.largest`: cold conductors, voltage factor c_max."""
        givens = Later(self._of_largest, point, level)
        text = largest_text(point, level.motors)
        return self._result("fault-current.largest", point, level.largest, "A", text, givens, _POLES[point.poles])

    def _of_largest(self, point: Point, level: FaultLevel) -> tuple[Input, ...]:
        near = point.near
        givens = (
            self._c_max,
            self._values.volts(near.origin),
            *self._values.series(point.strong.key, near, of_largest(point), self._values.cold),
            *self._values.returning(point, of_largest(point), self._values.cold),
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
        return self._result("fault-current.peak", point, level.peak, "A", PEAK.text, givens, _POLES[point.poles])

    def _of_peak(self, point: Point, level: FaultLevel) -> tuple[Given, ...]:
        words = "1.02 + 0.98 exp(-3 R/X), R/X of the impedance up to the fault"
        key = f"fault-current.largest {point.device}"
        return (
            Given("kappa", level.kappa, "", words, point.span, result=key),
            Given("I_k", level.largest, "A", f"largest fault current at {point.device}", result=key),
        )

    def _smallest(self, point: Point, level: FaultLevel) -> Result:
        """`fault-current.smallest`: between two poles, or one pole to neutral; conductors at the end of the fault, c_min."""
        givens, note = Later(self._of_smallest, point), _POLES[min(point.poles, 2)]
        return self._result("fault-current.smallest", point, level.smallest, "A", smallest_text(point), givens, note)

    def _of_smallest(self, point: Point) -> tuple[Input, ...]:
        series = of_smallest(point)
        return (
            self._c_min,
            self._values.volts(point.far.origin),
            *self._values.series(point.weak.key, point.far, series, HOT),
            *self._values.returning(point, series, HOT),
        )

    def _second_loop(self, point: Point) -> Result:
        """`loop-impedance` of an IT system: of each of the two circuits that a second fault joins."""
        note = "line and protective conductors of the circuit, source included; a second fault flows through two such loops"
        return self._loop(point, of_loop(point).ohms, note, "IEC 60364-4-41, 411.6.4")

    def _loop(self, point: Point, ohms: float, note: str = "return in the source included", clause: str = LOOP_CLAUSE) -> Result:
        """`loop-impedance`: source, poles and protective conductors at the smallest current."""
        text = of_loop(point).text
        return self._result("loop-impedance", point, ohms, "Ω", text, Later(self._of_loop, point), note, clause)

    def _of_loop(self, point: Point) -> tuple[Input, ...]:
        earth = point.earth or 0j
        return (
            *self._values.series(point.weak.key, point.far, of_loop(point), HOT),
            Given("R_PE", earth.real, "Ω", f"protective conductors, {HOT}", point.span),
            Given("X_PE", earth.imag, "Ω", f"protective conductors, {HOT}", point.span),
            *self._values.protective(point),
        )

    def _earth(self, point: Point, level: FaultLevel) -> Result:
        """`fault-current.earth`: the smallest current of one pole to earth."""
        givens, note = Later(self._of_earth, point, level), "one pole to earth"
        return self._result("fault-current.earth", point, level.earth_min or 0.0, "A", earth_text(point), givens, note)

    def _of_earth(self, point: Point, level: FaultLevel) -> tuple[Given, ...]:
        words, key = "impedance of the earth-fault loop", f"loop-impedance {point.device}"
        return self._c_min, self._values.volts(point.far.origin), Given("Z_s", level.loop or 0.0, "Ω", words, result=key)

    # --- parts of results -----------------------------------------------------------------------------------------
    def _result(
        self, question: str, point: Point, value: float, unit: str, text: str, givens: Later, note: str, source: str = STANDARD
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
            formula(text),
            givens,
            source,
            note=note,
            conductors=conductors,
            span=point.span,
        )

    @cached_property
    def _c_max(self) -> Given:
        return self._calculation.settings.given("voltage-factor-max", "c")

    @cached_property
    def _c_min(self) -> Given:
        return self._calculation.settings.given("voltage-factor-min", "c")
