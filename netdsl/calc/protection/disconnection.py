"""Automatic disconnection of supply: whether the smallest earth-fault current operates a device in time."""

from __future__ import annotations

from collections.abc import Iterator

from netdsl.calc.basis import Answer, Calculation, Formula, Given, Limit, Result, Sense, SheetQuestion, Words, amount, formula
from netdsl.calc.circuit import Circuit, Path
from netdsl.calc.faults import Faults
from netdsl.calc.protection.circuit_ends import CircuitEnds
from netdsl.calc.protection.trips import Trip, Trips
from netdsl.kept import cached_property, kept
from netdsl.model.kinds import TAPPED

TOUCH_V = 50.0
#: the impedance of a fault loop and the resistance of an electrode, with the largest that each may have
_LOOP = formula("{Z_s}"), formula("{c} * {U_0} / {I_a}")
_SECOND_FAULT = formula("{Z_s}"), formula("{c} * {U} / (2 * {I_a})")
_ELECTRODE = formula("{R_A}"), formula("{U_L} / {I_a}")


class Disconnections(SheetQuestion):
    """Automatic disconnection of supply: whether the smallest earth-fault current operates a device in time."""

    place = 700
    answers = (Answer("disconnection", "Automatic disconnection", "Z_s"),)

    def __init__(self, calculation: Calculation) -> None:
        super().__init__(calculation)
        self._circuit = calculation.of(Circuit)
        self._plant = calculation.plant
        self._by = calculation.of(Trips)
        self._bodies = calculation.of(CircuitEnds)
        self._trips: dict[str, Trip] = {}

    def results(self) -> Iterator[Result]:
        """`disconnection` of every final circuit and distribution circuit, at its exposed part; what is left out, and why, is in
        `not_judged`."""
        yield from (found for found in self._found.values() if found is not None)

    def not_judged(self) -> tuple[tuple[str, str], ...]:
        """Exposed parts at the end of a circuit whose disconnection is not computed, with the reason."""
        unknown = frozenset(device for device, found in self._found.items() if found is None)
        return tuple(
            (device, reason)
            for device in self._calculation.network.power.order
            if self._bodies.at(device) and (reason := self._exempt(device) or self._without_way(device, unknown))
        )

    def _without_way(self, device: str, unknown: frozenset[str]) -> str:
        """Why disconnection at a board without an earth terminal of its own is not known, where its enclosure's way back lacks
        data."""
        if device not in unknown or device in self._calculation.network.earth.node_of:
            return ""
        return f"section or length of a protective conductor between the enclosure of {device} and its source is not stated"

    def unknown(self) -> tuple[str, ...]:
        """Exposed parts at the end of a circuit whose disconnection is to be judged and could not be: data is missing."""
        unknown = [device for device, found in self._found.items() if found is None]
        boards = (device for device in self._calculation.network.power.order if self._bodies.at(device))
        return (*unknown, *(device for device in boards if any(map(self._half_known, self._circuit.paths(device)))))

    def trip_at(self, device: str) -> Trip | None:
        """What disconnects a device that `results` judged."""
        return self._trips.get(device)

    # --- which parts ----------------------------------------------------------------------------------------------
    @cached_property
    def _ends(self) -> tuple[tuple[str, tuple[Path, ...]], ...]:
        """Exposed parts at the end of a circuit, with the paths that are judged."""
        return tuple(
            (device, tuple(path for path in self._circuit.paths(device) if not path.drive))
            for device in self._calculation.network.power.order
            if self._bodies.at(device) and not self._exempt(device)
        )

    @cached_property
    def _found(self) -> dict[str, Result | None]:
        """The result at each of them."""
        return {device: self._judged(device, paths) for device, paths in self._ends}

    @kept
    def _exempt(self, device: str) -> str:
        """Why disconnection at a device is not computed, "" where it is."""
        reasons = [self._exempt_path(path) for path in self._circuit.paths(device)]
        return reasons[0] if reasons and all(reasons) else ""

    def _half_known(self, path: Path) -> bool:
        """Whether the way back from a board of one way is there, and lacks data."""
        point = self._calculation.of(Faults).points.at(path.device) if self._bodies.passes_on(path.device) else None
        return point is not None and point.weak.impedance.earthed and point.earth is None

    def _exempt_path(self, path: Path) -> str:
        if path.drive:
            return f"behind {path.drive}: the drive's own limits count"
        if self._plant.devices[path.origin].kind == "supply-24v":
            return f"extra-low voltage of {path.origin}"
        system = self._by.system(path)
        if system == "IT" and self._calculation.of(Faults).points.second_fault(path.device, path.origin) is None:
            return f"{path.origin} is an IT system: a first fault need not disconnect; insulation monitoring is not judged"
        if system == "TT" and self._plant.devices[path.device].category in TAPPED and not self._bodies.in_metal(path.device):
            return f"{path.device} stands in an enclosure of insulating material"
        if system == "TT" and self._bodies.passes_on(path.device):
            return (
                f"{path.origin} is a TT system: whether what lies ahead of {path.device} has reinforced insulation is not judged"
            )
        if self._half_known(path):
            return f"the way back from the body around {path.device} is not known in full: a length on it is not stated"
        return f"{path.origin} is direct current" if system == "DC" else ""

    # --- results --------------------------------------------------------------------------------------------------
    def _judged(self, device: str, paths: tuple[Path, ...]) -> Result | None:
        """The result at a device: of several ways that feed it, the one that is nearest to its limit or farthest beyond it."""
        if self._calculation.of(Faults).loop(device) is None and all(self._by.system(path) not in ("TT", "IT") for path in paths):
            return None
        if any(self._by.unrated(self._bodies.ahead(path)) for path in paths):
            return None
        worst: Result | None = None
        for path in paths:
            trip, result = self._first(device, path)
            if (
                trip is not None
                and result is not None
                and (worst is None or result.value / (result.limit or 1.0) > worst.value / (worst.limit or 1.0))
            ):
                self._trips[device], worst = trip, result
        return worst

    def _first(self, device: str, path: Path) -> tuple[Trip | None, Result | None]:
        """What disconnects a device on a path: the first of its trips that the fault operates in time, where none is, the one
        that needs least current."""
        ways = {"TT": self._by_electrode, "IT": self._by_second_fault}
        judge = ways.get(self._by.system(path), self._by_loop)
        trips = self._by.trips(path)
        for trip in trips:
            result = judge(device, path, trip)
            if result is not None and result.holds:
                return trip, result
        least = min(trips, key=lambda trip: trip.current.value, default=None)
        return least, judge(device, path, least) if least is not None else None

    def _by_loop(self, device: str, path: Path, trip: Trip) -> Result | None:
        """`Zs * Ia <= c * U0`."""
        fed, volts = self._calculation.of(Faults).fed_by(device, path.origin), self._by.volts_to_earth(path)
        loop = fed[0].loop if fed else None
        if loop is None or volts is None:
            return None
        named = self._by.tripped(trip)
        values = (
            self._loop_given(device, path.origin, abs(loop)),
            self._factor,
            Given("U_0", volts, "V", f"voltage to earth of {path.origin}", self._plant.devices[path.origin].span),
        )
        return self._result(
            device,
            trip,
            _LOOP,
            values,
            "IEC 60364-4-41, 411.4.4",
            f"largest loop impedance for {named}",
            f"disconnected by {named}",
        )

    def _by_second_fault(self, device: str, path: Path, trip: Trip) -> Result | None:
        """`2 Zs * Ia <= c * U` in an IT system without neutral, bodies joined by protective conductors."""
        point = self._calculation.of(Faults).points.second_fault(device, path.origin)
        if point is None or point.loop is None:
            return None
        named, volts = self._by.tripped(trip), point.weak.impedance.voltage
        values = (
            Given("Z_s", abs(point.loop), "Ω", "impedance of the fault loop", result=f"loop-impedance {device}"),
            self._factor,
            Given("U", volts, "V", f"voltage between phases of {path.origin}", self._plant.devices[path.origin].span),
        )
        return self._result(
            device,
            trip,
            _SECOND_FAULT,
            values,
            "IEC 60364-4-41, 411.6.4",
            f"largest loop impedance for {named}",
            f"second fault, disconnected by {named}; that the first is noticed, by an insulation monitor or otherwise, is not"
            " judged",
        )

    def _loop_given(self, device: str, origin: str, ohms: float) -> Given:
        """The impedance of the fault loop; where several sources feed a device, its result is about one of them."""
        point = self._calculation.of(Faults).points.at(device)
        if point is None or point.far.origin == origin:
            return Given("Z_s", ohms, "Ω", "impedance of the fault loop", result=f"loop-impedance {device}")
        return Given("Z_s", ohms, "Ω", f"impedance of the fault loop, fed by {origin}", self._plant.devices[origin].span)

    def _by_electrode(self, device: str, path: Path, trip: Trip) -> Result | None:
        """`RA * Ia <= 50 V` in a TT system, by a residual-current device or an overcurrent device that needs so little."""
        supply = self._plant.devices[path.origin]
        ohms = amount(supply, "earth-resistance")
        if ohms is None:
            return None
        named = self._by.named(trip.device, trip.residual)
        values = (
            Given("R_A", ohms, "Ω", f"earth resistance of {supply.id}", supply.span),
            Given("U_L", TOUCH_V, "V", "touch voltage that may remain", None, "IEC 60364-4-41, 411.5.3", "memory"),
        )
        return self._result(
            device,
            trip,
            _ELECTRODE,
            values,
            "IEC 60364-4-41, 411.5.3",
            f"largest earth resistance for {named}",
            f"disconnected by {named}",
        )

    def _result(
        self,
        device: str,
        trip: Trip,
        condition: tuple[Formula, Formula],
        values: tuple[Given, ...],
        source: str,
        limit_words: str,
        note: str,
    ) -> Result:
        """The result of a condition: what is held, and the most that it may be."""
        held, most = condition
        givens = (*values, trip.current, trip.time, *trip.device.givens)
        return Result(
            f"disconnection {device}",
            "disconnection",
            device,
            self._circuit.feeder(device),
            held.of(givens),
            "Ω",
            Words(f"{held.text} <= {most.text}"),
            givens,
            source,
            Limit(most.of(givens), Sense.AT_MOST, limit_words),
            note=note,
            span=self._plant.devices[device].span,
        )

    @cached_property
    def _factor(self) -> Given:
        return self._calculation.settings.given("loop-factor", "c")
