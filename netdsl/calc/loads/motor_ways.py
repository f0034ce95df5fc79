"""The ways to a motor that differ: past its drive and by it, or to a winding for each speed."""

from __future__ import annotations

from collections.abc import Collection

from msgspec import Struct

from netdsl.calc.basis import Question
from netdsl.calc.circuit import Circuit, Path
from netdsl.calc.loads.currents import LoadCurrents
from netdsl.calc.loads.wiring import speed_of
from netdsl.kept import kept


class MotorWay(Struct, frozen=True):
    """One of several ways to `motor`.

    `by`: the device that feeds it last; `drive`: the drive behind which it then is, "" for none; `winding`: the first terminal of
    the winding for one speed that the way leads to, "" where it has not one for each; `share`: of the motor's current what that
    winding takes, `full`: all of it; `devices`: the way, both ends included.
    """

    motor: str
    by: str
    drive: str
    winding: str
    share: float
    devices: tuple[str, ...]

    @property
    def full(self) -> bool:
        """Whether the motor takes all its current by this way."""
        return self.share > 1 - 1e-9


class MotorWays(Question):
    """Ways to motors of three phases."""

    @kept
    def of(self, motor: str) -> tuple[MotorWay, ...]:
        """The ways to a motor, in the order of `Circuit.paths`; none where they do not differ in drive or winding, or meet before
        the last device, so that what flows in it is of either."""
        loads = self._calculation.of(LoadCurrents)
        made = self._calculation.plant.devices.get(motor)
        if made is None or made.kind != "motor" or not loads.is_load(motor) or loads.demands.phases(motor) != 3:
            return ()
        found = [self._way(path) for path in self._calculation.of(Circuit).paths(motor) if path.step is not None]
        differing = {(way.by, way.drive, way.winding): way for way in reversed(found)}
        apart = len({way.by for way in found}) == len(differing) and len({key[1:] for key in differing}) > 1
        return tuple(reversed(differing.values())) if apart else ()

    def through(self, motor: str, devices: Collection[str]) -> MotorWay | None:
        """Of the ways to a motor that differ the one whose last device is among some; None where there is none."""
        return next((way for way in self.of(motor) if way.by in devices), None)

    def _way(self, path: Path) -> MotorWay:
        loads, runs = self._calculation.of(LoadCurrents), self._calculation.network.runs
        stages = loads.wiring.stages
        givers = {stages[tree.giver].device for net in stages[path.device].fed_by for tree in loads.flows.trees(net)}
        by = next((name for name in reversed(path.devices[:-1]) if name in givers), path.devices[-2])
        nodes = (node for name in (path.step.conductors if path.step else ()) for node in runs[name].nodes)
        speed = speed_of(node for node in nodes if node.rpartition(":")[0] == path.device)
        winding = f"{speed}U" if speed and loads.demands.by_speed(path.device) else ""
        return MotorWay(path.device, by, path.drive, winding, loads.starts.share(path), path.devices)
