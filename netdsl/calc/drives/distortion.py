"""Supply current distortion of all drives of a supply together."""

from __future__ import annotations

from collections.abc import Iterator
from math import pi, sqrt
from typing import TYPE_CHECKING, NamedTuple

from msgspec.structs import replace

from netdsl.calc.basis import Answer, Formula, Gap, Given, Result, SheetQuestion, Words, formula
from netdsl.calc.circuit import Circuit, Path
from netdsl.calc.drives.branches import Branch, Branches, typical
from netdsl.calc.drives.classes import DistortionLimits
from netdsl.calc.drives.supply_results import SupplyResults, listed
from netdsl.calc.faults import FAULT_LEVEL_REMEDY, Faults, SourceImpedance
from netdsl.calc.loads import LoadCurrents
from netdsl.kept import cached_property
from netdsl.model.plant import Device
from netdsl.sums import sum_of

if TYPE_CHECKING:
    from netdsl.calc.drives.rectifier import Spectrum

#: harmonics that get a line of their own
SHOWN = (5, 7, 11, 13, 17, 19, 23, 25, 29, 31, 35, 37)
#: least reactance of a phase, per unit: below it a commutation is a jump
_LEAST = 2e-4
#: share of its power that a rectifier must get in the model, else its supply is too weak
_GIVEN = 0.98
#: drop of reactor and choke below which a drive counts as without, percent
_NO_CHOKE = 0.5
_THD = Formula("100 * {I_h} / {I_1}")
_OF_DRIVES = Formula("100 * {I_h} / {I_1d}")
_SHARE = Formula("100 * {I_d} / {I_h}")


class _Part(NamedTuple):
    """Currents of a branch by order, A, and the share of each of its drives in its harmonics."""

    orders: dict[int, complex]
    shares: tuple[tuple[str, float], ...]


