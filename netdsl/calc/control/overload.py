"""Overload of control circuits: the thinnest wire that a protective device or a 24 V supply feeds, against its rating."""

from __future__ import annotations

from collections.abc import Iterator

from netdsl.calc.basis import Answer, Calculation, Given, Limit, Result, Sense, SheetQuestion, amount, formula
from netdsl.calc.circuit import Circuit
from netdsl.calc.conductors import Ampacities, Capacity
from netdsl.calc.devices import Characteristic, Characteristics
from netdsl.kept import cached_property
from netdsl.model.kinds import CONVERTERS, PROTECTIVE, TAPPED
from netdsl.model.plant import Device, Role
from netdsl.network.search import walk
from netdsl.network.types import ConductorClass

_SOURCE = "IEC 60204-1, 7.2.4 and 12.4"
_POWER = (ConductorClass.MAINS, ConductorClass.MOTOR)
_TAKEN = formula("{I_n}")
_CLOSED = PROTECTIVE | CONVERTERS
_OUT = frozenset({Role.LOAD_OUT, Role.SUPPLY_OUT})
#: length, m, up to which a tap inside an enclosure to the next protective device needs no protection of its own
TAP_M = 3.0


class ControlOverloads(SheetQuestion):
    """One result per device that feeds control circuits. Wires of control circuits are rated without grouping: they carry
    little."""

    place = 310
    answers = (Answer("overload.control", "Overload: control circuit", "I_n"),)

    def __init__(self, calculation: Calculation) -> None:
        super().__init__(calculation)
        self._network = calculation.network
        self._plant = calculation.plant

    def results(self) -> Iterator[Result]:
        """`overload.control` of each breaker and fuse that feeds no power circuit, and of each 24 V supply."""
        for device in self._plant.devices.values():
            if device.kind in ("breaker", "fuse", "supply-24v"):
                found = self._of(device)
                if found is not None:
                    yield found

    def _of(self, device: Device) -> Result | None:
        if device.kind != "supply-24v" and (self._feeds_power(device) or self._is_unfed_power(device)):
            return None
        rated = self._rated(device)
        thinnest = self._thinnest(device, rated.value) if rated else None
        if rated is None or thinnest is None:
            return None
        name, capacity = thinnest
        i_z = Given("I_z", capacity.amps, "A", f"capacity of {name}, alone", self._plant.conductors[name].span)
        feeder = self._calculation.of(Circuit).feeder(device.id)
        return Result.worked(
            "overload.control",
            device.id,
            feeder,
            _TAKEN,
            "A",
            (rated, *capacity.givens),
            _SOURCE,
            Limit(capacity.amps, Sense.AT_MOST, f"current-carrying capacity of {name}", i_z),
            conductors=(name,),
            span=device.span,
        )

    def _feeds_power(self, device: Device) -> bool:
        """Whether a device feeds anything of the power circuit but bars and strips, which circuits of both kinds pass."""
        out_of = self._calculation.of(Circuit).out_of
        fed = walk((device.id,), lambda name: [step.fed for step in out_of.get(name, ())])
        return any(name != device.id and self._plant.devices[name].category not in TAPPED for name in fed)

    def _is_unfed_power(self, device: Device) -> bool:
        """Whether a device belongs to a power circuit of which the supply is not drawn, or could not be read."""
        nets = [self._network.net(f"{device.id}:{name}") for name, terminal in device.terminals.items() if terminal.role in _OUT]
        return any(net is not None and net.klass in _POWER for net in nets)

    def _rated(self, device: Device) -> Given | None:
        if device.kind == "supply-24v":
            amps = amount(device, "output-current") or amount(device, "current")
            words = f"current to which {device.id} limits itself"
            return Given("I_n", amps, "A", words, device.span) if amps else None
        release: Characteristic | None = self._calculation.of(Characteristics).of(device.id)
        if release is None or release.rated_a is None:
            return None
        return Given("I_n", release.rated_a, "A", f"rated current of {device.id}", device.span)

    def _thinnest(self, device: Device, amps: float) -> tuple[str, Capacity] | None:
        """The conductor of least capacity that a device feeds before the next protective device."""
        found: tuple[str, Capacity] | None = None
        for name in self._reached(device):
            capacity = self._calculation.of(Ampacities).of(name, alone=True)
            if capacity is None or (capacity.amps < amps and self._tap(name, capacity)):
                continue
            if found is None or capacity.amps < found[1].amps:
                found = name, capacity
        return found

    def _reached(self, device: Device) -> Iterator[str]:
        """Conductors behind a device, over contacts, terminals and links, up to protective devices and consumers."""
        starts = [f"{device.id}:{name}" for name, terminal in device.terminals.items() if terminal.role in _OUT]
        nets = [found for node in starts if (found := self._network.net_of.get(node)) is not None]
        for name in walk(nets, lambda net: () if self._returns(net) else self._beside.get(net, ()), deep=True):
            net = self._network.nets[name]
            if not self._returns(name):
                yield from (each for each in net.conductors if self._network.runs[each].klass is not ConductorClass.EARTH)

    def _returns(self, net: str) -> bool:
        return any(potential.pole in ("N", "0V", "PE", "PEN") for potential in self._network.nets[net].certain)

    @cached_property
    def _beside(self) -> dict[str, tuple[str, ...]]:
        """Nets next to each net over contacts, poles and links that protect nothing, and over knife terminals."""
        found: dict[str, dict[str, None]] = {}
        for device in self._plant.devices.values():
            if device.kind in _CLOSED:
                continue
            pairs = [(f"{device.id}:{path.a}", f"{device.id}:{path.b}") for path in device.paths]
            pairs += [
                (f"{device.id}:{t.name}/in", f"{device.id}:{t.name}/out")
                for t in device.terminals.values()
                if t.split and t.kind != "fused"
            ]
            for one, other in pairs:
                a, b = self._network.net_of.get(one), self._network.net_of.get(other)
                if a is not None and b is not None and a != b:
                    found.setdefault(a, {})[b] = None
                    found.setdefault(b, {})[a] = None
        return {net: tuple(others) for net, others in found.items()}

    def _tap(self, conductor: str, capacity: Capacity) -> bool:
        """Whether a wire is a short tap inside an enclosure to a protective device that it can carry."""
        run = self._network.runs[conductor]
        if run.length_m is None or run.length_m > TAP_M or not self._calculation.of(Ampacities).laying.enclosure(run.conductor):
            return False
        for end in run.conductor.ends:
            device = self._plant.devices.get(end.device)
            release = self._calculation.of(Characteristics).of(end.device) if device and device.kind in PROTECTIVE else None
            if device and device.terminals[end.terminal].role == Role.LINE_IN and release and release.rated_a is not None:
                return release.rated_a <= capacity.amps
        return False
