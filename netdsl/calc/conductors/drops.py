"""Voltage drop from the origin to every load, in service and while a motor starts direct on line; behind a drive from the drive.

Section by section the currents of all that lies behind flow as phasors, each against the voltage at its own terminals; the
drop is what is lost in phase with the load's voltage (IEC 60364-5-52, annex G). The whole phasor is given beside it in volts.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from math import sqrt

from msgspec.structs import replace

from netdsl.calc.basis import (
    Answer,
    Calculation,
    Given,
    Input,
    Later,
    Limit,
    Result,
    Sense,
    SheetQuestion,
    formula,
    one_table,
)
from netdsl.calc.circuit import Circuit
from netdsl.calc.conductors.drop_values import DropValues, by_sections, numbers_of
from netdsl.calc.conductors.losses import Loss, VoltageLosses
from netdsl.calc.loads import LoadCurrents, MotorWay, MotorWays, StartsTogether
from netdsl.kept import kept
from netdsl.sums import sum_of

_SOURCE = "IEC 60364-5-52:2009, annex G"
#: sections shown one by one in a formula; beyond, their sum
_SHOWN = 6


class VoltageDrops(SheetQuestion):
    """Voltage drops in percent of the nominal voltage of the circuit they are in."""

    place = 500
    answers = (
        Answer("voltage-drop.running", "Voltage drop in service", "dU"),
        Answer("voltage-drop.starting", "Voltage drop while starting", "dU"),
    )

    def __init__(self, calculation: Calculation) -> None:
        super().__init__(calculation)
        self._circuit = calculation.of(Circuit)
        self._losses = calculation.of(VoltageLosses)
        self._values = DropValues(calculation)

    @kept
    def running(self, device: str) -> Result | None:
        """Drop from the origin (supply, drive or transformer) to a device in service; None if it cannot be computed."""
        return self._running(device, self._losses.to(device), None)

    @kept
    def starting(self, device: str) -> Result | None:
        """Drop at a motor that starts direct on line while all else runs; None where it does not, or cannot be computed."""
        return self._starting(device, self._losses.to(device), None)

    @kept
    def by(self, way: MotorWay) -> tuple[Result | None, Result | None]:
        """Both drops at a motor by one of several ways, in service and while it starts: with the current of the winding that the
        way leads to."""
        loss = self._losses.by(way.motor, way.by)
        return self._running(way.motor, loss, way), self._starting(way.motor, loss, way)

    def _running(self, device: str, loss: Loss | None, way: MotorWay | None) -> Result | None:
        if loss is None:
            return None
        note = "the drop of the reactor at the drive belongs to the drive and is not counted" if loss.reach.choked else ""
        terms, volts, phasor = loss.terms, loss.volts, loss.phasor
        own = self._calculation.of(LoadCurrents).phasor(device)
        if way is not None and not way.full and own is not None:
            terms = self._exchanged(device, loss, own * way.share, own, way.share)
            phasor = sqrt(3) * sum_of((current * impedance for current, impedance in terms), 0j)
            volts = phasor.real
        return self._result("running", device, loss, terms, volts, phasor, self._limit(loss), note, (), way)

    def _starting(self, device: str, loss: Loss | None, way: MotorWay | None) -> Result | None:
        loads = self._calculation.of(LoadCurrents)
        start = loads.starts.of(device) if loads.is_load(device) else None
        own = loads.phasor(device)
        if start is None or loss is None or own is None or self._circuit.plant.devices[loss.reach.origin].kind == "drive":
            return None
        terms: tuple[tuple[complex, complex], ...] = ()
        together = self._calculation.of(StartsTogether).others(device)
        share = way.share if way is not None else 1.0
        givens = start.givens
        if share < 1:
            words = f"share of the winding in the current of {device}"
            givens = (*givens, Given("k_w", share, "", words, self._circuit.plant.devices[device].span))
        if loads.demands.phases(device) == 2:
            running = abs(own) * demand.phase if (demand := loads.demands.of(device)) else 0j  # against its own voltage
            phasor = loss.phasor + (start.phasor - running) * self._between_phases(device)
        else:
            terms = self._exchanged(device, loss, start.phasor * share, own, share)
            terms = self._with_others(loss, terms, together)
            root = sqrt(3) if loads.demands.phases(device) == 3 else 1.0
            phasor = root * sum_of((current * impedance for current, impedance in terms), 0j)
        limit = self._calculation.settings.given("starting-drop-limit", "limit")
        note = start.note + (f"; at once with {', '.join(together)}" if together else "")
        return self._result("starting", device, loss, terms, phasor.real, phasor, limit, note, givens, way)

    def shares(self, device: str, by: str = "") -> tuple[tuple[str, float], ...]:
        """Cables and wires on the way to a device, from `by` where that is named, with the volts lost in each, the most first;
        empty if unknown."""
        loss = self._losses.by(device, by) if by else self._losses.to(device)
        if loss is None:
            return ()
        found: dict[str, float] = {}
        for piece in (*loss.reach.pieces, *loss.returning):
            for name in piece.conductors[:1]:
                thing = self._circuit.plant.conductors[name].cable or name
                found[thing] = found.get(thing, 0.0) + (piece.current * piece.impedance).real
        return tuple(sorted(found.items(), key=lambda item: (-item[1], item[0])))

    def results(self) -> Iterator[Result]:
        """`voltage-drop.running` and `voltage-drop.starting` of every load."""
        loads = self._calculation.of(LoadCurrents)
        for device in loads.wiring.stages:
            if device in self._circuit.plant.devices and loads.is_load(device):
                yield from self.at(device)

    def at(self, device: str) -> Iterator[Result]:
        """Those of one load, and of a motor with ways that differ those by its other ways."""
        worst = (self.running(device), self.starting(device))
        yield from (result for result in worst if result is not None)
        for way in self._calculation.of(MotorWays).of(device):
            for result, most in zip(self.by(way), worst, strict=True):
                if result is not None and (most is None or result.conductors != most.conductors):
                    yield result

    # --- while a motor starts ---------------------------------------------------------------------------------------

    def _exchanged(
        self, device: str, loss: Loss, taken: complex, own: complex, of_winding: float
    ) -> tuple[tuple[complex, complex], ...]:
        """What a motor takes on top of all that flows, in place of what counts of its `own`; in star its own cores carry the
        line's current; `of_winding`: share of its current in the winding that the way leads to."""
        winding = own * (2 / 3 if self._calculation.of(LoadCurrents).starts.star_delta(device) else of_winding)
        return tuple(
            (taken if abs(current - winding) < 1e-6 else current + taken - own * share, impedance)
            for (current, impedance), share in zip(loss.terms, self._own_shares(device, loss.ways), strict=True)
        )

    def _with_others(
        self, loss: Loss, terms: tuple[tuple[complex, complex], ...], motors: tuple[str, ...]
    ) -> tuple[tuple[complex, complex], ...]:
        """Currents of sections with other motors that start too; in the source itself all those it feeds."""
        through, found = self._calculation.of(LoadCurrents).flows.through, list(terms)
        for motor in motors:
            more = self._calculation.of(StartsTogether).more(motor, loss.reach.origin)
            for number, way in enumerate(loss.ways):
                behind = [each.loads.get(motor, 0.0) for name in way for each in through(name)]
                current, impedance = found[number]
                found[number] = current + more * max(behind, default=0.0 if way else 1.0), impedance
        return tuple(found)

    def _between_phases(self, device: str) -> complex:
        """Impedance of both ways to a load between two phases, ohm."""
        lives, feeder = self._calculation.of(LoadCurrents).wiring.lives(device), self._circuit.feeder(device)
        reaches = (self._losses.reaches.to(device, phase, feeder) for phase in dict.fromkeys(live.phase for live in lives))
        return sum_of((piece.impedance for reach in reaches if reach is not None for piece in reach.pieces), 0j)

    def _own_shares(self, device: str, ways: Sequence[tuple[str, ...]]) -> list[float]:
        """Share of a load that counts in the current of each section, by simultaneity; of the source itself that of its feed."""
        through, names = (
            self._calculation.of(LoadCurrents).flows.through,
            (device, *(f"{device}/{part}" for part in ("1", "2", "1U", "2U"))),
        )
        found = []
        for way in ways:
            shares = [
                each.loads[name] for conductor in way for each in through(conductor) for name in names if name in each.loads
            ]
            found.append(max(shares, default=None))
        least = min((share for share in found if share is not None), default=1.0)
        return [least if share is None else share for share in found]

    # --- results ----------------------------------------------------------------------------------------------------
    def _limit(self, loss: Loss) -> Given:
        """The project's limit; of the standard's own, more on a long way."""
        settings = self._calculation.settings
        limit = settings.given("voltage-drop-limit", "limit")
        length = sum_of(piece.length_m for piece in loss.reach.pieces)
        if settings.stated("voltage-drop-limit") or length <= 100:
            return limit
        table = one_table("conductors", "voltage_drop_long_run")
        extra = min(table["extra_percent_cap"], table["extra_percent_per_m_over_100m"] * (length - 100))
        words = f"{limit.words}, {extra:.3g} % more for {length:.0f} m"
        return Given("limit", limit.value + extra, "%", words, None, str(table["source"]), str(table["confidence"]))

    def _noted(self, note: str, loss: Loss) -> str:
        if not self._losses.from_source or not self._losses.of_source(loss.reach.origin):
            return note
        return "; ".join(each for each in (note, f"the impedance of {loss.reach.origin} itself is part of it") if each)

    def _result(
        self,
        kind: str,
        device: str,
        loss: Loss,
        terms: tuple[tuple[complex, complex], ...],
        volts: float,
        phasor: complex,
        limit: Given,
        note: str,
        more: tuple[Input, ...],
        way: MotorWay | None,
    ) -> Result:
        loads = self._calculation.of(LoadCurrents)
        nominal = loads.demands.nominal(device)
        if nominal:  # a motor that is also fed past its drive: named by the way that this drop is along
            begin = loss.reach.origin
            nominal = replace(nominal, words=f"nominal voltage behind {begin}", span=self._circuit.span_of(begin))
        voltage = nominal.value if nominal else 0.0
        if 0 < len(terms) <= _SHOWN:
            text, numbers = by_sections(len(terms), loads.demands.phases(device) == 3), numbers_of(terms)
        else:
            text, numbers = "100 * {D} / {U}", {"D": volts}
        whole = (abs(phasor), self._circuit.plant.devices[device].span)
        less = way.by if way is not None and not way.full else ""
        givens = Later(self._values.givens, loss, numbers, nominal, whole, more, less)
        conductors = tuple(name for piece in loss.reach.pieces for name in piece.conductors)
        by = f" by {way.by}" if way is not None else ""
        note = "; ".join(each for each in (by.strip(), note) if each)
        return Result(
            f"voltage-drop.{kind} {device}{by}",
            f"voltage-drop.{kind}",
            device,
            self._circuit.feeder(device),
            formula(text)(U=voltage, **numbers),
            "%",
            formula(text),
            givens,
            _SOURCE,
            Limit(limit.value, Sense.AT_MOST, limit.words, limit),
            note=self._noted(note, loss),
            conductors=conductors,
            span=self._circuit.plant.devices[device].span,
        )
