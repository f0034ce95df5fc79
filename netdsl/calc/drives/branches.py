"""Drives at a supply as the distortion sees them: what each takes, and the impedance from the supply to its rectifier."""

from __future__ import annotations

from math import log2, sqrt
from typing import NamedTuple

from netdsl.calc.basis import Question, amount, tables, word
from netdsl.calc.circuit import Circuit, Path
from netdsl.calc.faults import Faults
from netdsl.calc.loads import LoadCurrents
from netdsl.model.plant import Device
from netdsl.sums import sum_of

#: rectifiers simulated for one supply; drives of like impedance are one
GROUPS = 3


class Branch(NamedTuple):
    """A drive, or drives of like impedance, at a supply. `watts`: power taken; `z`: resistance and reactance of a phase from the
    supply's terminals to the rectifier, per unit of the power, with steps that several drives share at their common power; `dc`:
    reactance of the DC choke, per unit; `choke`: drop of reactor and choke at the rated power, percent. `stating`: share of the
    power whose drives state their distortion, `stated`: that distortion times their share, percent. `members`: each
    drive with its power, W, and the distortion it states, percent."""

    drives: tuple[str, ...]
    watts: float
    z: complex
    dc: float
    choke: float
    stating: float = 0.0
    stated: float = 0.0
    members: tuple[tuple[str, float, float | None], ...] = ()

    def shares(self, percent: float) -> tuple[tuple[str, float], ...]:
        """Each drive with its share of the harmonics of all, where one that states none makes `percent`."""
        weights = [(name, watts * (percent if stated is None else stated)) for name, watts, stated in self.members]
        whole = sum_of(weight for _, weight in weights)
        return tuple((name, weight / whole if whole else 0.0) for name, weight in weights)

    def scale(self, percent: float) -> float:
        """What the harmonics of a simulated distortion of `percent` are multiplied by: drives that state theirs keep to it."""
        return 1.0 - self.stating + (self.stated / percent if percent else 0.0)


class Branches(Question):
    """Branches of drives."""

    def power(self, drive: Device) -> float | None:
        """What a drive takes, W: of its load where that is known, else its rated power."""
        path = self._calculation.of(Circuit).path(drive.id)
        source = self._calculation.of(Faults).source(path.origin) if path else None
        phasor = self._calculation.of(LoadCurrents).phasor(drive.id)
        if phasor is not None and source is not None:
            return sqrt(3) * source.voltage * phasor.real
        return amount(drive, "power")

    def of(self, drives: tuple[tuple[Device, Path], ...], watts: dict[str, float], volts: float) -> tuple[Branch, ...]:
        """The drives of one supply of `volts` between lines, which take `watts`; those of like impedance as one."""
        through: dict[tuple[str, str], float] = {}
        for drive, path in drives:
            for step in path.steps:
                through[step.feeder, step.fed] = through.get((step.feeder, step.fed), 0.0) + watts[drive.id]
        known = {key: self._per_unit(key, power, volts) for key, power in through.items()}
        found = []
        for drive, path in drives:
            parts = [known[step.feeder, step.fed] for step in path.steps]
            z, choke = sum_of((part[0] for part in parts), 0j), sum_of(part[1] for part in parts)
            ac, dc = self._own_choke(drive, watts[drive.id], volts)
            own = amount(drive, "current-distortion")
            found.append(
                Branch(
                    (drive.id,),
                    watts[drive.id],
                    z + 1j * ac,
                    dc,
                    100 * (choke + ac + dc),
                    float(own is not None),
                    own or 0.0,
                    ((drive.id, watts[drive.id], own),),
                )
            )
        return grouped(found)

    def _per_unit(self, key: tuple[str, str], watts: float, volts: float) -> tuple[complex, float]:
        """Impedance of a step and the device it feeds, and the reactance of a line reactor in it, per unit of the common
        power."""
        circuit = self._calculation.of(Circuit)
        live = circuit.impedances.step(circuit.steps[key])
        device = circuit.impedances.device(key[1])
        reactor = device.imag if circuit.plant.devices[key[1]].kind == "reactor" else 0.0
        base = watts / volts**2
        return ((live[0][1] if live else 0j) + device) * base, reactor * base

    def _own_choke(self, drive: Device, watts: float, volts: float) -> tuple[float, float]:
        """Reactance of a drive's own choke, per unit of its power: on the AC side, on the DC side. Its percentage is of the
        impedance that takes the rated input current at the line voltage."""
        percent = amount(drive, "choke")
        amps = amount(drive, "input-current") or amount(drive, "current")
        if not percent:
            return 0.0, 0.0
        x = percent / 100 * (watts / (sqrt(3) * volts * amps) if amps else 1.0)
        side = word(drive, "choke-side")
        if not side:
            self._calculation.settings.assume(
                "choke-side",
                "the choke built into a drive is in its DC link, where it does not say `choke-side`",
                "common practice",
                "common practice",
            )
        return (x, 0.0) if side == "ac" else (0.0, x)


def typical(branches: tuple[Branch, ...], ratio: float) -> str:
    """The published band for drives like these at a supply of the given short-circuit ratio, in words; empty where the drives
    differ or none is published."""
    if len(branches) != 1 or branches[0].stating:
        return ""
    branch = branches[0]
    side = "dc" if branch.dc else "ac" if branch.choke >= 0.5 else "none"
    for row in tables("harmonics", "typical"):
        if (
            row["side"] == side
            and row["ratio"][0] <= ratio < row["ratio"][1]
            and row["choke"][0] <= branch.choke < row["choke"][1]
        ):
            low, high = row["percent"]
            return f"typical, {row['case']}: {low:g} %" + (f" to {high:g} %" if high > low else "") + f" ({row['source']})"
    return ""


def grouped(branches: list[Branch]) -> tuple[Branch, ...]:
    """Drives of like impedance as one, at most GROUPS of them: those whose impedances lie within a factor of 1.4, the nearest of
    the others joined to them."""
    classes: dict[tuple[bool, int], list[Branch]] = {}
    for branch in branches:
        classes.setdefault((branch.dc > 0, round(2 * log2(max(branch.z.imag + branch.dc, 2e-3)))), []).append(branch)
    found = [_joined(classes[key]) for key in sorted(classes)]
    while len(found) > GROUPS:
        at = min(range(len(found) - 1), key=lambda n: min(found[n].watts, found[n + 1].watts))
        found[at : at + 2] = [_joined(found[at : at + 2])]
    return tuple(found)


def _joined(branches: list[Branch]) -> Branch:
    """Branches as one, each counted by its power."""
    watts = sum_of(branch.watts for branch in branches)
    z = sum_of((branch.z * branch.watts for branch in branches), 0j) / watts
    dc, choke, stating, stated = (
        sum_of(value * branch.watts for value, branch in zip(values, branches, strict=True)) / watts
        for values in zip(*((b.dc, b.choke, b.stating, b.stated) for b in branches), strict=True)
    )
    drives = tuple(name for branch in branches for name in branch.drives)
    return Branch(drives, watts, z, dc, choke, stating, stated, tuple(each for branch in branches for each in branch.members))
