"""Supply current distortion of all drives of a supply together."""

from __future__ import annotations

from collections.abc import Iterator
from functools import cached_property
from math import log2, pi, sqrt
from typing import NamedTuple

from netdsl.calc.basis import Answer, Calculation, Gap, Given, Result, SheetQuestion, amount, tables, word
from netdsl.calc.circuit import Circuit, Path
from netdsl.calc.drives.rectifier import NO_LOAD, ORDERS, Rectifier, Spectrum, at_full_power
from netdsl.calc.faults import FAULT_LEVEL_REMEDY, Faults, SourceImpedance
from netdsl.calc.loads import LoadCurrents
from netdsl.model.plant import Device

#: rectifiers simulated for one supply; drives of like impedance are one
GROUPS = 3
#: harmonics that get a line of their own
SHOWN = (5, 7, 11, 13, 17, 19, 23, 25, 29, 31, 35, 37)
#: least reactance of a phase, per unit: below it a commutation is a jump
_LEAST = 2e-4
#: share of its power that a rectifier must get in the model, else its supply is too weak
_GIVEN = 0.98
_MODEL = "time-domain model of six-pulse rectifiers in steady state, harmonics to the 40th"


class Branch(NamedTuple):
    """A drive, or drives of like impedance, at a supply. `watts`: power taken; `z`: resistance and reactance of a phase from the
    supply's terminals to the rectifier, per unit of the power, with steps that several drives share at their common power; `dc`:
    reactance of the DC choke, per unit; `choke`: drop of reactor and choke at the rated power, percent. `stating`: share of the power
    whose drives state their distortion, `stated`: that distortion times their share, percent."""

    drives: tuple[str, ...]
    watts: float
    z: complex
    dc: float
    choke: float
    stating: float = 0.0
    stated: float = 0.0

    def scale(self, percent: float) -> float:
        """What the harmonics of a simulated distortion of `percent` are multiplied by: drives that state theirs keep to it."""
        return 1.0 - self.stating + (self.stated / percent if percent else 0.0)


