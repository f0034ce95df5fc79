"""Time against current of what lies in a circuit: its protective devices, its weakest conductor, its motor, its faults."""

from __future__ import annotations

from collections.abc import Iterator
from math import inf, sqrt
from typing import NamedTuple

from netdsl.calc.basis import Question, fault_text
from netdsl.calc.circuit import Circuit, Missing, Path, Step
from netdsl.calc.conductors import Capacities
from netdsl.calc.coordination.run_up import RunUps
from netdsl.calc.devices import Characteristic, Characteristics, Point
from netdsl.calc.faults import Faults
from netdsl.calc.loads import LoadCurrents
from netdsl.calc.protection import Limiting, Trips, Withstands
from netdsl.model.kinds import CONVERTERS, SET_TO_MOTOR

#: longest fault for which all heat stays in a conductor, and the shortest time that is drawn, s
LONGEST_S, SHORTEST_S = 5.0, 0.01
#: how far a line that does not end is drawn, in multiples of the current where it begins
_FAR = 10.0
#: from when a motor is drawn as running, s
_RUNNING_S = 7200.0

Trace = tuple[tuple[float, float], ...]


class Curve(NamedTuple):
    """What a circuit holds, as currents with times, A and s.

    `kind`: "device", "conductor" or "motor"; `most`: when a device has certainly operated, what a conductor bears, what a motor
    takes; `least`: until when a device has certainly not operated, empty where that is not known. Between the points that a
    standard fixes both run straight on logarithmic axes.
    """

    of: str
    kind: str
    text: str
    most: Trace
    least: Trace = ()


class Mark(NamedTuple):
    """A current of a circuit without a time, A: what a conductor carries for good, a fault."""

    of: str
    text: str
    amps: float


class TimeCurrent(NamedTuple):
    """The curves of a circuit: `device` protects it last, `loads` are what it protects; `feeder`: the circuit it is listed
    under; `alike`: the circuits of which all curves are the same, and all marks to two figures; `without`: what protects its
    motor too and states too little for a curve."""

    device: str
    feeder: str
    loads: tuple[str, ...]
    curves: tuple[Curve, ...]
    marks: tuple[Mark, ...]
    alike: tuple[str, ...] = ()
    without: tuple[str, ...] = ()

    @property
    def form(self) -> object:
        """What is drawn, whatever it is called."""
        curves = tuple((curve.kind, curve.most, curve.least) for curve in self.curves)
        return curves, tuple(f"{mark.amps:.2g}" for mark in self.marks), len(self.without)


