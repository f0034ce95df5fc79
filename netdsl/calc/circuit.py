"""The power circuit as the calculation walks it: steps of the power tree, paths from a source, their impedances."""

from __future__ import annotations

from collections.abc import Iterable
from functools import cached_property

from netdsl.calc.earth_paths import EarthPaths
from netdsl.calc.gaps import Gaps
from netdsl.calc.impedances import CircuitImpedances
from netdsl.calc.leads import Leads
from netdsl.calc.settings import Settings
from netdsl.calc.steps import TAPPED, Path, Step
from netdsl.findings import Span
from netdsl.model.plant import Device, Plant
from netdsl.network.types import Network

#: devices that protect what is behind them
PROTECTIVE = frozenset({"breaker", "fuse", "motor-breaker", "overload", "residual-device"})
#: devices at whose output a circuit of its own begins
CONVERTERS = frozenset({"drive", "transformer", "supply-24v"})
#: paths followed to one device; a bypass has two
MAX_PATHS = 8


class Circuit:
    """The power tree with impedances. Everything is worked out once, on first use."""

    def __init__(self, network: Network, settings: Settings, gaps: Gaps) -> None:
        self.network = network
        self.plant: Plant = network.plant
        self.settings = settings
        self.gaps = gaps
        self.leads = Leads(network, settings)
        self.frequency_hz = self.leads.frequency_hz
        self._joined: dict[str, dict[str, str]] = {}
        self._feeders: dict[str, str] = {}

    @cached_property
    def impedances(self) -> CircuitImpedances:
        """Impedances of conductors, steps and devices."""
        return CircuitImpedances(self)

    # --- steps and paths ------------------------------------------------------------------------------------------
    @cached_property
    def earths(self) -> EarthPaths:
        """The ways back to the supplies over protective conductors."""
        return EarthPaths(self)

    @cached_property
    def steps(self) -> dict[tuple[str, str], Step]:
        """Steps by (feeder, fed), in the order of the power tree."""
        behind = dict(self.network.power.graph.adjacency())
        return {
            (feeder, fed): self._step(feeder, fed, data["conductors"], data["cables"], data["neutral"])
            for feeder in self.network.power.order
            for fed, data in behind[feeder].items()
        }

    @cached_property
    def into(self) -> dict[str, tuple[Step, ...]]:
        """Steps that feed each device."""
        found: dict[str, list[Step]] = {}
        for step in self.steps.values():
            found.setdefault(step.fed, []).append(step)
        return {device: tuple(steps) for device, steps in found.items()}

    @cached_property
    def out_of(self) -> dict[str, tuple[Step, ...]]:
        """Steps that leave each device."""
        found: dict[str, list[Step]] = {}
        for step in self.steps.values():
            found.setdefault(step.feeder, []).append(step)
        return {device: tuple(steps) for device, steps in found.items()}

    @cached_property
    def step_of(self) -> dict[str, Step]:
        """The step that each live or neutral conductor of the power tree belongs to."""
        return {conductor: step for step in self.steps.values() for conductor in (*step.conductors, *step.neutral)}

    def paths(self, device: str) -> tuple[Path, ...]:
        """Ways from a source to `device`, the one through what is declared first first; empty for what nothing feeds."""
        return self._paths.get(device, ())

    def path(self, device: str) -> Path | None:
        """The first way from a source to `device`."""
        found = self.paths(device)
        return found[0] if found else None

    def protections(self, path: Path) -> tuple[str, ...]:
        """Protective devices on a path, the nearest to the source first, the last device included."""
        return tuple(name for name in path.devices if self.plant.devices[name].kind in PROTECTIVE)

    @cached_property
    def _paths(self) -> dict[str, tuple[Path, ...]]:
        found: dict[str, list[Path]] = {}
        for device in self._topological():
            for step in self.into.get(device, ()):
                for path in found.get(step.feeder, ()):
                    if self._goes_on(path, step) and len(found.setdefault(device, [])) < MAX_PATHS:
                        found[device].append(self._beyond(path, step))
            if self._begins(device):
                found.setdefault(device, []).append(_start(device))
        return {device: tuple(paths) for device, paths in found.items()}

    def _goes_on(self, path: Path, step: Step) -> bool:
        """Whether what arrives by a path leaves by a step: on a strip or in a terminal box several circuits pass side by side."""
        return len(step.poles) == 0 or bool(self.carrying(path, step))

    def carrying(self, path: Path, step: Step) -> tuple[str, ...]:
        """Live conductors of a step in which what arrives by a path goes on: on a strip or in a terminal box not all."""
        via = self.plant.devices[step.feeder]
        if path.step is None or (via.category != "strip" and via.kind != "terminal-box"):
            return step.conductors
        joined = self._joined_nets(via)
        arriving = {joined.get(net, net) for net in self._nets(path.step)}
        nets = self._nets(step)
        if all(joined.get(net, net) in arriving for net in nets):  # the usual case
            return step.conductors
        return tuple(
            name for net, pole in zip(nets, step.poles, strict=True) if joined.get(net, net) in arriving for name in pole
        )

    def returning(self, path: Path, step: Step) -> tuple[str, ...]:
        """Neutral conductors of a step that go with those of `carrying`."""
        if path.step is None or len(self.carrying(path, step)) == len(step.conductors):
            return step.neutral
        joined, runs = self._joined_nets(self.plant.devices[step.feeder]), self.network.runs
        arriving = {joined.get(net, net) for net in (runs[name].net for name in path.step.neutral)}
        return tuple(name for name in step.neutral if joined.get(runs[name].net, runs[name].net) in arriving)

    def _nets(self, step: Step) -> tuple[str, ...]:
        return tuple(self.network.runs[pole[0]].net for pole in step.poles)

    def _joined_nets(self, strip: Device) -> dict[str, str]:
        """Nets that fused and disconnect terminals of a strip join, each with one of them to stand for all."""
        if strip.id not in self._joined:
            stands: dict[str, str] = {}
            for terminal in strip.terminals.values():
                sides = [self.network.net_of.get(f"{strip.id}:{terminal.name}/{side}") for side in ("in", "out")]
                if terminal.split and sides[0] is not None and sides[1] is not None:
                    one, other = (stands.get(net, net) for net in sides if net is not None)
                    stands.update({net: one for net, stand in stands.items() if stand == other})
                    stands.update({other: one, sides[0]: one, sides[1]: one})
            self._joined[strip.id] = stands
        return self._joined[strip.id]

    def _topological(self) -> list[str]:
        """Devices of the power tree, each behind all that feed it."""
        waiting = {device: len(self.into.get(device, ())) for device in self.network.power.order}
        ready = [device for device, count in waiting.items() if not count]
        for device in ready:
            for step in self.out_of.get(device, ()):
                waiting[step.fed] -= 1
                if not waiting[step.fed]:
                    ready.append(step.fed)
        return ready

    def _begins(self, device: str) -> bool:
        """Whether a circuit begins at a device: a supply, or a converter that nothing of the plant feeds."""
        made = self.plant.devices[device]
        return made.category == "supply" or (made.kind in CONVERTERS and not self.into.get(device))

    def _beyond(self, path: Path, step: Step) -> Path:
        feeder = self.plant.devices[step.feeder]
        start = path
        if feeder.kind in CONVERTERS and feeder.id != path.origin:
            drive = feeder.id if feeder.kind == "drive" else ""
            start = Path(feeder.id, feeder.id, None, None, drive, 0j, 0j, 0j, 0j, 0j, 0j, True)
        own = self.impedances.device(step.fed)
        live = self.impedances.step(step)
        if live is None:
            return Path(step.fed, start.origin, start, step, start.drive, 0j, 0j, 0j, 0j, 0j, 0j, False)
        (cold, warm, end), (n_cold, n_warm, n_end) = live
        return Path(
            step.fed,
            start.origin,
            start,
            step,
            start.drive,
            start.cold + cold + own,
            start.warm + warm + own,
            start.end + end + own,
            start.neutral_cold + n_cold,
            start.neutral_warm + n_warm,
            start.neutral_end + n_end,
            start.known,
        )

    def _step(self, feeder: str, fed: str, conductors: Iterable[str], cables: tuple[str, ...], neutral: bool) -> Step:
        poles: dict[str, list[str]] = {}
        returns: list[str] = []
        for name in conductors:
            run = self.network.runs.get(name)
            if run is None:
                continue
            if run.net in self._return_nets:
                returns.append(name)
            else:
                poles.setdefault(run.net, []).append(name)
        live = tuple(tuple(pole) for pole in poles.values())
        return Step(feeder, fed, live, tuple(returns), cables, neutral, tuple(name for pole in live for name in pole))

    @cached_property
    def _return_nets(self) -> frozenset[str]:
        """Nets of a neutral or 0 V."""
        nets = self.network.nets.values()
        return frozenset(net.id for net in nets for potential in net.certain if potential.pole in ("N", "0V"))

    # --- feeders --------------------------------------------------------------------------------------------------
    def feeder(self, device: str) -> str:
        """The circuit a device is listed under: its function; in the common part the first device behind the last busbar or
        strip that several circuits leave, or the device itself."""
        made = self.plant.devices.get(device)
        if made is None or made.function:
            return made.function if made else device
        if device not in self._feeders:
            self._feeders[device] = self._branch(device)
        return self._feeders[device]

    def _branch(self, device: str) -> str:
        here = device
        for _ in range(len(self.network.power.order)):
            steps = self.into.get(here, ())
            if not steps or len(self.out_of.get(steps[0].feeder, ())) > 1 or self.plant.devices[steps[0].feeder].function:
                return here
            before = self.plant.devices[steps[0].feeder]
            if before.category in ("supply", *TAPPED):
                return here
            here = before.id
        return here

    def span_of(self, thing: str) -> Span | None:
        """Where a device, cable or conductor is declared."""
        for table in (self.plant.devices, self.plant.cables, self.plant.conductors, self.plant.places):
            if thing in table:
                span: Span = table[thing].span
                return span
        return None


def _start(device: str) -> Path:
    return Path(device, device, None, None, "", 0j, 0j, 0j, 0j, 0j, 0j, True)
