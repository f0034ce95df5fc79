"""Fault currents and loop impedances as results that lead back, device by device, to the source and the netlist's lines."""

from __future__ import annotations

from collections.abc import Iterator
from functools import cached_property
from math import sqrt

from netdsl.calc.basis import Answer, Calculation, Given, Later, Result, SheetQuestion
from netdsl.calc.circuit import Circuit, Missing, Path, in_service
from netdsl.calc.faults.currents import FaultLevel, Faults
from netdsl.calc.faults.points import Point
from netdsl.calc.faults.source_impedance import STANDARD

_SERIES = "sqrt(({R_before} + {R_step})^2 + ({X_before} + {X_step})^2)"
_RETURNING = "sqrt(({R_before} + {R_step} + {R_N})^2 + ({X_before} + {X_step} + {X_N})^2)"
_ALONE = "sqrt({R_before}^2 + {X_before}^2)"
#: current through three, two and one poles over an impedance
_CURRENT = {3: "{c} * {U} / (sqrt(3) * %s)", 2: "{c} * {U} / (2 * %s)", 1: "{c} * {U} / (sqrt(3) * %s)"}
_ONE_PHASE = "{c} * {U} / %s"
_POLES = {3: "three-phase", 2: "between two poles", 1: "one pole to neutral, both conductors counted"}
_HOT = "at the end of the fault"
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
        self._steps: dict[tuple[str, str, bool], tuple[Given, ...]] = {}
        self._earths: dict[tuple[str, str], tuple[Given, ...]] = {}
        self._before: dict[tuple[str, str, complex], tuple[Given, Given]] = {}
        self._known_volts: dict[str, Given] = {}

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
            self._volts(near.origin),
            *self._series(point.strong.key, near, before, step, self._cold),
            *self._returning(point, back, self._cold),
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
        series = self._series(point.weak.key, point.far, before, step, _HOT)
        return (self._c_min, self._volts(point.far.origin), *series, *self._returning(point, back, _HOT))

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
            *self._series(point.weak.key, far, line - step, step, _HOT),
            Given("R_PE", earth.real, "Ω", f"protective conductors, {_HOT}", point.span),
            Given("X_PE", earth.imag, "Ω", f"protective conductors, {_HOT}", point.span),
            *self._protective(point),
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
        return self._c_min, self._volts(point.far.origin), loop

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

    def _returning(self, point: Point, ohms: complex, when: str) -> tuple[Given, ...]:
        """Impedance of the neutral conductors from a device to its source, with section and length of each."""
        if not point.returning:
            return ()
        words = f"neutral conductors, {when}"
        return (
            Given("R_N", ohms.real, "Ω", words, point.span),
            Given("X_N", ohms.imag, "Ω", words, point.span),
            *(given for bundle in point.returning for given in self._bundle(bundle, when == _HOT)),
        )

    def _bundle(self, conductors: tuple[str, ...], hot: bool) -> tuple[Given, ...]:
        key = ("", "+".join(conductors), hot)
        if key not in self._steps:
            self._steps[key] = tuple(given for conductor in conductors for given in self._lead(conductor, hot))
        return self._steps[key]

    def _series(self, source: str, path: Path, before: complex, step: complex, when: str) -> tuple[Given, ...]:
        """Impedance up to the device before, with the result that gives it, and of the last step, with its conductors."""
        if path.parent is None or path.step is None:
            return self._up_to(source, path.device, before, when)
        parent = path.parent
        key = source if parent.parent is None else f"fault-current.largest {parent.device}"
        span = self._calculation.plant.conductors[path.step.poles[0][0]].span if path.step.poles else None
        words = f"last step, {when}"
        return (
            *self._up_to(key, parent.device, before, when),
            Given("R_step", step.real, "Ω", words, span),
            Given("X_step", step.imag, "Ω", words, span),
            *self._conductors(path, when != self._cold),
            *self._own(path.device),
        )

    def _own(self, device: str) -> tuple[Given, ...]:
        """What a reactor or a busbar itself adds to the step that ends in it."""
        own = self._circuit.impedances.device(device)
        span = self._calculation.plant.devices[device].span
        parts = (("R_d", "resistance", own.real), ("X_d", "reactance", own.imag))
        return tuple(
            Given(name, ohms, "Ω", f"{words} of {device}, in the last step", span) for name, words, ohms in parts if ohms
        )

    def _up_to(self, key: str, device: str, ohms: complex, when: str) -> tuple[Given, Given]:
        wanted = (key, when, ohms)
        found = self._before.get(wanted)
        if found is None:
            words = f"source and conductors up to {device}, {when}"
            found = self._before[wanted] = (
                Given("R_before", ohms.real, "Ω", words, result=key),
                Given("X_before", ohms.imag, "Ω", words, result=key),
            )
        return found

    def _conductors(self, path: Path, hot: bool) -> tuple[Given, ...]:
        """Section and length of the first pole of the last step; `hot`: with its temperature at the end of the fault."""
        step = path.step
        if step is None or not step.poles:
            return ()
        key = (step.feeder, step.fed, hot)
        if key not in self._steps:
            first = step.poles[0][0]
            chain = (name for piece in self._circuit.impedances.chain(step, first) for name in piece[:1])
            self._steps[key] = tuple(given for name in (first, *chain) for given in self._lead(name, hot))
        return self._steps[key]

    def _lead(self, conductor: str, hot: bool) -> tuple[Given, ...]:
        lead = self._circuit.leads.of(conductor)
        if isinstance(lead, Missing):
            return ()
        givens = self._circuit.leads.givens(lead)
        if not hot or lead.stated:
            return givens
        chosen = self._circuit.impedances.end_c is not None
        return (*givens, self._calculation.settings.given("fault-temperature", "T") if chosen else in_service(lead.operating_c))

    def _protective(self, point: Point) -> tuple[Given, ...]:
        """Section and length of each protective conductor from the device (or its enclosure) to the supply."""
        devices = self._calculation.plant.devices
        thing = point.device if point.device in self._calculation.network.earth.node_of else devices[point.device].place
        key = (thing, point.far.origin)
        if key not in self._earths:
            edges = self._circuit.earths.path(*key) or ()
            self._earths[key] = tuple(given for edge in edges for given in self._bundle(edge, True))
        return self._earths[key]

    @cached_property
    def _cold(self) -> str:
        return f"at {self._circuit.impedances.cold_c:g} °C"

    @cached_property
    def _c_max(self) -> Given:
        return self._calculation.settings.given("voltage-factor-max", "c")

    @cached_property
    def _c_min(self) -> Given:
        return self._calculation.settings.given("voltage-factor-min", "c")

    def _volts(self, origin: str) -> Given:
        if origin not in self._known_volts:
            source = self._faults.source(origin)
            device = self._calculation.plant.devices[origin]
            value = source.voltage if source else 0.0
            self._known_volts[origin] = Given("U", value, "V", f"voltage of {origin}", device.span)
        return self._known_volts[origin]
