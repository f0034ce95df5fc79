"""Motors and what stands before them: currents, drives, which ends of a winding a device feeds, voltages."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from math import sqrt

from msgspec import Struct

from lint.facts import Facts
from lint.voltages import TOLERANCE, across
from netdsl.calc.basis import amount
from netdsl.calc.loads import LoadCurrents
from netdsl.model.kinds import CONVERTERS, PASSED, Category, Kind
from netdsl.model.plant import Device, Role
from netdsl.network.queries import devices_on, is_drive
from netdsl.network.search import walk

#: share of a motor's line current in one phase of its winding in delta, and through a star contactor (IEC 60947-4-1)
PHASE_SHARE = 1 / sqrt(3)
STAR_SHARE = 1 / 3

_Through = Callable[[Device], bool]


class _Windings(Struct, frozen=True):
    """Ids of the terminals at both ends of a motor's windings."""

    first: frozenset[str]
    second: frozenset[str]


class Motors:
    """The motors of a plant in their circuits."""

    def __init__(self, facts: Facts) -> None:
        self.facts = facts
        self._graph = facts.network.power.graph
        self._behind: dict[str, tuple[str, ...]] = {}
        self.drives = self._drives()

    def __iter__(self) -> Iterator[Device]:
        return (device for device in self.facts.plant.devices.values() if device.kind == Kind.MOTOR)

    def _drives(self) -> frozenset[str]:
        """Drives of the power tree; those of one part are asked for once."""
        known: dict[int, bool] = {}  # by identity: parts and devices live as long as the plant
        devices = [self.facts.plant.devices[name] for name in self._graph]
        for device in devices:
            key = id(device.part) if device.part is not None else id(device)
            if key not in known:
                known[key] = is_drive(device)
        return frozenset(d.id for d in devices if known[id(d.part) if d.part is not None else id(d)])

    def current(self, motor: Device) -> float | None:
        """Rated current of a motor, A: of its rating plate, else as computed from its power; None if unknown."""
        stated = amount(motor, "current")
        return stated if stated is not None else self.facts.calculation.of(LoadCurrents).device(motor.id)

    def feeders(self, device: str) -> tuple[str, ...]:
        """Devices that feed `device` at first hand."""
        return tuple(sorted(self._graph.pred[device])) if device in self._graph else ()

    def behind(self, device: str) -> tuple[str, ...]:
        """Motors that `device` feeds, not those behind a drive or transformer that it feeds."""
        if device not in self._behind:
            self._behind[device] = tuple(
                name for name in self._reach(device) if self.facts.plant.devices[name].kind == Kind.MOTOR
            )
        return self._behind[device]

    def drives_behind(self, device: str) -> tuple[str, ...]:
        """Drives that `device` feeds at first, none of them through another."""
        return tuple(name for name in self._reach(device) if name in self.drives)

    def on_drive(self, device: str) -> bool:
        """Whether power comes to `device` from a drive."""
        return not self.drives.isdisjoint(self.facts.feeders(device))

    def _reach(self, start: str) -> tuple[str, ...]:
        if start not in self._graph:
            return ()

        def beyond(at: tuple[str, frozenset[str]]) -> Iterable[tuple[str, frozenset[str]]]:
            here, nets = at
            ends = here != start and (here in self.drives or self.facts.plant.devices[here].kind in CONVERTERS)
            return () if ends else self._fed(here, nets)

        first: tuple[str, frozenset[str]] = (start, frozenset())
        return tuple(sorted({name for name, _ in walk((first,), beyond)} - {start}))

    def _fed(self, device: str, nets: frozenset[str]) -> Iterator[tuple[str, frozenset[str]]]:
        """What `device` feeds, with the nets by which it does where that matters: a strip or box entered by `nets` feeds on by
        the rows of that circuit alone."""
        own = self._spread(sorted(nets), lambda other: other.id == device) if nets else None
        runs = self.facts.network.runs
        for fed, edge in self._graph.succ[device].items():
            made = self.facts.plant.devices[fed]
            shared = made.category == Category.STRIP or made.kind in PASSED
            by = frozenset(runs[name].net for name in edge["conductors"]) if shared or own is not None else frozenset()
            if own is None or not own.isdisjoint(by):
                yield fed, by if shared else frozenset()

    # --- windings -------------------------------------------------------------------------------------------------
    def windings(self, motor: Device) -> _Windings:
        """First and second ends of the windings on which conductors land; one name ends on 1, the other on 2."""
        ends = [name for name, terminal in motor.terminals.items() if terminal.role is Role.WINDING]
        landed = [name for name in ends if f"{motor.id}:{name}" in self.facts.landed]
        second = frozenset(f"{motor.id}:{name}" for name in landed if name.endswith("2"))
        return _Windings(frozenset(f"{motor.id}:{name}" for name in landed) - second, second)

    def six_ends(self, motor: Device) -> bool:
        """Whether both ends of a motor's windings are led out and wired, as for starting in star."""
        ends = self.windings(motor)
        return bool(ends.first and ends.second)

    def share(self, device: Device, motor: Device) -> float:
        """Share of a motor's line current that a device carries: all; that of one phase where it feeds one end only; that of
        one of several windings, for one speed each, whose terminals state their current."""
        own = self._own(device, motor)
        if own is not None:
            return own
        if not self.six_ends(motor):
            return 1.0
        ends = self.windings(motor)
        reached = self._terminals(device, motor)
        return 1.0 if reached & ends.first and reached & ends.second else PHASE_SHARE

    def _own(self, device: Device, motor: Device) -> float | None:
        """The current that the terminals state which `device` feeds, over that of the motor; None where they state none."""
        stated = {f"{motor.id}:{t.name}": t.current.value for t in motor.terminals.values() if t.current is not None}
        whole = self.current(motor)
        currents = [stated[name] for name in self._terminals(device, motor) if name in stated] if stated and whole else []
        return max(currents) / whole if currents and whole else None

    def star_contactors(self, motor: Device) -> tuple[Device, ...]:
        """Contactors that join the ends of a motor's windings: their poles are joined on one side, a winding is on the other."""
        if not self.six_ends(motor):
            return ()
        net_of = self.facts.network.net_of
        around = {net_of[f"{motor.id}:{name}"] for name, t in motor.terminals.items() if t.role is Role.WINDING}
        around |= {net for start in sorted(around) for net in self._beyond(start)}
        return tuple(
            device
            for device in self.facts.plant.devices.values()
            if device.kind == Kind.CONTACTOR and self._joins(device, around)
        )

    def _joins(self, contactor: Device, around: set[str]) -> bool:
        """Whether the poles of a contactor are joined on one side and lead to nets `around` a motor on the other."""
        net_of = self.facts.network.net_of
        poles = [path for path in contactor.paths if path.kind == "pole"]
        one, other = ({net_of[f"{contactor.id}:{end}"] for end in ends} for ends in ([p.a for p in poles], [p.b for p in poles]))
        return len(poles) > 1 and any(
            len(star) == 1 and len(ends) > 1 and ends <= around for star, ends in ((one, other), (other, one))
        )

    def _beyond(self, start: str) -> set[str]:
        """Nets next to a net over strips and isolators, which only carry on."""
        return self._spread({start}, lambda device: device.category == Category.STRIP or device.kind in PASSED | {Kind.ISOLATOR})

    def _terminals(self, device: Device, motor: Device) -> set[str]:
        """Winding terminals of `motor` reached from the outputs of `device` through what it feeds."""
        inside = set(self._reach(device.id))
        net_of = self.facts.network.net_of
        starts = {net_of[f"{device.id}:{name}"] for name, t in device.terminals.items() if t.role is Role.LOAD_OUT}
        nets = self._spread(starts, lambda other: other.id in inside and other.id != device.id)
        return {
            f"{motor.id}:{name}"
            for name, t in motor.terminals.items()
            if t.role is Role.WINDING and net_of[f"{motor.id}:{name}"] in nets
        }

    def _spread(self, starts: Iterable[str], through: _Through) -> set[str]:
        """Nets reached from `starts` through poles, links and split terminals of the devices that `through` takes."""
        return set(walk(starts, lambda net: self._next(net, through)))

    def _next(self, net: str, through: _Through) -> Iterator[str]:
        net_of = self.facts.network.net_of
        for device, name in devices_on(self.facts.network, net):
            if not through(device):
                continue
            if name.endswith(("/in", "/out")):
                yield from (net_of[f"{device.id}:{name.rpartition('/')[0]}/{side}"] for side in ("in", "out"))
            for path in device.paths:
                if path.kind in ("pole", "link") and name in (path.a, path.b):
                    yield from (net_of[f"{device.id}:{end}"] for end in (path.a, path.b))

    # --- voltages -------------------------------------------------------------------------------------------------
    def volts(self, motor: Device) -> float | None:
        """Voltage between the phases that feed a motor, V: of the mains, or of what supplies its drive; None if unknown or
        where several differ."""
        names = [name for name, terminal in motor.terminals.items() if terminal.role is Role.WINDING]
        found = set(self._between(motor, names))
        for name in self._drives_of(motor):
            drive = self.facts.plant.devices[name]
            inputs = [name for name, t in drive.terminals.items() if t.role in (Role.LINE_IN, Role.NEUTRAL)]
            lines = self._between(drive, inputs)
            if lines and not _made_for(drive, max(lines)):
                return None  # told of the drive: what it gives then nobody knows
            found |= {max(lines)} if lines else set()
        return found.pop() if len(found) == 1 else None

    def _drives_of(self, motor: Device) -> list[str]:
        """Drives whose output reaches a motor."""
        found = {
            potential.device
            for name, terminal in motor.terminals.items()
            if terminal.role is Role.WINDING
            for potential in self.facts.network.nets[self.facts.network.net_of[f"{motor.id}:{name}"]].possible
            if potential.kind == "pwm"
        }
        return sorted(found)

    def _between(self, device: Device, names: list[str]) -> list[float]:
        nets = [self.facts.network.nets[self.facts.network.net_of[f"{device.id}:{name}"]].possible for name in names]
        pairs = ((one, other) for number, one in enumerate(nets) for other in nets[number + 1 :])
        return [volts.value for one, other in pairs for volts in across(self.facts, one, other)]


def _made_for(drive: Device, volts: float) -> bool:
    """Whether a drive takes a voltage between its line terminals, as far as it states what it takes."""
    rated = drive.ratings.quantity("voltage")
    return rated is None or min(rated.values) * (1 - TOLERANCE) <= volts <= max(rated.values) * (1 + TOLERANCE)