class Distortion(SheetQuestion):
    """Supply current distortion of all drives of a supply together.

    Drives of like impedance are one rectifier. Each rectifier sees the supply's impedance as if the current of all had its shape;
    their harmonics then add with their angles. The harmonics come of a simulation, and the fundamental, where there are other
    loads, is a sum of phasors: both are said in words. All else is what the printed formulas give.
    """

    place = 1900
    answers = (
        Answer("distortion.harmonic-current", "Harmonic current of the drives", "I_h"),
        Answer("distortion.fundamental", "Fundamental of the supply current", "I_1"),
        Answer("distortion.thd", "Supply current distortion", "THD_i"),
        Answer("distortion.drives", "Distortion of the drives' current alone", "THD_i"),
        Answer("distortion.voltage", "Distortion of the supply voltage", "THD_u"),
        Answer("distortion.share", "Share of a drive in the harmonic current", "s"),
        *(Answer(f"distortion.h{order}", f"Harmonic of order {order}", f"h{order}") for order in SHOWN),
        *(Answer(f"distortion.u{order}", f"Harmonic of the supply voltage of order {order}", f"u{order}") for order in SHOWN),
    )
    judged = False

    def results(self) -> Iterator[Result]:
        """`distortion.thd` and harmonics of every supply that feeds drives."""
        return (result for results in self._found.values() for result in results)

    def unknown(self) -> tuple[str, ...]:
        """Supplies that feed drives and of which it could not be computed."""
        return tuple(supply for supply, results in self._found.items() if not results)

    def fed_by(self, supply: str) -> frozenset[str]:
        """The drives that are simulated at a supply."""
        return frozenset(drive.id for drive, _ in self._drives.get(supply, ()))

    @cached_property
    def _found(self) -> dict[str, tuple[Result, ...]]:
        return {supply: tuple(self._of(supply, drives)) for supply, drives in self._drives.items()}

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
        powers = {drive.id: self._calculation.of(Branches).power(drive) for drive, _ in drives}
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
        known = {name: power or 0.0 for name, power in powers.items()}
        branches = self._calculation.of(Branches).of(drives, known, source.voltage)
        yield from self._results(supply, source, branches)

    # --- results --------------------------------------------------------------------------------------------------
    def _results(self, supply: str, source: SourceImpedance, branches: tuple[Branch, ...]) -> Iterator[Result]:
        parts, note = self._currents(source, branches)
        currents = {order: sum_of((part.orders[order] for part in parts), 0j) for order in parts[0].orders}
        limits = self._calculation.of(DistortionLimits)
        others = self._others(supply, branches, source.voltage)
        alone, whole = abs(currents[1]), abs(currents[1] + (others or 0j))
        total = sqrt(sum_of(abs(value) ** 2 for order, value in currents.items() if order > 1))
        make = SupplyResults(self._calculation, supply)
        model = make.model(source, branches, self._calculation.settings.given("dc-link-capacitance", "C"))
        harmonic = make.result("harmonic-current", total, "A", Words(f"simulated: {listed(model)}"), model, note)
        yield harmonic
        of_drives = Given("I_1d", alone, "A", "fundamental of the drives, of the same simulation", result=harmonic.key)
        if others is None:
            unknown = "loads that are no drives are not known and not counted"
            first = make.worked("fundamental", "A", formula("{I_1d}"), (of_drives,), unknown)
        else:
            added = make.given("I_others", abs(others), "A", "all other loads, added with their angle")
            first = make.result("fundamental", whole, "A", Words("|{I_1d} + {I_others}|"), (of_drives, added))
        yield first
        by = (
            Given("I_h", total, "A", "harmonics to the 40th", result=harmonic.key),
            Given("I_1", whole, "A", "fundamental", result=first.key),
        )
        yield replace(make.worked("thd", "%", _THD, by, note), beside=limits.current())
        by_drives = (by[0], Given("I_1d", alone, "A", "fundamental of the drives", result=harmonic.key))
        yield make.worked("drives", "%", _OF_DRIVES, by_drives, typical(branches, self._ratio(source, branches)))
        for order in SHOWN:
            amps = Given(f"I_{order}", abs(currents[order]), "A", "of the same simulation", result=harmonic.key)
            yield make.worked(f"h{order}", "%", formula(f"100 * {{I_{order}}} / {{I_1}}"), (amps, by[1]))
        yield replace(make.voltage(source, currents, harmonic), beside=limits.total())
        for order in SHOWN:
            limit = limits.of_order(order)
            if limit is not None:
                yield replace(make.voltage_of(source, order, currents[order], harmonic), beside=limit)
        yield from self._shares(parts, currents, by[0])

    def _shares(self, parts: list[_Part], currents: dict[int, complex], whole: Given) -> Iterator[Result]:
        """`distortion.share` of every drive, percent of the harmonics of all: what of its own adds to theirs, with its angle; of
        drives that are simulated as one, by their power."""
        squares = sum_of(abs(value) ** 2 for order, value in currents.items() if order > 1)
        for part in parts:
            added = sum_of((part.orders[order] * value.conjugate()).real for order, value in currents.items() if order > 1)
            for drive, share in part.shares:
                amps = added * share / sqrt(squares) if squares else 0.0
                own = self._calculation.plant.devices[drive]
                words = f"of it by {drive}, in phase with the sum, order by order"
                found = SupplyResults(self._calculation, drive).worked(
                    "share", "%", _SHARE, (Given("I_d", amps, "A", words, own.span), whole)
                )
                yield replace(found, feeder=self._calculation.of(Circuit).feeder(drive))

    def _currents(self, source: SourceImpedance, branches: tuple[Branch, ...]) -> tuple[list[_Part], str]:
        """Currents of each branch by order, A; and what makes them doubtful, in words."""
        from netdsl.calc.drives.rectifier import NO_LOAD, ORDERS, Rectifier, at_full_power

        volts, total = source.voltage, sum_of(branch.watts for branch in branches)
        farad = self._calculation.settings.number("dc-link-capacitance") * 1e-9 * 400.0**2
        parts: list[_Part] = []
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
            found = at_full_power(made)
            if not found.settled:
                notes["the steady state was not reached"] = None
            if found.power < _GIVEN:
                notes[f"the supply is too weak: it gives {100 * found.power:.0f} % of the power of {branch.drives[0]}"] = None
            percent, most = _distortion(found), self._most(branch)
            scale = branch.scale(percent) if branch.stating else 1.0
            if not branch.stating and most and percent > most.value:
                scale = most.value / percent
                notes[f"{percent:.0f} % simulated of drives without a choke, bounded at {most.shown}"] = None
            amps = branch.watts / volts
            orders = range(1, ORDERS + 1)
            found_orders = {order: found.orders[order] * (amps * (scale if order > 1 else 1.0)) for order in orders}
            parts.append(_Part(found_orders, branch.shares(percent)))
        return parts, "; ".join(notes)

    def _most(self, branch: Branch) -> Given | None:
        """The largest distortion that counts of drives without a choke; None of others."""
        return self._calculation.settings.given("stiff-distortion", "T_max") if branch.choke < _NO_CHOKE else None

    @staticmethod
    def _ratio(source: SourceImpedance, branches: tuple[Branch, ...]) -> float:
        """Short-circuit power of the supply over the power of the drives."""
        power = source.voltage**2 / abs(source.largest) if source.largest else float("inf")
        return power / sum_of(branch.watts for branch in branches)

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
        rest = whole - sum_of((phasor for phasor in drives if phasor is not None), 0j)
        return rest if abs(rest) > 1e-3 * sum_of(branch.watts for branch in branches) / volts else 0j


def _distortion(found: Spectrum) -> float:
    """Root of the sum of squares of the harmonics to the 40th, percent of the fundamental."""
    return 100 * sqrt(sum_of(abs(value) ** 2 for order, value in found.orders.items() if order > 1)) / found.fundamental