class Distortion(SheetQuestion):
    """Supply current distortion of all drives of a supply together.

    Drives of like impedance are one rectifier. Each rectifier sees the supply's impedance as if the current of all had its shape;
    their harmonics then add with their angles.
    """

    place = 1900
    answers = (
        Answer("distortion.harmonic-current", "Harmonic current of the drives", "I_h"),
        Answer("distortion.fundamental", "Fundamental of the supply current", "I_1"),
        Answer("distortion.thd", "Supply current distortion", "THD_i"),
        Answer("distortion.drives", "Distortion of the drives' current alone", "THD_i"),
        Answer("distortion.voltage", "Distortion of the supply voltage", "THD_u"),
        *(Answer(f"distortion.h{order}", f"Harmonic of order {order}", f"h{order}") for order in SHOWN),
    )
    judged = False

    def results(self) -> Iterator[Result]:
        """`distortion.thd` and harmonics of every supply that feeds drives."""
        for supply, drives in self._drives.items():
            yield from self._of(supply, drives)

    @cached_property
    def _drives(self) -> dict[str, tuple[tuple[Device, Path], ...]]:
        """Three-phase drives by the supply or transformer that feeds them."""
        calculation = self._calculation
        found: dict[str, list[tuple[Device, Path]]] = {}
        for device in calculation.plant.devices.values():
            path = calculation.of(Circuit).path(device.id) if device.kind == "drive" else None
            if path is None or path.step is None or path.origin == device.id:
                continue
            if path.step.phases == 3:
                found.setdefault(path.origin, []).append((device, path))
            else:
                calculation.settings.assume(
                    "distortion",
                    "distortion: the model is of six-pulse rectifiers; drives of one phase count with their fundamental alone",
                    "time-domain model of this calculation",
                    "verified",
                )
        return {supply: tuple(drives) for supply, drives in found.items()}

    def _of(self, supply: str, drives: tuple[tuple[Device, Path], ...]) -> Iterator[Result]:
        source = self._calculation.of(Faults).source(supply)
        powers = {drive.id: self._power(drive) for drive, _ in drives}
        unknown = tuple(name for name, power in powers.items() if not power)
        if unknown:
            self._calculation.gaps.note(
                Gap(
                    supply,
                    "power of drives",
                    unknown,
                    ("distortion",),
                    self._calculation.plant.devices[supply].span,
                    "add `power=` to the drive",
                )
            )
        made = self._calculation.plant.devices[supply]
        if source is None and made.category == "supply":
            self._calculation.gaps.note(
                Gap(
                    self._calculation.of(Circuit).feeder(supply),
                    "fault level",
                    (supply,),
                    ("distortion",),
                    made.span,
                    FAULT_LEVEL_REMEDY,
                )
            )
        if source is None or unknown or not all(path.known for _, path in drives):
            return
        branches = grouped(self._branches(drives, {name: power or 0.0 for name, power in powers.items()}, source.voltage))
        yield from self._results(supply, source, branches)

    # --- branches -------------------------------------------------------------------------------------------------
    def _power(self, drive: Device) -> float | None:
        """What a drive takes, W: of its load where that is known, else its rated power."""
        path = self._calculation.of(Circuit).path(drive.id)
        source = self._calculation.of(Faults).source(path.origin) if path else None
        phasor = self._calculation.of(LoadCurrents).phasor(drive.id)
        if phasor is not None and source is not None:
            return sqrt(3) * source.voltage * phasor.real
        return amount(drive, "power")

    def _branches(self, drives: tuple[tuple[Device, Path], ...], watts: dict[str, float], volts: float) -> list[Branch]:
        through: dict[tuple[str, str], float] = {}
        for drive, path in drives:
            for step in path.steps:
                through[step.feeder, step.fed] = through.get((step.feeder, step.fed), 0.0) + watts[drive.id]
        known = {key: self._per_unit(key, power, volts) for key, power in through.items()}
        found = []
        for drive, path in drives:
            parts = [known[step.feeder, step.fed] for step in path.steps]
            z, choke = sum((part[0] for part in parts), 0j), sum(part[1] for part in parts)
            ac, dc = self._own_choke(drive, watts[drive.id], volts)
            own = amount(drive, "current-distortion")
            found.append(
                Branch((drive.id,), watts[drive.id], z + 1j * ac, dc, 100 * (choke + ac + dc), float(own is not None), own or 0.0)
            )
        return found

    def _per_unit(self, key: tuple[str, str], watts: float, volts: float) -> tuple[complex, float]:
        """Impedance of a step and the device it feeds, and the reactance of a line reactor in it, per unit of the common power."""
        circuit = self._calculation.of(Circuit)
        live = circuit.impedances.step(circuit.steps[key])
        device = circuit.impedances.device(key[1])
        reactor = device.imag if circuit.plant.devices[key[1]].kind == "reactor" else 0.0
        base = watts / volts**2
        return ((live[0][1] if live else 0j) + device) * base, reactor * base

    def _own_choke(self, drive: Device, watts: float, volts: float) -> tuple[float, float]:
        """Reactance of a drive's own choke, per unit of its power: on the AC side, on the DC side. Its percentage is of the impedance
        that takes the rated input current at the line voltage."""
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

    # --- results --------------------------------------------------------------------------------------------------
    def _results(self, supply: str, source: SourceImpedance, branches: tuple[Branch, ...]) -> Iterator[Result]:
        currents, note = self._currents(source, branches)
        others = self._others(supply, branches, source.voltage)
        alone, whole = abs(currents[1]), abs(currents[1] + (others or 0j))
        total = sqrt(sum(abs(value) ** 2 for order, value in currents.items() if order > 1))
        make = _Maker(self._calculation, supply)
        model = make.model(source, branches, self._calculation.settings.given("dc-link-capacitance", "C"))
        harmonic = make.result("harmonic-current", total, "A", f"simulated: {_listed(model)}", model, note)
        yield harmonic
        first = make.result(
            "fundamental",
            whole,
            "A",
            "|{I_1d} + {I_others}|" if others is not None else "{I_1d}",
            (
                Given("I_1d", alone, "A", "fundamental of the drives, of the same simulation", result=harmonic.key),
                *(
                    (make.given("I_others", abs(others), "A", "all other loads, added with their angle"),)
                    if others is not None
                    else ()
                ),
            ),
            "" if others is not None else "loads that are no drives are not known and not counted",
        )
        yield first
        by = (
            Given("I_h", total, "A", "harmonics to the 40th", result=harmonic.key),
            Given("I_1", whole, "A", "fundamental", result=first.key),
        )
        yield make.result("thd", 100 * total / whole, "%", "100 * {I_h} / {I_1}", by, note)
        by_drives = (by[0], Given("I_1d", alone, "A", "fundamental of the drives", result=harmonic.key))
        published = typical(branches, self._ratio(source, branches))
        yield make.result("drives", 100 * total / alone, "%", "100 * {I_h} / {I_1d}", by_drives, published)
        for order in SHOWN:
            amps = Given(f"I_{order}", abs(currents[order]), "A", "of the same simulation", result=harmonic.key)
            yield make.result(
                f"h{order}", 100 * abs(currents[order]) / whole, "%", f"100 * {{I_{order}}} / {{I_1}}", (amps, by[1])
            )
        yield make.voltage(source, currents, harmonic)

    def _currents(self, source: SourceImpedance, branches: tuple[Branch, ...]) -> tuple[dict[int, complex], str]:
        """Currents of all branches together by order, A; and what makes them doubtful, in words."""
        volts, total = source.voltage, sum(branch.watts for branch in branches)
        farad = self._calculation.settings.number("dc-link-capacitance") * 1e-9 * 400.0**2
        currents = dict.fromkeys(range(1, ORDERS + 1), 0j)
        notes: dict[str, None] = {}
        for branch in branches:
            z = branch.z + source.largest * total / volts**2
            made = Rectifier(
                z.real,
                max(z.imag, _LEAST),
                0.0,
                branch.dc,
                2 * pi * self._calculation.of(Circuit).frequency_hz * farad,
                NO_LOAD**2,
            )
            found: Spectrum = at_full_power(made)
            if not found.settled:
                notes["the steady state was not reached"] = None
            if found.power < _GIVEN:
                notes[f"the supply is too weak: it gives {100 * found.power:.0f} % of the power of {branch.drives[0]}"] = None
            scale = branch.scale(_distortion(found)) if branch.stating else 1.0
            for order in currents:
                currents[order] += found.orders[order] * (branch.watts / volts * (scale if order > 1 else 1.0))
        return currents, "; ".join(notes)

    @staticmethod
    def _ratio(source: SourceImpedance, branches: tuple[Branch, ...]) -> float:
        """Short-circuit power of the supply over the power of the drives."""
        power = source.voltage**2 / abs(source.largest) if source.largest else float("inf")
        return power / sum(branch.watts for branch in branches)

    def _others(self, supply: str, branches: tuple[Branch, ...], volts: float) -> complex | None:
        """Fundamental of what is no drive, A with its angle, of the phase with most; None where it is not known."""
        loads = self._calculation.of(LoadCurrents)
        whole = loads.phasor(supply)
        drives = [loads.phasor(drive) for branch in branches for drive in branch.drives]
        if whole is None or any(phasor is None for phasor in drives):
            names = {drive for branch in branches for drive in branch.drives}
            kept = {name: share for name, share in loads.flows.behind(supply).items() if name not in names}
            phases = loads.phasors.within(kept, supply)
            return max(phases, key=lambda current: round(abs(current), 9)) if phases else None
        rest = whole - sum((phasor for phasor in drives if phasor is not None), 0j)
        return rest if abs(rest) > 1e-3 * sum(branch.watts for branch in branches) / volts else 0j


