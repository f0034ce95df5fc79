"""How long the cable of a circuit may be for a fault at its end to be disconnected in time."""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

from netdsl.calc.basis import Answer, Given, Limit, Result, Sense, SheetQuestion, formula
from netdsl.calc.circuit import Circuit, Path
from netdsl.calc.faults import Faults
from netdsl.calc.protection import Disconnections

#: the length at which the whole loop, R_0 and X_0 but for the cable, comes to Z_max
_LENGTH = formula(
    "(sqrt({Z_max}^2 * ({r}^2 + {x}^2) - ({R_0} * {x} - {X_0} * {r})^2) - {R_0} * {r} - {X_0} * {x}) / ({r}^2 + {x}^2)"
)


class Stretch(NamedTuple):
    """The cables of one step: impedance of a live pole and of what returns through them, ohm, at the temperature of the smallest
    fault current, and the length, m."""

    cables: tuple[str, ...]
    line: complex
    earth: complex
    length_m: float


class LongestCircuits(SheetQuestion):
    """The longest cable with which the loop impedance still disconnects a fault, all else as it is."""

    place = 710
    answers = (Answer("longest-circuit", "Longest circuit that is still disconnected", "L_max"),)

    def results(self) -> Iterator[Result]:
        """`longest-circuit` of every exposed part of a TN system whose disconnection is judged: of the longest cable between it
        and the device that disconnects it, m, beside its length. Nothing where no cable lies there, or where the loop is too long
        without it."""
        disconnections = self._calculation.of(Disconnections)
        for judged in disconnections.results():
            trip, point = disconnections.trip_at(judged.subject), self._calculation.of(Faults).points.at(judged.subject)
            of_loop = any(given.result == f"loop-impedance {judged.subject}" for given in judged.givens)
            if trip is None or point is None or point.loop is None or not of_loop or judged.limit is None:
                continue
            found = self._longest(point.far, trip.device.device)
            if found is not None:
                result = self._result(judged, found, point.loop - found.line - found.earth)
                if result is not None:
                    yield result

    def _longest(self, path: Path, trips: str) -> Stretch | None:
        """The longest cable on a path behind the device that trips."""
        circuit = self._calculation.of(Circuit)
        earth = circuit.earths.path(path.device, path.origin) or ()
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
                returned = sum((each[2] for each in known if each is not None), 0j)
                found.append(Stretch(step.cables, line, returned, length))
            here = parent
        return max(found, key=lambda each: each.length_m, default=None)

    def _result(self, judged: Result, cable: Stretch, rest: complex) -> Result | None:
        per_metre, name = (cable.line + cable.earth) / cable.length_m, " and ".join(cable.cables)
        if abs(rest) >= (judged.limit or 0.0) or not per_metre:
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
            "IEC 60364-4-41, 411.4.4",
            Limit(cable.length_m, Sense.NONE, f"length of {name}", length),
            note=f"{name} is {length.shown} long; {judged.note}; voltage drop is judged apart",
            span=span,
        )
