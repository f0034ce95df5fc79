"""How long the cable of a circuit may be for a fault at its end to be disconnected in time."""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

from netdsl.calc.basis import Answer, Given, Limit, Result, Sense, SheetQuestion, formula
from netdsl.calc.circuit import Circuit, Path
from netdsl.calc.faults import Faults
from netdsl.calc.protection import Disconnections
from netdsl.kept import cached_property
from netdsl.sums import sum_of

#: the length at which the whole loop, R_0 and X_0 but for the cable, comes to Z_max
_LENGTH = formula(
    "(sqrt({Z_max}^2 * ({r}^2 + {x}^2) - ({R_0} * {x} - {X_0} * {r})^2) - {R_0} * {r} - {X_0} * {x}) / ({r}^2 + {x}^2)"
)
#: the length at which electrode and protective conductor together come to R_max
_TO_EARTH = formula("({R_max} - {R_A}) / {r}")


class Stretch(NamedTuple):
    """The cables of one step: impedance of a live pole and of what returns through them, ohm, at the temperature of the smallest
    fault current, and the length, m."""

    cables: tuple[str, ...]
    line: complex
    earth: complex
    length_m: float


class LongestCircuits(SheetQuestion):
    """The longest cable with which a fault is still disconnected, all else as it is."""

    place = 710
    answers = (Answer("longest-circuit", "Longest circuit that is still disconnected", "L_max"),)

    def results(self) -> Iterator[Result]:
        """`longest-circuit` of every exposed part whose disconnection is judged: of the longest cable between it and the device
        that disconnects it, m, beside its length. By the loop, that of a second fault in an IT system, or the resistance to earth
        in a TT system."""
        return (found for _, found in self._judged if isinstance(found, Result))

    def not_judged(self) -> tuple[tuple[str, str], ...]:
        """Exposed parts whose disconnection is judged and for which no length is computed, with the reason."""
        return tuple((name, found) for name, found in self._judged if isinstance(found, str))

    @cached_property
    def _judged(self) -> tuple[tuple[str, Result | str | None], ...]:
        results = self._calculation.results_of(Disconnections)
        return tuple((judged.subject, self._of(judged)) for judged in results)

    def _of(self, judged: Result) -> Result | str | None:
        """The result; or, in words, why there is none; None where no cable of a known length lies between."""
        trip = self._calculation.of(Disconnections).trip_at(judged.subject)
        path = self._calculation.of(Circuit).path(judged.subject)
        if trip is None or path is None or not judged.limit:
            return "what disconnects it is not known"
        if any(given.symbol == "R_A" for given in judged.givens):
            cable = self._longest(path, trip.device.device, path.origin)
            return None if cable is None else self._by_electrode(judged, cable)
        points = self._calculation.of(Faults).points
        second = points.second_fault(judged.subject, path.origin)
        point = second or points.at(judged.subject)
        if point is None or point.loop is None or not any(given.result.startswith("loop-impedance ") for given in judged.givens):
            return "it is fed by several sources, of which the loop of another than the first decides"
        found = self._longest(point.far, trip.device.device, point.far.origin)
        if found is None:
            return None
        rest = point.loop - found.line - found.earth
        if abs(rest) >= judged.limit:
            return "the loop is too large without the cable"
        result = self._result(judged, found, rest)
        return "the cable has no impedance" if result is None else result

    def _by_electrode(self, judged: Result, cable: Stretch) -> Result | str:
        """In a TT system the electrode and the protective conductor up to it are together held to the limit: R_A of IEC
        60364-4-41, 411.5.3, is their sum."""
        electrode = next(given for given in judged.givens if given.symbol == "R_A")
        if not cable.earth:
            return "the protective conductor of a TT system lies in no cable of the circuit"
        span, name = self._calculation.plant.cables[cable.cables[0]].span, " and ".join(cable.cables)
        length = Given("L", cable.length_m, "m", f"length of {name}", span)
        givens = (
            Given("R_max", judged.limit or 0.0, "Ω", judged.limit_words, result=judged.key),
            electrode,
            Given(
                "r",
                cable.earth.real / cable.length_m,
                "Ω/m",
                f"resistance of the protective conductor of {name} per length",
                span,
            ),
        )
        return Result.worked(
            "longest-circuit",
            judged.subject,
            judged.feeder,
            _TO_EARTH,
            "m",
            givens,
            "IEC 60364-4-41, 411.5.3",
            Limit(cable.length_m, Sense.NONE, f"length of {name}", length),
            note=f"{name} is {length.shown} long; {judged.note}; voltage drop is judged apart, and mostly decides",
            span=span,
        )

    def _longest(self, path: Path, trips: str, origin: str) -> Stretch | None:
        """The longest cable on a path behind the device that trips."""
        circuit = self._calculation.of(Circuit)
        earth = circuit.earths.path(path.device, origin) or circuit.earths.path(path.device) or ()
        conductors, runs = self._calculation.plant.conductors, self._calculation.network.runs
        found: list[Stretch] = []
        here: Path | None = path
        while here is not None and here.parent is not None and here.step is not None and here.device != trips:
            step, parent = here.step, here.parent
            length = runs[step.poles[0][0]].length_m if step.poles else None
            if step.cables and length:
                back = [edge for edge in earth if {conductors[name].cable for name in edge} <= set(step.cables)]
                known = [circuit.impedances.parallel(edge, None) for edge in back]
                line = here.end - parent.end - circuit.impedances.device(here.device)
                returned = sum_of((each[2] for each in known if each is not None), 0j)
                found.append(Stretch(step.cables, line, returned, length))
            here = parent
        return max(found, key=lambda each: each.length_m, default=None)

    def _result(self, judged: Result, cable: Stretch, rest: complex) -> Result | None:
        per_metre, name = (cable.line + cable.earth) / cable.length_m, " and ".join(cable.cables)
        if not per_metre:
            return None
        span = self._calculation.plant.cables[cable.cables[0]].span
        back = "there and back" if cable.earth else "there, for the protective conductor lies elsewhere"
        words = f"of {name} per length, {back}, at the end of the fault"
        whole = f"of the fault loop but for {name}"
        key = f"loop-impedance {judged.subject}"
        length = Given("L", cable.length_m, "m", f"length of {name}", span)
        return Result.worked(
            "longest-circuit",
            judged.subject,
            judged.feeder,
            _LENGTH,
            "m",
            (
                Given("Z_max", judged.limit or 0.0, "Ω", judged.limit_words, result=judged.key),
                Given("r", per_metre.real, "Ω/m", f"resistance {words}", span),
                Given("x", per_metre.imag, "Ω/m", f"reactance {words}", span),
                Given("R_0", rest.real, "Ω", f"resistance {whole}", result=key),
                Given("X_0", rest.imag, "Ω", f"reactance {whole}", result=key),
            ),
            "IEC 60364-4-41, 411.6.4" if any(given.symbol == "U" for given in judged.givens) else "IEC 60364-4-41, 411.4.4",
            Limit(cable.length_m, Sense.NONE, f"length of {name}", length),
            note=f"{name} is {length.shown} long; {judged.note}; voltage drop is judged apart",
            span=span,
        )
