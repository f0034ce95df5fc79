"""Whether what protects a motor carries its starting current until it has run up."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise
from math import exp, log

from netdsl.calc.basis import Answer, Given, Limit, Result, Sense, SheetQuestion, formula
from netdsl.calc.circuit import Circuit
from netdsl.calc.coordination.run_up import RunUps
from netdsl.calc.devices import Characteristic, Characteristics, Point
from netdsl.calc.loads import LoadCurrents, Start, StartsTogether
from netdsl.calc.protection import Trips
from netdsl.sums import sum_of

_SOURCE = "IEC 60947-4-1, tables 2 and 3; IEC 60269-1, tables 2 and 3; IEC 60898-1, table 7"
#: kinds that heat goes on to decide beyond their last point
_BY_HEAT = frozenset({"overload", "motor-breaker", "fuse"})
_TIME = formula("{t_s}")


class StartingHolds(SheetQuestion):
    """Starting time against trip class, fuse and breaker."""

    place = 716
    answers = (Answer("starting.hold", "Starting time against a protective device", "t_s"),)

    def results(self) -> Iterator[Result]:
        """`starting.hold MOTOR by DEVICE` of every protective device on the way to a motor whose starting time is known, s, held
        to the time for which the device has certainly not operated at the current that flows through it meanwhile."""
        loads = self._calculation.of(LoadCurrents)
        for motor in self._calculation.of(RunUps).motors():
            time, start = self._calculation.of(RunUps).of(motor), loads.starts.of(motor)
            if time is None or start is None or time.question != "starting.time":
                continue
            seen: dict[str, None] = {}
            for path in self._calculation.of(Circuit).paths(motor):
                if path.drive or loads.starts.share(path) < 1:  # how long a slower winding runs up is not stated
                    continue
                for device in self._devices(path.origin, path.devices):
                    if device.device not in seen and device.overload:
                        seen[device.device] = None
                        found = self._of(motor, time, start, device)
                        if found is not None:
                            yield found

    def _devices(self, origin: str, names: tuple[str, ...]) -> Iterator[Characteristic]:
        every = self._calculation.of(Characteristics)
        known = (every.upstream(origin), *(every.of(name) for name in names))
        return (device for device in known if device is not None)

    def _of(self, motor: str, time: Result, start: Start, device: Characteristic) -> Result | None:
        amps = self._through(motor, start, device.device)
        held = until(device, amps.value) if amps is not None else None
        if amps is None or held is None:
            return None
        seconds, point = held
        words = f"{device.device} has certainly not operated, {amps.shown} through it"
        given = Given("t_h", seconds, "s", f"by the {point.words}", point.span, point.source, point.confidence)
        value = Given("t_s", time.value, "s", f"time in which {motor} runs up", result=time.key)
        return Result.worked(
            "starting.hold",
            motor,
            self._calculation.of(Circuit).feeder(motor),
            _TIME,
            "s",
            (value, amps, *start.givens),
            _SOURCE,
            Limit(seconds, Sense.AT_MOST, f"time for which {words}", given),
            key=f"starting.hold {motor} by {device.device}",
            note=f"{self._calculation.of(Trips).named(device)}; {start.note}",
            span=self._calculation.plant.devices[motor].span,
        )

    def _through(self, motor: str, start: Start, device: str) -> Given | None:
        """What flows through a device while a motor starts and all else behind the device runs, A."""
        loads, made = self._calculation.of(LoadCurrents), self._calculation.plant.devices[device]
        own = loads.phasor(motor)
        if made.kind == "overload" and loads.starts.star_delta(motor):
            total, own = None, None  # in the windings: in star the whole current of the line, alone
        elif made.category == "supply":
            flows = [loads.phasor(step.fed) for step in self._calculation.of(Circuit).out_of.get(device, ())]
            total = None if None in flows else sum_of((each for each in flows if each is not None), 0j)
        else:
            total = loads.phasor(device)
        together, origin = self._calculation.of(StartsTogether), next(iter(loads.wiring.origins(motor)), "")
        behind = {name.partition("/")[0] for name in loads.flows.behind(device)} if device in loads.wiring.stages else set[str]()
        more = sum_of((together.more(other, origin) for other in together.others(motor) if other in behind), 0j)
        amps = abs(start.phasor) if total is None or own is None else abs(total - own + start.phasor + more)
        words = f"current through {device} while {motor} starts"
        return Given("I", amps, "A", words, None, "starting current, and what else flows there in service", "verified")


def until(device: Characteristic, amps: float) -> tuple[float, Point] | None:
    """The time, s, for which a device has certainly not operated at a current, and the point that says so; 0 s beyond all; None
    where nothing is known of it."""
    points = device.holds
    if not points:
        return None
    if amps <= points[0].amps:
        return points[0].seconds, points[0]
    for before, point in pairwise(points):
        if amps > point.amps:
            continue
        if not point.joined:
            return point.seconds, point
        share = log(amps / before.amps) / log(point.amps / before.amps)
        return exp(log(before.seconds) + share * log(point.seconds / before.seconds)), point
    last = points[-1]
    at_once = device.instantaneous_a is not None and amps > device.instantaneous_a[0]
    return (last.seconds * (last.amps / amps) ** 2 if device.kind in _BY_HEAT and not at_once else 0.0), last
