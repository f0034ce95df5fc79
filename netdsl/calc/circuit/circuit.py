"""The power circuit as the calculation walks it: paths from a source through the power tree, their impedances."""

from __future__ import annotations

from netdsl.calc.basis import kept_of_connections
from netdsl.calc.circuit.earth_paths import EarthPaths
from netdsl.calc.circuit.impedances import CircuitImpedances
from netdsl.calc.circuit.steps import Path, Step
from netdsl.calc.circuit.tree import PowerTree
from netdsl.kept import cached_property, kept
from netdsl.model.kinds import CONVERTERS, PASSED, PROTECTIVE

#: paths followed to one device; a bypass has two
MAX_PATHS = 8


class Circuit(PowerTree):
    """The power tree with impedances, and the ways that lead through it."""

    @cached_property
    def impedances(self) -> CircuitImpedances:
        """Impedances of conductors, steps and devices."""
        return CircuitImpedances(self)

    @cached_property
    def earths(self) -> EarthPaths:
        """The ways back to the supplies over protective conductors."""
        return EarthPaths(self, self.impedances)

    def paths(self, device: str) -> tuple[Path, ...]:
        """Ways from a source to `device`, the one through what is declared first first; empty for what nothing feeds."""
        return self._paths.get(device, ())

    def path(self, device: str) -> Path | None:
        """The first way from a source to `device`."""
        found = self.paths(device)
        return found[0] if found else None

    @kept
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
        if path.step is None or (via.category != "strip" and via.kind not in PASSED):
            return step.conductors
        joined = self._joined_nets(via.id)
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
        joined, runs = self._joined_nets(step.feeder), self.network.runs
        arriving = {joined.get(net, net) for net in (runs[name].net for name in path.step.neutral)}
        return tuple(name for name in step.neutral if joined.get(runs[name].net, runs[name].net) in arriving)

    def _nets(self, step: Step) -> tuple[str, ...]:
        return tuple(self.network.runs[pole[0]].net for pole in step.poles)

    @kept_of_connections
    def _joined_nets(self, strip: str) -> dict[str, str]:
        """Nets that fused and disconnect terminals of a strip join, each with one of them to stand for all."""
        stands: dict[str, str] = {}
        for terminal in self.plant.devices[strip].terminals.values():
            sides = [self.network.net_of.get(f"{strip}:{terminal.name}/{side}") for side in ("in", "out")]
            if terminal.split and sides[0] is not None and sides[1] is not None:
                one, other = (stands.get(net, net) for net in sides if net is not None)
                stands.update({net: one for net, stand in stands.items() if stand == other})
                stands.update({other: one, sides[0]: one, sides[1]: one})
        return stands

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


def _start(device: str) -> Path:
    return Path(device, device, None, None, "", 0j, 0j, 0j, 0j, 0j, 0j, True)