class _Maker:
    """Results of one supply."""

    def __init__(self, calculation: Calculation, supply: str) -> None:
        self._calculation = calculation
        self._supply = calculation.plant.devices[supply]

    def given(self, symbol: str, value: float, unit: str, words: str) -> Given:
        """A value that follows from what the netlist says of the supply's loads."""
        return Given(symbol, value, unit, words, self._supply.span)

    def model(self, source: SourceImpedance, branches: tuple[Branch, ...], capacitance: Given) -> tuple[Given, ...]:
        """What the simulation was given."""
        found = [self.given("Z_s", round(abs(source.largest), 6), "Ω", "impedance of the supply"), capacitance]
        for number, branch in enumerate(branches, 1):
            first = self._calculation.plant.devices[branch.drives[0]]
            names = ", ".join(branch.drives[:4]) + (f" and {len(branch.drives) - 4} more" if len(branch.drives) > 4 else "")
            found.append(Given(f"P_{number}", branch.watts, "W", f"power taken by {names}", first.span))
            found.append(
                Given(f"z_{number}", 100 * abs(branch.z), "%", "impedance from the supply to them, of their power", first.span)
            )
            found.append(Given(f"x_{number}", 100 * branch.dc, "%", "reactance of their DC chokes", first.span))
            if branch.stating:
                words = f"distortion that drives of {100 * branch.stating:.4g} % of that power state; their harmonics are scaled to it"
                found.append(Given(f"T_{number}", branch.stated / branch.stating, "%", words, first.span))
        return tuple(found)

    def result(self, name: str, value: float, unit: str, formula: str, givens: tuple[Given, ...], note: str = "") -> Result:
        """A result of this supply."""
        question = f"distortion.{name}"
        return Result(
            f"{question} {self._supply.id}",
            question,
            self._supply.id,
            self._supply.id,
            value,
            unit,
            formula,
            givens,
            _MODEL,
            note=note,
            span=self._supply.span,
        )

    def voltage(self, source: SourceImpedance, currents: dict[int, complex], harmonic: Result) -> Result:
        """Distortion of the voltage at the supply's terminals, of the supply's impedance alone."""
        drops = sum(
            abs(complex(source.largest.real, order * source.largest.imag) * value) ** 2
            for order, value in currents.items()
            if order > 1
        )
        givens = (
            Given("U_h", sqrt(drops), "V", "drops of the harmonics in the supply, to the 40th", result=harmonic.key),
            self.given("U", source.voltage, "V", "nominal voltage"),
        )
        return self.result("voltage", 100 * sqrt(3) * sqrt(drops) / source.voltage, "%", "100 * sqrt(3) * {U_h} / {U}", givens)


def _distortion(found: Spectrum) -> float:
    """Root of the sum of squares of the harmonics to the 40th, percent of the fundamental."""
    return 100 * sqrt(sum(abs(value) ** 2 for order, value in found.orders.items() if order > 1)) / found.fundamental


def _listed(givens: tuple[Given, ...]) -> str:
    return ", ".join(f"{{{given.symbol}}}" for given in givens)


def typical(branches: tuple[Branch, ...], ratio: float) -> str:
    """The published band for drives like these at a supply of the given short-circuit ratio, in words; empty where the drives differ
    or none is published."""
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
    watts = sum(branch.watts for branch in branches)
    z = sum((branch.z * branch.watts for branch in branches), 0j) / watts
    dc, choke, stating, stated = (
        sum(value * branch.watts for value, branch in zip(values, branches, strict=True)) / watts
        for values in zip(*((b.dc, b.choke, b.stating, b.stated) for b in branches), strict=True)
    )
    return Branch(tuple(name for branch in branches for name in branch.drives), watts, z, dc, choke, stating, stated)