class TimeCurrents(Question):
    """The circuits of a plant up to its drives, by the device that protects each last against short circuits."""

    def circuits(self) -> Iterator[TimeCurrent]:
        """In the order of the power tree, of circuits alike the first; nothing where no fault current is known.

        Of several loads behind one device the weakest conductor and the largest motor count.
        """
        ends: dict[str, list[Path]] = {}
        circuit, limiting = self._calculation.of(Circuit), self._calculation.of(Limiting)
        for name in self._calculation.network.power.order:
            for path in () if self._onward(name) else circuit.paths(name):
                ahead = [each for each in limiting.ahead(path, "") if each.device in path.devices[1:]]
                if ahead and path.step is not None and not path.drive:
                    ends.setdefault(ahead[-1].device, []).append(path)
        found: dict[object, list[TimeCurrent]] = {}
        for device in (name for name in self._calculation.network.power.order if name in ends):
            if self._calculation.of(Faults).at(device) is not None:
                each = self._circuit_of(device, ends[device])
                found.setdefault(each.form, []).append(each)
        for first, *others in found.values():
            yield first._replace(alike=tuple(dict.fromkeys(each.feeder for each in others if each.feeder != first.feeder)))

    def _onward(self, device: str) -> tuple[Step, ...]:
        """Steps that go on from a device in the same circuit: not through what makes another voltage."""
        made, circuit = self._calculation.plant.devices[device], self._calculation.of(Circuit)
        return () if made.kind in CONVERTERS else circuit.out_of.get(device, ())

    def _circuit_of(self, device: str, paths: list[Path]) -> TimeCurrent:
        trips, circuit = self._calculation.of(Trips), self._calculation.of(Circuit)
        devices = dict[str, Characteristic]()
        for path in paths:
            for each in trips.protecting(path):
                if each.points and (each.short_circuit or each.kind == "overload"):
                    devices[each.device] = each
        curves = [self._of_device(each) for each in devices.values()]
        known = self._calculation.of(LoadCurrents)
        loads = tuple(dict.fromkeys(path.device for path in paths if known.is_load(path.device))) or (paths[0].device,)
        behind = [step for path in paths for step in _behind(path, device)]
        marks = [*self._carried(behind), *self._faults(device, paths)]
        curves += [*self._conductor(behind), *self._motor(paths)]
        kinds = self._calculation.plant.devices
        every = dict.fromkeys(name for path in paths for name in circuit.protections(path))
        without = tuple(name for name in every if name not in devices and kinds[name].kind in SET_TO_MOTOR)
        return TimeCurrent(device, circuit.feeder(device), loads, tuple(curves), tuple(marks), without=without)

    # --- curves -----------------------------------------------------------------------------------------------------
    def _of_device(self, device: Characteristic) -> Curve:
        known = self._calculation.of(Characteristics)
        instantaneous = device.instantaneous_a[1] if device.instantaneous_a is not None else inf
        slow = [point for point in device.points if point.amps < instantaneous * (1 - 1e-9)]
        most = [(point.amps, point.seconds) for point in slow]
        if device.kind == "fuse":
            most += self._falling(known, device, slow[-1])
        elif device.instantaneous_a is not None and slow:
            most += [(instantaneous, slow[-1].seconds), *_beyond(device, instantaneous, device.points[-1].seconds)]
        least = list(_held(device))
        if device.pre_arcing is not None and least:
            least.append((sqrt(device.pre_arcing.value / SHORTEST_S), SHORTEST_S))
        elif device.instantaneous_a is not None and least:
            least += _beyond(device, least[-1][0], least[-1][1])
        return Curve(device.device, "device", self._named(device), tuple(most), tuple(least))

    def _named(self, device: Characteristic) -> str:
        """A device with the characteristic that its curve shows: what it is set to, and its residual current, which has none."""
        named = self._calculation.of(Trips).named(device, residual=False).removesuffix(")")
        if device.set_a and device.rated_a and device.set_a < device.rated_a * (1 - 1e-9):
            named += f", set {device.set_a:.3g} A"
        if device.residual_a is not None:
            named += f"; {device.residual_a * 1000:g} mA residual current not drawn"
        return f"{named})"

    @staticmethod
    def _falling(known: Characteristics, device: Characteristic, last: Point) -> Iterator[tuple[float, float]]:
        """A fuse beyond its last point, down to the shortest time drawn."""
        amps = last.amps
        for _ in range(40):
            amps *= 1.1
            taken = known.time_given(device, amps)
            if taken is None:
                return
            yield amps, taken.value
            if taken.value < SHORTEST_S:
                return

    def _conductor(self, steps: list[Step]) -> Iterator[Curve]:
        """What the conductor bears that bears least."""
        leads, withstands = self._calculation.of(Circuit).leads, self._calculation.of(Withstands)
        borne = list[tuple[float, str, float]]()
        for step in steps:
            for name in step.conductors:
                lead = leads.of(name)
                if isinstance(lead, Missing) or not lead.section_mm2:
                    continue
                constant = withstands.factor_of(lead, earth_alone=False).value
                borne.append((constant * lead.section_mm2, name, lead.section_mm2))
        if not borne:
            return
        energy, name, section = min(borne)
        conductor = self._calculation.plant.conductors[name]
        times = (LONGEST_S, SHORTEST_S)
        trace = tuple((energy / sqrt(seconds), seconds) for seconds in times)
        yield Curve(conductor.cable or name, "conductor", f"{section:g} mm², what it bears, up to {LONGEST_S:g} s", trace)

    def _motor(self, paths: list[Path]) -> Iterator[Curve]:
        """The current of the motor that takes most while it starts, over the time it runs up where that is known, then that it
        runs with; of a motor with a winding for each speed that of the winding the way leads to."""
        known = self._calculation.of(LoadCurrents)
        ways = {path.device: max(known.starts.share(each) for each in paths if each.device == path.device) for path in paths}
        starts = [(abs(start) * share, name) for name, share in ways.items() if (start := known.starting(name)) is not None]
        if not starts:
            return
        amps, name = max(starts)
        whole, time = known.device(name), self._calculation.of(RunUps).of(name)
        if not whole:
            return
        rated = whole * ways[name]
        if ways[name] == 1 and time is not None and time.question == "starting.time" and time.value > SHORTEST_S:
            trace = ((rated, _RUNNING_S), (rated, time.value), (amps, time.value), (amps, SHORTEST_S))
            yield Curve(name, "motor", f"starts with {amps:.3g} A for {time.value:.3g} s, runs with {rated:.3g} A", trace)
            return
        text = f"starts with {amps:.3g} A, how long is not stated; runs with {rated:.3g} A"
        yield Curve(name, "motor", text, ((amps, 10.0), (amps, SHORTEST_S)))

    # --- marks ------------------------------------------------------------------------------------------------------
    def _carried(self, steps: list[Step]) -> Iterator[Mark]:
        capacities = self._calculation.of(Capacities)
        found = [(result.value, capacities.subject(step)) for step in steps if (result := capacities.step(step)) is not None]
        if found:
            amps, name = min(found)
            yield Mark(name, f"may carry {amps:.3g} A", amps)

    def _faults(self, device: str, paths: list[Path]) -> Iterator[Mark]:
        faults = self._calculation.of(Faults)
        level = faults.at(device)
        if level is not None:
            yield Mark(device, f"largest fault current {fault_text(level.largest)}", level.largest)
        smallest = [(amps, path.device, to_earth) for path in paths for amps, to_earth in self._least(path.device)]
        if not smallest:
            return
        amps, name, to_earth = min(smallest)
        point = faults.points.at(name)
        between_poles = "line to neutral" if point is not None and point.poles == 1 else "between lines"
        between = "line to earth" if to_earth else between_poles
        others = [other for other, earth in self._least(name) if earth and not to_earth]
        beside = "".join(f"; line to earth {fault_text(other)}" for other in others)
        yield Mark(name, f"smallest fault current {fault_text(amps)}, {between}{beside}", amps)

    def _least(self, device: str) -> Iterator[tuple[float, bool]]:
        """The smallest fault currents at a device, A: between conductors, and to earth (True)."""
        end = self._calculation.of(Faults).at(device)
        if end is not None and end.smallest:
            yield end.smallest, False
        if end is not None and end.earth_min:
            yield end.earth_min, True


def _beyond(device: Characteristic, amps: float, seconds: float) -> list[tuple[float, float]]:
    """Beyond the current at which a breaker trips at once: down to the shortest time drawn, or on at the time it waits."""
    return [(amps, SHORTEST_S)] if device.delay is None else [(amps, seconds), (_FAR * amps, seconds)]


def _held(device: Characteristic) -> Iterator[tuple[float, float]]:
    """Until when a device has certainly not operated: of an overload release by class in steps, for a straight line between two
    of its points would lie above the time within which it has operated."""
    before: Point | None = None
    for point in device.holds:
        if before is not None and device.kind in SET_TO_MOTOR:
            yield before.amps, point.seconds
        yield point.amps, point.seconds
        before = point


def _behind(path: Path, device: str) -> Iterator[Step]:
    """Steps of a path behind a device."""
    steps = list(path.steps)
    at = next((number for number, step in enumerate(steps) if step.feeder == device), len(steps))
    yield from steps[at:]
